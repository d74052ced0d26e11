"""What the operator types is read as meant, or refused with a reason."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from player.run.entry import EntryError, comma_of, entered, expected, parse_entry, parse_number
from sequences.model import Read

LUMINANCE = Read("luminance")
COLOUR = Read("colour")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("120", 120.0),
        ("0.05", 0.05),
        ("0,05", 0.05),
        (",5", 0.5),
        (".5", 0.5),
        ("  1013,25 ", 1013.25),
        ("98.6 cd/m2", 98.6),
        ("98,6cd/m²", 98.6),
        ("0", 0.0),
        ("-0.0004", -0.0004),
        ("-0,1", -0.1),
        ("0." + "0" * 20 + "1", 0.0),
        ("1000000000", 1e9),
    ],
)
def test_a_luminance_takes_decimal_comma_and_point_and_its_unit(text: str, value: float) -> None:
    kept = parse_entry(text, LUMINANCE)
    assert kept.luminance == value
    assert kept.raw == text


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("1.013,25", "two ways"),
        ("1,013.25", "two ways"),
        ("1 013", "two ways"),
        ("abc", "not a number"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("-3", "0 or more, or down to -0.1 where the meter shows that, not -3"),
        ("1" + "0" * 10, r"1e\+10 cd/m2 is no luminance: it is brighter than the sun's disc"),
        ("1" + "0" * 308, "brighter than the sun's disc"),
        ("1e5", "not a number"),
        ("9" * 400, "too large"),
        ("", "not a number"),
        ("9" * 3000, "too long"),
    ],
)
def test_a_luminance_that_can_be_misread_is_refused(text: str, reason: str) -> None:
    with pytest.raises(EntryError, match=reason):
        parse_entry(text, LUMINANCE)


@pytest.mark.parametrize(
    ("text", "comma"),
    [
        ("1,013", "unsure"),
        ("1,013 cd/m2", "unsure"),
        ("101,325", "unsure"),
        ("1,013 3127 3290", "unsure"),
        ("-1,013 12", "unsure"),
        ("1,013 0,3127 0,3290", "decimal"),
        ("1,013 0,313 0,329", "decimal"),
        ("0,313", "decimal"),
        ("1,01", "decimal"),
        ("1013,250", "decimal"),
        ("1.013", ""),
        ("red, green", ""),
    ],
)
def test_a_comma_may_group_thousands_where_three_digits_follow_and_nothing_else_tells(
    text: str, comma: str
) -> None:
    assert comma_of(text) == comma


def test_a_comma_beside_decimal_points_groups_thousands_and_is_refused() -> None:
    with pytest.raises(EntryError, match="'1,013' can be read in two ways"):
        parse_entry("1,013 0.3127 0.329", COLOUR)
    with pytest.raises(EntryError, match="'1,013' can be read in two ways"):
        parse_entry("1,013", Read("count"))
    assert entered("1,013", LUMINANCE).comma == "unsure"
    assert entered("101,3", Read("milliseconds")).comma == "decimal"


@pytest.mark.parametrize("text", ["100.2 0.3127 0.329", "100,2 0,3127 0,329", "100.2; .3127;.329"])
def test_a_colour_is_luminance_then_chromaticity(text: str) -> None:
    kept = parse_entry(text, COLOUR)
    assert (kept.luminance, kept.x, kept.y) == (100.2, 0.3127, 0.329)


@pytest.mark.parametrize("read", [COLOUR, LUMINANCE])
@pytest.mark.parametrize(
    ("text", "order", "kept"),
    [
        ("401.2 0.313 0.329", "Y x y", (401.2, 0.313, 0.329)),
        ("101.1 3127 3290", "Y x y", (101.1, 0.3127, 0.329)),
        ("101,1 313 329", "Y x y", (101.1, 0.313, 0.329)),
        ("0.3127 0.3290 101.1", "x y Y", (101.1, 0.3127, 0.329)),
        ("3127 3290 101.1", "x y Y", (101.1, 0.3127, 0.329)),
        ("xyY 0.3 0.31 0.32", "x y Y", (0.32, 0.3, 0.31)),
        ("Yxy 0.3 0.31 0.32", "Y x y", (0.3, 0.31, 0.32)),
    ],
)
def test_three_numbers_are_a_colour_in_the_only_order_that_they_can_have(
    read: Read, text: str, order: str, kept: tuple[float, float, float]
) -> None:
    found = entered(text, read)
    assert (found.order, found.sure) == (order, True)
    value = found.value
    assert (value.luminance, value.x, value.y) == kept
    assert (value.quantity, value.raw) == (read.quantity, text)


def test_of_two_orders_the_coded_colour_tells_or_that_of_before_and_otherwise_it_is_not_sure() -> (
    None
):
    text, white = "0.05 0.31 0.33", (0.3127, 0.329)
    found = entered(text, COLOUR)
    assert (found.order, found.sure, found.value.luminance) == ("Y x y", False, 0.05)
    found = entered(text, COLOUR, coded=white)
    assert (found.order, found.sure, found.value.luminance) == ("Y x y", True, 0.05)
    found = entered("0.31 0.33 0.05", COLOUR, coded=white, before="Y x y")
    assert (found.order, found.sure, found.value.luminance) == ("x y Y", True, 0.05)
    found = entered("0.35 0.31 0.33", COLOUR, before="x y Y")
    assert (found.order, found.sure, found.value.luminance) == ("x y Y", True, 0.33)


def test_a_luminance_alone_is_kept_in_answer_to_a_colour() -> None:
    kept = parse_entry("0,0025 cd/m2", COLOUR)
    assert (kept.quantity, kept.luminance, kept.x, kept.y) == ("colour", 0.0025, None, None)


@pytest.mark.parametrize(
    "text", ["100.2 0.3127", "0.3127 100.2 0.329", "1 0.9 0.9", "1 .3 .0009", "1 2 3 4", "1 x .3"]
)
def test_a_colour_in_no_order_or_of_another_number_is_refused(text: str) -> None:
    with pytest.raises(EntryError):
        parse_entry(text, COLOUR)


def test_a_red_a_little_beyond_what_light_can_be_is_taken_as_far_as_the_meter_errs() -> None:
    kept = parse_entry("22.4 0.686 0.326", COLOUR, 0.006)
    assert (kept.luminance, kept.x, kept.y) == (22.4, 0.686, 0.326)
    assert parse_entry("22.4 0.69 0.33", COLOUR).x == 0.69
    for text, room in (("22.4 0.686 0.326", 0.005), ("22.4 0.69 0.3301", 0.01)):
        with pytest.raises(EntryError, match="is not a chromaticity"):
            parse_entry(text, COLOUR, room)


def test_a_choice_is_taken_by_number_or_by_word_in_any_case() -> None:
    read = Read("choice", choices=("all seen", "some seen"))
    assert parse_entry("2", read).text == "some seen"
    assert parse_entry("All Seen", read).text == "all seen"
    assert expected(read) == "a number of these, or its words"
    with pytest.raises(EntryError, match="from 1 to 2"):
        parse_entry("3", read)


def test_a_count_is_whole_and_a_time_need_not_be() -> None:
    assert parse_entry("41", Read("count")).number == 41
    with pytest.raises(EntryError, match="whole"):
        parse_entry("41,5", Read("count"))
    assert parse_entry("46,3 ms", Read("milliseconds")).number == 46.3


@given(st.text(max_size=40))
def test_any_typed_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    for read in (LUMINANCE, COLOUR, Read("count"), Read("choice", choices=("a",)), Read("text")):
        with suppress(EntryError):
            kept = parse_entry(text, read)
            assert kept.raw == text
            assert kept.quantity == read.quantity


@given(st.decimals(min_value=0, max_value=10_000, places=4))
def test_comma_and_point_give_the_same_number(number: object) -> None:
    text = str(number)
    assert parse_number(text) == parse_number(text.replace(".", ",")) == float(text)


@pytest.mark.parametrize(
    ("quantity", "text", "said"),
    [
        ("count", "1" + "0" * 300, "A count is at most 100000, not 1e"),
        ("count", "100001", "A count is at most 100000, not 100001"),
        ("tally", "9" * 20, "A number of presses is at most 100000, not 1e"),
        ("milliseconds", "3600001", "A time is at most 3600000, not 3600001"),
        ("milliseconds", "-1", "A time is 0 or more, not -1"),
    ],
)
def test_what_nobody_counts_or_times_is_refused(quantity: str, text: str, said: str) -> None:
    with pytest.raises(EntryError) as caught:
        parse_entry(text, Read(quantity))
    assert str(caught.value).startswith(said)
    assert len(str(caught.value)) < 120
