"""What all tests share: where the code under test comes from, and X servers for windows."""

import importlib.util
import os
import sysconfig
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path

import pytest
from hypothesis import settings

from tests.needs import program
from tests.x_server import x_server

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
def _screen(width: int, height: int, depth: int) -> Iterator[str]:
    size = f"{width}x{height}x{depth}"
    program_path = program("Xvfb", "needs an X server")
    with x_server(program_path, "-screen", "0", size) as display:
        assert display, f"Xvfb did not start with a screen of {size}"
        yield display


@pytest.fixture(scope="session")
def xvfb() -> Iterator[Callable[[int, int, int], str]]:
    """Give the name of an X display of a width, height and depth (24 or 30), started at need.

    The server lives to the end of the session and serves every test that asks for the same.
    Open windows in a process of their own (`screen_env`): Xlib ends a process that loses its
    server, and pyglet binds a process to its first display.
    """
    with ExitStack() as servers:
        yield cache(
            lambda width, height, depth=24: servers.enter_context(_screen(width, height, depth))
        )


@pytest.fixture
def screen_env(xvfb: Callable[[int, int, int], str]) -> Callable[[int, int, int], dict[str, str]]:
    """Give the environment for a program that draws, in software, on such a display."""

    def environment(width: int, height: int, depth: int = 24) -> dict[str, str]:
        display = xvfb(width, height, depth)
        kept = {name: value for name, value in os.environ.items() if name != "WAYLAND_DISPLAY"}
        return kept | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}

    return environment
