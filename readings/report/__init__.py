"""The report of one visit or several: page, sheets, findings, readings, and a table on a terminal.

`report.html` is one file without network or scripts, `report.pdf` the same on A4 sheets,
`findings.json` for machines, and `readings.xlsx` all readings.
"""

from readings.report.gather import gather, gather_all, named_twice
from readings.report.terminal import print_findings
from readings.report.write import ReportError, write_contents, write_report

__all__ = [
    "ReportError", "gather", "gather_all", "named_twice", "print_findings", "write_contents",
    "write_report",
]  # fmt: skip
