"""The command that makes a meter correction: what it keeps, what it refuses, and how it says so."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from player.cli import run
from readings.visit.visit import Visit
from tests.readings.paired_run import COLOURS, ERROR, meters, paired


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "lobby.visit"


@pytest.fixture
def visit(path: Path) -> Iterator[Visit]:
    with Visit.create(path, display="lobby wall") as made:
        yield made


def kept(path: Path) -> list[tuple[int, int]]:
    with Visit.open(path, write=False) as visit:
        return [(each.from_instrument, each.to_instrument) for each in visit.corrections()]


def good(visit: Visit) -> None:
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    visit.close()


def test_it_keeps_the_correction_and_shows_what_is_left(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    good(visit)
    assert run(["correct", str(path)]) == 0
    told = capfd.readouterr().out.splitlines()
    assert told[0] == "spot meter (run 1) to reference (run 2), by the four-colour matrix method"
    assert [line.split() for line in told if "check" in line] == [
        ["cyan", "+0.00000", "+0.00000", "+0.00", "%", "check"]
    ]
    assert told[-1] == f"Correction 1 is kept in {path}: findings use it from now on."
    assert kept(path) == [(1, 2)]
    with Visit.open(path, write=False) as opened:
        (made,) = opened.corrections()
    assert np.abs(np.reshape(made.matrix, (3, 3)) @ ERROR - np.eye(3)).max() < 1e-12
    assert made.method == "four-colour matrix, spot meter of run 1 to reference of run 2"
    assert made.fit["runs"] == {"meter": 1, "reference": 2}
    assert made.fit["readings"] == {
        "meter": [1, 2, 3, 4, 5, 6],
        "reference": [7, 8, 9, 10, 11, 12],
    }
    assert made.fit["accepted"] == []


def test_the_same_correction_is_not_kept_twice(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    good(visit)
    assert [run(["correct", str(path)]) for _ in range(2)] == [0, 0]
    said = capfd.readouterr().out.splitlines()[-1]
    assert said == f"Correction 1 in {path} is the same: it is there already."
    assert kept(path) == [(1, 2)]


def test_looking_keeps_nothing_and_a_machine_can_read_it(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    good(visit)
    before = path.read_bytes()
    assert run(["correct", str(path), "--look", "--json"]) == 0
    told = json.loads(capfd.readouterr().out)
    assert (told["kept"], told["meter"], told["reference"]) == (None, "spot meter", "reference")
    assert len(told["matrix"]) == 9
    assert [each["colour"] for each in told["residuals"]] == [
        "red",
        "green",
        "blue",
        "white",
        "cyan",
    ]
    assert path.read_bytes() == before
    assert run(["correct", str(path), "--look"]) == 0
    assert capfd.readouterr().out.endswith("Nothing was kept.\n")


def drifting(visit: Visit) -> None:
    """White has lost six percent when the spot meter reads it again."""
    spot, reference = meters(visit)
    darker = {"white again": lambda codes, light: (codes, replace(light, luminance=95.0))}
    paired(visit, spot, ERROR, darker)
    paired(visit, reference)
    visit.close()


def test_what_a_guard_speaks_against_is_kept_only_on_insistence(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    drifting(visit)
    assert run(["correct", str(path)]) == 1
    shown = capfd.readouterr()
    assert "Against it: White changed by 6.1 %" in shown.out
    assert shown.err.startswith("The correction was not kept. White changed by 6.1 %")
    assert shown.err.endswith("--anyway keeps it all the same.\n")
    assert kept(path) == []
    assert run(["correct", str(path), "--anyway"]) == 0
    assert kept(path) == [(1, 2)]
    with Visit.open(path, write=False) as opened:
        (accepted,) = opened.corrections()[0].fit["accepted"]
    assert accepted.startswith("White changed by 6.1 %")


def test_colours_that_were_not_shown_alike_are_refused(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    spot, reference = meters(visit)
    paired(visit, spot, ERROR, {"blue": lambda _, light: ((0, 0, 235), light)})
    paired(visit, reference)
    visit.close()
    assert run(["correct", str(path)]) == 1
    assert "Blue was not shown alike to both instruments" in capfd.readouterr().err
    assert kept(path) == []


def only_spot(visit: Visit) -> None:
    paired(visit, meters(visit)[0], ERROR)


def without_blue(visit: Visit) -> None:
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference, colours={k: v for k, v in COLOURS.items() if k != "blue"})


def typed(visit: Visit) -> None:
    paired(visit, None)
    paired(visit, meters(visit)[1])


def same_twice(visit: Visit) -> None:
    spot, _ = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, spot, ERROR)


def nothing(_: Visit) -> None: ...


Make = Callable[[Visit], None]
WRONG: dict[str, tuple[Make, list[str], int, str]] = {
    "no reference": (only_spot, [], 2, "No reference has read the colours for a correction in"),
    "a colour missing": (
        without_blue,
        [],
        2,
        "There is no correction: Run 2 lacks readings of the reference: blue.",
    ),
    "no meter named": (
        typed,
        ["--run", "1"],
        2,
        "The colours of run 1 were typed without naming the meter",
    ),
    "one instrument": (
        same_twice,
        ["--run", "1", "--reference-run", "2"],
        2,
        "There is no correction: Run 1 and run 2 were read with the same instrument, spot meter:",
    ),
    "no such run": (only_spot, ["--run", "7"], 2, "lobby.visit has no run 7."),
    "nothing there": (nothing, [], 2, "No reference has read the colours"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_cannot_be_is_one_plain_sentence(
    name: str, visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    make, options, code, sentence = WRONG[name]
    make(visit)
    visit.close()
    assert run(["correct", str(path), *options]) == code
    error = capfd.readouterr().err
    assert sentence in error
    assert len(error.splitlines()) == 1
    assert kept(path) == []


def test_a_visit_that_is_not_there_is_told(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["correct", str(tmp_path / "none.visit")]) == 2
    assert "none.visit" in capfd.readouterr().err


def test_the_latest_run_with_each_counts_and_others_can_be_named(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    spot, reference = meters(visit)
    for _ in range(2):
        paired(visit, spot, ERROR)
        paired(visit, reference)
    visit.close()
    assert run(["correct", str(path), "--json"]) == 0
    assert json.loads(capfd.readouterr().out)["runs"] == {"meter": 3, "reference": 4}
    assert run(["correct", str(path), "--json", "--run", "1", "--reference-run", "4"]) == 0
    assert json.loads(capfd.readouterr().out)["runs"] == {"meter": 1, "reference": 4}


def test_a_run_that_is_set_aside_is_taken_for_no_correction(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    spot, reference = meters(visit)
    for _ in range(2):
        paired(visit, spot, ERROR)
        paired(visit, reference)
    visit.state("counted", "no", run=4)
    visit.close()
    assert run(["correct", str(path), "--json"]) == 0
    assert json.loads(capfd.readouterr().out)["runs"] == {"meter": 3, "reference": 2}
    assert run(["correct", str(path), "--reference-run", "4"]) == 2
    assert capfd.readouterr().err == (
        f"Run 4 is set aside, so no correction is made of it; litfield visit {path} --run 4 "
        "--count-again has it count again.\n"
    )


def test_an_earlier_correction_does_not_enter_a_later_one(
    visit: Visit, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    good(visit)
    assert run(["correct", str(path)]) == 0
    with Visit.open(path, write=True) as opened:
        spot = next(each.id for each in opened.instruments() if each.role == "spot meter")
        paired(opened, spot, ERROR)
    assert run(["correct", str(path)]) == 0
    capfd.readouterr()
    with Visit.open(path, write=False) as opened:
        first, second = opened.corrections()
    assert first.matrix == second.matrix


PLAY = ["play", "meter-correction"]
MISSAID = {
    "a reference without a name": (
        ["--reference"],
        "--reference goes with --instrument NAME or with --meter.",
    ),
    "a name of spaces": (
        ["--instrument", "  "],
        "--instrument names an instrument; it was given nothing but spaces.",
    ),
    "a simulated one by another name": (
        ["--output", "simulated", "--unattended", "--instrument", "spot"],
        (
            "A simulated instrument has its own name and specification, so --instrument and "
            "--reference are left out: --meter simulated:reference is the reference."
        ),
    ),
}


@pytest.mark.parametrize("name", MISSAID)
def test_an_instrument_that_cannot_be_named_so_is_told_before_the_visit_is_touched(
    name: str, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    options, sentence = MISSAID[name]
    assert run([*PLAY, "--visit", str(path), *options]) == 2
    assert capfd.readouterr().err == f"{sentence}\n"
    assert not path.exists()


def test_a_simulated_spot_meter_is_brought_to_a_simulated_reference(
    path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for meter in ("simulated", "simulated:reference"):
        simulated = ["--output", "simulated", "--unattended", "--size", "640x360"]
        options = ["--visit", str(path), *simulated, "--meter", meter, "--condition", meter]
        assert run([*PLAY, *options]) == 0
    capfd.readouterr()
    assert run(["correct", str(path), "--json"]) == 0
    told = json.loads(capfd.readouterr().out)
    assert (told["meter"], told["reference"], told["refused"]) == ("spot meter", "reference", [])
    # what both meters scatter, and what their noise makes of six colours
    assert told["luminance_residual"] < 0.01
    assert told["chromaticity_residual"] < 0.002
    # the reference's own small error is what stays; the spot meter's is gone
    own = np.diag([1.002, 1.001, 0.999])
    assert np.abs(np.reshape(told["matrix"], (3, 3)) @ ERROR - own).max() < 0.01
