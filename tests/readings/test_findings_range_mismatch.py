"""What arrives is told from what is set, by a few luminances, and never more surely than it is."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import sequences
from patterns.kinds.code_ramp import RangeCheck
from patterns.picture.canvas import Canvas
from player.simulated import SimulatedDisplay
from player.simulated.files import load_display
from player.simulated_play import play_simulated
from player.visits import open_or_create
from readings.evidence.measured import Measured
from readings.findings import findings_from, findings_of
from readings.findings.base import Finding
from readings.findings.checks.range_mismatch import ARRIVALS
from readings.report.gather import gather
from readings.report.summary import summary
from readings.visit.records import Specification
from tests.readings.made_readings import made

CODES = {
    "dark 1": 1,
    "dark 5": 16,
    "dark 8": 28,
    "bright 8": 227,
    "bright 6": 235,
    "bright 1": 254,
}
UNREPEATED = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.002, luminance_resolution=0.0001
)


def readings(light: dict[str, float], set_as: str = "full", bits: int = 8) -> list[Measured]:
    scale = 1 << (bits - 8)
    return [
        made(
            number,
            label=f"Light of {patch}",
            role="range-light",
            kind="range-check",
            of=patch,
            parameters={"alone": patch},
            inks={patch: (scale * CODES[patch],) * 3, "black": (0, 0, 0)},
            signal={"transfer": "bt1886", "primaries": "bt709", "bits": bits, "range": set_as},
            specification=UNREPEATED,
            raw=f"{luminance:.4f}",
            luminance=luminance,
        )
        for number, (patch, luminance) in enumerate(light.items(), 1)
    ]


def told(found: Finding) -> tuple[str, str]:
    """What arrives, as the title says it, and how sure."""
    if "unsure" in found.title or "not known" in found.title:
        return "", "unsure"
    says, sure = found.title.removesuffix(")").split(" (")
    return says.split("looks like ")[1].removesuffix(", as it is set"), sure


def one(given: list[Measured]) -> Finding:
    (found,) = findings_from(given, ["range-mismatch"])
    return found


@pytest.mark.parametrize("model", ["lobby-wall", "ticket-desk"])
@pytest.mark.parametrize(
    ("name", "set_as"), [("path-check-8", "full"), ("path-check-10", "narrow")]
)
@pytest.mark.parametrize("link", ["follow", "full", "narrow"])
def test_a_mismatch_injected_into_the_simulated_display_is_found_and_a_match_is_not_one(
    tmp_path: Path, model: str, name: str, set_as: str, link: str
) -> None:
    parameters = load_display(model)
    taken = parameters.link.model_copy(update={"range": link})
    display = SimulatedDisplay(parameters.model_copy(update={"link": taken}))
    with open_or_create(tmp_path / "lobby.visit", name="lobby wall") as visit:
        play_simulated(sequences.load(name), visit, display, canvas=Canvas(1920, 1080), seed=3)
        (found,) = findings_of(visit, ["range-mismatch"])
    arrives = set_as if link == "follow" else link
    warned = [each for each in found.warnings if each.startswith("Range mismatch")]
    assert told(found)[0].startswith(arrives)
    assert told(found)[1] == "sure"
    if arrives == set_as:
        assert warned == []
        assert found.value("range-white-error") is None
    else:
        assert f"{set_as} range is set, and it is taken as {arrives} range" in warned[0]
        white, grey = found.value("range-white-error"), found.value("range-grey-error")
        assert white is not None
        assert grey is not None
        # full as narrow clips at its own white; narrow as full: (235 / 255) ^ 2.3 to 2.4, a grey of
        # 125.5 / 235 beside it
        wanted = (0.0, 4.3) if set_as == "full" else (-17.7, 16.5)
        assert (white.value, grey.value) == pytest.approx(wanted, abs=0.6)


def display_light(family: str, chance: np.random.Generator, *, contrast: float) -> dict[str, float]:
    """A display of an unknown power law, with errors of its own, read by a meter with noise."""
    arrival = next(each for each in ARRIVALS if each.name == family)
    codes = np.array(list(CODES.values()), float)
    shape = arrival.signal(codes, 255.0) ** chance.uniform(2.0, 2.6)
    shape *= 1 + chance.normal(0, np.where(codes < 64, 0.1, 0.005))
    white = chance.uniform(80, 800)
    light = white * (shape + 1 / contrast) * (1 + chance.normal(0, 0.003, len(codes)))
    light += chance.normal(0, 0.0002, len(codes))
    return dict(zip(CODES, np.round(light, 4).tolist(), strict=True))


def trials(count: int, contrast: float) -> Counter[tuple[str, str, str]]:
    chance = np.random.default_rng(20310504)
    seen: Counter[tuple[str, str, str]] = Counter()
    for arrival in ARRIVALS:
        for _ in range(count):
            light = display_light(arrival.name, chance, contrast=contrast)
            says, sure = told(one(readings(light)))
            family = "" if sure == "unsure" else says.split(" ")[0]
            seen[arrival.name, "right" if family == arrival.family else "wrong", sure] += 1
    return seen


@pytest.mark.parametrize("contrast", [500.0, 3000.0, 1e6])
def test_displays_of_unknown_law_and_contrast_are_hardly_ever_taken_wrongly(
    contrast: float,
) -> None:
    count = 25
    seen = trials(count, contrast)
    assert not [what for what in seen if what[1:] == ("wrong", "sure")]
    assert sum(seen[what] for what in seen if what[1:] == ("wrong", "likely")) <= 2
    for name in ("narrow", "full"):
        assert seen[name, "right", "sure"] + seen[name, "right", "likely"] >= 0.9 * count


@pytest.mark.campaign
def test_many_displays_are_hardly_ever_taken_wrongly() -> None:
    for contrast in (300.0, 1000.0, 5000.0, 1e6):
        seen = trials(200, contrast)
        wrong = sum(seen[what] for what in seen if what[1:] == ("wrong", "sure"))
        assert wrong <= 2, seen


def by_formula(
    name: str, arrives: str, tilt: float, contrast: float, exponent: float, *, rows: bool = False
) -> Finding:
    """The finding of a display of 300 cd/m2 that is brighter on the right by so much of its width.

    Codes and places are those of the shipped sequence, or of its rows of patches as they were
    read before; the light is worked out here, and no simulated display has a part in it.
    """
    sequence, canvas, given = sequences.load(name), Canvas(1920, 1080), []
    signal = sequence.signal
    highest, step = 2**signal.bits - 1, 2 ** (signal.bits - 8)
    for number, shown in enumerate((s for s in sequence.steps if s.role == "range-light"), 1):
        assert shown.read is not None
        patch, check = shown.read.of, shown.pattern
        if rows:
            check = RangeCheck(ends="black" if patch.startswith("dark") else "white")
        frame = check.frame(canvas, signal)
        code = frame.inks[patch][0]
        share = {
            "full": code / highest,
            "narrow": min(max(code / step - 16, 0.0) / 219, 1.0),
            "narrow with headroom": max(code / step - 16, 0.0) / 219,
        }[arrives]
        across = float(check.spots(canvas)[patch].x) / canvas.width - 0.5
        light = 300 * (1 + tilt * across) * (share**exponent * (1 - 1 / contrast) + 1 / contrast)
        given.append(
            made(
                number,
                role="range-light",
                kind="range-check",
                of=patch,
                parameters=check.parameters(),
                inks=dict(frame.inks),
                signal=signal.describe(),
                specification=UNREPEATED,
                luminance=round(light, 4),
            )
        )
    return one(given)


LINKS = [("path-check-8", "full"), ("path-check-10", "narrow")]


def wrongly_told(
    arrivals: Iterable[str],
    tilts: Iterable[float],
    contrasts: Iterable[float],
    exponents: Iterable[float],
    *,
    rows: bool = False,
) -> tuple[list[tuple[object, ...]], list[tuple[object, ...]], int]:
    """Claims that are false, mismatches that were not found, and how many were told in all."""
    false, missed, count = [], [], 0
    for case in itertools.product(LINKS, arrivals, tilts, contrasts, exponents):
        (name, set_as), arrives, tilt, contrast, exponent = case
        found = by_formula(name, arrives, tilt, contrast, exponent, rows=rows)
        assert found.judgement is not None
        right = "good" if arrives.split()[0] == set_as else "bad"
        count += 1
        if found.judgement.verdict not in (right, "unsure"):
            false.append(case)
        if right == "bad" and found.judgement.verdict != "bad":
            missed.append(case)
    return false, missed, count


CONTRASTS = (600, 1001, 2000, 5000, 50_000, 1_000_000)


def test_a_screen_that_is_not_even_is_never_taken_for_another_range_in_one_place() -> None:
    tilts, arrivals = (0.0, 0.22, -0.4), ("full", "narrow")
    false, missed, count = wrongly_told(arrivals, tilts, CONTRASTS, (2.2, 2.4))
    assert (false, missed, count) == ([], [], 144)


def test_patches_read_beside_each_other_are_unsure_rather_than_wrong() -> None:
    tilts, arrivals = (0.22, -0.4), ("full", "narrow")
    false, _, count = wrongly_told(arrivals, tilts, CONTRASTS, (2.2, 2.6), rows=True)
    assert (false, count) == ([], 96)
    flat = by_formula("path-check-8", "narrow", 0.0, 5000, 2.4, rows=True)
    assert told(flat)[0].startswith("narrow")
    assert any("in several places" in each for each in flat.warnings)


@pytest.mark.campaign
@pytest.mark.timeout(1200)
def test_whatever_the_tilt_contrast_and_law_the_range_is_told_rightly_in_one_place() -> None:
    tilts = np.linspace(-0.4, 0.4, 9).tolist()
    contrasts = np.geomspace(600, 1e6, 12).tolist()
    exponents = (2.0, 2.1, 2.2, 2.3, 2.4, 2.5, 2.6)
    arrivals = ("full", "narrow", "narrow with headroom")
    false, missed, count = wrongly_told(arrivals, tilts, contrasts, exponents)
    assert (false, missed, count) == ([], [], 4536)
    false, _, _ = wrongly_told(arrivals, tilts, contrasts, exponents, rows=True)
    assert false == []


@pytest.mark.parametrize("parameters", [{"ends": "black"}, {"alone": "dark 1"}])
def test_dark_codes_that_all_read_alike_tell_no_range(parameters: dict[str, str]) -> None:
    black = dict.fromkeys(("dark 1", "dark 5", "dark 8"), 0.3)
    white = dict.fromkeys(("bright 8", "bright 6", "bright 1"), 300.0)
    given = [replace(each, parameters=parameters) for each in readings(black | white)]
    found = one(given)
    assert told(found)[1] == "unsure"
    assert any("dark codes read alike" in each for each in found.warnings)


def test_whites_above_white_are_called_likely_and_too_bright() -> None:
    codes = np.array(list(CODES.values()), float)
    light = 200 * np.maximum((codes - 16) / 219, 0) ** 2.4
    found = one(readings(dict(zip(CODES, np.round(light, 4).tolist(), strict=True))))
    assert told(found) == ("narrow range that shows whites above white", "likely")
    white = found.value("range-white-error")
    assert white is not None
    # code 255 as narrow range is 239 / 219 of white, to the power 2.4
    assert white.value == pytest.approx(23.3, abs=0.6)
    assert "too bright" in found.warnings[0]


def test_a_display_that_is_dark_throughout_is_unsure() -> None:
    for level in (0.0, 0.01):
        found = one(readings(dict.fromkeys(CODES, level)))
        assert told(found)[1] == "unsure"


@pytest.mark.parametrize("missing", ["dark 1", "dark 5", "dark 8"])
def test_too_few_codes_say_which_are_wanted(missing: str) -> None:
    light = display_light("full", np.random.default_rng(1), contrast=3000)
    del light[missing]
    found = one(readings(light))
    assert found.title == "Range: not known"
    assert any("it takes codes 1, 16 and 28, 235 and 254" in each for each in found.warnings)


def test_ten_bits_are_told_alike_and_other_transfers_are_left_alone() -> None:
    light = display_light("narrow", np.random.default_rng(2), contrast=3000)
    found = one(readings(light, "narrow", bits=10))
    assert told(found) == ("narrow", "sure")
    assert [value.where["code"] for value in found.values if value.where][:3] == [4, 64, 112]
    given = readings(light)
    for each in given:
        each.signal["transfer"] = "pq"
    assert findings_from(given, ["range-mismatch"]) == []


def in_run(run: int, given: list[Measured], **changes: Any) -> list[Measured]:
    """Readings as those of a run, numbered after it."""
    return [replace(r, run=run, reading=100 * run + r.step, **changes) for r in given]


def doubted(given: list[Measured]) -> set[int]:
    """The runs of which a mismatch puts readings in doubt."""
    found = findings_from(given, ["range-mismatch"])
    runs = {each.reading: each.run for each in given}
    return {runs[id_] for each in found if each.doubt is not None for id_ in each.doubt.readings}


def test_a_mismatch_puts_in_doubt_what_was_read_over_that_link_until_a_check_finds_none() -> None:
    right = display_light("full", np.random.default_rng(5), contrast=3000)
    wrong = display_light("narrow", np.random.default_rng(5), contrast=3000)
    field = [made(1, signal=readings(right)[0].signal, luminance=90.0)]
    narrow = [replace(field[0], signal={**field[0].signal, "range": "narrow"})]
    before, after = in_run(1, field), in_run(3, field)
    check = in_run(2, readings(wrong))
    assert doubted(before + check + after + in_run(4, narrow)) == {1, 2, 3}
    assert doubted(before + check + in_run(3, field, output="files")) == {1, 2}
    assert doubted(check + after + in_run(4, readings(right)) + in_run(5, field)) == {2, 3}
    assert doubted(in_run(1, readings(right)) + check + before + after) == {2, 3}
    assert doubted(before + in_run(2, readings(right)) + after) == set()


def test_on_the_front_page_a_mismatch_is_first_and_nothing_read_under_it_is_good(
    tmp_path: Path,
) -> None:
    parameters = load_display("ticket-desk")
    pages = {}
    for link in ("follow", "narrow"):
        taken = parameters.link.model_copy(update={"range": link})
        display = SimulatedDisplay(parameters.model_copy(update={"link": taken}))
        path = tmp_path / f"{link}.visit"
        with open_or_create(path, name="lobby wall") as visit:
            for name in ("black-and-contrast", "uniformity-9", "path-check-8"):
                play_simulated(sequences.load(name), visit, display, canvas=Canvas(1920, 1080))
        pages[link] = summary(gather(path))
    first = pages["narrow"].of("bad")[0].sentence
    assert first == "Range: full is set, what arrives looks like narrow range (sure)"
    assert pages["narrow"].of("good") == []
    assert "The screen is evenly bright" in [s.sentence for s in pages["follow"].of("good")]
    notes = {figure.note for said in pages["narrow"].of("unsure") for figure in said.figures}
    assert "the range that arrived was not the one that is set" in notes
