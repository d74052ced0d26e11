"""No input ends in anything but a sequence or problems in one line each."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import sequences
from patterns.picture.canvas import Canvas
from sequences import SequenceError

SHIPPED = tuple(path.read_text("utf-8") for path in sequences.shipped().values())
FRAGMENTS = [
    "{", "}", "[", "]", ":", ": ", "- ", "? ", "&a ", "*a", "!!str ", "!x ", "|\n", ">\n", "'", '"',
    "#", "%", "@", "\t", "\n", "\n\n", "  ", "---\n", "...\n", "%YAML 1.1\n---\n", "\0", "\x1b",
    "\ufeff", "\u2028", "\ud800", '"\\U00FFFFFF"', '"\\ud800"', "~", "null", "true", ".inf", ".nan",
    "1e999", "-0", "0x1F", "9" * 25, "1." + "0" * 50 + " %", "code -1", "code 1.5", "code 9999999",
    "120 %", "-5 %", "1e5 %", "5 q", "{from: 0 %, to: 1 %, step: 0.1 %}",
    "{r: 1 %, g: 2 %, b: 3 %}", "{x: 0.3, y: 0.3, luminance: 50 cd/m2}", "{x: 0, y: 1e-9}",
    "{area}", "{from: 1, to: 2, step: 0}", "{{", "each: {}", "show:", "steps:", "signal: pq8",
    "read: choice",     "window", "level", "<<: ",
    "{transfer: hlg, primaries: bt709, bits: 8, range: full, black: 1 cd/m2}", "é", "漢",
]  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn, texts: tuple[str, ...] = SHIPPED) -> str:
    """A shipped sequence, or another text, with a few places cut, doubled or replaced."""
    text = draw(st.sampled_from(texts))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 25)))
        piece = st.sampled_from([*FRAGMENTS, "", text[start:end] * 2])
        text = text[:start] + draw(st.one_of(piece, st.text(max_size=6))) + text[end:]
    return text


def check(text: str) -> None:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    problems: tuple[sequences.Problem, ...] = ()
    sequence = error = None
    try:
        sequence = sequences.load_text(text, "f")
    except SequenceError as raised:
        error = raised
    if sequence is not None:
        assert [step.number for step in sequence.steps] == [*range(1, len(sequence.steps) + 1)]
        problems = tuple(sequences.drawable(sequence, Canvas(64, 64)))
    if error is not None:
        problems = error.problems
        assert problems
        assert len(str(error).splitlines()) == len(problems)
    for problem in problems:
        check_problem(problem, lines)


def check_problem(problem: sequences.Problem, lines: list[str]) -> None:
    said = str(problem)
    assert problem.found
    assert problem.expected
    assert not any(word in said for word in ("pydantic", "https:", "Value error", "validation"))
    assert len(said) < 1000
    if problem.line is not None and problem.column is not None:
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1


@given(st.text(max_size=200))
def test_any_text(text: str):
    check(text)


@given(st.lists(st.sampled_from(FRAGMENTS), max_size=12).map("".join))
def test_any_pieces_of_yaml(text: str):
    check(text)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(mutated())
def test_any_slip_in_a_shipped_sequence(text: str):
    check(text)


@given(data=st.binary(max_size=200))
def test_any_bytes(tmp_path_factory: pytest.TempPathFactory, data: bytes):
    file: Path = tmp_path_factory.getbasetemp() / "any.yaml"
    file.write_bytes(data)
    with pytest.raises(SequenceError):
        sequences.load(file)


@pytest.mark.campaign
@settings(max_examples=20_000, suppress_health_check=[HealthCheck.too_slow])
@given(st.one_of(mutated(), mutated().map(lambda text: text * 2)))
def test_twenty_thousand_slips_in_shipped_sequences(text: str):
    check(text)
