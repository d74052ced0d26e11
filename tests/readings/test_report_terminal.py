"""Findings on a terminal."""

import subprocess
import sys
from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console

from readings.findings.base import Finding, Value
from readings.report import print_findings

FINDING = Finding(
    name="contrast",
    title="Sequential contrast",
    condition="local dimming [bold]on[/bold] [/nonsense]",
    run=2,
    values=(
        Value("sequential-contrast", "Sequential contrast", 1140.0, ":1", 97.5),
        Value("full-white-luminance", "Full white", 102.6, "cd/m2"),
        Value("full-black-luminance", "Full black", 0.001, "cd/m2", None, "upper"),
    ),
    method="how",
    source="where from",
    readings=(1, 2),
    warnings=("Black is at the floor [red]here[/red].",),
)


def printed(findings, width=80):
    out = StringIO()
    print_findings(findings, Console(file=out, width=width, color_system=None))
    return out.getvalue()


def test_each_value_stands_with_its_uncertainty_and_each_warning_is_called_one():
    text = printed([FINDING])
    assert "1140:1 ± 98" in text
    assert "103 cd/m2 ± ?" in text
    assert "at most 0.001 cd/m2" in text
    assert "Warning: Black is at the floor [red]here[/red]." in text
    assert "± ? where neither is known" in text


def test_operator_text_is_no_markup():
    assert "run 2: local dimming [bold]on[/bold] [/nonsense]" in printed([FINDING])


def test_text_of_a_visit_does_not_steer_the_terminal():
    steering = "on\x1b[31m\r\n\u202e"
    finding = replace(
        FINDING,
        condition=steering,
        values=(Value("full-white-luminance", steering, 102.6, "cd/m2", 1.0),),
        warnings=(steering,),
    )
    text = printed([finding])
    assert text.count("on\ufffd[31m\ufffd\ufffd\ufffd") == 3
    assert not {"\x1b", "\r", "\u202e"} & set(text)


@pytest.mark.parametrize("width", [20, 40, 80, 200])
def test_no_line_is_wider_than_the_terminal_or_than_the_eye_can_follow(width):
    lines = printed([FINDING], width).splitlines()
    assert max(len(line) for line in lines) <= min(width, 100)
    assert "1140:1" in "".join(lines)


def test_no_findings_are_said_to_be_none():
    assert printed([]).strip() == "No findings: no reading speaks to any."


def test_the_report_room_loads_no_heavy_library_until_it_is_needed():
    heavy = "{'rich', 'jinja2', 'matplotlib', 'fpdf', 'xlsxwriter'}"
    code = f"import sys, readings.report; print({heavy} & set(sys.modules))"
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
