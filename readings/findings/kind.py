"""What is true of a finding whatever was read: its name, its roles, its limits, its pictures.

A finding is a class of `FindingKind` in a file of its own and a line in `FINDINGS`. Whatever asks
about findings (the check of a sequence, the report, the table of docs/sequences.md) walks that
registry, and no other file knows a finding by its name.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from patterns.quantity import LIGHT, Quantity
from readings.evidence.aim import AimPart
from readings.evidence.measured import Measured
from readings.findings.base import Finding, Value

COMMON = "common practice, no source"
"""The source of a limit that the trade keeps to and no document gives."""
OWN = "a limit of our own"
"""The source of a limit that sorts what is worth a second look from what is not."""
REPEAT = (
    "Reading each step several times (--repeat), or a meter with a smaller uncertainty, would tell"
)
"""What settles most that cannot be told."""


@dataclass(frozen=True, slots=True)
class Reads:
    """Readings that a finding looks for: what a step has to be for them."""

    roles: tuple[str, ...]
    """Any one of these is enough; none named means any role."""
    on: str
    """What has to be shown, as docs/sequences.md says it: "a `checkerboard`"."""
    quantities: tuple[Quantity, ...] = LIGHT
    """Any one of these is to be read."""
    together: bool = False
    """Whether all of the roles are needed."""
    beside: tuple[str, ...] = ()
    """Roles that are read too where they are there."""
    kind: str | None = None
    """The pattern kind that speaks for itself: with it and the quantity no role is needed."""


@dataclass(frozen=True, slots=True)
class Few:
    """What a limit's sentences are where few steps, patches or places were read."""

    of: str
    """What is counted, such as `step`."""
    good: str
    """The sentence without its claim on the whole, such as `Grey is neutral`."""
    bad: str


OfOne = Literal["light", "white", "tint", "colour"]
"""How bright a grey is and how bright white, the colour of a grey alone, and light and colour of a
coloured patch: what a limit may hold of a single reading against its target."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What the front page holds values of a finding against, and how that is told.

    It is no verdict on what a display is good for. Sentences are without their full stops.
    """

    values: tuple[str, ...]
    """Names of values; of several that are there, each is judged."""
    way: Literal["at most", "at least"]
    limit: float
    unit: str
    source: str
    """The document that gives it; or that none does."""
    good: str
    """What is so where it is kept."""
    bad: str
    """What is so where it is not."""
    unsure: str
    """What cannot be said where the uncertainty spans it."""
    size: bool = False
    """Whether the sign of the value does not matter."""
    transfers: tuple[str, ...] = ()
    """Only signals of these transfers; none named means all."""
    where: tuple[tuple[str, object], ...] = ()
    """Only values that belong to these, such as a colour space."""
    few: Few | None = None
    """How it is told of few; None where the sentence never speaks for many."""
    settle: str = REPEAT
    """What would settle it where it cannot be told."""
    each: OfOne | None = None
    """What of a single reading is held against it as it is taken; None where only many readings
    together are: averages, contrasts and the like."""
    aims: tuple[AimPart, ...] = ()
    """What of the aim it hangs on: that is told with every verdict."""

    def applies(self, value: Value, transfer: str) -> bool:
        """Whether this value of the finding is to be held against it."""
        return (
            value.judged
            and value.name in self.values
            and (not self.transfers or transfer in self.transfers)
            and all(value.where.get(key) == wanted for key, wanted in self.where)
        )


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture that a finding may be drawn in."""

    picture: str
    """Its file in `readings.report.pictures`."""
    choice: int = 1
    """1 where the picture is drawn of this finding first; more where only without the others."""


class FindingKind(ABC):
    """One finding. What has no value here is to be stated by each, if only that there is none."""

    name: ClassVar[str]
    """What sequences, reports and files call it."""
    subject: ClassVar[str]
    """What a reader would call it, as a part of a sentence."""
    reads: ClassVar[tuple[Reads, ...]]
    """The readings that it looks for."""
    limits: ClassVar[tuple[Limit, ...]]
    """In the order in which the front page tells them; none where nothing is judged."""
    pictures: ClassVar[tuple[Drawn, ...]]
    """None where it is not drawn."""
    changing: ClassVar[frozenset[str]]
    """Roles of readings that are taken to see them change: no plausibility is read off them."""
    main: ClassVar[tuple[str, ...]] = ()
    """Values that a client asks for, beside those that limits are for."""
    pictures_beside: ClassVar[tuple[str, ...]] = ()
    """Pictures that stand with the values of several visits beside each other."""
    all_well: ClassVar[str] = ""
    """What is good where readings are there and it finds nothing; else that is only a gap."""

    wanted: ClassVar[bool] = True
    """Whether a visit without it lacks something: not of what is done rather than measured."""

    @abstractmethod
    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        """What these readings of one visit mean; nothing where none speaks to it."""

    def roles(self) -> frozenset[str]:
        """Every role that it reads."""
        return frozenset(role for each in self.reads for role in (*each.roles, *each.beside))

    def ways(self) -> tuple[tuple[str, ...], ...]:
        """Roles of which a sequence needs all of one group; empty where any role will do."""
        groups: list[tuple[str, ...]] = []
        for each in self.reads:
            groups += [each.roles] if each.together else [(role,) for role in each.roles]
        return tuple(dict.fromkeys(groups))

    def without_role(self) -> frozenset[tuple[str, str]]:
        """Pattern kind and quantity that it knows whatever the role of their step."""
        return frozenset(
            (each.kind, quantity)
            for each in self.reads
            if each.kind is not None
            for quantity in each.quantities
        )
