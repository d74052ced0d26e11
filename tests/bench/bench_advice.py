"""What an advice takes: at most half a second, with the reading that was told before it.

An adviser adjusts invented displays, one with ten and one with twenty points, to the end. The times
are those of the processor, of the slowest advice and of the slowest reading: what other programs
take meanwhile is none of the adviser's.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parent))
sys.path.append(str(Path(__file__).parents[2]))
from measure import Promises, machine

from tests.readings.adjusting.trial import METERS, line, trial

DISPLAYS = (("ten-point", 4), ("twenty-point", 60_004))
PROMISE = 0.5
"""Seconds."""


def main() -> None:
    promises = Promises()
    print(machine())
    for menu, seed in DISPLAYS:
        its = trial("adviser", seed, menu, meter=METERS["usual"], best=0.0)
        print(line(its))
        for what, seconds in (("advice", its.slowest), ("reading", its.told)):
            promises.at_most(f"{menu}, slowest {what}, seconds to {PROMISE}", seconds / PROMISE, 1)
    promises.leave()


if __name__ == "__main__":
    main()
