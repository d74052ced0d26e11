"""Zones counted on a real screen by real keys, before a backlight that the player cannot know."""

from __future__ import annotations

import json
import re
from pathlib import Path

from player.cli import run as litfield
from player.simulated import SimulatedDisplay, parse_display
from readings.findings import findings_of
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing
from tests.player.zone_watcher import Watcher

WIDTH, HEIGHT = 640, 480
BESIDE = 640
SEQUENCE = """
title: Zones of the lobby wall
signal: sdr8
finds: [zones]
steps:
  - each: {direction: [forward, backward]}
    show: {moving-box: {along: row, place: 51.5 %, speed: 8 s/screen, ends: stop}}
    read: {tally: hops from column to column}
  - each: {direction: [forward, backward]}
    show: {moving-box: {along: column, place: 51.5 %, speed: 7 s/screen, ends: stop}}
    read: {tally: hops from row to row}
  - show: {comb: {along: columns, spacing: 3, zones: 16, place: 51.5 %}}
    read: {count: groups}
  - show: {comb: {along: rows, spacing: 3, zones: 16, place: 51.5 %}}
    read: {count: groups}
"""
DISPLAY = """
name: lobby wall
peak: 1000
responses: {bt1886: {white: 400}}
light: {kind: zoned, contrast: 4000, columns: 14, rows: 12, halos: [{radius: 1.5, share: 1.0}]}
"""


def test_a_zone_count_by_keys_ends_with_the_right_count_in_the_visit_and_the_report(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit = tmp_path / "zones.yaml", tmp_path / "lobby.visit"
    path.write_text(SEQUENCE)
    display = SimulatedDisplay(parse_display(DISPLAY, "lobby.yaml"))
    env = screen_env(BESIDE + WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), halves=BESIDE) as player:
        player.shows(1)
        watcher = Watcher(player, visit, display, (BESIDE, 0, WIDTH, HEIGHT))
        while (step := watcher.step()) is not None:
            if step == "moving-box":
                watcher.crawl()
            else:
                watcher.comb()
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        (found,) = findings_of(kept, ["zones"])
        presses = [(tally.axis, tally.direction) for tally in kept.tallies()]
    assert {value.name: value.value for value in found.values} == {
        "zones": 168.0,
        "zone-columns": 14.0,
        "zone-rows": 12.0,
    }
    assert presses.count(("horizontal", "forward")) == 13
    assert presses.count(("vertical", "backward")) == 11
    report = tmp_path / "report"
    assert litfield(["report", str(visit), "--to", str(report)]) == 0
    page = re.sub("<[^>]+>", " ", (report / "report.html").read_text())
    assert re.search(r"Columns of zones\s+14\s", page)
    (settled,) = json.loads((report / "findings.json").read_text())["visits"][0]["findings"]
    counts = {value["name"]: (value["value"], value["set95"]) for value in settled["values"]}
    assert counts["zones"] == (168, [168])
