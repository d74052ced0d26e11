"""What presses say of a count: hand-worked likelihoods, lag, direction, what is never claimed."""

from __future__ import annotations

from math import exp, log, pi, sqrt

import numpy as np
import pytest

from patterns.kinds.moving_box import MOST_ZONES
from readings.zones import CLAIM, CombAnswer, Pass, count_axis, zone_count
from readings.zones.combine import smallest_set
from readings.zones.crawl import crawl_belief
from readings.zones.lattice import (
    DOUBLES,
    SPREADS,
    STRAYS,
    likeliest,
    most_zones,
    pass_likelihood,
    spread_tables,
)
from tests.readings.zone_operator import Operator, Panel
from tests.readings.zone_trials import crawl


def presses(zones: int, size: int, lag: float = 0.4) -> tuple[Pass, Pass]:
    """Both ways along a panel, a press so many zones behind every edge."""
    pitch = size / zones
    forward = tuple((edge + lag) * pitch for edge in range(1, zones))
    return Pass("forward", forward), Pass("backward", tuple(size - each for each in forward))


def test_the_density_of_a_press_at_its_edge_is_that_of_its_parts():
    spread = SPREADS[1]
    usual = 1 / (spread * sqrt(2 * pi))
    late = spread + 0.1
    doubled = exp(-0.5 * (0.25 / late) ** 2) / (late * sqrt(2 * pi))
    near = (1 - DOUBLES) * usual + DOUBLES * doubled
    # neighbours a zone away add less than a thousandth
    expected = log((1 - STRAYS) * near + STRAYS)
    middle = spread_tables().shape[1] // 2
    assert spread_tables()[1, middle] == pytest.approx(expected, abs=2e-3)


def test_one_press_at_one_edge_is_likeliest_where_the_lattice_has_that_edge():
    # two zones, one edge at half the axis, a press half a zone behind it: u = 0.75 x 2 - 1.5 = 0
    shifts = np.array([1.0, 1.25, 1.5, 1.75, 2.0])
    found = pass_likelihood(np.array([0.75]), np.array([2]), np.array([[2.0]]), shifts)[0, 0]
    assert found.argmax() == 2
    assert found[1] < found[2] - 0.5


def test_a_missed_edge_costs_what_misses_are_worth():
    shifts = np.array([1.4])
    places = (np.arange(1, 9) + 0.4) / 9
    whole, one_less = (
        pass_likelihood(each, np.array([9]), np.array([[9.0]]), shifts)[0, 0, 0]
        for each in (places, np.delete(places, 3))
    )
    # a press more brings its density, about 1.6 a zone of 1/9, for a miss of about 1 in 10
    assert 3.0 < whole - one_less < 7.0


@pytest.mark.parametrize(("zones", "size"), [(8, 3840), (24, 2160), (41, 3840), (100, 3840)])
def test_a_clean_pass_each_way_gives_the_count(zones: int, size: int):
    found = count_axis(presses(zones, size), size)
    assert found.best == zones
    assert found.set95 == (zones,)
    assert found.written() == (str(zones) if found.count else f"{zones}, not certain")


@pytest.mark.parametrize("zones", [199, 200, 201, 210, 240, 320, 480])
def test_a_fine_backlight_is_counted_as_it_is(zones: int):
    found = count_axis(presses(zones, 3840), 3840)
    assert (found.best, found.set95, found.open) == (zones, (zones,), False)
    assert found.count in {zones, None}


@pytest.mark.parametrize(
    ("zones", "size"), [(500, 3840), (501, 3840), (560, 3840), (1001, 3840), (32, 64), (33, 64)]
)
def test_the_most_that_is_considered_is_never_claimed(zones: int, size: int):
    found = count_axis(presses(zones, size), size)
    assert found.open
    assert found.count is None
    assert found.written() == f"at least {found.set95[0]}"
    assert any("there may be more" in doubt for doubt in found.doubts())
    if found.set95[-1] in {32, 500}:
        assert found.advice() == "More passes, and combs, tell no more of so many zones."
    both = zone_count(found, count_axis(presses(24, 2160), 2160))
    assert both.count is None
    assert both.written() == f"at least {24 * found.set95[0]}"
    assert both.settled()["columns"] == {
        "count": None, "set95": list(found.set95), "at_least": found.set95[0]
    }  # fmt: skip


@pytest.mark.parametrize("zones", [503, 510, 530, 620])
def test_more_zones_than_are_considered_are_claimed_as_none_with_an_operator_who_errs(zones: int):
    for number in range(3):
        chance = np.random.default_rng([zones, number])
        panel, operator = Panel(zones, 3840), Operator(reaction=0.5)
        found = count_axis(crawl(panel, operator, chance), 3840)
        assert found.count is None
        assert found.written().startswith("at least 4") or found.written() == "at least 500"


def test_the_most_zones_are_those_of_a_comb_and_of_two_pixels():
    assert MOST_ZONES == 500
    assert [most_zones(size) for size in (1, 64, 999, 1000, 16_384)] == [2, 32, 499, 500, 500]


def test_presses_are_never_likelier_than_what_rules_counts_out():
    zones = np.array([2, 9, 40, 200, 500])
    near = np.stack([zones - 0.5, zones], axis=1)
    for count in (1, 8, 39, 150, 600):
        for places in (np.linspace(0, 1, count), (np.arange(count) + 1.4) / (count + 1)):
            found = pass_likelihood(places, zones, near, np.arange(0.5, 2.5, 0.2))
            assert (found.max(axis=(1, 2)) <= likeliest(count, zones)).all()


def test_the_lag_is_behind_the_way_of_the_box():
    forward, backward = presses(12, 3840, lag=0.6)
    swapped = Pass("backward", forward.positions), Pass("forward", backward.positions)
    right = crawl_belief([forward, backward], 3840)
    wrong = crawl_belief(swapped, 3840)
    assert right.counts()[12] > 0.9
    assert wrong.counts()[12] < right.counts()[12]


def test_a_panel_seen_from_the_other_end_has_the_same_count():
    forward, backward = presses(17, 2160, lag=0.5)
    turned = Pass("backward", tuple(2160 - each for each in forward.positions))
    assert crawl_belief([forward], 2160).counts() == pytest.approx(
        crawl_belief([turned], 2160).counts(), abs=1e-9
    )
    assert backward.positions == turned.positions


def test_probabilities_sum_to_one_whatever_was_seen():
    for passes in (
        [],
        [Pass("forward", ())],
        [Pass("forward", (10.0,))],
        [Pass("forward", tuple(np.linspace(0, 3840, 400)))],
        [Pass("backward", (0.0, 0.0, 3840.0))],
    ):
        found = count_axis(passes, 3840)
        assert found.chances.shape == (MOST_ZONES + 1,)
        assert found.chances.sum() == pytest.approx(1)
        assert found.chances[0] == 0
        assert found.chances.min() >= 0


def test_many_passes_without_a_press_are_never_a_certain_count():
    found = count_axis([Pass("forward", ()), Pass("backward", ())] * 5, 2160)
    assert found.best == 1
    assert found.count is None
    assert found.written().startswith("unsure: 1 to ")
    assert any("proves nothing" in doubt for doubt in found.doubts())


def test_few_presses_are_not_enough_however_many_combs_agree():
    combs = [CombAnswer(n, 3, abs(n - 41)) for n in range(38, 45)]
    found = count_axis([Pass("forward", (400.0,)), Pass("backward", (2000.0,))], 3840, combs)
    assert found.count is None
    assert count_axis([], 3840, combs).count is None


def test_nobody_went_along_means_every_count_is_as_likely():
    found = count_axis([], 3840)
    assert found.chances[1:] == pytest.approx(np.full(MOST_ZONES, 1 / MOST_ZONES))
    assert found.advice().startswith("Let the box go along")


def test_a_narrower_zone_at_an_end_is_said():
    size, zones, width = 3840, 30, 0.5
    pitch = size / (zones - 1 + width)
    edges = (width + np.arange(zones - 1)) * pitch
    back = size - edges[::-1]
    passes = [
        Pass(way, tuple(place if way == "forward" else size - place for place in places))
        for way in ("forward", "backward", "forward", "backward")
        for places in [[each + 0.3 * pitch for each in (edges if way == "forward" else back)]]
    ]
    found = count_axis(passes, size)
    assert found.best == zones
    assert found.uneven > 0.9
    assert any("narrower" in doubt for doubt in found.doubts())


def test_a_claim_needs_its_probability():
    assert CLAIM == 0.995
    found = count_axis(presses(41, 3840), 3840)
    assert (found.count is not None) == (found.sure >= CLAIM)


def test_the_smallest_set_takes_the_likeliest_first():
    assert smallest_set(np.array([0.0, 0.04, 0.9, 0.02, 0.04])) == (1, 2, 4)
    assert smallest_set(np.array([0.0, 0.96, 0.04])) == (1,)


def test_the_product_and_its_set_come_from_both_axes():
    found = zone_count(count_axis(presses(41, 3840), 3840), count_axis(presses(24, 2160), 2160))
    assert found.settled()["columns"]["set95"] == [41]
    assert found.settled()["zones"] == {"count": 984, "set95": [984]}
    assert found.kind() == "It has zones in columns and rows."


def test_one_row_is_edge_lit_and_no_hop_at_all_is_no_dimming():
    still = count_axis([Pass("forward", ()), Pass("backward", ())], 2160)
    columns = count_axis(presses(24, 3840), 3840)
    assert zone_count(columns, still).kind() == "It looks edge-lit: one row, columns 24."
    assert zone_count(columns, still).count is None
    assert zone_count(still, still).kind().startswith("No dimming was seen")


@pytest.mark.parametrize(
    ("passes", "size", "combs"),
    [
        ([Pass("forward", (3841.0,))], 3840, ()),
        ([Pass("forward", (-1.0,))], 3840, ()),
        ([Pass("forward", (float("nan"),))], 3840, ()),
        ([], 0, ()),
        ([], 3840, [CombAnswer(0, 3, 1)]),
        ([], 3840, [CombAnswer(501, 3, 1)]),
        ([], 3840, [CombAnswer(41, 0, 1)]),
    ],
)
def test_what_cannot_be_is_one_sentence(passes, size, combs):
    with pytest.raises(ValueError, match=r"^[A-Z].*\.$"):
        count_axis(passes, size, combs)
