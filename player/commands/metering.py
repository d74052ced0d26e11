"""The meter of `litfield play`: its options, and the meter that they ask for."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from player.commands.common import Number, say
from player.outcome import NOT_FINISHED, CommandError
from readings.bounds import BRIGHTEST

if TYPE_CHECKING:
    from player.meters import Meter, Moves
    from player.meters.repeating import Repeats
    from player.outputs.base import Output
    from readings.visit.records import Specification
    from readings.visit.visit import Visit

_OPTIONS = (
    click.option(
        "--meter",
        "meter_name",
        metavar="M",
        help="command:PROGRAM, line:FILE, or simulated",
    ),
    click.option(
        "--moves",
        type=click.Choice(["yes", "no", "ask"]),
        help="with --unattended: whether the meter comes to the place that is read by itself, "
        "stays in the middle, or is pointed by somebody who is asked [default: as its file says, "
        "or no]",
    ),
    click.option(
        "--meter-timeout",
        type=Number(0.1, 600),
        metavar="S",
        help="seconds within which the meter has to answer",
    ),
    click.option(
        "--repeat",
        metavar="N",
        help="read so often and take the mean: 5, or 3-20 to end once it is steady",
    ),
    click.option(
        "--steady",
        multiple=True,
        metavar="LIMIT",
        help="with 3-20: the standard error that is small enough, '0.5 %' or '0.0002 cd/m2'",
    ),
    click.option(
        "--repeat-below",
        type=Number(0, BRIGHTEST, min_open=True),
        metavar="L",
        help="repeat only where the first reading is below L cd/m2",
    ),
    click.option(
        "--dark-offset",
        is_flag=True,
        help="read the meter with its cap on first, and subtract that from every reading",
    ),
)


def meter_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options about the meter to a command."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


@dataclass(frozen=True, kw_only=True)
class MeterWishes:
    """What was asked of the meter on the command line."""

    meter_name: str | None
    meter_timeout: float | None
    moves: Moves | None = None
    repeat: str | None
    steady: tuple[str, ...]
    repeat_below: float | None
    dark_offset: bool


class Metering:
    """The meter as it was asked for. Raises CommandError where that makes no sense.

    Args:
        wishes: what was asked.
        on_simulated: whether a simulated display is read, where a simulated meter is the usual one.
        specification: what the meter's maker promises, where the operator describes it; it goes
            before what the meter knows of itself.
        moves: whether the meter comes to the place that is read, where the operator describes it;
            what was asked goes before it.
        dark_in_window: whether the operator window asks for the dark, and not the terminal.
    """

    def __init__(
        self,
        wishes: MeterWishes,
        *,
        on_simulated: bool,
        specification: Specification | None = None,
        moves: Moves | None = None,
        dark_in_window: bool = False,
    ) -> None:
        self._wishes = wishes
        self._specification = specification
        self._moves = wishes.moves or moves
        self._repeats = _repeats(wishes)
        self._note = ""
        self.meter: Meter | None = None
        """The instrument; None where there is none, or a simulated one is made with its display."""
        name = wishes.meter_name
        if name is None and not on_simulated:
            _refuse_options_of_no_meter(wishes)
        simulated = (name or "simulated").partition(":")[0].strip() == "simulated"
        if wishes.dark_offset and simulated:
            raise CommandError(
                "--dark-offset goes with a --meter that has a cap; the simulated one has none."
            )
        if name is not None and not (simulated and on_simulated):
            self.meter = self._open(None, 0)
        elif name is not None:
            _require_simulated(name)
        self._asks_here = wishes.dark_offset and not dark_in_window
        if self.meter is not None and wishes.dark_offset and dark_in_window:
            from player.meters.dark import DarkCorrectedMeter

            self.meter = DarkCorrectedMeter(self.meter)

    @property
    def moves(self) -> Moves:
        """Whether the meter comes to the place that is read."""
        from player.meters.base import moves_of

        if self.meter is None:  # a simulated one, which is made with its display
            return self._moves or "yes"
        return moves_of(self.meter)

    def make(self, output: Output, seed: int) -> Meter:
        """The instrument, or a simulated one before the display behind an output."""
        return self.meter or self._open(output, seed)

    @contextmanager
    def at_hand(self) -> Iterator[None]:
        """Read the dark where the terminal asks for it; let go of the instrument in the end.

        Raises:
            CommandError: nobody is at the terminal, or the meter sees light or nothing.
        """
        from player.meters import close

        try:
            self._read_dark()
            yield
        finally:
            if self.meter is not None:
                close(self.meter)

    def ask_to_point(self, what: str) -> bool:
        """Ask at the terminal to point the meter; whether somebody has."""
        return _answered(f"{what} Then press Enter.")

    def keep_in(self, visit: Visit) -> None:
        """Keep the dark reading itself, where there is one."""
        if self._note:
            visit.keep_note(self._note)

    def _open(self, output: Output | None, seed: int) -> Meter:
        from player.meters import MeterError, open_meter
        from player.meters.repeating import RepeatingMeter

        wishes = self._wishes
        try:
            name = wishes.meter_name or "simulated"
            meter = open_meter(name, output, seed, wishes.meter_timeout, self._moves)
        except MeterError as error:
            raise CommandError(str(error)) from error
        if self._specification is not None:
            # before anything is made of its readings: the mean is steady by its last digit
            meter.specification = self._specification
        return meter if self._repeats is None else RepeatingMeter(meter, self._repeats)

    def _read_dark(self) -> None:
        from player.meters.base import MeterError, reading_of
        from player.meters.dark import DarkCorrectedMeter

        if self.meter is None or not self._asks_here:
            return
        _ask("Put the cap on the meter, then press Enter.")
        try:
            corrected = DarkCorrectedMeter(self.meter, reading_of(self.meter))
        except MeterError as error:
            raise CommandError(f"No dark offset: {error}", NOT_FINISHED) from error
        self.meter, self._note = corrected, corrected.note
        say(corrected.summary, err=True)
        _ask("Take the cap off and point the meter, then press Enter.")


def _require_simulated(name: str) -> None:
    """Find a misspelt simulated meter before its display is made, and the visit with it."""
    from player.meters import MeterError
    from player.meters.simulated import traits_of

    try:
        traits_of(name.partition(":")[2])
    except MeterError as error:
        raise CommandError(str(error)) from error


def _refuse_options_of_no_meter(wishes: MeterWishes) -> None:
    given = {
        "--meter-timeout": wishes.meter_timeout is not None,
        "--moves": wishes.moves is not None,
        "--repeat": wishes.repeat is not None,
        "--dark-offset": wishes.dark_offset,
    }
    for option, asked in given.items():
        if asked:
            raise CommandError(f"{option} goes with --meter.")


def _answered(what: str) -> bool:
    """Ask for Enter at the terminal; False where nobody is there."""
    say(what, err=True)
    try:
        return bool(sys.stdin.readline()) if sys.stdin is not None else False
    except (OSError, ValueError):  # a closed input, or bytes that are no text
        return False


def _ask(what: str) -> None:
    if not _answered(what):
        raise CommandError("--dark-offset needs somebody at the terminal to put the cap on.")


def _repeats(wishes: MeterWishes) -> Repeats | None:
    """How often to read, or None for once."""
    from player.meters.base import MeterError
    from player.meters.repeating import Repeats

    if wishes.repeat is None:
        if wishes.steady or wishes.repeat_below is not None:
            raise CommandError("--steady and --repeat-below go with --repeat.")
        return None
    found = re.fullmatch(r"\s*(\d{1,6})\s*(?:-\s*(\d{1,6})\s*)?", wishes.repeat, re.ASCII)
    if found is None:
        raise CommandError(
            f"--repeat takes a number of readings such as 5, or 3-20, not {wishes.repeat!r}."
        )
    if wishes.steady and found[2] is None:
        raise CommandError("--steady goes with a --repeat from and to, such as 3-20.")
    limits = _limits(wishes.steady)
    try:
        return Repeats(
            least=int(found[1]),
            most=int(found[2] or found[1]),
            below=wishes.repeat_below,
            **limits,
        )
    except MeterError as error:
        raise CommandError(str(error)) from error


def _limits(texts: tuple[str, ...]) -> dict[str, float]:
    """The share and the floor of `Repeats`, by name; a floor alone stands alone."""
    limits: dict[str, float] = {}
    for text in texts:
        found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(%|cd/m2|cd/m²)\s*", text, re.ASCII)
        value = float(found[1].replace(",", ".")) if found is not None else 0.0
        if found is None or not 0 < value <= (100 if found[2] == "%" else BRIGHTEST):
            raise CommandError(
                f"--steady takes a share such as '0.5 %' or a luminance such as "
                f"'0.0002 cd/m2', not {text!r}."
            )
        limits["share" if found[2] == "%" else "floor"] = value / 100 if found[2] == "%" else value
    if "floor" in limits:
        limits.setdefault("share", 0.0)
    return limits
