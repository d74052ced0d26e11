"""Findings as a table on a terminal, however narrow."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from patterns.plain import plain
from readings.findings.base import Finding, Value
from readings.report.wording import UNCERTAINTY, run_text

if TYPE_CHECKING:  # rich is imported where it is used
    from rich.console import Console

WIDTH = 100
"""Wider than this, the eye loses the line."""

LEGEND = f"{UNCERTAINTY}; ± ? where neither is known."


def print_findings(findings: Sequence[Finding], console: Console) -> None:
    """Print each finding with its values, uncertainties and warnings."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    width = min(console.width, WIDTH)
    if not findings:
        console.print(Text("No findings: no reading speaks to any."), width=width)
    for finding in findings:
        title = Text(finding.title, style="bold")
        title.append(f"\n{plain(run_text(finding.run, finding.condition), lines=False)}", "dim")
        console.print(title, width=width)
        table = Table.grid(padding=(0, 2, 0, 0))
        table.add_column(overflow="fold")
        table.add_column(overflow="fold", justify="right")
        for number, value in enumerate(finding.values):
            style = "" if number else "bold"
            table.add_row(Text(plain(value.label, lines=False), style), Text(_result(value), style))
        console.print(Padding(table, (0, 0, 0, 2)), width=width)
        for warning in finding.warnings:
            text = Text(f"Warning: {plain(warning, lines=False)}", "yellow")
            console.print(Padding(text, (0, 0, 0, 2)), width=width)
        console.print()
    if findings:
        console.print(Text(LEGEND, "dim"), width=width)


def _result(value: Value) -> str:
    text = value.written()
    known = value.value is None or value.bound or value.among or value.reach is not None
    return text if known else f"{text} ± ?"
