"""Readings whose meter nobody named: what is far from a limit is told, and on what it rests."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from readings.evidence.assumed import ASSUMED, with_assumption
from readings.evidence.measured import evidence
from readings.report import gather, write_report
from readings.report.summary import Summary, summary
from readings.report.wording import display_rows
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit

SIGNAL = {"transfer": "bt1886", "bits": 10, "range": "narrow", "primaries": "bt709"}
PLAN = PlannedRun(
    sequence_title="Lobby wall",
    sequence_text="title: Lobby wall\n",
    sequence_source="lobby.yaml",
    condition="",
    signal_asked=SIGNAL,
    signal_shown=SIGNAL,
    canvas=(3840, 2160),
    output="window",
)
CODES = {"white": (940, 940, 940), "black": (64, 64, 64)}
SPOT = Specification(
    luminance_relative_uncertainty=0.04,
    luminance_resolution=0.001,
    luminance_floor=0.002,
    chromaticity_uncertainty=0.006,
)


def made(path: Path, white: str, black: str, specification: Specification | None = None) -> Path:
    """A visit of a full white and a full black, typed; with a meter where it has promises."""
    steps = [
        PlannedStep(label=role, role=role, kind="field", parameters={}, quantity="luminance")
        for role in ("white", "black")
    ]
    with Visit.create(path, display="lobby wall") as visit:
        meter = None
        if specification is not None:
            meter = visit.add_instrument(
                "spot meter", kind="typed", role="spot meter", specification=specification
            ).id
        run = visit.start_run(PLAN, steps)
        for number, (role, raw) in enumerate((("white", white), ("black", black)), 1):
            shown = Shown(inks={"level": CODES[role]}, frame_sha256="ab" * 32, guard="verified")
            value = Value(quantity="luminance", raw=raw, luminance=float(raw))
            visit.keep_reading(
                visit.keep_showing(run.id, number, shown).id, value, instrument=meter
            )
    return path


def told(path: Path) -> Summary:
    return summary(gather(path))


@pytest.mark.parametrize(
    ("white", "black", "verdict", "sentence", "figure"),
    [
        ("604.0", "0.040", "good", "Black is deep against full white", "15\u202f100:1 ± not known"),
        ("604.0", "1.50", "bad", "Black is raised against full white", "403:1 ± not known"),
        # 10 % above and 10 % below do not reach 1000:1 for sure
        ("604.0", "0.56", "unsure", "Whether black is deep against full white cannot be told",
         "1080:1 ± not known"),
        # black may be anything up to the floor that is assumed: 1060:1, and white is 10 % unsure
        ("53.0", "0.010", "unsure", "Whether black is deep against full white cannot be told",
         "5300:1 ± not known"),
    ],
)  # fmt: skip
def test_without_a_named_meter_only_what_is_far_from_its_limit_is_judged(
    tmp_path: Path, white: str, black: str, verdict: str, sentence: str, figure: str
) -> None:
    found = told(made(tmp_path / "lobby.visit", white, black))
    (said,) = [each for each in found.statements if "full white" in each.sentence]
    assert (said.verdict, said.sentence) == (verdict, sentence)
    assert said.held == "at least 1000:1 (a limit of our own)"
    assert said.assumed == (verdict != "unsure")
    assert [(each.text, each.note) for each in said.figures] == [(figure, "")]
    assert ("assumption of our own" in found.unpromised) == said.assumed


@pytest.mark.parametrize(
    ("white", "black", "specification", "verdict", "figure", "assumed"),
    [
        # 604 over the floor that is assumed, 0.05 cd/m2
        ("604.0", "0.000", None, "good", "at least 12\u202f100:1", True),
        ("604.0", "0", None, "unsure", "at least 604:1", False),
        ("40.0", "0.0", None, "unsure", "at least 400:1", False),
        ("604.0", "0.000", Specification(), "good", "at least 12\u202f100:1", True),
        ("604.0", "0.000", Specification(luminance_relative_uncertainty=0.04), "good",
         "at least 12\u202f080:1 ± 480", True),
        ("604.0", "0.000", SPOT, "good", "at least 302\u202f000:1 ± 12\u202f000", False),
    ],
)  # fmt: skip
def test_a_black_of_zero_is_told_as_below_what_the_meter_shows_and_what_to_do(
    tmp_path: Path,
    white: str,
    black: str,
    specification: Specification | None,
    verdict: str,
    figure: str,
    assumed: bool,
) -> None:
    found = told(made(tmp_path / "lobby.visit", white, black, specification))
    (said,) = [each for each in found.statements if "full white" in each.sentence]
    assert (said.verdict, said.assumed) == (verdict, assumed)
    note = (
        "the full black is below what the meter shows: to know more, read it again with all the "
        "digits that the meter has, in its slowest mode, or with a meter that reads darker"
    )
    assert [(each.text, each.note) for each in said.figures] == [(figure, note)]
    assert ("up to 0.05 cd/m² wrongly" in found.unpromised) == assumed


def test_the_page_says_what_rests_on_the_assumption_and_what_to_do_once(tmp_path: Path) -> None:
    path = made(tmp_path / "lobby wall.visit", "604.0", "0.040")
    write_report([path], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert (
        page.count("It rests on an assumed meter, as how far the real one errs is not known.") == 1
    )
    assert page.count("litfield name") == 1
    assert re.search(
        r"No meter is named for 2 readings of run 1, so .*litfield name (&#39;|')lobby wall.visit"
        r"(&#39;|') --instrument spot-meter.yaml.*errs by no more than 10 % and 0.02 in x and y, "
        r"and may read anything up to 0.05 cd/m² wrongly",
        page,
    )
    assert "nothing can be said for sure" not in page


def test_the_values_themselves_stay_without_an_uncertainty(tmp_path: Path) -> None:
    path = made(tmp_path / "lobby.visit", "604.0", "0.040")
    write_report([path], tmp_path / "report")
    data = json.loads((tmp_path / "report" / "findings.json").read_text("utf-8"))
    (contrast,) = [f for f in data["visits"][0]["findings"] if f["name"] == "contrast"]
    assert {value["uncertainty"] for value in contrast["values"]} == {None}
    assert {value["bound"] for value in contrast["values"]} == {None}
    assert contrast["values"][0]["value"] == 15100


def test_a_named_meter_is_judged_by_its_own_promises_alone(tmp_path: Path) -> None:
    found = told(made(tmp_path / "lobby.visit", "604.0", "0.56", SPOT))
    assert found.unpromised == ""
    assert not any(each.assumed for each in found.statements)
    floor = Specification(luminance_floor=0.002)
    lacking = told(made(tmp_path / "other.visit", "604.0", "0.040", floor))
    (said,) = [each for each in lacking.statements if "full white" in each.sentence]
    assert (said.verdict, said.assumed, lacking.unpromised) == ("unsure", False, "")
    assert said.figures[0].note == "without its uncertainty nothing can be said for sure"


@pytest.mark.parametrize(
    ("black", "verdict"), [("0.040", "good"), ("1.50", "bad"), ("0.56", "unsure")]
)
def test_a_meter_named_without_promises_is_assumed_like_one_that_nobody_named(
    tmp_path: Path, black: str, verdict: str
) -> None:
    nameless = told(made(tmp_path / "nameless.visit", "604.0", black))
    path = made(tmp_path / "named.visit", "604.0", black, Specification())
    found = told(path)
    assert found.statements == nameless.statements
    (said,) = [each for each in found.statements if "full white" in each.sentence]
    assert (said.verdict, said.assumed) == (verdict, verdict != "unsure")
    assert found.unpromised.startswith(
        "What the maker of spot meter promises is not known, so neither is the uncertainty of 2 "
        "readings of run 1: write it into a file, and name that with \u201c--instrument\u201d when "
        "you measure again."
    )
    assert ("assumption of our own" in found.unpromised) == said.assumed
    (contrast,) = [each for each in gather(path).findings if each.name == "contrast"]
    assert [value.uncertainty for value in contrast.values] == [None] * len(contrast.values)


def test_once_the_meter_is_named_the_assumption_is_gone(tmp_path: Path) -> None:
    path = made(tmp_path / "lobby.visit", "604.0", "0.56")
    with Visit.open(path, write=True) as visit:
        meter = visit.add_instrument(
            "spot meter", kind="typed", role="spot meter", specification=SPOT
        )
        visit.name_instrument(meter.id, [1, 2])
    contents = gather(path)
    assert contents.assumed == []
    found = summary(contents)
    assert found.unpromised == ""
    (said,) = [each for each in found.statements if "full white" in each.sentence]
    assert said.figures[0].text == "1079:1 ± 61"
    (spot,) = [text for name, text in display_rows(contents) if name == "Spot meter"]
    assert spot.endswith(". Named afterwards for 2 readings.")


def test_what_is_not_good_with_an_assumed_meter_alone_is_said_so_in_short_too(
    tmp_path: Path,
) -> None:
    found = told(made(tmp_path / "lobby.visit", "604.0", "1.50"))
    assert found.in_short() == (
        "Not good: Black is raised against full white (with an assumed meter)."
    )


def test_the_last_digits_of_the_assumed_meter_are_those_that_were_typed(tmp_path: Path) -> None:
    with Visit.open(made(tmp_path / "lobby.visit", "604", "0.04"), write=False) as visit:
        white, black = with_assumption(evidence(visit))
    assert white.meter is None
    assert white.specification is not None
    assert black.specification is not None
    assert white.specification.luminance_resolution == 1.0
    assert black.specification.luminance_resolution == 0.01
    assert white.specification.luminance_floor == ASSUMED.luminance_floor == 0.05


@pytest.mark.parametrize(
    ("raw", "luminance", "colour"),
    [
        ("100,2 0,312 0.33", 0.1, 0.01),
        ("100", 1.0, None),
        ("0,25 cd/m2", 0.01, None),
        ("5.", 1.0, None),
        (",5", 0.1, None),
        ("Yxy 451.0 0.3109 0.3267", 0.1, 0.0001),
        ("about 100", None, None),
        ("1e2", None, None),
    ],
)
def test_of_a_text_that_is_more_than_plain_numbers_no_last_digit_is_assumed(
    tmp_path: Path, raw: str, luminance: float | None, colour: float | None
) -> None:
    with Visit.open(made(tmp_path / "lobby.visit", "604", "0.04"), write=False) as visit:
        typed = replace(evidence(visit)[0], raw=raw)
    (assumed,) = with_assumption([typed])
    assert assumed.specification == replace(
        ASSUMED, luminance_resolution=luminance, chromaticity_resolution=colour
    )
