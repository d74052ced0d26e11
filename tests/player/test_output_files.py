"""With a media player, the file to put up is named and nothing is claimed about the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

import sequences
from patterns.errors import PatternError
from patterns.files.manifest import Flashes, Line, Listing
from patterns.flashing import Flashing
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.commands.exporting import Wanted, write_sequence
from player.outputs.files import FilesOutput, open_files
from player.run.live import LiveRun
from player.windows.controls.controls import Controls
from player.windows.view import view_of
from readings.visit.visit import Visit
from tests.player.recording import Clock, press

CANVAS = Canvas(640, 360)
SIGNAL = named_signal("sdr10")
TEXT = """
title: Lobby wall
signal: pq10
settle: 2 s
steps:
  - show: {field: {level: 0 %}}
    label: black before
    read: luminance
  - show: {window: {level: 1000 cd/m2}}
    label: window
    read: luminance
  - show: {field: {level: 0 %}}
    label: black after
    read: luminance
  - show: {moving-box: {}}
    settle: 0 s
    read: tally
"""


def frame(level: str):
    return KINDS["field"].model_validate({"level": level}).frame(CANVAS, SIGNAL)


def line(file: str, level: str, start: str = "") -> Line:
    return Line(file, 1, level, start, frame(level).sha256, f"hash of {file}", SIGNAL, CANVAS)


def output_of(*lines: Line) -> FilesOutput:
    return FilesOutput(Listing(Path("set"), lines, "hash of the manifest"))


def test_the_file_is_found_by_the_frame_and_the_guard_names_it_and_its_hash() -> None:
    output = output_of(line("001-white.png", "100 %"))
    guard = output.show(frame("100 %"))
    assert output.file == "001-white.png"
    assert (guard.state, guard.why) == (
        "unknown",
        "shown by a media player from file 001-white.png (SHA-256 hash of 001-white.png)",
    )
    assert output.show(frame("0 %")).why == "no exported file holds this frame"
    assert output.file == ""


def test_size_depth_and_range_are_those_of_the_set() -> None:
    output = output_of(line("001-white.png", "100 %"))
    assert (output.canvas, output.bits, output.range) == (CANVAS, 10, "narrow")
    assert output.about() == {
        "bits": 10,
        "range": "narrow",
        "folder": "set",
        "manifest_sha256": "hash of the manifest",
    }


def test_of_files_that_show_the_same_the_next_one_is_named() -> None:
    output = output_of(
        line("001-black.png", "0 %"), line("002-white.png", "100 %"), line("003-black.png", "0 %")
    )
    named = []
    for level in ("0 %", "100 %", "0 %", "100 %", "0 %"):
        output.show(frame(level))
        named.append(output.file[:3])
    # the fourth goes back, and from there the third file is the next black again
    assert named == ["001", "002", "003", "002", "003"]


def test_clips_come_before_stills_and_exact_ones_before_their_twins() -> None:
    lines = [line(f"001-a{each}", "0 %") for each in ("-compat.mp4", ".exr", ".png", ".mp4")]
    shown = []
    while lines:
        output = output_of(*lines)
        guard = output.show(frame("0 %"))
        shown.append(output.file)
        lines = [each for each in lines if each.file != output.file]
    assert shown == ["001-a.mp4", "001-a.png", "001-a.exr", "001-a-compat.mp4"]
    assert guard.why.endswith("which is of capped bit rate, so that its codes may differ")


def test_of_a_clip_of_all_steps_the_chapter_and_its_time_are_named() -> None:
    film = "000-lobby.mp4"
    output = output_of(
        line(film, "0 %", "0"), line(film, "50 %", "20"), line(film, "100 %", "80.5")
    )
    named = []
    for level in ("0 %", "50 %", "100 %"):
        output.show(frame(level))
        named.append(output.file)
    assert named == [
        "000-lobby.mp4, chapter 1, at 0.0 s",
        "000-lobby.mp4, chapter 2, at 20.0 s",
        "000-lobby.mp4, chapter 3, at 1 min 20.5 s",
    ]


def test_what_flashes_in_a_set_is_told_once_for_each_file() -> None:
    quick, calm = Flashing(flashes=10, area=25.0), Flashing(flashes=3)
    film = [line("000-film.mp4", level, "0") for level in ("0 %", "100 %")]
    still = [line("001-a.png", "0 %")]
    single = [line("001-a.mp4", "0 %", "0"), line("002-b.mp4", "100 %", "0")]

    def told(lines: list[Line], flashing: Flashing, *, confirmed: bool) -> list[str]:
        kept = [replace(each, flashes=Flashes(flashing, confirmed)) for each in lines]
        return output_of(*kept, *still).flashing

    assert told(film, calm, confirmed=False) == []
    assert told(film, quick, confirmed=True) == [
        "000-film.mp4 has up to 10 flashes a second; more than three on 25 % of the screen"
    ]
    assert told(single, calm, confirmed=True) == ["the set's clips, one after another"]


def test_a_set_of_several_sizes_is_refused() -> None:
    other = Line("b.png", 2, "b", "", "x", "y", SIGNAL, Canvas(64, 64))
    with pytest.raises(PatternError, match="of several sizes or signals, and a run has one"):
        output_of(line("a.png", "0 %"), other)
    with pytest.raises(PatternError, match="names no file"):
        output_of()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    sequence = sequences.load_text(TEXT, "lobby.yaml")
    target = tmp_path_factory.mktemp("a set") / "Größe"
    wanted = Wanted(("png",), "640x360", rate=Fraction(60_000, 1001))
    return write_sequence(sequence, target, wanted).folder


@pytest.fixture
def desk(folder: Path, tmp_path: Path) -> Iterator[tuple[Controls, Clock, Visit]]:
    sequence = sequences.load_text(TEXT, "lobby.yaml")
    clock = Clock()
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        run = LiveRun(sequence, visit, open_files(folder, sequence.signal), clock=clock)
        run.begin()
        yield Controls(run, clock=clock), clock, visit


def test_the_canvas_and_its_refresh_come_from_the_manifest(folder: Path) -> None:
    output = open_files(folder, named_signal("pq10"))
    assert output.canvas == Canvas(640, 360, Fraction(60_000, 1001))


def test_files_of_another_signal_are_refused(folder: Path) -> None:
    with pytest.raises(PatternError) as raised:
        open_files(folder, named_signal("hlg10"))
    assert str(raised.value) == (
        f"The files in {folder} were exported as pq10, and the sequence is hlg10: name the signal "
        "of the files with --signal."
    )


def test_a_manifest_that_was_changed_is_refused(folder: Path, tmp_path: Path) -> None:
    for name in ("manifest.csv", "SHA256SUMS"):
        (tmp_path / name).write_bytes((folder / name).read_bytes())
    with (tmp_path / "manifest.csv").open("a") as file:
        file.write("\n")
    with pytest.raises(PatternError, match="is not what its SHA256SUMS says"):
        open_files(tmp_path, named_signal("pq10"))


def test_settling_begins_when_the_operator_says_that_the_picture_is_up(desk) -> None:
    controls, clock, _ = desk
    view = view_of(controls, "")
    assert (view.file, view.countdown) == ("001-black-before.png", "Enter once it is up")
    assert view.screen == "On the media player"
    clock.now += 60
    assert controls.run.screen.settle_left == 2
    press(controls, clock, "RETURN")
    assert view_of(controls, "").countdown == "Settling: 2.0 s"
    clock.now += 3
    assert view_of(controls, "").countdown == "Settled"


def test_readings_are_kept_with_the_codes_and_the_hash_of_the_file(desk, folder: Path) -> None:
    controls, clock, visit = desk
    press(controls, clock, "RETURN", "0", "RETURN", "RETURN", "9", "9", "9", "RETURN")
    assert [(each.step, each.luminance) for each in visit.readings()] == [(1, 0.0), (2, 999.0)]
    first, second, third = visit.showings()
    # 723 is the code nearest to 1000 cd/m2: BT.2100-3 Tables 4 and 9, computed
    assert second.inks == {"level": (723, 723, 723), "background": (64, 64, 64)}
    lines = (folder / "SHA256SUMS").read_text().splitlines()
    sums = {name: digest for digest, name in (each.split("  ") for each in lines)}
    for showing, name in zip(
        (first, second, third),
        ("001-black-before.png", "002-window.png", "003-black-after.png"),
        strict=True,
    ):
        assert showing.guard == "unknown"
        assert showing.guard_why == (
            f"shown by a media player from file {name} (SHA-256 {sums[name]})"
        )


def test_a_step_without_its_file_says_so(desk) -> None:
    controls, _, _ = desk
    output = controls.run.output
    output._lines = [each for each in output._lines if each.step != 2]
    controls.run.screen.number = 1
    controls.run._go(2)
    view = view_of(controls, "")
    assert (view.file, view.screen) == ("", "NO FILE FOR THIS STEP")
    assert view.why == "No exported file holds this frame."


def test_what_moves_on_the_media_player_is_counted_by_hand(desk) -> None:
    controls, clock, visit = desk
    press(controls, clock, "RIGHT", "RIGHT", "RIGHT")
    assert controls.run.number == 4
    assert controls.run.screen.tick() is None
    press(controls, clock, "SPACE")
    assert controls.notice == (
        "The media player's clock is not known here: count, and type the number."
    )
    assert list(visit.tallies()) == []
    press(controls, clock, "8", "RETURN")
    assert [each.raw for each in visit.readings()] == ["8"]


def test_blackout_asks_the_operator_to_take_the_picture_away(desk) -> None:
    controls, clock, _ = desk
    press(controls, clock, "F5")
    assert view_of(controls, "").screen == "TAKE THE PICTURE AWAY"
    press(controls, clock, "F5")
    assert view_of(controls, "").file == "001-black-before.png"
