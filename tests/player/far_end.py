"""A meter's side of a line, over sockets and pseudo-terminals that the tests make."""

from __future__ import annotations

import os
import socket
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from player.described import parse
from player.meters.line_file import LineDescription

GOOD = "Y=100.5 x=0.31 y=0.33\r\n"
ANSWER = r"Y=(?P<Y>\S+) x=(?P<x>\S+) y=(?P<y>\S+)"
Say = Callable[[bytes], None]


def line_meter(text: str) -> LineDescription:
    """The description of a meter in a text. Raises DescriptionError."""
    return parse(text, "spot.yaml", LineDescription, "a meter")


class FarEnd:
    """The meter's side of a line: remembers what is asked, and answers as it is told.

    An answer is text, a list of texts with pauses in seconds between them, or `GONE`.
    """

    GONE = object()
    question = b"M"
    """What a line begins with that is answered."""

    def __init__(self, *answers: object) -> None:
        self.heard: list[str] = []
        self.answers = list(answers)
        self.threads: list[threading.Thread] = []

    def serve(self, hear: Callable[[], bytes], say: Say, leave: Callable[[], None]) -> None:
        """Answer each line that comes, until the other side goes or this one is to leave."""
        rest = b""
        try:
            while content := hear():
                rest += content
                *lines, rest = rest.split(b"\r\n")
                for line in lines:
                    self.heard.append(line.decode("latin-1"))
                    if line.startswith(self.question) and not self.answer(say):
                        return
        except OSError:
            pass
        finally:
            leave()

    def answer(self, say: Say) -> bool:
        answer = self.answers.pop(0) if self.answers else GOOD
        for part in answer if isinstance(answer, list) else [answer]:
            if part is self.GONE:
                return False
            if isinstance(part, float):
                time.sleep(part)
            elif isinstance(part, str):
                say(part.encode("latin-1"))
        return True

    def until_heard(self, *lines: str) -> None:
        end = time.monotonic() + 10
        while self.heard != list(lines):
            assert time.monotonic() < end, self.heard
            time.sleep(0.01)


class Socket(FarEnd):
    """A meter behind a TCP port of this machine; one connection after the other."""

    def __init__(self, *answers: object) -> None:
        super().__init__(*answers)
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.where = f"tcp: {{host: 127.0.0.1, port: {self.listening.getsockname()[1]}}}"
        self.connections = 0
        self.thread = threading.Thread(target=self.accept, daemon=True)
        self.thread.start()

    def accept(self) -> None:
        while True:
            try:
                here, _ = self.listening.accept()
            except OSError:
                return
            self.connections += 1
            here.settimeout(20)
            self.serve(lambda: here.recv(4096), here.sendall, here.close)  # noqa: B023 - it is done before the next comes

    def close(self) -> None:
        # a plain close would leave accept() waiting on Linux
        with suppress(OSError):
            self.listening.shutdown(socket.SHUT_RDWR)
        self.listening.close()


class Terminal(FarEnd):
    """A meter behind a pseudo-terminal, found by a link so that it can come back."""

    def __init__(self, folder: Path, *answers: object) -> None:
        super().__init__(*answers)
        self.link = folder / "port"
        self.where = f"serial: {{device: {self.link}, speed: 115200}}"
        self.ends: set[int] = set()
        self.plug_in()

    def plug_in(self) -> None:
        import tty

        near, far = os.openpty()
        tty.setraw(far)
        self.link.unlink(missing_ok=True)
        self.link.symlink_to(os.ttyname(far))
        self.ends |= {near, far}

        def leave() -> None:
            for end in (near, far):
                if end in self.ends:
                    self.ends.discard(end)
                    os.close(end)

        thread = threading.Thread(
            target=self.serve,
            args=(lambda: os.read(near, 4096), lambda text: self.write(near, text), leave),
            daemon=True,
        )
        thread.start()

    @staticmethod
    def write(end: int, text: bytes) -> None:
        while text:
            text = text[os.write(end, text) :]
