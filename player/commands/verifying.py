"""``litfield export --verify``: what became of sets of files on their way to a stick."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from patterns.plain import plain
from player.commands.common import progress, say
from player.outcome import NOT_FINISHED

if TYPE_CHECKING:
    from patterns.files.verify import Verdict


def verify_sets(folder: Path, *, as_json: bool) -> int:
    """Read a set again, or every set in a folder of sets, and print what was found.

    The exit code is 1 where anything is amiss. Raises PatternError where there is no set.
    """
    from patterns.errors import PatternError
    from patterns.files.verify import sets_in

    folders = sets_in(folder)
    if not folders:
        found = _read(folder)
        if as_json:
            say(json.dumps(_facts(folder, found), indent=2))
        else:
            _tell(found)
        return 0 if found.good else NOT_FINISHED
    good, facts = True, []
    for each in folders:
        if not as_json:
            say(f"{plain(each.name, lines=False)}:")
        try:
            found = _read(each)
        except PatternError as error:
            good = False
            facts.append({"folder": str(each), "good": False, "problem": error.sentence()})
            if not as_json:
                say(error.sentence())
            continue
        good &= found.good
        facts.append(_facts(each, found))
        if not as_json:
            _tell(found)
    if as_json:
        say(json.dumps(facts, indent=2))
    return 0 if good else NOT_FINISHED


def _read(folder: Path) -> Verdict:
    from patterns.files.verify import verify

    with progress(f"Reading {folder.name}", 100) as count:
        return verify(folder, lambda done, total: count(100 * done // total))


def _facts(folder: Path, found: Verdict) -> dict[str, object]:
    return {
        "folder": str(folder),
        "good": found.good,
        "whole": list(found.whole),
        "differ": dict(found.differ),
        "missing": list(found.missing),
        "extra": list(found.extra),
        "unfinished": found.unfinished,
        "flashing_confirmed": list(found.flashing),
    }


def _tell(found: Verdict) -> None:
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
        return
    amiss = len(found.differ) + len(found.missing) + len(found.extra)
    say(f"{len(found.whole)} files are as they were written; {amiss} are not.")
