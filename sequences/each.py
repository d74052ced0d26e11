"""``each``: the values that a step goes through, as lists or as ranges with units."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction

from sequences.problems import Collector, as_shown, one_of
from sequences.tree import Listing, Mapping, Node, Scalar, plain, resolve, text_of

MOST_STEPS = 5000
"""Steps in one sequence; nobody measures more in one sitting."""

MOST_KEYS = 8
"""Keys of one ``each``."""

_MEASURE = re.compile(
    r"(?:(?P<code>code)\s+)?(?P<number>[+-]?(?:\d{1,30}(?:\.\d{0,30})?|\.\d{1,30}))"
    r"(?:\s*(?P<unit>[^\s\d.+-]\S{0,20}))?"
)
_EXACT = Context(prec=100)


@dataclass(frozen=True)
class Value:
    """One value of ``each``: as a label says it, as a pattern takes it, and where it stands."""

    text: str
    value: object
    node: Node
    ranged: bool = False


@dataclass(frozen=True)
class _Quantity:
    number: Decimal
    unit: str

    def __str__(self) -> str:
        # "1.50" and "100" are told as "1.5" and "100", never with an exponent
        number = f"{self.number:f}"
        if "." in number:
            number = number.rstrip("0").rstrip(".")
        number = "0" if number == "-0" else number
        return f"code {number}" if self.unit == "code" else f"{number} {self.unit}".rstrip()


def values_of(name: str, node: Node, collector: Collector) -> list[Value]:
    """The values of one key; empty where they cannot be told, which the collector then knows."""
    if isinstance(node, Listing):
        return _listed(name, node, collector)
    if isinstance(node, Mapping):
        return _ranged(name, node, collector)
    if not node.broken:
        expected = "a list of values, or {from:, to:, step:}"
        collector.add(node, f"each {name}: {as_shown(node)}", expected)
    return []


def _listed(name: str, node: Listing, collector: Collector) -> list[Value]:
    if not node.items:
        collector.add(node, f"each {name}: an empty list", "one value or more")
    values = []
    for item in node.items:
        if isinstance(item, Scalar) and item.value is None:
            collector.follow(item, f"each {name}: nothing", "a value")
        else:
            values.append(Value(text_of(item), plain(item), item))
    return values


def _ranged(name: str, node: Mapping, collector: Collector) -> list[Value]:
    keys = ("from", "to", "step")
    sound = True
    for key, entry in node.entries.items():
        if key not in keys:
            collector.add(entry.key, f"unknown key in each {name} '{key}'", one_of(keys, key))
            sound = False
    parts: dict[str, _Quantity] = {}
    for key in keys:
        value = node.get(key)
        if value is None:
            collector.add(node, f"no {key} in each {name}", "from, to and step")
            continue
        quantity = _quantity(value)
        if quantity is None:
            expected = "a number with its unit, such as 5 %, or a plain number"
            collector.follow(value, f"each {name}.{key}: {as_shown(value)}", expected)
        else:
            parts[key] = quantity
    if not sound or len(parts) < len(keys):
        return []
    return _run(name, parts, node, collector)


def _run(
    name: str, parts: dict[str, _Quantity], node: Mapping, collector: Collector
) -> list[Value]:
    """All values from ``from`` to ``to``; the way follows from the two, a step has no sign."""
    first, last, step = parts["from"], parts["to"], parts["step"]
    at = {key: entry.value for key, entry in node.entries.items()}
    for key in ("to", "step"):
        if parts[key].unit != first.unit:
            found = f"each {name}.{key}: {as_shown(at[key])}"
            collector.add(at[key], found, f"the unit of from: {as_shown(at['from'])}")
            return []
    if step.number <= 0:
        expected = "more than 0: whether it goes up or down follows from from and to"
        collector.add(at["step"], f"each {name}.step: {as_shown(at['step'])}", expected)
        return []
    span = Fraction(last.number) - Fraction(first.number)
    gaps = abs(span) / Fraction(step.number)
    if gaps >= MOST_STEPS:
        collector.add(node, f"each {name}: more than {MOST_STEPS} values", "fewer")
        return []
    way = _EXACT.copy_sign(step.number, Decimal(1 if span >= 0 else -1))

    def at_gap(count: int) -> _Quantity:
        return _Quantity(_EXACT.add(first.number, _EXACT.multiply(way, Decimal(count))), first.unit)

    if gaps.denominator != 1:
        below, above = at_gap(int(gaps)), at_gap(int(gaps) + 1)
        steps = as_shown(at["step"])
        found = f"each {name}.to: {as_shown(at['to'])}, which steps of {steps} do not meet"
        collector.add(at["to"], found, f"{below} or {above}")
        return []
    values = []
    for count in range(int(gaps) + 1):
        text = str(at_gap(count))
        value = text if first.unit else resolve(text)
        values.append(Value(text, value, Scalar(node.line, node.column, text, value), ranged=True))
    return values


def _quantity(node: Node) -> _Quantity | None:
    if not isinstance(node, Scalar) or node.value is None:
        return None
    found = _MEASURE.fullmatch(node.text.strip())
    if found is None or (found["code"] and found["unit"]):
        return None
    return _Quantity(Decimal(found["number"]), found["code"] or found["unit"] or "")
