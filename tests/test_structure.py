"""The source keeps its rooms apart, its imports pointing down, and its neighbours out."""

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


UP = {
    "patterns": (
        (
            "patterns.errors",
            "patterns.plain",
            "patterns.atomic",
            "patterns.faults",
            "patterns.quantity",
            "patterns.words",
        ),
        ("patterns.signal", "patterns.aim", "patterns.control"),
        ("patterns.picture",),
        ("patterns.kinds",),
        ("patterns.flashing", "patterns.place"),
        ("patterns.video",),
        ("patterns.files",),
    ),
    "readings": (
        ("readings.bounds", "readings.ranges", "readings.colorimetry"),
        ("readings.visit", "readings.evidence"),
        ("readings.zones", "readings.adjusting"),
        ("readings.findings",),
        ("readings.report",),
    ),
}
"""Inside a room: what stands higher may import what stands lower, and never the other way."""


def imports_of(module: str, path: Path, known: set[str]) -> set[str]:
    """Name the modules that one imports when it is loaded, those of type hints aside."""
    found = set()
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found.add(inner if inner in known else node.module)
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return (found & known) - {module}


def module_imports() -> dict[str, set[str]]:
    """Give every module of the rooms with those that it imports."""
    named = {}
    for room in MAY_IMPORT:
        for path in source_files(room):
            parts = path.relative_to(ROOT).with_suffix("").parts
            named[".".join(parts).removesuffix(".__init__")] = path
    return {name: imports_of(name, path, set(named)) for name, path in named.items()}


def test_no_modules_import_each_other_in_a_circle():
    edges = module_imports()
    assert len(edges) > 100
    done: set[str] = set()

    def walk(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, f"a circle: {' -> '.join([*way, module])}"
        if module not in done:
            for other in edges[module]:
                walk(other, (*way, module))
            done.add(module)

    for module in edges:
        walk(module, ())


@pytest.mark.parametrize("room", UP)
def test_inside_a_room_no_import_goes_up(room: str):
    def floor(module: str) -> int | None:
        for number, names in enumerate(UP[room]):
            if any(module == name or module.startswith(f"{name}.") for name in names):
                return number
        return None

    wrong = []
    for module, others in module_imports().items():
        own = floor(module)
        if own is None:
            continue
        wrong += [
            f"{module} imports {other}"
            for other in others
            if (above := floor(other)) is not None and above > own
        ]
    assert wrong == []


def test_every_module_of_a_room_with_floors_stands_on_one():
    for room, floors in UP.items():
        names = [name for each in floors for name in each]
        loose = [
            module
            for module in module_imports()
            if module.startswith(f"{room}.")
            and not any(module == name or module.startswith(f"{name}.") for name in names)
        ]
        assert loose == []


def test_the_run_and_the_operators_controls_know_no_window():
    edges = module_imports()
    below = ("player.run", "player.windows.controls")
    modules = [module for module in edges if module.startswith(below)]
    assert len(modules) > 20
    own = "player.windows.controls"
    wrong = [
        f"{module} imports {other}"
        for module in modules
        for other in edges[module]
        if other.startswith("player.windows") and other != own and not other.startswith(f"{own}.")
    ]
    assert wrong == []
    for folder in ("player/run", "player/windows/controls"):
        for file in source_files(folder):
            assert "pyglet" not in imported(file.read_text("utf-8")), file


def test_the_pattern_window_knows_neither_the_controls_nor_the_operator_window():
    edges = module_imports()
    wrong = [
        f"{module} imports {other}"
        for module, others in edges.items()
        if module.startswith("player.windows.pattern")
        for other in others
        if other.startswith("player.windows")
        and not other.startswith(("player.windows.pattern", "player.windows.errors"))
    ]
    assert wrong == []


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
