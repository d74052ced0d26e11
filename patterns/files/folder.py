"""The folder that an export writes into: what is there, whose it is, and how much room is left."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass, field
from pathlib import Path

from patterns.files.journal import Journal, Made
from patterns.files.manifest import MANIFEST, SUMS, file_sha256, read_sums, title_in
from patterns.files.ordinary import is_ordinary
from patterns.files.problems import ExportError


@dataclass
class Folder:
    """One folder during an export.

    Args:
        path: where it lies.
        earlier: SHA-256 by name, of a finished export that was there before.
    """

    path: Path
    earlier: dict[str, str] = field(default_factory=dict)
    journal: Journal | None = None

    def take(self, lists: tuple[str, ...], title: str = "") -> None:
        """Make it, see what an earlier export left there, and keep other exports out.

        Raises:
            ExportError: it is a file, or a list of somebody else or the set of another title is
                in it.
            JournalTakenError: another export is at work there.
        """
        if self.path.exists() and not self.path.is_dir():
            raise ExportError(f"{self.path} is a file; an export needs a folder.")
        self.path.mkdir(parents=True, exist_ok=True)
        sums = read_sums(self.path / SUMS) if is_ordinary(self.path / SUMS) else {}
        manifest = self.path / MANIFEST
        # a list of sums that knows the manifest beside it is one of ours
        if is_ordinary(manifest) and sums.get(MANIFEST) == file_sha256(manifest):
            self.earlier = sums
        self.journal = Journal.open(self.path)
        try:
            self._require_title(title, title_in(manifest) if self.earlier else "")
            if self.earlier:
                sums_too = {SUMS: file_sha256(self.path / SUMS)}
                self.journal.remember(self.earlier | sums_too)
            for name in lists:
                if os.path.lexists(self.path / name) and not self.ours(name):
                    raise ExportError(self.taken(name))
        except BaseException:
            self.leave()
            raise

    def _require_title(self, title: str, finished: str) -> None:
        """Refuse the set of another title, whole or cut off; what does not say is not held back."""
        assert self.journal is not None  # noqa: S101 - opened just now
        for other in filter(None, (finished, self.journal.title)):
            if title and other != title:
                raise ExportError(
                    f"{self.path} holds the files of another sequence, {other}; they were left as "
                    "they are: choose another folder."
                )
        self.journal.entitle(title)

    def ours(self, name: str) -> bool:
        """Whether a file there is one that an export made, unchanged since."""
        path = self.path / name
        if not is_ordinary(path):
            return False
        known = self.journal.known.get(name, set()) if self.journal is not None else set()
        return file_sha256(path) in known

    def made_before(self, name: str, key: str) -> Made | None:
        """A file that an export which was cut off made to be just this, and that is whole."""
        made = self.journal.made.get(name) if self.journal is not None else None
        path = self.path / name
        if made is None or made.key != key or not is_ordinary(path):
            return None
        return made if file_sha256(path) == made.sha256 else None

    def size(self, name: str) -> int:
        """Bytes of a file there; 0 where there is none."""
        path = self.path / name
        return path.stat().st_size if is_ordinary(path) else 0

    def drop(self, lists: tuple[str, ...]) -> None:
        """Remove lists that will not be true in a moment; the journal knows what they told."""
        # the sums first: they say that all the others are whole
        for name in reversed(lists):
            (self.path / name).unlink(missing_ok=True)

    def require_room(self, room: int, what: str, so_far: str = "") -> None:
        """ExportError where fewer than ``room`` bytes are free."""
        free = shutil.disk_usage(self.path).free
        if free < room:
            raise ExportError(
                f"{self.path} has {free / 1e6:.1f} MB free, and {what} may need "
                f"{room / 1e6:.1f} MB{so_far}."
            )

    def taken(self, name: str) -> str:
        """What is said of a name that somebody else's file has."""
        return (
            f"{name} is in {self.path} already and does not come unchanged from an earlier "
            "export; it was left as it is: choose another folder."
        )

    def leave(self) -> None:
        """Let other exports in; the journal stays for the next, where it has anything to tell."""
        if self.journal is not None:
            self.journal.leave()
