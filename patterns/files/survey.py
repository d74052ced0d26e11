"""A look at a whole set before its first file: the room it needs, and the light of all of it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from patterns.files.base import Film, Format, Item, Timed
from patterns.files.light import Light, light_of, light_of_set

Metadata = Literal["set", "file"] | Light
"""Static HDR metadata: the same numbers in every file of a set, those of each picture for itself,
or some that somebody wants to see stated."""


@dataclass(frozen=True)
class Survey:
    """What was seen.

    Args:
        rooms: bytes that each item may need in each format, by (number, suffix).
        film_rooms: the same of each film, by suffix.
        light: of the whole set; None without PQ light.
        largest: the largest number.
        count: of the pictures.
    """

    rooms: dict[tuple[int, str], int]
    film_rooms: dict[str, int]
    light: Light | None
    largest: int
    count: int


def survey(
    items: Collection[Item],
    formats: Sequence[Format],
    films: Sequence[Film] = (),
    seen: Callable[[int], None] | None = None,
) -> Survey:
    """Draw every picture once; ``seen`` is called with the count after each.

    Raises:
        PatternError: a frame that cannot be made.
    """
    rooms: dict[tuple[int, str], int] = {}
    lights: list[Light | None] = []
    largest = 0
    plays = any(isinstance(each, Timed) for each in (*formats, *films))
    # counted by hand, and let go by hand: a large picture is not to be there when the next is drawn
    for item in items:
        largest = max(largest, item.number)
        lights.append(_light_of(item, plays=plays))
        rooms |= {(item.number, each.suffix): each.room(item) for each in formats}
        if seen is not None:
            seen(len(lights))
        del item
    film_rooms = {each.suffix: each.room(items) for each in films}
    return Survey(rooms, film_rooms, light_of_set(lights), largest, len(lights))


class Stating(Collection[Item]):
    """Items whose files are to state these metadata."""

    def __init__(self, items: Collection[Item], light: Light | None) -> None:
        self._items = items
        self._light = light

    def __iter__(self) -> Iterator[Item]:
        for each in self._items:
            stating = replace(each, metadata=self._light)
            del each  # a large picture is let go before the next one is drawn
            yield stating
            del stating

    def __len__(self) -> int:
        return len(self._items)

    def __contains__(self, item: object) -> bool:
        return any(item is each for each in self._items)


def _light_of(item: Item, *, plays: bool) -> Light | None:
    if not (plays and item.pattern.moves):
        return light_of(item.frame)
    from patterns.video.content import light_over

    times = (Fraction(picture) / item.refresh for picture in range(item.pictures))
    signal = item.frame.signal
    return light_over((item.pattern.frame(item.canvas, signal, time) for time in times), signal)
