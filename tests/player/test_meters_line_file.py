"""A meter that talks in lines is described in YAML, and what is wrong there is said at once."""

from pathlib import Path

import pytest

from player.described import DescriptionError
from player.meters import MeterError, open_meter
from player.meters.line_file import LineDescription, load_line_meter
from readings.visit.records import Specification
from tests.player.far_end import line_meter

GOOD = r"""
name: spot meter
tcp: {host: 127.0.0.1, port: 5025}
measure: M
answer: 'Y=(?P<Y>\S+) x=(?P<x>\S+) y=(?P<y>\S+)'
"""
WHOLE = r"""
name: reference
role: reference
specification:
  luminance_relative_uncertainty: 0.02
  luminance_floor: 0.01
serial: {device: COM3, speed: 4800, data_bits: 7, parity: even, stop_bits: 2, flow: hardware}
line_end: CR
begin: [REMOTE, FAST OFF]
pause: 0.5
measure: "\x02M"
end: LOCAL
timeout: 90
answer: '^(?P<X>\S+);(?P<Y>\S+);(?P<Z>\S+)$'
scale: 3.426
other_answers:
  - {match: '^WAIT', means: busy, say: It is warming up.}
  - {match: '^LOW', means: too dark, say: It is too dark for this meter.}
"""


def complaint(text: str) -> str:
    with pytest.raises(DescriptionError) as caught:
        line_meter(text)
    said = str(caught.value)
    assert said.startswith("spot.yaml ")
    assert said.endswith(".")
    assert "\n" not in said
    return said


def test_a_short_description_has_its_defaults():
    described = line_meter(GOOD)
    assert (described.line_end, described.timeout, described.scale) == ("CR LF", 60.0, 1.0)
    assert (described.role, described.promised) == ("spot meter", Specification())
    assert described.begin == described.end == ()


def test_a_whole_description_is_read():
    described = line_meter(WHOLE)
    assert described.serial is not None
    assert (described.serial.speed, described.serial.parity, described.serial.stop_bits) == (
        4800,
        "even",
        2,
    )
    assert described.measure == "\x02M"
    assert (described.begin, described.end) == (("REMOTE", "FAST OFF"), ("LOCAL",))
    assert described.promised == Specification(
        luminance_relative_uncertainty=0.02, luminance_floor=0.01
    )
    assert [each.means for each in described.other_answers] == ["busy", "too dark"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "does not describe a meter: it is no mapping"),
        ("name: [", "is not YAML"),
        (GOOD.replace("name: spot meter", ""), "name: is missing"),
        (GOOD + "colour: red", "colour: is not known here"),
        (GOOD.replace("measure: M", "measure: ''"), "measure: String should have at least 1"),
        (GOOD.replace("tcp: {host: 127.0.0.1, port: 5025}", ""), "say either serial or tcp"),
        (GOOD + "serial: {device: COM3}", "say either serial or tcp"),
        (GOOD.replace("5025", "70000"), "tcp.port: should be less than or equal to 65535"),
        (GOOD.replace("5025", "'5025'"), "tcp.port: should be a valid integer"),
        (WHOLE.replace("stop_bits: 2", "stop_bits: 3"), "serial.stop_bits: should be 1, 1.5 or 2"),
        (GOOD + "line_end: ETX", "line_end: should be 'CR', 'LF', 'CR LF' or 'nothing'"),
        (GOOD + "timeout: 0", "timeout: should be greater than or equal to 0.1"),
        (GOOD + "scale: .nan", "scale: should be a finite number"),
        (GOOD + "role: lamp", "role: should be 'spot meter' or 'reference'"),
        (GOOD.replace("(?P<x>", "(?P<x"), "answer: should be a regular expression ("),
        (GOOD.replace("(?P<x>", "(?P<q>"), "answer: should have the named groups X, Y and Z, or"),
        (GOOD.replace("(?P<x>", "("), "not Y, y."),
        (
            GOOD.replace(r"(?P<Y>\S+)", r"(?P<Y>(?:\S{9}\D{9}.{9}){90})"),
            "it is too large: its counts",
        ),
        (
            GOOD.replace(r"Y=(?P<Y>", r"(?<=Y=)(?P<Y>"),
            "answer: should be a regular expression (one",
        ),
        (GOOD.replace(r"Y=(?P<Y>", r"(Y)=\1(?P<Y>"), "(one that refers back to an earlier group"),
        (GOOD.replace(r"(?P<Y>\S+)", r"(?P<Y>(?:\S{1,40}){1,40})"), "(it is too large: its counts"),
        (GOOD + "other_answers: [{match: '(?!A)', means: busy, say: a}]", "looks ahead or behind"),
        (f"{GOOD}other_answers: [{'{match: B, means: busy, say: a}, ' * 21}]", "at most 20 items"),
        (GOOD + "other_answers: [{match: '(', means: busy, say: a}]", "other_answers.0.match:"),
        (GOOD + "other_answers: [{match: B, means: tired, say: a}]", "other_answers.0.means:"),
        (GOOD.replace("measure: M", "measure: 'M {x}'"), "measure: should have no {x}: the place"),
        (GOOD.replace("measure: M", "measure: 'M {'"), "measure: should have no {: the place is"),
        (GOOD + "moves: sometimes", "moves: should be 'yes', 'no' or 'ask'"),
        (GOOD + "specification: {luminance_floor: 0}", "specification.luminance_floor:"),
    ],
)
def test_what_is_wrong_is_said(text: str, said: str):
    assert said in complaint(text)


def test_all_that_is_wrong_is_said_at_once():
    said = complaint(GOOD.replace("measure: M", "").replace("5025", "0") + "pause: -1")
    assert [part for part in ("measure:", "tcp.port:", "pause:") if part not in said] == []


def test_a_missing_file_says_how_such_a_meter_is_written(tmp_path: Path):
    with pytest.raises(MeterError, match=r"none\.yaml cannot be read \(.*\); .* line:FILE"):
        open_meter(f"line:{tmp_path / 'none.yaml'}")


@pytest.mark.parametrize("name", ["", "a\0b"])
def test_a_name_that_is_none_is_refused(name: str):
    with pytest.raises(MeterError, match="cannot be read"):
        load_line_meter(name)


def test_a_file_that_is_not_text_is_refused(tmp_path: Path):
    path = tmp_path / "odd.yaml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(MeterError, match=r"odd\.yaml is not UTF-8 text\.$"):
        load_line_meter(path)


def test_a_meter_is_opened_by_its_description(tmp_path: Path):
    path = tmp_path / "reference.yaml"
    path.write_text(WHOLE, encoding="utf-8")
    meter = open_meter(f"line:{path}")
    assert meter.name == "reference"
    assert meter.specification.luminance_floor == 0.01


def test_the_description_on_the_page_is_one():
    page = (Path(__file__).parents[2] / "docs" / "meters.md").read_text("utf-8")
    section = page.partition("## A meter that talks in lines")[2]
    text = section.partition("```yaml\n")[2].partition("```")[0]
    assert line_meter(text).name == "spot meter"


def test_every_name_in_a_description_is_explained():
    page = (Path(__file__).parents[2] / "docs" / "meters.md").read_text("utf-8")
    missing = [name for name in LineDescription.model_fields if f"`{name}`" not in page]
    assert missing == []
