"""What all tests share: where the code under test comes from, and X servers for windows."""

import importlib.util
import os
import subprocess
import sysconfig
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path

import pytest
from hypothesis import settings

from tests.needs import program

ROOMS = ("patterns", "sequences", "readings", "player")

# A slow machine is no failure here; speed is the benchmarks' matter.
settings.register_profile("litfield", deadline=None, print_blob=True)
settings.load_profile("litfield")


def pytest_sessionstart() -> None:
    """Refuse to test anything but the installed wheel, unless the source is asked for."""
    if os.environ.get("LITFIELD_TEST_SOURCE"):
        return
    site_packages = Path(sysconfig.get_path("purelib")).resolve()
    for room in ROOMS:
        spec = importlib.util.find_spec(room)
        origin = Path(spec.origin).resolve() if spec and spec.origin else None
        if not origin or site_packages not in origin.parents:
            raise pytest.UsageError(
                f"{room} comes from {origin}, not from the installed wheel: "
                "use `make test`, or `make quick` for the source tree"
            )


@contextmanager
def _x_server(width: int, height: int, depth: int) -> Iterator[str]:
    server_program = program("Xvfb", "needs an X server")
    screen = f"{width}x{height}x{depth}"
    readable, writable = os.pipe()
    # The server itself finds a free display number, so that parallel workers do not collide.
    options = ["-displayfd", str(writable), "-screen", "0", screen, "-noreset", "-nolisten", "tcp"]
    quiet = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.DEVNULL)
    server = subprocess.Popen([server_program, *options], pass_fds=[writable], **quiet)
    os.close(writable)
    try:
        with os.fdopen(readable) as answer:
            number = answer.readline().strip()
        assert number, f"Xvfb did not start with a screen of {screen}"
        yield f":{number}"
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


@pytest.fixture(scope="session")
def xvfb() -> Iterator[Callable[[int, int, int], str]]:
    """Give the name of an X display of a width, height and depth (24 or 30), started at need.

    The server lives to the end of the session and serves every test that asks for the same.
    Open windows in a process of their own (`screen_env`): Xlib ends a process that loses its
    server, and pyglet binds a process to its first display.
    """
    with ExitStack() as servers:
        yield cache(
            lambda width, height, depth=24: servers.enter_context(_x_server(width, height, depth))
        )


@pytest.fixture
def screen_env(xvfb: Callable[[int, int, int], str]) -> Callable[[int, int, int], dict[str, str]]:
    """Give the environment for a program that draws, in software, on such a display."""

    def environment(width: int, height: int, depth: int = 24) -> dict[str, str]:
        display = xvfb(width, height, depth)
        kept = {name: value for name, value in os.environ.items() if name != "WAYLAND_DISPLAY"}
        return kept | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}

    return environment
