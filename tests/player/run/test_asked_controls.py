"""Controls said in lines: what is supposed, what is typed, and what no menu has."""

from __future__ import annotations

import pytest

from player.run.asked_controls import AskedControls, line_of, said_of, supposed
from player.run.entry import EntryError

LEVELS = (0.0, 50.0, 100.0)


def test_each_menu_has_the_controls_that_displays_have_as_a_rule() -> None:
    names = [each.name for each in supposed(["two-point", "backlight"], LEVELS)]
    assert names == [
        "Red gain", "Green gain", "Blue gain", "Red offset", "Green offset", "Blue offset",
        "Backlight",
    ]  # fmt: skip
    assert [each.name for each in supposed(["multi-point"], LEVELS)] == [
        "100 % red", "100 % green", "100 % blue", "50 % red", "50 % green", "50 % blue",
    ]  # fmt: skip
    assert len(supposed(["six-colour"], LEVELS)) == 18
    assert [each.does for each in supposed(["preset"], LEVELS)] == ["preset"]


@pytest.mark.parametrize(
    ("text", "lowest", "highest", "found", "step"),
    [
        ("", -50, 50, 0, 1),
        ("7", -50, 50, 7, 1),
        ("-30 to 30", -30, 30, 0, 1),
        ("1 to 100", 1, 100, 1, 1),
        ("\u221230 to 30, now \u22125", -30, 30, -5, 1),
        ("0-100, now 50, step 2", 0, 100, 50, 2),
        ("0 100 50 0.5", 0, 100, 50, 0.5),
    ],
)
def test_a_line_says_a_range_and_what_the_menu_reads(
    text: str, lowest: float, highest: float, found: float, step: float
) -> None:
    control = said_of(supposed(["two-point"], LEVELS)[0], text)
    assert (control.lowest, control.highest, control.found, control.step) == (
        lowest, highest, found, step,
    )  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "red",
        "60",
        "30 to -30",
        "0 to 10, now 20",
        "1 2 3 4 5",
        "1e3",
        "0..100",
        "1,5,2",
        "0 10 5 0.00001",
        "0 to 10, now 5, step 20",
        "0 to 1,000, now 500",
        "-1,000 to 1,000",
        "0,100",
    ],
)
def test_what_no_menu_has_is_refused(text: str) -> None:
    with pytest.raises(EntryError):
        said_of(supposed(["two-point"], LEVELS)[0], text)


@pytest.mark.parametrize(
    ("text", "never"),
    [("2.5", "2.5"), ("-30 to 30, now 0.5", "0.5"), ("0 to 9, now 4, step 2", "9")],
)
def test_what_lies_between_two_steps_is_refused_and_how_to_say_the_step_is_told(
    text: str, never: str
) -> None:
    with pytest.raises(EntryError, match=f"never reads {never}; another step comes last"):
        said_of(supposed(["two-point"], LEVELS)[0], text)


def test_what_is_supposed_of_the_next_lies_on_its_steps() -> None:
    asked = AskedControls(supposed(["two-point"], LEVELS))
    asked.take("-45 to 45, now -5, step 10")
    asked.take("")
    assert [each.found for each in asked.said] == [-5, -5]
    assert said_of(supposed(["two-point"], LEVELS)[0], "-45 to 46").found == 0


def test_what_is_said_of_one_is_supposed_of_the_next_that_does_the_same() -> None:
    asked = AskedControls(supposed(["two-point"], LEVELS))
    asked.take("-30 to 30, now 3")
    assert asked.asked is not None
    assert line_of(asked.asked) == "Green gain: −30 to 30, now 0"
    asked.without()
    asked.take_rest()
    assert asked.asked is None
    assert [(each.name, each.lowest) for each in asked.said] == [
        ("Red gain", -30), ("Blue gain", -30), ("Red offset", -50), ("Green offset", -50),
        ("Blue offset", -50),
    ]  # fmt: skip
