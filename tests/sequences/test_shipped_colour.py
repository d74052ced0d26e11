"""What the shipped sequences for peak, tone and colour show, step by step."""

import pytest

import sequences
from patterns.picture.canvas import Canvas

HD = Canvas(1920, 1080)


def frames(name):
    sequence = sequences.load(name)
    return sequence.steps, [step.pattern.frame(HD, sequence.signal) for step in sequence.steps]


def test_primaries_come_at_full_level_and_at_three_quarters():
    steps, shown = frames("primaries")
    assert [step.label for step in steps[:3]] == [
        "white at 100 %",
        "red at 100 %",
        "green at 100 %",
    ]
    assert [frame.inks["level"] for frame in shown[:8]] == [
        (255, 255, 255),
        (255, 0, 0),
        (0, 255, 0),
        (0, 0, 255),
        (0, 255, 255),
        (255, 0, 255),
        (255, 255, 0),
        (191, 191, 191),
    ]


def between_white_and_black(name: str):
    """What a colour sequence is about: after white and black, and before white for drift."""
    steps, shown = frames(name)
    ends = [step.role in {"target-white", "target-black"} for step in steps]
    assert ends[:2] == [True, True]
    last = len(ends) - 1 - ends[::-1].index(True)
    assert shown[last].inks["level"] == shown[0].inks["level"] == (255, 255, 255)
    assert shown[1].inks["level"] == (0, 0, 0)
    assert not any(ends[2:last])
    return steps[2:last], shown[2:last]


def test_saturation_sweeps_keep_the_luminance_of_each_colour():
    steps, shown = between_white_and_black("saturation-sweeps")
    assert len(steps) == 30
    for start in range(0, 30, 5):
        sweep = shown[start : start + 5]
        assert len({steps[start + n].variables["colour"] for n in range(5)}) == 1
        assert [steps[start + n].variables["saturation"] for n in range(5)] == [
            f"{share} %" for share in (20, 40, 60, 80, 100)
        ]
        wanted = {frame.facts["luminance_cd_m2"] for frame in sweep}
        assert max(wanted) - min(wanted) < 1e-12 * max(wanted)
        assert sweep[-1].inks["level"].count(0) + sweep[-1].inks["level"].count(191) == 3


def test_the_chart_is_shown_patch_by_patch_in_its_order():
    steps, shown = between_white_and_black("chart-24")
    names = [f"patch {n} of the 24-patch chart" for n in range(1, 25)]
    assert [frame.facts["colour"] for frame in shown[:24]] == names
    clipped = [
        step.label for step, frame in zip(steps, shown, strict=True) if "clipped" in frame.facts
    ]
    assert clipped == ["Chart, patch 18 (clipped where the signal cannot hold it)"]
    look = frames("chart-24")[0][-1]
    assert (look.label, look.role) == ("The whole chart, by eye", "chart-24-look")


def test_highlights_reach_from_250_to_10000_cd_m2_without_a_gap():
    steps, shown = frames("highlights")
    ladders = [frame.facts["levels"] for frame in shown[:4]]
    assert [(levels[0], levels[-1]) for levels in ladders] == [
        ("250 cd/m2", "950 cd/m2"),
        ("800 cd/m2", "2200 cd/m2"),
        ("2250 cd/m2", "5750 cd/m2"),
        ("5000 cd/m2", "10000 cd/m2"),
    ]
    # code 940 is 10000 cd/m2 in PQ, narrow range, 10 bits: Rec. ITU-R BT.2100-3 Tables 4 and 9
    assert shown[3].inks["patch 11"] == (940, 940, 940)
    channels = [step.variables["channel"] for step in steps[4:10]]
    assert channels == ["red", "green", "blue", "cyan", "magenta", "yellow"]


def test_windows_at_a_mean_have_it():
    steps, shown = frames("windows-constant-mean")
    for step, frame in zip(steps, shown, strict=True):
        mean = float(step.variables.get("mean", "25 %").removesuffix(" %"))
        assert frame.mean_level == pytest.approx(mean, abs=0.2)
    assert {step.role for step in steps} == {"window-at-mean", "grey-at-mean"}


def test_windows_on_two_percent_stand_on_its_code():
    _, shown = frames("windows-2-percent-background")
    # Round(64 + 876 * 0.02) = 82
    assert {frame.inks["background"] for frame in shown[1:]} == {(82, 82, 82)}
    assert shown[0].inks["level"] == (82, 82, 82)


def test_skin_tones_and_gamut_samples_are_each_shown_once():
    bodies = (between_white_and_black("skin-tones"), frames("gamut-samples"))
    for (steps, shown), count in zip(bodies, (16, 42), strict=True):
        assert len(steps) == count
        assert len({frame.sha256 for frame in shown}) == count


def test_meter_correction_shows_the_four_colours_three_to_check_and_white_again():
    steps, shown = frames("meter-correction")
    assert [(step.role, frame.inks["level"]) for step, frame in zip(steps, shown, strict=True)] == [
        ("correction-white", (255, 255, 255)),
        ("correction-red", (255, 0, 0)),
        ("correction-green", (0, 255, 0)),
        ("correction-blue", (0, 0, 255)),
        ("correction-cyan", (0, 255, 255)),
        ("correction-magenta", (255, 0, 255)),
        ("correction-yellow", (255, 255, 0)),
        ("correction-white", (255, 255, 255)),
    ]
    assert {step.read.quantity for step in steps} == {"colour"}
