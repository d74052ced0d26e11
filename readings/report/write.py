"""Write a report: everything is read and laid out first, then each file appears whole."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from patterns.atomic import atomic_write, why
from patterns.errors import LitfieldError
from readings.report.document import document
from readings.report.gather import VisitContents, gather_all, named_twice
from readings.visit.workbook import workbook

DATABASE = b"SQLite format 3\0"
"""How a visit file begins."""


class ReportError(LitfieldError):
    """A report could not be written; ``str()`` is one clear sentence."""


def write_report(
    visit_paths: Iterable[str | os.PathLike[str]], folder: str | os.PathLike[str]
) -> tuple[Path, ...]:
    """Write the report of these visits: all its files are replaced if there.

    `findings.json`, `report.html`, `report.pdf` and `readings.xlsx`. The same visits give the same
    bytes. The folder is made where it is missing.

    Returns:
        the paths of the files written.

    Raises:
        VisitError: a visit cannot be read; nothing is written then.
        ReportError: no visit is named, or one twice, or the folder cannot be written.
    """
    paths = [Path(path) for path in visit_paths]
    if twice := named_twice(paths):
        raise ReportError(twice)
    return write_contents(gather_all(paths), folder)


def write_contents(
    visits: Sequence[VisitContents], folder: str | os.PathLike[str]
) -> tuple[Path, ...]:
    """The same of visits that are read already. Raises ReportError."""
    if not visits:
        raise ReportError("A report needs at least one visit.")
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _uncollected():
            files = {folder / name: content for name, content in files_of(visits).items()}
        _refuse_taken(files)
        # all are on the disk before the first gets its name: no old file beside new ones
        with ExitStack() as whole:
            for path, content in files.items():
                file = whole.enter_context(atomic_write(path))
                file.write(content)
                file.flush()
    except OSError as error:
        raise ReportError(f"The report cannot be written to {folder}: {why(error)}.") from error
    return tuple(files)


def _refuse_taken(paths: Iterable[Path]) -> None:
    """A report replaces an older report, and never a folder or a visit, whatever its name."""
    for path in paths:
        if path.is_dir():
            raise ReportError(f"{path} is a folder; name another folder for the report.")
        if path.is_file() and begins_as_a_visit(path):
            raise ReportError(f"{path} is a visit; name another folder for the report.")


def begins_as_a_visit(path: Path) -> bool:
    """Whether a file is a database of SQLite, as every visit is (its file format, clause 1.3).

    Raises:
        OSError: it cannot be read.
    """
    with path.open("rb") as file:
        return file.read(len(DATABASE)) == DATABASE


@contextmanager
def _uncollected() -> Iterator[None]:
    """Without the search for dead cycles, which takes a tenth of the time and finds little."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def files_of(visits: Sequence[VisitContents]) -> dict[str, bytes]:
    """Every file of the report by its name."""
    from readings.report.compare import visits_side_by_side
    from readings.report.page import page
    from readings.report.sheets import sheets
    from readings.report.visit_report import visit_report

    each = [visit_report(contents, number) for number, contents in enumerate(visits, 1)]
    beside = visits_side_by_side(visits)
    return {
        "findings.json": document(visits),
        "report.html": page(each, beside),
        "report.pdf": sheets(each, beside),
        "readings.xlsx": workbook([contents.table for contents in visits]),
    }
