"""Faults that were counted and seen reach the front page; what is right is good; the rest told."""

from dataclasses import replace

import pytest

from patterns.faults import Faults
from readings.findings import findings_from
from readings.report.summary import summary
from tests.readings.made_readings import checked, found, made, said
from tests.readings.report_samples import contents

CHOICES = Faults(("flickers", "tinted"))


def answer(number, label, text=None, counted=None, faults=CHOICES, **changes):
    given = {
        "sequence": "Pixel inversion",
        "label": label,
        "quantity": "choice" if counted is None else "count",
        "text": text,
        "number": counted,
        "faults": faults,
        "instrument": None,
        "instrument_name": None,
        "specification": None,
        "raw": text or "",
    }
    return made(number, **given | changes)


def counted(number, label, count, **changes):
    untold = None if count is not None else "can't tell"
    return answer(number, label, untold, count, Faults(above=0), quantity="count", **changes)


def front(readings):
    return summary(contents(findings_from(readings, ["seen-faults"])))


def figures(statement):
    return [each.text for each in statement.figures]


def test_a_tint_that_was_seen_and_pixels_that_were_counted_are_not_good():
    told = front([
        answer(1, "Plain grey", "steady"),
        answer(2, "Columns of one pixel", "tinted"),
        counted(3, "Red, pixels that stay dark", 3.0),
        counted(4, "Green, pixels that stay dark", 0.0),
    ])  # fmt: skip
    (bad,) = told.of("bad")
    assert bad.sentence == "Pixel inversion: faults were seen"
    assert figures(bad) == ["Columns of one pixel: tinted", "Red, pixels that stay dark: 3"]
    assert told.of("good") == []
    assert told.in_short() == "Not good: Pixel inversion: faults were seen."


def test_where_nothing_was_seen_that_is_good_and_of_how_many_pictures():
    told = front([answer(1, "Plain grey", "steady"), counted(2, "Red", 0.0)])
    (good,) = told.of("good")
    assert good.sentence == "Pixel inversion: no fault was seen"
    assert figures(good) == ["2 pictures looked at"]


def test_a_count_that_cannot_be_told_is_no_zero():
    told = front([counted(1, "Red", None), counted(2, "Green", 0.0)])
    (unsure,) = told.of("unsure")
    assert unsure.sentence == "Pixel inversion: whether there are faults cannot be told"
    assert figures(unsure) == ["Red: can't tell"]
    (one,) = front([counted(1, "Red", None), counted(2, "Green", 4.0)]).of("bad")
    assert figures(one) == ["Green: 4"]


def test_an_answer_that_is_neither_is_told_as_it_is():
    order = answer(1, "Order of the sub-pixels", "blue, green, red in a row", faults=Faults())
    told = front([order, answer(2, "One column lit", "steady")])
    (open_,) = told.of("open")
    assert open_.sentence == "Pixel inversion: what was seen"
    assert figures(open_) == ["Order of the sub-pixels: blue, green, red in a row"]
    assert len(told.of("good")) == 1


def test_of_many_faults_the_first_are_told_and_the_others_counted():
    many = [answer(n, f"Picture {n}", "flickers") for n in range(1, 10)]
    (bad,) = front(many).of("bad")
    assert figures(bad) == [
        "Picture 1: flickers", "Picture 2: flickers", "Picture 3: flickers",
        "and 6 answers more, further down",
    ]  # fmt: skip
    (one,) = found("seen-faults", many)
    assert "Picture 9: flickers." in one.warnings


@pytest.mark.parametrize("faults", [None])
def test_where_the_sequence_does_not_say_there_is_no_such_finding(faults):
    assert found("seen-faults", [answer(1, "Plain grey", "tinted", faults=faults)]) == []


def test_two_conditions_are_two_findings():
    off = answer(1, "Columns", "flickers", condition="60 Hz")
    on = replace(off, reading=2, run=2, condition="120 Hz", text="steady")
    told = front([off, on])
    assert [each.condition for each in told.of("bad")[0].figures] == ["60 Hz"]
    assert [each.condition for each in told.of("good")[0].figures] == ["120 Hz"]


def test_what_a_count_lets_pass_the_sequence_says():
    few = replace(counted(1, "Dark pixels", 2.0), faults=Faults(above=2))
    assert len(front([few]).of("good")) == 1
    assert len(front([replace(few, number=3.0)]).of("bad")) == 1


def test_its_values_keep_to_what_every_finding_keeps_to():
    readings = [
        answer(1, "Plain grey", "tinted"),
        counted(2, "Red", 3.0),
        counted(3, "Green", None),
        answer(4, "Order", "red first", faults=Faults()),
    ]
    judged, neutral = checked(readings, ["seen-faults"])
    assert [(v.name, v.value) for v in judged.values] == [("faults-seen", 2), ("fault-count", 3.0)]
    assert "1 answer could not be told, and may hide a fault." in said(judged)
    assert neutral.value("answers-seen").value == 1


@pytest.mark.parametrize(
    "given",
    [{"choices": "tinted"}, {"choices": [1]}, {"above": "0"}, {"above": 1.5}, {"above": True}],
)
def test_what_no_visit_keeps_of_faults_is_refused(given):
    with pytest.raises(ValueError, match="no faults are said so"):
        Faults.described(given)


@pytest.mark.parametrize("faults", [Faults(), Faults(("a", "b")), Faults(above=0)])
def test_faults_come_back_as_they_were_kept(faults):
    assert Faults.described(faults.describe()) == faults
