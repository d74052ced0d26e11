"""Keeping the computer and its screens awake, and telling whether that really works."""

from __future__ import annotations

from contextlib import ExitStack
from types import TracebackType
from typing import Self

AWAKE = "The screens are kept awake."
ASLEEP = "The screens may go to sleep: this desktop cannot be asked to keep them awake."


class Awake:
    """Asks the desktop to keep the screens on while the block runs; ``status`` is the truth."""

    def __init__(self) -> None:
        self._stack = ExitStack()
        self.status = ASLEEP

    def __enter__(self) -> Self:
        from wakepy import keep

        mode = self._stack.enter_context(keep.presenting(on_fail="pass"))
        self.status = AWAKE if mode.active else ASLEEP
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stack.close()
