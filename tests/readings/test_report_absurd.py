"""Reports of missing, partial and absurd data come out all the same, and replace nothing else."""

import csv
import html
import json
import xml.etree.ElementTree as ET
import zipfile
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from patterns.picture.canvas import Canvas
from player.cli import run
from readings.findings import findings_of
from readings.findings.base import settle
from readings.report import ReportError, write_report
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.table import write_table
from readings.visit.visit import Visit
from sequences import load, shipped
from tests.disks import needs_root, tiny_disk

START = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
CANVAS = Canvas(640, 360, 50)
METER = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.002, chromaticity_uncertainty=0.006
)
TEXTS = {
    "a formula": "=cmd|' /C calc'!A0",
    "tags": "<script>alert(1)</script> &amp; {{ 7*7 }} $x_2$",
    "controls": "a\x00b\x07\x1b[31m\x85\ufffe\uffffz",
    "lines": "a\nb\r\nc\td",
    "10,000 characters": "wall " * 2000,
    "from right to left": "\u05e7\u05d9\u05e8 \u202e \u0645\u062a\u062d\u0641",
    "signs that the font lacks": "\U0001f3af \u5c55",
}


def kept(step, value):
    """A reading of what the step asks for; `value` is its luminance, count or time."""
    asked = step.read.quantity
    if asked in {"luminance", "colour"}:
        colour = {"x": 0.3127, "y": 0.329} if asked == "colour" else {}
        return Value(quantity=asked, raw=f"{value}", luminance=value, **colour)
    if asked in {"count", "milliseconds"}:
        return Value(quantity=asked, raw="3", number=3)
    text = step.read.choices[0] if step.read.choices else "as it should be"
    return Value(quantity=asked, raw=text, text=text)


@cache
def drawn(name, number):
    """Inks and facts of a step's frame."""
    sequence = load(name)
    frame = sequence.steps[number - 1].pattern.frame(CANVAS, sequence.signal)
    return frame.inks, dict(frame.facts)


def play(visit, name, *, steps=None, value=100.0, change=None, condition="", text=None, **asked):
    """Keep a run of a shipped sequence: its first `steps` readings, each changed by `change`."""
    sequence = load(name)
    planned = [
        PlannedStep(
            label=step.label if text is None else text, kind=step.pattern.kind,
            parameters=step.pattern.parameters(), role=step.role or None,
            quantity=step.read.quantity if step.read else None,
            read_of=(step.read.of or None) if step.read else None, variables=step.variables,
        )
        for step in sequence.steps
    ]  # fmt: skip
    signal = sequence.signal.describe()
    plan = PlannedRun(
        sequence_title=sequence.title, sequence_text=sequence.text, condition=condition,
        sequence_source=name, signal_asked=signal, signal_shown=asked.get("signal", signal),
        canvas=(640, 360), output="window",
    )  # fmt: skip
    run = visit.start_run(plan, planned, at=START).id
    meter = visit.add_instrument("spot meter", kind="typed", role="spot meter", specification=METER)
    for number, step in enumerate(sequence.steps[:steps], 1):
        at = START + timedelta(seconds=15 * number)
        inks, facts = drawn(name, number)
        facts = asked.get("facts", facts)
        shown = Shown(inks=inks, frame_sha256="ab" * 32, facts=facts, guard="unknown")
        showing = visit.keep_showing(run, number, shown, at=at).id
        if step.read is None or step.read.quantity == "tally":
            continue
        reading = kept(step, value)
        if change is not None:
            reading = change(step, reading)
        if reading is not None:
            visit.keep_reading(showing, reading, instrument=meter.id, at=at)
    visit.end_run(run, "left", at=START + timedelta(hours=1))


def new(tmp_path, name="wall.visit", **about):
    visit = Visit.create(tmp_path / name, at=START, **{"display": "Lobby wall"} | about)
    visit._connection.execute("PRAGMA synchronous = OFF")  # no power cut here, and many readings
    return visit


def report(paths, folder):
    """The page, and the findings as JSON that knows no NaN."""
    write_report(paths if isinstance(paths, list) else [paths], folder)

    def refuse(constant):
        raise AssertionError(f"{constant} in findings.json")

    found = json.loads((folder / "findings.json").read_text("utf-8"), parse_constant=refuse)
    return (folder / "report.html").read_text("utf-8"), found


def broken_off(tmp_path, names):
    with new(tmp_path) as visit:
        for name in names:
            play(visit, name, steps=len(load(name).steps) // 2)
            play(visit, name, steps=1)
            play(visit, name, steps=0)
    page, found = report(visit.path, tmp_path / "r")
    runs = found["visits"][0]["runs"]
    assert len(runs) == 3 * len(names)
    assert all(run["not_measured"][-1]["why"] == "not reached" for run in runs)
    assert page.count("not reached: step") >= len(runs)


def test_runs_broken_off_in_the_middle_and_at_once_are_reported_as_such(tmp_path):
    broken_off(tmp_path, ["black-and-contrast", "greyscale-11", "zone-count"])


@pytest.mark.campaign
@pytest.mark.parametrize("name", [name for name in shipped() if "trace" not in name])
def test_every_shipped_sequence_broken_off_is_reported(tmp_path, name):
    broken_off(tmp_path, [name])


ABSURD = {
    "light of 1e-300": lambda _, each: replace(each, luminance=1e-300),
    "light of 1e300": lambda _, each: replace(each, luminance=1e300),
    "light of 12 digits": lambda _, each: replace(each, luminance=123_456_789_012.0),
    "light below 0": lambda _, each: replace(each, luminance=-3.0),
    "no light": lambda _, each: replace(each, luminance=0.0),
    "x and y of 0": lambda _, each: replace(each, x=each.x and 0.0, y=each.y and 0.0),
    "x and y typed as luminance and x": lambda _, each: (
        replace(each, luminance=each.x, x=each.y, y=each.luminance) if each.x else each
    ),
    "x + y above 1": lambda _, each: replace(each, x=each.x and 0.7, y=each.y and 0.9),
    "no colours": lambda _, each: replace(each, x=None, y=None),
    "no white": lambda step, each: None if step.role == "white" else each,
    "no black": lambda step, each: None if step.role == "black" else each,
    "a black of 0": lambda s, each: replace(each, luminance=0.0) if s.role == "black" else each,
    "a black below 0": lambda s, each: replace(each, luminance=-1.0) if s.role == "black" else each,
    "nothing": lambda *_: None,
}
"""Changes of readings that are all alike to begin with."""


@pytest.mark.parametrize("name", ["primaries", "contrast-by-boxes"])
def test_absurd_readings_have_findings_without_a_number_that_is_none(tmp_path, name):
    with new(tmp_path) as visit:
        for condition, change in ABSURD.items():
            play(visit, name, change=change, condition=condition)
        found = findings_of(visit)
    named = {each.condition for each in found}
    assert named >= ABSURD.keys() - {"nothing", "no colours"}
    assert "nothing" not in named
    json.dumps(settle(found), allow_nan=False)


def test_primaries_almost_without_light_enclose_no_volume(tmp_path):
    with new(tmp_path) as visit:
        play(visit, "primaries", value=5e-324)
        (gamut,) = findings_of(visit, ["gamut"])
    assert "As read, these colours enclose no volume: were readings swapped?" in gamut.warnings


SIGNAL = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}


@pytest.mark.parametrize("odd", [{}, SIGNAL | {"bits": "eight"}, SIGNAL | {"range": "wide"}])
def test_a_signal_that_cannot_be_understood_says_nothing_of_its_range(tmp_path, odd):
    with new(tmp_path) as visit:
        play(visit, "path-check-8", signal=odd)
        assert findings_of(visit, ["range-mismatch"]) == []


def test_a_comb_of_which_nothing_is_known_counts_no_zones(tmp_path):
    with new(tmp_path) as visit:
        play(visit, "zone-count", facts={})
        assert findings_of(visit, ["zones"]) == []


def test_visits_without_runs_and_of_one_name_stand_side_by_side(tmp_path):
    paths = []
    for folder in ("before", "after", "empty"):
        (tmp_path / folder).mkdir()
        with new(tmp_path / folder) as visit:
            if folder != "empty":
                play(visit, "black-and-contrast")
        paths.append(visit.path)
    _, found = report(paths, tmp_path / "r")
    assert [len(each["runs"]) for each in found["visits"]] == [1, 1, 0]
    with zipfile.ZipFile(tmp_path / "r" / "readings.xlsx") as book:
        assert sum(name.startswith("xl/worksheets/sheet") for name in book.namelist()) == 3


@pytest.mark.parametrize("name", TEXTS)
def test_whatever_was_written_comes_out_everywhere_and_nowhere_as_markup(tmp_path, capfd, name):
    text = TEXTS[name]
    with new(tmp_path, display=text, settings=text, place=text) as visit:
        play(visit, "peak-by-area", condition=text, text=text)
        visit.keep_note(text, run=1, at=START)
        write_table(visit, tmp_path / "t.csv")
    page, found = report(visit.path, tmp_path / "r")
    assert capfd.readouterr() == ("", "")
    about = found["visits"][0]
    assert (about["display"], about["place"], about["runs"][0]["condition"]) == (text, text, text)
    body = page.partition("</style>")[2]
    assert "<script" not in body
    assert not set("\x00\x07\x1b\x85\u202e\ufffe\uffff") & set(body)
    if name not in {"controls", "lines"}:
        assert text.replace("\u202e", "\ufffd") in html.unescape(body)
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as file:
        assert {(row["label"], row["condition"]) for row in csv.DictReader(file)} == {(text, text)}
    with zipfile.ZipFile(tmp_path / "r" / "readings.xlsx") as book:
        for part in book.namelist():
            assert not list(ET.fromstring(book.read(part)).iter("{*}f")), part  # noqa: S314


@pytest.mark.parametrize("name", ["findings.json", "report.html", "report.pdf", "readings.xlsx"])
def test_a_report_never_replaces_a_visit_or_a_folder_and_then_writes_nothing(tmp_path, name):
    folder = tmp_path / "r"
    folder.mkdir()
    with new(folder, name) as visit:
        pass
    before = visit.path.read_bytes()
    with pytest.raises(ReportError, match="is a visit; name another folder"):
        write_report([visit.path], folder)
    assert visit.path.read_bytes() == before
    visit.path.rename(tmp_path / "wall.visit")
    (folder / name).mkdir()
    with pytest.raises(ReportError, match="is a folder; name another folder"):
        write_report([tmp_path / "wall.visit"], folder)
    assert [path.name for path in folder.iterdir()] == [name]


@pytest.mark.parametrize("how", ["alike", "another way", "a link", "a second name"])
def test_one_file_is_not_two_visits_and_then_nothing_is_written(tmp_path, how, capfd):
    with new(tmp_path) as visit:
        pass
    other = tmp_path / "other.visit"
    if how == "another way":
        other = tmp_path / "r" / ".." / "wall.visit"
        (tmp_path / "r").mkdir()
    elif how == "a link":
        other.symlink_to(visit.path)
    elif how == "a second name":
        other.hardlink_to(visit.path)
    else:
        other = visit.path
    with pytest.raises(ReportError, match="name each visit once"):
        write_report([visit.path, other], tmp_path / "report")
    assert run(["report", str(visit.path), str(other), "--to", str(tmp_path / "report")]) == 2
    error = capfd.readouterr().err
    assert len(error.splitlines()) == 1
    assert "name each visit once" in error
    assert not (tmp_path / "report").exists()


def test_a_copy_of_a_visit_is_a_visit(tmp_path):
    with new(tmp_path) as visit:
        pass
    (tmp_path / "copy.visit").write_bytes(visit.path.read_bytes())
    write_report([visit.path, tmp_path / "copy.visit"], tmp_path / "report")
    assert (tmp_path / "report" / "report.html").exists()


@needs_root
def test_a_full_disk_leaves_the_old_report_whole(tmp_path):
    with new(tmp_path) as visit:
        play(visit, "peak-by-area")
    with tiny_disk(tmp_path / "tiny", "60k") as disk:
        (disk / "findings.json").write_text("old")
        with pytest.raises(ReportError, match="the disk is full"):
            write_report([visit.path], disk)
        assert [path.name for path in disk.iterdir()] == ["findings.json"]
        assert (disk / "findings.json").read_text() == "old"
