"""What of the shipped sequences 4:2:0 carries, and every sample of their clips."""

from fractions import Fraction

import pytest

import sequences
from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from patterns.video import Picture, Settings, clip, planes_of

NAMES = list(sequences.shipped())
REFUSED = {
    # stripes of one pixel in magenta and green
    "panel-inversion": {7, 8, 9},
    # ramps of single codes in one channel, and lines of one pixel in colours
    "path-check-8": {5, 6, 7, 9},
    "path-check-10": {7, 8, 9, 10},
}
"""Steps with colours finer than two pixels, at 3840x2160 and as written."""
SDR = {(signal, chroma) for signal in ("sdr8", "sdr10") for chroma in ("4:2:0", "4:4:4")}
FINE = {(signal, "4:2:0") for signal in ("as written", "pq10", "hlg10")}
NOTHING = {
    # defined for HDR alone, with edges at odd pixels
    "bars-hlg": SDR | FINE,
    "bars-pq": SDR | FINE,
    # made for SDR, and for PQ or HLG alone
    "ebu-3325-colour": {(s, c) for s in ("pq10", "hlg10") for c in ("4:2:0", "4:4:4")},
    "highlights": SDR,
}
"""Signals and chroma in which no step of a sequence can be shown, at 1280x720."""


def settings(sequence, canvas: Canvas, signal=None, chroma="4:2:0") -> Settings:
    return Settings(canvas, Fraction(24), signal or sequence.signal, chroma)


@pytest.mark.parametrize("name", NAMES)
def test_420_carries_all_of_a_shipped_sequence_but_its_finest_colours(name: str):
    sequence = sequences.load(name)
    made = settings(sequence, Canvas(3840, 2160))
    refused = set()
    for step in sequence.steps:
        frame = step.pattern.frame(made.playing, made.signal)
        try:
            planes_of(frame, made)
        except PatternError as error:
            assert str(error).endswith("; 4:4:4 carries it.")  # noqa: PT017 - some steps
            refused.add(step.number)
    assert refused == REFUSED.get(name, set())


@pytest.mark.campaign
@pytest.mark.parametrize("chroma", ["4:2:0", "4:4:4"])
@pytest.mark.parametrize("signal", ["as written", "sdr8", "sdr10", "pq10", "hlg10"])
@pytest.mark.parametrize("name", NAMES)
def test_every_sample_of_a_shipped_sequence_is_the_code_meant(
    name, signal, chroma, reading, ffmpeg, tmp_path
):
    """In one clip of all steps that can be shown so; moving steps for 12 frames, stills for 3."""
    sequence = sequences.load(name)
    given = None if signal == "as written" else named_signal(signal)
    if given is not None and given.bits == 8:
        given = given.shown_at(8, "narrow")
    made = settings(sequence, Canvas(1280, 720), given, chroma)
    pictures = []
    for step in sequence.steps:
        try:
            planes_of(step.pattern.frame(made.playing, made.signal), made)
        except PatternError:
            continue
        pictures.append(Picture(step.pattern, 12 if step.pattern.moves else 3, step.label))
    assert bool(pictures) == ((signal, chroma) not in NOTHING.get(name, ()))
    if not pictures:
        return
    clip(pictures, tmp_path / "clip.mp4", made)
    decoders = [reading.frames(tmp_path / "clip.mp4"), ffmpeg.frames(tmp_path / "clip.mp4")]
    for picture in pictures:
        for number in range(picture.hold):
            if number == 0 or picture.moves:
                frame = picture.frame(made, number)
                meant = reading.expected(frame, made.matrix.name, chroma)
            for decoder in decoders:
                assert reading.same(next(decoder), meant), (picture.title, number)
    for decoder in decoders:
        assert next(decoder, None) is None
