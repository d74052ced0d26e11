"""How a command can end otherwise than well: the sentence for stderr and the exit code."""

from __future__ import annotations

from patterns.errors import BAD_INPUT, NOT_FINISHED, LitfieldError

__all__ = ["BAD_INPUT", "NOT_FINISHED", "CommandError", "message_and_code"]


class CommandError(LitfieldError):
    """What a command says when it stops: sentences for stderr, and the exit code."""

    listed = True  # it is whole as it is

    def __init__(self, message: str, code: int = BAD_INPUT) -> None:
        super().__init__(message)
        self.exit_code = code


def message_and_code(error: BaseException) -> tuple[str, int]:
    """The sentence for stderr and the exit code of whatever ended a command."""
    if isinstance(error, LitfieldError):
        return error.sentence(), error.exit_code
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
