"""Numbers as people list them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby


def ranges(numbers: Iterable[int], most: int | None = None) -> str:
    """Numbers in order, neighbours together: `1–3, 7`.

    Of more stretches than `most` the first ones are listed, and how many numbers follow: `1–3, 7
    and 20 more`.
    """
    texts: list[str] = []
    listed = 0
    numbers = sorted(numbers)
    ordered = enumerate(numbers)
    for _, group in groupby(ordered, key=lambda pair: pair[1] - pair[0]):
        if len(texts) == most:
            return f"{', '.join(texts)} and {len(numbers) - listed} more"
        run = [number for _, number in group]
        listed += len(run)
        texts.append(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}")
    return ", ".join(texts)
