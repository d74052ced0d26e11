"""The roles by which findings know the readings of a sequence, and what a misspelt one costs.

The findings themselves are in `readings`, which this room does not know: a test holds the two, and
the table of docs/sequences.md, against each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from sequences.model import Step
from sequences.problems import Collector
from sequences.tree import Listing, Node, Scalar, shorten

Way = tuple[str, ...]
"""Roles that a finding has to have all of to be worked out in one way."""

COLOURS = ("red", "green", "blue", "cyan", "magenta", "yellow")


def _any_of(*roles: str) -> tuple[Way, ...]:
    return tuple((role,) for role in roles)


WAYS: dict[str, tuple[Way, ...]] = {
    "box-contrast": _any_of(
        *(f"{what}-dark" for what in ("corner-boxes", "edge-boxes", "surround", "reverse")),
        *(f"{what}-lit" for what in ("corner-boxes", "edge-boxes", "surround", "reverse")),
        *("ebu-1", "ebu-2"),
    ),
    "clipping": _any_of("highlights", *(f"highlights-{colour}" for colour in COLOURS)),
    "colour": _any_of(
        *("chart-24", "chart-140", "skin", "saturation", "ebu-colour", "ebu-primary"), *COLOURS
    ),
    "contrast": (("white", "black"), ("lit", "dark")),
    "delay": _any_of("delay", "counter"),
    "gamut": (("red", "green", "blue"), *_any_of("gamut-boundary", "cube", "ebu-primary")),
    "greyscale": _any_of("grey", "grey-at-mean"),
    "halo": (("halo-box", "halo"), *_any_of("halo-ring", "halo-look")),
    "near-black": _any_of("near-black", "near-black-patches"),
    "near-white": _any_of("near-white", "near-white-patches"),
    "over-time": _any_of("over-time", "warm-up"),
    "plausibility": (),
    "range-mismatch": _any_of("range-light"),
    "tone": _any_of("grey"),
    "uniformity": _any_of("uniformity", "place", "ebu-3"),
    "viewing-angle": _any_of("viewing-angle"),
    "window-peak": _any_of("window"),
    "zones": _any_of("trace-columns", "trace-rows", "zone-halo"),
}
"""What each finding needs of a sequence: one of these ways. Without any, it reads every role."""
WITHOUT_A_ROLE = {"zones": {("moving-box", "tally"), ("comb", "count")}}
"""Pattern and quantity that a finding knows whatever their role."""
BESIDE = {"black", "white", "drift"}
"""Roles that findings read beside their own."""
CORRECTION = "correction-"
"""How the roles begin that ``litfield correct`` reads."""
KNOWN = BESIDE | {role for ways in WAYS.values() for way in ways for role in way}
CLOSE = 0.75
"""How alike a role and a known one are (difflib's ratio) where a slip is likely: gray and grey."""


def require_roles(finds: Node | None, steps: Sequence[Step], collector: Collector) -> None:
    """Note every entry of ``finds`` of which no step can tell anything."""
    for node in finds.items if isinstance(finds, Listing) else ():
        name = node.text if isinstance(node, Scalar) else ""
        ways = WAYS.get(name)
        if ways and not _told(name, ways, steps):
            collector.add(node, *_missing(name, ways, steps))


def _told(finding: str, ways: Iterable[Way], steps: Sequence[Step]) -> bool:
    read = [step for step in steps if step.read is not None]
    roles = {step.role for step in read}
    shown = {(step.pattern.kind, step.read.quantity) for step in read if step.read is not None}
    return bool(WITHOUT_A_ROLE.get(finding, set()) & shown) or any(
        roles.issuperset(way) for way in ways
    )


def _missing(finding: str, ways: Sequence[Way], steps: Sequence[Step]) -> tuple[str, str]:
    """What was found and what was expected; of several ways, the one that was probably meant."""
    roles = {step.role for step in steps if step.read is not None}
    slips = {step.role: step.line for step in steps if step.role and step.role not in KNOWN}

    def meant(way: Way) -> dict[str, str]:
        close = {role: get_close_matches(role, slips, 1, CLOSE) for role in way}
        return {role: found[0] for role, found in close.items() if found and role not in roles}

    way = max(ways, key=lambda way: len(meant(way)) + len(roles.intersection(way)))
    lacking = [role for role in way if role not in roles]
    slipped = meant(way)
    if not slipped and len(lacking) == len(way):
        what = "a role that it reads"
    else:
        what = f"the role{'s' * (len(lacking) > 1)} {_listed(lacking, 'and')}"
    expected = _listed([_listed(way, "and") for way in ways], "or")
    if slipped:
        told = [
            f"{role} for {shorten(slip, 40)} on line {slips[slip]}"
            for role, slip in slipped.items()
        ]
        expected += f" (did you mean {_listed(told, 'and')}?)"
    return f"finds: {finding}, but no step that is read has {what}", expected


def remarks(steps: Iterable[Step]) -> list[str]:
    """Sentences about roles that nothing reads: likely slips one by one, then all others."""
    slips: dict[str, str] = {}
    own: dict[str, None] = {}
    for step in steps:
        if not step.role or step.role in KNOWN or step.role.startswith(CORRECTION):
            continue
        # a slip seldom takes the first letter; an answer in words is for people, and so is its role
        by_eye = step.read is None or step.read.quantity in ("choice", "text", "tally")
        alike = [] if by_eye else [each for each in KNOWN if each[0] == step.role[0]]
        if close := get_close_matches(step.role, alike, 1, CLOSE):
            slips.setdefault(
                step.role,
                f"Step {step.number}: no finding looks for the role {step.role} "
                f"(did you mean {close[0]}?).",
            )
        else:
            own[step.role] = None
    told = list(slips.values())
    if own:
        roles = _listed(list(own), "or")
        told.append(f"No finding looks for the role {roles}: yours to mark readings with.")
    return told


def _listed(names: Sequence[str], last: str) -> str:
    """``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
