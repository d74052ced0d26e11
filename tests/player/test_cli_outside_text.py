"""No text from outside steers the terminal or a page, whichever command prints it."""

from __future__ import annotations

import json
import os
import re
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from player.cli import COMMANDS, run
from readings.visit.visit import Visit
from tests.needs import program
from tests.readings.paired_run import ERROR, REFERENCE, SPOT, paired
from tests.readings.test_report import contrast_run
from tests.readings.test_report_sheets import text_of

EVIL = "x\x1b]0;own\x07\x1b[2J\x1b[31m\x9b31m\x85\u202etxt\u2066\u200b\u200f\ufeff\xad\u2028end"
"""A title of a window, a cleared screen, colours in both forms, and text that reads backwards."""
NAME = "x\x1b[2J\x1b[31m\x9b\u202e\u2066\u200bend"
"""The same as the name of a file."""
WORDS = "x\u200btxt\u200f\u2060\xad[bold]end"
"""What a sequence may hold of it: controls, and what turns text round, are refused."""
YAML, TITLE = json.dumps(EVIL), json.dumps(WORDS)
"""As YAML has them too: JSON escapes what is not ASCII."""
SEQUENCE = f"""
title: {TITLE}
signal: sdr8
finds: [contrast]
steps:
  - {{label: {TITLE}, show: {{field: {{level: 100 %}}}}, read: luminance, role: white}}
  - {{show: {{field: {{level: 0 %}}}}, read: luminance, role: black}}
"""
SIZE = ("--size", "320x180")
Shown = Callable[..., str]


def steers(text: str) -> set[str]:
    """What of a text would steer, by the categories of Unicode alone."""
    hidden = {"Cc", "Cf", "Cs", "Zl", "Zp"}
    return {sign for sign in text if unicodedata.category(sign) in hidden} - {"\n", "\t"}


@pytest.fixture
def shown(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Shown:
    """Run a command and give what it printed, which steers nothing; not even on a terminal."""

    def command(*arguments: str | Path, code: int | None = 0, evil: bool = True) -> str:
        printed = ""
        for terminal in (False, True):
            if terminal:
                monkeypatch.setenv("FORCE_COLOR", "1")
            else:
                monkeypatch.delenv("FORCE_COLOR", raising=False)
            ended = run([str(each) for each in arguments])
            assert code is None or ended == code, capfd.readouterr()
            told = capfd.readouterr()
            printed = told.out + told.err
            # rich's own: styles, and on a terminal where a bar is drawn anew
            styled = re.sub(r"\x1b\[(\d+(;\d+)*m|\?25[lh]|1A|2K)", "", printed.replace("\r", ""))
            assert not steers(styled if terminal else printed), ascii(printed)
            assert "\x1b[2J" not in printed
        assert not evil or "\ufffd" in printed or re.search(r"\\u20[026]", printed), ascii(printed)
        return printed

    return command


@pytest.fixture
def evil(tmp_path: Path) -> Path:
    """A sequence with such a title and label, under such a name."""
    path = tmp_path / f"{NAME}.yaml"
    path.write_text(SEQUENCE)
    return path


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    """A visit in which every text is such, with a pair of runs for a correction."""
    path = tmp_path / f"{NAME}.visit"
    with Visit.create(path, display=EVIL, place=EVIL, settings=EVIL) as made:
        spot = made.add_instrument(EVIL, kind="typed", role="spot meter", specification=SPOT)
        other = made.add_instrument(
            f"r{EVIL}", kind="typed", role="reference", specification=REFERENCE
        )
        paired(made, spot.id, ERROR)
        paired(made, other.id)
        number = contrast_run(made, spot.id, EVIL, 102.6, 0.09)
        made.keep_note(EVIL, run=number)
    return path


def test_every_command_is_walked():
    assert set(COMMANDS) == {
        "patterns", "check", "export", "play", "correct", "name", "readings", "report", "zones",
        "demo", "schema", "aim", "visit", "adjust",
    }  # fmt: skip


def test_commands_kinds_and_options(shown: Shown, tmp_path: Path):
    shown(EVIL, code=2)
    shown("patterns", EVIL, code=2)
    shown("check", "--size", EVIL, code=2)
    shown("check", f"--{EVIL}", code=2)
    shown("play", "white", "--visit", "a.visit", "--output", EVIL, code=2)
    shown("aim", "a.visit", "--curve", EVIL, code=2)
    for option in ("--condition", "--name", "--place", "--settings", "--reference"):
        for text in ("a\u202eb", "a\u200bb", "a\x9bb", "a\nb"):
            told = shown("play", "white", "--visit", "a.visit", option, text, code=2, evil=False)
            assert "U+" in told or option == "--reference"
    folder = tmp_path / NAME
    folder.mkdir()
    shown("schema", "--to", folder, code=2)
    shown("schema", "--to", folder / "schema.json", evil=False)
    file = tmp_path / f"{NAME}.txt"
    file.touch()
    shown("demo", "--to", file, code=2)


def test_a_visit_is_shown_and_corrected(shown: Shown, visit: Path):
    with Visit.open(visit, write=True) as opened:
        for run_number in (1, 3):
            opened.state("condition", EVIL, run=run_number, by=EVIL)
        opened.state("display", f"more {EVIL}", by=EVIL)
        plan = opened.keep_plan(EVIL, "tasks", EVIL)
        opened.keep_task_event(plan.id, 1, "answered", text=EVIL)
    told = shown("visit", visit)
    assert "more x\ufffd" in told
    assert "[bold]" not in told.replace(WORDS, "")
    shown("visit", visit, "--run", "3", "--set-aside", "--by", "night shift", evil=False)
    for option in ("--display", "--settings", "--condition", "--why", "--by"):
        shown("visit", visit, option, EVIL, "--run", "1", code=2, evil=False)


def test_a_sequence_is_checked(shown: Shown, evil: Path, tmp_path: Path):
    assert "x\ufffdtxt" in shown("check", evil, *SIZE)
    told = json.loads(shown("check", evil, *SIZE, "--json"))
    assert told[0]["title"] == WORDS
    shown("check", tmp_path / f"{NAME}2.yaml", code=2)  # did you mean
    wrong = tmp_path / "wrong.yaml"
    for written in (
        "text: 1\n",
        "title: a\nsignal: text\nsteps:\n  - show: {field: {}}\n",
        "title: a\nsignal: sdr8\nsteps:\n  - show: {text: {}}\n",
        "title: a\nsignal: sdr8\nsteps:\n  - show: {field: {level: text}}\n",
        "title: a\nsignal: sdr8\nsteps:\n  - show: {field: {text: 1}}\n",
        "title: a\nsignal: sdr8\nfinds: [text]\nsteps:\n  - show: {field: {}}\n",
    ):
        for text in (TITLE, YAML):
            wrong.write_text(written.replace("text", text))
            shown("check", wrong, code=2, evil=text == TITLE)
    wrong.write_text("title: \x1b[31m\u202e\n")
    shown("check", wrong, code=2, evil=False)


def test_a_plan_is_checked_and_its_files_are_exported(shown: Shown, tmp_path: Path):
    plan, folder = tmp_path / f"plan{NAME}.yaml", tmp_path / f"stick{NAME}"
    tasks = (
        f"{{ask: {TITLE}, name: a, choices: [{TITLE}, b]}}",
        f"{{tell: {TITLE}, only_if: {{a: {TITLE}}}}}",
        f"{{play: line-up-sdr, output: files, condition: {TITLE}, minutes: 9}}",
    )
    text = f"title: {TITLE}\nminutes: 1\ntasks:\n" + "".join(f"  - {each}\n" for each in tasks)
    plan.write_text(text)
    shown("check", plan, *SIZE)
    told = json.loads(shown("check", plan, *SIZE, "--json"))
    assert (told[0]["title"], told[0]["tasks"][0]["label"]) == (WORDS, WORDS)
    shown("export", plan, "--to", folder, *SIZE)
    shown("check", plan, "--files", folder, *SIZE)
    shown("export", "--verify", folder, evil=False)
    (folder / "line-up-sdr").rename(folder / f"{NAME}")
    shown("check", plan, "--files", folder, *SIZE)
    shown("export", "--verify", folder)
    wrong = tmp_path / "wrong.yaml"
    for written in (
        "text: 1\ntasks: []\n",
        "title: a\ntasks: [{play: text}]\n",
        "title: a\ntasks: [{text: b}]\n",
        "title: a\ntasks: [{tell: b, only_if: {text: c}}]\n",
        "title: a\ntasks: [{ask: b, name: b, choices: [c, d]}, {tell: e, only_if: {b: text}}]\n",
        "title: a\ntasks: [{adjust: text}]\n",
    ):
        for each in (TITLE, YAML):
            wrong.write_text(written.replace("text", each))
            shown("check", wrong, code=2, evil=each == TITLE)


def test_a_display_is_adjusted(shown: Shown, tmp_path: Path):
    controls, visit = tmp_path / f"{NAME}.yaml", tmp_path / f"{NAME}.visit"
    start = ("adjust", "two-point", "--visit", visit, "--output", "simulated", "--unattended")
    shown("adjust", EVIL, "--visit", visit, code=2)
    wrong = "controls: [{does: gain, channel: red, range: [0, 1], found: 0, name: text}]\n"
    for written, code in ((wrong, None), ("controls: [{does: text}]\n", 2), ("text: 1\n", 2)):
        controls.write_text(written.replace("text", TITLE))
        shown(*start, *SIZE, "--controls", controls, "--name", "wall", code=code, evil=code == 2)


def test_a_set_of_files_is_exported_and_verified(shown: Shown, evil: Path, tmp_path: Path):
    folder = tmp_path / f"set{NAME}"
    shown("export", evil, "--to", folder, *SIZE)
    assert not steers(text_of((folder / "overview.pdf").read_bytes(), tmp_path).replace("\f", ""))
    shown("export", "near-white", "--to", folder, *SIZE, code=1)  # another set's title stands there
    shown("export", "--verify", folder, evil=False)
    (folder / f"extra{NAME}\nAll 9 files are as they were written.").touch()
    sums = folder / "SHA256SUMS"
    text = sums.read_text()
    first = text.splitlines()[0]
    sums.write_text(f"{text}{'0' * 64}  missing{NAME}\n{'1' * 64}  differs{NAME}\n")
    (folder / f"differs{NAME}").write_text("other")
    told = shown("export", "--verify", folder, code=1)
    assert [line.split(":")[0] for line in told.splitlines()[:3]] == ["differs", "missing", "extra"]
    assert not any(line.startswith("All 9") for line in told.splitlines())
    assert first.split()[1] not in told
    both = shown("export", "--verify", folder, "--json", code=1)  # a bar comes after it, on stderr
    found = json.JSONDecoder().raw_decode(both)[0]
    assert f"missing{NAME}" in found["missing"]
    shown("export", "--verify", tmp_path / f"no{NAME}", code=2)
    shown("export", evil, "--to", tmp_path / "a", "--metadata", EVIL, code=2)


def test_a_sequence_is_played_on_a_simulated_display(shown: Shown, evil: Path, tmp_path: Path):
    simulated = ("--output", "simulated", "--unattended", *SIZE)
    shown("play", evil, "--visit", tmp_path / f"{NAME}.visit", *simulated)
    display = tmp_path / f"display{NAME}.yaml"
    display.write_text(f"{YAML}: 1\n")
    told = ("play", evil, "--visit", tmp_path / "b.visit", *simulated)
    shown(*told, "--display", display, code=2)
    instrument = tmp_path / f"meter{NAME}.yaml"
    instrument.write_text("name: spot meter\n")
    shown(*told, "--instrument", instrument, code=2, evil=False)
    instrument = tmp_path / "meter.yaml"
    for text in (f"name: {YAML}\n", f"{YAML}: 2\n"):
        instrument.write_text(text)
        shown(*told, "--instrument", instrument, code=2, evil=False)
    for says in (f"print({EVIL!r})", f"import sys; sys.exit({EVIL!r})"):
        meter = tmp_path / f"meter{NAME}.py"
        meter.write_text(f"# -*- coding: utf-8 -*-\n{says}\n")
        shown(*told, "--meter", f"command:{sys.executable} '{meter}'", code=None, evil=False)


def test_a_visit_is_corrected_written_out_and_reported(shown: Shown, visit: Path, tmp_path: Path):
    assert "\ufffd[31m" in shown("correct", visit, "--look")
    told = json.loads(shown("correct", visit, "--look", "--json"))
    assert told["meter"] == EVIL
    shown("correct", visit)
    shown("correct", visit, "--run", "99", code=None, evil=False)
    shown("readings", visit, "--to", tmp_path / f"{NAME}.csv")
    shown("readings", tmp_path / f"no{NAME}", "--to", tmp_path / "a.csv", code=None)
    folder = tmp_path / f"report{NAME}"
    shown("report", visit, "--to", folder)
    page = (folder / "report.html").read_text("utf-8")
    assert not steers(page), ascii(steers(page))
    assert "&#x202e" not in page
    assert "\ufffd[31m" in page
    seen = text_of((folder / "report.pdf").read_bytes(), tmp_path).replace("\f", "")
    assert not steers(seen), ascii(steers(seen))
    assert "\ufffd" in seen


def test_an_instrument_is_named_afterwards(shown: Shown, visit: Path, tmp_path: Path):
    file = tmp_path / "meter.yaml"
    file.write_text("name: spot meter\nspecification: {luminance_relative_uncertainty: 4 %}\n")
    with Visit.open(visit, write=True) as opened:
        contrast_run(opened, None, EVIL, 102.6, 0.09)
    folder = tmp_path / "report"
    shown("report", visit, "--to", folder)
    page = (folder / "report.html").read_text("utf-8")
    assert "litfield name" in page
    assert not steers(page), ascii(steers(page))
    shown("name", visit, "--instrument", EVIL, code=2, evil=False)
    shown("name", visit, "--instrument", tmp_path / f"no{NAME}.yaml", code=2, evil=False)
    shown("name", visit, "--instrument", file, "--run", "99", code=2)
    shown("name", visit, "--instrument", file, evil=False)
    with Visit.open(visit, write=False) as opened:
        assert opened.namings()


def test_tables_of_presses_are_counted(shown: Shown, tmp_path: Path):
    table = tmp_path / f"{NAME}.csv"
    size = ("--size", "3840x2160")
    for text in (f"{EVIL},b\n", f"axis,pass,direction,position_px\n{EVIL},1,forward,3\n"):
        table.write_text(text)
        shown("zones", "--tallies", table, *size, code=2)
    good = tmp_path / "good.csv"
    good.write_text("axis,pass,direction,position_px\ncolumns,1,forward,3\n")
    for text in (f"{EVIL}\n", f"axis,n,spacing,groups\ncolumns,41,3,{EVIL}\n"):
        table.write_text(text)
        shown("zones", "--tallies", good, "--combs", table, *size, code=2)


@pytest.mark.skipif(os.name != "posix", reason="names of files are text elsewhere")
def test_a_name_that_is_no_text_is_printed_as_what_it_is(shown: Shown, tmp_path: Path):
    shown("check", os.fsdecode(os.fsencode(tmp_path) + b"/\xff\x1b.yaml"), code=2)


def test_what_a_command_prints_goes_through_one_place():
    folder = Path(__file__).parents[2] / "player"
    echoing = [
        path.name
        for path in folder.rglob("*.py")
        if re.search(r"click\.s?echo|[^_.]print\(|std(out|err)\.write|Console\(", path.read_text())
    ]
    # on_x11.py says one sentence of its own when the X server has gone
    assert sorted(echoing) == ["cli.py", "common.py", "on_x11.py"]
    assert program("pdftotext", "reads the PDF")
