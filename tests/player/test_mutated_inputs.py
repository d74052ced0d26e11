"""No spoilt file of any kind brings more than a sentence and an exit code, or less.

Inputs are made by number, always the same. To make one again and see what came of it:

    PYTHONPATH=. .venv/bin/python tests/mutated/worker.py KIND NUMBER

which prints what the command said, and leaves the input in the folder `spoilt`. The kinds are those
of `tests/mutated/inputs.py`. The campaign says how many of each it made, and what was slowest:

    make campaign ARGS="tests/player/test_mutated_inputs.py -s"

LITFIELD_MUTATED=7000 has it begin after that number of each kind: other inputs than the usual ones.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import warnings
from collections.abc import Callable
from pathlib import Path

import pytest

from player.outcome import CommandError
from tests.mutated import campaign, inputs
from tests.mutated.campaign import WORKER, outcomes, table
from tests.mutated.inputs import Trial
from tests.mutated.judging import Outcome, empty, judged, made
from tests.mutated.originals import digest, make_originals

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="POSIX limits of processes")
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="memory as proc(5) tells it")
FEW = {
    "sequence": 60,
    "display": 25,
    "line-meter": 10,
    "instrument": 20,
    "tables": 30,
    "exported": 25,
    "visit": 25,
    "paste": 15,
    "printed": 10,
}
"""Inputs of each kind in the suite: those of the campaign with the lowest numbers."""


@pytest.fixture(scope="module")
def originals(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("mutated") / "originals"
    make_originals(folder)
    return folder


def told(found: list[Outcome]) -> str:
    wrong = [each for each in found if each.faults]
    return "".join(
        f"\n{each.kind} {each.number}: {each.faults}\n{each.said[-600:]}" for each in wrong[:20]
    )


@pytest.mark.timeout(600)
def test_a_few_hundred_spoilt_inputs_are_told_in_a_sentence(originals: Path) -> None:
    found = list(outcomes(FEW, originals.parent))
    assert len(found) == sum(FEW.values())
    assert not told(found)
    codes = {code for each in found for code in each.codes}
    assert codes == {0, 1, 2}, "some are refused, some fail, some are still taken"


@pytest.mark.campaign
def test_twenty_thousand_spoilt_inputs_are_told_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wanted = {kind: many for kind, (_, many) in inputs.KINDS.items()}
    after = int(os.environ.get("LITFIELD_MUTATED", "0"))
    found = list(outcomes(wanted, tmp_path, after))
    with capsys.disabled():
        sys.stdout.write(f"\n{table(found)}\n")
    assert len(found) == sum(wanted.values()) == 20_000
    assert not told(found)


def left_half(folder: Path) -> None:
    (folder / ".part-0123456789ab.csv").touch()


def failed_late(folder: Path) -> None:
    (folder / "out.csv").touch()
    raise CommandError("The disk is full.")


def silent(_: Path) -> None:
    raise CommandError("")


def unforeseen(_: Path) -> None:
    raise ZeroDivisionError("division by zero")


def coloured(_: Path) -> None:
    raise CommandError("found \x1b[31m.")


def programmers_words(_: Path) -> None:
    raise CommandError("'NoneType' is no number.")


def warned(_: Path) -> None:
    warnings.warn("overflow", RuntimeWarning, stacklevel=1)


def greedy(_: Path) -> None:
    _ = [bytes(each + 1 for each in range(250)) * 1_000_000 for _ in range(5)]


@pytest.mark.parametrize(
    ("does", "fault"),
    [
        (left_half, "left behind: .part-#.csv"),
        (failed_late, "exit code 2 and yet a new file: out.csv"),
        (silent, "exit code 2 without a word"),
        (unforeseen, "ZeroDivisionError in "),
        (coloured, "U+001B in stderr"),
        (programmers_words, "in stderr: 'NoneType' is no number."),
        (warned, "RuntimeWarning at player/test_mutated_inputs.py:"),
        pytest.param(greedy, "more than 1 GB", marks=LINUX),
    ],
)
def test_each_fault_is_found(
    does: Callable[[Path], None], fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trial = Trial((lambda: does(tmp_path),))
    monkeypatch.setitem(inputs.KINDS, "made-up", (lambda *_: trial, 1))
    found = judged("made-up", 1, tmp_path, tmp_path).faults
    assert any(each.startswith(fault) for each in found), found


def test_what_is_told_in_a_sentence_is_no_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trial = Trial((("check", "none.yaml"),))
    monkeypatch.setitem(inputs.KINDS, "made-up", (lambda *_: trial, 1))
    outcome = judged("made-up", 1, tmp_path, tmp_path)
    assert (outcome.codes, outcome.faults) == ([2], [])


@pytest.mark.parametrize(
    ("limits", "does", "number"),
    [
        ("0.2, 60", "while True: pass", signal.SIGPROF),
        ("60, 0.2", "time.sleep(60)", signal.SIGALRM),
    ],
)
def test_what_hangs_is_ended_and_tells_where_it_was(
    limits: str, does: str, number: signal.Signals
) -> None:
    script = f"import time; import worker; worker.guard(); worker.watch({limits})\n{does}"
    done = subprocess.run(
        [sys.executable, "-c", script],
        env=os.environ | {"PYTHONPATH": str(WORKER.parent)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == -number
    assert 'File "<string>", line' in done.stderr


def test_the_same_number_makes_the_same_input(tmp_path: Path, originals: Path) -> None:
    for kind in FEW:
        for number in (1, 2):
            twice = [empty(tmp_path / "spoilt") for _ in range(2)]
            sums = []
            for folder in twice:
                made(kind, number, empty(folder), originals)
                sums.append(digest(folder))
            assert sums[0] == sums[1], (kind, number)


def test_an_input_that_ends_its_worker_is_told_and_the_next_ones_are_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = tmp_path / "worker.py"
    script.write_text(
        "import json, os, sys\n"
        "for part in sys.argv[3:]:\n"
        "    kind, first, last = part.split(':')\n"
        "    for number in range(int(first), int(last) + 1):\n"
        "        print(json.dumps([kind, number]), flush=True)\n"
        "        if number == 2: os.abort()\n"
        "        print(json.dumps({'kind': kind, 'number': number}), flush=True)\n"
    )
    monkeypatch.setattr(campaign, "WORKER", script)
    found = list(outcomes({"a": 3, "b": 2}, tmp_path))
    assert [(each.kind, each.number, bool(each.faults)) for each in found] == [
        ("a", 1, False), ("a", 2, True), ("a", 3, False), ("b", 1, False), ("b", 2, True),
    ]  # fmt: skip
