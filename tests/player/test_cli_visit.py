"""The command that says what is in a visit and corrects what was kept wrongly."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from player.cli import run
from player.commands.overview import task_lines
from player.outcome import CommandError
from player.visits import require_fit
from readings.evidence.measured import evidence
from readings.findings import FINDINGS
from readings.report import gather, write_report
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.schema import TABLES
from readings.visit.soundness import Soundness
from readings.visit.table import rows
from readings.visit.visit import Visit
from sequences.plans import load_plan
from sequences.plans.model import Ask, Play
from tests.readings.early_visit import write_early
from tests.readings.test_report_sheets import text_of
from tests.readings.test_visit_damage import damage

START = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
SIGNAL = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}
SPOT = Specification(luminance_relative_uncertainty=0.04, luminance_floor=0.001)
STEPS = [
    PlannedStep(label=name, kind="field", parameters={}, quantity="luminance", role=role)
    for name, role in (("Full white", "white"), ("Full black", "black"), ("Again", "white"))
]
BY = ["--by", "night shift"]


def plan(condition: str) -> PlannedRun:
    return PlannedRun(
        sequence_title="Contrast",
        sequence_text="title: Contrast\n",
        sequence_source="contrast.yaml",
        condition=condition,
        signal_asked=SIGNAL,
        signal_shown=SIGNAL,
        canvas=(1920, 1080),
        output="window",
    )


def played(visit: Visit, condition: str, black: float, meter: int | None, steps: int = 3) -> int:
    number = visit.start_run(plan(condition), STEPS, at=START).id
    for step in range(1, steps + 1):
        code, light = (0, black) if step == 2 else (255, 100.0)
        shown = Shown(inks={"level": (code,) * 3}, frame_sha256="ab" * 32, guard="verified")
        at = START + timedelta(minutes=step)
        showing = visit.keep_showing(number, step, shown, at=at).id
        value = Value(quantity="luminance", raw=f"{light:g}", luminance=light)
        visit.keep_reading(showing, value, instrument=meter, at=at)
    visit.end_run(number, "finished" if steps == 3 else "left", at=START + timedelta(minutes=9))
    return number


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Three runs: two whole ones, the second typed without a meter, and one left at step 3."""
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display="lobby wal", place="harbour museum", at=START) as visit:
        spot = visit.add_instrument("spot meter", kind="typed", role="spot meter",
                                    specification=SPOT).id  # fmt: skip
        played(visit, "local dimming of", 0.1, spot)
        played(visit, "local dimming on", 0.01, None)
        played(visit, "local dimming on", 0.02, spot, steps=2)
        visit.keep_note("fans loud", run=1)
    return path


def seen(path: Path, capfd: pytest.CaptureFixture[str], code: int = 0) -> str:
    """What the command shows without options, its spaces made one."""
    capfd.readouterr()
    assert run(["visit", str(path)]) == code
    return " ".join(capfd.readouterr().out.split())


def kept(path: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as connection:
        return {
            table: connection.execute(f"SELECT * FROM {table}").fetchall()  # noqa: S608
            for table in TABLES
        }


def contrasts(path: Path) -> dict[int, float]:
    """The contrast that each run has, as the report tells it."""
    found = {}
    for each in gather(path).findings:
        if each.name == "contrast":
            found[each.run] = round(each.values[0].value or 0.0)
    return found


def test_without_options_it_says_what_is_there_and_what_is_missing(
    path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    before = path.read_bytes()
    told = seen(path, capfd)
    assert path.read_bytes() == before
    for part in (
        "Display: lobby wal ",
        "Place: harbour museum ",
        "Settings: not given ",
        "Aim: not stated; ",
        "spot meter spot meter luminance ± 4 % (k = 2); from 0.001 cd/m² 5 ",
        "none named run 2 3 ",
        "1 Contrast local dimming of 2031-05-04 09:30 UTC 3 of 3 finished 1 ",
        "2 Contrast local dimming on 2031-05-04 09:30 UTC 3 of 3 finished ",
        "3 Contrast local dimming on 2031-05-04 09:30 UTC 2 of 3 left ",
        "Run 3 (Contrast, local dimming on): 1 step has no reading: 3. Played again under the same",
        "3 readings of run 2 have no instrument: write its name and what its maker promises into",
        f"a file, and say litfield name {path} --instrument spot-meter.yaml --run 2",
    ):
        assert part in told, part
    absent = told.partition("No reading speaks to: ")[2].partition(".")[0].split("; ")
    assert FINDINGS["halo"].subject in absent
    assert FINDINGS["contrast"].subject not in absent


def test_a_visit_that_was_never_played_has_no_run(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    Visit.create(tmp_path / "new.visit", display="lobby wall").close()
    assert seen(tmp_path / "new.visit", capfd).endswith("No run was started.")


def test_the_tasks_of_a_plan_stand_with_how_far_they_have_come(
    path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    plan = load_plan("first-look")
    numbers = {task.what.name: task.number for task in plan.tasks if isinstance(task.what, Ask)}
    plays = [task for task in plan.tasks if isinstance(task.what, Play)]
    hdr = [task.number for task in plan.tasks if task.only_if]
    first, second, third, fourth = (task.number for task in plays[:4])
    with Visit.open(path, write=True) as visit:
        kept_plan = visit.keep_plan(plan.title, plan.text, plan.source).id
        visit.keep_task_event(kept_plan, 1, "done")
        visit.keep_task_event(kept_plan, numbers["hdr"], "answered", text="it does not")
        visit.keep_task_event(kept_plan, first, "begun", run=1)
        visit.keep_task_event(kept_plan, second, "begun", run=3)
        visit.keep_task_event(kept_plan, third, "left out", text="no time")
        visit.keep_task_event(kept_plan, fourth, "left out", text="no time")
        visit.keep_task_event(kept_plan, fourth, "taken up")
        visit.keep_task_event(
            kept_plan, len(plan.tasks) + 1, "added", text='{"play": "halo", "condition": ""}'
        )
        states = {each.task.number: each.state for each in task_lines(visit)}
        visit.state("counted", "no", run=1)
        (aside,) = (each for each in task_lines(visit) if each.set_aside)
        assert (aside.task.number, aside.state) == (first, "to come")
        visit.state("counted", "yes", run=1)
    done = {1: "done", numbers["hdr"]: "done", first: "done", second: "begun", third: "left out"}
    unwanted = dict.fromkeys(hdr, "not needed")
    assert states == dict.fromkeys(states, "to come") | done | unwanted
    assert len(states) == len(plan.tasks) + 1
    told = seen(path, capfd)
    assert f"task {plan.title} state run said" in told
    assert f"{third} {plays[2].label} left out no time " in told
    assert f"{len(states)} Halo around a bright box to come" in told
    coming = sum(state in ("to come", "begun") for state in states.values())
    assert f"{coming} tasks of {len(states)} not done: " in told


def test_a_plan_that_cannot_be_read_any_more_is_told(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with Visit.open(path, write=True) as visit:
        visit.keep_plan("A look", "title: A look\ntasks: [play: gone.yaml]", "x.yaml")
        assert task_lines(visit) is None
    assert "The plan A look cannot be read any more" in seen(path, capfd)


def test_what_is_corrected_counts_and_nothing_that_was_kept_is_changed(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    before = kept(path)
    said = ["--display", "lobby  wall", "--settings", "museum", "--place", ""]
    assert run(["visit", str(path), *said, *BY]) == 0
    assert capfd.readouterr().out == (
        f"Kept in {path}: the display is 'lobby wall'; its settings are 'museum'; "
        "its place is not given.\n"
    )
    with Visit.open(path, write=False) as visit:
        about = visit.about()
        assert (about.display, about.settings, about.place) == ("lobby wall", "museum", "")
        assert {each.by for each in visit.statements()} == {"night shift"}
        assert visit.soundness == Soundness()
    after = kept(path)
    assert {name for name in TABLES if after[name] != before[name]} == {"statements"}


def test_a_run_is_relabelled_everywhere(path: Path) -> None:
    label = ["--run", "1", "--condition", "local dimming off"]
    assert run(["visit", str(path), *label, *BY]) == 0
    contents = gather(path)
    assert contents.runs[0].run.condition == "local dimming off"
    assert {each.condition for each in contents.findings if each.run == 1} == {"local dimming off"}
    with Visit.open(path, write=False) as visit:
        assert {row["condition"] for row in rows(visit) if row["run"] == 1} == {"local dimming off"}


def test_a_condition_that_is_nearly_another_runs_is_kept_as_typed_and_told(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    slip = ["--run", "1", "--condition", "local diming on"]
    assert run(["visit", str(path), *slip, *BY]) == 0
    assert capfd.readouterr().err == (
        "Other runs say 'local dimming on', and run 1 'local diming on', as typed.\n"
    )
    right = ["--run", "1", "--condition", "local dimming on"]
    assert run(["visit", str(path), *right, *BY]) == 0
    assert run(["visit", str(path), "--run", "1", "--condition", "museum light"]) == 0
    assert capfd.readouterr().err == ""


def test_a_run_that_is_set_aside_is_in_no_finding_and_comes_back(path: Path) -> None:
    assert contrasts(path) == {1: 1000, 2: 10000, 3: 5000}
    with Visit.open(path, write=False) as visit:
        assert [row["unread"] for row in rows(visit)][-1] == "not reached"
    aside = ["--run", "1", "--run", "3", "--set-aside", "--why", "wrong picture mode"]
    assert run(["visit", str(path), *aside, *BY]) == 0
    assert contrasts(path) == {2: 10000}
    with Visit.open(path, write=False) as visit:
        assert {each.run for each in evidence(visit)} == {2}
        assert {(row["run"], row["counted"]) for row in rows(visit)} == {(1, 0), (2, 1), (3, 0)}
        assert all(row["unread"] is None for row in rows(visit))
        assert [n.text for n in visit.notes() if n.run == 3] == ["wrong picture mode"]
        assert visit.unfinished_run(visit.run(3).sequence_sha256, "local dimming on") is None
    assert run(["visit", str(path), "--run", "1", "--run", "3", "--count-again"]) == 0
    assert contrasts(path) == {1: 1000, 2: 10000, 3: 5000}


def test_what_a_run_did_not_read_is_missing_no_more_once_it_is_set_aside(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert "Run 3 (" in seen(path, capfd)
    assert run(["visit", str(path), "--run", "3", "--set-aside", *BY]) == 0
    told = seen(path, capfd)
    assert "Run 3 (" not in told
    assert "2 of 3 set aside" in told
    assert run(["visit", str(path), "--run", "2", "--set-aside"]) == 0
    assert "no instrument" not in seen(path, capfd)


def test_who_says_so_is_asked_for_once_and_remembered(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["visit", str(path), "--place", "pier"]) == 2
    told = capfd.readouterr().err
    assert told.count("\n") == 1
    assert "add --by NAME" in told
    assert kept(path)["statements"] == []
    assert run(["visit", str(path), *BY]) == 0
    assert run(["visit", str(path), "--place", "pier"]) == 0
    assert run(["visit", str(path), "--place", "quay", "--by", "day shift"]) == 0
    assert run(["visit", str(path), "--place", "jetty"]) == 0
    with Visit.open(path, write=False) as visit:
        assert [(e.what, e.value, e.by) for e in visit.statements()] == [
            ("operator", "night shift", "night shift"),
            ("place", "pier", "night shift"),
            ("operator", "day shift", "day shift"),
            ("place", "quay", "day shift"),
            ("place", "jetty", "day shift"),
        ]


@pytest.mark.parametrize(
    "said",
    [
        ["--display", "lobby wal"],
        ["--run", "3", "--condition", "local dimming  on"],
        ["--run", "2", "--count-again", "--why", "it never was set aside"],
    ],
)
def test_what_counts_already_is_not_kept_again(
    path: Path, said: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    before = kept(path)
    assert run(["visit", str(path), *said, *BY]) == 0
    assert capfd.readouterr().out == "That is what counts already; nothing was kept.\n"
    assert kept(path) == before


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (["--run", "7", "--set-aside"], "has no run 7"),
        (["--run", "-1", "--set-aside"], "has no run -1"),
        (["--run", "99999999999999999999", "--condition", "x"], "has no run 9999"),
        (["--run", "1", "--run", "7", "--set-aside"], "has no run 7"),
        (["--run", "one", "--set-aside"], "not a valid integer"),
        (["--display", " "], "--display was given nothing"),
        (["--display", "a\nb"], "one line of plain text"),
        (["--display", "w" * 501], "at most 500 characters"),
        (["--place", "pier", "--by", " "], "--by was given nothing"),
        (["--condition", "local dimming off"], "--condition goes with --run N"),
        (["--set-aside"], "--set-aside goes with --run N"),
        (["--count-again"], "--count-again goes with --run N"),
        (["--run", "1"], "--run N goes with"),
        (["--run", "1", "--set-aside", "--count-again"], "either set aside or counts again"),
        (["--run", "1", "--set-aside", "--why", ""], "--why was given nothing"),
        (["--display", "pier", "--why", "a slip"], "--why goes with"),
    ],
)
def test_what_cannot_be_meant_is_one_sentence_and_keeps_nothing(
    path: Path, said: list[str], told: str, capfd: pytest.CaptureFixture[str]
) -> None:
    before = kept(path)
    assert run(["visit", str(path), *BY, *said]) == 2
    error = capfd.readouterr().err
    assert told in error
    assert error.count("\n") == 1
    assert kept(path) == before


def test_a_visit_that_a_player_has_open_is_shown_and_not_corrected(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with Visit.open(path, write=True):
        assert "lobby wal" in seen(path, capfd)
        assert run(["visit", str(path), "--display", "lobby wall", *BY]) != 0
        assert capfd.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5, 6, 7])
def test_a_visit_of_an_earlier_version_is_shown_and_corrected_too(
    path: Path, tmp_path: Path, version: int, capfd: pytest.CaptureFixture[str]
) -> None:
    early = write_early(path, tmp_path / "early.visit", version=version)
    content = early.read_bytes()
    assert "lobby wal" in seen(early, capfd)
    assert early.read_bytes() == content
    assert run(["visit", str(early), "--run", "3", "--set-aside", *BY]) == 0
    assert contrasts(early) == {1: 1000, 2: 10000}
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()


def test_play_takes_a_name_that_was_corrected_since_and_no_other(
    path: Path,
) -> None:
    run(["visit", str(path), "--display", "lobby wall", *BY])
    for name in ("lobby wal", "lobby wall"):
        require_fit(path, name=name)
    with pytest.raises(CommandError, match=r"litfield visit .* --display says it anew"):
        require_fit(path, name="pier wall")


def report(path: Path, folder: Path) -> tuple[str, dict]:
    write_report([path], folder)
    page = (folder / "report.html").read_text("utf-8")
    return page, json.loads((folder / "findings.json").read_text("utf-8"))["visits"][0]


def test_the_report_has_what_was_said_before_and_since_by_whom_and_why(
    path: Path, tmp_path: Path
) -> None:
    page, data = report(path, tmp_path / "before")
    assert data["history"] == []
    assert "Stated afterwards" not in page
    for said in (
        ["--display", "lobby wall"],
        ["--run", "1", "--condition", "local dimming off"],
        ["--run", "3", "--set-aside", "--why", "wrong picture mode"],
    ):
        assert run(["visit", str(path), *said, *BY]) == 0
    meter = tmp_path / "spot.yaml"
    meter.write_text("name: borrowed\nspecification: {luminance_relative_uncertainty: 3 %}\n")
    assert run(["name", str(path), "--instrument", str(meter)]) == 0
    assert run(["aim", str(path), "--white", "120cd/m2"]) == 0
    page, data = report(path, tmp_path / "after")
    said = [(e["what"], e["run"], e["before"], e["now"], e["by"]) for e in data["history"]]
    by = "night shift"
    assert said == [
        ("display", None, "lobby wal", "lobby wall", by),
        ("condition", 1, "local dimming of", "local dimming off", by),
        ("counted", 3, "yes", "no", by),
        ("instrument", 2, "", "borrowed", None),
        ("aim", None, {}, {"white": 120.0}, None),
    ]
    assert [each["why"] for each in data["history"]][2] == "wrong picture mode"
    assert data["history"][3]["readings"] == [4, 5, 6]
    assert [each["counted"] for each in data["runs"]] == [True, True, False]
    assert [each["not_measured"] for each in data["runs"]][2] == []
    assert data["runs"][2]["readings"] == 2
    assert {each["run"] for each in data["findings"]} == {1, 2}
    assert "Run 3: local dimming on, set aside" in page
    assert ", by night shift: wrong picture mode. What was read is kept, and is in no" in page
    front, stated = page.partition("<h2>Stated afterwards")[::2]
    assert "Run 3 (Contrast" not in front
    for text in ("lobby wal<", "local dimming of<", "set aside<", "borrowed<", "white of 120"):
        assert text in stated, text
    sheet = (tmp_path / "after" / "report.pdf").read_bytes()
    paper = text_of(sheet, tmp_path).partition("Appendix: stated afterwards")[2]
    for text in ("lobby wal ", "local dimming of ", "set aside", "borrowed", "wrong picture mode"):
        assert text in " ".join(paper.split()), text


def test_where_every_run_is_set_aside_the_report_says_so(path: Path, tmp_path: Path) -> None:
    runs = [part for number in "123" for part in ("--run", number)]
    assert run(["visit", str(path), *runs, "--set-aside", *BY]) == 0
    page, data = report(path, tmp_path / "report")
    assert data["findings"] == []
    assert "Every run of this visit is set aside, so there is nothing to find." in page
    assert "No reading speaks to" not in page


def test_a_damaged_statement_is_left_out_and_what_was_said_before_it_does_not_come_back(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for name in ("first", "second", "third"):
        run(["visit", str(path), "--display", name, *BY])
    run(["visit", str(path), "--run", "1", "--set-aside"])
    damage(path, "UPDATE statements SET value = 'spoilt' WHERE value = 'third'")
    told = seen(path, capfd, code=1)
    assert "Display: lobby wal " in told
    assert "3 of 3 set aside" in told
    with Visit.open(path, write=False) as visit:
        (said,) = visit.soundness.sentences()
    assert said == (
        "Statement 4 does not match its check sum and is left out; left out with it: "
        "statements 2–3."
    )
    assert run(["visit", str(path), "--display", "fourth"]) == 1
    assert "is damaged, so nothing more is kept in it" in capfd.readouterr().err


def test_where_it_is_lost_that_a_run_was_set_aside_it_counts_and_the_visit_says_so(
    path: Path,
) -> None:
    run(["visit", str(path), "--run", "1", "--set-aside", *BY])
    damage(path, "UPDATE statements SET at = '2001-01-01T00:00:00.000000Z' WHERE run = 1")
    contents = gather(path)
    assert contents.runs[0].run.counted
    assert contents.soundness.sentences() == [
        "Statement 2 of run 1 does not match its check sum and is left out."
    ]
