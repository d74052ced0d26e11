"""What each guard makes of what it was told, and what all of them claim together."""

# ruff: noqa: N802 - names of the systems' own libraries

from __future__ import annotations

import ctypes
import itertools
from types import SimpleNamespace

import pytest

from player.outputs.base import Guard
from player.windows.pattern import guards, on_macos, on_windows
from player.windows.pattern.guards import (
    BACK_BUFFER,
    MOST_IMPORTANT,
    Swaps,
    late_guard,
    mode_guard,
    overall,
    refresh_guard,
    size_guard,
    srgb_guard,
    timed_swaps,
)
from player.windows.pattern.on_x11 import Above, driver_dither_guard, top_guard
from player.windows.pattern.ramps import FULL, night_guard, ramp_guard

STATES = ("verified", "altered", "unknown")
STRAIGHT = [[257 * code for code in range(256)]] * 3


def test_the_state_over_all_checks_claims_no_more_than_they_do() -> None:
    for back, other, third in itertools.product(STATES, repeat=3):
        guard = overall(
            {BACK_BUFFER: Guard(back, "b"), "srgb": Guard(other, "s"), "hdr": Guard(third, "h")}
        )
        if "altered" in (back, other, third):
            assert guard.state == "altered"
        else:
            assert guard.state == back
    assert overall({}).state == "unknown"
    assert overall({"srgb": Guard("verified", "s")}).state == "unknown"


def test_the_sentence_over_all_checks_is_that_of_the_cause() -> None:
    checks = {name: Guard("altered", name) for name in reversed(MOST_IMPORTANT)}
    assert overall(checks).why == "size; back buffer"
    checks |= {"size": Guard("verified", "size"), "depth": Guard("unknown", "depth")}
    checks[BACK_BUFFER] = Guard("verified", "all right")
    guard = overall(checks)
    assert guard.why == "the back buffer is right, but srgb"
    assert guard.checks["depth"] == ("unknown", "depth")
    assert list(guard.checks) == list(MOST_IMPORTANT)


@pytest.mark.parametrize(
    ("told", "known", "waiting", "free", "state"),
    [
        (60, True, 1 / 60, 0.0004, "verified"),
        (60, False, 1 / 125, 0.004, "unknown"),
        (60, False, 1 / 59.94, 0.0004, "verified"),
        (60, True, 0.0004, 0.0004, "unknown"),
        (60, True, 0.0, 0.0, "unknown"),
        (60, True, 0.030, 0.029, "unknown"),
        (60, True, 1 / 30, 0.001, "unknown"),
        (60, True, 1 / 75, 0.001, "altered"),
        (60, False, 1 / 50, 0.001, "altered"),
    ],
)
def test_the_refresh_is_only_claimed_where_swaps_wait_for_the_screen(
    told: float, known: bool, waiting: float, free: float, state: str
) -> None:
    assert refresh_guard(told, known, Swaps(waiting, free)).state == state


def test_a_refresh_is_not_measured_by_swaps_that_come_unevenly() -> None:
    uneven = refresh_guard(60, False, Swaps(1 / 75, 0.001, 0.06))
    assert uneven.state == "unknown"
    assert "unevenly" in uneven.why
    assert refresh_guard(60, False, Swaps(1 / 75, 0.001, 0.04)).state == "altered"


class Screen:
    """A window whose swaps take these seconds, by a clock of its own, where they wait."""

    def __init__(self, waits: list[float], free: float) -> None:
        self.waits, self.free = itertools.cycle(waits), free
        self.vsync = True
        self.now = 0.0
        self.drawn = 0

    def set_vsync(self, on: bool) -> None:
        self.vsync = on

    def flip(self) -> None:
        self.now += next(self.waits) if self.vsync else self.free

    def draw(self) -> None:
        self.drawn += 1


@pytest.mark.parametrize(
    ("waits", "free", "state", "words"),
    [
        ([1 / 60], 0.0005, "verified", "swaps come at 60 Hz"),
        ([1 / 60, 1 / 60, 1 / 60, 1 / 20], 0.0005, "verified", "swaps come at 60 Hz"),
        ([1 / 75], 0.0005, "altered", "60 Hz is told by the screen, but swaps come at 75 Hz"),
        ([1 / 50], 0.0005, "unknown", "swaps come at 50 Hz, which may be slow drawing"),
        ([0.0006], 0.0005, "unknown", "do not wait"),
        ([0.006, 0.008, 0.011, 0.004], 0.002, "unknown", "unevenly"),
        ([0.02], 0.02, "unknown", "do not wait"),
    ],
)
def test_swaps_of_a_screen_are_timed_and_held_against_its_mode(
    monkeypatch: pytest.MonkeyPatch, waits: list[float], free: float, state: str, words: str
) -> None:
    screen = Screen(waits, free)
    monkeypatch.setattr(guards, "time", SimpleNamespace(perf_counter=lambda: screen.now))
    monkeypatch.setattr(guards, "_finish", lambda: None)
    guard = refresh_guard(60, True, timed_swaps(screen, screen.draw))
    assert (guard.state, words in guard.why) == (state, True), guard.why
    assert screen.vsync, "it waits again afterwards"
    # where drawing is slow, it is not drawn for long
    assert screen.drawn == (2 if free > 0.01 else 15)


def test_a_refresh_that_was_not_timed_is_unknown() -> None:
    assert refresh_guard(60, True, None).state == "unknown"


def test_srgb_is_altered_unless_it_is_off_or_has_no_effect() -> None:
    told = [(on, mark) for on in (False, True) for mark in (7, 8, None)]
    states = [srgb_guard(on, mark, 7, 8).state for on, mark in told]
    assert states == ["verified"] * 3 + ["altered", "verified", "altered"]


def test_a_window_out_of_size_or_place_and_a_scaled_mode_are_altered() -> None:
    assert size_guard((640, 360), (640, 360), True).state == "verified"
    assert size_guard((640, 360), (640, 359), True).state == "altered"
    assert size_guard((640, 360), (640, 360), False).state == "altered"
    assert mode_guard((640, 360), None) is None
    assert mode_guard((640, 360), (360, 640)) is None
    assert mode_guard((640, 360), (1280, 720)) is not None


def test_late_frames_are_counted() -> None:
    assert late_guard(0, 0).state == "unknown"
    assert late_guard(0, 100).state == "verified"
    assert late_guard(3, 100) == Guard("altered", "3 of 100 refreshes were skipped while it moved")


def test_a_ramp_is_told_from_none_and_night_light_is_never_verified() -> None:
    bent = [[value * 98 // 100 for value in ramp] for ramp in STRAIGHT]
    warm = [STRAIGHT[0], STRAIGHT[1], [value // 2 for value in STRAIGHT[2]]]
    ramps = [None, STRAIGHT, bent, warm]
    assert [ramp_guard(each).state for each in ramps] == [
        "unknown",
        "verified",
        "altered",
        "altered",
    ]
    assert [night_guard(each).state for each in ramps] == ["unknown"] * 3 + ["altered"]


SCREEN = (1920, 1080)
SMALL = Above(10, 10, 300, 80, unmanaged=True)
WHOLE = Above(0, 0, 1920, 1080, unmanaged=True)


@pytest.mark.parametrize(
    ("above", "composited", "wayland", "state"),
    [
        ([], False, False, "verified"),
        ([], True, False, "verified"),
        ([], False, True, "unknown"),
        (None, False, False, "unknown"),
        ([SMALL], False, False, "altered"),
        ([SMALL], True, True, "altered"),
        ([WHOLE], False, False, "altered"),
        ([WHOLE], True, False, "unknown"),
        ([WHOLE, SMALL], True, False, "altered"),
        ([Above(0, 0, 1920, 1080, unmanaged=False)], True, False, "altered"),
    ],
)
def test_a_window_on_top_is_seen_but_for_the_compositors_own(
    above: list[Above] | None, composited: bool, wayland: bool, state: str
) -> None:
    assert top_guard(above, SCREEN, composited=composited, wayland=wayland).state == state


def test_a_drivers_dithering_is_known_only_where_it_has_a_switch() -> None:
    told = [None, {}, {"dithering depth": "6"}, {"dither": "off"}, {"dithering mode": "auto"}]
    told.append({"dither": "on"})
    assert [driver_dither_guard(each).state for each in told] == [
        "unknown",
        "unknown",
        "unknown",
        "verified",
        "unknown",
        "altered",
    ]


# ---- systems that there are none of here: made-up libraries at the border to C


class Gdi:
    """A graphics device with a gamma ramp; None for one that tells none."""

    def __init__(self, ramps: list[list[int]] | None) -> None:
        self.ramps = ramps
        self.open = 0

    def CreateDCW(self, device: str, *_: object) -> int:
        assert device == "screen 2"
        self.open += 1
        return 5

    def GetDeviceGammaRamp(self, _: object, where: ctypes.c_void_p) -> bool:
        if self.ramps is None:
            return False
        kept = where._obj
        for into, ramp in zip(kept, self.ramps, strict=True):
            into[:] = ramp
        return True

    def DeleteDC(self, _: object) -> None:
        self.open -= 1


NOISE = [7552, 40945, 21979, 0, 59904, 40946] * 42 + [0, 0, 32, 0]
"""Memory of a virtual X server that nobody wrote to, as it was read."""


@pytest.mark.parametrize(
    "ramps", [[[0] * 256] * 3, [NOISE] * 3, [NOISE, [48] + [0] * 255, [0] * 256]]
)
def test_numbers_that_are_no_ramp_are_unknown(ramps: list[list[int]]) -> None:
    assert (ramp_guard(ramps).state, night_guard(ramps).state) == ("unknown", "unknown")


@pytest.mark.parametrize(
    "ramp",
    [
        [FULL - value for value in STRAIGHT[0]],
        [min(value + 9 * (value // 257 % 3), FULL) * 9 // 10 for value in STRAIGHT[0]],
    ],
)
def test_a_ramp_upside_down_and_a_rough_one_are_altered(ramp: list[int]) -> None:
    assert ramp_guard([ramp] * 3).state == "altered"


@pytest.mark.parametrize("ramps", [None, STRAIGHT, [[0] * 256] * 3])
def test_windows_ramps_are_read_from_the_screens_device(ramps: list[list[int]] | None) -> None:
    gdi = Gdi(ramps)
    assert on_windows.ramps_of(gdi, "screen 2") == ramps
    assert gdi.open == 0


class User:
    """A desktop of two screens; the second has these bits of advanced colour."""

    def __init__(self, value: int, refuses: int = 0) -> None:
        self.value, self.refuses = value, refuses

    def GetDisplayConfigBufferSizes(self, _: int, paths: object, modes: object) -> int:
        paths._obj.value, modes._obj.value = 2, 4
        return 0

    def QueryDisplayConfig(self, _: int, count: object, paths: object, *__: object) -> int:
        count._obj.value = 2
        paths[0].source, paths[1].source, paths[1].target = 11, 22, 222
        return 0

    def DisplayConfigGetDeviceInfo(self, request: object) -> int:
        asked = request._obj
        if asked.head.type == on_windows.SOURCE_NAME:
            text = {11: "screen 1", 22: "screen 2"}[asked.head.id].ljust(32, "\0")
            asked.device[:] = [ord(letter) for letter in text]
        else:
            assert asked.head.id == 222
            asked.value = self.value
        return self.refuses if asked.head.type == on_windows.ADVANCED_COLOUR else 0


def test_the_structures_of_windows_have_the_sizes_of_its_headers() -> None:
    sizes = [on_windows.Path, on_windows.SourceName, on_windows.AdvancedColour]
    assert [ctypes.sizeof(each) for each in sizes] == [72, 84, 32]


@pytest.mark.parametrize(
    ("value", "refuses", "state"),
    [
        (0, 0, "verified"),
        (1, 0, "verified"),
        (3, 0, "altered"),
        (5, 0, "altered"),
        (0, 5, "unknown"),
    ],
)
def test_an_hdr_desktop_of_windows_is_seen(value: int, refuses: int, state: str) -> None:
    assert on_windows.hdr_guard(User(value, refuses), "screen 2").state == state
    assert on_windows.hdr_guard(User(value), "screen 3").state == "unknown"


class Graphics:
    """The tables of a display of macOS."""

    def __init__(self, top: float, failed: int = 0) -> None:
        self.top, self.failed = top, failed

    def CGGetDisplayTransferByTable(self, _: object, most: object, *where: object) -> int:
        *tables, count = where
        assert most.value >= 256
        for table in tables:
            table[:256] = [self.top * code / 255 for code in range(256)]
        count._obj.value = 256
        return self.failed


def test_ramps_of_macos_are_read() -> None:
    assert ramp_guard(on_macos.ramps_of(Graphics(1.0), 1)).state == "verified"
    assert ramp_guard(on_macos.ramps_of(Graphics(0.9), 1)).state == "altered"
    assert on_macos.ramps_of(Graphics(1.0, failed=1000), 1) is None
