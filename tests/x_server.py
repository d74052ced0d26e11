"""An X server of a test's own, started and stopped."""

from __future__ import annotations

import os
import random
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

# Displays below a hundred are a desktop's own. A server that looks for a free one itself
# (-displayfd alone) takes that of another which starts in the same moment: its lock comes last.
NUMBERS = range(100, 30_000)
TRIES = 5


@contextmanager
def x_server(program: str, *options: str) -> Iterator[str]:
    """Start a server at a free display, and give its name, `:103`; empty where it does not start.

    The server is given its number and locks it before all else, so that parallel workers never
    share one; where the number is taken another is tried.
    """
    with ExitStack() as started:
        for number in random.SystemRandom().sample(NUMBERS, TRIES):
            if started.enter_context(server_at(f":{number}", program, *options)):
                yield f":{number}"
                return
        yield ""


@contextmanager
def server_at(display: str, program: str, *options: str) -> Iterator[bool]:
    """Start a server at one display, and say whether it did start."""
    readable, writable = os.pipe()
    command = [program, display, "-displayfd", str(writable), *options]
    quiet = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.DEVNULL)
    server = subprocess.Popen(
        [*command, "-noreset", "-nolisten", "tcp"], pass_fds=[writable], **quiet
    )
    os.close(writable)
    try:
        with os.fdopen(readable) as answer:
            started = answer.readline().strip()
        yield started == display.removeprefix(":")
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()
