"""Plans from files, from the shipped ones and from text."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from patterns.picture.canvas import Canvas
from patterns.plain import plain as shown
from sequences.aims import aim_of
from sequences.events import read_tree
from sequences.loading import shipped
from sequences.messages import tell
from sequences.plans.grammar import PlanHead
from sequences.plans.model import Plan
from sequences.plans.tasks import Library, tasks_of
from sequences.problems import Collector, SequenceError
from sequences.roles import Readers
from sequences.source import head_mapping, require_size, sha256_of, text_of_file
from sequences.tree import Listing, Mapping, plain

_SHIPPED = Path(__file__).parent / "shipped"
USUAL_CANVAS = Canvas(3840, 2160)
"""On which times are worked out where nobody says another."""


def shipped_plans() -> dict[str, Path]:
    """The plans that come with Litfield, by name."""
    found = {path.stem: path for path in _SHIPPED.glob("*.yaml")}
    return dict(sorted(found.items()))


def load_plan(
    source: str | Path, readers: Readers | None = None, canvas: Canvas = USUAL_CANVAS
) -> Plan:
    """Read a plan: the file at a path, or, given as text, the shipped one of that name.

    Args:
        source: which.
        readers: the findings that there are, which `finds` of its sequences is held against; None
            holds it against nothing.
        canvas: where it is played, as far as that decides how long its sequences take.

    Raises SequenceError with every problem of the plan, and of the sequences that it plays.
    """
    known = shipped_plans()
    name = shown(str(source), lines=False)[:300] or "''"
    path = known[name] if isinstance(source, str) and source in known else Path(source)
    text = text_of_file(path, name, "plan", known)
    return load_plan_text(text, name, readers, path.parent, canvas)


def load_plan_text(
    text: str,
    source: str,
    readers: Readers | None = None,
    folder: Path = Path(),
    canvas: Canvas = USUAL_CANVAS,
) -> Plan:
    """Read a plan from its text.

    Args:
        text: of the whole file.
        source: what problems call it.
        readers: as in `load_plan`.
        folder: where the paths of its sequences begin.
        canvas: as in `load_plan`.

    Raises SequenceError as `load_plan` does.
    """
    require_size(text, source, "plan")
    collector = Collector(source, "plan")
    text = text.removeprefix("\ufeff")
    root = head_mapping(read_tree(text, collector), "a mapping with title and tasks", collector)
    library = Library(folder, readers)
    plan = None if root is None else _plan(root, text, library, canvas, collector)
    problems = [*collector.listed(), *library.problems]
    if plan is None or problems:
        raise SequenceError(problems)
    return plan


def is_plan(source: str) -> bool:
    """Whether a name or a file is a plan rather than a sequence, as far as that can be told.

    A file is one by its key ``tasks``. What cannot be read is taken for a sequence.
    """
    if source in shipped():
        return False
    if source in shipped_plans():
        return True
    try:
        text = text_of_file(Path(source), source, "plan", shipped_plans())
    except SequenceError:
        return False
    root = read_tree(text.removeprefix("\ufeff"), Collector(source, "plan"))
    return isinstance(root, Mapping) and "tasks" in root.entries and "steps" not in root.entries


def _plan(
    root: Mapping, text: str, library: Library, canvas: Canvas, collector: Collector
) -> Plan | None:
    """The plan of a tree; None, or one not to be used, where there are problems."""
    head = _head(root, collector)
    aim = aim_of(root.get("aim"), None, collector)
    nodes = root.get("tasks")
    tasks = tasks_of(nodes, library, canvas, collector) if isinstance(nodes, Listing) else ()
    if head is None:
        return None
    return Plan(
        title=head.title,
        tasks=tuple(tasks),
        text=text,
        sha256=sha256_of(text),
        source=collector.source,
        minutes=head.minutes,
        aim=aim,
    )


def _head(root: Mapping, collector: Collector) -> PlanHead | None:
    try:
        return PlanHead.model_validate(plain(root))
    except ValidationError as error:
        tell(error, PlanHead, root, collector, "the file")
        return None
