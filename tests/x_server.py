"""An X server of a test's own, started and stopped."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def x_server(program: str, *options: str) -> Iterator[str]:
    """Start a server at a free display, and give its name, `:3`; empty where it does not start.

    The server itself finds the number, so that parallel workers do not collide.
    """
    readable, writable = os.pipe()
    command = [program, "-displayfd", str(writable), *options, "-noreset", "-nolisten", "tcp"]
    quiet = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.DEVNULL)
    server = subprocess.Popen(command, pass_fds=[writable], **quiet)
    os.close(writable)
    try:
        with os.fdopen(readable) as answer:
            number = answer.readline().strip()
        yield f":{number}" if number else ""
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()
