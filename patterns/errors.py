"""What patterns say when they cannot do exactly what was asked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

ParameterPath = tuple[str, ...]
"""A parameter as a sequence writes it: ``("area",)``, ``("level", "g")``, ``("at", "x")``; the
items of a list by their number from 0, as in ``("distances", "2")``."""


class PatternError(ValueError):
    """Asked for something that cannot be made exactly; ``str()`` is one clear sentence.

    Args:
        message: the sentence.
        parameters: those of the pattern that are to blame, first the one that is it most; none
            where it is about something else, such as a signal, a canvas or a file.
    """

    def __init__(self, message: str, *parameters: ParameterPath) -> None:
        super().__init__(message)
        self.parameters = parameters


@contextmanager
def about(*parameters: ParameterPath) -> Iterator[None]:
    """Give these parameters to an error of the block that names none, such as one of a signal."""
    try:
        yield
    except PatternError as error:
        error.parameters = error.parameters or parameters
        raise
