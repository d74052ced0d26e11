"""The report of one visit or several: `findings.json`, `report.html`, and a table on a terminal."""

from readings.report.terminal import print_findings
from readings.report.write import ReportError, write_report

__all__ = ["ReportError", "print_findings", "write_report"]
