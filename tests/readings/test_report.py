"""The report of a visit: its files, what they say, and that nothing in them acts or differs."""

import html
import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest

from player.run.unattended import needs_an_eye
from readings.findings import FINDINGS
from readings.report import ReportError, write_report
from readings.report.wording import ranges
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit, VisitError

SIGNAL = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}
METER = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.001, luminance_resolution=0.01
)
START = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
EVIL = '<script>alert(1)</script> & "quotes" \'n \x07 {{ 7*7 }}'


def field(label, role):
    return PlannedStep(
        label=label, kind="field", parameters={}, quantity="luminance", role=role, read_of=None
    )


def plan(condition="local dimming off", title="Contrast"):
    return PlannedRun(
        sequence_title=title,
        sequence_text="title: Contrast\n",
        sequence_source="contrast.yaml",
        condition=condition,
        signal_asked=SIGNAL,
        signal_shown=SIGNAL,
        canvas=(1920, 1080),
        refresh_hz=50.0,
        output="window",
        guards={"night light": {"state": "unknown", "why": "no way to ask"}},
    )


def keep(visit, run, step, code, value, meter, **changes):
    shown = {
        "inks": {"level": (code, code, code)},
        "frame_sha256": "ab" * 32,
        "guard": "verified",
        "guard_why": "",
    }
    at = START + timedelta(minutes=step)
    showing = visit.keep_showing(run, step, Shown(**shown | changes), at=at).id
    kept = Value(quantity="luminance", raw=f"{value}".replace(".", ","), luminance=value)
    return visit.keep_reading(showing, kept, instrument=meter, at=at)


def contrast_run(visit, meter, condition, white, black):
    steps = [field("Full white", "white"), field("Full black", "black"), field("Again", "white")]
    run = visit.start_run(plan(condition), steps, at=START).id
    keep(visit, run, 1, 255, white, meter)
    keep(visit, run, 2, 0, black, meter)
    visit.end_run(run, "left", at=START + timedelta(minutes=5))
    return run


@pytest.fixture
def wall(tmp_path):
    """A visit with two runs, the third step of each not reached."""
    path = tmp_path / "wall.visit"
    with Visit.create(
        path, display="Lobby wall", settings="picture: museum", place="Harbour museum", at=START
    ) as visit:
        meter = visit.add_instrument(
            "spot meter 1", kind="typed", role="spot meter", specification=METER
        ).id
        contrast_run(visit, meter, "local dimming off", 102.6, 0.09)
        contrast_run(visit, meter, "local dimming on", 120.0, 0.0)
        visit.keep_note("The sun came round.", run=2, at=START)
    return path


def report(path, folder):
    write_report([path] if not isinstance(path, list) else path, folder)
    page = (folder / "report.html").read_text("utf-8")
    return page, json.loads((folder / "findings.json").read_text("utf-8"))


def seen(page):
    """What a reader sees: the text without tags, entities resolved, spaces made one."""
    body = page.partition("</style>")[2]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", body)))


NAMES = ("findings.json", "report.html", "report.pdf", "readings.xlsx")


def test_the_report_is_four_files_and_says_which(wall, tmp_path):
    folder = tmp_path / "new" / "report"
    written = write_report([wall], folder)
    assert written == tuple(folder / name for name in NAMES)
    assert {path.name for path in folder.iterdir()} == set(NAMES)


def test_a_second_run_writes_the_same_bytes(wall, tmp_path):
    first = [path.read_bytes() for path in write_report([wall], tmp_path / "a")]
    again = [path.read_bytes() for path in write_report([wall], tmp_path / "a")]
    other = [path.read_bytes() for path in write_report([str(wall)], tmp_path / "b")]
    assert first == again == other


def test_the_page_shows_each_contrast_beside_its_condition(wall, tmp_path):
    text = seen(report(wall, tmp_path / "r")[0])
    assert "Lobby wall" in text
    assert "Harbour museum" in text
    # the same 1140 +- 98 that test_findings_contrast works out by hand
    assert "Sequential contrast: 1140:1 ± 98 run 1: local dimming off" in text
    # black reads 0 of a last digit of 0.01 cd/m2
    assert "at least 12\u202f000:1" in text.replace("12 000", "12\u202f000")
    assert "The full black reads 0, which is below what the meter shows" in text


def test_every_figure_says_where_it_comes_from(wall, tmp_path):
    text = seen(report(wall, tmp_path / "r")[0])
    assert "ICDM IDMS, an edition before v1.3, 15.5" in text
    assert "run 1: 1–2; run 2: 3–4." in text
    assert "JCGM 100:2008" in text
    assert "luminance ± 4 % (k = 2); from 0.001 cd/m²; shows 0.01 cd/m²" in text


def test_what_was_not_measured_is_told_with_its_reason(wall, tmp_path):
    page, data = report(wall, tmp_path / "r")
    told = seen(page).partition("What was not measured")[2]
    assert "Run 1 (Contrast, local dimming off): not reached: step 3 (Again)." in told
    assert "No reading speaks to: contrast of dark places beside light ones; " in told
    assert "; the number of dimming zones." in told
    assert data["visits"][0]["runs"][0]["not_measured"] == [
        {"step": 3, "label": "Again", "why": "not reached"}
    ]
    missing = sorted(FINDINGS.keys() - {"contrast", "plausibility"})
    assert [n for n in data["visits"][0]["not_found"] if n != "plausibility"] == missing
    assert "plausible" not in told.partition("Sequential")[0]


def test_that_nothing_is_missing_is_told_too(tmp_path, wall):
    sentence = "Every step that asks for a reading has one."
    path = tmp_path / "whole.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        unasked = replace(field("a look", None), quantity=None)
        run = visit.start_run(plan(), [field("white", "white"), unasked], at=START).id
        keep(visit, run, 1, 255, 102.6, None)
    told = seen(report(path, tmp_path / "whole")[0]).partition("What was not measured")[2]
    assert sentence in told
    assert sentence not in seen(report(wall, tmp_path / "gaps")[0])


def test_steps_that_need_an_eye_are_told_in_plain_words(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        asked = [
            replace(field(each, "look"), quantity=each)
            for each in ("choice", "count", "milliseconds", "tally", "text")
        ]
        run = visit.start_run(plan(), asked, at=START).id
        for step, each in enumerate(asked, 1):
            why = needs_an_eye(SimpleNamespace(read=each))
            visit.skip_step(run, step, why=why, at=START)
    page, data = report(path, tmp_path / "r")
    assert "needs an eye" not in page
    assert (
        "skipped: needs someone at the screen to say what it looks like: step 1 (choice)." in page
    )
    gaps = data["visits"][0]["runs"][0]["not_measured"]
    assert all("needs someone at the screen to " in gap["why"] for gap in gaps)


def test_skips_and_unread_pictures_are_told_apart(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        steps = [field("one", "white"), field("two", "black"), field("three", "white")]
        run = visit.start_run(plan(), steps, at=START).id
        visit.skip_step(run, 1, why="glare", at=START)
        keep(visit, run, 3, 255, 1.0, None)
        shown = Shown(inks={}, frame_sha256="ab" * 32, guard="unknown")
        visit.keep_showing(run, 2, shown, at=START)
    _, data = report(path, tmp_path / "r")
    told = data["visits"][0]["runs"][0]["not_measured"]
    assert [(gap["step"], gap["why"]) for gap in told] == [
        (1, "skipped: glare"),
        (2, "shown, but nothing was read"),
    ]


def test_the_readings_stand_with_codes_guards_meter_and_the_text_as_received(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        run = visit.start_run(plan(), [field("Full white", "white")], at=START).id
        shown = Shown(
            inks={"level": (235, 16, 16)},
            frame_sha256="ab" * 32,
            guard="altered",
            guard_why="night light is on",
        )
        showing = visit.keep_showing(run, 1, shown, at=START).id
        value = Value(
            quantity="colour", raw="Y 102,6 x 0,3127 y 0,329", luminance=102.6, x=0.3127, y=0.329
        )
        slip = visit.keep_reading(showing, value, at=START)
        visit.keep_reading(showing, value, replaces=slip.id, at=START)
    text = seen(report(path, tmp_path / "r")[0])
    assert "102.6 cd/m² x 0.3127 y 0.3290" in text
    assert "as received: Y 102,6 x 0,3127 y 0,329" in text
    assert "level 235 16 16" in text
    assert "altered night light is on" in text
    assert "Pictures shown 1 altered (night light is on)" in text
    assert "no meter" in text
    assert "1 earlier reading replaced" in text


def test_what_a_reading_is_of_is_told_where_its_label_does_not(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        asked = [replace(field(label, "lit"), read_of="box 1") for label in ("Lit box 1", "Lit")]
        run = visit.start_run(plan(), asked, at=START).id
        for step in (1, 2):
            keep(visit, run, step, 255, 100.0, None)
    text = seen(report(path, tmp_path / "r")[0])
    assert "1. Lit box 1 100 cd/m²" in text
    assert "2. Lit of box 1 100 cd/m²" in text


def test_findings_json_has_the_documented_names(wall, tmp_path):
    _, data = report(wall, tmp_path / "r")
    assert (data["format"], data["version"]) == ("litfield findings", 1)
    (visit,) = data["visits"]
    assert list(visit) == [
        "file", "display", "settings", "place", "aim", "created_at", "check_summed", "damage",
        "instruments", "corrections", "runs", "history", "findings", "not_found",
        "not_worked_out",
    ]  # fmt: skip
    assert (visit["file"], visit["created_at"]) == ("wall.visit", "2031-05-04T09:30:00Z")
    assert visit["instruments"][0]["specification"]["luminance_relative_uncertainty"] == 0.04
    first, second = (f for f in visit["findings"] if f["name"] == "contrast")
    assert (first["name"], first["run"], first["condition"]) == (
        "contrast", 1, "local dimming off",
    )  # fmt: skip
    assert first["values"][0] == {
        "name": "sequential-contrast",
        "label": "Sequential contrast",
        "value": 1140.0,
        "unit": ":1",
        "uncertainty": 98.0,
        "coverage_factor": 2.0,
        "bound": None,
        "where": {},
    }
    assert second["values"][0]["value"] == 12000.0
    assert second["values"][0]["bound"] == "lower"
    assert (visit["runs"][0]["ended"], visit["runs"][0]["readings"]) == ("left", 2)
    assert visit["runs"][0]["signal"] == SIGNAL


def test_what_the_operator_wrote_is_text_and_never_markup(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display=EVIL, settings=EVIL, place=EVIL, at=START) as visit:
        meter = visit.add_instrument(EVIL, kind=EVIL, role="spot meter", specification=METER).id
        run = visit.start_run(plan(EVIL, EVIL), [field(EVIL, "white"), field(EVIL, "black")]).id
        keep(visit, run, 1, 255, 100.0, meter, guard="altered", guard_why=EVIL)
        visit.skip_step(run, 2, why=EVIL)
        visit.keep_note(EVIL, run=run, step=1)
    page, data = report(path, tmp_path / "r")
    assert "<script" not in page
    assert "\x07" not in page
    assert "49" not in seen(page).replace("2049", "")
    assert seen(page).count('<script>alert(1)</script> & "quotes" \'n \ufffd {{ 7*7 }}') > 8
    assert data["visits"][0]["display"] == EVIL


class Outside(HTMLParser):
    """Collects what would make a browser fetch or run anything."""

    def __init__(self):
        super().__init__()
        self.found = []
        self.open = []

    def handle_starttag(self, tag, attrs):
        if tag in {"script", "link", "img", "iframe", "object", "embed", "base", "form"}:
            self.found.append(tag)
        self.found += [
            f"{name}={value}"
            for name, value in attrs
            if name.startswith("on")
            or name in LINKS
            or (name == "xlink:href" and not value.startswith("#"))
        ]
        if tag not in {"meta", "br"}:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        """An SVG element that closes itself."""
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


LINKS = {"href", "src", "srcset", "action", "background", "data"}


def test_the_page_is_well_formed_and_fetches_and_runs_nothing(wall, tmp_path):
    page, _ = report(wall, tmp_path / "r")
    parser = Outside()
    parser.feed(page)
    assert parser.found == []
    assert parser.open == []
    assert "<svg" in page
    assert set(re.findall(r"url\((.)", page)) <= {"#"}
    assert "@import" not in page
    assert "://" not in page


def test_a_visit_without_readings_says_so(tmp_path):
    path = tmp_path / "bare.visit"
    with Visit.create(path, display="Lobby wall", at=START):
        pass
    page, data = report(path, tmp_path / "r")
    assert "No reading was taken in this visit" in seen(page)
    assert "No run was started." in seen(page)
    assert data["visits"][0]["findings"] == []


def test_a_run_without_readings_says_so(tmp_path):
    path = tmp_path / "bare.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        visit.start_run(plan(), [field("Full white", "white")], at=START)
    text = seen(report(path, tmp_path / "r")[0])
    assert "No reading was taken in this visit" in text
    assert "No reading was taken in this run." in text
    assert "not reached: step 1 (Full white)." in text


def test_readings_that_no_finding_speaks_to_are_not_called_none(tmp_path):
    path = tmp_path / "bare.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        run = visit.start_run(plan(), [field("Grey", None)], at=START).id
        keep(visit, run, 1, 128, 20.0, None)
    text = seen(report(path, tmp_path / "r")[0])
    assert "Readings were taken, but none that a finding speaks to." in text


def test_several_visits_stand_in_one_report_in_the_order_given(wall, tmp_path):
    other = tmp_path / "after.visit"
    with Visit.create(other, display="Café wall", at=START):
        pass
    page, data = report([other, wall], tmp_path / "r")
    assert [visit["display"] for visit in data["visits"]] == ["Café wall", "Lobby wall"]
    assert "visit 2 of 2" in seen(page)
    assert "Café wall" in (tmp_path / "r" / "findings.json").read_text("utf-8")


def test_more_runs_than_a_sheet_holds_go_into_a_second_table(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        for n in range(4):
            contrast_run(visit, None, f"setting {n}", 100.0 + n, 0.1)
    page, _ = report(path, tmp_path / "r")
    assert page.count('<table class="values') == 2
    assert page.count("Differences are against the first column.") == 1


def test_a_visit_that_cannot_be_read_leaves_an_old_report_as_it_was(wall, tmp_path):
    folder = tmp_path / "r"
    before = [path.read_bytes() for path in write_report([wall], folder)]
    with pytest.raises(VisitError):
        write_report([wall, tmp_path / "none.visit"], folder)
    assert [(folder / name).read_bytes() for name in NAMES] == before


def test_no_visit_and_no_folder_are_one_clear_sentence_each(wall, tmp_path):
    with pytest.raises(ReportError, match="needs at least one visit"):
        write_report([], tmp_path / "r")
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ReportError, match=r"cannot be written to .*file"):
        write_report([wall], tmp_path / "file")


@pytest.mark.parametrize(
    ("numbers", "text"),
    [([], ""), ([4], "4"), ([1, 2, 3, 7], "1–3, 7"), ([9, 1, 2], "1–2, 9")],
)
def test_readings_are_listed_as_people_do(numbers, text):
    assert ranges(numbers) == text
