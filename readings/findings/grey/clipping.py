"""Highlights told apart: ladders by eye, channel by channel, and the meter's clip beside them."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.evidence.shown import area_of
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, by_run, grouped, only_found
from readings.findings.grey.clip_fit import METHOD, Clip, clip_of, clip_range, clip_values
from readings.findings.grey.greys import Greys, gathered, level_of
from readings.findings.grey.seen_patches import Seen, seen_in
from readings.findings.kind import FindingKind, Reads

CHANNELS = ("white", "red", "green", "blue", "cyan", "magenta", "yellow")
LADDER = "highlights"
GREYS = {"pq": ("grey",), "hlg": ("grey",), "bt1886": ("near-white", "grey")}
"""The roles of greys by meter that show where a display clips."""
SOURCE = (
    "A definition of our own: the method is the ladder of the pattern kind `highlights`, where "
    "each patch is one step brighter than its square"
)


class Clipping(FindingKind):
    """The highest levels told apart, per run and channel.

    Reads the roles `highlights` and `highlights-red` ... `highlights-yellow`.
    """

    name = "clipping"
    subject = "where highlights or dark steps are lost"
    reads = (
        Reads(
            (LADDER, *(f"{LADDER}-{channel}" for channel in CHANNELS if channel != "white")),
            "a `highlights`",
            ("count",),
        ),
    )
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(_finding(mine, readings) for mine in by_run(readings).values())


def _finding(mine: Sequence[Measured], everything: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    ladders: dict[str, list[Seen]] = {}
    for channel in CHANNELS:
        roles = {f"{LADDER}-{channel}"} | ({LADDER} if channel == "white" else set())
        seen = seen_in([reading for reading in mine if reading.role in roles], basis)
        if seen:
            ladders[channel] = seen
    if not basis.used:
        return None
    values = [value for channel, seen in ladders.items() for value in _summed(channel, seen, basis)]
    values += _meter(mine, everything, ladders.get("white", []), basis)
    values += [
        value
        for channel, seen in ladders.items()
        for each in seen
        for value in _each(channel, each)
    ]
    return basis.finding(
        "clipping",
        mine[0],
        title="Highlights told apart",
        values=values,
        method=(
            "Each patch of a ladder is one step brighter than its square. The last patch that "
            "stands out has the highest level told apart; the next one is not. Levels are those of "
            "the codes shown: under PQ the cd/m2 of a grey of that code, for every channel, so "
            "that channels compare; under BT.1886 and HLG percent of the signal. Of several "
            "ladders the highest level told apart and the lowest that was not count. An eye needs "
            "a step that it can see, so the display may go a step further than was seen. By meter: "
            f"{METHOD} Eye and meter agree where the square of the last patch told apart, or the "
            "patch after it, lies within what the meter says."
        ),
        source=SOURCE,
    )


def _summed(channel: str, seen: Sequence[Seen], basis: Basis) -> list[Value]:
    """Of one channel, over all its ladders."""
    numbered = [each for each in seen if each.number > 0]
    ended = [each for each in seen if each.number < len(each.patches)]
    high = max(numbered, key=lambda each: each.value(each.number), default=None)
    low = min(ended, key=lambda each: each.value(each.number + 1), default=None)
    values = []
    if high is not None:
        label = f"By eye, {channel} told apart up to"
        values.append(high.level("told-apart", label, high.number, "lower", channel=channel))
    if low is not None:
        label = f"By eye, {channel} no longer told apart at"
        values.append(low.level("not-told-apart", label, low.number + 1, "upper", channel=channel))
    if high is not None and low is not None:
        if high.value(high.number) > low.value(low.number + 1):
            basis.warn(
                f"The ladders in {channel} disagree: {high.reading.label} shows steps above those "
                f"that {low.reading.label} no longer shows. Their steps differ in size; or was a "
                "patch miscounted?"
            )
    elif high is not None:
        basis.warn(f"All patches in {channel} stand out: it clips above them, if at all.")
    return values


def _each(channel: str, seen: Seen) -> list[Value]:
    """Of one ladder."""
    values, step = [], seen.reading.label
    if seen.number > 0:
        values.append(
            seen.level("ladder-told-apart", step, seen.number, "lower", step, channel=channel)
        )
    if seen.number < len(seen.patches):
        values.append(
            seen.level(
                "ladder-not-told-apart",
                f"{step}, the next",
                seen.number + 1,
                "upper",
                step,
                channel=channel,
            )
        )
    return values


def _meter(
    mine: Sequence[Measured], everything: Sequence[Measured], seen: Sequence[Seen], basis: Basis
) -> list[Value]:
    """Where greys of the same condition and transfer, of this run or another, stop to rise."""
    transfer = str(mine[0].signal.get("transfer"))
    runs = by_run(
        each
        for each in everything
        if each.condition == mine[0].condition and each.signal.get("transfer") == transfer
    )
    nearest = sorted(runs, key=lambda run: (abs(run - mine[0].run), run))
    for run in nearest:
        listed = [each for each in runs[run] if each.role in GREYS.get(transfer, ())]
        areas = grouped(listed, lambda reading: round(area_of(reading) or 0.0))
        for group in areas.values():
            looked = Basis()
            greys = gathered(group, runs[run], everything, looked)
            clip = None if greys is None else clip_of(greys)
            if greys is None or clip is None:
                continue
            basis.used += looked.used
            for sentence in looked.warnings:
                basis.warn(sentence)
            return [*clip_values(greys, clip), *_together(greys, clip, seen, basis)]
    return []


def _together(greys: Greys, clip: Clip, seen: Sequence[Seen], basis: Basis) -> list[Value]:
    """What eye and meter say together where they agree; where they do not, a warning says so.

    A patch that is told apart says that the display rises between its square and itself; one that
    is not, that hardly any rise is left. So the clip lies between the square of the last one told
    apart and the first one that was not.
    """
    low, high = clip_range(greys, clip)
    told = [each.value(each.number - 1) for each in seen if each.number > 1]
    ended = [each.value(each.number + 1) for each in seen if each.number < len(each.patches)]
    least, most = max(told, default=None), min(ended, default=None)
    if least is not None and least > high:
        basis.warn(
            "Eye and meter do not agree: by eye steps are told apart above where the meter sees no "
            "more rise. The squares of a ladder load the display less than the windows that were "
            "read, or patches were miscounted."
        )
        return []
    if most is not None and most < low:
        basis.warn(
            "Eye and meter do not agree: by eye no step is told apart where the meter sees the "
            "display still rise. Was it too bright to see, or were patches miscounted?"
        )
        return []
    if least is None or most is None:
        return []
    both = "By eye and by meter, which agree: clips"
    return [
        level_of(greys.signal, "agreed-clip-above", f"{both} above", max(low, least), "lower", {}),
        level_of(greys.signal, "agreed-clip-below", f"{both} below", min(high, most), "upper", {}),
    ]
