"""A meter that talks in lines, over sockets and pseudo-terminals that the tests make."""

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.place import place_read
from player.meters.base import MeterError
from player.meters.line import LineMeter
from tests.player.far_end import ANSWER, GOOD, FarEnd, Socket, Terminal, line_meter

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of POSIX only")


Make = Callable[..., tuple[FarEnd, LineMeter]]


@pytest.fixture(params=["socket", pytest.param("terminal", marks=POSIX)])
def make(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Make]:
    """Make a far end that gives the answers, and the meter that asks it."""
    with ExitStack() as stack:

        def both(
            *answers: object,
            more: str = "",
            timeout: float = 5.0,
            answer: str = ANSWER,
            measure: str = "M",
        ):
            far: FarEnd
            if request.param == "socket":
                far = Socket(*answers)
                stack.callback(far.close)
            else:
                far = Terminal(tmp_path, *answers)
            text = f"name: spot meter\n{far.where}\nmeasure: {measure}\nanswer: '{answer}'\n{more}"
            described = line_meter(text).model_copy(update={"timeout": timeout})
            meter = LineMeter(described)
            stack.callback(meter.close)
            return far, meter

        yield both


def fails(meter: LineMeter) -> str:
    with pytest.raises(MeterError) as caught:
        meter.measure()
    said = str(caught.value)
    assert "\n" not in said
    assert said.endswith(".")
    return said


def test_a_reading_is_asked_for_and_read(make: Make):
    far, meter = make()
    reading = meter.measure()
    assert (reading.luminance, reading.x, reading.y) == (100.5, 0.31, 0.33)
    assert reading.raw == GOOD.strip()
    assert meter.measure().luminance == 100.5
    assert far.heard == ["M", "M"]


def test_the_meter_is_told_the_place_where_its_line_asks_for_it(make: Make):
    asks = "'M {x_percent} {y_percent} {x_px} {y_px} {{{place}}} {label}'"
    far, meter = make(measure=asks)
    board = KINDS["checkerboard"].model_validate({})
    meter.measure()
    meter.aim(place_read("box 4", board, Canvas(1280, 720)))
    meter.measure()
    meter.aim(None)
    meter.measure()
    assert far.heard == ["M     {} ", "M 87.5 12.5 1120 90 {4} box 4", "M     {} "]


def test_a_busy_meter_is_asked_again_for_the_same_place(make: Make):
    busy = "other_answers: [{match: '^BUSY', means: busy, say: It warms up.}]"
    far, meter = make("BUSY\r\n", more=busy, measure="'M {place}'")
    meter.aim(place_read("box 4", KINDS["checkerboard"].model_validate({}), Canvas(1280, 720)))
    meter.measure()
    assert far.heard == ["M 4", "M 4"]


def test_what_begins_and_ends_a_session_is_sent_once(make: Make):
    far, meter = make(more="begin: [REMOTE, FAST]\nend: LOCAL")
    meter.measure()
    meter.measure()
    meter.close()
    far.until_heard("REMOTE", "FAST", "M", "M", "LOCAL")


@pytest.mark.parametrize(
    "answer",
    [
        pytest.param([0.3, GOOD], id="slow"),
        pytest.param([*(part for c in GOOD for part in (c, 0.01))], id="letter by letter"),
        pytest.param(["Y=100.5 x=0.", 0.1, "31 y=0.33\r", 0.05, "\n"], id="split"),
        pytest.param("M\r\n\r\nready>\n" + GOOD, id="an echo and a prompt before it"),
        pytest.param(GOOD.replace("\r\n", "\r"), id="CR alone"),
        pytest.param(GOOD.replace("\r\n", "\n"), id="LF alone"),
        pytest.param(GOOD.replace(".", ","), id="decimal comma"),
        pytest.param("\xff\x80\x01\r\n" + "z" * 3000 + "\r\n" + GOOD, id="noise before it"),
    ],
)
def test_a_reading_is_read_however_it_comes(make: Make, answer: object):
    _, meter = make(answer)
    reading = meter.measure()
    assert (reading.luminance, reading.x, reading.y) == (100.5, 0.31, 0.33)


@pytest.mark.timeout(30)  # an engine that tries one way after another needs years
@pytest.mark.parametrize(
    "pattern", [r"(?P<Y>(?:\d+)+) cd$", r"(?P<Y>(\d|\d)*) cd$", r"(?P<Y>(?:\d?){30}\d{30}) cd$"]
)
def test_an_expression_that_can_be_tried_in_countless_ways_holds_nothing_up(
    make: Make, pattern: str
):
    _, meter = make("1" * 900 + "\r\n" + "0" * 28 + "55 cd\r\n", answer=pattern)
    assert meter.measure().luminance == 55


@pytest.mark.timeout(30)
def test_an_expression_among_the_other_answers_holds_nothing_up_either(make: Make):
    more = "other_answers: [{match: '^(a+)+$', means: failed, say: Broken.}]"
    _, meter = make("a" * 60 + "b\r\n" + GOOD, more=more)
    assert meter.measure().luminance == 100.5


def test_x_y_z_are_scaled_and_kept(make: Make):
    pattern = r"(?P<X>\S+) (?P<Y>\S+) (?P<Z>\S+)"
    _, meter = make("+1.0E+0 2 1\r\n", more="scale: 2", answer=pattern)
    reading = meter.measure()
    assert (reading.luminance, reading.x, reading.y) == (4, 0.25, 0.5)
    assert reading.tristimulus == (2, 4, 2)
    assert reading.raw == "+1.0E+0 2 1"


def test_a_luminance_alone_is_enough(make: Make):
    _, meter = make("L -0.0002 cd\r\n", answer=r"L (?P<luminance>\S+)")
    reading = meter.measure()
    assert (reading.luminance, reading.x, reading.tristimulus) == (-0.0002, None, None)


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("Y=++ x=0.3 y=0.3\r\n", "says 'Y=++ x=0.3 y=0.3', where Y is no number."),
        ("Y=1e999 x=0.3 y=0.3\r\n", "gave inf, which is no reading."),
        ("Y=100 x=0.9 y=0.9\r\n", "gave x 0.9, y 0.9, which is no chromaticity."),
    ],
)
def test_an_answer_that_is_no_reading_is_told_at_once(make: Make, answer: str, said: str):
    _, meter = make(answer)
    assert fails(meter).endswith(said)
    assert meter.measure().luminance == 100.5


OTHERS = r"""
other_answers:
  - {match: '^WAIT', means: busy, say: It is warming up}
  - {match: '^LOW', means: too dark, say: It is too dark for this meter}
"""


def test_a_busy_meter_is_asked_again(make: Make):
    far, meter = make("WAIT\r\n", "WAIT\r\n", more=OTHERS)
    assert meter.measure().luminance == 100.5
    assert far.heard == ["M", "M", "M"]


def test_a_meter_that_stays_busy_is_told(make: Make):
    _, meter = make(*["WAIT\r\n"] * 9, more=OTHERS, timeout=0.8)
    assert fails(meter).endswith("gave no reading within 0.8 s: It is warming up.")


def test_too_dark_is_told_in_the_words_of_the_description(make: Make):
    _, meter = make("LOW 3\r\n", more=OTHERS)
    assert fails(meter).endswith("says 'LOW 3': It is too dark for this meter.")
    assert meter.measure().luminance == 100.5


def test_no_answer_is_told_after_the_timeout(make: Make):
    far, meter = make([], timeout=0.4)
    start = time.monotonic()
    assert fails(meter).endswith("gave no reading within 0.4 s.")
    assert 0.3 < time.monotonic() - start < 5
    assert meter.measure().luminance == 100.5
    assert far.heard == ["M", "M"]


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("what?\r\n", "within 0.4 s; the last that it said was 'what?'."),
        ("Y=1 x=", "within 0.4 s; the last that it said was 'Y=1 x=', without a line's end."),
        ("\xff\xfe" * 20 + "\n", "'ÿþ"),
    ],
)
def test_garbage_is_told_after_the_timeout(make: Make, answer: str, said: str):
    _, meter = make(answer, timeout=0.4)
    assert said in fails(meter)
    assert meter.measure().luminance == 100.5


@pytest.mark.parametrize("block", ["x" * 999 + "\r\n", "y" * 1000])
def test_a_meter_that_never_stops_is_stopped(make: Make, block: str):
    _, meter = make([block] * 200 + [FarEnd.GONE])
    start = time.monotonic()
    assert fails(meter).endswith("sent more than 65536 bytes: no reading.")
    assert time.monotonic() - start < 4


def test_a_late_answer_is_not_that_to_the_next_question(make: Make):
    _, meter = make([0.6, GOOD.replace("100.5", "7")], timeout=0.3)
    fails(meter)
    time.sleep(0.6)
    assert meter.measure().luminance == 100.5


def test_what_comes_unasked_between_two_readings_is_no_answer(make: Make):
    unasked = GOOD.replace("100.5", "7")
    _, meter = make([GOOD, unasked])
    assert meter.measure().luminance == 100.5
    time.sleep(0.2)
    assert meter.measure().luminance == 100.5


def test_a_measurement_is_given_up(make: Make):
    _, meter = make([], timeout=30)
    threading.Timer(0.3, meter.give_up).start()
    start = time.monotonic()
    assert fails(meter) == "The measurement was given up."
    assert time.monotonic() - start < 5


def test_a_meter_that_dies_in_a_reading_is_told_and_found_again():
    far = Socket([*GOOD[:9], FarEnd.GONE])
    text = f"name: spot meter\n{far.where}\nbegin: REMOTE\nmeasure: M\nanswer: '{ANSWER}'"
    meter = LineMeter(line_meter(text))
    said = fails(meter)
    assert said.startswith("The spot meter at 127.0.0.1, port ")
    assert "has closed the connection" in said or "has gone" in said
    assert meter.measure().luminance == 100.5
    assert (far.connections, far.heard) == (2, ["REMOTE", "M", "REMOTE", "M"])
    meter.close()
    far.close()


def test_a_connection_that_was_closed_between_two_readings_is_opened_anew():
    far = Socket([GOOD, FarEnd.GONE])
    text = f"name: spot meter\n{far.where}\nmeasure: M\nanswer: '{ANSWER}'"
    meter = LineMeter(line_meter(text))
    assert meter.measure().luminance == 100.5
    time.sleep(0.2)
    assert meter.measure().luminance == 100.5
    assert far.connections == 2
    meter.close()
    far.close()


def test_an_answer_that_comes_during_the_next_question_is_not_taken_for_its_own():
    far = Socket([1.3, GOOD.replace("100.5", "7")])
    text = f"name: a\n{far.where}\nmeasure: M\nanswer: '{ANSWER}'\ntimeout: 1.0"
    meter = LineMeter(line_meter(text))
    fails(meter)
    assert meter.measure().luminance == 100.5
    meter.close()
    far.close()


def test_a_meter_that_is_not_there_is_told():
    far = Socket()
    far.close()
    text = f"name: spot meter\n{far.where}\nmeasure: M\nanswer: '{ANSWER}'"
    assert "cannot be reached: Connection refused" in fails(LineMeter(line_meter(text)))


@POSIX
def test_a_serial_meter_that_is_unplugged_is_told_and_found_again(tmp_path: Path):
    far = Terminal(tmp_path, GOOD, ["Y=100", FarEnd.GONE])
    text = f"name: spot meter\n{far.where}\nmeasure: M\nanswer: '{ANSWER}'"
    meter = LineMeter(line_meter(text))
    assert meter.measure().luminance == 100.5
    assert f"The spot meter at {tmp_path / 'port'} has gone" in fails(meter)
    assert "cannot be opened: " in fails(meter)
    far.plug_in()
    assert meter.measure().luminance == 100.5
    meter.close()


@POSIX
def test_a_serial_port_that_is_none_is_told(tmp_path: Path):
    plain = tmp_path / "plain"
    plain.write_text("")
    for device in (tmp_path / "none", plain, tmp_path):
        text = f"name: a\nserial: {{device: {device}}}\nmeasure: M\nanswer: '{ANSWER}'"
        said = fails(LineMeter(line_meter(text)))
        assert said.startswith(f"The a at {device} cannot be opened: ")


@POSIX
def test_two_players_do_not_share_a_serial_port(tmp_path: Path):
    far = Terminal(tmp_path)
    text = f"name: spot meter\n{far.where}\nmeasure: M\nanswer: '{ANSWER}'"
    first, second = (LineMeter(line_meter(text)) for _ in range(2))
    first.measure()
    assert "cannot be opened" in fails(second)
    first.close()
    assert second.measure().luminance == 100.5
    second.close()
