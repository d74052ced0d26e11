"""What was kept wrongly is stated anew: the display's name, a run's condition, if it counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from player.outcome import CommandError

if TYPE_CHECKING:
    from readings.visit.records import Statement, Stating
    from readings.visit.visit import Visit

OPERATOR: Stating = "operator"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is to be stated, each text without spaces that nobody sees; None where nothing is."""

    display: str | None = None
    settings: str | None = None
    place: str | None = None
    runs: tuple[int, ...] = ()
    """Those that the rest is stated of."""
    condition: str | None = None
    counted: bool | None = None
    """False sets the runs aside."""
    why: str | None = None
    by: str | None = None

    def __post_init__(self) -> None:
        for name in ("display", "settings", "place", "condition", "why", "by"):
            text = getattr(self, name)
            if text is not None:
                object.__setattr__(self, name, " ".join(text.split()))

    def __bool__(self) -> bool:
        return self != Asked()

    def require_whole(self) -> None:
        """Refuse what cannot be meant. Raises CommandError."""
        of_runs = self.condition is not None or self.counted is not None
        if of_runs and not self.runs:
            what = "--condition" if self.condition is not None else _option(self.counted)
            raise CommandError(f"{what} goes with --run N, the run that it is said of.")
        if self.runs and not of_runs:
            raise CommandError("--run N goes with --condition, --set-aside or --count-again.")
        if self.why is not None and not of_runs:
            raise CommandError(
                "--why goes with --condition, --set-aside or --count-again, and is kept as a note "
                "of the run."
            )
        for option, text in (("--display", self.display), ("--by", self.by), ("--why", self.why)):
            if text == "":
                raise CommandError(f"{option} was given nothing.")


def _option(counted: bool | None) -> str:
    return "--count-again" if counted else "--set-aside"


def keep(visit: Visit, asked: Asked) -> list[str]:
    """Keep what differs from what counts now, all of it or nothing, and say it.

    Returns:
        clauses of what was kept; none where nothing differs.

    Raises:
        CommandError: nobody says who states it.
        VisitError: the visit has no such run, or it cannot be kept.
    """
    statements = list(_changes(visit, asked))
    known = visit.stated().get(OPERATOR, "")
    by = asked.by or known
    if statements and not by:
        raise CommandError(
            "Who says so is kept with it: add --by NAME; the visit remembers it for the next time."
        )
    told = [_told(each) for each in statements]
    # alone, --by says who states what comes later
    if by != known and (statements or asked == Asked(by=asked.by)):
        statements.insert(0, _statement(OPERATOR, by))
        told += [] if told else [f"what is stated from now on is stated by {by}"]
    if statements:
        visit.state_all(statements, by=by)
    return told


def _changes(visit: Visit, asked: Asked) -> Iterator[Statement]:
    about = visit.about()
    whole: tuple[tuple[Stating, str | None, str], ...] = (
        ("display", asked.display, about.display),
        ("settings", asked.settings, about.settings),
        ("place", asked.place, about.place),
    )
    for what, text, stands in whole:
        if text is not None and text != stands:
            yield _statement(what, text)
    for number in dict.fromkeys(asked.runs):
        run = visit.run(number)
        mine = []
        if asked.condition is not None and asked.condition != run.condition:
            mine.append(_statement("condition", asked.condition, number))
        if asked.counted is not None and asked.counted != run.counted:
            mine.append(_statement("counted", "yes" if asked.counted else "no", number))
        if mine:
            mine[0] = replace(mine[0], why=asked.why or "")
        yield from mine


def nearly(visit: Visit, asked: Asked) -> str:
    """Of runs whose condition was stated: that other runs say nearly the same; empty otherwise."""
    from player.run.alike import Earlier, questions

    if not asked.condition:
        return ""
    others = [
        Earlier(run.id, run.condition, same_sequence=False)
        for run in visit.runs()
        if run.counted and run.id not in asked.runs
    ]
    near = next(iter(questions(asked.condition, others)), None)
    if near is None:
        return ""
    which = " and ".join(f"run {run}" for run in dict.fromkeys(asked.runs))
    return f"Other runs say '{near.condition}', and {which} '{asked.condition}', as typed."


def _statement(what: Stating, value: str, run: int | None = None) -> Statement:
    from readings.visit.records import Statement

    return Statement(what=what, value=value, run=run)


def _told(each: Statement) -> str:
    if each.what == "counted":
        return f"run {each.run} {'counts again' if each.value == 'yes' else 'is set aside'}"
    if each.what == "condition":
        said = f"is under '{each.value}'" if each.value else "has no condition"
        return f"run {each.run} {said}"
    name = {"display": "the display is", "settings": "its settings are", "place": "its place is"}
    said = f"'{each.value}'" if each.value else "not given"
    return f"{name[each.what]} {said}"
