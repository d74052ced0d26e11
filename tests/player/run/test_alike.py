"""A condition that is nearly an earlier one is asked about; one that is another is not."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from player.run.alike import Earlier, distance, questions, slips

OFF = "local dimming off"


def earlier(*conditions, same=True):
    return [Earlier(run, text, same) for run, text in enumerate(conditions, 1)]


def asked(condition, runs):
    return [(each.about, each.condition) for each in questions(condition, runs)]


@pytest.mark.parametrize(
    ("first", "second", "many"),
    [
        ("kitten", "sitting", 3),  # the usual example of the Levenshtein distance; from memory
        ("saturday", "sunday", 3),  # another one; from memory
        ("ca", "abc", 3),  # optimal string alignment; with a swap that is edited again it is 2
        ("dimming", "dimmign", 1),
        ("", "off", 3),
        ("off", "off", 0),
    ],
)
def test_a_distance_counts_letters_and_swaps(first, second, many):
    assert distance(first, second) == distance(second, first) == many


@given(st.text("abc", max_size=6), st.text("abc", max_size=6), st.text("abc", max_size=6))
def test_a_distance_is_none_only_between_equals_and_never_beyond_the_longer_one(a, b, c):
    assert (distance(a, b) == 0) == (a == b)
    assert abs(len(a) - len(b)) <= distance(a, b) <= max(len(a), len(b))
    assert distance(a + c, b + c) <= distance(a, b)


@pytest.mark.parametrize(
    ("typed", "many"),
    [
        ("local dimming  off", 0),
        (" local dimming off", 0),
        ("Local Dimming OFF", 0),
        ("local-dimming off", 0),
        ("localdimming off", 0),
        ("local dimmin off", 1),
        ("local dimmming off", 1),
        ("loacl dimming off", 1),
        ("local dinming off", 1),
        ("local dimming of", 1),
        ("lokal dimmin off", 2),
    ],
)
def test_a_slip_is_found(typed, many):
    assert slips(typed, OFF) == slips(OFF, typed) == many
    assert asked(typed, earlier(OFF)) == [("alike", OFF)]


@given(st.integers(0, len("local dimming") - 1), st.sampled_from(string.ascii_lowercase))
def test_every_letter_that_is_left_out_doubled_or_replaced_in_a_longer_word_is_a_slip(at, letter):
    if OFF[at] == " ":
        return
    for typed in (OFF[:at] + OFF[at + 1 :], OFF[:at] + OFF[at] + OFF[at:],
                  OFF[:at] + letter + OFF[at + 1 :]):  # fmt: skip
        assert slips(typed, OFF) in {0, 1}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("local dimming on", "local dimming off"),
        ("before", "after"),
        ("filter 1", "filter 2"),
        ("filter 1", "filter 12"),
        ("level 1.5", "level 15"),
        ("+1 stop", "-1 stop"),
        ("50 %", "60 %"),
        ("mode A", "mode B"),
        ("lamp on", "lamp off"),
        ("minimum", "maximum"),
        ("spot meter", "reference"),
        ("warm", "warmer"),
        ("local dimming off", "local dimming off, filter on"),
        ("local dimming", "local dimming off"),
        ("local dimming off", ""),
        ("–", "+"),
    ],
)
def test_what_tells_conditions_apart_is_no_slip(one, other):
    assert slips(one, other) is None
    assert slips(other, one) is None


def test_nothing_is_asked_of_a_condition_that_a_run_has():
    assert questions("local dimming  off", earlier("local dimming  off", OFF)) == []
    assert questions(OFF, earlier(OFF, "Local dimming off")) == []
    assert questions(OFF, []) == []


def test_the_nearest_comes_first_and_of_equals_the_latest():
    runs = earlier("lokal dimming off", OFF, "Local dimming off")
    assert asked("local dimming  off", runs) == [
        ("alike", "Local dimming off"),
        ("alike", OFF),
        ("alike", "lokal dimming off"),
    ]
    (first, *_) = questions("local dimming  off", runs)
    assert str(first) == "Earlier runs say 'Local dimming off'. Is this the same?"


def test_none_at_all_is_asked_about_where_runs_of_the_sequence_have_one():
    runs = earlier("local dimming on", OFF)
    assert asked("", runs) == [("none named", OFF), ("none named", "local dimming on")]
    assert str(questions("", runs)[0]) == (
        f"Earlier runs of this sequence say '{OFF}', and this one nothing. Is this the same?"
    )
    assert questions("", earlier("local dimming on", "")) == []
    assert questions("", earlier(OFF, same=False)) == []


def test_a_run_that_was_left_under_another_condition_is_offered():
    left = Earlier(3, OFF, True, left_at=5)
    runs = [*earlier("local dimming on"), left]
    (question,) = questions("local dimming on", runs)
    assert str(question) == (
        f"Run 3 of this sequence was left at step 5 under '{OFF}'. Go on with it?"
    )
    assert question.condition == OFF
    bare = Earlier(4, "", True, left_at=2)
    assert questions("local dimming on", [bare])[0].found == (
        "Run 4 of this sequence was left at step 2 without a condition."
    )


def test_one_that_was_left_under_the_very_condition_goes_on_unasked():
    runs = [Earlier(2, OFF, True, left_at=3), Earlier(3, "local dimming on", True, left_at=5)]
    assert questions("local dimming on", runs) == []


def test_a_run_that_was_left_is_asked_about_once():
    left = [Earlier(3, OFF, True, left_at=5)]
    assert asked("local dimming of", left) == [("alike", OFF)]
    assert asked("", left) == [("left", OFF)]


def test_only_the_latest_run_of_a_condition_can_be_taken_up():
    runs = [Earlier(1, OFF, True, left_at=5), Earlier(2, OFF, True, left_at=None)]
    assert questions("local dimming on", runs) == []
