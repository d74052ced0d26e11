"""``litfield export --verify``: what became of a set of files on its way to a stick."""

from __future__ import annotations

import json
from pathlib import Path

from patterns.plain import plain
from player.commands.common import progress, say
from player.outcome import NOT_FINISHED


def verify_set(folder: Path, *, as_json: bool) -> int:
    """Read a set again and print what was found; the exit code, 1 where anything is amiss."""
    from patterns.files.verify import verify

    with progress(f"Reading {folder.name}", 100) as count:
        found = verify(folder, lambda done, total: count(100 * done // total))
    if as_json:
        data = {
            "folder": str(folder),
            "good": found.good,
            "whole": list(found.whole),
            "differ": dict(found.differ),
            "missing": list(found.missing),
            "extra": list(found.extra),
            "unfinished": found.unfinished,
            "flashing_confirmed": list(found.flashing),
        }
        say(json.dumps(data, indent=2))
        return 0 if found.good else NOT_FINISHED
    for name, reason in found.differ:
        say(f"differs: {plain(name, lines=False)} ({reason})")
    for name in found.missing:
        say(f"missing: {plain(name, lines=False)}")
    for name in found.extra:
        say(f"extra: {plain(name, lines=False)} (in no list)")
    if found.unfinished:
        say("An export into this folder was cut off; the same command again finishes it.")
    for name in found.flashing:
        why = "more than three times a second; confirmed at its export"
        say(f"flashes: {plain(name, lines=False)} ({why})")
    if found.good:
        say(f"All {len(found.whole)} files are as they were written.")
        return 0
    amiss = len(found.differ) + len(found.missing) + len(found.extra)
    say(f"{len(found.whole)} files are as they were written; {amiss} are not.")
    return NOT_FINISHED
