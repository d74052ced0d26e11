"""The sequences that come with Litfield: they load, say what they are for, and can be shown."""

from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from patterns.signal.quantise import RANGES, Range
from readings.findings import FINDINGS
from sequences import Sequence
from sequences.duration import sequence_seconds

NAMES = [
    "adjust-backlight-first",
    "adjust-backlight-first-pq",
    "adjust-six-colour",
    "adjust-six-colour-pq",
    "adjust-ten-point",
    "adjust-ten-point-pq",
    "adjust-two-point",
    "adjust-two-point-pq",
    "adjust-two-then-ten",
    "adjust-two-then-ten-pq",
    "bars-hlg",
    "bars-pq",
    "black-and-contrast",
    "by-hand",
    "chart-140",
    "chart-24",
    "column-crawl",
    "contrast-by-boxes",
    "dead-pixels",
    "delay-flash",
    "ebu-3325-colour",
    "ebu-3325-contrast",
    "ebu-3325-grey",
    "edge-crawl",
    "gamut-samples",
    "geometry",
    "greyscale-11",
    "greyscale-21",
    "halo",
    "highlights",
    "line-up-hdr",
    "line-up-sdr",
    "meter-correction",
    "motion",
    "near-black",
    "near-black-pq",
    "near-white",
    "panel-inversion",
    "path-check-10",
    "path-check-8",
    "peak-by-area",
    "peak-over-time",
    "primaries",
    "saturation-sweeps",
    "skin-tones",
    "star-field",
    "sub-pixels",
    "tone-hlg",
    "tone-pq",
    "uniformity-25",
    "uniformity-9",
    "viewing-angle",
    "warm-up",
    "window-25-places",
    "windows-2-percent-background",
    "windows-constant-mean",
    "zone-count",
    "zone-trace-columns",
    "zone-trace-rows",
]
ADJUSTMENTS = [name for name in NAMES if name.startswith("adjust-")]
TRACES = ["zone-trace-columns", "zone-trace-rows"]
"""Made for a meter that reads by itself, a box every few pixels: many steps, soon settled."""
REFUSED = {
    # Near black asks for single codes of 8-bit full range. 8-bit narrow range has 220 codes for
    # those 256: codes 3 and 4 would both become 19, so the patches and the fields are refused.
    ("near-black", 8, "narrow"): {(11, 5), (16, 5), (38, 19)},
    ("near-white", 8, "narrow"): {(11, 5), (16, 5), (30, 19)},
    # 8 bits have nothing finer to compare with 8 bits.
    ("path-check-10", 8, "narrow"): {(34, 5)},
    ("path-check-10", 8, "full"): {(34, 5)},
    # Rec. ITU-R BT.2111 defines 10 and 12 bits only, and HLG in narrow range only.
    ("bars-pq", 8, "narrow"): {(11, 5), (17, 5), (22, 5), (28, 5)},
    ("bars-pq", 8, "full"): {(11, 5), (17, 5), (22, 5), (28, 5)},
    ("bars-hlg", 8, "narrow"): {(11, 5), (17, 5), (22, 5), (28, 5)},
    ("bars-hlg", 8, "full"): {(11, 5), (17, 5), (22, 5), (28, 5)},
    ("bars-hlg", 10, "full"): {(11, 5), (17, 5), (22, 5), (28, 5)},
}
CANVASES = [Canvas(1920, 1080), Canvas(3840, 2160), Canvas(1366, 768), Canvas(1080, 1920)]


def roles(sequence: Sequence) -> list[str]:
    return [step.role for step in sequence.steps]


def test_the_shipped_sequences_are_these():
    assert list(sequences.shipped()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_sequence_loads_by_name_and_by_path(name: str):
    by_name, by_path = sequences.load(name), sequences.load(sequences.shipped()[name])
    assert by_name.source == name
    assert by_name.steps == by_path.steps
    assert by_name.sha256 == by_path.sha256


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_sequence_tells_what_it_is_and_what_to_do(name: str):
    sequence = sequences.load(name)
    assert sequence.cautions
    assert set(sequence.finds) <= set(FINDINGS)
    assert all(step.read is not None and step.role for step in sequence.steps)
    if name in TRACES:
        assert len(sequence.steps) < 300
        assert {step.settle for step in sequence.steps} == {1}
    else:
        assert all(step.settle >= 3 for step in sequence.steps)
        longest = {"warm-up": 3600, "chart-140": 2400}.get(name, 600)
        longest = 1300 if name in ADJUSTMENTS else longest
        assert sequence_seconds(sequence, Canvas(3840, 2160)) < longest
    assert all(each.endswith(".") for each in sequence.at_the_screen)
    written = sequence.text.count("label:")
    assert written == sequence.text.count("show:")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("canvas", CANVASES, ids=str)
def test_a_shipped_sequence_can_be_shown_as_written(name: str, canvas: Canvas):
    assert sequences.drawable(sequences.load(name), canvas) == []


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("range_", RANGES)
def test_a_shipped_sequence_can_be_shown_at_8_and_10_bits(name: str, bits: int, range_: Range):
    sequence = sequences.load(name)
    shown = sequence.signal.shown_at(bits, range_)
    places = {
        (problem.line, problem.column)
        for canvas in CANVASES[2:]
        for problem in sequences.drawable(sequence, canvas, shown)
    }
    assert places == REFUSED.get((name, bits, range_), set())


@pytest.mark.parametrize("name", ADJUSTMENTS)
def test_an_adjustment_turns_the_menus_of_its_name_on_one_patch_and_warns_of_service_menus(
    name: str,
):
    sequence = sequences.load(name)
    menus = {
        "adjust-two-point": [("two-point",)],
        "adjust-ten-point": [("multi-point",)],
        "adjust-two-then-ten": [("two-point",), ("multi-point",)],
        "adjust-backlight-first": [("backlight", "preset"), ("two-point",)],
        "adjust-six-colour": [("six-colour",)],
    }[name.removesuffix("-pq")]
    reads = [step.read for step in sequence.steps if step.read is not None]
    assert [read.adjusts for read in reads] == menus
    assert roles(sequence) == ["adjusting"] * len(menus)
    assert any("service menu" in each for each in sequence.at_the_screen)
    pq = name.endswith("-pq")
    assert sequence.signal.transfer.name == ("pq" if pq else "bt1886")
    assert {read.levels[-1] for read in reads} <= ({58, 70} if pq else {100})


def test_black_and_contrast_reads_all_sixteen_boxes_once():
    sequence = sequences.load("black-and-contrast")
    stray = ["stray-masked", "stray-black"]
    assert roles(sequence) == ["white", "black", *["lit"] * 8, *["dark"] * 8, *stray, "white"]
    boxes = {role: [int(s.variables["box"]) for s in sequence.steps if s.role == role]
             for role in ("lit", "dark")}  # fmt: skip
    # box n counts from the top left; in a 4x4 board that starts lit, row + column tells which
    assert boxes["lit"] == [n for n in range(1, 17) if ((n - 1) // 4 + (n - 1) % 4) % 2 == 0]
    assert sorted(boxes["lit"] + boxes["dark"]) == list(range(1, 17))
    assert sequence.steps[2].read == sequences.Read("luminance", "box 1")
    assert sequence.finds == ("contrast",)


GREYS = ["greyscale-11", "greyscale-21", "ebu-3325-grey", "tone-pq", "tone-hlg"]


@pytest.mark.parametrize(("name", "count"), [("greyscale-11", 11), ("greyscale-21", 21)])
def test_greyscale_goes_from_black_to_white_in_even_steps(name: str, count: int):
    sequence = sequences.load(name)
    greys = [step for step in sequence.steps if step.role == "grey"]
    levels = [step.variables["level"] for step in greys]
    assert (len(levels), levels[0], levels[1], levels[-1]) == (
        count,
        "0 %",
        f"{100 // (count - 1)} %",
        "100 %",
    )
    assert {step.pattern.parameters()["area"] for step in sequence.steps} == {"10 %"}


@pytest.mark.parametrize("name", GREYS)
def test_white_comes_first_as_the_greys_are_shown_so_that_they_have_targets(name: str):
    sequence = sequences.load(name)
    white, *greys = sequence.steps
    assert (white.role, white.importance, white.settle) == ("white", "first", 15)
    assert {step.role for step in greys} == {"grey"}
    canvas = Canvas(1920, 1080)
    frame = white.pattern.frame(canvas, sequence.signal)
    codes = frame.rows[frame.order[540], 960].tolist()
    assert codes == [sequence.signal.quantiser.white] * 3
    # the grey of the same codes is the same picture
    frames = [step.pattern.frame(canvas, sequence.signal) for step in greys]
    alike = [each for each in frames if each.rows[each.order[540], 960].tolist() == codes]
    assert [each.sha256 for each in alike] == [frame.sha256]


def test_white_comes_before_what_is_read_near_black_and_after_what_eyes_judge():
    steps = sequences.load("near-black").steps
    assert [step.role for step in steps][:5] == [
        *("near-black-patches", "near-black-look", "white", "black", "near-black"),
    ]


def test_peak_by_area_shows_black_and_seven_windows_of_full_peak():
    sequence = sequences.load("peak-by-area")
    assert roles(sequence) == ["black", *["window"] * 7]
    assert sequence.signal.name == "pq10"
    frame = sequence.steps[3].pattern.frame(Canvas(1920, 1080), sequence.signal)
    assert frame.inks["level"] == (940, 940, 940)
    assert sequence.finds == ("window-peak",)


@pytest.mark.parametrize("name", ["tone-pq", "tone-hlg"])
def test_a_tone_curve_is_read_from_black_to_white_in_windows_of_one_area(name: str):
    sequence = sequences.load(name)
    canvas = Canvas(1920, 1080)
    greys = [step for step in sequence.steps if step.role == "grey"]
    frames = [step.pattern.frame(canvas, sequence.signal) for step in greys]
    codes = [frame.inks["level"][0] for frame in frames]
    assert codes == sorted(set(codes))
    assert (len(codes), codes[0], codes[-1]) == (21, 64, 940)
    assert sequence.finds == ("tone", "greyscale", "curve-mismatch")


@pytest.mark.parametrize("name", GREYS)
def test_the_black_that_greys_are_judged_by_has_time_to_fade(name: str):
    _, first, *rest = sequences.load(name).steps
    assert first.settle == 15
    assert max(step.settle for step in rest) < 15


def test_near_black_in_pq_has_the_codes_that_its_comment_says():
    sequence = sequences.load("near-black-pq")
    inks = [step.pattern.frame(CANVASES[0], sequence.signal).inks for step in sequence.steps]
    # 64 + 876 E' with E' by the inverse EOTF of SMPTE ST 2084, worked out with colour-science
    codes = [64, 77, 83, 90, 104, 119, 137, 167, 195, 229, 281]
    assert inks == [{"level": (code, code, code)} for code in codes]


def test_near_black_ends_with_low_fields_by_code():
    sequence = sequences.load("near-black")
    codes = [step.variables["level"] for step in sequence.steps if step.role == "near-black"]
    assert codes == [f"code {n}" for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 20, 24)]


def test_edge_crawl_moves_along_the_top_and_the_left_edge():
    sequence = sequences.load("edge-crawl")
    assert [step.variables["along"] for step in sequence.steps] == ["top", "left"]
    assert all(step.pattern.moves for step in sequence.steps)
    assert {step.read.quantity for step in sequence.steps if step.read} == {"tally"}


def test_the_path_checks_look_at_range_depth_codes_and_colour():
    eight, ten = sequences.load("path-check-8"), sequences.load("path-check-10")
    ends = ["range-black", "range-black-look", "range-white"]
    light = ["range-light"] * 6
    assert roles(eight) == [*ends, *["code-ramp"] * 4, "code-ramp-dark", "chroma", *light]
    assert roles(ten) == [*ends, "depth", "depth", *["code-ramp"] * 4, "chroma", *light]
    assert (eight.signal.name, ten.signal.name) == ("sdr8", "sdr10")
    slopes = [step.pattern for step in ten.steps if step.role == "depth"]
    frames = [slope.frame(Canvas(1920, 1080), ten.signal) for slope in slopes]
    assert [frame.facts["levels_below"] for frame in frames] == [6, 23]


def test_path_checks_as_they_were_once_shipped_can_still_be_read():
    text = (
        "title: Signal path\nsignal: sdr8\nsteps:\n"
        "  - each: {patch: [dark 1, dark 5, dark 8]}\n    show: {range-check: {ends: black}}\n"
        '    label: Light of {patch}\n    read: {luminance: "{patch}"}\n    role: range-light\n'
    )
    steps = sequences.load_text(text, "before.yaml").steps
    assert [step.read.of for step in steps if step.read] == ["dark 1", "dark 5", "dark 8"]
    assert {step.pattern.kind for step in steps} == {"range-check"}


def test_geometry_shows_pixels_lines_circles_and_rings():
    sequence = sequences.load("geometry")
    kinds = list(dict.fromkeys(step.pattern.kind for step in sequence.steps))
    assert kinds == ["border", "pixel-checks", "lines", "grid", "circles", "zone-plate"]


def test_a_file_of_a_shipped_name_is_found_by_its_path(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "near-black").write_text(
        "title: Mine\nsignal: sdr8\nsteps: [show: {field: }]\n", "utf-8"
    )
    monkeypatch.chdir(tmp_path)
    assert sequences.load("near-black").title == "Near black"
    assert sequences.load("./near-black").title == "Mine"
    assert sequences.load(Path("near-black")).title == "Mine"


def test_what_everything_else_is_judged_by_comes_first_and_looks_and_drift_come_last():
    found = {
        name: {
            rank: list(dict.fromkeys(each.role for each in steps if each.importance == rank))
            for rank in ("first", "last")
        }
        for name, steps in ((each, sequences.load(each).steps) for each in NAMES)
    }
    last = ["stray-masked", "stray-black", "white"]
    assert found["black-and-contrast"] == {"first": ["white", "black"], "last": last}
    assert found["halo"] == {"first": ["black", "halo-box"], "last": ["halo-look"]}
    assert found["uniformity-9"] == {"first": ["uniformity"], "last": ["drift"]}
    assert found["star-field"]["last"] == ["star-look", "moving-star-look"]


@pytest.mark.parametrize("name", NAMES)
def test_a_reading_again_for_drift_is_never_taken_before_the_first(name: str):
    last = [each for each in sequences.load(name).steps if "for drift" in each.label]
    assert all(each.importance == "last" for each in last)
