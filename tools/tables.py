"""Make the tables of findings in docs/sequences.md and docs/report.md from the registry, or check.

Usage: python tools/tables.py [--check]
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from readings.findings import FINDINGS
from readings.findings.kind import Limit, Reads

DOCS = Path(__file__).parent.parent / "docs"
UNITS = {"": "", ":1": ":1"}
SIGNALS = {"pq": "PQ", "hlg": "HLG", "bt1886": "BT.1886"}


def listed(names: tuple[str, ...], last: str) -> str:
    """`a`, `b` and `c`."""
    spans = [f"`{name}`" for name in names]
    return spans[0] if len(spans) == 1 else f"{', '.join(spans[:-1])} {last} {spans[-1]}"


def roles(reads: Reads) -> str:
    """The cell that says which roles."""
    told = listed(reads.roles, "and" if reads.together else "or") if reads.roles else "any"
    return told + (f"; {listed(reads.beside, 'and')} beside" if reads.beside else "")


def findings() -> Iterator[str]:
    """What each finding reads."""
    yield "| finding | role | on | read |"
    yield "|---|---|---|---|"
    for name in sorted(FINDINGS):
        for reads in FINDINGS[name].reads:
            read = listed(reads.quantities, "or")
            yield f"| `{name}` | {roles(reads)} | {reads.on} | {read} |"


def value(name: str, limit: Limit) -> str:
    """The cell that says what is held against a limit."""
    told = [f"`{name}`: {', '.join(f'`{each}`' for each in limit.values)}"]
    told += [str(wanted) for _, wanted in limit.where]
    told += [" and ".join(SIGNALS[each] for each in limit.transfers)] if limit.transfers else []
    return ", ".join(told)


def limits() -> Iterator[str]:
    """What the front page holds values against."""
    yield "| what is said where it is kept | value | limit | source |"
    yield "|---|---|---|---|"
    for kind in FINDINGS.values():
        for limit in kind.limits:
            number = f"{limit.limit:,g}{UNITS.get(limit.unit, f' {limit.unit}')}"
            held = value(kind.name, limit)
            yield f"| {limit.good} | {held} | {limit.way} {number} | {limit.source} |"


TABLES = (("sequences.md", "findings", findings), ("report.md", "limits", limits))
"""Page, mark above the table, and what makes its lines."""


def pages() -> dict[Path, str]:
    """Each page as it should be."""
    made: dict[Path, str] = {}
    for page, mark, lines in TABLES:
        path = DOCS / page
        text = made.get(path) or path.read_text("utf-8")
        before, found, after = text.partition(f"<!-- {mark} -->\n")
        if not found:
            raise SystemExit(f"{page} has no mark for the table of {mark}.")
        rest = after[after.index("\n\n") :]
        made[path] = before + found + "\n".join(lines()) + rest
    return made


def main() -> None:
    """Write, or with --check say what is not current and fail."""
    if sys.argv[1:] not in ([], ["--check"]):
        raise SystemExit(__doc__)
    stale = {path: text for path, text in pages().items() if path.read_text("utf-8") != text}
    if sys.argv[1:] and stale:
        names = ", ".join(path.name for path in stale)
        raise SystemExit(f"Not current: {names}; run make catalogue.")
    for path, text in stale.items():
        path.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
