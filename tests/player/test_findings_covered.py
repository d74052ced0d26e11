"""Whether what findings state holds the truth of displays and meters that they know nothing of."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context

import pytest

from tests.player.findings_trials import Key, Trials, trial, trial_of_changes

FEW = ("black-and-contrast", "greyscale-11")
ALL = (
    *FEW,
    "peak-by-area",
    "near-black",
    "primaries",
    "chart-24",
    "saturation-sweeps",
    "gamut-samples",
    "tone-pq",
    "uniformity-9",
    "halo",
    "contrast-by-boxes",
    "peak-over-time",
)
CHANGED = (*FEW, "peak-by-area", "primaries", "chart-24", "tone-pq", "uniformity-9")
LOWEST, HIGHEST = 90.0, 99.0
"""%: how often an interval of k = 2 should hold the truth."""
LOWEST_OF_CHANGES = 87.0
"""The same of changes: 100 displays give fewer of them, and so a rougher share."""


ENOUGH = 100
"""Intervals from which a share is held against them."""


def trials(
    displays: range,
    names: tuple[str, ...],
    seed: int,
    workers: int = 1,
    work: Callable[..., Trials] = trial,
) -> Trials:
    together = Trials()
    work = partial(work, names=names, seed=seed)
    if workers == 1:
        every = map(work, displays)
        for each in every:
            together.merge(each)
        return together
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for each in pool.map(work, displays):
            together.merge(each)
    return together


def test_intervals_of_a_few_displays_hold_the_truth_as_often_as_they_say():
    together = trials(range(12), FEW, seed=11)
    stated = [together.coverage(key) for key in together.told]
    inside, number = (sum(each) for each in zip(*stated, strict=True))
    assert number > 1000
    assert inside / number > 0.88
    bounds = [together.bounds(key) for key in together.told]
    held, bounded = (sum(each) for each in zip(*bounds, strict=True))
    assert held >= 0.85 * bounded


def test_changes_of_a_few_displays_lie_within_what_is_said_of_them():
    together = trials(range(8), FEW, seed=12, work=trial_of_changes)
    stated = [together.coverage(key) for key in together.told]
    inside, number = (sum(each) for each in zip(*stated, strict=True))
    assert number > 200
    assert inside / number > 0.88


@pytest.mark.campaign
def test_changes_of_100_displays_lie_within_what_is_said_of_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    together = trials(range(100), CHANGED, seed=20312, workers=2, work=trial_of_changes)
    with capsys.disabled():
        print("\n" + "\n".join(table(together)))  # noqa: T201 - what the campaign is for
    low = [key for key in together.told if 100 * share(together, key) < LOWEST_OF_CHANGES]
    assert low == []


@pytest.mark.campaign
def test_intervals_of_200_displays_hold_the_truth_in_90_to_99_percent(
    capsys: pytest.CaptureFixture[str],
) -> None:
    together = trials(range(200), ALL, seed=20311, workers=2)
    with capsys.disabled():
        print("\n" + "\n".join(table(together)))  # noqa: T201 - what the campaign is for
    low = [key for key in together.told if 100 * share(together, key) < LOWEST]
    assert low == []
    assert largest_bias(together)[1] < 0.6


def share(together: Trials, key: Key) -> float:
    """Of the intervals, where there are enough of them; 0.95 where there are not."""
    inside, number = together.coverage(key)
    return inside / number if number >= ENOUGH else 0.95


def largest_bias(together: Trials) -> tuple[Key, float]:
    """The value whose mean error is the largest share of its uncertainty, and that share."""
    counted = [key for key in together.told if together.coverage(key)[1] >= ENOUGH]
    sizes = {key: abs(together.bias_share(key)) for key in counted}
    worst = max(sizes, key=lambda key: sizes[key])
    return worst, sizes[worst]


def table(together: Trials) -> list[str]:
    """One line for each value: intervals that hold the truth, bounds that do, mean error."""
    lines = []
    for key in sorted(together.told):
        inside, number = together.coverage(key)
        held, bounds = together.bounds(key)
        if number + bounds:
            percent = f"{100 * inside / number:5.1f} %" if number else "      -"
            mark = " above 99 %" if number >= ENOUGH and 100 * inside / number > HIGHEST else ""
            lines.append(
                f"{key[0]:15} {key[1]:40} {inside:6} of {number:<6} {percent}"
                f"  mean error {together.bias(key):+10.3g} ({together.bias_share(key):+.2f} U)"
                f"  bounds {held} of {bounds}{mark}"
            )
    (finding, value), size = largest_bias(together)
    lines.append(f"largest bias: {finding}, {value}: {size:.2f} of its uncertainty")
    return lines
