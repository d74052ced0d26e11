"""The source keeps its rooms apart, its files short and its neighbours out."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAY_IMPORT = {
    "patterns": set(),
    "sequences": {"patterns"},
    "readings": {"patterns"},
    "player": {"patterns", "sequences", "readings"},
}
MADE = {".git", ".venv", ".hypothesis", ".mypy_cache", ".pytest_cache", ".ruff_cache"}
MADE |= {"dist", "demo-results"}
LONGEST = 500
ERRORS = ROOT / "patterns" / "errors.py"


def source_files(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


def imported(source: str) -> set[str]:
    """Name the top-level packages that a source imports, wherever in it; relative ones aside."""
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            names.add(str(node.module))
    return {name.partition(".")[0] for name in names}


def project_files() -> list[Path]:
    """List the files of the project without what its commands made."""
    tops = [path for path in ROOT.iterdir() if path.name not in MADE]
    files = [file for top in tops for file in (top, *top.rglob("*")) if file.is_file()]
    return [file for file in files if "__pycache__" not in file.parts]


def test_imports_are_found_wherever_they_stand():
    source = "import a.b as c\nfrom . import d\ndef f():\n    from e.g import h\n"
    assert imported(source) == {"a", "e"}


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_a_room_imports_only_the_rooms_below_it(room: str):
    files = source_files(room)
    assert files
    others = MAY_IMPORT.keys() - {room} - MAY_IMPORT[room]
    wrong = {file: imported(file.read_text("utf-8")) & others for file in files}
    assert not {str(file.relative_to(ROOT)): names for file, names in wrong.items() if names}


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_no_file_of_a_room_is_too_long(room: str):
    lengths = {file: len(file.read_text("utf-8").splitlines()) for file in source_files(room)}
    assert not {str(file): length for file, length in lengths.items() if length > LONGEST}


def errors() -> dict[str, tuple[str, int | None]]:
    """Give the first base and the exit code, where it states one, of every public error."""
    codes = {"BAD_INPUT": 2, "NOT_FINISHED": 1}
    found = {}
    for file in (file for room in MAY_IMPORT for file in source_files(room)):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if not isinstance(node, ast.ClassDef) or not node.bases:
                continue
            base = ast.unparse(node.bases[0])
            if base.endswith(("Error", "Exception")) and not node.name.startswith("_"):
                stated = {
                    ast.unparse(each.targets[0]): ast.unparse(each.value)
                    for each in node.body
                    if isinstance(each, ast.Assign)
                }
                found[node.name] = base, codes.get(stated.get("exit_code", ""))
    return found


def test_every_error_has_the_one_root_and_stands_in_the_list_with_its_exit_code():
    made = errors()
    assert made.pop("LitfieldError")[0] == "Exception"
    listed, above = {}, [("LitfieldError", 0)]
    for line in (ast.get_docstring(ast.parse(ERRORS.read_text("utf-8"))) or "").splitlines():
        told = re.match(r"( +)(\w+Error) +([12])  ", line)
        if told is None:
            continue
        while len(told[1]) <= above[-1][1]:
            above.pop()
        listed[told[2]] = above[-1][0], int(told[3])
        above.append((told[2], len(told[1])))

    def code(name: str) -> int:
        if name == "LitfieldError":
            return 1
        base, stated = made[name]
        return stated or code(base)

    made["CommandError"] = made["CommandError"][0], 2  # unless it was given another
    assert listed == {name: (base, code(name)) for name, (base, _) in made.items()}


def test_no_file_names_a_place_outside_the_project():
    outside = re.compile(rb"\.\./" + rb"shared|(?<![\w.-])/" + rb"work/")
    named = [file for file in project_files() if outside.search(file.read_bytes())]
    assert not named
