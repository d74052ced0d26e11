"""A look at a whole set before its first file: the room it needs, its light, whether it flashes."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from patterns.files.base import Film, Format, Item, Timed
from patterns.files.reel import Played, Reel, frames_of, round_of
from patterns.flashing import Flashing
from patterns.picture.light import Light, light_of, light_of_set

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
        clips: how the clip of each picture flashes, by number; empty without such clips.
        reel: how all pictures do, one after another; None where nothing plays.
    """

    rooms: dict[tuple[int, str], int]
    film_rooms: dict[str, int]
    light: Light | None
    largest: int
    count: int
    clips: Mapping[int, Played]
    reel: Played | None

    @property
    def over(self) -> tuple[Played, ...]:
        """What would flash more than three times a second."""
        alone = len(self.clips) == 1  # then its clip is all that plays
        played = [*([] if self.reel is None or alone else [self.reel]), *self.clips.values()]
        return tuple(each for each in played if each.flashing.over)


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
    clips: dict[int, Played] = {}
    largest = 0
    reel = Reel() if any(isinstance(each, Timed) for each in (*formats, *films)) else None
    in_clips = any(isinstance(each, Timed) for each in formats)
    # counted by hand, and let go by hand: a large picture is not to be there when the next is drawn
    for item in items:
        largest = max(largest, item.number)
        if reel is None:
            lights.append(light_of(item.frame))
        else:
            clip = Reel() if in_clips else None
            lights.append(_played(item, [each for each in (reel, clip) if each is not None]))
            if clip is not None:
                clips[item.number] = _alone(item, clip)
        rooms |= {(item.number, each.suffix): each.room(item) for each in formats}
        if seen is not None:
            seen(len(lights))
        del item
    film_rooms = {each.suffix: each.room(items) for each in films}
    row = None
    if reel is not None and lights:
        what = "the film" if films else "the set of clips, one after another,"
        row = reel.found(what, lambda: round_of(items))
    return Survey(rooms, film_rooms, light_of_set(lights), largest, len(lights), clips, row)


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


def _played(item: Item, reels: Sequence[Reel]) -> Light | None:
    """Show a picture in reels, once for all of them; the light of all its frames."""
    from patterns.video.planes import light_levels, light_of_levels

    for reel in reels:
        reel.begin(item)
    signal = item.frame.signal
    levels = []
    for time, frame in frames_of(item):
        for reel in reels:
            reel.show(time, frame)
        if signal.transfer.name == "pq" and item.pattern.moves:
            levels.append(light_levels(frame))
    return light_of_levels(levels, signal) if item.pattern.moves else light_of(item.frame)


def _alone(item: Item, clip: Reel) -> Played:
    """How a picture flashes that has been shown in a reel of its own."""
    what = f"the clip of step {item.steps}"
    if not item.pattern.moves:
        return Played(what, Flashing())
    return clip.found(what, partial(round_of, [item]))
