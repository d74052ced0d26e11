"""A meter at the far end of a socket that answers every line with the same bytes, and no network.

While it answers, every connection of this process goes to it, whatever address was asked for: a
spoilt description may name any. It never waits long for an answer: one comes at once, or none.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Thread
from unittest.mock import patch


class _Impatient(socket.socket):
    def settimeout(self, value: float | None) -> None:
        super().settimeout(0.01 if value is None else min(value, 0.01))


@contextmanager
def answering(answer: Path) -> Iterator[None]:
    """Let every socket that is opened meanwhile lead to a meter that says what a file holds."""

    def connect(address: tuple[str, int], *_: object) -> socket.socket:
        address[0].encode("idna")  # as the real one: a name that can be none is refused
        ours, theirs = socket.socketpair()
        ours = _Impatient(fileno=ours.detach())
        content = answer.read_bytes() if answer.exists() else b""
        Thread(target=_answer, args=(theirs, content + b"\r\n"), daemon=True).start()
        return ours

    with patch.object(socket, "create_connection", connect):
        yield


def _answer(here: socket.socket, content: bytes) -> None:
    with here, suppress(OSError):
        while here.recv(4096):
            here.sendall(content)
