"""An instrument described in a file: its name, its role, and what its maker promises."""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path

import pytest

import sequences
from player.cli import run as litfield
from player.commands.instruments import asked_instrument
from player.meters.base import MeterError
from player.meters.command import CommandMeter
from player.meters.instrument_file import Promises, load_instrument
from player.outcome import CommandError
from player.run.live import LiveRun
from player.run.unattended import instrument_of, typed_with
from readings.bounds import PROMISES
from readings.findings import findings_of
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

GOOD = """
name: spot meter
role: spot meter
specification:
  luminance_relative_uncertainty: 0.04
  luminance_floor: 0.002
  chromaticity_uncertainty: 0.006
"""
CONTRAST = """
title: Contrast of the lobby wall
signal: sdr8
finds: [contrast]
steps:
  - {show: {field: {level: 100 %}}, read: luminance, role: white}
  - {show: {field: {level: 0 %}}, read: luminance, role: black}
"""
PROMISED = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.002, chromaticity_uncertainty=0.006
)


def written(folder: Path, text: str, name: str = "spot.yaml") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_description_has_the_name_the_role_and_the_promises(tmp_path: Path) -> None:
    found = load_instrument(written(tmp_path, GOOD))
    assert (found.name, found.role, found.promised) == ("spot meter", "spot meter", PROMISED)


def test_a_name_stays_a_name_and_a_path_that_ends_in_yaml_is_a_description(tmp_path: Path) -> None:
    assert asked_instrument("spot meter", reference=True).role == "reference"
    assert asked_instrument("spot.meter", reference=False).specification is None
    found = asked_instrument(written(tmp_path, GOOD, "SPOT.YML"), reference=False)
    assert (found.name, found.role, found.specification) == ("spot meter", "spot meter", PROMISED)
    other = asked_instrument(written(tmp_path, GOOD), reference=True)
    assert other.role == "reference"


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("role: spot meter", "name: is missing"),
        ("name: 5", "name: should be a valid string"),
        ("name: ' '", "name: should be one line of plain text"),
        ("name: a\nrole: ruler", "role: should be 'spot meter' or 'reference'"),
        ("name: a\nspecification: {floor: 1}", "specification.floor: is not known here"),
        ("name: a\nspecification: {luminance_floor: -1}", "luminance_floor: should be greater"),
        ("name: a\nspecification: {luminance_floor: 2 %}", "0.002, or '0.002 cd/m2', not '2 %'."),
        ("name: a\nspecification: {luminance_floor: true}", "such as 0.002, or '0.002 cd/m2', not"),
        ("name: a\nspecification: [1]", "specification: should be a mapping"),
        ("name: [", "is not YAML"),
        ("spot meter", "it is no mapping of names"),
        ("", "it is no mapping of names"),
    ],
)
def test_each_mistake_is_one_sentence_with_its_place(
    tmp_path: Path, text: str, reason: str
) -> None:
    with pytest.raises(MeterError) as caught:
        load_instrument(written(tmp_path, text))
    said = str(caught.value)
    assert reason in said
    assert said.count("\n") == 0
    assert said.endswith(".")


SHARE = "should be a share of the reading such as 0.04, or '4 %'"
LIGHT = "should be a luminance such as 0.002, or '0.002 cd/m2'"
COLOUR = "should be a difference of x and y such as 0.006"


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        (
            "luminance_relative_uncertainty",
            "4",
            "4 would be 400 %: where 4 % is meant, write 0.04 or '4 %'",
        ),
        ("luminance_relative_uncertainty", "0.9", "where 0.9 % is meant, write 0.009 or '0.9 %'"),
        ("luminance_relative_uncertainty", "5000", f"{SHARE}, at most 0.5, not 5000"),
        ("luminance_relative_uncertainty", "60 %", "0.6 would be 60 %"),
        ("luminance_relative_uncertainty", "4 percent", f"{SHARE}, not '4 percent'"),
        ("luminance_relative_uncertainty", "1e-320", "should be at least 1e-05"),
        ("luminance_relative_uncertainty", ".inf", "should be a finite number, a share"),
        ("luminance_relative_uncertainty", "1" + "0" * 400, "should be a finite number, a share"),
        ("luminance_floor", "5000", f"{LIGHT}, at most 1000, not 5000"),
        ("luminance_floor", "1e-320", "should be at least 1e-09"),
        ("luminance_resolution", "1e9", f"{LIGHT}, at most 100, not 1e+09"),
        ("chromaticity_uncertainty", "6", f"{COLOUR}, at most 0.1, not 6"),
        ("chromaticity_uncertainty", "0.6 %", f"{COLOUR}, not '0.6 %'"),
        ("chromaticity_resolution", "1", f"{COLOUR}, at most 0.1, not 1"),
        ("luminance_repeatability", "2", "2 would be 200 %: where 2 % is meant, write 0.02"),
        ("luminance_noise", "11", f"{LIGHT}, at most 10, not 11"),
        ("chromaticity_repeatability", "0.2", f"{COLOUR}, at most 0.1, not 0.2"),
    ],
)
def test_a_promise_that_no_meter_makes_is_refused_and_says_what_is_meant(
    tmp_path: Path, name: str, given: str, said: str
) -> None:
    text = f"name: a\nspecification: {{{name}: {given}}}"
    with pytest.raises(MeterError) as caught:
        load_instrument(written(tmp_path, text))
    assert f"specification.{name}: " in str(caught.value)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("name", "given", "value"),
    [
        ("luminance_relative_uncertainty", "4 %", 0.04),
        ("luminance_relative_uncertainty", "'2,5%'", 0.025),
        ("luminance_relative_uncertainty", "'0.04'", 0.04),
        ("luminance_relative_uncertainty", "0.5", 0.5),
        ("luminance_floor", "0.002 cd/m2", 0.002),
        ("luminance_noise", "2e-4 cd/m²", 0.0002),
        ("luminance_resolution", "1", 1.0),
        ("chromaticity_uncertainty", "0.006", 0.006),
        ("chromaticity_resolution", "null", None),
    ],
)
def test_a_promise_may_be_written_with_its_unit(
    tmp_path: Path, name: str, given: str, value: float | None
) -> None:
    found = load_instrument(written(tmp_path, f"name: a\nspecification: {{{name}: {given}}}"))
    assert getattr(found.promised, name) == value


def test_a_description_knows_every_promise_and_its_bounds() -> None:
    names = {field.name for field in fields(Specification)}
    assert names == Promises.model_fields.keys() == PROMISES.keys()


def test_a_file_that_is_not_there_is_told_before_the_visit_is_made(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    visit = tmp_path / "lobby.visit"
    asked = ["play", "near-black", "--visit", str(visit), "--instrument", "none.yaml"]
    assert litfield(asked) == 2
    said = capfd.readouterr().err
    assert said.startswith("--instrument: none.yaml cannot be read (No such file")
    assert len(said.splitlines()) == 1
    assert not visit.exists()


def test_spaces_are_no_instrument() -> None:
    with pytest.raises(CommandError, match="nothing but spaces"):
        asked_instrument("  ", reference=False)


def test_typed_readings_have_the_specification_of_their_file(tmp_path: Path, visit: Visit) -> None:
    asked_instrument(written(tmp_path, GOOD), reference=False).keep_in(visit)
    # as the windows then ask for it, by its name alone
    assert typed_with(visit, "spot meter").specification == PROMISED
    assert len(visit.instruments()) == 1


def test_a_visit_that_knows_the_name_keeps_the_specification(visit: Visit) -> None:
    typed_with(visit, "spot meter", specification=PROMISED)
    by_program = instrument_of(visit, CommandMeter("read-spot"), name="spot meter")
    assert (by_program.kind, by_program.specification) == ("command", PROMISED)
    assert typed_with(visit, "another").specification == Specification()


def test_a_specification_that_is_said_anew_goes_before_the_one_that_was_kept(visit: Visit) -> None:
    better = Specification(luminance_relative_uncertainty=0.02)
    typed_with(visit, "spot meter", specification=PROMISED)
    typed_with(visit, "spot meter", specification=better)
    assert typed_with(visit, "spot meter").specification == better


def test_a_program_has_the_specification_of_the_file_beside_it() -> None:
    from player.commands.metering import Metering, MeterWishes

    wishes = MeterWishes(
        meter_name=f"command:{sys.executable}",
        meter_timeout=None,
        repeat="3-9",
        steady=(),
        repeat_below=None,
        dark_offset=False,
    )
    metering = Metering(wishes, on_simulated=False, specification=PROMISED)
    assert metering.meter is not None
    assert metering.meter.specification == PROMISED


def test_a_finding_of_typed_readings_states_an_uncertainty_with_a_file_and_none_without(
    tmp_path: Path, visit: Visit
) -> None:
    text = GOOD.replace("chromaticity", "luminance_resolution: 0.0001\n  chromaticity", 1)
    found = []
    for said in ("unknown", written(tmp_path, text)):
        asked = asked_instrument(said, reference=False)
        asked.keep_in(visit)
        sequence = sequences.load_text(CONTRAST, "lobby.yaml")
        run = LiveRun(
            sequence,
            visit,
            RecordingOutput(),
            condition=said,
            typed_with=typed_with(visit, asked.name).id,
            clock=Clock(1.0),
        )
        run.begin()
        assert run.enter("400")
        assert run.enter("0,05")
        run.leave()
        found.append(next(each for each in findings_of(visit) if each.run == run.id))
    without, with_file = (finding.values[0] for finding in found)
    assert (without.value, without.uncertainty) == (8000, None)
    # 4 % of both, which one instrument shares in part; never less than what the last digit hides
    assert with_file.uncertainty is not None
    assert 0 < with_file.uncertainty < 0.06 * 8000
