"""Every error that Litfield raises about what it was asked or given, and how a command ends by it.

LitfieldError                  the root; a command ends with its sentence and its exit code
  PatternError                 2  a picture cannot be made exactly
    AimError                   2  no display can be meant to do that
    FlashingError              2  files would flash, and nobody has confirmed that
  ParameterError               2  a parameter has a value that it cannot have
  ExportError                  1  an export could not be finished
    JournalTakenError          1  another export is at work in the folder
  VideoError                   1  a clip could not be finished
  SequenceError                2  a sequence or a plan cannot be used
  VisitError                   1  a visit cannot be opened, read or written
    NotAVisitError             2  what was named is no visit, or is not in it
  TallyError                   2  a table of presses or comb answers cannot be read
  TableError                   2  a table cannot be written as asked
  CorrectionError              2  there is no meter correction to be had
  FindingError                 2  there is no such finding
  ReportError                  1  a report could not be written
  EntryError                   2  what was typed cannot be read
  DescriptionError             2  a file that describes a display or a meter cannot be taken
  SimulatedError               2  a display cannot be simulated as asked
  MeterError                   1  a meter gave no usable reading
  ChannelError                 1  the way to a meter is broken
  OutputError                  1  an output cannot show what it was given
  WindowError                  1  a window could not be made, or cannot be exact
    ScreenError                2  there is no such screen
  CommandError                 2  what a command says when it stops, or the code it was given
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import ClassVar

BAD_INPUT, NOT_FINISHED = 2, 1
"""Exit codes: what was asked or given is wrong; it is right, and could not be done."""
_OPENERS = ("a ", "another ", "ink ", "not ", "that ", "the ", "there ")
"""How sentences begin; whatever else stands first may be a file's name, and stays as it is."""
ParameterPath = tuple[str, ...]
"""A parameter as a sequence writes it: ``("area",)``, ``("level", "g")``, ``("at", "x")``; the
items of a list by their number from 0, as in ``("distances", "2")``."""


class LitfieldError(Exception):
    """The root of the errors; ``str()`` is one clear sentence, perhaps without its full stop."""

    exit_code: int = NOT_FINISHED
    """What a command ends with by it."""
    listed: ClassVar[bool] = False
    """Whether ``str()`` is a list, a problem a line, and no sentence."""

    def sentence(self) -> str:
        """What a person reads: with its capital and its full stop."""
        text = str(self)
        if self.listed:
            return text
        whole = text[:1].upper() + text[1:] if text.startswith(_OPENERS) else text
        return whole if whole.endswith((".", "?", "!")) else f"{whole}."


class PatternError(LitfieldError, ValueError):
    """Asked for something that cannot be made exactly; ``str()`` is one clear sentence.

    Args:
        message: the sentence.
        parameters: those of the pattern that are to blame, first the one that is it most; none
            where it is about something else, such as a signal, a canvas or a file.
    """

    exit_code = BAD_INPUT

    def __init__(self, message: str, *parameters: ParameterPath) -> None:
        super().__init__(message)
        self.parameters = parameters


class ParameterError(LitfieldError, ValueError):
    """A parameter has a value that it cannot have.

    Args:
        expected: what it may be: `0 or more`; or a rule: `that an area is at most 100 %`.
        given: the value as the sentence tells it; left out where it is empty.
        amiss: what of the value is wrong, where that can be named: `no unit`.
        message: the sentence, where it is another than `expected 0 or more, not -1 %`.
    """

    exit_code = BAD_INPUT

    def __init__(
        self, expected: str, given: str = "", *, amiss: str = "", message: str = ""
    ) -> None:
        not_that = f", not {given}" if given else ""
        super().__init__(message or f"expected {expected}{not_that}")
        self.expected = expected
        self.amiss = amiss


@contextmanager
def about(*parameters: ParameterPath) -> Iterator[None]:
    """Give these parameters to an error of the block that names none, such as one of a signal."""
    try:
        yield
    except PatternError as error:
        error.parameters = error.parameters or parameters
        raise
