"""What the benchmarks share: interleaved timing, medians, and verdicts."""

import os
import platform
import sys
from collections.abc import Callable, Mapping
from statistics import median
from time import perf_counter


def interleaved(calls: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median seconds of each call; every round runs all of them, so that drift hits all alike."""
    times: dict[str, list[float]] = {name: [] for name in calls}
    for _ in range(rounds):
        for name, call in calls.items():
            start = perf_counter()
            result = call()
            times[name].append(perf_counter() - start)
            del result
    return {name: median(each) for name, each in times.items()}


class Promises:
    """Prints each ratio beside its promise; the exit code says whether all were kept."""

    def __init__(self) -> None:
        self._broken = 0

    def at_least(self, what: str, ratio: float, promise: float) -> None:
        """Print a ratio that is to be ``promise`` or more."""
        self._say(what, ratio, f"at least {promise:g}", kept=ratio >= promise)

    def at_most(self, what: str, ratio: float, promise: float) -> None:
        """Print a ratio that is to be ``promise`` or less."""
        self._say(what, ratio, f"at most {promise:g}", kept=ratio <= promise)

    def _say(self, what: str, ratio: float, promise: str, *, kept: bool) -> None:
        self._broken += not kept
        print(f"{'kept  ' if kept else 'BROKEN'}  {what}: {ratio:.2f} (promised {promise})")

    def leave(self) -> None:
        """End the benchmark with 0 where every promise was kept, otherwise 1."""
        sys.exit(1 if self._broken else 0)


def machine() -> str:
    """One line on where the numbers come from."""
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return f"{platform.machine()}, {os.cpu_count()} processors, {sys.version.split()[0]}{load}"
