"""What plays is judged over its whole length, from picture to picture, and round again."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from patterns.files import FILMS, Item
from patterns.files.export import export
from patterns.files.manifest import read_listing
from patterns.files.reel import FlashingError, clip_of, reel_of
from patterns.kinds import KINDS
from patterns.kinds.flash import Flash
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

SDR = named_signal("sdr8")
RATES = [Fraction(24), Fraction(25), Fraction(30), Fraction(50), Fraction(60)]


def item(number: int, kind: str, hold: str, rate: Fraction = Fraction(60), **parameters) -> Item:
    canvas = Canvas(64, 64, rate)
    pattern = KINDS[kind].model_validate(parameters)
    frame = pattern.frame(canvas, SDR)
    return Item(number, kind, pattern, frame, refresh=rate, hold=Fraction(hold))


def fields(levels: str, hold: str, rate: Fraction = Fraction(60)) -> list[Item]:
    """A field for each letter: black, white, grey."""
    names = {"k": "0 %", "w": "100 %", "g": "50 %"}
    return [
        item(number, "field", hold, rate, level=names[each])
        for number, each in enumerate(levels, 1)
    ]


@pytest.mark.parametrize("rate", RATES)
def test_black_and_white_in_turn_for_50_ms_flash_ten_times_a_second(rate: Fraction) -> None:
    """50 ms are 1 frame of 24 or 25 a second, 2 of 30, 3 of 50 and 60: half of the rate, or so."""
    found = reel_of(fields("kw" * 20, "0.05", rate), "the film")
    assert found.flashing.flashes == {24: 12, 25: 13, 30: 8, 50: 9, 60: 10}[int(rate)]
    assert (found.flashing.area, found.step) == (100, 2)


@pytest.mark.parametrize(("hold", "over"), [("0.15", True), ("0.17", False), ("1", False)])
def test_a_sixth_of_a_second_for_each_is_the_limit(hold: str, over: bool) -> None:
    """Three flashes in a second are six changes; 9 frames each at 60 Hz are too few, 10 are not."""
    assert reel_of(fields("kw" * 8, hold), "the film").flashing.over is over


def test_two_pictures_that_begin_anew_again_and_again_flash() -> None:
    """Played once there is a single change; a media player begins the clip anew."""
    found = reel_of(fields("kw", "0.1"), "the film")
    assert (found.flashing.flashes, found.step) == (5, 2)
    assert not reel_of(fields("kw", "0.5"), "the film").flashing.over


def test_the_seam_from_the_end_to_the_beginning_is_judged() -> None:
    """Three and a half turns at the end, as many at the beginning, and two seconds between them.

    Neither has more than six changes within a second.
    """
    quick, slow = "0.08", "2"
    first = fields("wkwk", quick)
    between = [item(5, "field", slow, level="0 %")]
    last = [item(6 + n, "field", quick, level=("100 %", "0 %")[n % 2]) for n in range(4)]
    assert not reel_of([*first, *between], "the film").flashing.over
    assert not reel_of([*between, *last], "the film").flashing.over
    found = reel_of([*first, *between, *last], "the film")
    assert found.flashing.flashes == 4
    # it begins within the last pictures, and goes on at the first
    assert found.flashing.since == Fraction(5, 60) * 4 + 2
    assert found.step == 6


def test_a_clip_of_a_still_picture_never_flashes() -> None:
    assert clip_of(item(1, "field", "0.02", level="100 %")).flashing.flashes == 0


def test_a_clip_is_judged_across_its_seam() -> None:
    """A patch lit for 200 of 400 ms; cut off after 250 ms, it is dark for 50 of them."""
    flash = {"on": "200 ms", "period": "400 ms"}
    assert not clip_of(item(1, "flash", "4", **flash)).flashing.over
    assert not clip_of(item(1, "flash", "0.1", **flash)).flashing.flashes
    cut = clip_of(item(1, "flash", "0.25", **flash))
    assert (cut.flashing.flashes, cut.step) == (4, None)


def test_flashes_between_quiet_ends_are_seen_at_full_length_alone() -> None:
    """What is brief leaves out the middle of what moves; here it flashes in its tenth second."""

    class Burst(Flash):
        def lit(self, canvas: Canvas, time: Fraction) -> bool:
            return 10 < time < 11 and super().lit(canvas, time)

    pattern = Burst.model_validate({"on": "50 ms", "period": "100 ms", "fast": True})
    canvas = Canvas(64, 64)
    burst = Item(1, "burst", pattern, pattern.frame(canvas, SDR), hold=Fraction(20))
    found = clip_of(burst)
    assert found.flashing.flashes == 10
    assert found.flashing.since is not None
    assert 10 < found.flashing.since < 10.2
    assert not clip_of(burst, brief=True).flashing.flashes


@pytest.mark.parametrize("formats", [("hevc",), ()])
def test_nothing_is_written_that_flashes_without_a_word(tmp_path: Path, formats) -> None:
    films = () if formats else (FILMS["hevc-film"],)
    items = fields("kw" * 5, "0.05")
    with pytest.raises(FlashingError, match="up to 10 flashes a second; more than three on all"):
        export(items, tmp_path / "set", formats, films=films, title="fast")
    assert not (tmp_path / "set").exists()
    made = export(
        items, tmp_path / "set", formats, films=films, title="fast", flashing_confirmed=True
    )
    assert [each.flashing.flashes for each in made.flashes] == [10]
    kept = [line.flashes for line in read_listing(tmp_path / "set").lines]
    assert [each.confirmed for each in kept if each] == [True] * 10
    # each clip stands still; it is the set that flashes, one clip after another
    assert {each.flashing.most for each in kept if each} == ({0} if formats else {10})


def test_a_clip_that_flashes_is_refused_when_pictures_come_one_by_one(tmp_path: Path) -> None:
    flash = item(2, "flash", "1", on="50 ms", period="100 ms", fast=True)
    pictures = [item(1, "field", "1"), flash]
    with pytest.raises(FlashingError, match="the clip of step 2 has up to 10 flashes a second"):
        export((each for each in pictures), tmp_path / "a", ["hevc"])
    assert not list((tmp_path / "a").glob("002*"))
    made = export((each for each in pictures), tmp_path / "b", ["hevc"], flashing_confirmed=True)
    assert len(made.files) == 2
    kept = [line.flashes for line in read_listing(made.folder).lines]
    assert [each.confirmed for each in kept if each] == [False, True]


def test_stills_are_written_whatever_they_would_be_in_a_row(tmp_path: Path) -> None:
    made = export(fields("kw" * 5, "0.05"), tmp_path / "set", ["png"])
    assert not made.flashes
    assert [line.flashes for line in read_listing(made.folder).lines] == [None] * 10
