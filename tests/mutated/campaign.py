"""Many spoilt inputs in worker processes: each that ends one is found, and the others go on."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from tests.mutated.judging import Outcome

WORKER = Path(__file__).with_name("worker.py")
Part = tuple[str, int, int]
"""A kind, and the first and the last number of its inputs."""


def outcomes(wanted: Mapping[str, int], folder: Path, after: int = 0) -> Iterator[Outcome]:
    """What came of so many inputs of each kind; a worker that is ended is followed by another.

    Args:
        wanted: how many of each kind.
        folder: for the originals and for what is made of them.
        after: the number that those of each kind begin after.
    """
    parts = [(kind, after + 1, after + many) for kind, many in wanted.items() if many]
    while parts:
        for outcome in _worked(parts, folder):
            yield outcome
            kind, _, last = parts[0]
            parts[0] = kind, outcome.number + 1, last
            parts = parts[outcome.number == last :]


def _worked(parts: list[Part], folder: Path) -> Iterator[Outcome]:
    """What one worker told, and of the input that ended it, where one did."""
    listed = [f"{kind}:{first}:{last}" for kind, first, last in parts]
    command = [sys.executable, WORKER, folder / "originals", folder / "scratch", *listed]
    errors = folder / "stderr"
    begun = None
    with (
        errors.open("w") as stderr,
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=stderr, text=True) as worker,
    ):
        assert worker.stdout is not None
        for line in worker.stdout:
            told = json.loads(line)
            begun = told if isinstance(told, list) else None
            if isinstance(told, dict):
                yield Outcome(**told)
    if worker.returncode == 0:
        return
    said = errors.read_text(errors="replace")
    if begun is None:
        raise RuntimeError(f"a worker failed before its first input: {said[-3000:]}")
    yield Outcome(*begun, faults=[_why_ended(worker.returncode, said)], said=said[-3000:])


def _why_ended(code: int, said: str) -> str:
    rooms = ("/patterns/", "/sequences/", "/readings/", "/player/")
    frames = [line.strip() for line in said.splitlines() if line.startswith("  File")]
    ours = [line for line in frames if any(room in line for room in rooms)]
    at = "; ".join(" ".join(line.rpartition("/")[2].split()) for line in ours[:2])
    if -code == signal.SIGPROF:
        return f"more than 10 s of processor time: {at}"
    if -code == signal.SIGALRM:
        return f"more than five minutes: {at}"
    return f"ended by {code}: {said.strip().splitlines()[-1:]}"


def table(found: Iterable[Outcome]) -> str:
    """Inputs and exit codes by kind, faults by cause, and the slowest and largest."""
    found = list(found)
    codes: dict[str, Counter[str]] = defaultdict(Counter)
    causes: dict[str, list[Outcome]] = defaultdict(list)
    for each in found:
        codes[each.kind][str(each.codes[-1]) if each.codes else "ended"] += 1
        for fault in dict.fromkeys(each.faults):
            causes[fault].append(each)
    lines = [f"{len(found)} inputs, {sum(bool(each.faults) for each in found)} with a fault"]
    for kind, counted in codes.items():
        listed = ", ".join(f"{code}: {n}" for code, n in sorted(counted.items()))
        lines.append(f"{kind:12} {sum(counted.values()):6}  exit codes {listed}")
    for key, unit in (("seconds", 1.0), ("memory", 1e6)):
        if found:
            most = max(found, key=lambda each: getattr(each, key))
            value = getattr(most, key) / unit
            lines.append(f"most {key}: {value:.1f} by {most.kind} {most.number}")
    for cause, those in sorted(causes.items(), key=lambda pair: -len(pair[1])):
        some = ", ".join(f"{each.kind} {each.number}" for each in those[:4])
        lines.append(f"{len(those):5}  {cause}  ({some})")
    return "\n".join(lines)
