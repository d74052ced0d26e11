"""The picture of a zone count holds what can be seen of it, and no more."""

from __future__ import annotations

import numpy as np

from player.windows.controls.zone_picture import FEWEST_BARS, picture_of
from readings.zones import Pass, count_axis


def passes(zones: int, size: int = 3840) -> list[Pass]:
    there = tuple((np.arange(1, zones) + 0.3) * size / zones)
    return [Pass("forward", there), Pass("backward", tuple(size - place for place in there))]


def test_a_sure_count_stands_among_its_neighbours() -> None:
    picture = picture_of("columns", count_axis(passes(32), 3840))
    assert picture.title == "Columns: 32"
    assert [count for count, _ in picture.bars] == list(range(27, 38))
    assert picture.held == (32,)
    assert max(picture.bars, key=lambda bar: bar[1])[0] == 32


def test_before_the_first_press_every_count_has_a_bar() -> None:
    picture = picture_of("rows", count_axis([], 2160))
    assert picture.title == "Rows: nothing pressed yet"
    assert len(picture.bars) > 190


def test_what_is_too_unlikely_to_be_seen_does_not_squeeze_the_bars() -> None:
    """A few presses: some far count always has a chance that nobody could see."""
    few = [Pass("forward", passes(52)[0].positions[:7])]
    count = count_axis(few, 3840)
    picture = picture_of("columns", count)
    shown = [each for each, _ in picture.bars]
    assert set(count.set95) <= set(shown)
    highest = float(count.chances.max())
    seen = [each for each in shown if count.chances[each] >= 0.02 * highest]
    outside = len(shown) - (max(*seen, *count.set95) - min(*seen, *count.set95) + 1)
    assert outside <= max(FEWEST_BARS - len(seen), 0)
