"""Numbers as people list them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby


def ranges(numbers: Iterable[int]) -> str:
    """Numbers in order, neighbours together: `1–3, 7`."""
    texts = []
    ordered = enumerate(sorted(numbers))
    for _, group in groupby(ordered, key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        texts.append(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}")
    return ", ".join(texts)
