"""YAML text to a tree with positions, by the events of ruamel.yaml (YAML 1.2)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentStartEvent,
    Event,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
)

from sequences.problems import Collector
from sequences.tree import Listing, Mapping, Node, Scalar, resolve, shorten
from sequences.yaml_errors import explain

DEEPEST = 12
"""Levels of nesting; a sequence needs seven, a plan four."""

# What YAML 1.2.2 (clause 5.1) calls printable, without the two that end lines in other formats,
# those that turn the text after them round unseen (Unicode Annex 9, 2.1 to 2.5), and the byte order
# mark, which stands at the beginning only. Right-to-left letters and marks need none of them.
UNPRINTABLE = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202f-\u2065\u206a-\ud7ff\ue000-\ufefe\uff00-\ufffd"
    "\U00010000-\U0010ffff]"
)


def read_tree(text: str, collector: Collector) -> Node | None:
    """The tree of the only document in ``text``; None where there is none.

    Problems of YAML go to the collector: syntax, aliases, anchors, tags, duplicate keys, depth.
    """
    if not _printable(text, collector):
        return None
    builder = _Builder(collector)
    try:
        for event in _events(text):
            if not builder.take(event):
                builder.cut()
                break
    except MarkedYAMLError as error:
        line, column, found, expected = explain(error)
        collector.add(Node(line, column), found, expected)
        builder.cut()
    except (YAMLError, ValueError, ArithmeticError, LookupError, AttributeError, TypeError,
            AssertionError, RecursionError):  # fmt: skip
        # what the library raises without a place on text such as "\U00FFFFFF"
        collector.add(builder.last, "something here that is not YAML", "YAML 1.2")
        builder.cut()
    return builder.root


def _events(text: str) -> Iterator[Event]:
    events: Iterator[Event] = YAML(typ="safe", pure=True).parse(text)
    return events


def _printable(text: str, collector: Collector) -> bool:
    found = UNPRINTABLE.search(text)
    if found is None:
        return True
    before = re.split(r"\r\n|\r|\n", text[: found.start()])
    at = Node(len(before), len(before[-1]) + 1)
    collector.add(at, f"the control character U+{ord(found[0]):04X}", "printable text")
    return False


def _node(event: Event) -> Node:
    mark = event.start_mark
    return Node(mark.line + 1, mark.column + 1)


class _Builder:
    """Puts events together; ``root`` is what there is so far."""

    def __init__(self, collector: Collector) -> None:
        self.root: Node | None = None
        self.last: Node = Node(1, 1)
        self._problem = collector.add
        self._what = collector.what
        self._open: list[Listing | Mapping] = []
        self._keys: list[Scalar | None] = []
        self._documents = 0

    def take(self, event: Event) -> bool:
        """Add an event; False where reading on is of no use."""
        self.last = _node(event)
        if isinstance(event, DocumentStartEvent):
            return self._document(event)
        if isinstance(event, NodeEvent):
            return self._add(event)
        if isinstance(event, CollectionEndEvent):
            self._open.pop()
            self._keys.pop()
        return True

    def cut(self) -> None:
        """Reading ends here: what is still open is not complete, and nothing follows from it."""
        for node in self._open[1:]:
            node.broken = True
        if self.root is not None:
            self.root.cut = True

    def _document(self, event: DocumentStartEvent) -> bool:
        self._documents += 1
        if self._documents > 1:
            self._problem(self.last, "a second document", f"one {self._what} in a file")
            return False
        if event.version is not None and tuple(event.version) != (1, 2):
            version = ".".join(map(str, event.version))
            self._problem(self.last, f"YAML {version}", "YAML 1.2")
            return False
        return True

    def _add(self, event: NodeEvent) -> bool:
        node = self._made(event)
        at_key = bool(self._open) and isinstance(self._open[-1], Mapping) and not self._keys[-1]
        if at_key:
            self._keys[-1] = self._key(node)
        else:
            self._put(node)
        if isinstance(node, Listing | Mapping):
            if len(self._open) == DEEPEST:
                found = f"more than {DEEPEST} levels of nesting"
                self._problem(node, found, f"a {self._what}, which needs fewer")
                return False
            self._open.append(node)
            self._keys.append(None)
        return True

    def _made(self, event: NodeEvent) -> Node:
        line, column = self.last.line, self.last.column
        if isinstance(event, AliasEvent):
            name = shorten(f"*{event.anchor}")
            self._problem(self.last, f"the alias {name}", "the value itself: aliases are not read")
            return Scalar(line, column, name, None, broken=True)
        if event.anchor:
            name = shorten(f"&{event.anchor}")
            self._problem(self.last, f"the anchor {name}", "a plain value: anchors are not read")
        tagged = getattr(event, "tag", None)
        if tagged is not None:
            tag = shorten(str(tagged).replace("tag:yaml.org,2002:", "!!"))
            self._problem(self.last, f"the tag {tag}", "a plain value: tags are not read")
        if isinstance(event, CollectionStartEvent):
            made = Mapping if isinstance(event, MappingStartEvent) else Listing
            return made(line, column)
        assert isinstance(event, ScalarEvent)  # noqa: S101 - the only kind of node left
        text = str(event.value)
        if bad := UNPRINTABLE.search(text):
            found = f"the control character U+{ord(bad[0]):04X}"
            self._problem(self.last, found, "printable text")
            return Scalar(line, column, "", None, broken=True)
        unquoted = event.style in (None, "") and tagged is None
        return Scalar(line, column, text, resolve(text) if unquoted else text)

    def _key(self, node: Node) -> Scalar:
        """The key to put the next value under; a broken one drops the value."""
        mapping = self._open[-1]
        if not isinstance(node, Scalar):
            self._problem(node, f"{node.what} as a key", "a name")
        elif node.broken:
            pass
        elif node.value is None and not node.text:
            self._problem(node, "an empty key", "a name")
        elif isinstance(mapping, Mapping) and (before := mapping.entries.get(node.text)):
            found = f"'{shorten(node.text)}' a second time (first on line {before.key.line})"
            self._problem(node, found, "each key once")
        else:
            return node
        return Scalar(node.line, node.column, "", None, broken=True)

    def _put(self, node: Node) -> None:
        if not self._open:
            self.root = node
            return
        top = self._open[-1]
        if isinstance(top, Listing):
            top.items.append(node)
            return
        key = self._keys[-1]
        self._keys[-1] = None
        if key is not None and not key.broken:
            if isinstance(node, Scalar) and not node.text and node.value is None:
                # the library puts an absent value where the next token stands
                node.line, node.column = key.line, key.column
            top.enter(key, node)
