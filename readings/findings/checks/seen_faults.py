"""Faults that were counted or seen by eye: which answers are faults, the sequence itself says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from patterns.words import count, figures
from readings.evidence.measured import Measured
from readings.findings.base import Finding, Judgement, Value
from readings.findings.basis import Basis, by_run, only_found
from readings.findings.kind import FindingKind, Reads

SOURCE = "By eye; which answers are faults, the sequence says"
UNSURE = (
    "How sure an eye is of what it counts and chooses is not known, so no uncertainty is stated."
)
METHOD = (
    "Answers by eye against those that the sequence calls faults: a choice is one of them or not, "
    "and a count is above what the sequence lets pass or not."
)


class SeenFaults(FindingKind):
    """Answers by eye that are faults, one finding per run; and those that are told as they are.

    Reads counts, choices and texts of steps of which the sequence says what is a fault.
    """

    name = "seen-faults"
    subject = "faults that an eye sees"
    reads = (Reads((), "a step that says which answers are `faults`", ("count", "choice", "text")),)
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        answered = [r for r in readings if r.faults is not None and not r.of_light]
        return only_found(
            finding
            for mine in by_run(answered).values()
            for finding in (
                _judged([r for r in mine if r.faults is not None and r.faults.named]),
                _neutral([r for r in mine if r.faults is not None and not r.faults.named]),
            )
        )


def _judged(mine: Sequence[Measured]) -> Finding | None:
    """Of steps at which some answer is a fault."""
    if not mine:
        return None
    basis = Basis(used=list(mine))
    found = [(reading, _is_fault(reading)) for reading in mine]
    faulty = [reading for reading, fault in found if fault]
    open_ = [reading for reading, fault in found if fault is None]
    title = mine[0].sequence
    for reading in faulty:
        basis.warn(f"{_answer(reading)}.")
    answers = tuple(_answer(reading) for reading in (faulty or open_))
    if faulty:
        judgement = Judgement("bad", f"{title}: faults were seen", answers=answers)
    elif open_:
        sentence = f"{title}: whether there are faults cannot be told"
        judgement = Judgement("unsure", sentence, answers=answers)
    else:
        looked = (f"{count(len(mine), 'picture')} looked at",)
        judgement = Judgement("good", f"{title}: no fault was seen", answers=looked)
    if open_:
        basis.warn(f"{count(len(open_), 'answer')} could not be told, and may hide a fault.")
    basis.warn(UNSURE)
    values = [
        Value(
            "faults-seen",
            f"Pictures with a fault, of {len(mine)}",
            len(faulty),
            "",
            row="Pictures with a fault",
            count=len(mine),
        ),
        *(
            Value("fault-count", reading.label, reading.number, "", where={"step": reading.label})
            for reading in mine
            if reading.quantity == "count" and reading.number is not None
        ),
    ]
    return _finding(f"Faults by eye: {title}", mine, basis, values, judgement)


def _neutral(mine: Sequence[Measured]) -> Finding | None:
    """Of steps at which no answer is a fault, and each is worth telling."""
    answers = [reading for reading in mine if reading.text or reading.number is not None]
    if not answers:
        return None
    basis = Basis(used=answers)
    basis.warn(UNSURE)
    judgement = Judgement(
        "open",
        f"{answers[0].sequence}: what was seen",
        answers=tuple(_answer(reading) for reading in answers),
    )
    values = [Value("answers-seen", "Answers that are no faults", len(answers), "")]
    return _finding(f"Seen by eye: {answers[0].sequence}", answers, basis, values, judgement)


def _finding(
    title: str,
    mine: Sequence[Measured],
    basis: Basis,
    values: Sequence[Value],
    judgement: Judgement,
) -> Finding:
    finding = basis.finding(
        "seen-faults",
        mine[0],
        title=title,
        values=values,
        method=METHOD,
        source=SOURCE,
    )
    return replace(finding, judgement=judgement)


def _is_fault(reading: Measured) -> bool | None:
    if reading.faults is None:
        return None
    return reading.faults.holds(number=reading.number, text=reading.text)


def _answer(reading: Measured) -> str:
    """`Mid grey, what stands out: lines of pixels`, `Red, pixels that stay dark: 3`."""
    seen = figures(reading.number) if reading.number is not None else reading.text or reading.raw
    return f"{reading.label}: {seen}"
