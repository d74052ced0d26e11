"""What arrives is told from what is set, by a few luminances, and never more surely than it is."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import sequences
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
    # a black of 1/500 drowns the step of code 16, so half of these stay unsure
    enough = {"narrow": 0.8, "full": 0.8 if contrast > 1000 else 0.3}
    for name, share in enough.items():
        assert seen[name, "right", "sure"] + seen[name, "right", "likely"] >= share * count


@pytest.mark.campaign
def test_many_displays_are_hardly_ever_taken_wrongly() -> None:
    for contrast in (300.0, 1000.0, 5000.0, 1e6):
        seen = trials(200, contrast)
        wrong = sum(seen[what] for what in seen if what[1:] == ("wrong", "sure"))
        assert wrong <= 2, seen


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
