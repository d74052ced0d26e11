"""Counting zones on random panels with simulated operators: how often right, how often certain."""

from __future__ import annotations

import numpy as np
import pytest

from tests.readings.zone_trials import OPERATORS, Trial, trial

SEED = 7_140_213
"""Of the campaign; the method was never looked at with it."""
AXES = 2_000
"""1,000 panels: columns and rows."""


def told(trials: list[Trial]) -> str:
    """The figures of a campaign, for the log."""
    widths = [len(each.crawl.set95) for each in trials]
    return (
        f"{trials[0].kind}: {len(trials)} axes; crawl alone: set holds the truth "
        f"{np.mean([each.held for each in trials]):.2%}, median width {np.median(widths):g}, "
        f"certain {np.mean([each.crawl.count is not None for each in trials]):.1%}; with combs: "
        f"likeliest is right {np.mean([each.right for each in trials]):.2%}, certain "
        f"{np.mean([each.final.count is not None for each in trials]):.1%}, wrong while certain "
        f"{sum(each.wrong_while_certain for each in trials)}, "
        f"{np.mean([len(each.combs) for each in trials]):.2f} combs an axis"
    )


def test_a_few_axes_are_counted_right_and_none_wrong_with_certainty():
    trials = [trial("plain", number, 3) for number in range(40)]
    assert sum(each.held for each in trials) >= 38, told(trials)
    assert sum(each.right for each in trials) >= 38, told(trials)
    assert not any(each.wrong_while_certain for each in trials)
    assert sum(each.final.count is not None for each in trials) >= 30


@pytest.mark.parametrize("kind", OPERATORS[1:])
def test_operators_that_the_method_was_not_made_for_mislead_it_into_no_certainty(kind: str):
    trials = [trial(kind, number, 4) for number in range(16)]
    assert not any(each.wrong_while_certain for each in trials), told(trials)


@pytest.mark.campaign
@pytest.mark.parametrize("kind", OPERATORS)
def test_a_thousand_panels_are_counted_as_promised(
    kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    trials = [trial(kind, number, SEED) for number in range(AXES)]
    with capsys.disabled():
        print("\n" + told(trials))  # noqa: T201 - the figures are what the campaign is for
    wrong = sum(each.wrong_while_certain for each in trials)
    assert wrong <= AXES / 1000, told(trials)
    if kind == "plain":
        assert np.mean([each.held for each in trials]) >= 0.94
        assert np.median([len(each.crawl.set95) for each in trials]) in {1, 2}
        assert np.mean([each.right for each in trials]) >= 0.995
