"""The gate that every change of the picture goes through, alone and in front of a run."""

from __future__ import annotations

import ast
import itertools
import random
from collections import Counter
from pathlib import Path

import pytest

import player
from player.run.gate import Gate
from player.run.live import LiveRun
from readings.visit.visit import Visit
from tests.player.flashing_rule import most_flashes
from tests.player.recording import Clock, RecordingOutput, run_of

EACH = """
title: Black and white by turns
signal: sdr8
steps:
  - each: {level: [0 %, 100 %, 0 %, 100 %, 0 %, 100 %, 0 %, 100 %]}
    show: {field: {}}
    read: luminance
  - show: {comb: {zones: 20, spacing: 3}}
    read: {count: groups}
"""


class Screen:
    """Takes down when it was changed, and with what."""

    def __init__(self, clock: Clock) -> None:
        self.clock = clock
        self.changes: list[tuple[float, str]] = []

    def show(self, name: str) -> None:
        self.changes.append((self.clock.now, name))


@pytest.fixture
def screen(clock: Clock) -> Screen:
    return Screen(clock)


@pytest.fixture
def gate(clock: Clock) -> Gate:
    return Gate(clock)


def test_the_first_change_is_made_at_once_and_the_next_one_waits_360_ms(
    gate: Gate, screen: Screen, clock: Clock
) -> None:
    assert gate.ask(lambda: screen.show("first"))
    clock.now = 0.1
    assert not gate.ask(lambda: screen.show("second"))
    assert gate.waits
    assert gate.left == 0.26
    clock.now = 0.35
    assert not gate.beat()
    clock.now = 0.36
    assert gate.beat()
    assert not gate.waits
    assert screen.changes == [(0.0, "first"), (0.36, "second")]


def test_of_several_that_are_asked_for_the_last_one_comes(
    gate: Gate, screen: Screen, clock: Clock
) -> None:
    for name in ("first", "second", "third"):
        gate.ask(lambda name=name: screen.show(name))
    clock.now = 1.0
    assert gate.beat()
    assert not gate.beat()
    assert screen.changes == [(0.0, "first"), (1.0, "third")]


def test_now_is_now_or_never_and_leaves_what_waits(
    gate: Gate, screen: Screen, clock: Clock
) -> None:
    assert gate.now(lambda: screen.show("strip"))
    gate.ask(lambda: screen.show("step"))
    assert not gate.now(lambda: screen.show("never"))
    clock.now = 0.4
    assert gate.beat()
    assert screen.changes == [(0.0, "strip"), (0.4, "step")]


def test_what_changed_beside_the_picture_is_no_reason_to_refuse_a_key(
    gate: Gate, screen: Screen, clock: Clock
) -> None:
    gate.ask(lambda: screen.show("first"))
    clock.now = 0.35
    assert gate.fresh
    clock.now = 0.36
    assert not gate.fresh
    gate.now(lambda: screen.show("strip"))
    assert not gate.fresh
    assert gate.left == 0.36
    gate.black(lambda: screen.show("black"))
    assert gate.fresh
    clock.now = 2.0
    gate.now(lambda: screen.show("strip"))
    gate.ask(lambda: screen.show("second"))
    clock.now = 2.37
    assert gate.beat()
    assert not gate.fresh, "it was asked for long enough ago, though it came up only now"


def test_black_comes_at_once_and_what_follows_waits_as_if_it_had_not(
    gate: Gate, screen: Screen, clock: Clock
) -> None:
    gate.ask(lambda: screen.show("white"))
    clock.now = 0.05
    gate.black(lambda: screen.show("black"))
    assert gate.left == 0.67
    clock.now = 0.7
    assert not gate.now(lambda: screen.show("white"))
    clock.now = 0.72
    assert gate.now(lambda: screen.show("white"))
    clock.now = 5.0
    gate.black(lambda: screen.show("black"))
    assert gate.left == 0.36


def test_black_lets_what_waits_go_on_waiting(gate: Gate, screen: Screen, clock: Clock) -> None:
    gate.ask(lambda: screen.show("first"))
    gate.ask(lambda: screen.show("second"))
    gate.black(lambda: screen.show("black"))
    assert gate.waits
    clock.now = 0.72
    assert gate.beat()
    assert [name for _, name in screen.changes] == ["first", "black", "second"]


def test_a_change_that_fails_counts_and_is_not_made_again(gate: Gate) -> None:
    def fail() -> None:
        raise ValueError("the disk is full")

    with pytest.raises(ValueError, match="full"):
        gate.ask(fail)
    assert not gate.waits
    assert gate.left == 0.36
    with pytest.raises(ValueError, match="full"):
        gate.black(fail)
    assert gate.left == 0.72


def test_whatever_is_asked_of_it_white_and_black_by_turns_flash_no_more_than_thrice(
    screen: Screen, clock: Clock
) -> None:
    """The flashing rule knows nothing of the gate: it is given what was up, and when."""
    chance = random.Random(20261130)  # noqa: S311 - no secret
    gate = Gate(clock)
    for _ in range(4000):
        clock.now += chance.choice((0.002, 0.03, 0.1, 0.4))
        light = chance.choice(("white", "black"))
        what = chance.randrange(4)
        if what == 0:
            gate.ask(lambda light=light: screen.show(light))
        elif what == 1:
            gate.now(lambda light=light: screen.show(light))
        elif what == 2 and screen.changes and screen.changes[-1][1] == "white":
            gate.black(lambda: screen.show("black"))
        else:
            gate.beat()
    levels = [(at, float(name == "white")) for at, name in screen.changes]
    assert len(levels) > 400
    assert most_flashes(levels) <= 3


class TimedOutput(RecordingOutput):
    """Takes down the light of each picture, and when it came up."""

    def __init__(self, clock: Clock) -> None:
        super().__init__()
        self.clock = clock
        self.lights: list[tuple[float, float]] = []

    def show(self, frame):
        self.lights.append((self.clock.now, float(frame.rows.mean() > 0)))
        return super().show(frame)

    def blackout(self) -> None:
        self.lights.append((self.clock.now, 0.0))
        super().blackout()


def anything(live: LiveRun, chance: random.Random) -> None:
    """One thing that an operator, a desktop or a clock may ask of a run."""
    chance.choice(
        [
            live.go_on,
            live.back,
            live.again,
            live.blackout,
            lambda: live.enter("1"),
            lambda: live.enter(""),
            lambda: live.go_to(chance.randint(1, 9)),
            lambda: live.take_minutes(chance.choice([None, 5.0]), stay=False),
            lambda: live.resume("It is back."),
            live.screen.beat,
            live.screen.beat,
        ]
    )()


@pytest.mark.parametrize("seed", range(3))
def test_nothing_that_a_run_does_flashes_more_than_thrice_a_second(
    visit: Visit, clock: Clock, seed: int
) -> None:
    chance = random.Random(seed)  # noqa: S311 - no secret
    output = TimedOutput(clock)
    live = run_of(EACH, visit, clock, output)
    for _ in range(400):
        clock.now += chance.choice((0.001, 0.01, 0.05, 0.2))
        anything(live, chance)
    assert len(output.lights) > 40
    assert most_flashes(output.lights) <= 3
    whites = [at for at, light in output.lights if light]
    apart = [later - earlier for earlier, later in itertools.pairwise(whites)]
    assert min(apart) >= 0.36 - 1e-6


def test_only_behind_the_gate_is_a_picture_put_up() -> None:
    """Whoever calls an output's show or blackout elsewhere goes round the gate."""
    found = set()
    for path in Path(player.__file__).parent.rglob("*.py"):
        tree = ast.parse(path.read_text())
        for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
            for node in ast.walk(function):
                if (
                    isinstance(node, ast.Attribute)
                    and node.attr in ("show", "blackout")
                    and isinstance(node.value, ast.Attribute)
                    and node.value.attr in ("output", "_output")
                ):
                    found.add((path.name, function.name, node.attr))
    assert found == {
        ("screen.py", "show", "show"),
        ("screen.py", "put", "show"),
        ("screen.py", "black", "blackout"),
        ("simulated_eye.py", "_crawl", "show"),  # the next frame of a box that moves
        ("player.py", "_black", "blackout"),  # between two runs, as long after the last change
    }


def test_a_run_shows_and_blacks_out_through_its_gate_alone() -> None:
    """The screen's own calls stand only where the gate makes them, but for a box that goes on."""
    source = (Path(player.__file__).parent / "run" / "live.py").read_text()
    found = Counter()
    for function in (n for n in ast.walk(ast.parse(source)) if isinstance(n, ast.FunctionDef)):
        for node in ast.walk(function):
            if (
                isinstance(node, ast.Attribute)
                and node.attr in ("show", "show_end", "put", "black", "black_out")
                and ast.unparse(node.value) in ("self.screen", "screen")
            ):
                found[function.name, node.attr] += 1
    assert found == {
        ("_go", "show"): 1,
        ("_go", "show_end"): 1,
        ("_put", "put"): 1,
        ("change", "put"): 1,  # the function inside, which
        ("show", "put"): 1,  # the gate makes, unless a box only goes on at another speed
        ("blackout", "black_out"): 1,  # gate.black
        ("resume", "black_out"): 1,
        ("dark_first", "black"): 1,
    }


def test_a_key_that_finds_the_strip_changing_waits_its_turn(visit: Visit, clock: Clock) -> None:
    live = run_of(EACH, visit, clock)
    clock.now = 1.0
    assert live.screen.gate.now(lambda: None)  # the strip
    clock.now = 1.1
    live.go_on()
    assert (live.number, live.screen.coming) == (1, True)
    assert [skip.step for skip in visit.skips(1)] == [1]
    clock.now = 1.36
    live.screen.beat()
    assert (live.number, live.screen.coming) == (2, False)


def test_black_that_is_asked_for_again_keeps_a_picture_from_coming_back(
    visit: Visit, clock: Clock
) -> None:
    output = RecordingOutput()
    live = run_of(EACH, visit, clock, output)
    clock.now = 0.1
    live.blackout()
    assert output.seen[-1] == "blackout"
    clock.now = 0.5
    live.blackout()  # back, which waits until 0.72 s
    assert (live.screen.blacked_out, live.screen.coming) == (True, True)
    clock.now = 0.6
    live.blackout()
    assert not live.screen.coming
    clock.now = 5.0
    live.screen.beat()
    assert (live.screen.blacked_out, output.seen[-1]) == (True, "blackout")
    live.blackout()
    assert (live.number, live.screen.blacked_out, output.seen[-1]) == (1, False, output.seen[0])
