"""The front page: what is called good, what not, and what is held open."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from readings.findings.base import Doubt, Judgement, Number, Part, Value
from readings.findings.kind import Limit
from readings.report.compare import visits_side_by_side
from readings.report.summary import held_text, limits, summary, verdict_of
from readings.report.tables import difference, rows_of, topics, value_text
from tests.readings.report_samples import contents, finding

MOST = Limit(("e",), "at most", 3.0, "", "ours", "good", "bad", "unsure")
LEAST = replace(MOST, way="at least", limit=1000.0, unit=":1")


def value(number, spread=None, bound=None, name="e", unit=""):
    return Value(name, "Label", number, unit, spread, bound)


@pytest.mark.parametrize(
    ("number", "spread", "bound", "at_most_3", "at_least_3"),
    [
        (2.0, 0.9, None, "good", "bad"),
        (2.0, 1.0, None, "good", "unsure"),
        (2.0, 1.1, None, "unsure", "unsure"),
        (4.0, 1.0, None, "unsure", "good"),
        (4.0, 0.9, None, "bad", "good"),
        (3.0, 0.1, None, "unsure", "unsure"),
        (2.0, None, None, "unsure", "unsure"),
        (4.0, None, None, "unsure", "unsure"),
        (None, None, None, "unsure", "unsure"),
        (4.0, None, "lower", "bad", "good"),
        (2.0, None, "lower", "unsure", "unsure"),
        (2.0, None, "upper", "good", "bad"),
        (4.0, None, "upper", "unsure", "unsure"),
    ],
)
def test_good_and_bad_are_said_only_where_the_uncertainty_leaves_no_doubt(
    number, spread, bound, at_most_3, at_least_3
):
    least = replace(MOST, way="at least")
    assert verdict_of(value(number, spread, bound), MOST) == at_most_3
    assert verdict_of(value(number, spread, bound), least) == at_least_3


def test_the_sign_does_not_matter_where_a_limit_is_for_the_size():
    assert verdict_of(value(-12.0, 1.0), replace(MOST, size=True)) == "bad"
    assert verdict_of(value(-12.0, 1.0), MOST) == "good"


def test_a_bound_below_0_is_one_of_the_size_the_other_way_round():
    size = replace(MOST, size=True)
    assert verdict_of(value(-98.0, None, "upper"), size) == "bad"
    assert verdict_of(value(-1.0, None, "upper"), size) == "unsure"
    assert verdict_of(value(-1.0, None, "lower"), size) == "good"


def test_what_may_be_is_held_against_the_limit_and_not_a_spread_about_the_value():
    may_be = lambda low, high: replace(value(1.3), interval=(low, high))  # noqa: E731
    assert verdict_of(may_be(0.0, 2.9), MOST) == "good"
    assert verdict_of(may_be(0.0, 3.1), MOST) == "unsure"
    assert verdict_of(may_be(3.1, 9.0), MOST) == "bad"
    assert verdict_of(may_be(3.0, 9.0), replace(MOST, way="at least")) == "good"


def parts(*numbers):
    """The largest of several numbers with their spreads, as a value of a finding."""
    each = tuple(Part(f"Label: step {n}", Number(*it)) for n, it in enumerate(numbers, 1))
    most = max(each, key=lambda part: part.number.value).number
    return replace(value(most.value, most.uncertainty, most.bound), parts=each, count=len(each))


@pytest.mark.parametrize(
    ("numbers", "verdict"),
    [
        # the one that reads largest leaves it open, and another one does not
        ([(6.7, 5.8), (5.96, 0.70), (1.0, 0.2)], "bad"),
        # the one that reads largest is within, and another one may not be
        ([(2.0, 0.5), (0.7, 2.7)], "unsure"),
        ([(2.0, 0.5), (0.7, 0.2)], "good"),
        ([(2.0, 0.5), (0.7, None)], "unsure"),
        ([(2.0, None, "upper"), (0.7, 0.2)], "good"),
    ],
)
def test_a_verdict_on_all_steps_looks_at_each_of_them(numbers, verdict):
    assert verdict_of(parts(*numbers), replace(MOST, limit=5.0 if verdict == "bad" else 3.0)) == (
        verdict
    )


def test_the_front_page_names_the_steps_that_decide_and_how_many_there_are():
    (limit,) = (each for _, each in limits() if "delta-e-2000-largest" in each.values)
    assert limit.limit == 5
    most = replace(parts((6.7, 5.8), (5.96, 0.70), (1.0, 0.2), (9.0, 1.0)), name=limit.values[0])
    told = summary(contents([finding("colour", values=[most])]))
    (said,) = told.of("bad")
    assert [(figure.what, figure.text) for figure in said.figures] == [
        ("Label: step 4", "9.0 ± 1.0"),
        ("Label: step 2", "5.96 ± 0.70"),
        ("", "2 of 4 lie beyond the limit; 1 cannot be told from it"),
    ]
    open_ = replace(parts((4.0, 0.5), (3.0, 2.7), (0.7, None)), name=limit.values[0])
    (said,) = summary(contents([finding("colour", values=[open_])])).of("unsure")
    assert [(figure.what, figure.text) for figure in said.figures] == [
        ("Label: step 2", "3.0 ± 2.7"),
        ("Label: step 3", "0.7 ± not known"),
        ("", "2 of 3 cannot be told from it"),
    ]


def test_a_limit_is_told_with_its_unit_and_its_source():
    assert held_text(LEAST) == "at least 1000:1 (ours)"
    assert held_text(replace(LEAST, limit=120000.0)) == "at least 120\u202f000:1 (ours)"
    assert held_text(replace(MOST, unit="cd/m2")) == "at most 3 cd/m² (ours)"


def grey(average, spread, run=1, condition="on", first="delta-e-2000"):
    other = {"delta-e-2000": "delta-e-itp", "delta-e-itp": "delta-e-2000"}[first]
    values = [value(average, spread, name=f"{first}-average"),
              replace(value(50.0, 1.0, name=f"{other}-average"), judged=False)]  # fmt: skip
    return finding("greyscale", run=run, condition=condition, values=values)


def test_a_sentence_carries_each_runs_figure_with_its_spread():
    told = summary(contents([grey(1.0, 0.5, 1, "off"), grey(0.8, 0.5, 2, "on")]))
    (said,) = told.of("good")[:1]
    assert said.sentence == "Grey is near its target on average, in light and colour"
    assert said.held == "at most 3 (common practice, no source)"
    assert [(f.text, f.run, f.condition) for f in said.figures] == [
        ("1.00 ± 0.50", 1, "off"), ("0.80 ± 0.50", 2, "on"),
    ]  # fmt: skip


def test_runs_on_either_side_of_a_limit_are_told_apart():
    told = summary(contents([grey(1.0, 0.5, 1), grey(6.0, 0.5, 2), grey(3.0, 2.0, 3)]))
    assert [len(told.of(verdict)) for verdict in ("good", "bad", "unsure")] == [1, 1, 1]


@pytest.mark.parametrize("first", ["delta-e-2000", "delta-e-itp"])
def test_of_two_kinds_of_delta_e_the_one_that_fits_the_signal_is_judged(first):
    told = summary(contents([grey(1.0, 0.5, first=first)]))
    assert (len(told.of("good")), told.of("bad")) == (1, [])


def test_a_value_of_unknown_uncertainty_is_not_judged_and_says_why():
    (said,) = summary(contents([grey(1.0, None)])).of("unsure")
    assert said.figures[0].note == "without its uncertainty nothing can be said for sure"


def test_what_no_limit_is_for_is_told_without_a_verdict():
    halo = finding("halo", values=[value(0.5, 0.1, name="halo-share", unit="%")])
    (said,) = summary(contents([halo])).of("open")
    assert (said.sentence, said.held, said.figures[0].text) == ("Halo", "", "0.50 ± 0.10 %")


def test_an_undefined_value_is_left_to_a_run_that_has_it():
    white = [value(1140.0, 98.0, name="sequential-contrast", unit=":1")]
    none = [value(None, name="sequential-contrast", unit=":1")]
    both = summary(contents([finding("contrast", values=white),
                             finding("contrast", values=none, run=2)]))  # fmt: skip
    assert [len(s.figures) for s in both.statements] == [1]
    alone = summary(contents([finding("contrast", values=none)]))
    assert [s.verdict for s in alone.statements] == ["unsure"]


@pytest.mark.parametrize(("number", "texts"), [
    (1, ["No 0."]),
    (4, ["No 0.", "No 1.", "No 2.", "No 3."]),
    (6, ["No 0.", "No 1.", "No 2.", "and 3 sentences more, further down"]),
])  # fmt: skip
def test_what_speaks_against_readings_is_no_good_news_and_stands_there_itself(number, texts):
    said_by_itself = Judgement("bad", "Some readings are hardly plausible", by_warnings=True)
    doubts = finding("plausibility", warnings=[f"No {n}." for n in range(number)])
    doubts = replace(doubts, judgement=said_by_itself)
    told = summary(contents([doubts]))
    (said,) = told.of("bad")
    assert [(each.what, each.text) for each in said.figures] == [("", text) for text in texts]
    assert told.warnings == number
    assert topics([doubts])[0].tables == []


def mismatch(*ids, wholly=False):
    """A finding that puts readings in doubt, made after all that limits are for."""
    found = finding("range-mismatch", values=[value(26.0, 1.0, unit="%")])
    doubt = Doubt("the range was another one", frozenset(ids), wholly)
    return replace(found, title="Narrow is set, full arrives", judgement=Judgement("bad"),
                   doubt=doubt)  # fmt: skip


def test_what_puts_others_in_doubt_stands_first_and_nothing_read_under_it_is_good():
    told = summary(contents([grey(1.0, 0.5), grey(6.0, 0.5), mismatch(1, 2)]))
    assert told.of("good") == []
    assert [s.sentence for s in told.of("bad")] == [
        "Narrow is set, full arrives",
        "Grey is off its target on average, in light or colour",
    ]
    assert told.in_short().startswith("Not good: Narrow is set, full arrives; ")
    (said,) = told.of("unsure")
    assert [(f.text, f.note) for f in said.figures] == [
        ("1.00 ± 0.50", "the range was another one")
    ]


def test_readings_that_tell_nothing_are_not_called_bad_either():
    told = summary(contents([grey(6.0, 0.5), mismatch(2, wholly=True)]))
    assert [s.sentence for s in told.of("bad")] == ["Narrow is set, full arrives"]
    assert [f.note for s in told.of("unsure") for f in s.figures] == ["the range was another one"]


def test_what_was_read_elsewhere_is_judged_as_ever():
    told = summary(contents([grey(1.0, 0.5), mismatch(3, wholly=True)]))
    assert [len(told.of(verdict)) for verdict in ("good", "bad", "unsure")] == [1, 1, 0]


def test_a_judgement_of_a_findings_own_is_held_open_by_another_ones_doubt():
    fine = replace(finding("range-mismatch", values=[value(26.0, 1.0)]),
                   title="As it is set", judgement=Judgement("good"))  # fmt: skip
    told = summary(contents([fine, mismatch(1)]))
    assert [(s.verdict, s.sentence) for s in told.statements] == [
        ("bad", "Narrow is set, full arrives"), ("unsure", "As it is set"),
    ]  # fmt: skip


def test_of_a_count_that_is_not_known_what_is_known_of_it_is_told():
    zones = [Value("zones", "Zones", None, ""), Value("zone-rows", "Rows of zones", None, ""),
             Value("zone-columns", "Columns of zones", None, "", among=(12, 34))]  # fmt: skip
    (said,) = summary(contents([finding("zones", values=zones)])).of("open")
    assert [each.what for each in said.figures] == ["Columns of zones"]
    assert "12" in said.figures[0].text
    (said,) = summary(contents([finding("zones", values=zones[:2])])).of("open")
    assert said.figures[0].text == "undefined"


@pytest.mark.parametrize(("steps", "spread", "said"), [
    (1, 0.1, "Grey is neutral at the 1 step read"),
    (4, 0.1, "Grey is neutral at the 4 steps read"),
    (5, 0.1, "Grey is neutral at every step"),
    (1, 5.0, "Whether grey is neutral at every step cannot be told"),
])  # fmt: skip
def test_of_few_steps_no_sentence_speaks_for_all(steps, spread, said):
    stem = "delta-e-2000-chromaticity"
    values = [Value(f"{stem}-largest", "Delta E, largest: Grey 50 %", 1.0, "", spread, count=steps)]
    (told,) = summary(contents([finding("greyscale", values=values)])).statements
    assert told.sentence == said


def test_of_few_places_no_sentence_speaks_for_all():
    even = [replace(value(5.0, 1.0, name="non-uniformity", unit="%"), count=2)]
    (told,) = summary(contents([finding("uniformity", values=even)])).statements
    assert told.sentence == "The screen is evenly bright at the 2 places read"


def test_one_grey_far_off_the_curve_is_not_good_whatever_the_average():
    values = [value(7.4, 0.5, name="eotf-error-average", unit="%"),
              value(-15.4, 1.2, name="eotf-error-largest", unit="%")]  # fmt: skip
    told = summary(contents([finding("greyscale", values=values)]))
    assert [(s.verdict, s.figures[0].text) for s in told.statements] == [
        ("good", "7.40 ± 0.50 %"), ("bad", "−15.4 ± 1.2 %"),
    ]  # fmt: skip
    assert "of our own" in told.of("bad")[0].held


def test_every_limit_names_its_source_and_a_value_that_is_documented():
    docs = Path(__file__).parents[2] / "docs"
    pages = "".join(page.read_text("utf-8") for page in docs.glob("findings*.md"))
    report = (docs / "report.md").read_text("utf-8")
    for kind, limit in limits():
        assert limit.source
        for name in (kind.name, *limit.values):
            assert f"`{name}`" in pages, name
        row = next(
            line for line in report.splitlines()
            if line.startswith(f"| {limit.good}")
        )  # fmt: skip
        number = re.sub(r":1|cd/m2|[^\d.]", "", row.split("|")[3])
        assert float(number) == limit.limit, row
        assert limit.source in row


def test_a_difference_has_the_spread_of_both_and_a_sign():
    first, later = value(100.0, 3.0, unit="cd/m2"), value(90.0, 4.0, unit="cd/m2")
    change = difference(first, later)
    assert value_text(change) == "−10.0 ± 5.0 cd/m²"
    assert value_text(difference(later, first)) == "+10.0 ± 5.0 cd/m²"
    assert value_text(difference(first, first)) == "0.0 ± 4.2 cd/m²"


@pytest.mark.parametrize(
    ("first", "later"),
    [
        (value(None), value(1.0, 0.1)),
        (value(1.0, 0.1), value(2.0, None, "lower")),
        (value(1.0, 0.1), value(1.0, 0.1, unit="%")),
        (Value("n", "l", 4.0, "", among=(4,)), Value("n", "l", 5.0, "", among=(5,))),
    ],
)
def test_no_difference_is_made_of_what_cannot_be_compared(first, later):
    assert difference(first, later) is None


def test_a_difference_of_unknown_spread_says_so():
    assert value_text(difference(value(1.0, 0.1), value(2.5))) == "+1.5 ± not known"


def test_conditions_stand_beside_each_other_with_what_changed():
    (topic,) = topics([grey(1.0, 0.3, 1, "off"), grey(2.0, 0.4, 2, "on")])
    row = topic.tables[0].rows[0]
    assert [cell.number for cell in row.cells] == ["1.00", "2.00"]
    assert (row.changes[0], value_text(row.changes[1])) == (None, "+1.00 ± 0.50")
    assert topic.changes


def test_what_was_shown_otherwise_is_no_change():
    sdr = replace(grey(1.0, 0.3, 1, "on"), played=("Greyscale", "bt1886"))
    pq = replace(grey(2.0, 0.4, 2, "on"), played=("Greyscale", "pq"))
    (topic,) = topics([sdr, pq])
    assert [[each.run for each in table.findings] for table in topic.tables] == [[1], [2]]
    assert not topic.changes


def test_a_row_says_once_what_its_values_share_and_beside_each_what_they_do_not():
    def largest(where):
        row = "Largest, delta E"
        worst = Value("largest", f"{row}: {where}", 2.0, "", 0.1, row=row, at=where)
        return finding("greyscale", values=[worst])

    (row,) = rows_of([largest("grey 10 %"), largest("grey 95 %")])
    assert row.label == "Largest, delta E"
    assert [cell.step for cell in row.cells] == ["grey 10 %", "grey 95 %"]
    (same,) = rows_of([largest("grey 10 %"), largest("grey 10 %")])
    assert same.label == "Largest, delta E: grey 10 %"


def test_before_and_after_stand_beside_each_other_whatever_their_conditions():
    before = contents([grey(4.0, 0.3, 1, "before")])
    after = contents([grey(1.0, 0.4, 1, "after")])
    (table,) = visits_side_by_side([before, after])
    assert [column.visit for column in table.columns] == [1, 2]
    assert [value_text(c) if c else None for c in table.rows[0].changes] == [None, "−3.00 ± 0.50"]


def test_visits_of_several_runs_are_matched_by_condition_and_the_last_run_counts():
    first = contents([grey(4.0, 0.3, 1, "off"), grey(3.0, 0.3, 2, "on"), grey(2.0, 0.3, 3, "on")])
    second = contents([grey(1.0, 0.4, 1, "on"), grey(9.0, 0.4, 2, "film")])
    (table,) = visits_side_by_side([first, second])
    assert [(c.visit, c.run, c.condition) for c in table.columns] == [(1, 3, "on"), (2, 1, "on")]


def test_one_visit_is_beside_none():
    assert visits_side_by_side([contents([grey(4.0, 0.3)])]) == []
