"""Which screen is taken, and when a full-screen window is not exact."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from types import SimpleNamespace

import pytest

from player.windows.errors import WindowError
from player.windows.pattern import screens
from player.windows.pattern.ramps import straight as is_straight
from player.windows.pattern.screens import choose, refresh_of, require_whole


@dataclass
class Mode:
    width: int = 1920
    height: int = 1080
    rate: float = 60.0


@dataclass
class Screen:
    x: int = 0
    y: int = 0
    width: int = 1920
    height: int = 1080
    mode: Mode | None = None
    name: str = "Unknown"

    def get_mode(self) -> Mode | None:
        return self.mode

    def get_monitor_name(self) -> str:
        return self.name


LAPTOP = Screen()
WALL = Screen(x=1920, width=3840, height=2160, mode=Mode(3840, 2160, 59.94006), name="DP-1")
MIRROR = Screen()


def test_the_last_screen_shows_the_pattern_and_the_first_other_one_the_operator_window() -> None:
    places = choose([LAPTOP, WALL], None)
    assert (places.pattern, places.operator, places.number) == (WALL, LAPTOP, 2)
    places = choose([LAPTOP, WALL], 1)
    assert (places.pattern, places.operator) == (LAPTOP, WALL)


def test_a_single_screen_and_a_mirrored_one_have_no_operator_window() -> None:
    assert choose([LAPTOP], None).operator is None
    assert choose([LAPTOP, MIRROR], None).operator is None


@pytest.mark.parametrize("number", [0, -1, 3])
def test_a_screen_that_is_not_there_is_refused(number: int) -> None:
    with pytest.raises(WindowError) as refused:
        choose([LAPTOP, WALL], number)
    assert str(refused.value) == (
        f"There is no screen {number}. There are screen 1, 1920x1080; screen 2, DP-1, 3840x2160."
    )


def test_the_refresh_is_an_exact_ratio_and_assumed_where_the_screen_does_not_tell() -> None:
    assert refresh_of(WALL) == (Fraction(60000, 1001), True)
    assert refresh_of(Screen(mode=Mode(rate=50.0))) == (Fraction(50), True)
    assert refresh_of(Screen(mode=Mode(rate=0))) == (Fraction(60), False)
    assert refresh_of(LAPTOP) == (Fraction(60), False)


def test_a_window_that_is_the_whole_screen_is_taken() -> None:
    require_whole(WALL, (3840, 2160), (1920, 0))
    turned = Screen(width=1080, height=1920, mode=Mode(1920, 1080))
    require_whole(turned, (1080, 1920), (0, 0))


@pytest.mark.parametrize("size", [(1920, 1080), (3840, 2159), (2160, 3840)])
def test_a_scaled_window_is_refused(size: tuple[int, int]) -> None:
    with pytest.raises(WindowError, match=r"where the screen has 3840x2160.*100 %"):
        require_whole(WALL, size, (1920, 0))


def test_a_screen_whose_desktop_is_scaled_is_refused() -> None:
    scaled = Screen(width=1920, height=1080, mode=Mode(3840, 2160))
    with pytest.raises(WindowError, match="nothing it shows would be exact"):
        require_whole(scaled, (1920, 1080), (0, 0))


def test_a_window_on_another_screen_is_refused() -> None:
    with pytest.raises(WindowError, match="stands at 0, 0"):
        require_whole(WALL, (3840, 2160), (0, 0))


class Point:
    """A made-up NSPoint."""

    def __init__(self, x: float, y: float) -> None:
        self.x, self.y = x, y


class Rect:
    """A made-up NSRect, whose origin is its lower left corner."""

    def __init__(self, x: float, y: float, width: float, height: float) -> None:
        self.origin = Point(x, y)
        self.size = type("Size", (), {"width": width, "height": height})()


class Cocoa:
    """A made-up desktop of macOS: its screens as CoreGraphics has them, the first one first."""

    NSPoint = Point

    def __init__(self, *screens: Screen) -> None:
        self.first_height = screens[0].height
        self.nsscreens = [self.nsscreen(each) for each in screens]

    def nsscreen(self, screen: Screen) -> SimpleNamespace:
        # Cocoa has its origin at the first screen's lower left corner, and counts upwards
        lower = self.first_height - screen.y - screen.height
        rect = Rect(screen.x, lower, screen.width, screen.height)
        return SimpleNamespace(frame=lambda: rect)

    def ObjCClass(self, name: str) -> SimpleNamespace:  # noqa: N802 - pyglet's name
        assert name == "NSScreen"
        listed = SimpleNamespace(objectAtIndex_=self.nsscreens.__getitem__)
        return SimpleNamespace(screens=lambda: listed)


class CocoaWindow:
    """A window that covers its screen's size, put where pyglet 2.1 puts and finds it."""

    def __init__(self, cocoa: Cocoa, screen: Screen, number: int) -> None:
        self.screen = screen
        self.own = cocoa.nsscreens[number]
        self.rect = Rect(screen.x, screen.y, screen.width, screen.height)
        self._nswindow = SimpleNamespace(
            frame=lambda: self.rect,
            contentRectForFrameRect_=lambda rect: rect,
            setFrameOrigin_=self.move,
        )

    def move(self, origin: Point) -> None:
        self.rect = Rect(origin.x, origin.y, self.rect.size.width, self.rect.size.height)

    def get_location(self) -> tuple[int, int]:
        height = self.own.frame().size.height
        return int(self.rect.origin.x), int(height - self.rect.origin.y - self.rect.size.height)


@pytest.fixture
def on_macos(monkeypatch: pytest.MonkeyPatch) -> Callable[[Cocoa], None]:
    """Have the placing of windows go through a made-up desktop of macOS."""

    def use(cocoa: Cocoa) -> None:
        monkeypatch.setattr(screens.sys, "platform", "darwin")
        monkeypatch.setattr(screens, "_cocoa", lambda: cocoa)

    return use


SHORT = Screen(width=1440, height=900)
"""The first screen of a desktop of macOS."""


@pytest.mark.parametrize(
    "wall",
    [
        pytest.param(Screen(x=1440, width=3840, height=2160), id="upper edges in line"),
        pytest.param(Screen(x=1440, y=-1260, width=3840, height=2160), id="lower edges in line"),
        pytest.param(Screen(x=-1920, y=-200, width=1920, height=1080), id="left of it"),
        pytest.param(Screen(x=0, y=-1080, width=1920, height=1080), id="above it"),
        pytest.param(Screen(x=100, y=900, width=1920, height=1080), id="below it"),
        pytest.param(Screen(x=1440, width=1440, height=900), id="of equal height"),
    ],
)
def test_a_window_of_macos_is_brought_over_its_screen_and_only_then_taken(
    on_macos: Callable[[Cocoa], None], wall: Screen
) -> None:
    cocoa = Cocoa(SHORT, wall)
    on_macos(cocoa)
    window = CocoaWindow(cocoa, wall, 1)
    # where it lies is told by its edges in Cocoa's own coordinates
    lies = window.rect.origin.y == cocoa.nsscreens[1].frame().origin.y
    if not lies:
        with pytest.raises(WindowError, match=f"and its screen at {wall.x}, {wall.y}"):
            require_whole(wall, (wall.width, wall.height), screens.place_of(window))
    assert screens.cover_screen(window)
    assert window.rect.origin.y == cocoa.nsscreens[1].frame().origin.y
    assert window.rect.origin.x == wall.x
    require_whole(wall, (wall.width, wall.height), screens.place_of(window))


def test_the_operator_window_of_macos_stands_where_it_is_put(
    on_macos: Callable[[Cocoa], None],
) -> None:
    wall = Screen(x=1440, width=3840, height=2160)
    cocoa = Cocoa(SHORT, wall)
    on_macos(cocoa)
    window = CocoaWindow(cocoa, wall, 1)  # where pyglet puts it first, by the window before
    window.rect = Rect(1500, 300, 1353, 792)
    screens.move(window, 43, 45)
    # 792 rows from Cocoa's 900 - 45 - 792 = 63 upwards
    assert (window.rect.origin.x, window.rect.origin.y) == (43, 63)
    assert screens.place_of(window) == (43, 45)


def test_a_window_of_macos_that_pyglet_finds_in_place_may_lie_elsewhere(
    on_macos: Callable[[Cocoa], None],
) -> None:
    wall = Screen(x=1440, width=3840, height=2160)
    cocoa = Cocoa(SHORT, wall)
    on_macos(cocoa)
    window = CocoaWindow(cocoa, wall, 1)
    assert window.get_location() == (1440, 0)
    # 2160 rows from Cocoa's 0 upwards; the wall's go from 900 - 2160 = -1260 up to 900
    assert screens.place_of(window) == (1440, -1260)


@pytest.mark.parametrize("size", [256, 1024, 4096])
def test_a_straight_gamma_ramp_is_told_from_a_bent_one(size: int) -> None:
    straight = [round(i * 65535 / (size - 1)) for i in range(size)]
    assert is_straight(straight)
    assert is_straight([i * (65536 // size) for i in range(size)])
    assert not is_straight([value * 98 // 100 for value in straight])
    assert not is_straight([round(65535 * (i / (size - 1)) ** 1.03) for i in range(size)])
