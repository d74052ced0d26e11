"""The command line: one file per command under player/commands, loaded when it is called."""

from __future__ import annotations

import contextlib
import gc
import importlib
import io
import os
import signal
import sys
from collections.abc import Sequence
from typing import Any

import click

from patterns.errors import BAD_INPUT, NOT_FINISHED, LitfieldError
from patterns.plain import plain
from player.outcome import CommandError, message_and_code

# Before anything loads numpy: its matrices here are small, and threads that wait for one another
# cost more than they save, many times over where the processor is busy.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

COMMANDS = {
    "patterns": "the catalogue of pattern kinds, and one kind's parameters",
    "check": "validate sequences and plans; list their steps or tasks, time and cautions",
    "export": "write a sequence, or what a plan needs, as numbered picture files",
    "play": "show a sequence full screen and keep what is read",
    "adjust": "adjust a display by its own controls: what to turn how far, when to stop",
    "correct": "bring a spot meter to a reference, by colours read with both",
    "visit": "a whole sitting by a plan; what is in a visit, and what is missing",
    "name": "name the instrument of readings that were typed without one",
    "aim": "say what the display of a visit is meant to do: curve, white, black",
    "readings": "write all readings of a visit as a table",
    "report": "say what the readings mean, as a page and as data",
    "zones": "a count of dimming zones from presses made elsewhere",
    "demo": "a whole visit on the simulated display, no window needed",
    "schema": "JSON Schema of a sequence or a plan, for editors",
}
"""Name and one line each; the module of the same name holds the command as ``command``."""


class Lazy(click.Group):
    """A group whose commands are imported only when one is called: ``--help`` stays instant."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"player.commands.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            raise CommandError(f"There is no command {args[0]!r}; there are {', '.join(COMMANDS)}.")
        return super().resolve_command(ctx, args)


@click.group(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="litfield", message="litfield %(version)s")
def group() -> None:
    """Exact test patterns, kept readings, and findings with their uncertainty.

    SEQUENCE and PLAN are YAML files or names of shipped ones (litfield check lists them).
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; never a traceback."""
    tune()
    _stop_like_the_keyboard()
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            # closed by whoever started us: no other file is to get its number, and its prints
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115 - stays open
        elif isinstance(stream, io.TextIOWrapper):
            # an old terminal without some of our characters is no reason to stop
            stream.reconfigure(errors="replace")
    sys.exit(run(arguments))


def tune() -> None:
    """Set what a process of ours works best with, before it loads anything that calculates."""
    # what is loaded at the start stays: looking through it for garbage again and again only delays
    gc.set_threshold(50_000, 20, 20)
    # matrices here are small: more threads wait for one another, and take processors from others
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _stop_like_the_keyboard() -> None:
    """Let a closed terminal and a polite kill clean up as Ctrl-C does, unless they are ignored."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, stop)


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code: 0 done, 2 bad input, 1 could not finish."""
    try:
        result: Any = group.main(arguments, prog_name="litfield", standalone_mode=False)
        sys.stdout.flush()
    except BaseException as error:  # noqa: BLE001 - whatever it is, it ends in a sentence
        message, code = _message_and_code(error)
    else:
        return result if isinstance(result, int) else 0
    if message:
        with contextlib.suppress(OSError):
            sys.stderr.write(plain(message).rstrip("\n") + "\n")
    return code


def _message_and_code(error: BaseException) -> tuple[str, int]:
    """The sentence and the exit code of whatever ended a command."""
    if isinstance(error, SystemExit):
        return "", error.code if isinstance(error.code, int) else NOT_FINISHED
    if isinstance(error, (KeyboardInterrupt, click.Abort)):
        return "Stopped; what was kept is kept.", NOT_FINISHED
    if isinstance(error, click.ClickException):
        return error.format_message(), BAD_INPUT
    if isinstance(error, BrokenPipeError):
        # whoever read our output has gone; nothing is left to be told
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return "", NOT_FINISHED
    if os.environ.get("LITFIELD_TRACEBACK") and not isinstance(error, LitfieldError):
        raise error
    return message_and_code(error)
