"""Write a report: everything is read and laid out first, then each file appears whole."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from patterns.files.atomic import atomic_write, why
from readings.report.document import document
from readings.report.gather import gather


class ReportError(Exception):
    """A report could not be written; ``str()`` is one clear sentence."""


def write_report(
    visit_paths: Iterable[str | os.PathLike[str]], folder: str | os.PathLike[str]
) -> tuple[Path, ...]:
    """Write `findings.json` and `report.html` for these visits; both are replaced if there.

    The same visits give the same bytes. The folder is made where it is missing.

    Returns:
        the paths of the files written.

    Raises:
        VisitError: a visit cannot be read; nothing is written then.
        ReportError: no visit is named, or the folder cannot be written.
    """
    from readings.report.page import page

    paths = [Path(path) for path in visit_paths]
    if not paths:
        raise ReportError("A report needs at least one visit.")
    visits = [gather(path) for path in paths]
    files = {"findings.json": document(visits), "report.html": page(visits)}
    folder = Path(folder)
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            with atomic_write(folder / name) as file:
                file.write(content)
            written.append(folder / name)
    except OSError as error:
        raise ReportError(f"The report cannot be written to {folder}: {why(error)}.") from error
    return tuple(written)
