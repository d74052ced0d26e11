"""The operator's clock in words: what is counted down, and the time that is left."""

from __future__ import annotations

from math import ceil

from player.run.live import LiveRun
from player.standing import WORTH_TELLING
from player.windows.controls import Controls


def countdown(controls: Controls) -> str:
    """What is counted down now: rest, warming up, settling; empty where nothing is."""
    run, step = controls.run, controls.run.step
    if run.coming:
        return "Next picture…"
    if run.blacked_out:
        owed = controls.standing.owed
        return f"Rest: {_span(owed)} more" if owed >= WORTH_TELLING else ""
    if (soon := controls.standing.left) is not None:
        return f"Goes black in {ceil(soon)} s"
    if (cold := run.warm_up_left) > 0:
        return f"Warm-up: {_span(cold)}"
    return "" if step is None or not step.settle else _settling(run)


def _settling(run: LiveRun) -> str:
    left = run.settle_left
    if run.waiting:
        return "Enter once it is up"
    # tenths near the end, where the eye waits for it
    if left > 10:
        return f"Settling: {ceil(left)} s"
    return f"Settling: {ceil(left * 10) / 10:.1f} s" if left > 0 else "Settled"


def time_left(run: LiveRun) -> str:
    """How long the run still takes, or the time that there is; empty at the end."""
    if run.finished:
        return ""
    there = run.time_there
    if there is None:
        return (
            f"About {said} left" if (said := _minutes(run.seconds_left)) else "Under a minute left"
        )
    over = len(run.too_many)
    steps = "1 step" if over == 1 else f"{over} steps"
    if there <= 0:
        return f"Time is up: {steps} to go"
    left = _minutes(there) or "Under a minute"
    return f"{left} left: {steps} too many" if over else f"{left} left: enough"


def _minutes(seconds: float) -> str:
    """In whole minutes; empty for less than one."""
    minutes = ceil(seconds / 60)
    if minutes > 90:
        return f"{minutes // 60} h {minutes % 60:02d} min"
    return f"{minutes} min" if minutes > 1 else ""


def _span(seconds: float) -> str:
    return f"{ceil(seconds / 60)} min" if seconds > 90 else f"{ceil(seconds)} s"
