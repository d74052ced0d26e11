"""Real keys, one after another without a look, in real windows: each entry is kept or refused."""

from __future__ import annotations

import json
import random
import subprocess
from pathlib import Path

import pytest

from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, until
from tests.player.typist import sequence_of

pytestmark = pytest.mark.gl

WIDTH, HEIGHT = 320, 180
BESIDE = 640


def entries(many: int, seed: int) -> list[list[str]]:
    """Keys of so many entries: numbers that every kind of reading takes, and notes among them."""
    chance = random.Random(seed)  # noqa: S311 - no secret
    found = []
    for place in range(many):
        digits = [str(chance.randint(1, 9)) for _ in range(chance.choice((1, 1, 1, 2)))]
        note = ["Tab", *chance.choice(("lamp", "door", "glare")), *digits]
        found.append([*(note if place % 9 == 8 else digits), "Return"])
    return found


def typed_blindly(
    env: dict[str, str], folder: Path, pace: float, many: int, *, screens: int = 2
) -> tuple[int, int]:
    """Type so many entries; how many were kept, and refused. Fails where one is neither."""
    path, visit, log = (folder / name for name in ("all.yaml", "lobby.visit", "entries"))
    choices = ", ".join(f"choice {letter}" for letter in "abcdefghi")
    path.write_text(sequence_of(40).replace("[even, odd]", f"[{choices}]"))
    typed = entries(many, seed=round(1000 * pace))
    options = {"sequence": str(path), "visit": str(visit), "entries": str(log)}
    # nothing flashes here; to work that out for forty boxes takes a minute
    options |= {"overrides": {"flashing_confirmed": True}}
    options |= {"halves": BESIDE} if screens == 2 else {}
    with Playing(env, folder, **options) as player:
        player.shows(1)
        keys = [key for entry in typed for key in entry]
        command = ["xdotool", "key", "--delay", str(round(1000 * pace)), *keys]
        subprocess.run(command, env=env, check=True, timeout=1200)
        until(lambda: log.exists() and log.read_text().count("\n") == many, "all was taken")
        player.running()
    told = [json.loads(line) for line in log.read_text().splitlines()]
    texts = ["".join(key for key in entry if len(key) == 1) for entry in typed]
    assert [each["text"] for each in told] == texts, "nothing is lost, or under what comes next"
    with Visit.open(visit, write=False) as kept:
        readings, notes = kept.readings(replaced=True), kept.notes()
        shown = {each.id: each for each in kept.showings()}
    raws, refused = iter(readings), 0
    for each in told:
        if each["readings"]:
            reading = next(raws)
            assert reading.raw == each["text"]
            showing = shown[reading.showing]
            # of a box that moves the frame that it began with is kept
            moving = kept_of_box(showing.facts)
            assert moving or showing.frame_sha256 == each["frame"], "of what was on screen"
        elif each["line"] == "reading":
            assert each["not_kept"][-1] == each["text"]
            assert each["alert"], "and it is told why"
            refused += 1
    assert next(raws, None) is None
    typed_notes = [each["text"] for each in told if each["line"] == "note"]
    # the player writes notes too: of the strip, of doubts, of a machine that stood still
    assert [note.text for note in notes if note.text in set(typed_notes)] == typed_notes
    return len(readings), refused


def kept_of_box(facts: dict[str, object]) -> bool:
    return "box" in facts


@pytest.mark.parametrize(("pace", "many", "screens"), [(0.06, 45, 2), (0.16, 30, 1)])
def test_what_is_typed_blindly_is_kept_for_what_was_on_screen_or_refused(
    screen_env: Environment, tmp_path: Path, pace: float, many: int, screens: int
) -> None:
    env = screen_env(BESIDE * (screens - 1) + WIDTH, HEIGHT * screens, 24)
    kept, refused = typed_blindly(env, tmp_path, pace, many, screens=screens)
    assert kept >= many // 5
    assert kept + refused == many - many // 9


@pytest.mark.campaign
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("pace", [0.06, 0.1, 0.16, 0.25, 0.4])
def test_two_thousand_readings_typed_blindly_are_kept_or_refused(
    screen_env: Environment, tmp_path: Path, pace: float
) -> None:
    env = screen_env(BESIDE + WIDTH, 2 * HEIGHT, 24)
    kept, refused = typed_blindly(env, tmp_path, pace, 450)
    assert kept + refused == 400
    (tmp_path / "counts").write_text(f"{pace} s a key: {kept} kept, {refused} refused\n")
