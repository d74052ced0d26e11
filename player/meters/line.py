"""A meter that talks in lines of text over a serial port or a socket: `line:FILE`."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable
from contextlib import suppress

from patterns.place import Place
from player.meters.base import MeterError, MeterReading, Moves, place_fields, room_for
from player.meters.channels import Channel, ChannelError, open_channel, place_of
from player.meters.expression import Found, expression
from player.meters.line_file import FIELDS, LineDescription
from player.meters.text import LONGEST_LINE, number_of, reading_from, short
from readings.visit.records import InstrumentRole
from sequences.templates import fill

MOST_OUTPUT = 65_536
"""Bytes in answer to one question."""
SLICE = 0.2
"""Seconds between two looks at whether the measurement was given up."""
QUIET = 0.1
"""Seconds of silence after which nothing more is expected of an earlier question."""
LET_UP = 2.0
"""Seconds after which a meter that never falls silent is asked all the same."""
BUSY = 0.5
"""Seconds until a busy meter is asked again."""
ENDS = {"CR": b"\r", "LF": b"\n", "CR LF": b"\r\n", "nothing": b""}
_TEXT = "latin-1"
"""Each byte is a character, so that no answer fails for its coding."""


class LineMeter:
    """Asks a meter by lines of text, as its description says.

    The port is opened at the first reading and stays open; where the meter has gone, the next
    reading opens it anew.

    Args:
        described: what to send and how to read the answer.
        opens: opens the way to the meter.
    """

    def __init__(
        self,
        described: LineDescription,
        opens: Callable[[LineDescription], Channel] = open_channel,
    ) -> None:
        self.name = described.name
        self.role: InstrumentRole = described.role
        self.moves: Moves = described.moves or "no"
        self.specification = described.promised
        self._described = described
        self._opens = opens
        self._who = f"The {described.name} at {place_of(described)}"
        self._answer = expression(described.answer)
        self._others = [(expression(each.match), each) for each in described.other_answers]
        self._channel: Channel | None = None
        self._lock = threading.Lock()
        self._given_up = threading.Event()
        self._place: Place | None = None

    def aim(self, place: Place | None) -> None:
        """Tell the meter the place of its next readings; None where it is not known."""
        self._place = place

    def measure(self) -> MeterReading:
        """Ask for one reading. Raises MeterError, one sentence."""
        with self._lock:
            self._given_up.clear()
            try:
                return self._ask(self._ready())
            except ChannelError as error:
                self._drop()
                raise MeterError(f"{self._who} {error}.") from error
            except _NoReadingError as error:
                # what it still says to this question must not answer the next one
                self._drop()
                raise MeterError(str(error)) from error

    def give_up(self) -> None:
        """End the measurement under way."""
        self._given_up.set()

    def close(self) -> None:
        """Send what ends a session and let go of the port."""
        self._given_up.set()
        if not self._lock.acquire(timeout=1.0):
            return
        try:
            if self._channel is not None:
                with suppress(ChannelError):
                    for line in self._described.end:
                        self._send(self._channel, line)
            self._drop()
        finally:
            self._lock.release()

    # ---- the port

    def _ready(self) -> Channel:
        """The open port, with nothing left in it from before."""
        if self._channel is not None:
            try:
                self._fall_silent(self._channel, 0.0)
            except ChannelError:
                self._drop()  # it left between two readings: open it anew
            else:
                return self._channel
        self._channel = self._opens(self._described)
        self._fall_silent(self._channel, QUIET)
        for line in self._described.begin:
            self._send(self._channel, line)
            self._fall_silent(self._channel, max(QUIET, self._described.pause))
        return self._channel

    def _drop(self) -> None:
        channel, self._channel = self._channel, None
        if channel is not None:
            channel.close()

    def _send(self, channel: Channel, text: str) -> None:
        channel.send(text.encode(_TEXT, "replace") + ENDS[self._described.line_end])

    def _fall_silent(self, channel: Channel, quiet: float) -> None:
        """Throw away what has come, until nothing does for so many seconds."""
        until = time.monotonic() + LET_UP + quiet
        while channel.receive(quiet) and time.monotonic() < until:
            pass

    # ---- one question

    def _ask(self, channel: Channel) -> MeterReading:
        described = self._described
        lines = _Lines(self, channel, time.monotonic() + described.timeout)
        place = dict.fromkeys(FIELDS, "") if self._place is None else place_fields(self._place)
        question = fill(described.measure, place)
        self._send(channel, question)
        last, busy = "", ""
        while (line := lines.next()) is not None:
            other = next((each for known, each in self._others if known.search(line)), None)
            if other is not None and other.means != "busy":
                raise MeterError(f"{self._who} says {short(line)}: {_sentence(other.say)}")
            if other is not None:
                busy = other.say
                lines.wait(BUSY)
                self._send(channel, question)
            elif (found := self._answer.search(line)) is not None:
                return self._reading(found, line)
            else:
                last = line
        within = f"{self._who} gave no reading within {described.timeout:g} s"
        if busy:
            raise _NoReadingError(f"{within}: {_sentence(busy)}")
        if lines.rest:
            raise _NoReadingError(
                f"{within}; the last that it said was {short(lines.rest)}, without a line's end."
            )
        if last:
            raise _NoReadingError(f"{within}; the last that it said was {short(last)}.")
        raise _NoReadingError(f"{within}.")

    def _reading(self, found: Found, line: str) -> MeterReading:
        named = {}
        for group, text in found.groupdict().items():
            if text is None:
                continue
            name = "Y" if group == "luminance" else group
            try:
                value = number_of(text.strip())
            except ValueError as error:
                raise MeterError(
                    f"{self._who} says {short(line)}, where {group} is no number."
                ) from error
            named[name] = value if name in "xy" else value * self._described.scale
        return reading_from(named, line, self._who, room_for(self))

    def check(self) -> None:
        """Raise where the measurement was given up."""
        if self._given_up.is_set():
            raise _NoReadingError("The measurement was given up.")

    @property
    def who(self) -> str:
        """The meter and where it is, to begin a sentence with."""
        return self._who


class _NoReadingError(Exception):
    """A question that was not answered in time, or not at all."""


class _Lines:
    """The lines that come in answer to one question, until a moment."""

    def __init__(self, meter: LineMeter, channel: Channel, deadline: float) -> None:
        self._meter = meter
        self._channel = channel
        self._deadline = deadline
        self._rest = b""
        self._count = 0

    def next(self) -> str | None:
        """The next line that is not empty, without its end; None where none comes in time."""
        while True:
            # also between lines that are here already: there may be thousands of them
            left = self._deadline - time.monotonic()
            if left <= 0:
                return None
            self._meter.check()
            while (found := re.search(rb"[\r\n]+", self._rest)) is not None:
                line = self._rest[: found.start()].decode(_TEXT).strip("\0 \t")
                self._rest = self._rest[found.end() :]
                if line and len(line) <= LONGEST_LINE:
                    return line
            content = self._channel.receive(min(left, SLICE))
            self._count += len(content)
            if self._count > MOST_OUTPUT:
                raise _NoReadingError(
                    f"{self._meter.who} sent more than {MOST_OUTPUT} bytes: no reading."
                )
            self._rest += content

    @property
    def rest(self) -> str:
        """What has come of a line that has not ended."""
        return self._rest[:LONGEST_LINE].decode(_TEXT).strip("\0 \t")

    def wait(self, seconds: float) -> None:
        """Let time pass, never beyond the deadline."""
        time.sleep(max(min(seconds, self._deadline - time.monotonic()), 0.0))
        self._meter.check()


def _sentence(text: str) -> str:
    """Ends in a full stop."""
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else f"{text}."
