"""Sequences from files, from the shipped ones and from text."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from patterns.plain import plain as shown
from patterns.signal.measures import seconds
from patterns.signal.signal import Signal, named_signal, signal_names
from sequences.aims import aim_of
from sequences.each import MOST_STEPS
from sequences.events import read_tree
from sequences.grammar import Head, SignalParts
from sequences.messages import public_names, tell
from sequences.model import Sequence, Step
from sequences.problems import Collector, SequenceError, as_shown, one_of
from sequences.roles import Readers, require_roles
from sequences.source import head_mapping, require_size, sha256_of, text_of_file
from sequences.steps import Times, steps_of
from sequences.tree import Listing, Mapping, Node, Scalar, plain

_SHIPPED = Path(__file__).parent / "shipped"


def shipped() -> dict[str, Path]:
    """The sequences that come with Litfield, by name."""
    found = {path.stem: path for path in _SHIPPED.glob("*.yaml")}
    return dict(sorted(found.items()))


def load(source: str | Path, readers: Readers | None = None) -> Sequence:
    """Read a sequence: the file at a path, or, given as text, the shipped one of that name.

    Args:
        source: which.
        readers: the findings that there are, which `finds` is held against; None holds it against
            nothing.

    Raises SequenceError with every problem of the file.
    """
    known = shipped()
    name = shown(str(source), lines=False)[:300] or "''"
    path = known[name] if isinstance(source, str) and source in known else Path(source)
    return load_text(text_of_file(path, name, "sequence", known), name, readers)


def load_text(text: str, source: str, readers: Readers | None = None) -> Sequence:
    """Read a sequence from its text; ``source`` is what problems call it, `readers` as in `load`.

    Raises SequenceError with every problem of the text.
    """
    require_size(text, source, "sequence")
    collector = Collector(source)
    text = text.removeprefix("\ufeff")
    root = read_tree(text, collector)
    sequence = _sequence(root, text, readers, collector)
    if sequence is None or len(collector):
        raise SequenceError(collector.listed())
    return sequence


def _sequence(
    root_node: Node | None, text: str, readers: Readers | None, collector: Collector
) -> Sequence | None:
    """The sequence of a tree; None, or one not to be used, where the collector has problems."""
    root = head_mapping(root_node, "a mapping with title, signal and steps", collector)
    if root is None:
        return None
    head = _head(root, collector)
    signal = _signal(root.get("signal"), collector)
    aim = aim_of(root.get("aim"), signal, collector)
    times = Times(None, None)
    if head is not None:
        hold = None if head.hold is None else seconds(head.hold)
        settle = None if head.settle is None else seconds(head.settle)
        times = Times(settle, hold, seconds(head.warm_up))
    before = len(collector)
    steps = _steps(root.get("steps"), times, collector)
    # a step that could not be read may have had the role
    if readers is not None and len(collector) == before:
        require_roles(root.get("finds"), steps, readers, collector)
    if head is None or signal is None:
        return None
    return Sequence(
        title=head.title,
        signal=signal,
        cautions=tuple(dict.fromkeys(head.cautions)),
        finds=tuple(dict.fromkeys(head.finds)),
        steps=tuple(steps),
        text=text,
        sha256=sha256_of(text),
        source=collector.source,
        aim=aim,
        at_the_screen=tuple(head.at_the_screen),
    )


def _head(root: Mapping, collector: Collector) -> Head | None:
    try:
        return Head.model_validate(plain(root))
    except ValidationError as error:
        tell(error, Head, root, collector, "the file")
        return None


def _signal(node: Node | None, collector: Collector) -> Signal | None:
    if node is None or node.broken:
        return None
    if isinstance(node, Mapping):
        try:
            return SignalParts.model_validate(plain(node)).signal()
        except ValidationError as error:
            tell(error, SignalParts, node, collector, "signal")
            return None
    names = signal_names()
    if isinstance(node, Scalar) and node.value in names:
        return named_signal(node.text)
    wrong = node.text if isinstance(node, Scalar) else ""
    expected = f"{one_of(names, wrong)}, or a mapping with {', '.join(public_names(SignalParts))}"
    collector.follow(node, f"signal: {as_shown(node)}", expected)
    return None


def _steps(node: Node | None, times: Times, collector: Collector) -> list[Step]:
    steps: list[Step] = []
    if not isinstance(node, Listing):
        return steps
    asked = 0
    for item in node.items:
        if asked > MOST_STEPS:
            break  # which has been told; looking further could take minutes
        more, count = steps_of(item, times, asked + 1, collector)
        steps += more
        asked += count
    return steps
