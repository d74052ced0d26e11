"""Every kind of the registry says what it is and can be written down and read back."""

import re
from dataclasses import replace

import pytest
from pydantic import ValidationError

from patterns.kinds import KINDS, Kinds, Pattern
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

CANVASES = [
    Canvas(*size)
    for size in (
        (1920, 1080),
        (3840, 2160),
        (7680, 4320),
        (4096, 2160),
        (3440, 1440),
        (1366, 768),
        (1080, 1920),
    )
]
NAMES = [f"{family}{bits}" for family in ("sdr", "pq", "hlg") for bits in (8, 10, 12, 16)]
SIGNALS = [
    replace(named_signal(name), range=range_) for name in NAMES for range_ in ("narrow", "full")
]

OTHERWISE = {
    "field": [{"level": {"x": 0.3127, "y": 0.329, "luminance": "48 cd/m2"}, "clip": True}],
    "window": [
        {"area": "4 %", "shape": "square", "level": {"r": "100 %", "g": "code 64", "b": "0 %"}},
        {"size": {"width": "100 px", "height": "12.5 %"}, "at": {"x": "100 px", "y": "25 %"}},
    ],
    "ladder": [{"from": "code 64", "to": "203 cd/m2", "steps": 5, "axis": "y"}],
    "ramp": [{"from": "-2 %", "to": "109 %", "channel": "cyan"}],
    "moving-box": [{"along": "row", "place": "64 px", "speed": "2 px/frame", "ends": "stop"}],
}
EVERY = [(name, dict(example)) for name, kind in KINDS.items() for example in kind.examples]
EVERY += [(name, parameters) for name, several in OTHERWISE.items() for parameters in several]


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_has_a_summary_and_every_parameter_a_description(name):
    kind = KINDS[name]
    assert kind.kind == name
    assert issubclass(kind, Pattern)
    assert len(kind.summary) > 10
    assert "\n" not in kind.summary
    undescribed = [key for key, field in kind.model_fields.items() if not field.description]
    assert not undescribed
    schema = kind.model_json_schema()
    assert all("description" in each for each in schema["properties"].values())


@pytest.mark.parametrize(("name", "parameters"), EVERY)
def test_parameters_read_back_make_the_same_pattern(suited, name, parameters):
    pattern = KINDS[name].model_validate(parameters)
    again = KINDS[name].model_validate(pattern.parameters())
    assert again == pattern
    assert again.parameters() == pattern.parameters()
    canvas, signal = Canvas(1920, 1080), suited(KINDS[name], named_signal("pq10"))
    assert again.frame(canvas, signal).sha256 == pattern.frame(canvas, signal).sha256


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_knows_only_its_own_parameters(name):
    with pytest.raises(ValidationError, match="Extra inputs are not permitted"):
        KINDS[name].model_validate({"no_such_thing": 1})
    with pytest.raises(ValidationError, match="frozen"):
        KINDS[name]().clip = True


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_takes_no_text_for_a_number_or_a_choice(name):
    with pytest.raises(ValidationError):
        KINDS[name].model_validate({"clip": "yes"})


def sound(frame, canvas):
    """Whether a frame fills its canvas with codes of its signal, each row kept once."""
    quantiser = frame.signal.quantiser
    assert (frame.width, frame.height) == (canvas.width, canvas.height)
    assert quantiser.lowest <= frame.rows.min()
    assert frame.rows.max() <= quantiser.highest
    assert len({row.tobytes() for row in frame.rows}) == len(frame.rows)
    assert set(frame.order.tolist()) == set(range(len(frame.rows)))


@pytest.mark.parametrize("name", KINDS)
def test_every_example_is_drawn_on_every_screen(suited, name):
    """Each screen with another signal in turn, so that all of them come up."""
    kind = KINDS[name]
    turn = list(KINDS).index(name)
    for example in kind.examples:
        pattern = kind.model_validate(dict(example))
        for canvas in CANVASES:
            signal = suited(kind, SIGNALS[turn * 7 % len(SIGNALS)])
            sound(pattern.frame(canvas, signal), canvas)
            turn += 1


@pytest.mark.parametrize("name", KINDS)
def test_every_example_is_drawn_in_every_signal(suited, name):
    kind, canvas = KINDS[name], Canvas(640, 360)
    for example in kind.examples:
        pattern = kind.model_validate(dict(example))
        for signal in SIGNALS:
            sound(pattern.frame(canvas, suited(kind, signal)), canvas)


@pytest.mark.campaign
@pytest.mark.parametrize("name", KINDS)
def test_every_example_is_drawn_on_every_screen_in_every_signal(suited, name):
    kind = KINDS[name]
    for example in kind.examples:
        pattern = kind.model_validate(dict(example))
        for canvas in CANVASES:
            for signal in SIGNALS:
                sound(pattern.frame(canvas, suited(kind, signal)), canvas)


def test_names_of_kinds_are_words_with_hyphens():
    words = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
    assert [name for name in KINDS if not words.fullmatch(name)] == []


def test_a_kind_is_loaded_only_when_it_is_asked_for():
    kinds = Kinds({"field": "window.Field", "not yet drawn": "nowhere.Nothing"})
    assert list(kinds) == ["field", "not yet drawn"]
    assert "not yet drawn" in kinds
    assert "field " not in kinds
    assert kinds["field"] is KINDS["field"]
    with pytest.raises(ModuleNotFoundError):
        kinds["not yet drawn"]
    with pytest.raises(KeyError):
        kinds["field "]
