"""A simulated operator sees nothing but light, and counts by it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import sequences
from patterns.kinds.moving_box import Comb
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.run.by_hand import with_comb
from player.simulated import SimulatedDisplay, parse_display
from player.simulated_eye import brightest, groups_seen
from player.simulated_play import play_simulated
from readings.findings import findings_of
from readings.visit.visit import Visit

UHD = Canvas(3840, 2160)
HD = Canvas(1920, 1080)
SDR = named_signal("sdr8")


def display(columns: int, rows: int) -> SimulatedDisplay:
    text = f"""
name: lobby wall
peak: 1000
responses: {{bt1886: {{white: 400}}}}
light:
  kind: zoned
  contrast: 4000
  columns: {columns}
  rows: {rows}
  halos: [{{radius: 3, share: 1.0}}]
"""
    return SimulatedDisplay(parse_display(text, "lobby.yaml"))


@pytest.mark.parametrize(
    ("zones", "groups"),
    # a right comb shows none, one off one, and so on, to either side
    [(41, 0), (40, 1), (42, 1), (39, 2), (43, 2), (38, 3), (44, 3)],
)
@pytest.mark.parametrize("spacing", [3, 4])
def test_with_41_columns_a_comb_that_is_off_by_some_shows_so_many_groups(
    zones: int, groups: int, spacing: int
) -> None:
    screen = display(41, 12)
    comb = with_comb(Comb(), zones, spacing, 0.5)
    screen.show(comb.frame(UHD, SDR))
    screen.wait(10)
    places = np.array([float(box.x) + box.width / 2 for box in comb.boxes(UHD)]) / UHD.width
    assert groups_seen(places, screen.zone_light().max(axis=0), spacing, zones) == groups


def test_an_eye_cannot_tell_groups_of_two_boxes_or_of_boxes_that_drift_by_half_a_zone() -> None:
    even = np.ones(12)
    assert groups_seen(np.array([0.2, 0.8]), even, 3, 12) is None
    half = (np.arange(8) * 1.5 + 0.5) / 12
    lit = np.zeros(12)
    lit[(half * 12).astype(int)] = 1
    assert groups_seen(half, lit, 1, 8) is None


def test_the_brightest_zone_of_a_dark_screen_is_none() -> None:
    light = np.zeros((3, 5))
    assert brightest(light, 1) is None
    light[1, 4] = 0.5
    assert (brightest(light, 1), brightest(light, 0)) == (4, 1)


@pytest.mark.parametrize(("columns", "rows"), [(23, 14), (16, 10)])
def test_a_simulated_operator_counts_the_zones_of_a_simulated_display(
    columns: int, rows: int, tmp_path: Path
) -> None:
    """The whole way: box, light, late and missed presses, combs, visit, finding."""
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        live = play_simulated(
            sequences.load("zone-count"), visit, display(columns, rows), canvas=HD, seed=4
        )
        assert live.finished
        (found,) = findings_of(visit, ["zones"])
        assert not visit.skips(1)
    counts = {value.name: (value.value, value.among) for value in found.values[:3]}
    assert counts["zone-columns"] == (columns, (columns,))
    assert counts["zone-rows"] == (rows, (rows,))
    assert counts["zones"] == (columns * rows, (columns * rows,))
    halo = found.value("zone-halo-luminance")
    assert halo is not None
    assert halo.value is not None
    assert 0 < halo.value < 10


def test_a_screen_without_zones_has_nothing_counted_and_says_why(tmp_path: Path) -> None:
    screen = SimulatedDisplay(
        parse_display(
            "{name: desk, peak: 500, responses: {bt1886: {white: 150}}, light: {kind: emissive}}",
            "desk.yaml",
        )
    )
    with Visit.create(tmp_path / "desk.visit", display="ticket desk") as visit:
        play_simulated(sequences.load("zone-count"), visit, screen, canvas=Canvas(1920, 1080))
        assert [skip.why for skip in visit.skips(1)] == [
            *["needs someone at the screen to press a key at each jump of the light"] * 4,
            *["needs someone at the screen to count"] * 2,
        ]
        assert findings_of(visit, ["zones"]) == []
