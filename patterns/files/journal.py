"""The journal of an export under way, so that one that was cut off goes on where it stopped.

A file of JSON lines in the folder. The first says whose it is, and one may give the title of the
set; each other names a file, what it was to be (the key) and the SHA-256 of what was written. A
line is on the disk before the file has its name. The journal goes away when the export is whole.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

from patterns.files.base import Coded
from patterns.files.lock import taken
from patterns.files.ordinary import is_ordinary, open_ordinary, read_ordinary
from patterns.files.problems import ExportError

JOURNAL = ".litfield-export"
FIRST = {"export": "litfield", "journal": 1}
PART = re.compile(r"\.part-[0-9a-f]{12}(\.\w+)?")
"""Names of files that are not whole yet (``patterns.atomic``)."""


NOTHING = Coded()


@dataclass(frozen=True)
class Made:
    """A file: what it was to be, its SHA-256, and how it was coded (for the manifest)."""

    key: str
    sha256: str
    coded: Coded = NOTHING


class JournalTakenError(ExportError):
    """Another export is writing into the same folder, or a file of this name is not ours."""


@dataclass
class Journal:
    """What an earlier export left, and what this one adds.

    Args:
        path: where it lies.
        made: the last file made under each name; keys are empty for files of a finished export
            that are about to be replaced.
        file: open for appending while the export runs.
    """

    path: Path
    made: dict[str, Made] = field(default_factory=dict)
    known: dict[str, set[str]] = field(default_factory=dict)
    """Every SHA-256 that a name has had or was about to have: such a file is ours."""
    file: BinaryIO | None = None
    title: str = ""
    """Of the set, where the journal says it."""
    worth_keeping: bool = False
    """Whether it tells of more than a finished export that nobody has touched."""

    @classmethod
    def open(cls, folder: Path) -> Journal:
        """Take up the journal there, or begin one; leftovers of a cut-off export are removed.

        Raises:
            JournalTakenError: see there.
            OSError: as the operating system has it.
        """
        path = folder / JOURNAL
        found = read_journal(path)
        if found is None:
            raise JournalTakenError(f"{JOURNAL} in {folder} is not the journal of an export.")
        file = open_ordinary(path, "ab")
        try:
            _lock(file, folder)
            if file.tell() == 0:
                _append(file, [FIRST])
            else:
                # a line that was cut off is to end before the next begins
                file.write(b"\n")
                for part in folder.iterdir():
                    if PART.fullmatch(part.name):
                        part.unlink(missing_ok=True)
        except BaseException:
            file.close()
            raise
        # a title without a file is that of an export which made nothing
        title = _title_in(path) if found else ""
        journal = cls(path, file=file, title=title, worth_keeping=bool(found))
        for name, each in found:
            journal._know({name: each})
        return journal

    def entitle(self, title: str) -> None:
        """Write down what set this is; nothing where that is known, or has no title."""
        assert self.file is not None  # noqa: S101 - only an open journal is written to
        if title and title != self.title:
            _append(self.file, [{"title": title}])
            self.title = title

    def note(self, name: str, made: Made) -> None:
        """Write down what will have this name in a moment."""
        self._write({name: made})
        self.worth_keeping = True

    def remember(self, earlier: Mapping[str, str]) -> None:
        """Write down the files of a finished export, whose lists may go: SHA-256 by name."""
        self._write(
            {name: Made("", each) for name, each in earlier.items() if name not in self.made}
        )

    def _write(self, made: Mapping[str, Made]) -> None:
        assert self.file is not None  # noqa: S101 - only an open journal is written to
        _append(self.file, [{"file": name, **asdict(each)} for name, each in made.items()])
        self._know(made)

    def _know(self, made: Mapping[str, Made]) -> None:
        self.made |= made
        for name, each in made.items():
            self.known.setdefault(name, set()).add(each.sha256)

    def leave(self) -> None:
        """Keep it for the next export where it has anything to tell."""
        if self.worth_keeping:
            self.close()
        else:
            self.finish()

    def close(self) -> None:
        """Let go of the file; a second call does nothing."""
        if self.file is not None:
            self.file.close()
            self.file = None

    def finish(self) -> None:
        """Everything is whole: take the journal away."""
        # Windows removes no file that is open
        self.close()
        self.path.unlink(missing_ok=True)


def read_journal(path: Path) -> list[tuple[str, Made]] | None:
    """Names and what was made, in order; None for a file that is no journal."""
    try:
        lines = read_ordinary(path).splitlines()
    except FileNotFoundError:
        return []
    except OSError:
        if is_ordinary(path):
            raise
        return None
    made: list[tuple[str, Made]] = []
    whole = [each for each in map(_parsed, lines) if each]
    if lines and (not whole or whole[0] != FIRST):
        # cut off in its very first line, it says nothing yet
        return [] if len(lines) == 1 and json.dumps(FIRST).encode().startswith(lines[0]) else None
    for each in whole[1:]:
        # a line of another version says nothing, and its file is made anew
        with suppress(KeyError, TypeError):
            coded = Coded(each["coded"]["words"], tuple(each["coded"]["stated"]))
            made.append((str(each["file"]), Made(each["key"], each["sha256"], coded)))
    return made


def _title_in(path: Path) -> str:
    lines = map(_parsed, read_ordinary(path).splitlines())
    titles = [str(each["title"]) for each in lines if "title" in each]
    return titles[-1] if titles else ""


def _parsed(line: bytes) -> dict[str, Any]:
    """A line of the journal; empty for one that was cut off."""
    try:
        found = json.loads(line)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _append(file: BinaryIO, lines: Sequence[Mapping[str, object]]) -> None:
    file.write(b"".join(json.dumps(line).encode() + b"\n" for line in lines))
    file.flush()
    os.fsync(file.fileno())


def _lock(file: BinaryIO, folder: Path) -> None:
    """Keep other exports out as long as the journal is open; where the system can."""
    try:
        free = taken(file.fileno())
    except OSError:  # some network disks have no locks
        return
    if not free:
        raise JournalTakenError(f"Another export is writing into {folder}.")
