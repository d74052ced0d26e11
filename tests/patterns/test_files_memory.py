"""Memory of an export: it does not grow with the number of pictures, and stays small at 8K."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="memory at its highest is read from /proc"
)

EXPORTER = """
import sys
from collections.abc import Collection
from itertools import cycle, islice
from pathlib import Path
from patterns.picture.canvas import Canvas
from patterns.errors import PatternError
from patterns.files import Item
from patterns.files.export import export
from patterns.kinds import KINDS
from patterns.signal.signal import named_signal

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
# the resource module would tell the parent's memory where that is larger: exec hands it down
status = Path("/proc/self/status").read_text()
print(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM")))
"""


def megabytes(folder: Path, count: int, size: tuple[int, int], *kinds: str) -> float:
    """Memory at its highest while so many pictures are exported, in MB of 10**6 bytes."""
    arguments = [sys.executable, "-c", EXPORTER, str(folder), str(count), *map(str, size), *kinds]
    done = subprocess.run(arguments, capture_output=True, text=True, check=True)
    return int(done.stdout) * 1024 / 1e6


def test_two_large_pictures_are_never_in_memory_at_once(tmp_path):
    # every row of circles is another one: 99 MB of codes at 7680x4320
    one = megabytes(tmp_path / "one", 1, (7680, 4320), "circles")
    two = megabytes(tmp_path / "two", 2, (7680, 4320), "circles")
    assert two < one + 60
    assert two < 500


@pytest.mark.campaign
def test_three_hundred_pictures_at_8k_take_less_than_500_mb(tmp_path):
    assert megabytes(tmp_path, 300, (7680, 4320)) < 500
