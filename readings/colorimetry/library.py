"""The colour library, loaded at the first need: it takes a second."""

from __future__ import annotations

from threading import Lock

_LOADING = Lock()


def load_colour() -> None:
    """Load it, or wait until another thread has.

    Its modules import each other in circles: two threads that begin at different ones at the same
    time would each find some half made.
    """
    with _LOADING:
        import colour  # noqa: F401
