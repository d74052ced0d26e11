"""No clip over the limits of flashing is written unasked: two judges, one of decoded pixels.

The second judge, ``flashing_by_hand``, shares no code with the first; what it takes from the
documents stands there.
"""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest

import sequences
from patterns.errors import PatternError
from patterns.files.manifest import read_listing
from patterns.kinds import KINDS
from player.commands.exporting import Wanted, write_sequence
from player.outcome import CommandError
from sequences.model import Sequence, SequenceError
from tests.player import flashing_by_hand

RATES = [Fraction(24), Fraction(25), Fraction(30), Fraction(50), Fraction(60)]
SIZES = ["64x64", "128x72", "320x180", "640x360", "1280x720"]
SIGNALS = ["sdr8", "sdr10", "pq10", "hlg10"]


@pytest.fixture(scope="module")
def tally() -> Iterator[Counter[str]]:
    """Count what was judged; told at the end, with ``-rP`` or ``-s``."""
    counted: Counter[str] = Counter()
    yield counted
    print(dict(counted))  # noqa: T201 - figures of the campaign


def small(sequence: Sequence, wanted: dict[str, Any], folder: Path) -> tuple[Path, bool] | None:
    """Write a sequence as small as it goes; the folder, and whether that had to be confirmed.

    None where no clip can carry it.
    """
    for size in SIZES:
        for chroma in ("4:2:0", "4:4:4"):
            target = folder / f"{size} {chroma[-1]}"
            asked = Wanted(size=size, chroma=chroma, **wanted)
            try:
                write_sequence(sequence, target, asked)
            except CommandError as error:
                if "--flashing-confirmed" not in str(error):
                    continue  # too small a canvas
                assert not target.exists()
                confirmed = Wanted(size=size, chroma=chroma, flashing_confirmed=True, **wanted)
                write_sequence(sequence, target, confirmed)
                return target, True
            except (SequenceError, PatternError):
                continue
            else:
                return target, False
    return None


def agree(sequence: Sequence, wanted: dict[str, Any], folder: Path, tally: Counter[str]) -> None:
    """Both judges say the same of every file; none over the limit was written unasked."""
    made = small(sequence, wanted, folder)
    if made is None:
        tally["not carried by any clip"] += 1
        return
    target, asked = made
    with (target / "manifest.csv").open(encoding="utf-8", newline="") as manifest:
        rows = {row["file"]: row for row in csv.DictReader(manifest)}
    over = []
    for name, row in rows.items():
        seen = flashing_by_hand.judged(target / name, json.loads(row["signal"]))
        kept = int(row["flashes_a_second"])
        tally["files"] += 1
        tally["over by the judge of the frames"] += kept > 3
        tally["over by the judge of the pixels"] += seen.over
        tally["differ in whether"] += (kept > 3) != seen.over
        tally["differ in how often"] += kept != seen.flashes
        assert asked or not seen.over, f"{sequence.source}, {name}: written unasked, {seen}"
        assert kept == seen.flashes, f"{sequence.source}, {name}: {kept}, {seen}"
        over.append(seen.over)
    if "hevc" not in wanted["formats"]:
        assert asked is any(over)
    assert {line.flashes.confirmed for line in read_listing(target).lines if line.flashes} == {
        asked
    }


def number(random: Random, low: float, high: float) -> str:
    return f"{random.uniform(low, high):.4g}"


def level(random: Random, hdr: bool) -> str:
    """Levels of any sort; many near to where changes begin to count."""
    draw = random.random()
    if draw < 0.3:
        return random.choice(["0 %", "100 %"])
    if draw < 0.5:
        return f"{number(random, 0, 100)} %"
    if draw < 0.6:
        each = {channel: f"{random.choice([0, 0, 5, 20, 50, 100])} %" for channel in "rgb"}
        return json.dumps(each).replace('"', "")
    if hdr:
        steps = [0, 10, 19, 20, 21, 30, 40, 150, 159, 161, 170, 180, 181, 200, 400, 440, 460, 900]
        return f"{random.choice(steps)} cd/m2"
    return f"{random.choice([0, 5, 9, 10, 11, 20, 30, 60, 71, 79, 80, 81, 90, 99, 100])} cd/m2"


def step(random: Random, *, hdr: bool, quick: bool) -> str:
    """One pattern with a hold of 20 ms to 2 s, or to 200 ms."""
    first, second = level(random, hdr), level(random, hdr)
    on, off = random.randint(17, 400), random.randint(17, 400)
    size = f"{{width: {random.randint(10, 100)} %, height: {random.randint(10, 100)} %}}"
    pair = f"level: {first}, background: {second}"
    shown = random.choice(
        [
            f"field: {{level: {first}}}",
            f"field: {{level: {first}}}",
            f"window: {{{pair}, area: {random.randint(4, 90)} %}}",
            f"window: {{{pair}, place: {random.randint(1, 25)}}}",
            f"checkerboard: {{{pair}}}",
            f"flash: {{{pair}, on: {on} ms, period: {on + off} ms, fast: true, size: {size}}}",
            f"pulse: {{{pair}, on: {on} ms, rest: {off} ms, fast: true}}",
            f"moving-box: {{level: {first}, speed: {random.randint(1, 6)} px/frame}}",
        ]
    )
    hold = round(20 * (10 if quick else 100) ** random.random())
    return f"  - {{show: {{{shown}}}, hold: {hold} ms}}\n"


def written(random: Random) -> str:
    """A sequence of one to ten steps, and some of them again and again."""
    name = random.choice(SIGNALS)
    hdr = not name.startswith("sdr")
    quick = random.random() < 0.5  # all of it, so that there is much that flashes
    steps = [step(random, hdr=hdr, quick=quick) for _ in range(random.randint(1, 10))]
    steps *= random.choice([1, 1, 2, 4])
    return f"title: random\nsignal: {name}\nsteps:\n{''.join(steps)}"


def try_random(seed: int, folder: Path, tally: Counter[str]) -> None:
    """Write one of random steps, as a film or as clips, and judge it; another where none is."""
    random = Random(seed)  # noqa: S311 - patterns are no secrets
    while True:
        text = written(random)
        try:
            sequence = sequences.load_text(text, f"seed {seed}")
        except SequenceError:
            continue  # a level out of reach, a patch that is never dark
        as_ = random.choice(["hevc-film", "hevc-film", "hevc"])
        before = tally["not carried by any clip"]
        agree(sequence, {"formats": (as_,), "rate": random.choice(RATES)}, folder, tally)
        if tally["not carried by any clip"] == before:
            return


def try_shipped(name: str, rate: Fraction, folder: Path, tally: Counter[str]) -> None:
    """Films of a step every 400 ms and every 80 ms; what moves in a clip of 2 s as well."""
    sequence = sequences.load(name)
    for hold in (Fraction(4, 10), Fraction(8, 100)):
        wanted = {"formats": ("hevc-film",), "rate": rate, "hold": hold}
        agree(sequence, wanted, folder / f"{float(hold)}", tally)
    for each in sequence.steps:
        if each.pattern.moves:
            wanted = {"formats": ("hevc",), "rate": rate, "hold": Fraction(2)}
            agree(replace(sequence, steps=(each,)), wanted, folder / f"{each.number}", tally)


def try_kind(kind: str, rate: Fraction, folder: Path, tally: Counter[str]) -> None:
    """Its examples in turn with black, 100 ms each, in a film; and each in a clip of its own."""
    signal = KINDS[kind].usual_signal("sdr8", "pq10", "hlg10").name
    black = "  - {show: {field: {level: 0 %}}}\n"
    shown = "".join(
        f"  - {{show: {{{kind}: {json.dumps(dict(example))}}}}}\n{black}"
        for example in KINDS[kind].examples
    )
    sequence = sequences.load_text(f"title: x\nsignal: {signal}\nsteps:\n{shown}", kind)
    for as_, hold in (("hevc-film", Fraction(1, 10)), ("hevc", Fraction(5, 4))):
        wanted = {"formats": (as_,), "rate": rate, "hold": hold}
        agree(sequence, wanted, folder / as_, tally)


@pytest.mark.parametrize(
    ("signal", "pair", "over"),
    [
        ("pq10", ("0 cd/m2", "19 cd/m2"), False),
        ("pq10", ("0 cd/m2", "21 cd/m2"), True),
        ("pq10", ("150 cd/m2", "175 cd/m2"), True),
        ("pq10", ("400 cd/m2", "440 cd/m2"), False),
        ("pq10", ("400 cd/m2", "460 cd/m2"), True),
        ("hlg10", ("900 cd/m2", "990 cd/m2"), False),
        ("hlg10", ("30 cd/m2", "52 cd/m2"), True),
        ("sdr10", ("60 cd/m2", "71 cd/m2"), True),
        ("sdr8", ("90 cd/m2", "99 cd/m2"), False),
        ("sdr8", ("0 %", "{r: 30 %, g: 0 %, b: 0 %}"), True),
        ("sdr8", ("0 %", "{r: 0 %, g: 0 %, b: 60 %}"), False),
        # 19.92 and 20.01 cd/m2 as coded, 20.06 and 19.82 as Y'CbCr has them
        ("sdr8", ("0 %", "{r: code 57, g: code 109, b: code 38}"), True),
        ("sdr8", ("0 %", "{r: code 96, g: code 102, b: code 28}"), False),
    ],
)
def test_pairs_on_either_side_of_the_limits_are_judged_alike(
    signal: str, pair: tuple[str, str], over: bool, tmp_path: Path, tally: Counter[str]
) -> None:
    """Five times a second; SDR white is 200 cd/m2 to both judges, 100 cd/m2 as it is written."""
    shown = "".join(f"  - {{show: {{field: {{level: {level}}}}}}}\n" for level in pair * 5)
    text = f"title: pair\nsignal: {signal}\nhold: 100 ms\nsteps:\n{shown}"
    wanted = {"formats": ("hevc-film",), "rate": Fraction(30)}
    agree(sequences.load_text(text, "pair"), wanted, tmp_path, tally)
    assert tally["files"]
    (line, *_) = read_listing(next(tmp_path.iterdir())).lines
    assert line.flashes is not None
    assert line.flashes.flashing.over is over


@pytest.mark.parametrize("seed", range(8))
def test_random_sequences_are_judged_alike_by_their_frames_and_by_their_pixels(
    seed: int, tmp_path: Path, tally: Counter[str]
) -> None:
    try_random(seed, tmp_path, tally)


@pytest.mark.parametrize(
    ("name", "rate"), [("greyscale-11", 24), ("delay-flash", 25), ("primaries", 50)]
)
def test_a_shipped_sequence_is_judged_alike(
    name: str, rate: int, tmp_path: Path, tally: Counter[str]
) -> None:
    try_shipped(name, Fraction(rate), tmp_path, tally)


@pytest.mark.parametrize(("kind", "rate"), [("flash", 24), ("pulse", 60), ("comb", 30)])
def test_a_kind_is_judged_alike(kind: str, rate: int, tmp_path: Path, tally: Counter[str]) -> None:
    try_kind(kind, Fraction(rate), tmp_path, tally)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(1000, 1500))
def test_five_hundred_random_sequences_are_judged_alike(
    seed: int, tmp_path: Path, tally: Counter[str]
) -> None:
    try_random(seed, tmp_path, tally)


@pytest.mark.campaign
@pytest.mark.parametrize("rate", RATES, ids=str)
@pytest.mark.parametrize("name", sequences.shipped())
def test_every_shipped_sequence_is_judged_alike(
    name: str, rate: Fraction, tmp_path: Path, tally: Counter[str]
) -> None:
    try_shipped(name, rate, tmp_path, tally)


@pytest.mark.campaign
@pytest.mark.parametrize("rate", RATES, ids=str)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_judged_alike_as_film_and_as_clip(
    kind: str, rate: Fraction, tmp_path: Path, tally: Counter[str]
) -> None:
    try_kind(kind, rate, tmp_path, tally)
