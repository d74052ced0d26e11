"""One entry of ``steps`` to the steps that it stands for."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import cast

from pydantic import ValidationError

from patterns.control import ADJUSTING
from patterns.faults import Faults, FaultsByRange
from patterns.kinds import KINDS, Pattern
from patterns.signal.measures import seconds
from sequences.adjusts import require_adjustable
from sequences.each import MOST_KEYS, MOST_STEPS, Value, values_of
from sequences.faults import faults_of
from sequences.grammar import StepKeys
from sequences.messages import public_names, tell
from sequences.model import SETTLE, Position, Read, Step
from sequences.problems import Collector, as_shown, one_of, one_of_many
from sequences.reads import read_of
from sequences.templates import fill, lone_braces, placeholders
from sequences.tree import Entry, Listing, Mapping, Node, Scalar, leaves, plain, shorten, text_of

Each = dict[str, list[Value]]


@dataclass(frozen=True)
class Times:
    """What the file says for steps that say nothing else, in seconds; None where it does not."""

    settle: Fraction | None
    hold: Fraction | None
    warm_up: Fraction = Fraction(0)


@dataclass
class _Shown:
    """What ``show`` asks for: the kind, where its name stands, and the parameters as written."""

    kind: type[Pattern]
    key: Scalar
    given: Mapping


@dataclass
class _Draft:
    """One entry as far as it could be read; None and empty where it could not."""

    node: Mapping
    keys: StepKeys
    shown: _Shown | None = None
    each: Each = field(default_factory=dict)
    read: Read | None = None
    faults: Faults | FaultsByRange | None = None


def parameter_names(kind: type[Pattern]) -> list[str]:
    """What a kind takes, as a file writes it, in alphabetical order."""
    return sorted(public_names(kind))


def steps_of(node: Node, times: Times, first: int, collector: Collector) -> tuple[list[Step], int]:
    """The steps of one entry, numbered from ``first``, and how many it asks for.

    Every problem of the entry goes to the collector; the steps are of use only where there is none.
    """
    if not isinstance(node, Mapping) or node.broken:
        collector.follow(node, as_shown(node), "a step: a mapping with show")
        return [], 1
    draft = _Draft(node, _keys(node, collector))
    for name, take in _TAKEN:
        value = node.get(name)
        if value is not None:
            take(draft, value, collector)
    _check_placeholders(draft, collector)
    _check_each_keys(draft, collector)
    _check_role(draft, collector)
    count = math.prod(len(values) or 1 for values in draft.each.values())
    if first + count - 1 > MOST_STEPS:
        at = node.entries["each"].key if draft.each else node
        collector.add(at, f"more than {MOST_STEPS} steps", "fewer")
        # one of them is enough to look for other problems
        draft.each = {name: values[:1] for name, values in draft.each.items()}
    return list(_expand(draft, times, first, collector)), count


def _keys(node: Mapping, collector: Collector) -> StepKeys:
    """The simple keys; wrong ones are told and left out."""
    given = cast(dict[str, object], plain(node))
    try:
        return StepKeys.model_validate(given)
    except ValidationError as error:
        tell(error, StepKeys, node, collector, "this step")
        wrong = {each["loc"][0] for each in error.errors(include_url=False)}
        right = {key: value for key, value in given.items() if key not in wrong}
        return StepKeys.model_validate({"show": None, **right})


def _take_show(draft: _Draft, node: Node, collector: Collector) -> None:
    if not isinstance(node, Mapping):
        expected = "a mapping with one key, the kind, as in show: {field: {level: 50 %}}"
        collector.follow(node, f"show: {as_shown(node)}", expected)
        return
    if len(node.entries) != 1:
        names = ", ".join(shorten(key, 30) for key in itertools.islice(node.entries, 5))
        found = f"{len(node.entries)} kinds in show ({names})" if names else "no kind in show"
        collector.add(node, found, "one kind")
        return
    (kind, entry), *_ = node.entries.items()
    if kind not in KINDS:
        collector.add(
            entry.key,
            f"unknown kind '{shorten(kind)}'",
            one_of_many("a kind", KINDS, kind, "litfield patterns"),
        )
        return
    given = entry.value
    if isinstance(given, Scalar) and given.value is None and not given.broken:
        given = Mapping(given.line, given.column)
    if not isinstance(given, Mapping):
        names = one_of(parameter_names(KINDS[kind]))
        collector.follow(
            given, f"{kind}: {as_shown(given)}", f"a mapping of its parameters: {names}"
        )
        return
    known = parameter_names(KINDS[kind])
    for name, parameter in given.entries.items():
        if name not in known:
            _unknown_parameter(parameter.key, name, kind, known, collector)
    right = {name: each for name, each in given.entries.items() if name in known}
    cut = len(right) < len(given)
    whole = Mapping(given.line, given.column, entries=right, cut=cut)
    draft.shown = _Shown(KINDS[kind], entry.key, whole)


def _unknown_parameter(
    at: Node, name: str, kind: str, known: list[str], collector: Collector
) -> None:
    found = f"unknown parameter '{shorten(name)}' of {kind}"
    collector.add(at, found, one_of(known, name))


def _take_each(draft: _Draft, node: Node, collector: Collector) -> None:
    if not isinstance(node, Mapping) or not node.entries:
        collector.follow(node, f"each: {as_shown(node)}", "a mapping of names to values")
        return
    if len(node) > MOST_KEYS:
        collector.add(node, f"each: {len(node)} keys", f"at most {MOST_KEYS}")
        return
    draft.each = {
        name: values_of(shorten(name, 30), entry.value, collector)
        for name, entry in node.entries.items()
    }


def _take_read(draft: _Draft, node: Node, collector: Collector) -> None:
    draft.read = read_of(node, collector)


def _take_faults(draft: _Draft, node: Node, collector: Collector) -> None:
    if draft.read is not None or "read" not in draft.node.entries:
        draft.faults = faults_of(node, draft.read, collector)


_TAKEN = (
    ("show", _take_show),
    ("each", _take_each),
    ("read", _take_read),
    ("faults", _take_faults),  # after read, of which they are answers
)


def _templates(draft: _Draft) -> list[tuple[str, str, Node]]:
    """Every text that may hold placeholders: what it is, the text, where it stands."""
    texts = [("label", draft.keys.label or ""), ("role", draft.keys.role or "")]
    if draft.read is not None:
        texts += [("read", draft.read.of), *(("read", each) for each in draft.read.choices)]
    return [(what, text, draft.node.entries[what].value) for what, text in texts if text]


def _check_placeholders(draft: _Draft, collector: Collector) -> None:
    known = list(draft.each)
    if not known and "each" in draft.node.entries:
        return  # it could not be read: nothing can be said of what it offers
    for what, text, at in _templates(draft):
        for brace in lone_braces(text):
            expected = f"{{name}} with a key of each, or {brace}{brace} for the brace itself"
            collector.add(at, f"a lone {brace} in {what}", expected)
        for name in placeholders(text):
            if name not in known:
                expected = one_of(known, name) if known else "no placeholder without each"
                collector.add(at, f"the placeholder {{{shorten(name, 30)}}} in {what}", expected)


def _used(draft: _Draft) -> set[str]:
    """Every placeholder, in texts that have another problem too."""
    nodes = [draft.node.get(name) for name in ("label", "role", "read")]
    texts = [leaf for node in nodes if node is not None for leaf in leaves(node).values()]
    names = [placeholders(leaf.text) for leaf in texts if isinstance(leaf, Scalar)]
    return {name for several in names for name in several}


def _check_each_keys(draft: _Draft, collector: Collector) -> None:
    """A key of ``each`` is a parameter that ``show`` leaves open, or a placeholder somewhere."""
    node = draft.node.get("each")
    if draft.shown is None or not isinstance(node, Mapping):
        return
    used, kind = _used(draft), draft.shown.kind
    known = parameter_names(kind)
    for name in draft.each:
        key = node.entries[name].key
        if name in draft.shown.given.entries:
            line = draft.shown.given.entries[name].key.line
            found = f"'{name}' in each, and in show on line {line}"
            collector.add(key, found, "it in one of them")
        elif name not in known and name not in used:
            expected = (
                f"a parameter of {kind.kind} ({one_of(known, name)}), or {{{shorten(name, 30)}}} "
                "in label, role or read"
            )
            collector.add(key, f"'{shorten(name)}' in each, which nothing uses", expected)


def _check_role(draft: _Draft, collector: Collector) -> None:
    """A step that adjusts has its own role, and no other step has that."""
    role, read = draft.node.get("role"), draft.read
    adjusts = read is not None and bool(read.adjusts)
    unread = read is None and "read" in draft.node.entries  # what it reads could not be told
    if role is None or draft.keys.role is None or unread:
        return
    if adjusts and draft.keys.role != ADJUSTING:
        found = f"the role {shorten(draft.keys.role, 40)} of a step that adjusts"
        collector.add(role, found, f"none, or {ADJUSTING}")
    elif not adjusts and draft.keys.role == ADJUSTING:
        found = f"the role {ADJUSTING} of a step that does not adjust"
        collector.add(role, found, "another role, or read: {adjust: [two-point]}")


def _expand(draft: _Draft, times: Times, first: int, collector: Collector) -> Iterator[Step]:
    shown, keys = draft.shown, draft.keys
    if shown is None:
        return
    wait = times.settle if keys.settle is None else seconds(keys.settle)
    hold = times.hold if keys.hold is None else seconds(keys.hold)
    warm_up = times.warm_up if keys.warm_up is None else seconds(keys.warm_up)
    known = {name: values for name, values in draft.each.items() if values}
    shown.given.cut |= len(known) < len(draft.each)
    swept = [name for name in known if name in parameter_names(shown.kind)]
    fixed = _places(shown.given)
    for number, values in enumerate(itertools.product(*known.values()), first):
        chosen = dict(zip(known, values, strict=True))
        assigned = {name: chosen[name] for name in swept if name not in shown.given.entries}
        pattern = _pattern(draft, shown, assigned, collector)
        if pattern is None:
            continue
        if draft.read is not None and draft.read.adjusts:
            require_adjustable(pattern, draft.read, shown.key, collector)
        variables = {name: value.text for name, value in chosen.items()}
        places = dict(fixed)
        for name, value in assigned.items():
            places |= _places(value.node, (name,))
        filled = _filler(variables)
        yield Step(
            number=number,
            label=filled(keys.label) if keys.label else _default_label(shown, variables),
            pattern=pattern,
            read=_filled_read(draft.read, filled),
            faults=_filled_faults(draft.faults, filled),
            role=_role(draft.read, filled(keys.role or "")),
            settle=_settle(pattern, draft.read) if wait is None else wait,
            hold=hold,
            importance=keys.importance,
            warm_up=warm_up,
            variables=variables,
            line=draft.node.line,
            column=draft.node.column,
            places=places,
        )


def _role(read: Read | None, role: str) -> str:
    return ADJUSTING if read is not None and read.adjusts else role


def _settle(pattern: Pattern, read: Read | None) -> Fraction:
    """Seconds to wait where nobody says: a meter must not read light that still rises or falls."""
    of_light = read is not None and read.of_light
    return SETTLE if of_light and not pattern.moves else Fraction(0)


def _filler(variables: dict[str, str]) -> Callable[[str], str]:
    return lambda text: fill(text, variables)


def _pattern(
    draft: _Draft, shown: _Shown, assigned: dict[str, Value], collector: Collector
) -> Pattern | None:
    data = cast(dict[str, object], plain(shown.given))
    data |= {name: value.value for name, value in assigned.items()}
    try:
        return shown.kind.model_validate(data)
    except ValidationError as error:
        each = draft.node.get("each")
        entries = dict(shown.given.entries)
        for name, value in assigned.items():
            key = cast(Mapping, each).entries[name].key
            entries[name] = Entry(key, value.node)
        cut = shown.given.cut
        whole = Mapping(shown.key.line, shown.key.column, entries=entries, cut=cut)
        owner = _owner(shown.kind.kind, list(entries))
        tell(error, shown.kind, whole, collector, owner)
        # the other values of a range stand at the same place: one problem there says enough
        for detail in error.errors(include_url=False):
            name = str(detail["loc"][0]) if detail["loc"] else ""
            if name in assigned and assigned[name].ranged:
                for each_value in draft.each[name]:
                    each_value.node.broken = True
        return None


def _owner(kind: str, names: list[str]) -> str:
    return f"{kind} with {', '.join(names)}" if names else f"{kind} without parameters"


def _places(node: Node, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], Position]:
    found = leaves(node, path)
    if path:
        found.setdefault(path, node)
    elif isinstance(node, Mapping):
        for name, entry in node.entries.items():
            found.setdefault((name,), entry.value)
    return {where: (each.line, each.column) for where, each in found.items()}


def _default_label(shown: _Shown, variables: dict[str, str]) -> str:
    """The kind, what was written of it, and the values of ``each``: ``window, area 10 %``."""
    given = {name: entry.value for name, entry in shown.given.entries.items()}
    parts = [
        f"{name} {shorten(text_of(node))}"
        for name, node in given.items()
        if isinstance(node, Scalar | Listing | Mapping)
    ]
    parts += [f"{name} {shorten(text)}" for name, text in variables.items()]
    return ", ".join([shown.kind.kind, *parts])


def _filled_read(read: Read | None, filled: Callable[[str], str]) -> Read | None:
    if read is None:
        return None
    choices = tuple(filled(each) for each in read.choices)
    return replace(read, of=filled(read.of), choices=choices)


def _filled_faults(
    faults: Faults | FaultsByRange | None, filled: Callable[[str], str]
) -> Faults | FaultsByRange | None:
    if isinstance(faults, FaultsByRange):
        return FaultsByRange(_filled(faults.full, filled), _filled(faults.narrow, filled))
    return _filled(faults, filled)


def _filled(faults: Faults | None, filled: Callable[[str], str]) -> Faults | None:
    if faults is None:
        return None
    return Faults(tuple(filled(each) for each in faults.choices), faults.above)
