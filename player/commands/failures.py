"""Which errors of the rooms are bad input, and which mean that work could not be finished."""

from __future__ import annotations

from patterns.errors import PatternError
from patterns.files.export import ExportError
from player.meters.base import MeterError
from player.outcome import BAD_INPUT, NOT_FINISHED, CommandError
from player.outputs.base import OutputError
from player.simulated.files import SimulatedError
from readings.findings import FindingError
from readings.report import ReportError
from readings.table import TableError
from readings.visit import VisitError
from readings.visit_errors import NotAVisitError
from sequences.model import SequenceError

_BAD_INPUT = (
    PatternError,
    SequenceError,
    SimulatedError,
    TableError,
    FindingError,
    NotAVisitError,
)


def told(error: BaseException) -> tuple[str, int]:
    """The sentence for stderr and the exit code."""
    if isinstance(error, CommandError):
        return str(error), error.code
    if isinstance(error, _BAD_INPUT):
        listed = isinstance(error, SequenceError)  # its lines are a list, not sentences
        code = NOT_FINISHED if _refused_by_the_disk(error) else BAD_INPUT
        return str(error) if listed else _sentence(str(error)), code
    if isinstance(error, (VisitError, ExportError, MeterError, OutputError, ReportError)):
        return _sentence(str(error)), NOT_FINISHED
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror or error}.", NOT_FINISHED
    if isinstance(error, MemoryError):
        return "There is not enough memory for this.", NOT_FINISHED
    what = f"{type(error).__name__}: {error}"
    return (
        f"Something went wrong that should not ({what}); LITFIELD_TRACEBACK=1 shows where.",
        NOT_FINISHED,
    )


def _refused_by_the_disk(error: Exception) -> bool:
    """Whether a table was asked for rightly, and then could not be written."""
    cause = error.__cause__ if isinstance(error, TableError) else None
    return isinstance(cause, OSError) and not isinstance(
        cause, (FileNotFoundError, NotADirectoryError)
    )


_OPENERS = ("a ", "another ", "ink ", "not ", "that ", "the ", "there ")


def _sentence(text: str) -> str:
    # a name of a file stays as it is
    whole = text[:1].upper() + text[1:] if text.startswith(_OPENERS) else text
    return whole if whole.endswith((".", "?", "!")) else whole + "."
