"""The controls of a display from a file: what its menu has, as found, in families.

A file names the display and lists controls. One entry may stand for many: the product of its levels
and its channels, in the order in which they are written, the channels within each level.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, WithJsonSchema

from patterns.control import (
    CHANNELS,
    DOES,
    MOST_CLICKS,
    PRIMARIES,
    WHOLE,
    Channel,
    Control,
    Does,
    off_step,
)
from patterns.plain import plain as shown
from sequences.events import read_tree
from sequences.grammar import Line
from sequences.json_schema import DIALECT, Json, model_schema
from sequences.messages import tell
from sequences.problems import Collector, SequenceError, as_shown, one_of
from sequences.reads import percent_of
from sequences.source import head_mapping, require_size, text_of_file
from sequences.templates import fill, lone_braces, placeholders
from sequences.tree import Listing, Mapping, Node, Scalar, plain, shorten

MOST_CONTROLS = 200
"""That one display can have: a choice of our own. Twenty points of three channels are 60."""
UNCOLOURED: tuple[Does, ...] = ("backlight", "preset")
SIX: tuple[Does, ...] = ("hue", "saturation", "brightness")
USUAL_NAMES: dict[Does, str] = {
    "point": "{level} {channel}",
    "backlight": "backlight",
    "preset": "preset",
}
"""What controls are called where the file gives no name; others `{channel} gain` and the like."""


@dataclass(frozen=True, slots=True)
class DisplayControls:
    """The controls of a display, in the order of its file."""

    display: str | None
    """The display's name; None where the file does not say."""
    controls: tuple[Control, ...]


class ListKeys(BaseModel):
    """The keys of the file. ``controls`` are looked at more closely elsewhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    display: Line | None = Field(None, description="the display that they belong to")
    controls: Annotated[list[Any], Field(min_length=1, max_length=MOST_CONTROLS)] = Field(
        description="what the display's menu has"
    )


class ControlKeys(BaseModel):
    """The keys of one entry. Those of type Any are looked at more closely elsewhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    does: Annotated[Does, WithJsonSchema({"enum": list(DOES)})] = Field(description="what it moves")
    name: Line | None = Field(
        None, description="as in the menu; {channel} and {level} are filled in"
    )
    channel: Any = Field(None, description="the channel that it moves")
    channels: Any = Field(None, description="several: a control for each")
    level: Any = Field(None, description="point: where it is, percent of the signal")
    levels: Any = Field(None, description="point: several, a control for each")
    range: Any = Field(description="what the menu reads at its lowest and at its highest")
    step: Annotated[float, Field(gt=0, le=1e6)] = Field(
        1.0, description="by how much one click changes what the menu reads"
    )
    found: Any = Field(
        description="what the menu reads now: a number, one for each channel, or a list"
    )


def load_controls(path: str | Path) -> DisplayControls:
    """Read the controls of a display from a file.

    Raises SequenceError with every problem of the file, each with its line and column.
    """
    name = shown(str(path), lines=False)[:300] or "''"
    return load_controls_text(text_of_file(Path(path), name, "control list", ()), name)


def load_controls_text(text: str, source: str) -> DisplayControls:
    """The same from its text; ``source`` is what problems call it."""
    require_size(text, source, "control list")
    collector = Collector(source, "control list")
    tree = read_tree(text.removeprefix("\ufeff"), collector)
    root = head_mapping(tree, "a mapping with controls", collector)
    found = None if root is None else _controls(root, collector)
    if found is None or len(collector):
        raise SequenceError(collector.listed())
    return found


def _controls(root: Mapping, collector: Collector) -> DisplayControls | None:
    head = None
    try:
        head = ListKeys.model_validate(plain(root))
    except ValidationError as error:
        tell(error, ListKeys, root, collector, "the file")
    reader, nodes = _Reader(collector), root.get("controls")
    for node in nodes.items[:MOST_CONTROLS] if isinstance(nodes, Listing) else ():
        reader.take(node)
        if len(reader.controls) > MOST_CONTROLS:
            found = f"{len(reader.controls)} controls up to here"
            collector.add(node, found, f"at most {MOST_CONTROLS}")
            break
    return None if head is None else DisplayControls(head.display, tuple(reader.controls))


class _Reader:
    """Reads entries one after another: names and controls come once each."""

    def __init__(self, collector: Collector) -> None:
        self.collector = collector
        self.controls: list[Control] = []
        self._names: dict[str, int] = {}
        """The line of each."""
        self._same: dict[tuple[object, ...], int] = {}

    def take(self, node: Node) -> None:
        """Read one entry; what is wrong with it goes to the collector."""
        if not isinstance(node, Mapping) or node.broken:
            self.collector.follow(node, as_shown(node), "a control: a mapping with does")
            return
        try:
            keys = ControlKeys.model_validate(plain(node))
        except ValidationError as error:
            tell(error, ControlKeys, node, self.collector, "this control")
            return
        before = len(self.collector)
        channels, levels = self._channels(node, keys), self._levels(node, keys)
        ends = self._range(node)
        if ends is not None:
            self._require_whole(node, keys, ends)
        if len(self.collector) > before or ends is None:
            return
        count = len(channels) * len(levels)
        if count > MOST_CONTROLS:
            self.collector.add(node, f"{count} controls", f"at most {MOST_CONTROLS}")
            return
        found = self._found(node.entries["found"].value, channels, levels)
        template = self._template(node, keys, levels, channels)
        if found is None or template is None:
            return
        pairs = itertools.product(levels, channels)
        for (level, channel), (at, value) in zip(pairs, found, strict=True):
            if self._is_good(at, value, ends, keys.step):
                name = _named(template, channel, level)
                made = Control(name, keys.does, channel, level, *ends, keys.step, value)
                self._add(node, made)

    def _add(self, node: Mapping, control: Control) -> None:
        at = node.get("name") or node
        if control.name in self._names:
            first = self._names[control.name]
            found = f"a second control {shorten(control.name, 40)!r} (the first on line {first})"
            self.collector.add(at, found, "each name once")
        what = (control.does, control.channel, control.level)
        if control.does not in UNCOLOURED and what in self._same:
            found = f"{_called(control)} a second time (first on line {self._same[what]})"
            self.collector.add(node, found, "each control once")
        self._names.setdefault(control.name, node.line)
        self._same.setdefault(what, node.line)
        self.controls.append(control)

    # ---- what an entry says

    def _channels(self, node: Mapping, keys: ControlKeys) -> list[Channel | None]:
        known = CHANNELS if keys.does in SIX else PRIMARIES
        nodes = self._one_or_more(node, "channel", keys.does not in UNCOLOURED, keys.does)
        found: list[Channel | None] = []
        for each in nodes:
            name = each.text if isinstance(each, Scalar) else ""
            if name not in known:
                self.collector.follow(each, f"channel: {as_shown(each)}", one_of(known, name))
            elif name in found:
                self.collector.add(each, f"{name} a second time", "each channel once")
            else:
                found.append(name)
        return found or [None]

    def _levels(self, node: Mapping, keys: ControlKeys) -> list[float | None]:
        found: list[float | None] = []
        for each in self._one_or_more(node, "level", keys.does == "point", keys.does):
            level = percent_of(each, self.collector)
            if level is not None and level in found:
                self.collector.add(each, f"{as_shown(each)} a second time", "each level once")
            elif level is not None:
                found.append(level)
        return found or [None]

    def _one_or_more(self, node: Mapping, key: str, belongs: bool, does: Does) -> list[Node]:
        """What stands under a key or its plural, where a control has that."""
        one, many = node.entries.get(key), node.entries.get(f"{key}s")
        entry = one or many
        if not belongs:
            if entry is not None:
                self.collector.add(entry.key, f"{entry.key.text} of a {does}", "none")
            return []
        if entry is None:
            self.collector.add(node, f"a {does} without {key}", f"{key} or {key}s")
            return []
        if one is not None and many is not None:
            self.collector.add(many.key, f"{key}s beside {key}", "one of them")
        if one is not None:
            return [one.value]
        if not isinstance(entry.value, Listing) or not entry.value.items:
            found = f"{key}s: {as_shown(entry.value)}"
            self.collector.follow(entry.value, found, f"a list of {key}s")
            return []
        return entry.value.items

    def _range(self, node: Mapping) -> tuple[float, float] | None:
        at = node.entries["range"].value
        items = at.items if isinstance(at, Listing) else []
        ends = [_number(each) for each in items]
        if len(ends) != 2 or ends[0] is None or ends[1] is None or not ends[0] < ends[1]:
            written = ", ".join(as_shown(each) for each in items[:4])
            found = f"[{shorten(written, 60)}]" if written else as_shown(at)
            expected = "the lowest and the highest that the menu reads, as in [-50, 50]"
            self.collector.follow(at, f"range: {found}", expected)
            return None
        return ends[0], ends[1]

    def _require_whole(self, node: Mapping, keys: ControlKeys, ends: tuple[float, float]) -> None:
        at = node.get("step") or node.entries["range"].value
        found = f"{ends[0]:g} to {ends[1]:g} by steps of {keys.step:g}"
        clicks = (ends[1] - ends[0]) / keys.step
        if not 1 - WHOLE <= clicks <= MOST_CLICKS + WHOLE:
            expected = f"1 to {MOST_CLICKS:,} steps from lowest to highest"
            self.collector.add(at, found, expected)
        elif off_step(ends[1], ends[0], keys.step):
            self.collector.add(at, found, "a whole number of steps from lowest to highest")

    def _template(
        self,
        node: Mapping,
        keys: ControlKeys,
        levels: list[float | None],
        channels: list[Channel | None],
    ) -> str | None:
        """The name, placeholders not yet filled; None where it cannot be used."""
        if keys.name is None:
            return USUAL_NAMES.get(keys.does, f"{{channel}} {keys.does}")
        there = {"channel": channels[0] is not None, "level": levels[0] is not None}
        known = [name for name, is_there in there.items() if is_there]
        at, before = node.entries["name"].value, len(self.collector)
        for brace in lone_braces(keys.name):
            self.collector.add(at, f"a lone {brace} in name", f"{{channel}}, or {brace}{brace}")
        for name in placeholders(keys.name):
            if name not in known:
                expected = one_of(known, name) if known else "no placeholder in it"
                found = f"the placeholder {{{shorten(name, 30)}}} in name"
                self.collector.add(at, found, expected)
        return keys.name if len(self.collector) == before else None

    # ---- as found

    def _found(
        self, node: Node, channels: list[Channel | None], levels: list[float | None]
    ) -> list[tuple[Node, float]] | None:
        """A number for each control, with where it stands; None where one cannot be told."""
        count = len(levels) * len(channels)
        nodes: list[Node]
        if isinstance(node, Mapping) and channels[0] is not None:
            by_channel = self._by_channel(node, channels, levels)
            nodes = [] if by_channel is None else by_channel
        elif isinstance(node, Listing):
            nodes = list(node.items)
            if len(nodes) != count:
                found = f"found: {len(nodes)} numbers for {count} controls"
                self.collector.add(node, found, f"{count} numbers")
                return None
        else:
            nodes = [node] * count
        values = [(each, self._value(each)) for each in nodes]
        if not nodes or any(value is None for _, value in values):
            return None
        return [(each, value) for each, value in values if value is not None]

    def _by_channel(
        self, node: Mapping, channels: list[Channel | None], levels: list[float | None]
    ) -> list[Node] | None:
        """In the order of the controls what stands under the channels, each one number or a list
        over the levels."""
        named = [channel for channel in channels if channel is not None]
        before = len(self.collector)
        for name, entry in node.entries.items():
            if name not in named:
                self.collector.add(entry.key, f"found: {shorten(name)}", one_of(named, name))
        columns: list[list[Node]] = []
        for channel in named:
            value = node.get(channel)
            if value is None:
                self.collector.add(node, f"found without {channel}", f"a number for {channel}")
            elif not isinstance(value, Listing):
                columns.append([value] * len(levels))
            elif len(value.items) != len(levels):
                found = f"found {channel}: {len(value.items)} numbers for {len(levels)} levels"
                self.collector.add(value, found, f"{len(levels)} numbers")
            else:
                columns.append(value.items)
        if len(self.collector) > before:
            return None
        return [each for row in zip(*columns, strict=True) for each in row]

    def _value(self, node: Node) -> float | None:
        value = _number(node)
        if value is None:
            expected = (
                "a number, one for each channel as in {red: 0, green: -2, blue: 3}, or a list"
            )
            self.collector.follow(node, f"found: {as_shown(node)}", expected)
        return value

    def _is_good(self, at: Node, value: float, ends: tuple[float, float], step: float) -> bool:
        lowest, highest = ends
        if not lowest <= value <= highest:
            self.collector.add(at, f"found: {value:g}", f"{lowest:g} to {highest:g}, as its range")
        elif off_step(value, lowest, step):
            self.collector.add(at, f"found: {value:g}", f"a multiple of {step:g} from {lowest:g}")
        else:
            return True
        return False


def _number(node: Node) -> float | None:
    value = node.value if isinstance(node, Scalar) else None
    if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e6:
        return None
    return float(value)


def _named(template: str, channel: Channel | None, level: float | None) -> str:
    given = {"channel": channel or "", "level": "" if level is None else f"{level:g} %"}
    name = fill(template, given)
    return name[:1].upper() + name[1:]


def _called(control: Control) -> str:
    level = "" if control.level is None else f"{control.level:g} % "
    return f"{level}{control.channel} {control.does}"


def schema() -> Json:
    """The JSON Schema (2020-12) of such a file.

    What a schema cannot say is left to loading: that values lie in the range and on a step, how
    many there are, that names come once.
    """
    definitions: Json = {}
    head = model_schema(ListKeys, definitions)
    entry = model_schema(ControlKeys, definitions)
    definitions["control"] = entry
    keys = entry["properties"]
    number: Json = {"type": "number"}
    numbers = {"type": "array", "minItems": 1, "items": number}
    level: Json = {"type": "string"}
    keys["channel"] |= {"enum": list(CHANNELS)}
    keys["channels"] |= _list_of({"enum": list(CHANNELS)})
    keys["level"] |= level
    keys["levels"] |= _list_of(level)
    keys["range"] |= {"type": "array", "minItems": 2, "maxItems": 2, "items": number}
    by_channel = {
        "type": "object",
        "properties": {channel: {"anyOf": [number, numbers]} for channel in CHANNELS},
        "additionalProperties": False,
        "minProperties": 1,
    }
    keys["found"] |= {"anyOf": [number, numbers, by_channel]}
    head["properties"]["controls"] |= {"items": {"$ref": "#/$defs/control"}}
    head["title"] = "Litfield controls of a display"
    head["$schema"] = DIALECT
    head["$defs"] = definitions
    return head


def _list_of(item: Json) -> Json:
    return {"type": "array", "minItems": 1, "uniqueItems": True, "items": item}


__all__ = ["DisplayControls", "load_controls", "load_controls_text", "schema"]
