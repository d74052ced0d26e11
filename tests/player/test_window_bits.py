"""How deep the framebuffer is, also where its configuration does not tell, as on macOS."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from player.windows.pattern.framebuffer import bits_of
from tests.player.playing import Environment

SCRIPT = """
import json, sys
from player.windows import loop
from player.windows.pattern import framebuffer as bits, window as pattern
from player.windows.errors import WindowError

framebuffer, wanted = json.loads(sys.argv[1])
real = pattern._full_screen
def full_screen(*arguments):
    window = real(*arguments)
    window.config.red_size = window.config.green_size = window.config.blue_size = 0
    return window
pattern._full_screen = full_screen
if not framebuffer:
    bits.of_framebuffer = lambda what: 0
(screen,) = loop.screens_here()
try:
    window = pattern.PatternWindow(screen, wanted)
except WindowError as error:
    print("refused:", error)
else:
    print(window.bits)
    window.window.switch_to()
    print(bits.ramp_sizes())
    window.close()
"""


@pytest.mark.gl
@pytest.mark.parametrize(("depth", "bits"), [(24, 8), (30, 10)])
@pytest.mark.parametrize("framebuffer", [True, False])
def test_the_depth_is_found_where_the_configuration_does_not_tell_it(
    screen_env: Environment, depth: int, bits: int, framebuffer: bool
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, json.dumps([framebuffer, bits])],
        env=screen_env(640, 360, depth),
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    assert done.stdout.splitlines() == [str(bits), f"({bits}, {bits}, {bits})"], done.stderr


@pytest.mark.parametrize("bits", [5, 8, 10, 12])
def test_the_levels_of_a_ramp_that_come_back_tell_the_bits(bits: int) -> None:
    level = np.arange(4096) / 4095
    back = np.round(np.round(level * (2**bits - 1)) / (2**bits - 1) * 65535).astype(np.uint16)
    assert bits_of(np.stack([back] * 3, axis=1)) == (bits, bits, bits)


def test_channels_of_unequal_depth_are_told_apart() -> None:
    level = np.arange(4096) / 4095
    red, green = (np.round(level * (2**bits - 1)).astype(np.uint16) for bits in (5, 6))
    assert bits_of(np.stack([red, green, red], axis=1)) == (5, 6, 5)


def test_what_does_not_come_back_as_a_ramp_tells_nothing() -> None:
    assert bits_of(np.zeros((4096, 3), np.uint16)) is None
    rough = np.random.default_rng(1).integers(0, 65536, (4096, 3)).astype(np.uint16)
    assert bits_of(rough) is None
