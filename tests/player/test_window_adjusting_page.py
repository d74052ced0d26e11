"""Where the window puts what it says of an adjustment: whole, and in the right place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from player.run import advised
from player.windows import operator, strip
from player.windows.controls.adjusting_picture import LevelLine
from player.windows.large import write_run
from player.windows.view import WORDS, View, view_of
from readings.adjusting.advice import Advice, Look, Noticed, Off, Stop
from readings.visit.visit import Visit
from tests.player.desk import Desk
from tests.player.scripted_adviser import (
    GREY_AFTER,
    REACHED,
    ScriptedAdviser,
    adjusting,
    look,
    turn,
)
from tests.player.test_window_large import Paper, on_the_page

TEXT = adjusting(then=GREY_AFTER)
PAGE = turn((0, -12, -10), (1, 0, -3), (2, 0, 14))
DETOUR = replace(turn((3, 0, 7)), detour=True, off=Off(10, -0.12, 0.01, 0.02))
ENDS = [
    Stop("reached", 0.7, 0.3, 0.5, 120.0),
    Stop("within the meter", 0.7, 0.9),
    Stop("not worth the time", 1.2, 0.3, 0.9, 400.0),
    Stop("nothing left", 1.9, 0.4),
]


@pytest.fixture
def desk(visit: Visit, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setattr(advised, "Adviser", ScriptedAdviser)
    monkeypatch.setattr(ScriptedAdviser, "made", [])
    monkeypatch.setattr(ScriptedAdviser, "script", [PAGE])
    return Desk(TEXT, visit)


def saying(desk: Desk, monkeypatch: pytest.MonkeyPatch, *script: Advice) -> None:
    """Black and white are read, and the adviser says these things."""
    monkeypatch.setattr(ScriptedAdviser, "script", list(script))
    desk.key("END")
    for text in ("0.05", "100 0.3127 0.329"):
        desk.wait(3)
        desk.type(text)
        desk.key("ENTER")
    desk.wait(3)


def drawn(view: View) -> Paper:
    """The window, after a look whether what stands on the left lies over anything else."""
    board = Paper()
    operator._write(board, view, None)
    return board


def on_the_left(board: Paper, view: View) -> list[float]:
    """Heights of the lines of the left column that say what to do, in their order."""
    assert view.adjusting is not None
    said = [*view.adjusting.head, view.adjusting.to_go, view.unit if view.entry else ""]
    said.append(view.adjusting.prompt)
    return [board.under(" ".join(each.split())) for each in said if each]


def test_what_a_menu_should_read_stands_largest_with_why_and_what_is_to_go(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, turn((0, 0, -12)))
    board = drawn(view_of(desk.controls, ""))
    assert board.size_of("Red gain 0 → −12") == max(each.size for each in board.lines)
    for said in (
        "White has 3.0 % too much red; this takes it to the mark.",
        "about 20 s, 4 changes to go · largest dE 2.9 → about 1.2",
        "Enter: done · a number: what it reads now · Right: leave out · F2: put back",
    ):
        assert said in board.said
    assert "3.0 % too much" in board.said


@pytest.mark.parametrize("advice", [turn((0, 0, -12), trial=True), PAGE, DETOUR, look(7), *ENDS])
def test_nothing_that_is_told_lies_over_anything_else(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, advice: Advice
) -> None:
    saying(desk, monkeypatch, advice)
    view = view_of(desk.controls, "")
    heights = on_the_left(drawn(view), view)
    assert heights == sorted(heights)
    assert heights[-1] <= 870


@pytest.mark.parametrize("advice", [turn((0, 0, -12)), PAGE, DETOUR, look(7), *ENDS])
def test_in_large_letters_what_to_do_is_whole_whatever_else_gives_way(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, advice: Advice
) -> None:
    saying(desk, monkeypatch, advice)
    view = view_of(desk.controls, "")
    board = Paper()
    write_run(board, view)
    on_the_page(board)
    assert view.adjusting is not None
    assert all(each in board.said for each in view.adjusting.head)


def test_each_level_has_its_error_as_read_and_as_believed_and_each_control_where_it_stands(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE, PAGE, PAGE, look())
    desk.key("ENTER")
    picture = view_of(desk.controls, "").adjusting
    assert picture is not None
    assert [(each.label, each.believed) for each in picture.levels] == [
        ("100 %", "2.0 ± 0.4"),
        ("50 %", "1.5 ± 0.4"),
    ]
    assert [each.worst for each in picture.levels] == [True, False]
    assert [(each.name, each.found, each.now) for each in picture.controls[:3]] == [
        ("Red gain", "0", "−10"),
        ("Green gain", "0", "−3"),
        ("Blue gain", "0", "14"),
    ]


def test_what_contradicts_is_told_beside_the_reading(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, Look(7, "again"), REACHED)
    assert "is not what was expected" in drawn(view_of(desk.controls, "")).said
    (adviser,) = ScriptedAdviser.made
    adviser.noticed.append(Noticed(adviser.controls[0], "no effect seen", 7))
    desk.type("48 0.31 0.33")
    desk.key("ENTER")
    assert "No effect of Red gain was seen at 70 %." in drawn(view_of(desk.controls, "")).said


def test_while_controls_are_asked_for_the_line_takes_what_a_menu_has(desk: Desk) -> None:
    board = drawn(view_of(desk.controls, ""))
    assert "Red gain: −50 to 50, now 0" in board.said
    assert "lowest to highest, now" in board.said
    assert "service menus are for qualified people" in board.said
    desk.type("-30 to 30")
    desk.key("ENTER")
    assert "Green gain: −30 to 30, now 0" in drawn(view_of(desk.controls, "")).said


@pytest.mark.parametrize("advice", ENDS)
@pytest.mark.parametrize("where", ["large", "strip"])
def test_at_its_end_keys_and_what_going_on_would_give_are_told_on_every_page(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, advice: Stop, where: str
) -> None:
    saying(desk, monkeypatch, advice)
    view = view_of(desk.controls, "")
    said = paged(view, where)
    assert view.adjusting is not None
    assert "Enter ends it · Space goes on all the same" in said
    assert view.adjusting.why in said
    assert ("Going on might bring it to" in said) == (advice.more is not None)


@pytest.mark.parametrize("where", ["large", "strip"])
@pytest.mark.parametrize(
    ("key", "said"), [("END", "Enter ends it · Right goes on"), ("SPACE", "Space goes on")]
)
def test_where_nothing_is_typed_every_page_says_which_key_goes_on(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, where: str, key: str, said: str
) -> None:
    saying(desk, monkeypatch, PAGE)
    desk.key(key)
    assert said in paged(view_of(desk.controls, ""), where)


@pytest.mark.parametrize("where", ["large", "strip"])
def test_that_errors_rise_first_is_whole_on_every_page(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    saying(desk, monkeypatch, DETOUR)
    assert "The error rises first, and falls after: about 1.2 in the end." in paged(
        view_of(desk.controls, ""), where
    )


def test_all_controls_of_a_page_are_whole_on_the_strip(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE)
    said = paged(view_of(desk.controls, ""), "strip")
    assert "Red gain −12 → −10 · Green gain 0 → −3 · Blue gain 0 → 14 · Settled" in said


def paged(view: View, where: str) -> str:
    """What a page says, its lines joined."""
    board = Paper() if where == "large" else Paper(1200)
    if where == "large":
        write_run(board, view)
        on_the_page(board)
    else:
        strip._write(board, view)
    return board.said


def test_where_nothing_is_typed_its_keys_are_as_loud_as_what_is_to_be_done(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE)
    typed = drawn(view_of(desk.controls, ""))
    desk.key("END")
    asked = drawn(view_of(desk.controls, ""))
    quiet = typed.size_of(
        "Enter: done · a number: what it reads now · Right: leave out · F2: put back"
    )
    assert asked.size_of("Enter ends it · Right goes on") == 34 > quiet


def test_what_should_be_read_says_that_it_is_wanted(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, look())
    assert view_of(desk.controls, "").expect == "wanted 100  0.3127 0.3290"


def test_where_nothing_more_is_advised_the_end_key_ends_it_and_says_why(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, ENDS[1])
    desk.key("END")
    assert [each.why for each in desk.visit.adjustments(1)] == ["within the meter"]
    assert desk.run.number == 2
    assert "less than the meter can tell" in drawn(view_of(desk.controls, "")).said


VERIFIED = WORDS["verified"]


def with_levels(view: View, many: int, up: int) -> View:
    """The same with so many levels, the error of each a tenth more than that of the one below."""
    assert view.adjusting is not None
    levels = tuple(
        LevelLine(f"{each} %", "0.9", f"{each / 10:.1f} ± 0.4", each / 10, each == up, each == many)
        for each in range(many, 0, -1)
    )
    return replace(view, adjusting=replace(view.adjusting, levels=levels), guard=VERIFIED, why="")


@pytest.mark.parametrize("many", [2, 9, 11, 21, 70])
def test_the_tables_have_letters_for_arms_length_and_stay_above_the_foot(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, many: int
) -> None:
    saying(desk, monkeypatch, PAGE)
    view = with_levels(view_of(desk.controls, ""), many, up=1)
    board = drawn(view)
    place = next(at for at, each in enumerate(board.lines) if each.text == "dE, k = 2")
    rows = board.lines[place:]
    rows = rows[: next(at for at, each in enumerate(rows) if each.text == view.hint)]
    # 22 of 900 are 16 pixels at 1366x768
    assert min(each.size for each in rows) >= (24 if many <= 11 else 22)
    assert max(each.y + each.size * 1.22 for each in rows) <= 890
    texts = [each.text for each in rows]
    assert {"Red gain", "Green gain", "Blue gain", "1 %", f"{many} %, worst"} <= set(texts)


def test_levels_without_room_are_those_nearest_to_what_is_wanted_and_their_number_is_told(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE)
    texts = [each.text for each in drawn(with_levels(view_of(desk.controls, ""), 21, 2)).lines]
    texts = texts[texts.index("dE, k = 2") : texts.index("Control")]
    shown = [int(each.split()[0]) for each in texts if each.endswith((" %", " %, worst"))]
    rest = [each for each in range(1, 22) if each not in shown]
    assert shown == sorted(shown, reverse=True)
    assert 2 in shown
    assert max(rest) < min(each for each in shown if each != 2)
    assert texts[texts.index(f"{len(rest)} more") + 1] == f"up to {max(rest) / 10:.1f}"


def test_what_is_left_out_says_so_beside_its_name_however_long_that_is(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, turn((0, 0, -12)), turn((1, 0, -12)))
    desk.key("RIGHT")
    texts = [each.text for each in drawn(view_of(desk.controls, "")).lines]
    assert texts[texts.index("Red gain") + 1] == "left out"


def test_a_refusal_takes_the_room_of_the_keys_and_is_large(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE)
    desk.type("-12.5")
    desk.key("ENTER")
    view = view_of(desk.controls, "")
    board = drawn(view)
    assert "does it really read −12.5? Enter once more keeps it." in board.said
    assert board.size_of("once more") >= 27
    assert view.adjusting is not None
    assert view.adjusting.prompt not in board.said


def test_what_was_read_of_one_level_is_not_held_against_another(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, look(7), look(3))
    desk.type("48 0.31 0.33")
    desk.key("ENTER")
    apart = [each.apart for each in view_of(desk.controls, "").last]
    assert len(apart) == 3
    assert not any("step 1" in each for each in apart), apart


def test_figures_that_are_read_meanwhile_are_large_and_the_legend_of_the_bars_gives_way(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    saying(desk, monkeypatch, PAGE)
    view = view_of(desk.controls, "")
    assert view.adjusting is not None
    assert "As believed · line: the target, notch: after this turn" in drawn(view).said
    figures = "450.6  0.3101 0.3263, dE 1.5, mean of 4 readings, 12 s"
    read = replace(view, adjusting=replace(view.adjusting, lights_of=figures))
    board = drawn(read)
    assert board.size_of("mean of 4 readings, 12 s") == 24
    assert "line: the target" not in board.said
