"""PQ or HLG that a display shows as SDR is told from its greys, and right displays are let be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import sequences
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.place import Place
from patterns.signal.transfer.hlg import inverse_oetf
from patterns.signal.transfer.pq import eotf
from player.meters.base import Meter, MeterReading
from player.outputs.simulated import SimulatedOutput
from player.simulated import SimulatedDisplay
from player.simulated.files import load_display
from player.simulated_play import play_simulated, simulated_display
from player.visits import open_or_create
from readings.colorimetry.eetf import eetf
from readings.evidence.measured import Measured
from readings.findings import findings_from, findings_of
from readings.findings.base import Finding
from readings.report.gather import gather
from readings.report.summary import Summary, summary
from readings.visit.receives import RECEIVES
from readings.visit.records import Specification
from tests.readings.grey_readings import grey, signal_of_code
from tests.readings.made_readings import HLG, PQ, checked

Floats = NDArray[np.float64]
Display = Callable[[Floats], Floats]
"""From E' (n,) to cd/m2."""
NAME = "curve-mismatch"
COUNT = 200
ROLL_OFFS = ("hard", "late", "tanh", "soft", "curve of 4,000", "curve of 10,000")


def codes_of(name: str) -> list[int]:
    """10-bit codes of the greys of a shipped sequence, in narrow range."""
    sequence = sequences.load(name)
    greys = [step for step in sequence.steps if step.role == "grey"]
    frames = [step.pattern.frame(Canvas(640, 360), sequence.signal) for step in greys]
    return [int(frame.pixels()[180, 320, 0]) for frame in frames]


TONE_PQ, TONE_HLG = codes_of("tone-pq"), codes_of("tone-hlg")


def right_pq(chance: np.random.Generator, number: int) -> Display:
    """A display that takes PQ: of any peak, black and level, and one of several roll-offs."""
    peak = float(np.exp(chance.uniform(np.log(300), np.log(2000))))
    black = float(chance.choice([0.0, 0.0005, 0.05, 0.3, 1.0]))
    level = float(chance.uniform(0.85, 1.15))
    kind = ROLL_OFFS[number % len(ROLL_OFFS)]

    def light(signal: Floats) -> Floats:
        asked = level * eotf(signal)
        knee = {"late": 0.8, "tanh": 0.4}.get(kind, 0.0) * peak
        if kind == "hard":
            return black + np.minimum(asked, peak)
        if kind == "soft":
            return black + peak * asked / (peak + asked)
        if kind.startswith("curve"):
            master = 4000.0 if "4,000" in kind else 10_000.0
            return np.asarray(eetf(np.minimum(asked, master), peak, black, master))
        over = np.tanh(np.maximum(asked - knee, 0.0) / (peak - knee))
        return black + np.where(asked < knee, asked, knee + (peak - knee) * over)

    return light


def right_hlg(chance: np.random.Generator, number: int) -> Display:
    """A display that takes HLG, of any nominal peak; a third of them clip or bend below it."""
    peak = float(np.exp(chance.uniform(np.log(300), np.log(2000))))
    gamma = 1.2 + 0.42 * float(np.log10(peak / 1000))
    black = float(chance.choice([0.0, 0.0005, 0.05, 0.3]))
    end = peak * float(chance.uniform(0.6, 1.0)) if number % 3 == 0 else peak

    def light(signal: Floats) -> Floats:
        asked = peak * inverse_oetf(signal) ** gamma
        return black + (end * asked / (end + asked) if number % 4 == 1 else np.minimum(asked, end))

    return light


def sdr(chance: np.random.Generator, number: int) -> Display:
    """A display of SDR: a power law over its black, or BT.1886 with it, or sRGB."""
    exponent = float(chance.uniform(2.0, 2.6))
    white = float(np.exp(chance.uniform(np.log(100), np.log(500))))
    black = white * float(chance.choice([0.0, 1 / 5000, 1 / 1000, 1 / 400]))

    def light(signal: Floats) -> Floats:
        if number % 3 == 0:
            low, high = black ** (1 / exponent), white ** (1 / exponent)
            return np.asarray((high - low) ** exponent * (signal + low / (high - low)) ** exponent)
        if number % 3 == 1:  # IEC 61966-2-1 (from memory)
            bent = np.where(signal < 0.04045, signal / 12.92, ((signal + 0.055) / 1.055) ** 2.4)
            return black + (white - black) * bent
        return np.asarray(black + (white - black) * signal**exponent)

    return light


def read_of(
    display: Display,
    chance: np.random.Generator,
    codes: Sequence[int] = TONE_PQ,
    signal: dict[str, Any] = PQ,
    **changes: Any,
) -> list[Measured]:
    """Greys of these codes as a meter with errors of its own reads them."""
    light = display(np.array([signal_of_code(code, signal) for code in codes]))
    gain = 1 + chance.normal(0, 0.02)
    read = light * gain * (1 + chance.normal(0, 0.002, len(codes)))
    read = np.maximum(np.round(read + chance.normal(0, 0.0002, len(codes)), 4), 0)
    return [
        grey(n, code, float(luminance), None, signal=signal, **changes)
        for n, (code, luminance) in enumerate(zip(codes, read, strict=True), 1)
    ]


def one(given: list[Measured]) -> Finding:
    (found,) = findings_from(given, [NAME])
    return found


def verdicts(
    made: Callable[[np.random.Generator, int], Display], seed: int, **how: Any
) -> Counter[str]:
    """What is said of 200 displays."""
    chance = np.random.default_rng(seed)
    told: Counter[str] = Counter()
    for number in range(COUNT):
        found = one(read_of(made(chance, number), chance, **how))
        assert found.judgement is not None
        told[found.judgement.verdict] += 1
    return told


FEW = [code for code in TONE_PQ if code in {TONE_PQ[n] for n in (0, 2, 4, 5, 11, 20)}]


@pytest.mark.parametrize("codes", [TONE_PQ, FEW], ids=["tone-pq", "a few of it"])
def test_no_display_that_takes_pq_is_said_to_show_it_as_sdr(codes: list[int]) -> None:
    told = verdicts(right_pq, 1, codes=codes)
    assert told["bad"] == 0
    assert told["good"] >= 0.95 * COUNT


@pytest.mark.parametrize("codes", [TONE_PQ, FEW], ids=["tone-pq", "a few of it"])
def test_sdr_is_found_on_nearly_every_display_that_shows_pq_codes_so(codes: list[int]) -> None:
    told = verdicts(sdr, 2, codes=codes)
    assert told["bad"] >= 0.95 * COUNT
    assert told["good"] == 0


def test_windows_of_several_levels_tell_it_too_and_of_one_level_nothing_is_said() -> None:
    # windows of 10 to 10,000 cd/m2
    how = {"codes": [326, 509, 723, 940], "role": "window"}
    wrong, right = verdicts(sdr, 3, **how), verdicts(right_pq, 4, **how)
    assert right["bad"] == wrong["good"] == 0
    assert wrong["bad"] >= 0.7 * COUNT
    chance = np.random.default_rng(5)
    given = read_of(sdr(chance, 0), chance, [64, 940, 940, 940], role="window")
    assert findings_from(given, [NAME]) == []


def test_hlg_shown_as_sdr_is_told_where_it_can_be() -> None:
    how = {"codes": TONE_HLG, "signal": HLG}
    right, wrong = verdicts(right_hlg, 6, **how), verdicts(sdr, 7, **how)
    assert right["bad"] == wrong["good"] == 0
    assert right["good"] >= 0.95 * COUNT
    # an HLG display that rolls off early is a power law too: most are not told
    assert wrong["bad"] >= 0.05 * COUNT


def test_exponent_and_white_of_the_sdr_display_lie_within_their_intervals() -> None:
    chance = np.random.default_rng(8)
    inside = whites = 0
    for _ in range(40):
        exponent, white = chance.uniform(2.0, 2.6), chance.uniform(100, 500)
        found = one(read_of(lambda e, x=exponent, w=white: w * e**x, chance))
        values = [found.value("curve-sdr-exponent"), found.value("curve-sdr-white")]
        reaches = [each.interval for each in values if each is not None and each.interval]
        assert len(reaches) == 2
        # the meter's gain, 2 % standard, is in the white
        inside += reaches[0][0] <= exponent <= reaches[0][1]
        whites += reaches[1][0] <= white <= reaches[1][1]
        assert reaches[1][1] - reaches[1][0] >= 2 * 0.04 * white * 0.93
    assert inside >= 36
    assert whites >= 36


def test_it_says_how_sure_it_is_and_what_to_look_at() -> None:
    chance = np.random.default_rng(9)
    found = one(checked_greys(read_of(lambda e: 200 * e**2.2, chance)))
    assert found.title == "Curve: PQ is sent, what is shown looks like SDR (sure)"
    (warned,) = [each for each in found.warnings if each.startswith("PQ codes seem")]
    assert "HDR setting for this input" in warned
    assert "HDR mode of the operating system" in warned
    right = one(checked_greys(read_of(lambda e: np.minimum(eotf(e), 800.0), chance)))
    assert right.title == "Curve: what is shown looks like PQ, as it is sent (sure)"
    assert right.warnings == ()


def checked_greys(given: list[Measured]) -> list[Measured]:
    """The same, once seen that their finding keeps to what every finding keeps to."""
    assert checked(given, [NAME])
    return given


def test_what_is_neither_is_said_to_be_unsure() -> None:
    chance = np.random.default_rng(10)
    found = one(checked_greys(read_of(lambda e: 300 * e, chance)))
    assert found.title == "Curve: PQ is sent, what it is shown as is unsure"
    assert any("fit neither PQ nor" in each for each in found.warnings)
    # an SDR display so bright passes near PQ at a few greys that are not dark
    found = one(read_of(lambda e: 450 * e**2.2, chance, [327, 502, 616, 703, 940]))
    assert any("about alike" in each for each in found.warnings)
    assert found.judgement is not None
    assert found.judgement.verdict == "unsure"


def test_a_meter_of_which_nothing_is_known_tells_it_too() -> None:
    chance = np.random.default_rng(11)
    plain = {"specification": None, "instrument": None, "instrument_name": None}
    for display, wanted in ((lambda e: 150 * e**2.4, "bad"), (eotf, "good")):
        found = one(checked_greys(read_of(display, chance, **plain)))
        assert found.judgement is not None
        assert found.judgement.verdict == wanted
    rough = Specification(luminance_relative_uncertainty=0.1, luminance_floor=1.0)
    assert "looks like PQ" in one(read_of(eotf, chance, specification=rough)).title


def test_sdr_signals_are_left_alone() -> None:
    chance = np.random.default_rng(12)
    signal = {**PQ, "transfer": "bt1886"}
    assert findings_from(read_of(sdr(chance, 0), chance, signal=signal), [NAME]) == []


def in_run(run: int, given: list[Measured], **changes: Any) -> list[Measured]:
    """Readings as those of a run, numbered after it."""
    return [replace(r, run=run, reading=100 * run + r.step, **changes) for r in given]


def doubted(given: list[Measured]) -> set[int]:
    """The runs of which it puts readings in doubt."""
    runs = {each.reading: each.run for each in given}
    found = findings_from(given, [NAME])
    return {runs[id_] for each in found if each.doubt is not None for id_ in each.doubt.readings}


def test_other_runs_of_the_same_signal_are_in_doubt_until_a_run_is_shown_as_sent() -> None:
    chance = np.random.default_rng(13)
    wrong, right = read_of(sdr(chance, 0), chance), read_of(right_pq(chance, 0), chance)
    peak = read_of(sdr(chance, 0), chance, [940], role="window")
    hlg = read_of(sdr(chance, 0), chance, [940], signal=HLG, role="window")
    given = in_run(1, peak) + in_run(2, wrong) + in_run(3, peak)
    assert doubted(given) == {1, 2, 3}
    assert doubted(given + in_run(4, right) + in_run(5, peak) + in_run(6, hlg)) == {1, 2, 3}
    assert doubted(given + in_run(4, peak, output="files")) == {1, 2, 3}
    assert doubted(in_run(1, right) + in_run(2, peak)) == set()


def reported(answer: str, given: list[Measured]) -> list[Measured]:
    """The same, with what the operator read off the display."""
    return [replace(each, facts={**each.facts, RECEIVES: answer}) for each in given]


@pytest.mark.parametrize(
    ("signal", "answer", "sentence"),
    [
        (PQ, "sdr", "Curve: PQ is sent, and the display reported that it receives SDR"),
        (HLG, "sdr", "Curve: HLG is sent, and the display reported that it receives SDR"),
        (PQ, "hlg", "Curve: PQ is sent, and the display reported that it receives HDR HLG"),
    ],
)
def test_what_the_display_reported_is_told_where_no_greys_tell(
    signal: dict[str, Any], answer: str, sentence: str
) -> None:
    chance = np.random.default_rng(21)
    peak = read_of(sdr(chance, 0), chance, [940], signal=signal, role="window")
    assert findings_from(peak, [NAME]) == []
    (found,) = checked(reported(answer, peak), [NAME])
    assert (found.title, found.judgement and found.judgement.verdict) == (sentence, "bad")
    assert found.doubt is not None
    assert found.doubt.readings == {1}
    assert (
        found.doubt.why
        == sentence.removeprefix("Curve: ").replace(
            f"{signal['transfer'].upper()} is sent, and ", ""
        )
        + f" while {signal['transfer'].upper()} was sent"
    )
    assert found.values[0].written() == "1"
    assert "Look at the display's HDR setting for this input" in found.warnings[0]


@pytest.mark.parametrize("answer", ["pq", "unknown", "not asked"])
def test_a_right_answer_or_none_says_nothing_by_itself(answer: str) -> None:
    chance = np.random.default_rng(22)
    peak = read_of(right_pq(chance, 0), chance, [940], role="window")
    assert findings_from(reported(answer, peak), [NAME]) == []
    right = read_of(right_pq(chance, 0), chance)
    assert one(reported(answer, right)) == one(right)


def test_what_was_reported_and_what_the_greys_say_are_one_finding() -> None:
    chance = np.random.default_rng(23)
    both = one(reported("sdr", read_of(sdr(chance, 0), chance)))
    assert both.title == (
        "Curve: PQ is sent, and the display reported that it receives SDR; what is shown looks "
        "like SDR (sure)"
    )
    assert both.value("curve-sdr-exponent") is not None
    against = one(reported("sdr", read_of(right_pq(chance, 0), chance)))
    assert against.judgement is not None
    assert against.judgement.verdict == "bad"
    assert "Its greys look like PQ all the same." in against.warnings[0]


def test_what_was_read_under_a_right_report_is_not_in_doubt_for_a_wrong_one_elsewhere() -> None:
    chance = np.random.default_rng(24)
    peak = read_of(right_pq(chance, 0), chance, [502, 940], role="window")
    wrong, right = (in_run(1, reported(answer, peak)) for answer in ("sdr", "pq"))
    mended = [wrong[0], right[1]]  # the display's setting was changed within the run
    later, untold = in_run(2, reported("pq", peak)), in_run(3, peak)
    (found,) = findings_from(mended + later + untold, [NAME])
    assert found.doubt is not None
    assert found.doubt.readings == {wrong[0].reading, *(each.reading for each in untold)}
    by_greys = in_run(4, reported("sdr", read_of(sdr(chance, 0), chance)))
    assert doubted(later + by_greys) == {2, 4}


class AsSdr:
    """A meter before a display that shows whatever it gets as SDR: gamma 2.2, 200 cd/m2."""

    name, role, moves = "spot meter", "spot meter", "yes"
    specification = Specification(
        luminance_relative_uncertainty=0.04,
        luminance_repeatability=0.004,
        luminance_noise=0.0004,
        luminance_resolution=0.0001,
        luminance_floor=0.002,
    )

    def __init__(self, output: SimulatedOutput, seed: int) -> None:
        assert isinstance(output.display, Remembering)
        self.display = output.display
        self.chance = np.random.default_rng(seed)

    def aim(self, place: Place | None) -> None:
        """In the middle all the time."""

    def measure(self) -> MeterReading:
        frame = self.display.frame
        assert frame is not None
        row = frame.rows[frame.order[frame.height // 2]]
        signal = max(0.0, (int(row[row.shape[0] // 2][0]) - 64) / 876)
        light = round((0.02 + 200 * signal**2.2) * (1 + self.chance.normal(0, 0.002)), 4)
        return MeterReading(f"{light:.4f} 0.3127 0.3290", light, 0.3127, 0.3290)


class Remembering(SimulatedDisplay):
    """A simulated display that says what it was sent last."""

    frame: Frame | None = None

    def show(self, frame: Frame) -> None:
        self.frame = frame
        super().show(frame)


def page_of(path: Path, meter: Callable[[SimulatedOutput, int], Meter] | None) -> Summary:
    """The front page of a visit of PQ runs."""
    how = {} if meter is None else {"meter": meter}
    with open_or_create(path, name="lobby wall") as visit:
        for name in ("peak-by-area", "tone-pq"):
            display = Remembering(load_display("lobby-wall"))
            play_simulated(sequences.load(name), visit, display, canvas=Canvas(960, 540), **how)
    return summary(gather(path))


def test_on_the_front_page_it_is_said_first_and_nothing_read_so_is_good(tmp_path: Path) -> None:
    wrong = page_of(tmp_path / "sdr.visit", AsSdr)
    first = wrong.of("bad")[0]
    assert first.sentence == "Curve: PQ is sent, what is shown looks like SDR (sure)"
    assert any("HDR mode of the operating system" in each.text for each in first.figures)
    assert wrong.of("good") == []
    right = page_of(tmp_path / "pq.visit", None)
    said = [each.sentence for each in right.of("good")]
    assert "Curve: what is shown looks like PQ, as it is sent (sure)" in said


@pytest.mark.parametrize("model", ["lobby-wall", "ticket-desk"])
def test_the_simulated_displays_show_pq_as_it_is_sent_and_their_soft_hlg_is_not_told(
    tmp_path: Path, model: str
) -> None:
    told = {}
    with open_or_create(tmp_path / "lobby.visit", name="lobby wall") as visit:
        for name in ("tone-pq", "tone-hlg"):
            display = simulated_display(model)
            play_simulated(sequences.load(name), visit, display, canvas=Canvas(960, 540), seed=3)
        told = {each.played[1]: each.title for each in findings_of(visit, [NAME])}
    assert told == {
        "pq": "Curve: what is shown looks like PQ, as it is sent (sure)",
        "hlg": "Curve: HLG is sent, what it is shown as is unsure",
    }
