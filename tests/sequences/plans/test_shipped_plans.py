"""The plans that come with Litfield: they can be used, and fit the time that they ask for."""

import pytest

import sequences
from readings.findings import FINDINGS
from sequences.plans import Plan, load_plan, shipped_plans
from sequences.plans.model import Adjust, Play, Tell, minutes_of

NAMES = ["first-look", "half-day", "hdr-only", "two-hours", "zones-only"]
DIMMING = ("Switch local dimming on", "Switch local dimming off")


@pytest.fixture(params=NAMES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return load_plan(request.param, FINDINGS)


def test_these_plans_are_shipped_and_none_has_the_name_of_a_sequence():
    assert [*shipped_plans()] == NAMES
    assert not set(NAMES) & set(sequences.shipped())


def test_a_shipped_plan_fits_its_minutes_with_nothing_left_out(plan: Plan):
    assert plan.minutes is not None
    assert 0.8 * plan.minutes < minutes_of(plan.tasks) <= plan.minutes


def test_a_shipped_plan_plays_shipped_sequences_only(plan: Plan):
    assert {each.source for each in plan.sequences()} <= set(sequences.shipped())


def test_local_dimming_is_switched_before_what_is_played_with_it(plan: Plan):
    """Each condition that says on or off is what the person was told last."""
    state = ""
    for task in plan.tasks:
        if isinstance(task.what, Tell) and task.what.text.startswith(DIMMING):
            state = "on" if "dimming on" in task.what.text else "off"
        if isinstance(task.what, Tell) and "and local dimming with it" in task.what.text:
            state = "on"
        if isinstance(task.what, Play) and "local dimming" in task.what.condition:
            assert f"local dimming {state}" in task.what.condition, task.label


def test_what_the_person_has_to_do_is_never_left_out_before_what_hangs_on_it(plan: Plan):
    """A task that is told has at least the importance of the task that follows."""
    ranks = {"first": 0, "usual": 1, "last": 2}
    for told, following in zip(plan.tasks, plan.tasks[1:], strict=False):
        if isinstance(told.what, Tell):
            assert ranks[told.importance] <= ranks[following.importance], told.label


@pytest.mark.parametrize("name", ["half-day", "two-hours"])
def test_grey_is_adjusted_in_two_points_and_then_ten_between_greys_as_found_and_as_left(name: str):
    whats = [task.what for task in load_plan(name).tasks]
    at = [place for place, what in enumerate(whats) if isinstance(what, Adjust)]
    adjusted = [what.what for what in whats if isinstance(what, Adjust)]
    assert adjusted == ["two-point", "ten-point"]
    before, after = whats[at[0] - 1], whats[at[1] + 1]
    assert isinstance(before, Play)
    assert isinstance(after, Play)
    assert before.condition.endswith("as found")
    assert after.condition.endswith("as left")
    assert before.sequence.finds == after.sequence.finds == ("greyscale",)


def test_half_a_day_covers_what_a_zoned_hdr_display_is_judged_by():
    finds = {name for each in load_plan("half-day").sequences() for name in each.finds}
    wanted = {
        "greyscale",
        "colour",
        "contrast",
        "zones",
        "window-peak",
        "gamut",
        "clipping",
        "tone",
    }
    assert wanted | {"uniformity", "delay", "halo", "near-black", "over-time"} <= finds
