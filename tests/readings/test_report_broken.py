"""A finding that breaks down costs the report that finding and nothing else, and it is told."""

import pytest

from player.cli import run
from readings.findings import FINDINGS
from readings.report import gather
from readings.report.sheets import sheets
from readings.report.summary import summary
from readings.report.visit_report import visit_report
from readings.visit.visit import Visit
from tests.readings.test_report import METER, START, contrast_run, report, seen
from tests.readings.test_report_sheets import text_of


def broken(_):
    raise ZeroDivisionError("no light\n to divide by")


@pytest.fixture
def wall(tmp_path):
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as visit:
        meter = visit.add_instrument(
            "spot meter 1", kind="typed", role="spot meter", specification=METER
        ).id
        contrast_run(visit, meter, "local dimming off", 102.6, 0.09)
    return path


def test_the_front_page_tells_it_and_has_all_the_rest(wall, tmp_path, monkeypatch):
    monkeypatch.setattr(FINDINGS["zones"], "work_out", broken)
    page, data = report(wall, tmp_path / "r")
    text = seen(page)
    front = text[: text.index("± is the expanded uncertainty")]
    assert "What was not measured, or not worked out" in front
    assert (
        "Not worked out, for an error of this program and not of the display: the number of "
        "dimming zones (ZeroDivisionError: no light to divide by)." in front
    )
    assert "Sequential contrast: 1140:1 ± 98" in front
    assert "No reading speaks to: " in front
    assert "the number of dimming zones." not in front.partition("No reading speaks to: ")[2]
    assert [f["name"] for f in data["visits"][0]["findings"]] == ["contrast"]
    assert "zones" not in data["visits"][0]["not_found"]
    assert data["visits"][0]["not_worked_out"] == [
        {"finding": "zones", "why": "ZeroDivisionError: no light to divide by"}
    ]
    paper = text_of(sheets([visit_report(gather(wall))], []), tmp_path)
    assert "(ZeroDivisionError: no light to divide by)" in " ".join(paper.split())


def test_what_was_found_is_the_same_as_ever(wall, monkeypatch):
    whole = gather(wall)
    assert whole.not_worked_out == []
    monkeypatch.setattr(FINDINGS["zones"], "work_out", broken)
    assert gather(wall).findings == whole.findings


def test_readings_that_could_not_be_checked_are_not_called_plausible(wall, monkeypatch):
    sentence = "Checks of the readings against each other find nothing"
    assert sentence in [said.sentence for said in summary(gather(wall)).statements]
    monkeypatch.setattr(FINDINGS["plausibility"], "work_out", broken)
    told_now = summary(gather(wall))
    assert sentence not in [said.sentence for said in told_now.statements]
    assert "whether the readings agree with each other (Zero" in told_now.not_measured[0]


def test_the_command_writes_the_report_and_ends_as_not_finished(
    wall, tmp_path, monkeypatch, capsys
):
    monkeypatch.setattr(FINDINGS["zones"], "work_out", broken)
    assert run(["report", str(wall), "--to", str(tmp_path / "r")]) == 1
    said = capsys.readouterr()
    assert "1140:1" in said.out
    assert "report.html" in said.out
    assert (tmp_path / "r" / "report.pdf").exists()
    assert said.err == (
        "Not worked out, for an error of this program: zones of wall.visit (ZeroDivisionError: no "
        "light to divide by). All else of the report is written.\n"
    )


def test_a_visit_of_which_nothing_could_be_worked_out_is_not_called_one_without_findings(
    wall, tmp_path, monkeypatch, capsys
):
    for name in FINDINGS:
        monkeypatch.setattr(FINDINGS[name], "work_out", broken)
    text = seen(report(wall, tmp_path / "r")[0])
    assert "none that a finding speaks to" not in text
    assert text.count("ZeroDivisionError") == len(FINDINGS)
    assert run(["report", str(wall), "--to", str(tmp_path / "r")]) == 1
    assert "No findings" not in capsys.readouterr().out


def test_stopping_is_no_failure_of_a_finding(wall, monkeypatch):
    def stopped(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(FINDINGS["zones"], "work_out", stopped)
    with pytest.raises(KeyboardInterrupt):
        gather(wall)
