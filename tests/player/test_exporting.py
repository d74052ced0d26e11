"""``litfield export``: what is asked, what is written, and a set read again."""

from __future__ import annotations

import csv
import json
import re
from fractions import Fraction
from pathlib import Path

import av
import pytest

import sequences
from patterns.files.journal import JOURNAL
from patterns.picture.canvas import Canvas
from player.cli import run
from player.commands.exporting import Pictures, Wanted, write_sequence

TEXT = """
title: "Größe & Контраст: Wand"
signal: pq10
hold: 2 s
steps:
  - show: {field: {level: 0 %}}
    label: Schwarz
  - show: {window: {level: 1000 cd/m2, area: 10 %}}
    label: 10 % Fläche
  - show: {window: {level: 1000 cd/m2, area: 10 %}}
    label: the same again
  - show: {window: {level: 200 cd/m2, area: 50 %}}
    label: "Яркость: 200?"
    hold: 500 ms
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "lobby wall ü.yaml"
    path.write_text(TEXT, "utf-8")
    return path


def export(file: Path, *options: str) -> tuple[int, Path]:
    target = file.parent / "USB Größe"
    return run(["export", str(file), "--to", str(target), "--size", "128x72@50", *options]), target


SMALL = Wanted(("png",), "128x72@50")


def _cut(_: object) -> None:
    raise KeyboardInterrupt


def contents(folder: Path) -> dict[str, bytes]:
    """Give every file but the journal of an export that was cut off, which knows of each try."""
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.name != JOURNAL}


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "manifest.csv").open(encoding="utf-8", newline="") as manifest:
        return list(csv.DictReader(manifest))


def test_titles_and_folders_with_spaces_and_other_alphabets_make_plain_names(file: Path) -> None:
    code, folder = export(file, "--as", "png", "--as", "hevc-film")
    assert code == 0
    assert sorted(each.name for each in folder.iterdir()) == [
        "000-grosse-and-kontrast-wand.mp4",
        "001-schwarz.png",
        "002-10-percent-flache.png",
        "004-yarkost-200.png",
        "SHA256SUMS",
        "manifest.csv",
        "overview.pdf",
        "overview.png",
    ]
    assert {row["label"] for row in rows(folder)} == {"Schwarz", "10 % Fläche", "Яркость: 200?"}


def test_the_steps_that_a_picture_is_for_are_told_and_listed(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    _, folder = export(file, "--as", "png", "--as", "hevc-film", "--hold", "200 ms")
    told = capfd.readouterr().out.splitlines()
    assert [line for line in told if "is for steps" in line] == [
        "The picture numbered 2 is for steps 2 to 3."
    ]
    for part in (".png", ".mp4"):
        listed = [row["steps"] for row in rows(folder) if row["file"].endswith(part)]
        assert listed == ["1", "2 to 3", "4"]
    assert {row["sequence"] for row in rows(folder)} == {"Größe & Контраст: Wand"}


def test_the_last_picture_is_for_all_steps_to_the_end() -> None:
    step = "  - show: {field: {}}\n"
    text = f"title: x\nsignal: sdr8\nsteps:\n  - show: {{field: {{level: 5 %}}}}\n{2 * step}"
    pictures = Pictures(sequences.load_text(text, "f"), Canvas(64, 64))
    assert [item.steps for item in pictures] == ["1", "2 to 3"]


@pytest.mark.parametrize("whole", [True, False])
def test_the_set_of_another_sequence_is_left_untouched(
    file: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, whole: bool
) -> None:
    folder = file.parent / "USB Größe"
    if whole:
        export(file)
    else:
        with monkeypatch.context() as power_cut:
            power_cut.setattr("patterns.files.work.Work.finish", _cut)
            with pytest.raises(KeyboardInterrupt):
                write_sequence(sequences.load(str(file)), folder, SMALL)
    before = contents(folder)
    assert len(before) == (7 if whole else 3)
    other = file.with_name("other.yaml")
    other.write_text(TEXT.replace("Wand", "Tor"), "utf-8")
    capfd.readouterr()
    assert export(other)[0] == 1
    assert capfd.readouterr().err.splitlines()[-1] == (
        f"{folder} holds the files of another sequence, Größe & Контраст: Wand; they were left as "
        "they are: choose another folder."
    )
    assert contents(folder) == before
    assert export(file)[0] == 0
    assert ("3 of them were there" in capfd.readouterr().out) is not whole


def test_every_file_states_the_light_of_the_set(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    _, folder = export(file, "--as", "png", "--as", "exr")
    # 1004.1919 cd/m2 is code 723, the nearest to 1000: BT.2100-3 Tables 4 and 9, computed;
    # MaxFALL is that of 200 cd/m2 on half of the picture or of 1000 on a tenth: about 100
    assert "Every file states MaxCLL 1004.19 and MaxFALL 1" in capfd.readouterr().out
    for row in rows(folder):
        stated = "1004.19" if row["file"].endswith(".png") else ""
        assert row["stated_max_cll_cd_m2"] == stated
    data = (folder / "001-schwarz.png").read_bytes()
    content = data[data.index(b"cLLI") + 4 :][:4]
    assert int.from_bytes(content, "big") == 10_041_919


def test_each_file_states_its_own_where_that_is_asked(file: Path) -> None:
    _, folder = export(file, "--metadata", "file")
    stated = [row["stated_max_cll_cd_m2"] for row in rows(folder)]
    assert stated[0] == ""  # black has no light, and 0 would read as unknown
    assert stated[1] == "1004.19"
    assert 195 < float(stated[2]) < 205
    assert b"cLLI" not in (folder / "001-schwarz.png").read_bytes()


def test_a_clip_tells_what_it_states_itself(file: Path) -> None:
    _, folder = export(file, "--as", "hevc-film", "--metadata", "file", "--hold", "200 ms")
    # 1004.19 and 100.25 cd/m2, in the whole numbers of an SEI message, over all steps
    stated = [(row["stated_max_cll_cd_m2"], row["stated_max_fall_cd_m2"]) for row in rows(folder)]
    assert stated == [("1004", "100")] * 3


def test_other_numbers_may_be_stated(file: Path) -> None:
    _, folder = export(file, "--metadata", "4000,400")
    assert {row["stated_max_cll_cd_m2"] for row in rows(folder)} == {"4000"}
    assert {row["stated_max_fall_cd_m2"] for row in rows(folder)} == {"400"}


def test_clips_hold_as_long_as_the_sequence_says(file: Path) -> None:
    _, folder = export(file, "--as", "hevc", "--as", "hevc-film")
    single = [row for row in rows(folder) if not row["file"].startswith("000")]
    film = [row for row in rows(folder) if row["file"].startswith("000")]
    assert [row["hold_s"] for row in single] == ["2", "2", "0.5"]
    assert [row["start_s"] for row in single] == ["0", "0", "0"]
    assert [row["start_s"] for row in film] == ["0", "2", "4"]
    with av.open(str(folder / "004-yarkost-200.mp4")) as clip:
        pictures = list(clip.decode(video=0))
    assert len(pictures) == 25
    # 200 cd/m2 is code 571: BT.2100-3 Tables 4 and 9, computed
    assert int(pictures[24].to_ndarray(format="yuv420p10le")[36, 64]) == 571


def test_hold_and_rate_of_the_command_line_go_before(file: Path) -> None:
    _, folder = export(file, "--as", "hevc", "--hold", "200 ms", "--rate", "23.976")
    assert {row["refresh_hz"] for row in rows(folder)} == {"23.976"}
    with av.open(str(folder / "001-schwarz.mp4")) as clip:
        assert clip.streams.video[0].average_rate == Fraction(24_000, 1001)
        assert len(list(clip.decode(video=0))) == 5


def test_without_a_hold_a_picture_lasts_a_minute() -> None:
    text = "title: x\nsignal: sdr8\nsteps:\n  - show: {field: {}}\n"
    pictures = Pictures(sequences.load_text(text, "f"), Canvas(64, 64))
    assert [item.hold for item in pictures] == [60]
    assert pictures.frames == 3600


def test_a_clip_gets_a_twin_of_capped_bit_rate_whose_largest_error_is_told(file: Path) -> None:
    _, folder = export(file, "--as", "hevc", "--compat", "--hold", "1 s")
    told = {row["file"]: row["coding"] for row in rows(folder)}
    assert len(told) == 6
    for name, coding in told.items():
        found = re.fullmatch(r"Main 10, level [\d.]+ Main; largest error (\d+) (\d+) (\d+)", coding)
        assert found, coding
        if not name.endswith("-compat.mp4"):
            assert found.groups() == ("0", "0", "0")


def test_the_conversion_error_of_a_flat_colour_is_in_the_manifest(file: Path) -> None:
    file.write_text(
        "title: x\nsignal: pq10\nhold: 1 s\nsteps:\n"
        "  - show: {field: {level: {r: 100 %, g: 0 %, b: 0 %}}}\n"
    )
    _, folder = export(file, "--as", "hevc", "--as", "png")
    still, clip = sorted(rows(folder), key=lambda row: row["file"].endswith("mp4"))
    assert still["conversion_error"] == ""
    # Y' 294, C'B 387, C'R 960 by BT.2100-3 Tables 6 and 9; back to R'G'B' by hand
    assert clip["conversion_error"] == "level: -0.125 -0.143 +0.074 (-0.1365 %)"


def test_what_hevc_cannot_carry_is_told_by_line_before_the_first_file(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file.write_text(
        "title: x\nsignal: pq10\nhold: 1 s\nsteps:\n"
        "  - show: {field: {}}\n  - show: {chroma-lines: {}}\n"
    )
    code, folder = export(file, "--as", "hevc")
    assert code == 2
    error = capfd.readouterr().err.splitlines()[-1]
    assert error.startswith(
        f"{file}:6:5: found step 2: At 4:2:0 two by two pixels share one chroma"
    )
    assert error.endswith("expected what HEVC 4:2:0 can carry")
    assert not folder.exists()
    assert export(file, "--as", "hevc", "--chroma", "4:4:4")[0] == 0


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (
            ["--as", "gif"],
            "There is no format 'gif'; there are png, tiff, exr, dpx, hevc, hevc-film.",
        ),
        (["--hold", "0 s"], "--hold: expected more than 0 s, and at most 24 hours, not 0 s."),
        (["--hold", "5"], "--hold: '5' has no unit; expected s, min or ms, such as 20 s."),
        (["--metadata", "1000"], "--metadata is set, file, or MaxCLL and MaxFALL such as 1000,400"),
        (["--metadata", "400,1000"], "MaxCLL 400 and MaxFALL 1000 cannot be stated"),
        (["--metadata", "1000,400", "--signal", "hlg10"], "--metadata with numbers is for PQ"),
        (["--metadata", f"{'9' * 400},400"], "MaxCLL inf and MaxFALL 400 cannot be stated"),
        (["--metadata", f"1000,{'9' * 400}"], "MaxCLL 1000 and MaxFALL inf cannot be stated"),
        (["--rate", "1e99999999"], "A clip has 23.976, 24, 25"),
        (["--rate", "48"], "A clip has 23.976, 24, 25"),
        (["--verify", "x"], "--verify takes a folder only, and writes nothing."),
        (["--json"], "--json goes with --verify; an export writes manifest.csv."),
        (["--as", "hevc", "--signal", "pq16"], "HEVC carries 8, 10 or 12 bits, not 16."),
    ],
)
def test_what_is_asked_wrongly_is_told_before_anything_is_written(
    file: Path, capfd: pytest.CaptureFixture[str], options: list[str], told: str
) -> None:
    code, folder = export(file, *options)
    assert code == 2
    assert capfd.readouterr().err.splitlines()[-1].startswith(told)
    assert not folder.exists()


def test_an_export_needs_a_sequence_and_a_folder(capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["export"]) == 2
    assert (
        capfd.readouterr().err == "An export needs a SEQUENCE or a PLAN, and a folder: --to DIR.\n"
    )


def test_a_copied_set_is_read_again(file: Path, capfd: pytest.CaptureFixture[str]) -> None:
    _, folder = export(file)
    assert run(["export", "--verify", str(folder)]) == 0
    assert capfd.readouterr().out.endswith("All 6 files are as they were written.\n")
    data = bytearray((folder / "001-schwarz.png").read_bytes())
    data[len(data) // 2] ^= 1
    (folder / "001-schwarz.png").write_bytes(data)
    (folder / "004-yarkost-200.png").unlink()
    (folder / "other.txt").write_text("x")
    assert run(["export", "--verify", str(folder)]) == 1
    assert capfd.readouterr().out.splitlines() == [
        "differs: 001-schwarz.png (its content is not what was written)",
        "missing: 004-yarkost-200.png",
        "extra: other.txt (in no list)",
        "4 files are as they were written; 3 are not.",
    ]
    assert run(["export", "--verify", str(folder), "--json"]) == 1
    told = json.loads(capfd.readouterr().out)
    assert (told["good"], told["missing"]) == (False, ["004-yarkost-200.png"])


def test_a_folder_without_a_set_is_told(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["export", "--verify", str(tmp_path)]) == 2
    assert "has no SHA256SUMS" in capfd.readouterr().err


FAST = "title: Fast\nsignal: sdr8\nhold: 50 ms\nsteps:\n" + "".join(
    f"  - show: {{field: {{level: {level} %}}}}\n" for level in (0, 100) * 10
)
PATCH = (
    "title: Patch\nsignal: sdr8\nhold: 1 s\nsteps:\n"
    "  - show: {flash: {on: 50 ms, period: 100 ms, fast: true}}\n"
)


@pytest.mark.parametrize(
    ("text", "as_", "told"),
    [
        (
            FAST,
            "hevc-film",
            (
                "the film has up to 10 flashes a second; more than three on all of the screen, "
                "from 0.05 s on, first at step 2"
            ),
        ),
        (
            FAST,
            "hevc",
            (
                "the set of clips, one after another, has up to 10 flashes a second; more than "
                "three on all of the screen, from 0.05 s on, first at step 2"
            ),
        ),
        (
            PATCH,
            "hevc",
            (
                "the clip of step 1 has up to 10 flashes a second; more than three on 3.95 % of "
                "the screen, from 0.05 s on"
            ),
        ),
    ],
)
def test_clips_that_flash_are_not_written_before_somebody_answers_for_them(
    file: Path, capfd: pytest.CaptureFixture[str], text: str, as_: str, told: str
) -> None:
    file.write_text(text)
    code, folder = export(file, "--as", as_, "--rate", "60")
    assert (code, folder.exists()) == (2, False)
    said = capfd.readouterr().err.splitlines()
    assert said[-1] == (
        f"Nothing was written: {told}; read docs/safety.md, and add --flashing-confirmed only "
        "where nobody at risk sees it."
    )
    code, folder = export(file, "--as", as_, "--rate", "60", "--flashing-confirmed")
    assert code == 0
    kept = capfd.readouterr().err
    assert f"Confirmed, and kept in manifest.csv: {told}." in kept
    assert "photosensitive epilepsy" in kept
    assert {row["flashing_confirmed"] for row in rows(folder)} == {"true"}
    assert run(["export", "--verify", str(folder), "--json"]) == 0
    found = json.loads(capfd.readouterr().out)
    assert found["flashing_confirmed"] == sorted({row["file"] for row in rows(folder)})


def test_the_rate_of_the_clip_decides(file: Path) -> None:
    """150 ms are 4 frames at 24 Hz, a third of a second for two, and 9 at 60 Hz: 300 ms."""
    file.write_text(FAST.replace("hold: 50 ms", "hold: 150 ms"))
    assert export(file, "--as", "hevc-film", "--rate", "60")[0] == 2
    assert export(file, "--as", "hevc-film", "--rate", "24")[0] == 0
    assert {row["flashes_a_second"] for row in rows(file.parent / "USB Größe")} == {"3"}


def test_a_set_within_the_limit_keeps_how_often_it_flashes(file: Path) -> None:
    file.write_text(PATCH.replace("100 ms", "500 ms"))
    _, folder = export(file, "--as", "hevc", "--as", "png", "--flashing-confirmed")
    kept = {
        Path(row["file"]).suffix: (row["flashes_a_second"], row["flashing_confirmed"])
        for row in rows(folder)
    }
    assert kept == {".png": ("", ""), ".mp4": ("2", "")}


def test_check_says_what_would_flash_in_clips(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file.write_text(FAST)
    assert run(["check", str(file), "--size", "128x72"]) == 0
    told = " ".join(capfd.readouterr().out.split())
    assert "Flashes too often when exported as clips: the film has up to 10 flashes" in told
    file.write_text(PATCH)
    assert run(["check", str(file), "--size", "128x72", "--json"]) == 0
    (found,) = json.loads(capfd.readouterr().out)
    assert [(each["number"], each["flashes"]) for each in found["flashing_steps"]] == [(1, 10)]
    assert [(each["what"], each["flashes"]) for each in found["flashing_clips"]] == [
        ("the film", 10),
        ("the clip of step 1", 10),
    ]


def test_check_sees_the_seam_of_a_clip_that_is_calm_while_it_is_played(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """Lit for 200 of 400 ms is within the limit; a clip of 250 ms of it is not."""
    file.write_text(
        "title: x\nsignal: sdr8\nhold: 250 ms\nsteps:\n"
        "  - show: {flash: {on: 200 ms, period: 400 ms}}\n"
    )
    assert run(["check", str(file), "--size", "128x72", "--json"]) == 0
    (found,) = json.loads(capfd.readouterr().out)
    assert found["flashing_steps"] == []
    assert [each["flashes"] for each in found["flashing_clips"]] == [4, 4]


def test_a_media_player_is_asked_about_like_a_window(
    file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """Each step stands still in the window; it is the film that flashes."""
    file.write_text(FAST)
    _, folder = export(file, "--as", "hevc-film", "--rate", "60", "--flashing-confirmed")
    visit = file.parent / "lobby.visit"
    play = ["play", str(file), "--visit", str(visit), "--output", "files", "--files", str(folder)]
    capfd.readouterr()
    assert run(play) == 2
    said = capfd.readouterr().err
    film = "000-fast.mp4 has up to 10 flashes a second; more than three on all of the screen"
    assert f"  {film}\n" in said
    assert "photosensitive epilepsy" in said
    assert said.splitlines()[-1] == "Nothing was shown: these files need --flashing-confirmed."
    assert not visit.exists()
