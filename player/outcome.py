"""How a command can end otherwise than well: the sentence for stderr and the exit code."""

from __future__ import annotations

BAD_INPUT, NOT_FINISHED = 2, 1


class CommandError(Exception):
    """What a command says when it stops: sentences for stderr, and the exit code."""

    def __init__(self, message: str, code: int = BAD_INPUT) -> None:
        super().__init__(message)
        self.code = code
