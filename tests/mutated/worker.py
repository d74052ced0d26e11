"""Puts spoilt inputs through the program, one after another, and tells of each in a line of JSON.

    python tests/mutated/worker.py ORIGINALS SCRATCH KIND:FIRST:LAST ...
    python tests/mutated/worker.py KIND NUMBER

The second makes one input again, in the folder `spoilt`, and prints what came of it. A process
that takes more than 10 s of processor time, or five minutes in all, for one input is ended: its
traceback goes to stderr; none can take more than 4 GB.
"""

from __future__ import annotations

import faulthandler
import json
import os
import resource
import signal
import sys
import tempfile
from contextlib import redirect_stdout
from dataclasses import asdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from player import cli
from tests.mutated.judging import empty, judged
from tests.mutated.originals import make_originals

MOST_SECONDS, PATIENCE = 10, 300
MOST_ADDRESSES = 4 << 30


def guard() -> None:
    """Set limits for this process, and have it tell where it was when one ends it."""
    cli.tune()
    os.environ.pop("DISPLAY", None)
    os.environ.pop("LITFIELD_TRACEBACK", None)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
    for number in (signal.SIGPROF, signal.SIGALRM):
        faulthandler.register(number, chain=True)


def watch(seconds: float = MOST_SECONDS, patience: float = PATIENCE) -> None:
    """Begin to count the time anew; 0 for no limit."""
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, patience)


def prepare(originals: Path, scratch: Path) -> None:
    """Make the originals where they are missing, and load what commands load when first called."""
    if not originals.exists():
        make_originals(originals)
    visit = str(originals / "visits" / "contrast.visit")
    with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere):
        assert cli.run(["report", visit, "--to", str(scratch / "report")]) == 0


def batch(originals: Path, scratch: Path, wanted: list[str]) -> None:
    """Tell of every input: its kind and number before, what came of it after."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    prepare(originals, scratch)
    for each in wanted:
        kind, first, last = each.split(":")
        for number in range(int(first), int(last) + 1):
            print(json.dumps([kind, number]), file=out, flush=True)
            folder = empty(scratch / "spoilt")
            watch()
            outcome = judged(kind, number, folder, originals)
            watch(0, 0)
            print(json.dumps(asdict(outcome)), file=out, flush=True)


def again(kind: str, number: int) -> None:
    """Make one input once more, and say what came of it."""
    with tempfile.TemporaryDirectory() as scratch:
        originals = Path(scratch) / "originals"
        prepare(originals, Path(scratch))
        watch()
        outcome = judged(kind, number, empty(Path("spoilt")), originals)
        watch(0, 0)
    print(outcome.said)  # noqa: T201 - somebody asked
    print(json.dumps(asdict(outcome) | {"said": "as above"}, indent=1))  # noqa: T201


if __name__ == "__main__":
    guard()
    if len(sys.argv) == 3:
        again(sys.argv[1], int(sys.argv[2]))
    else:
        batch(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:])
