"""Sequences from files, from the shipped ones and from text."""

from __future__ import annotations

import hashlib
import stat
from pathlib import Path

from pydantic import ValidationError

from patterns.aim import NOT_STATED, Aim
from patterns.plain import plain as shown
from patterns.signal.measures import seconds
from patterns.signal.signal import Signal, named_signal, signal_names
from sequences.each import MOST_STEPS
from sequences.events import read_tree
from sequences.grammar import AimParts, Head, SignalParts
from sequences.messages import public_names, tell
from sequences.model import Sequence, Step
from sequences.problems import Collector, Problem, SequenceError, as_shown, one_of
from sequences.roles import Readers, require_roles
from sequences.steps import Times, steps_of
from sequences.tree import Listing, Mapping, Node, Scalar, plain

MOST_BYTES = 256 * 1024
"""Size of a sequence file; the longest shipped one has some 2 kB."""

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
    return load_text(_decoded(_contents(path, name), name), name, readers)


def load_text(text: str, source: str, readers: Readers | None = None) -> Sequence:
    """Read a sequence from its text; ``source`` is what problems call it, `readers` as in `load`.

    Raises SequenceError with every problem of the text.
    """
    if (size := len(text.encode("utf-8", "surrogatepass"))) > MOST_BYTES:
        raise _whole(source, *_too_large(size))
    collector = Collector(source)
    text = text.removeprefix("\ufeff")
    root = read_tree(text, collector)
    sequence = _sequence(root, text, readers, collector)
    if sequence is None or len(collector):
        raise SequenceError(collector.listed())
    return sequence


def _contents(path: Path, source: str) -> bytes:
    try:
        facts = path.stat()
        if stat.S_ISDIR(facts.st_mode):
            raise _whole(source, "a directory", "a sequence file")
        if not stat.S_ISREG(facts.st_mode):
            raise _whole(source, "no regular file", "a sequence file")
        if facts.st_size > MOST_BYTES:
            raise _whole(source, *_too_large(facts.st_size))
        with path.open("rb") as file:
            # the file may have grown since
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        expected = f"a sequence file, or the name of a shipped one: {one_of(shipped(), source)}"
        raise _whole(source, "no file of this name", expected) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _whole(source, f"no readable file ({why})", "a sequence file") from None
    if len(data) > MOST_BYTES:
        raise _whole(source, f"more than {MOST_BYTES:,} bytes", "a sequence file")
    return data


def _decoded(data: bytes, source: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        lines = before.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        found = f"the byte 0x{data[error.start]:02x}, which is not UTF-8 here"
        line, column = len(lines), len(lines[-1]) + 1
        problem = Problem(source, line, column, found, "text in UTF-8")
        raise SequenceError([problem]) from None


def _too_large(size: int) -> tuple[str, str]:
    return f"{size:,} bytes", f"a sequence of at most {MOST_BYTES:,}"


def _whole(source: str, found: str, expected: str) -> SequenceError:
    return SequenceError([Problem(source, None, None, found, expected)])


def _sequence(
    root: Node | None, text: str, readers: Readers | None, collector: Collector
) -> Sequence | None:
    """The sequence of a tree; None, or one not to be used, where the collector has problems."""
    if not isinstance(root, Mapping):
        empty = root is None or (isinstance(root, Scalar) and root.value is None)
        if not len(collector) or (root is not None and not root.broken and not empty):
            found = "an empty file" if empty or root is None else as_shown(root)
            collector.add(
                Node(1, 1) if root is None else root,
                found,
                "a mapping with title, signal and steps",
            )
        return None
    head = _head(root, collector)
    signal = _signal(root.get("signal"), collector)
    aim = _aim(root.get("aim"), signal, collector)
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
        sha256=hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest(),
        source=collector.source,
        aim=aim,
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


def _aim(node: Node | None, signal: Signal | None, collector: Collector) -> Aim:
    if node is None or node.broken:
        return NOT_STATED
    if not isinstance(node, Mapping):
        expected = f"a mapping with {', '.join(public_names(AimParts))}"
        collector.follow(node, f"aim: {as_shown(node)}", expected)
        return NOT_STATED
    try:
        aim = AimParts.model_validate(plain(node)).aim()
    except ValidationError as error:
        tell(error, AimParts, node, collector, "aim")
        return NOT_STATED
    if signal is not None:
        for name in aim.idle_in(signal.transfer.name):
            at = node.get(name) or node
            what = f"{name} in aim, of a signal of {signal.transfer.name}"
            collector.add(at, what, "none, as the signal says it itself")
    return aim


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
