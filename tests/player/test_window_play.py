"""A whole run by the keys of its operator, on a real screen, kept in a real visit file."""

from __future__ import annotations

import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from player.run.pointing import ELSEWHERE
from readings.visit.visit import Visit
from sequences.model import Sequence
from tests.player.playing import Environment, Playing, frames_of, until

pytestmark = pytest.mark.gl

WIDTH, HEIGHT = 640, 360
BESIDE = 800
"""Width of the operator's screen, where there are two."""

TEXT = """
title: Lobby wall, one of each
signal: sdr8
steps:
  - show: {field: {level: 0 %}}
    label: black
    read: luminance
  - show: {window: {area: 10 %}}
    read: {luminance: the middle of the window}
  - show: {checkerboard: {}}
    read: colour
  - show: {ladder: {}}
    read: count
  - show: {ramp: {}}
    read: {choice: [smooth, banded]}
  - show: {near-black: {}}
    read: text
  - show: {moving-box: {speed: 60 px/s, side: 36 px}}
    read: tally
  - show: {field: {level: 50 %}}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "each.yaml"
    path.write_text(TEXT)
    return path


def frames(path: Path) -> tuple[Sequence, list[Frame]]:
    return sequences.load(path), frames_of(path, WIDTH, HEIGHT)


def first_half(player: Playing, shown: list[Frame]) -> None:
    """Three readings, with slips of the finger, a note, a blackout, and the second taken again."""
    player.shows(1)
    player.sees(shown[0])
    player.type("0,04x")
    player.key("Return")  # refused, and not lost
    player.key("BackSpace", "2", "Return")
    player.shows(2)
    player.sees(shown[1])
    player.type("512.25")
    player.key("Tab")
    player.type("lamps on")
    player.key("Return", "Return")
    player.shows(3)
    player.key("F5")
    player.sees(shown[0])  # blackout is black
    player.key("F5")
    player.shows(3, times=2)
    player.sees(shown[2])
    player.key("Left")
    player.shows(2, times=2)
    player.key("Right")
    player.shows(3, times=3)
    player.key("F2")  # again: the window
    player.shows(2, times=3)
    player.type("513")
    player.key("Return")
    player.shows(3, times=4)
    player.type("100,2 0,3127 0,329")
    player.key("Return")
    player.shows(4)
    player.key("Escape", "Escape")
    assert player.ended() == 0, player.said()
    assert "left at 4" in player.said()


def second_half(player: Playing, shown: list[Frame]) -> None:
    """What was left: a count, a choice, words, presses, and a step without a reading."""
    player.shows(4, times=2)
    player.sees(shown[3])
    player.type("11")
    player.key("Return")
    player.shows(5)
    player.key("2", "Return")
    player.shows(6)
    player.type("clipped below code 3")
    player.key("Return")
    player.shows(7)
    player.key("space", "space", "space")
    player.keeps(lambda kept: len(kept.tallies()) == 3, "three presses are kept")
    until(lambda: player.see(WIDTH - 20, 2, 1, 1).max() > 200, "the box is near its end")
    until(lambda: player.see(WIDTH - 20, 2, 1, 1).max() < 50, "it has turned there")
    player.key("Return")
    player.shows(8)
    player.sees(shown[7])
    player.key("Return", "Return")
    assert player.ended() == 0, player.said()
    assert "Run 1 goes on where it was left." in player.said()


def _without(visit: Visit, *words: str) -> list[str]:
    """The notes of a visit but for those with one of these words."""
    return [note.text for note in visit.notes() if not any(word in note.text for word in words)]


def test_a_sequence_with_every_kind_of_reading_is_played_left_and_resumed(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    options = {"sequence": str(path), "visit": str(visit), "condition": "local dimming off"}
    env = screen_env(WIDTH, HEIGHT, 24)
    _, shown = frames(path)

    with Playing(env, tmp_path, **options) as player:
        first_half(player, shown)
    with Visit.open(visit, write=False) as kept:
        assert [(run.id, run.ended) for run in kept.runs()] == [(1, "left")]

    with Playing(env, tmp_path, **options) as player:
        second_half(player, shown)
    with Visit.open(visit, write=False) as kept:
        (run,) = kept.runs()
        assert (run.ended, run.output, run.condition) == ("finished", "window", "local dimming off")
        raws = [(each.step, each.raw) for each in kept.readings(run.id)]
        assert raws == [
            (1, "0,042"),
            (2, "513"),
            (3, "100,2 0,3127 0,329"),
            (4, "11"),
            (5, "2"),
            (6, "clipped below code 3"),
            (7, "3"),
        ]
        values = {each.step: each for each in kept.readings(run.id)}
        assert values[1].luminance == 0.042
        assert (values[3].luminance, values[3].x, values[3].y) == (100.2, 0.3127, 0.329)
        assert values[5].text == "banded"
        replaced = [each for each in kept.readings(run.id, replaced=True) if each.replaced_by]
        assert [each.raw for each in replaced] == ["512.25"]
        assert _without(kept, "strip", "skipped") == ["lamps on"]
        places = [each.position_px for each in kept.tallies()]
        assert places == sorted(places)
        assert all(18 <= place <= WIDTH - 18 for place in places)
        assert {each.guard for each in kept.showings()} == {"verified"}


def test_the_strip_covers_one_screen_only_while_it_is_called(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    _, shown = frames(path)
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        player.shows(1)
        for step in (2, 3, 4):
            player.key("Right")
            player.shows(step)
        player.sees(shown[3])
        player.key("F3")
        until(lambda: bool((player.see(0, HEIGHT - 1, WIDTH, 1) <= 20).all()), "the strip is there")
        top = player.see(0, 0, WIDTH, HEIGHT // 2)
        assert (top == shown[3].pixels()[: HEIGHT // 2]).all()
        player.key("Right")  # the strip stays, and the guard of the next step says so
        player.shows(5)
        player.key("F3")
        player.sees(shown[4])
        player.keeps(lambda kept: kept.showings()[-1].guard == "verified", "it is compared again")
    with Visit.open(visit, write=False) as kept:
        guards = [(each.step, each.guard) for each in kept.showings() if each.step in (4, 5)]
        # held over a picture that is up, or that comes up: altered, until it is taken away
        assert guards == [(4, "verified"), (4, "altered"), (5, "altered"), (5, "verified")]
        held = [each for each in kept.showings() if each.guard == "altered"]
        for showing in held:
            assert showing.guard_why.startswith("the operator strip covers the bottom 104 of 360")
            (note,) = [each for each in kept.notes() if each.showing == showing.id]
            assert note.text == "The operator strip was held over the bottom 104 of 360 rows."


def test_the_strip_says_what_was_kept_for_a_moment_and_leaves_the_picture_verified(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    _, shown = frames(path)

    def strip() -> bool:
        found = player.see(0, HEIGHT - 104, WIDTH, 104)
        return bool((found[-1] <= 20).all() and found.max() > 60)

    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        until(strip, "the keys are said at the beginning")
        player.sees(shown[0])
        player.type("0.05")
        player.key("Return")
        until(strip, "what was kept is said")
        player.shows(2)
        player.sees(shown[1])
    with Visit.open(visit, write=False) as kept:
        assert {each.guard for each in kept.showings()} == {"verified"}
        notes = {each.step: each.text for each in kept.notes()}
        assert notes[1].startswith("The operator strip covered for a while the bottom 104 of 360")


def test_with_two_screens_the_pattern_is_never_covered_and_keys_work_in_both_windows(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    env = screen_env(BESIDE + WIDTH, HEIGHT, 24)
    _, shown = frames(path)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), halves=BESIDE) as player:
        player.shows(1)
        player.key("Right")
        player.shows(2)
        player.type("1234")
        player.key("F1")
        player.sees(shown[1], x=BESIDE)
        until(lambda: bool(player.see(0, 0, BESIDE, HEIGHT).max() > 100), "there are words")
        operator = player.see(0, 0, BESIDE, HEIGHT)
        assert operator.max() < 245, "nothing in the operator window is white"
        assert operator.mean() < 25, "the operator window is dim"
        player.key("F1")
        player.focus("Litfield pattern")
        player.key("Return")
        player.shows(3)
        player.sees(shown[2], x=BESIDE)
        player.close("Litfield")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [(each.step, each.luminance) for each in kept.readings()] == [(2, 1234.0)]
        assert [run.ended for run in kept.runs()] == ["left"]


def test_a_meter_is_read_on_an_empty_line_and_its_failure_is_told(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(path),
        visit=str(visit),
        meter=[None, 0.05, 480.5],
    ) as player:
        player.shows(1)

        def strip() -> bool:
            return bool(player.see(0, 300, WIDTH, 60).max() > 60)

        until(strip, "the keys are said at the beginning")
        player.key("Return")
        until(lambda: not strip(), "nothing lies over what is measured")
        until(strip, "the failure is told")
        player.key("Return")
        player.shows(2)
        player.key("F6")
        player.shows(3)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [each.luminance for each in kept.readings()] == [0.05, 480.5]
        (instrument,) = kept.instruments()
        assert {each.instrument for each in kept.readings()} == {instrument.id}


def test_unattended_a_meter_reads_what_it_can_and_the_run_ends(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(path),
        visit=str(visit),
        meter=[0.05, None, 480.5, None, None, None],
        unattended=True,
    ) as player:
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        (run,) = kept.runs()
        assert run.ended == "finished"
        assert [(each.step, each.luminance) for each in kept.readings()] == [(1, 0.05), (2, 480.5)]
        skipped = {each.step: each.why for each in kept.skips(run.id)}
        assert skipped[3] == "no reading in 3 tries: The spot meter found too little light."
        assert skipped[4] == "needs someone at the screen to count"


def test_unattended_a_meter_that_is_stuck_stops_the_run_with_a_sentence_and_exit_code_1(
    screen_env: Environment, tmp_path: Path
) -> None:
    greys, visit = tmp_path / "greys.yaml", tmp_path / "visit.litfield"
    greys.write_text(
        "title: Lobby wall, greys\nsignal: sdr8\nsettle: 0 s\nsteps:\n"
        "  - each: {level: [100 %, 70 %, 40 %, 20 %]}\n"
        "    show: {window: {area: 10 %}}\n    read: luminance\n"
    )
    arguments = ["play", str(greys), "--visit", str(visit), "--name", "lobby wall"]
    arguments += ["--meter", f"command:{sys.executable} -S -c print(102.3)", "--unattended"]
    env = screen_env(WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, visit=str(visit), arguments=arguments) as player:
        assert player.ended() == 1
        assert "three times for three different pictures: is it stuck?" in player.said()
    with Visit.open(visit, write=False) as kept:
        assert [run.ended for run in kept.runs()] == ["left"]
        assert [each.luminance for each in kept.readings()] == [102.3] * 3
        assert any("is it stuck?" in each.text for each in kept.notes())


def test_unattended_escape_twice_leaves_though_readings_follow_each_other(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(path),
        visit=str(visit),
        meter=[480.5] * 9,
        pause=60,
        unattended=True,
    ) as player:
        player.shows(1)
        time.sleep(4)  # it has settled, and is read
        player.key("Escape")
        time.sleep(0.5)
        player.key("Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert ([run.ended for run in kept.runs()], kept.readings()) == (["left"], [])


BOXES = """
title: Lobby wall, two places
signal: sdr8
settle: 0 s
steps:
  - show: {field: {level: 20 %}}
    read: luminance
  - show: {checkerboard: {level: 20 %}}
    read: {luminance: box 1}
  - show: {checkerboard: {level: 20 %, start: dark}}
    read: {luminance: box 1}
  - show: {checkerboard: {level: 20 %}}
    read: {luminance: box 16}
"""


def test_unattended_what_a_meter_cannot_come_to_is_passed_over_with_the_reason(
    screen_env: Environment, tmp_path: Path
) -> None:
    visit, boxes = tmp_path / "visit.litfield", tmp_path / "boxes.yaml"
    boxes.write_text(BOXES)
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(boxes),
        visit=str(visit),
        meter=[20.0],
        unattended=True,
    ) as player:
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [each.step for each in kept.readings()] == [1]
        assert {each.step: each.why for each in kept.skips(1)} == dict.fromkeys(
            (2, 3, 4), ELSEWHERE
        )


def test_unattended_somebody_is_asked_to_point_the_meter_and_enter_reads(
    screen_env: Environment, tmp_path: Path
) -> None:
    visit, boxes = tmp_path / "visit.litfield", tmp_path / "boxes.yaml"
    boxes.write_text(BOXES)
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(boxes),
        visit=str(visit),
        meter=[20.0, 21.0, 0.1],
        moves="ask",
        unattended=True,
    ) as player:

        def strip() -> bool:
            return bool(player.see(0, 300, WIDTH, 60).max() > 60)

        player.shows(2)
        until(strip, "the meter is asked to be pointed")
        assert player.process.poll() is None
        player.key("Return")
        # the second reading in that place asks for nothing
        player.shows(4)
        until(strip, "the meter is asked to be pointed elsewhere")
        player.key("Right")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [(r.step, r.luminance) for r in kept.readings()] == [(1, 20.0), (2, 21.0), (3, 0.1)]
        assert [each.step for each in kept.skips(1)] == [4]


def test_a_sequence_that_the_framebuffer_cannot_hold_is_refused_before_the_first_step(
    screen_env: Environment, tmp_path: Path
) -> None:
    path = tmp_path / "codes.yaml"
    path.write_text("{title: Codes, signal: pq10, steps: [{show: {field: {level: code 65}}}]}")
    visit = tmp_path / "visit.litfield"
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        assert player.ended() == 1
        assert "code 65" in player.said()
    assert not visit.exists(), "a visit is made once the windows stand"


@pytest.mark.parametrize("confirmed", [False, True])
def test_flashing_is_judged_again_at_the_rate_of_the_real_screen(
    screen_env: Environment, tmp_path: Path, confirmed: bool
) -> None:
    path = tmp_path / "fast.yaml"
    path.write_text(
        "{title: Fast, signal: sdr8, steps: "
        "[{show: {flash: {on: 100 ms, period: 200 ms, fast: true}}, read: {text: delay}}]}"
    )
    visit = tmp_path / "visit.litfield"
    options: dict[str, object] = {"sequence": str(path), "visit": str(visit)}
    if confirmed:
        options["overrides"] = {"flashing_confirmed": []}
    with Playing(screen_env(WIDTH, HEIGHT, 24), tmp_path, **options) as player:
        if confirmed:
            player.shows(1)
            return
        assert player.ended() == 1
        assert "WindowError: At 60 Hz step 1" in player.said()
        assert "5 flashes a second" in player.said()
    assert not visit.exists()


@pytest.mark.parametrize(
    ("screen", "display", "said"),
    [
        (3, None, "WindowError: There is no screen 3. There is only screen 1, "),
        (None, ":987", "WindowError: No display can be opened: start the player on the desktop"),
    ],
)
def test_what_cannot_be_opened_is_said_in_one_sentence(
    screen_env: Environment,
    path: Path,
    tmp_path: Path,
    screen: int | None,
    display: str | None,
    said: str,
) -> None:
    env = screen_env(WIDTH, HEIGHT, 24)
    if display:
        env["DISPLAY"] = display
    with Playing(
        env, tmp_path, sequence=str(path), visit=str(tmp_path / "v.litfield"), screen=screen
    ) as player:
        assert player.ended() == 1
        assert player.said().startswith(said)


def test_the_command_line_plays_in_windows_and_tells_what_the_depth_costs(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "visit.litfield"
    arguments = ["play", str(path), "--visit", str(visit), "--condition", "as found"]
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, visit=str(visit), arguments=arguments
    ) as player:
        player.shows(1)
        player.type("0.05")
        player.key("Return")
        player.shows(2)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
        assert "8 bits a channel" in player.said()
        assert "the largest error of a level" in player.said()
    with Visit.open(visit, write=False) as kept:
        assert [each.luminance for each in kept.readings()] == [0.05]


def test_without_opengl_one_sentence_says_so(screen_env: Environment) -> None:
    script = """
import pyglet
from player.windows import loop
real = pyglet.lib.load_library
def load(*names, **options):
    if "GL" in names:
        raise ImportError('Library "GL" not found.')
    return real(*names, **options)
pyglet.lib.load_library = load
try:
    loop.screens_here()
except loop.WindowError as error:
    print(error, end="")
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        env=screen_env(WIDTH, HEIGHT, 24),
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert done.stdout == (
        'OpenGL is missing on this computer, so there can be no windows (Library "GL" not found.).'
    )


def test_a_box_moves_in_whole_refreshes_and_a_press_keeps_where_it_was(
    screen_env: Environment, tmp_path: Path
) -> None:
    path = tmp_path / "box.yaml"
    path.write_text(
        "{title: Box, signal: sdr8, steps: "
        "[{show: {moving-box: {speed: 120 px/s, side: 36 px}}, read: tally}]}"
    )
    sequence = sequences.load(str(path))
    pattern, canvas = sequence.steps[0].pattern, Canvas(WIDTH, HEIGHT)
    # at 60 Hz and 120 px/s a refresh is 2 pixels; 302 of them bring it to the other side
    possible = {
        pattern.frame(canvas, sequence.signal, Fraction(n, 60)).pixels()[0, :, 0].tobytes(): n
        for n in range(302)
    }
    visit = tmp_path / "visit.litfield"
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        player.shows(1)
        begun = time.monotonic()
        seen = []
        while time.monotonic() - begun < 2:
            row = player.see(0, 0, WIDTH, 1)[0, :, 0].tobytes()
            assert row in possible, "what is on the screen is a frame of the pattern"
            seen.append((time.monotonic(), possible[row]))
        player.key("space")
        player.keeps(lambda kept: len(kept.tallies()) == 1, "a press is kept")
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    (first, start), (last, end) = seen[0], seen[-1]
    assert end - start == pytest.approx(60 * (last - first), abs=30)
    with Visit.open(visit, write=False) as kept:
        (tally,) = kept.tallies()
    assert tally.position_px % 2 == 0, "the middle of the box, a whole number of refreshes on"
    assert tally.position_px > 18 + 2 * end - 10
    assert (tally.axis, tally.direction) == ("horizontal", "forward")


AHEAD = """
title: Still, moving and still pictures
signal: sdr8
steps:
  - each: {level: [20 %, 40 %, 60 %]}
    show: {window: {}}
  - show: {moving-box: {along: row, place: 50 %}}
    read: {tally: "light hops"}
  - show: {field: {level: 50 %}}
  - show: {field: {level: 60 %}}
"""


def test_the_next_step_is_on_the_graphics_card_before_its_key_unless_something_moves(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit, times = (tmp_path / name for name in ("steps.yaml", "lobby.visit", "times"))
    path.write_text(AHEAD)
    env = screen_env(WIDTH, HEIGHT, 24)
    options = {"sequence": str(path), "visit": str(visit), "times": str(times)}
    with Playing(env, tmp_path, **options) as player:
        for step in range(1, 7):
            player.shows(step)
            time.sleep(1)
            player.key("Right")
        player.key("Return")
        assert player.ended() == 0, player.said()
    lines = [line.split() for line in times.read_text().splitlines()]
    ahead = {int(step): taken for step, taken, *_ in lines if int(step) <= 6}
    assert ahead == {2: "1", 3: "1", 4: "1", 5: "0", 6: "1"}
    with Visit.open(visit, write=False) as kept:
        assert {each.guard for each in kept.showings()} == {"verified"}
