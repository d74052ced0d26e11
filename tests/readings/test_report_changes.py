"""Before and after: which visit is which, what changed, and whether that is sure."""

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from readings.findings.base import Value
from readings.report.changes import HEADS, changes_of
from readings.report.compare import visits_side_by_side
from readings.report.page import page
from readings.report.sheets import sheets
from readings.report.tables import difference, rows_of, topics, value_text
from readings.report.visit_report import visit_report
from tests.readings.report_samples import contents, finding, series
from tests.readings.test_report import seen
from tests.readings.test_report_heads import played
from tests.readings.test_report_sheets import text_of


def value(name, number, spread=None, unit="", label="Label", bound=None, **facts):
    return Value(name, label, number, unit, spread, bound, **facts)


def delta_e(number, spread=0.5):
    label, row = "delta E 2000, average of 10", "delta E 2000, average"
    return value("delta-e-2000-average", number, spread, label=label, row=row, off=True)


def visit(file, *findings, display="Lobby wall", day=4):
    made = contents(findings, display=display)
    about = replace(
        made.about, created_at=datetime(2031, 5, day, tzinfo=UTC), settings=f"as {file}"
    )
    return replace(made, file=file, about=about)


def grey(error, average=2.0, run=1, condition=""):
    values = [
        delta_e(average),
        value(
            "eotf-error-average",
            error,
            0.6,
            "%",
            "Luminance off target, average size of 9",
            row="Luminance off target, average size",
            off=True,
        ),
    ]
    return finding("greyscale", values=values, run=run, condition=condition)


def changes(*visits):
    return changes_of(visits, visits_side_by_side(visits))


def test_a_change_is_told_with_its_size_its_way_and_both_figures():
    front = changes(visit("before.visit", grey(22.0)), visit("after.visit", grey(3.0), day=5))
    (said,) = front.of("changed")
    assert said.sentence == (
        "Greyscale, luminance off target, average size: smaller by 19.00 ± 0.85 percentage "
        "points, nearer to the target"
    )
    assert said.figures == "From 22.00 ± 0.60 % to 3.00 ± 0.60 % (run 1)"
    (same,) = front.of("alike")
    assert same.sentence == "Greyscale, delta E 2000, average: no change (± 0.71)"
    assert front.title == "Lobby wall, before and after"
    assert front.lead == (
        "Changes are counted from visit 1 to visit 2.",
        (
            "Of 2 main values that can be compared, 1 changed by more than the uncertainty of the "
            "change."
        ),
    )


@pytest.mark.parametrize(
    ("later", "spread", "sure", "ends"),
    [
        (2.8, 0.5, "changed", "larger by 0.80 ± 0.71, farther from the target"),
        (2.6, 0.5, "alike", "larger by 0.60 ± 0.71"),
        (1.0, 0.5, "changed", "smaller by 1.00 ± 0.71, nearer to the target"),
        (1.0, None, "open", "smaller by 1 ± not known"),
    ],
)
def test_a_change_is_called_one_only_where_it_is_larger_than_its_uncertainty(
    later, spread, sure, ends
):
    values = [delta_e(later, spread)]
    front = changes(
        visit("a.visit", grey(5.0)), visit("b.visit", finding("greyscale", values=values))
    )
    (said,) = front.changes
    assert said.sure == sure
    assert said.sentence == f"Greyscale, delta E 2000, average: {ends}"


def test_more_contrast_is_larger_and_no_target_is_named():
    def wall(ratio):
        values = [value("sequential-contrast", ratio, 20.0, ":1", "Sequential contrast")]
        return finding("contrast", values=values)

    front = changes(visit("a.visit", wall(1000.0)), visit("b.visit", wall(1200.0)))
    assert [said.sentence for said in front.changes] == [
        "Contrast, sequential contrast: larger by 200:1 ± 28"
    ]
    same = changes(visit("a.visit", wall(1000.0)), visit("b.visit", wall(1000.0)))
    assert [said.sentence for said in same.changes] == [
        "Contrast, sequential contrast: no change (± 28)"
    ]
    assert "1 main value that can be compared, none changed" in same.lead[1]


def test_a_count_or_a_bound_is_no_change():
    def wall(bound):
        return finding("halo", values=[value("halo-share", 0.5, 0.1, "%", bound=bound)])

    front = changes(visit("a.visit", wall(None)), visit("b.visit", wall("upper")))
    assert front.changes == ()
    assert front.lead == (
        "No main value of one visit can be compared with one of another.",
        "No difference is made of bounds, counts and undefined values: Halo, label.",
    )


def test_grey_and_contrast_come_before_the_gamut_everywhere():
    names = ("gamut", "colour", "contrast", "greyscale")
    found = [finding(name, values=[value("e", 1.0, 0.1)]) for name in names]
    wanted = ["greyscale", "contrast", "colour", "gamut"]
    assert [topic.findings[0].name for topic in topics(found)] == wanted
    tables = visits_side_by_side([visit("a.visit", *found), visit("b.visit", *found)])
    assert [table.columns[0].finding.name for table in tables] == wanted


def test_runs_of_other_conditions_are_both_named():
    front = changes(
        visit("a.visit", grey(22.0, condition="as found")),
        visit("b.visit", grey(3.0, run=2, condition="adjusted")),
    )
    assert front.of("changed")[0].figures == (
        "From 22.00 ± 0.60 % (run 1: as found) to 3.00 ± 0.60 % (run 2: adjusted)"
    )


def test_of_three_visits_each_later_one_is_held_against_the_first():
    visits = [visit(f"{n}.visit", grey(error)) for n, error in enumerate((22.0, 3.0, 30.0))]
    front = changes(*visits)
    assert front.title == "3 visits side by side"
    said = [each.sentence.partition(": ")[2] for each in front.of("changed")]
    assert said == [
        "smaller by 19.00 ± 0.85 percentage points, nearer to the target",
        "larger by 8.00 ± 0.85 percentage points, farther from the target",
    ]
    assert "(visit 3, run 1)" in front.of("changed")[1].figures
    assert front.lead[0] == "Changes are counted from the first visit that has the value."
    (said,) = changes(visit("none.visit"), *visits[:2]).of("changed")
    assert said.figures == (
        "From 22.00 ± 0.60 % (visit 2, run 1) to 3.00 ± 0.60 % (visit 3, run 1)"
    )


def test_visits_out_of_order_are_told():
    late = "The visits are not in the order in which they were begun."
    first, second = visit("a.visit", grey(22.0), day=5), visit("b.visit", grey(3.0))
    assert late in changes(first, second).lead
    assert late not in changes(second, first).lead


def test_the_page_begins_with_which_visit_is_which_and_what_changed():
    both = [visit("before.visit", grey(22.0)), visit("after.visit", grey(3.0), day=5)]
    text = seen(page([visit_report(each) for each in both], visits_side_by_side(both)).decode())
    front = text[: text.index("Differences are against the first column")]
    assert "Visit 1: before.visit , Lobby wall, 2031-05-04 00:00 UTC, settings: as before" in front
    assert "Visit 2: after.visit , Lobby wall, 2031-05-05 00:00 UTC, settings: as after" in front
    assert front.index(HEADS["changed"]) < front.index("Greyscale, luminance off target")
    assert front.index("Greyscale, luminance off target") < front.index(HEADS["alike"])


def test_visits_with_nothing_in_common_say_so(tmp_path):
    both = [visit("a.visit", grey(22.0)), visit("b.visit")]
    parts = [visit_report(each) for each in both], visits_side_by_side(both)
    for text in (seen(page(*parts).decode()), text_of(sheets(*parts), tmp_path)):
        assert "No main value of one visit can be compared with one of another." in text


def test_the_sheets_begin_with_the_same(tmp_path):
    both = [visit("before.visit", grey(22.0)), visit("after.visit", grey(3.0), day=5)]
    paper = text_of(
        sheets([visit_report(each) for each in both], visits_side_by_side(both)), tmp_path
    )
    front = " ".join(paper.split()).partition("Differences are against the first column")[0]
    assert "Visit 1: before.visit, Lobby wall, 2031-05-04 00:00 UTC, settings: as before" in front
    assert HEADS["changed"] in front
    assert "smaller by 19.00 ± 0.85 percentage points, nearer to the target." in front


@pytest.mark.parametrize(
    ("aim", "first", "later", "text"),
    [
        (0.0, 56.0, -12.0, "in distance −44.0 ± 1.4 %"),
        (0.0, -12.0, 12.0, "in distance 0.0 ± 1.4 %"),
        (100.0, 113.0, 94.0, "in distance −7.0 ± 1.4 %"),
        (None, 5.0, -5.0, "−10.0 ± 1.4 %"),
    ],
)
def test_what_lies_farthest_from_a_target_is_compared_by_how_far(aim, first, later, text):
    change = difference(*(value("e", each, 1.0, "%", aim=aim) for each in (first, later)))
    assert value_text(change) == text


def test_how_many_steps_a_label_counts_does_not_keep_rows_apart():
    def chart(above, averaged):
        values = [
            value(
                "delta-e-2000-above-3",
                above,
                label=f"Patches above 3 (as read, {above} of 24)",
                row="Patches above 3",
            ),
            value(
                "gamma-average",
                2.2,
                0.1,
                label=f"Gamma, average of {averaged}",
                row="Gamma, average",
            ),
        ]
        return finding("colour", values=values)

    rows = rows_of([chart(12, 8), chart(3, 9)])
    assert [row.label for row in rows] == ["Patches above 3", "Gamma, average"]
    assert all(all(row.cells) for row in rows)
    (alike, _) = rows_of([chart(12, 8), chart(12, 9)])
    assert alike.label == "Patches above 3 (as read, 12 of 24)"


def test_values_of_other_places_are_still_apart():
    def side(angle):
        return finding("viewing-angle", values=[value("viewing-loss", 9.0, 1.0, "%", angle)])

    rows = rows_of([side("Loss of luminance, 30°"), side("Loss of luminance, 60°")])
    assert [sum(each is not None for each in row.cells) for row in rows] == [1, 1]


def test_the_first_page_says_of_each_visit_what_is_not_good_and_that_it_is_simulated(tmp_path):
    bad, good = visit("a.visit", grey(22.0)), visit("b.visit", grey(3.0))
    bad = replace(bad, runs=[played(1, "simulated")])
    both = [visit_report(each, number) for number, each in enumerate((bad, good), 1)]
    beside = visits_side_by_side([bad, good])
    front = seen(page(both, beside).decode()).partition("Changes are counted")[0]
    first, _, second = front.partition("Visit 2")
    not_good = "Not good: Greys are on average not as bright as the curve wants them."
    assert not_good in first
    assert "say nothing about a real one" in first
    assert "Nothing found that is not good." in second
    assert "simulated" not in second
    paper = text_of(sheets(both, beside), tmp_path).partition("Changes are counted")[0]
    assert " ".join(paper.split()).count("say nothing about a real one") == 1


def test_greys_of_all_visits_are_drawn_together_and_told_apart_without_colour():
    def greys(errors):
        rows = [
            (f"Grey {n} %", float(n), e, 101.0, 100.0, 99.0)
            for n, e in zip((20, 60, 100), errors, strict=True)
        ]
        columns = ("signal", "eotf-error", "red", "green", "blue")
        values = [value("eotf-error-average", errors[0], 0.6, "%", "Luminance off target")]
        return finding("greyscale", series("greyscale", columns, rows), values=values, condition="")

    before, after = visit("a.visit", greys((9.0, 8.0, 7.0))), visit("b.visit", greys((1.0, 2.0, 3)))
    beside = visits_side_by_side([before, after])
    balance, light = beside[0].pictures
    assert (balance.name, light.name) == ("greyscale_balance", "grey_light")
    for picture in (balance, light):
        assert "1. a.visit, run 1" in picture.svg
        assert "2. b.visit, run 1" in picture.svg
        assert picture.left_out == 0
    both = [visit_report(each, number) for number, each in enumerate((before, after), 1)]
    html = page(both, beside).decode()
    ids = re.findall(r' id="([^"]*)"', html)
    assert len(ids) == len(set(ids))
    assert html.count("From the runs of this table.") == 2
    more = [visit(f"{n}.visit", greys((9.0, 8.0, 7.0))) for n in range(3)]
    assert [p.left_out for p in visits_side_by_side(more)[0].pictures] == [1, 0]


def test_what_is_alike_stands_on_one_line_with_its_figures_at_the_right(tmp_path):
    before, after = visit("a.visit", grey(22.0)), visit("b.visit", grey(3.0, average=2.2))
    (same,) = changes(before, after).of("alike")
    assert same.figures == "2.00 ± 0.50 to 2.20 ± 0.50 (run 1)"
    (same,) = changes(before, visit("b.visit", grey(3.0))).of("alike")
    assert same.figures == "2.00 ± 0.50 in both (run 1)"
    both = [visit_report(each, number) for number, each in enumerate((before, after), 1)]
    paper = text_of(sheets(both, visits_side_by_side([before, after])), tmp_path)
    (line,) = (line for line in paper.splitlines() if "larger by 0.20 ± 0.71." in line)
    assert line.endswith("2.00 ± 0.50 to 2.20 ± 0.50 (run 1).")


def test_the_balance_farthest_off_is_a_main_value_and_its_change_is_that_of_the_distance():
    def balance(number):
        values = [
            value(
                "balance-largest",
                number,
                0.5,
                "%",
                "Balance farthest off: blue, Grey 5 %",
                row="Balance farthest off",
                at="blue, Grey 5 %",
                aim=100.0,
            )
        ]
        return finding("greyscale", values=values)

    front = changes(visit("a.visit", balance(92.0)), visit("b.visit", balance(104.0)))
    (said,) = front.of("changed")
    assert "smaller by 4.00 ± 0.71 percentage points, nearer to the target" in said.sentence


def test_how_differences_are_made_is_said_once(tmp_path):
    runs = [grey(22.0), grey(3.0, run=2), wall_contrast(1), wall_contrast(2)]
    once = "Differences are against the first column"
    alone, other = visit("a.visit", *runs), visit("b.visit", *runs)
    for visits in ([alone], [alone, other]):
        both = [visit_report(each, number) for number, each in enumerate(visits, 1)]
        beside = visits_side_by_side(visits)
        assert page(both, beside).decode().count(once) == 1
        assert text_of(sheets(both, beside), tmp_path).count(once) == 1
    single = [visit_report(visit("a.visit", grey(22.0)))]
    assert once not in page(single, []).decode()


def wall_contrast(run):
    values = [value("sequential-contrast", 1000.0 * run, 20.0, ":1", "Sequential contrast")]
    return finding("contrast", values=values, run=run)
