"""``litfield check``: what it remarks on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import sequences
from player.cli import run

AT_ONCE = ": with settle: 0 s a meter reads at once, before the light has settled."


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        (["show: {field: {}}, read: luminance, settle: 0 s"], f"Step 1{AT_ONCE}"),
        (["show: {field: {}}, read: luminance"], ""),
        (
            [
                "show: {field: {}}, read: luminance, settle: 2 s",
                "show: {field: {}}, read: {colour: box 1}, settle: 0 s",
                "show: {field: {}}, read: luminance, settle: 0 s",
            ],
            f"Step 2 and 1 more{AT_ONCE}",
        ),
        (["show: {field: {}}, read: luminance, settle: 1 ms"], ""),
        (["show: {field: {}}, read: count"], ""),  # an eye sees for itself
        (["show: {field: {}}"], ""),
        (["show: {pulse: {}}, read: luminance"], ""),  # never stands still
        (["show: {moving-box: {}}, read: tally"], ""),
    ],
)
def test_a_meter_that_does_not_wait_for_a_still_picture_is_remarked_on(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], steps: list[str], told: str
) -> None:
    path = tmp_path / "lobby.yaml"
    text = "".join(f"  - {{{step}}}\n" for step in steps)
    path.write_text(f"title: Lobby wall\nsignal: sdr8\nsteps:\n{text}", "utf-8")
    assert run(["check", str(path), "--json"]) == 0
    assert json.loads(capfd.readouterr().out)[0]["remarks"] == [told] * bool(told)
    assert run(["check", str(path)]) == 0
    shown = " ".join(capfd.readouterr().out.split())
    assert (AT_ONCE[2:30] in shown) is bool(told)


def test_every_shipped_sequence_lets_the_light_settle(capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["check", *sequences.shipped(), "--json", "--size", "1280x720"]) == 0
    listed = json.loads(capfd.readouterr().out)
    assert len(listed) == len(sequences.shipped())
    assert not [each["title"] for each in listed if AT_ONCE in " ".join(each["remarks"])]


def test_what_a_person_needs_to_know_at_the_screen_is_printed(
    capfd: pytest.CaptureFixture[str],
) -> None:
    told = sequences.load("geometry").at_the_screen
    assert run(["check", "geometry", "--size", "1280x720"]) == 0
    shown = " ".join(capfd.readouterr().out.split())
    assert f"At the screen: {' '.join(told)}" in shown
    assert run(["check", "geometry", "--json", "--size", "1280x720"]) == 0
    assert json.loads(capfd.readouterr().out)[0]["at_the_screen"] == list(told)
    assert run(["check", "greyscale-11", "--size", "1280x720"]) == 0
    assert "At the screen" not in capfd.readouterr().out
