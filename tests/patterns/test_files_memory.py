"""Memory of an export: it does not grow with the number of pictures, and stays small at 8K."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(os.name != "posix", reason="the resource module is POSIX")

EXPORTER = """
import resource, sys
from collections.abc import Collection
from itertools import cycle, islice
from pathlib import Path
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.files import Item
from patterns.files.export import export
from patterns.kinds import KINDS
from patterns.signal import named_signal

folder, count, width, height, kinds = sys.argv[1], *map(int, sys.argv[2:5]), sys.argv[5:]
canvas = Canvas(width, height)

class Pictures(Collection):
    def __iter__(self):
        names = cycle(kinds or KINDS)
        for number, name in enumerate(islice(names, count), 1):
            kind = KINDS[name]
            signal = next(
                each for each in map(named_signal, ("pq10", "hlg10", "sdr10", "sdr8"))
                if kind.made_for(each)
            )
            pattern = kind()
            yield Item(number, name, pattern, pattern.frame(canvas, signal))
    def __len__(self):
        return count
    def __contains__(self, item):
        return False

made = export(Pictures(), Path(folder), metadata="set")
assert len(made.files) == count
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def megabytes(folder: Path, count: int, size: tuple[int, int], *kinds: str) -> float:
    """Memory at its highest while so many pictures are exported, in MB of 10**6 bytes."""
    arguments = [sys.executable, "-c", EXPORTER, str(folder), str(count), *map(str, size), *kinds]
    done = subprocess.run(arguments, capture_output=True, text=True, check=True)
    unit = 1 if sys.platform == "darwin" else 1024
    return int(done.stdout) * unit / 1e6


def test_two_large_pictures_are_never_in_memory_at_once(tmp_path):
    # every row of circles is another one: 99 MB of codes at 7680x4320
    one = megabytes(tmp_path / "one", 1, (7680, 4320), "circles")
    two = megabytes(tmp_path / "two", 2, (7680, 4320), "circles")
    assert two < one + 60
    assert two < 500


@pytest.mark.campaign
def test_three_hundred_pictures_at_8k_take_less_than_500_mb(tmp_path):
    assert megabytes(tmp_path, 300, (7680, 4320)) < 500
