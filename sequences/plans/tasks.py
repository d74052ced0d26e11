"""The entries of ``tasks`` to tasks: what is to be done, how long it takes, what it hangs on."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

from pydantic import ValidationError

from patterns.control import ADJUSTING
from patterns.picture.canvas import Canvas
from sequences.duration import sequence_seconds
from sequences.loading import load, shipped
from sequences.messages import public_names, tell
from sequences.model import Sequence
from sequences.plans.grammar import BELONGS, MOST_TASKS, ONE_OF, TaskKeys
from sequences.plans.model import (
    NEEDS,
    Adjust,
    Ask,
    Need,
    Note,
    Play,
    Task,
    Tell,
    What,
    usual_label,
)
from sequences.problems import Collector, Problem, SequenceError, as_shown, one_of, one_of_many
from sequences.reads import choices_of
from sequences.roles import MASKED, Readers
from sequences.tree import Listing, Mapping, Node, Scalar, plain, shorten

USUAL_MINUTES = 1.0
"""Of what is told, asked or noted, where the plan says nothing: a choice of our own."""
ADJUSTING_TAKES = 15.0
"""Minutes of an adjustment where the plan says nothing: a choice of our own. In trials of ours on
invented displays ten-point controls took 10 minutes (median) to 18 (nine of ten)."""

ADJUSTMENT = "adjust-"
"""How the names of shipped sequences begin that plans adjust by."""

OnlyIf = dict[str, tuple[str, ...]]


class Library:
    """The sequences that a plan names, each read once.

    Args:
        folder: where paths begin.
        readers: the findings that there are, as in `sequences.loading.load`.
    """

    def __init__(self, folder: Path, readers: Readers | None) -> None:
        self.problems: list[Problem] = []
        """What is wrong inside of their files."""
        self._folder = folder
        self._readers = readers
        self._read: dict[str, Sequence | None] = {}

    def sequence(self, name: str, at: Node, collector: Collector) -> Sequence | None:
        """The sequence of a name; None where none can be used, which then is a problem."""
        path = self._folder / name
        if name not in shipped() and not _exists(path):
            expected = one_of_many(
                "a path from the plan's folder, or a shipped sequence",
                shipped(),
                name,
                "litfield check",
            )
            collector.add(at, f"play: {shorten(name)}, and no file of this name", expected)
            return None
        return self._once(name)

    def adjustment(self, name: str, at: Node, collector: Collector) -> Sequence | None:
        """The shipped sequence of an adjustment; None where there is none, which is a problem."""
        known = adjustments()
        if name not in known:
            collector.add(at, f"adjust: {shorten(name)}", one_of(known, name))
            return None
        return self._once(ADJUSTMENT + name)

    def _once(self, name: str) -> Sequence | None:
        path = self._folder / name
        if name not in self._read:
            try:
                self._read[name] = load(name if name in shipped() else path, self._readers)
            except SequenceError as error:
                self.problems += error.problems
                self._read[name] = None
        return self._read[name]


def adjustments() -> list[str]:
    """What a plan may adjust, by name."""
    return [name.removeprefix(ADJUSTMENT) for name in shipped() if name.startswith(ADJUSTMENT)]


def tasks_of(
    listing: Listing, library: Library, canvas: Canvas, collector: Collector
) -> list[Task]:
    """The tasks of a plan; of use only where there is no problem."""
    reader = _Reader(library, canvas, collector)
    for node in listing.items[:MOST_TASKS]:
        reader.take(node)
    return reader.tasks


@dataclass
class _Reader:
    """Reads tasks one after another: some hang on those before."""

    library: Library
    canvas: Canvas
    collector: Collector
    tasks: list[Task] = field(default_factory=list)
    _asked: dict[str, tuple[Ask, OnlyIf, int]] = field(default_factory=dict)
    """Questions by name, with what they hang on themselves, and their line."""
    _unsure: bool = False
    """Whether a task could not be read that may have been a question."""
    _minutes: float = 0.0
    """That have passed in any case."""

    def take(self, node: Node) -> None:
        if not isinstance(node, Mapping) or node.broken:
            self.collector.follow(node, as_shown(node), f"a task: a mapping with {_ONE}")
            self._unsure = True
            return
        keys = _keys(node, self.collector)
        what = self._what(node, keys)
        only_if = self._only_if(node)
        if what is None:
            self._unsure |= "ask" in node.entries or not set(ONE_OF) & set(node.entries)
            return
        minutes = keys.minutes
        if minutes is None:
            minutes = _usual_minutes(what, self.canvas, self._minutes)
        self._minutes += 0.0 if only_if else minutes
        self.tasks.append(
            Task(
                number=len(self.tasks) + 1,
                label=keys.label or usual_label(what),
                what=what,
                minutes=minutes,
                importance=keys.importance,
                only_if=only_if,
                needs=_needs(keys.needs, what),
                line=node.line,
                column=node.column,
            )
        )
        if isinstance(what, Ask):
            self._asked.setdefault(what.name, (what, only_if, node.line))

    def _what(self, node: Mapping, keys: TaskKeys) -> What | None:
        kind = self._kind(node)
        text = None if kind is None else getattr(keys, kind)
        if kind is None or text is None:
            return None
        if kind in ("play", "adjust"):
            return self._run(node, keys, text)
        if kind == "ask":
            return self._ask(node, keys, text)
        return Tell(text) if kind == "tell" else Note(text)

    def _kind(self, node: Mapping) -> str | None:
        """The one key that says what is to be done; None where there is not one."""
        there = [key for key in node.entries if key in ONE_OF]
        known = public_names(TaskKeys)
        if not there:
            # an unknown key was probably meant to be one, and has been told
            if all(name in known for name in node.entries) and not node.cut:
                self.collector.add(node, f"a task without {_ONE}", "one of them")
            return None
        kind = there[0]
        for other in there[1:]:
            found = f"{other} beside {kind} in this task"
            self.collector.add(node.entries[other].key, found, "a task of its own for each")
        for name, of in BELONGS.items():
            if name in node.entries and not set(of) & set(there):
                found = f"{name} beside {kind} in this task"
                expected = f"{name} beside {one_of(of)} only"
                self.collector.add(node.entries[name].key, found, expected)
        return kind if len(there) == 1 else None

    def _run(self, node: Mapping, keys: TaskKeys, name: str) -> Play | Adjust | None:
        """What plays a sequence."""
        condition = keys.condition or ""
        if (at := node.get("play")) is not None:
            played = self.library.sequence(name, at, self.collector)
            if played is None:
                return None
            if keys.output == "files" and any(each.role == ADJUSTING for each in played.steps):
                found = f"output: files of {shorten(name)}, which adjusts the display"
                expected = "window: an adjustment puts up pictures as it goes"
                self.collector.add(node.entries["output"].value, found, expected)
            return Play(played, condition, keys.instrument, keys.output)
        adjusted = self.library.adjustment(name, node.entries["adjust"].value, self.collector)
        if adjusted is None:
            return None
        return Adjust(name, adjusted, condition, keys.instrument)

    def _ask(self, node: Mapping, keys: TaskKeys, text: str) -> Ask | None:
        choices: tuple[str, ...] | None = ()
        if (listed := node.get("choices")) is not None:
            choices = choices_of(listed, "choices", self.collector)
        if "name" not in node.entries:
            expected = "a name of small letters, digits and hyphens, by which the answer is kept"
            self.collector.add(node.entries["ask"].key, "a question without name", expected)
        if keys.name is None or choices is None:
            return None
        if keys.name in self._asked:
            found = (
                f"the name {keys.name} a second time (first on line {self._asked[keys.name][2]})"
            )
            self.collector.add(node.entries["name"].value, found, "each name once")
        return Ask(text, keys.name, choices)

    def _only_if(self, node: Mapping) -> OnlyIf:
        """What a task hangs on, with what the questions hang on that it names."""
        given = node.get("only_if")
        if given is None:
            return {}
        if not isinstance(given, Mapping) or not given.entries:
            expected = "a mapping of a question's name to its answers, as in {hdr: HDR}"
            self.collector.follow(given, f"only_if: {as_shown(given)}", expected)
            return {}
        whole: OnlyIf = {}
        for name, entry in given.entries.items():
            if name not in self._asked:
                if not self._unsure:
                    self.collector.add(entry.key, *self._unknown(name))
                continue
            ask, above, _ = self._asked[name]
            answers = self._answers(ask, entry.key, entry.value)
            for other, kept in [*above.items(), (name, answers)]:
                before = whole.get(other, kept)
                whole[other] = tuple(each for each in before if each in kept)
                if before and kept and not whole[other]:
                    found = f"only_if with answers to {other} that never come together"
                    self.collector.add(entry.key, found, "answers that can be given in one sitting")
        return whole

    def _unknown(self, name: str) -> tuple[str, str]:
        found = f"only_if: {shorten(name)}, which no task asks before this one"
        names = [each for each, (ask, _, _) in self._asked.items() if ask.choices]
        return found, one_of(names, name) if names else "the name of an earlier question"

    def _answers(self, ask: Ask, key: Node, node: Node) -> tuple[str, ...]:
        if not ask.choices:
            found = f"only_if: {ask.name}, whose answer is free"
            self.collector.add(key, found, "a question with choices")
            return ()
        if isinstance(node, Listing) and not node.items:
            self.collector.add(node, f"only_if {ask.name}: an empty list", one_of(ask.choices))
        kept = []
        for item in node.items if isinstance(node, Listing) else [node]:
            if isinstance(item, Scalar) and item.value is not None and _line(item) in ask.choices:
                kept.append(_line(item))
            else:
                wrong = item.text if isinstance(item, Scalar) else ""
                found = f"only_if {ask.name}: {as_shown(item)}"
                self.collector.follow(item, found, one_of(ask.choices, wrong))
        return tuple(dict.fromkeys(kept))


_ONE = one_of(ONE_OF)


def _keys(node: Mapping, collector: Collector) -> TaskKeys:
    """The simple keys; wrong ones are told and left out."""
    given = cast(dict[str, object], plain(node))
    try:
        return TaskKeys.model_validate(given)
    except ValidationError as error:
        tell(error, TaskKeys, node, collector, "this task")
        wrong = {each["loc"][0] for each in error.errors(include_url=False)}
        right = {key: value for key, value in given.items() if key not in wrong}
        return TaskKeys.model_validate(right)


def _line(node: Scalar) -> str:
    return " ".join(node.text.split())


def _usual_minutes(what: What, canvas: Canvas, passed: float) -> float:
    """Minutes that a task takes where nobody says; ``passed`` went by before it."""
    if isinstance(what, Play):
        return sequence_seconds(what.sequence, canvas, 60 * passed) / 60
    return ADJUSTING_TAKES if isinstance(what, Adjust) else USUAL_MINUTES


def _needs(stated: list[Need], what: What) -> tuple[Need, ...]:
    """What has to be at hand, as stated and as follows from what is played, in a fixed order."""
    needed = set(stated)
    if isinstance(what, Play | Adjust):
        if what.output == "files":
            needed.add("stick")
        if what.instrument == "reference":
            needed.add("reference")
        if any(step.role == MASKED and step.read is not None for step in what.sequence.steps):
            needed.add("mask")
    return tuple(each for each in NEEDS if each in needed)


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False  # no file can have such a name
