"""``litfield zones``: a count from files, as a table and for a machine; bad files in sentences."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from player.cli import run

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "docs" / "examples"
HEAD = "axis,pass,direction,position_px\n"
COMBS = "axis,n,spacing,groups\n"


def tallies(zones: int, size: int, axis: str, comma: str = ".") -> str:
    """Lines of a clean pass each way, a press 0.4 of a zone behind every edge."""
    lines = []
    for edge in range(1, zones):
        place = (edge + 0.4) * size / zones
        lines += [f"{axis},1,forward,{place:.1f}", f"{axis},2,backward,{size - place:.1f}"]
    text = "\n".join(lines) + "\n"
    return text if comma == "." else text.replace(",", ";").replace(".", comma)


@pytest.fixture
def lobby(tmp_path: Path) -> Path:
    file = tmp_path / "lobby.csv"
    file.write_text(HEAD + tallies(41, 3840, "columns") + tallies(24, 2160, "rows"))
    return file


def output_of(capfd: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(["zones", *arguments]) == 0
    told = capfd.readouterr()
    assert told.err == ""
    return told.out


def errors_of(capfd: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    assert run(["zones", *arguments]) == 2
    told = capfd.readouterr()
    assert told.out == ""
    assert "Traceback" not in told.err
    return told.err.splitlines()


def test_the_json_is_exactly_as_promised(lobby: Path, capfd: pytest.CaptureFixture[str]):
    told = output_of(capfd, "--tallies", str(lobby), "--size", "3840x2160", "--json")
    assert json.loads(told) == {
        "columns": {"count": 41, "set95": [41]},
        "rows": {"count": 24, "set95": [24]},
        "zones": {"count": 984, "set95": [984]},
    }


def test_the_table_tells_counts_what_they_rest_on_and_what_it_is(
    lobby: Path, capfd: pytest.CaptureFixture[str]
):
    told = output_of(capfd, "--tallies", str(lobby), "--size", "3840x2160")
    assert "984" in told
    assert "80 presses in 2 passes" in told
    assert "It has zones in columns and rows." in told


def test_an_unsure_count_is_null_and_the_table_says_what_to_do(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "few.csv"
    file.write_text(HEAD + "columns,1,forward,\ncolumns,2,backward,\nrows,1,forward,700\n")
    told = json.loads(output_of(capfd, "--tallies", str(file), "--size", "3840x2160", "--json"))
    assert told["columns"]["count"] is None
    assert told["rows"]["count"] is None
    assert told["zones"]["count"] is None
    assert {1, 2, 3} <= set(told["columns"]["set95"])
    table = output_of(capfd, "--tallies", str(file), "--size", "3840x2160")
    assert "unsure" in table
    assert "Columns: Go along again" in table


def test_an_axis_that_nobody_went_along_is_unknown(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "columns.csv"
    file.write_text(HEAD + tallies(41, 3840, "columns"))
    told = json.loads(output_of(capfd, "--tallies", str(file), "--size", "3840x2160", "--json"))
    assert told["rows"] == told["zones"] == {"count": None, "set95": None}
    assert "unknown" in output_of(capfd, "--tallies", str(file), "--size", "3840x2160")


def test_more_zones_than_are_told_apart_are_at_least_so_many(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "fine.csv"
    size = ("--tallies", str(file), "--size", "3840x2160")
    file.write_text(HEAD + tallies(240, 3840, "columns"))
    told = json.loads(output_of(capfd, *size, "--json"))["columns"]
    assert told == {"count": 240, "set95": [240]}
    file.write_text(HEAD + tallies(505, 3840, "columns"))
    told = json.loads(output_of(capfd, *size, "--json"))["columns"]
    assert told == {"count": None, "set95": [500], "at_least": 500}
    assert "at least 500" in output_of(capfd, *size)


@pytest.mark.parametrize(
    ("lines", "line", "what"),
    [
        ((f"columns,1,forward,{n % 3840}" for n in range(40_000)), 5002, "more than 5,000 times"),
        ((f"rows,{n},forward," for n in range(1, 9_000)), 52, "more than 50 times"),
    ],
)
def test_what_no_person_presses_is_one_sentence(
    lines: Iterator[str], line: int, what: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "many.csv"
    file.write_text(HEAD + "\n".join(lines))
    (said,) = errors_of(capfd, "--tallies", str(file), "--size", "3840x2160")
    assert said.startswith(f"{file}:{line}: nobody presses ")
    assert what in said


def test_as_many_presses_as_a_person_could_make_are_counted(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "long.csv"
    lines = [
        f"columns,{number},forward,{(edge + 0.4) * 3840 / 101:.1f}"
        for number in range(1, 51)
        for edge in range(1, 101)
    ]
    file.write_text(HEAD + "\n".join(lines))
    told = output_of(capfd, "--tallies", str(file), "--size", "3840x2160", "--json")
    assert json.loads(told)["columns"]["set95"] == [101]


def test_what_no_person_answers_is_one_sentence(
    lobby: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    combs = tmp_path / "many.csv"
    combs.write_text(COMBS + "columns,41,3,0\n" * 30_000)
    size = ("--tallies", str(lobby), "--size", "3840x2160")
    (said,) = errors_of(capfd, *size, "--combs", str(combs))
    assert said.startswith(f"{combs}:502: nobody answers more than 500 combs along the columns")
    combs.write_text(COMBS + "columns,41,3,0\n" * 500)
    assert "500 combs" in output_of(capfd, *size, "--combs", str(combs)).replace("\n", " ")


def test_semicolons_with_decimal_commas_are_the_same_file(
    lobby: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    other = tmp_path / "commas.csv"
    body = tallies(41, 3840, "columns", ",") + tallies(24, 2160, "rows", ",")
    other.write_text("\ufeff" + HEAD.replace(",", ";") + body.replace("\n", "\r\n"), "utf-8")
    size = ("--size", "3840x2160", "--json")
    assert output_of(capfd, "--tallies", str(other), *size) == output_of(
        capfd, "--tallies", str(lobby), *size
    )


def test_combs_are_none_a_number_or_cant_tell(
    lobby: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    combs = tmp_path / "combs.csv"
    combs.write_text(COMBS + "columns,41,3,none\nrows,25,3,1\nrows,23,4,can't tell\nrows,26,3,\n")
    told = output_of(capfd, "--tallies", str(lobby), "--combs", str(combs), "--size", "3840x2160")
    assert "80 presses in 2 passes, 1 comb" in told
    assert "46 presses in 2 passes, 3 combs" in told


BAD = {
    "": "1: the file is empty",
    "axis,pass,position_px\n": "1: the first line is",
    "axis\tpass\tdirection\tposition_px\n": (
        r"1: the first line is axis,pass,direction,position_px, not "
        r"'axis\tpass\tdirection\tposition_px'."
    ),
    f"{'x' * 5000}\n": "1: the first line is",
    f"{HEAD}{'x' * 5000},1,forward,5\n": "2: the axis is columns or rows, not 'xxx",
    f"{HEAD}columns,1,forward,{'9' * 5000}\n": "2: the position is a number of pixels",
    HEAD + "column,1,forward,3\n": "2: the axis is columns or rows",
    HEAD + "columns,0,forward,3\n": "2: pass is a whole number",
    HEAD + "columns,1,left,3\n": "2: the direction is forward or backward",
    HEAD + "columns,1,forward,3840.5\n": "2: the position 3840.5 px is not on an axis of 3840 px",
    HEAD + "rows,1,forward,2161\n": "2: the position 2161 px is not on an axis of 2160 px",
    HEAD + "columns,1,forward,-1\n": "2: the position -1 px is not on an axis",
    HEAD + "columns,1,forward,nan\n": "2: the position is a number of pixels",
    HEAD + 'columns,1,forward,"1,234"\n': "2: the position '1,234' can be read in two ways",
    HEAD + "columns,1,forward,1,5\n": "2: there are 4 cells in a line, not 5",
    HEAD + "columns,1,forward,3\ncolumns,1,backward,4\n": "3: pass 1 along the columns began",
    HEAD + 'columns,1,forward,"3\n': "2: the line cannot be read",
}


@pytest.mark.parametrize("text", BAD)
def test_a_bad_line_is_told_by_file_and_line(
    text: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    file = tmp_path / "bad.csv"
    file.write_text(text)
    (line,) = errors_of(capfd, "--tallies", str(file), "--size", "3840x2160")
    assert line.startswith(f"{file}:{BAD[text]}"), line
    assert line.endswith(".")
    assert line.isprintable()
    assert len(line) < len(str(file)) + 200


def test_all_that_is_wrong_in_both_files_comes_at_once(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    one, other = tmp_path / "tallies.csv", tmp_path / "combs.csv"
    one.write_text(HEAD + "column,1,forward,3\nrows,x,forward,3\n")
    other.write_text(COMBS + "columns,501,3,1\ncolumns,41,0,1\ncolumns,41,3,few\n")
    lines = errors_of(capfd, "--tallies", str(one), "--combs", str(other), "--size", "3840x2160")
    assert [line.split(":")[1] for line in lines] == ["2", "3", "2", "3", "4"]


def test_what_is_no_text_or_not_there_is_one_sentence(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    binary = tmp_path / "photo.csv"
    binary.write_bytes(b"\xff\xd8\xff\xe0")
    for file in (binary, tmp_path / "missing.csv", tmp_path):
        assert len(errors_of(capfd, "--tallies", str(file), "--size", "3840x2160")) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["--size", "3840x2160"],
        ["--tallies", "lobby.csv"],
        ["--tallies", "lobby.csv", "--size", "wide"],
    ],
)
def test_a_missing_option_is_one_sentence(arguments: list[str], capfd: pytest.CaptureFixture[str]):
    assert len(errors_of(capfd, *arguments)) == 1


@pytest.mark.parametrize(
    ("mark", "options"),
    [
        ("presses alone", []),
        ("with combs", ["--combs", str(EXAMPLES / "lobby-wall-combs.csv")]),
        ("as JSON", ["--combs", str(EXAMPLES / "lobby-wall-combs.csv"), "--json"]),
    ],
)
def test_the_worked_example_says_what_the_page_shows(
    mark: str,
    options: list[str],
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setenv("COLUMNS", "80")
    page = (ROOT / "docs" / "zones.md").read_text("utf-8")
    shown = page.partition(f"<!-- {mark} -->\n```\n")[2].partition("\n```")[0]
    tallies_file = str(EXAMPLES / "lobby-wall-tallies.csv")
    told = output_of(capfd, "--tallies", tallies_file, "--size", "3840x2160", *options)
    assert shown
    assert [line.rstrip() for line in told.rstrip().splitlines()] == shown.splitlines()
