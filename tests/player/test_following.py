"""The meter while a display is adjusted: it reads by itself; what moves the bars is not kept."""

from __future__ import annotations

import threading

import pytest

from player.meters.base import MeterError, MeterReading
from player.run import advised
from player.windows.controls.following import READS_NO_MORE
from player.windows.view import view_of
from readings.visit.visit import Visit
from tests.player.desk import PATIENCE, Desk, ToldMeter
from tests.player.scripted_adviser import REACHED, ScriptedAdviser, adjusting, look, turn


def light(luminance: float, x: float | None = 0.3127, y: float | None = 0.329) -> MeterReading:
    return MeterReading(f"Y {luminance}", luminance, x, y)


BLACK, WHITE = light(0.05, None, None), light(100.0)


@pytest.fixture(autouse=True)
def scripted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advised, "Adviser", ScriptedAdviser)
    monkeypatch.setattr(ScriptedAdviser, "made", [])


def desk_of(
    visit: Visit,
    monkeypatch: pytest.MonkeyPatch,
    meter: ToldMeter,
    *script: object,
    settle: str = "3 s",
) -> Desk:
    monkeypatch.setattr(ScriptedAdviser, "script", list(script))
    desk = Desk(adjusting(settle), visit, meter)
    desk.key("END")  # all controls as supposed
    desk.wait(4)
    return desk


def go_on(desk: Desk, readings: int) -> None:
    """Let time pass until so many readings are kept."""
    for _ in range(int(100 * PATIENCE)):
        if len(desk.visit.readings()) >= readings:
            return
        desk.wait(0.4)
        threading.Event().wait(0.01)
    pytest.fail(f"only {len(desk.visit.readings())} readings: {desk.controls.notice}")


def reads_on(desk: Desk, meter: ToldMeter, left: int = 0) -> None:
    """Let time pass until the meter has no more than so many answers left."""
    for _ in range(int(100 * PATIENCE)):
        desk.wait(0.4)
        threading.Event().wait(0.01)
        if len(meter.answers) <= left:
            desk.wait(0.4)
            return
    pytest.fail("the meter was not read")


def test_the_first_reading_takes_a_key_and_the_others_come_by_themselves(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE, light(48), light(7), WHITE)
    desk = desk_of(visit, monkeypatch, meter, look(7), look(3), turn((0, 0, -12)))
    desk.wait(5)
    assert visit.readings() == []
    assert "Enter: the meter reads it" in str(view_of(desk.controls, "").adjusting)
    desk.key("ENTER")
    go_on(desk, 4)
    assert [each.luminance for each in visit.readings()] == [0.05, 100, 48, 7]
    assert desk.run.adjustment.state == "turn"


def test_while_something_is_turned_the_bars_move_and_nothing_is_kept(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE, light(103.0), light(103.2), light(90.0))
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)), look())
    desk.key("ENTER")
    go_on(desk, 2)
    shown = []
    for left in (2, 1, 0):
        reads_on(desk, meter, left)
        picture = view_of(desk.controls, "").adjusting
        assert picture is not None
        shown.append((picture.lights[0].light[1], picture.lights_of))
    assert len(visit.readings()) == 2
    assert shown[0][0] == pytest.approx(1.03, abs=0.002)
    assert "one reading" in shown[0][1]
    assert "mean of 2 readings" in shown[1][1]
    assert shown[2][0] == pytest.approx(0.90, abs=0.002), "the light has changed: it begins anew"


def test_after_a_turn_two_readings_have_to_agree_since_menus_lag(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE)
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)), look(), REACHED)
    desk.key("ENTER")
    go_on(desk, 2)
    meter.answers += [light(100.0), light(97.0), light(94.0), light(94.1)]
    desk.key("ENTER")
    assert len(visit.turns(desk.run.id)) == 1
    go_on(desk, 3)
    assert visit.readings()[-1].luminance == 94.1
    assert desk.run.adjustment.state == "stop"


def test_where_pictures_are_given_little_time_to_settle_two_readings_have_to_agree(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(light(9.0), BLACK, BLACK, light(60), light(90), light(100), light(100))
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)), settle="2.9 s")
    desk.key("ENTER")
    go_on(desk, 2)
    assert [each.luminance for each in visit.readings()] == [0.05, 100]


def test_a_meter_whose_readings_never_agree_is_believed_in_the_end(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE)
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)), look(), REACHED)
    desk.key("ENTER")
    go_on(desk, 2)
    meter.answers += [light(each) for each in (100, 90, 100, 90, 100, 91, 80)]
    desk.key("ENTER")
    go_on(desk, 3)
    assert visit.readings()[-1].luminance == 91


def test_a_meter_that_fails_is_told_and_after_three_times_waits_for_a_key(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, *[MeterError("The spot meter found too little light.")] * 3, WHITE)
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)))
    desk.key("ENTER")
    reads_on(desk, meter, 1)
    assert desk.controls.notice == "The spot meter found too little light."
    for _ in range(20):
        desk.wait(1)
    assert len(meter.answers) == 1
    desk.key("ENTER")
    go_on(desk, 2)


def test_escape_has_it_read_no_more_by_itself(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE)
    desk = desk_of(visit, monkeypatch, meter, look(7))
    desk.key("ENTER")
    go_on(desk, 2)
    desk.key("ESCAPE")
    assert desk.controls.notice == READS_NO_MORE
    assert not desk.controls.left
    meter.answers.append(light(48))
    for _ in range(20):
        desk.wait(1)
    assert len(visit.readings()) == 2


def test_a_reading_that_is_being_typed_is_not_overtaken_by_the_meter(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE)
    desk = desk_of(visit, monkeypatch, meter, look(7), look(3))
    desk.key("ENTER")
    go_on(desk, 2)
    desk.type("48 0.31")
    meter.answers.append(light(47))
    for _ in range(10):
        desk.wait(1)
    assert len(visit.readings()) == 2
    desk.type(" 0.33")
    desk.key("ENTER")
    assert desk.raws[-1] == "48 0.31 0.33"


def test_nothing_is_typed_where_nothing_is_asked(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = desk_of(visit, monkeypatch, ToldMeter(BLACK, WHITE), REACHED)
    desk.key("ENTER")
    go_on(desk, 2)
    desk.type("12")
    assert desk.controls.notice == "Nothing is typed now; Tab writes a note."
    desk.key("ENTER")
    assert desk.visit.adjusted(desk.run.id) == {1}


def test_a_picture_that_went_black_by_itself_comes_back_once_the_display_has_rested(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE, *[WHITE] * 50)
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)))
    meter.let.set()
    desk.key("ENTER")
    go_on(desk, 2)
    meter.let.clear()  # it reads on, and says nothing
    changes = []
    for second in range(1400):
        desk.wait(1)
        if not changes or changes[-1][1] != desk.run.screen.blacked_out:
            changes.append((second, desk.run.screen.blacked_out))
    meter.let.set()
    assert [black for _, black in changes] == [False, True, False]
    assert changes[1][0] == pytest.approx(600, abs=10)
    assert changes[2][0] - changes[1][0] == pytest.approx(600, abs=10)


def test_while_somebody_watches_what_is_read_is_told_beside_what_is_wanted(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = ToldMeter(BLACK, WHITE)
    desk = desk_of(visit, monkeypatch, meter, turn((0, 0, -12)))
    desk.key("ENTER")
    go_on(desk, 2)
    desk.key("SPACE")
    meter.answers.append(light(103.0))
    reads_on(desk, meter)
    picture = view_of(desk.controls, "").adjusting
    assert picture is not None
    assert picture.head == ("Watching 100 %",)
    assert picture.why.startswith("103  0.3127 0.3290, dE 0.")
    assert picture.to_go == "wanted 100  0.3127 0.3290"
    assert len(desk.visit.readings()) == 2
