"""No input ends in anything but a plan or problems in one line each."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sequences import SequenceError
from sequences.plans import load_plan_text, shipped_plans
from tests.sequences.test_sequence_fuzz import FRAGMENTS, check_problem, mutated

PLANS = tuple(path.read_text("utf-8") for path in shipped_plans().values())
PIECES = [*FRAGMENTS, "play: geometry", "play: .", "ask: a", "name: a", "choices: [b, c]", "tasks:",
          "only_if: {a: b}", "only_if: {a: [b, c]}", "minutes: 1e9", "needs: [stick]"]  # fmt: skip


def check(text: str) -> None:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    plan = error = None
    try:
        plan = load_plan_text(text, "f")
    except SequenceError as raised:
        error = raised
    if error is not None:
        assert error.problems
        assert len(str(error).splitlines()) == len(error.problems)
        for problem in error.problems:
            if problem.source == "f":
                check_problem(problem, lines)
        return
    assert plan is not None
    assert [task.number for task in plan.tasks] == [*range(1, len(plan.tasks) + 1)]
    assert all(task.minutes > 0 for task in plan.tasks)


@given(st.text(max_size=200))
def test_any_text(text: str):
    check(text)


@given(st.lists(st.sampled_from(PIECES), max_size=12).map("".join))
def test_any_pieces_of_yaml(text: str):
    check(text)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutated(PLANS))
def test_any_slip_in_a_shipped_plan(text: str):
    check(text)
