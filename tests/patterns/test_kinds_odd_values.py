"""Whatever a parameter is given, a kind draws its frame or says in one sentence why not.

And where it does not, it blames a parameter that was given.
"""

import json
from functools import cache
from random import Random
from typing import get_args

import pytest
from pydantic import BaseModel, ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

NUMBERS = ["0", "1", "-1", "7", "25", "99.99", "100", "100.01", "1023", "65535", "16384"]
NUMBERS += ["0.0001", ".5", "-0", "9" * 30, f"0.{'0' * 30}1"]
UNITS = ["%", "cd/m2", "px", "px/s", "px/frame", "s/screen", "Hz", "s", "ms", "dots/Mpx", "nits"]
WORDS = ["", " ", "lit", "top", "white", "square", "none", "100/0/75/0", "0/0/0/1", "[red]", "\x00"]
PLAIN = [0, 1, 2, 9, 24, 255, 16384, 10**6, -1, 10**12, 0.5, 1e300, float("nan"), float("inf")]
PLAIN += [None, True, "x" * 3000]
CANVASES = [Canvas(64, 64), Canvas(64, 2048), Canvas(2048, 64), Canvas(642, 360)]
SIGNALS = ["sdr8", "sdr10", "pq10", "pq16", "hlg10"]


def measure(random: Random) -> str:
    number = random.choice(NUMBERS)
    return f"code {number}" if random.random() < 0.2 else f"{number} {random.choice(UNITS)}"


def anything(random: Random) -> object:
    draw = random.random()
    if draw < 0.5:
        return measure(random)
    if draw < 0.8:
        return random.choice(PLAIN)
    if draw < 0.9:
        return random.choice(WORDS)
    keys = random.choice(
        [("x", "y"), ("width", "height"), ("r", "g", "b"), ("x", "y", "luminance")]
    )
    made = {key: measure(random) for key in keys}
    return made if draw < 0.97 else list(made.values())


def draw(kind: str, random: Random) -> None:
    model = KINDS[kind]
    names = [field.alias or name for name, field in model.model_fields.items()]
    given = {name: anything(random) for name in random.sample(names, min(len(names), 2))}
    given |= {"clip": True} if random.random() < 0.4 else {}
    try:
        pattern = model.model_validate(given)
    except ValidationError:
        return
    json.dumps(pattern.parameters(), allow_nan=False)
    canvas, signal = random.choice(CANVASES), random.choice(SIGNALS)
    try:
        frame = pattern.frame(canvas, named_signal(signal))
    except PatternError as error:
        if model.made_for(named_signal(signal)):
            check_blame(pattern, error, given, plain_fits=draws(kind, canvas, signal))
        return
    assert -7 <= frame.mean_level <= 110
    assert 0 <= frame.max_fall <= frame.max_cll


@cache
def draws(kind: str, canvas: Canvas, signal: str) -> bool:
    """Whether the kind can be drawn with all its parameters as they are usually."""
    try:
        KINDS[kind]().frame(canvas, named_signal(signal))
    except PatternError:
        return False
    return True


def check_blame(pattern, error: PatternError, given: dict[str, object], *, plain_fits: bool):
    assert error.parameters, error
    for path in error.parameters:
        assert stands_in(type(pattern), pattern.parameters(), path), (path, error)
    if plain_fits:
        assert {path[0] for path in error.parameters} & set(given), (error, error.parameters)


def stands_in(model: type[BaseModel], written: object, path: tuple[str, ...]) -> bool:
    """Whether a path leads to a value of a written pattern, or, where it is None, of its model."""
    first, *below = path
    if isinstance(written, list):
        return first.isdecimal() and int(first) < len(written) and not below
    if isinstance(written, dict) and first in written and written[first] is not None:
        return not below or stands_in(model, written[first], tuple(below))
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    if not isinstance(written, dict) or first not in fields:
        return False
    inside = [each for each in get_args(fields[first].annotation) if hasattr(each, "model_fields")]
    return not below or any(below[0] in each.model_fields for each in inside)


@pytest.mark.parametrize("kind", KINDS)
def test_odd_parameters_are_drawn_or_refused(kind):
    random = Random(kind)  # noqa: S311 - odd values are no secrets
    for _ in range(40):
        draw(kind, random)


@pytest.mark.campaign
@pytest.mark.parametrize("kind", KINDS)
def test_a_great_many_odd_parameters_are_drawn_or_refused(kind):
    random = Random(f"{kind}, at length")  # noqa: S311 - odd values are no secrets
    for _ in range(2000):
        draw(kind, random)
