# ruff: noqa: S311 (places of a trial)
"""One bit of a visit file changes, anywhere: what comes out of it is the same, or it is told."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

import sequences
from patterns.control import PRIMARIES, Control
from patterns.picture.canvas import Canvas
from player.simulated import SimulatedDisplay, parse_display
from player.simulated_play import play_simulated
from readings.evidence.correction.paired import keep as keep_correction
from readings.evidence.correction.paired import make, taken
from readings.evidence.measured import evidence
from readings.visit.records import PlannedStep, Shown, Value
from readings.visit.table import rows
from readings.visit.visit import Visit, VisitError
from tests.readings.paired_run import ERROR, meters, paired
from tests.readings.test_visit_damage import PLAN

LOBBY = """
name: lobby wall
peak: 1000
responses: {bt1886: {white: 400}}
light:
  kind: zoned
  contrast: 4000
  columns: 6
  rows: 4
  halos: [{radius: 3, share: 1.0}]
"""


def small(path: Path) -> None:
    """A short run with the simulated meter."""
    with Visit.create(path, display="lobby wall") as visit:
        _play(visit, "black-and-contrast")


def corrected(path: Path) -> None:
    """Runs of two meters with a correction, retakes, notes of every sort, and a skip."""
    with Visit.create(path, display="lobby wall", settings="as found", place="harbour") as visit:
        spot, reference = meters(visit)
        paired(visit, spot, ERROR)
        run = paired(visit, reference)
        keep_correction(visit, make(*taken(evidence(visit))))
        _play(visit, "black-and-contrast")
        again = paired(visit, spot, ERROR)
        for reading in visit.readings(again)[:2]:
            value = Value(quantity="colour", raw="retaken", luminance=1.5, x=0.3, y=0.3)
            visit.keep_reading(reading.showing, value, instrument=spot, replaces=reading.id)
        visit.keep_note("the lamps of the museum were on")
        visit.keep_note("fans loud", run=run)
        visit.keep_note("glare", run=run, step=2)
        visit.keep_note("moved the meter", showing=visit.showings(run)[0].id)


def zones(path: Path) -> None:
    """A count of zones with its presses."""
    with Visit.create(path, display="lobby wall") as visit:
        _play(visit, "zone-count")
        visit.withdraw_tally(visit.tallies()[-1].id)


def adjusted(path: Path) -> None:
    """A display adjusted by its controls, and a step that is read after it."""
    adjusting = PlannedStep(
        label="ten points", kind="window", parameters={}, quantity="colour", role="adjusting"
    )
    controls = [
        Control(f"{channel} gain", "gain", channel, None, -50, 50, 1, 0) for channel in PRIMARIES
    ]
    with Visit.create(path, display="lobby wall") as visit:
        run = visit.start_run(PLAN, [adjusting]).id
        kept = visit.keep_controls(run, 1, controls)
        for number in range(24):
            facts = {"changed": {"level": f"{number % 10} %"}}
            shown = Shown(inks={}, frame_sha256="ab" * 32, facts=facts, guard="verified")
            showing = visit.keep_showing(run, 1, shown).id
            grey = Value(quantity="colour", raw="", luminance=number / 2, x=0.31, y=0.33)
            visit.keep_reading(showing, grey)
            visit.keep_turn(kept[number % 3].id, value=number, showing=showing, why="too red")
        visit.keep_noticing(kept[0].id, "at its ceiling", point="100 %", showing=showing)
        visit.keep_noticing(kept[1].id, "reversed")
        visit.give_minutes(run, 20)
        visit.give_minutes(run, 12.5)
        visit.end_adjustment(run, 1, "reached", largest=0.7, spread=0.2)


def _play(visit: Visit, name: str) -> None:
    display = SimulatedDisplay(parse_display(LOBBY, "lobby.yaml"))
    sequence = sequences.load(name)
    play_simulated(sequence, visit, display, canvas=Canvas(640, 360), seed=1)


def all_of(visit: Visit) -> str:
    """All that the table, the findings and the report are made of."""
    runs = [
        (run, visit.steps(run.id), visit.skips(run.id), visit.resumed(run.id))
        for run in visit.runs()
    ]
    runs += [
        (
            visit.controls(run.id),
            visit.turns(run.id),
            visit.adjustments(run.id),
            visit.noticings(run.id),
            visit.minutes(run.id),
        )
        for run in visit.runs()
    ]
    found = (rows(visit), evidence(visit), visit.about(), visit.instruments(), visit.corrections())
    return repr((found, runs, visit.showings(), visit.notes(), visit.tallies(withdrawn=True)))


def flips(visit: Path, number: int, chance: random.Random) -> Counter[str]:
    """Change single bits, each in a file that is otherwise whole, and count what came of it."""
    content = visit.read_bytes()
    with Visit.open(visit, write=False) as whole:
        wanted = all_of(whole)
    counted: Counter[str] = Counter()
    for bit in chance.sample(range(8 * len(content)), number):
        changed = bytearray(content)
        changed[bit // 8] ^= 1 << bit % 8
        visit.write_bytes(changed)
        try:
            with Visit.open(visit, write=False) as opened:
                told, found = opened.soundness.sentences(), all_of(opened)
        except VisitError:
            counted["refused"] += 1
            continue
        counted["the rest given" if told else "nothing changed"] += 1
        assert told or found == wanted, f"bit {bit} of {visit.name} changed something unsaid"
    visit.write_bytes(content)
    return counted


VISITS = {"small": small, "corrected": corrected, "zones": zones, "adjusted": adjusted}


@pytest.mark.parametrize("name", VISITS)
def test_a_bit_that_changes_is_told_or_changes_nothing(tmp_path: Path, name: str) -> None:
    VISITS[name](tmp_path / f"{name}.visit")
    seed = random.randrange(2**32)
    chance, counted = random.Random(seed), Counter[str]()
    # of 40 bits of a small visit about one in nine tells; none does once in a hundred times
    while not counted["the rest given"] and counted.total() < 120:
        counted += flips(tmp_path / f"{name}.visit", 40, chance)
    assert counted["the rest given"], f"seed {seed}: {counted}"


@pytest.mark.campaign
def test_of_ten_thousand_bits_none_changes_anything_unsaid(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, number in (("small", 2500), ("corrected", 3000), ("zones", 2500), ("adjusted", 2000)):
        VISITS[name](tmp_path / f"{name}.visit")
        size = (tmp_path / f"{name}.visit").stat().st_size
        counted = flips(tmp_path / f"{name}.visit", number, random.Random(name))
        with capsys.disabled():
            print(f"\n{name}, {size} bytes: {dict(counted)}")  # noqa: T201 - what the campaign is for
