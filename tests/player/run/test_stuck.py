"""A meter that gives one number for unlike pictures is told; displays at their ends are not."""

import pytest

from player.meters.base import MeterError, MeterReading
from player.run.expecting import Coded
from player.run.stuck import Seen, stuck
from player.run.unattended import run_unattended
from player.windows.view import view_of
from readings.visit.records import Value
from tests.player.recording import Clock, controls_of, press, run_of

D65 = (0.3127, 0.3290)
SAID = "The meter gave 102.3 three times for three different pictures: is it stuck?"


def seen(read, share, xy=D65, got=None, white=100.0):
    x, y = (None, None) if xy is None else xy
    more = {} if got is None else {"x": got[0], "y": got[1]}
    quantity = "luminance" if got is None else "colour"
    value = Value(quantity=quantity, raw=f"{read}", luminance=read, **more)
    return Seen(value, Coded(share * white, share, x, y, xy == D65))


def told(*last, most=None, floor=None, absolute=False):
    most = max(each.value.luminance for each in last) if most is None else most
    return stuck(last, most=most, floor=floor, absolute=absolute)


def test_one_number_for_three_unlike_pictures_is_told():
    assert told(seen(102.3, 1.0), seen(102.3, 0.2), seen(102.3, 0.0)) == SAID
    assert told(seen(102.3, 0.2), seen(102.3, 0.3), seen(102.3, 0.4)) == SAID
    # what lies further back does not matter
    assert told(seen(50.0, 0.5), seen(102.3, 1.0), seen(102.3, 0.2), seen(102.3, 0.0)) == SAID


def test_two_are_not_enough_and_another_number_between_is_a_meter_that_works():
    assert told(seen(102.3, 1.0), seen(102.3, 0.2)) == ""
    assert told(seen(102.3, 1.0), seen(102.4, 0.2), seen(102.3, 0.0)) == ""


@pytest.mark.parametrize(
    "shares",
    [
        (0.5, 0.5, 0.1),
        (0.50, 0.55, 0.1),
        (0.001, 0.002, 0.5),
        (1.0, 0.9, 0.8),
    ],
)
def test_pictures_that_are_hardly_apart_may_read_alike(shares):
    assert told(*(seen(102.3, each) for each in shares)) == ""


@pytest.mark.parametrize(("read", "floor"), [(0.0, None), (0.002, 0.002), (-0.001, None)])
def test_a_black_at_the_floor_is_no_stuck_meter(read, floor):
    assert told(*(seen(read, each) for each in (0.0, 0.2, 0.5)), floor=floor) == ""


def test_a_black_that_is_lifted_hides_what_is_coded_below_it():
    codes = (0.005, 0.02, 0.1)
    rows = [seen(0.5, each, white=1.0) for each in codes]
    assert told(*rows, most=800.0, absolute=True) == ""
    rows = [seen(102.3, each, white=1.0) for each in (0.5, 5.0, 20.0)]
    assert told(*rows, most=800.0, absolute=True) == SAID


def test_a_display_that_clips_shows_all_above_alike():
    codes = (1000.0, 2000.0, 4000.0)
    rows = [seen(812.0, each, white=1.0) for each in codes]
    assert told(*rows, absolute=True) == ""
    assert told(*rows, most=1500.0, absolute=True).startswith("The meter gave 812 three times")
    bright = [seen(412.0, each) for each in (0.58, 0.78, 1.0)]
    assert told(*bright) == ""
    assert told(*bright, most=600.0) != ""


def test_colours_of_one_light_are_unlike_where_their_colour_is_read():
    red, green, blue = (0.64, 0.33), (0.30, 0.60), (0.15, 0.06)
    light = [seen(20.0, 0.2, xy) for xy in (red, green, blue)]
    assert told(*light, most=100.0) == ""
    got = [seen(20.0, 0.2, xy, got=(0.3, 0.3)) for xy in (red, green, blue)]
    assert told(*got, most=100.0) == (
        "The meter gave 20 0.3000 0.3000 three times for three different pictures: is it stuck?"
    )


TEXT = """
title: Lobby wall, greys
signal: sdr8
settle: 0 s
steps:
  - each: {level: [100 %, 80 %, 60 %, 40 %, 20 %]}
    show: {window: {area: 10 %}}
    read: luminance
    role: grey
"""


class Fixed:
    """A meter that gives what it was told, the last for good."""

    name = "spot meter"
    serial = None
    specification = None
    role = "spot meter"

    def __init__(self, *numbers):
        from readings.visit.records import Specification

        self.specification = Specification()
        self._numbers = list(numbers)

    def measure(self):
        number = self._numbers.pop(0) if len(self._numbers) > 1 else self._numbers[0]
        return MeterReading(raw=f"{number}", luminance=number, x=None, y=None)


def test_typed_numbers_are_kept_and_told_at_once_and_the_note_says_so(visit):
    clock = Clock(1.0)
    live = run_of(TEXT, visit, clock)
    for text in ("200", "120", "102.3"):
        assert live.enter(text)
        assert not live.pressing
    while not live.finished:  # doubted since it should be darker, and kept
        live.enter("102.3")
    assert len(visit.readings(live.id)) == 5
    assert live.pressing
    assert live.message.startswith(f"{SAID} Kept 102.3 for step 5.")
    notes = [each.text for each in visit.notes() if SAID in each.text]
    assert len(notes) == 1
    assert notes[0].startswith("Doubted and kept, 102.3: ")


def test_unattended_a_stuck_meter_stops_the_run_after_three_and_can_be_taken_up(visit):
    live = run_of(TEXT, visit, Clock(1.0))
    with pytest.raises(MeterError, match=r"three times for three different pictures") as raised:
        run_unattended(live, Fixed(102.3), wait=lambda _: None)
    assert raised.value.exit_code == 1
    kept = visit.readings(live.id)
    assert [each.luminance for each in kept] == [102.3] * 3
    assert visit.run(live.id).ended == "left"
    again = run_of(TEXT, visit, Clock(1.0))
    assert again.id == live.id
    assert again.number == 4


def test_unattended_a_meter_that_works_goes_on_to_the_end(visit):
    live = run_of(TEXT, visit, Clock(1.0))
    run_unattended(live, Fixed(200.0, 120.0, 60.0, 23.0, 5.0), wait=lambda _: None)
    assert visit.run(live.id).ended == "finished"


def test_the_notice_is_pressing_until_the_next_key(tmp_path):
    clock = Clock()
    with controls_of(TEXT, tmp_path, clock) as controls:
        for many in (1, 2, 3):
            press(controls, clock, "102.3", "RETURN")
            if controls.run.keeping.taken < many:  # doubted, and kept by Enter once more
                press(controls, clock, "RETURN")
        view = view_of(controls, "")
        assert view.notice.startswith(SAID)
        assert view.pressing
        assert controls.wants_strip
        press(controls, clock, "F4", "F4")
        assert not view_of(controls, "").pressing
        assert not controls.wants_strip
