"""What the pages say is so: their commands, examples, tables, errors and links."""

import importlib
import re
import shlex
import sqlite3
from pathlib import Path

import pytest

import sequences
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.quantity import QUANTITIES
from patterns.signal.signal import named_signal, signal_names
from player import keys
from player.cli import COMMANDS
from player.described import parse
from player.meters.instrument_file import InstrumentDescription
from player.meters.text import parse_reading
from readings.findings import FINDINGS
from readings.visit import schema as visit_schema
from readings.visit import sums as visit_sums
from readings.visit.errors import from_database
from sequences import controls, each, grammar, model, problems, reads, source
from sequences.plans import grammar as plan_grammar
from sequences.plans import load_plan_text, shipped_plans
from sequences.plans.model import minutes_of

ROOT = Path(__file__).parents[1]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])
NAMES = [str(page.relative_to(ROOT)) for page in PAGES]
ROOMS = ("patterns", "sequences", "readings", "player", "tests", "docs", "tools")
FOREIGN_OPTIONS = {"--scale"}
"""Options of other programs that the prose names."""

BLOCK = re.compile(r"^( *)```(\w*)\n(.*?)^\1```$", re.MULTILINE | re.DOTALL)
SPAN = re.compile(r"`([^`\n]+)`")
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")


def text_of(name: str) -> str:
    return (ROOT / name).read_text("utf-8")


def blocks(text: str) -> list[str]:
    return [found[3] for found in BLOCK.finditer(text)]


def prose(text: str) -> str:
    return BLOCK.sub("", text)


def marked_block(page: str, mark: str) -> str:
    """Give the fenced block below `<!-- mark -->`."""
    after = text_of(page).partition(f"<!-- {mark} -->\n")[2]
    found = BLOCK.match(after)
    assert found, f"{page} has no block below <!-- {mark} -->"
    return found[3]


def table(text: str) -> list[list[str]]:
    """Cells of the first table in a text, its head left out."""
    rows: list[list[str]] = []
    for line in text.splitlines():
        if line.startswith("|"):
            rows.append([cell.strip() for cell in line.strip("|").split("|")])
        elif rows:
            break
    return rows[2:]


def marked_table(page: str, mark: str) -> list[list[str]]:
    return table(text_of(page).partition(f"<!-- {mark} -->\n")[2])


def code(cell: str) -> list[str]:
    return SPAN.findall(cell)


def command_of(name: str):
    return importlib.import_module(f"player.commands.{name}").command


def options_of(name: str) -> set[str]:
    command = command_of(name)
    return {"--help", *(option for each in command.params for option in each.opts)}


def litfield_lines(text: str) -> list[str]:
    lines = [line for block in blocks(text) for line in block.replace("\\\n", " ").splitlines()]
    bare = [line.strip().removeprefix("$ ") for line in lines]
    return [line for line in bare if line.split(" ")[0] == "litfield"]


def test_there_are_pages_to_look_at():
    assert {"CHANGELOG.md", "DEVELOPERS.md", "docs/sequences.md", "docs/safety.md"} <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_command_line_is_one_that_litfield_takes(name: str):
    for line in litfield_lines(text_of(name)):
        _, *words = shlex.split(line, comments=True)
        if words and words[0] not in {"--help", "-h", "--version"}:
            assert words[0] in COMMANDS, line
            # click itself says whether it would take the rest; nothing is run
            command_of(words[0]).make_context(words[0], words[1:])


@pytest.mark.parametrize("name", NAMES)
def test_every_command_and_option_in_the_prose_is_there(name: str):
    every = {option for command in COMMANDS for option in options_of(command)}
    for span in SPAN.findall(prose(text_of(name))):
        words = span.split()
        if words[0] == "litfield" and len(words) > 1 and not words[1].startswith("-"):
            assert words[1] in COMMANDS, span
            assert set(re.findall(r"--[a-z-]+", span)) <= options_of(words[1]), span
        elif words[0].startswith("--"):
            assert words[0] in every | FOREIGN_OPTIONS | {"--help", "--version"}, span


@pytest.mark.parametrize("name", NAMES)
def test_every_make_target_that_is_named_is_there(name: str):
    targets = set(re.findall(r"^([a-z]+):", text_of("Makefile"), re.MULTILINE))
    text = text_of(name)
    lines = [line.strip() for block in blocks(text) for line in block.splitlines()]
    asked = [*lines, *SPAN.findall(prose(text))]
    named = {found[1] for each in asked if (found := re.match(r"make ([a-z]+)", each))}
    assert named <= targets


@pytest.mark.parametrize("name", NAMES)
def test_every_file_that_is_named_in_a_room_is_there(name: str):
    spans = {span for span in SPAN.findall(prose(text_of(name))) if span.split("/")[0] in ROOMS}
    paths = {span for span in spans if re.fullmatch(r"[\w./-]+", span) and "/" in span}
    assert not {path for path in paths if not (ROOT / path).exists()}


@pytest.mark.parametrize("name", NAMES)
def test_every_link_within_the_project_leads_somewhere(name: str):
    page = ROOT / name
    for target in LINK.findall(prose(text_of(name))):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        there = (page.parent / path).resolve() if path else page
        assert there.exists(), target
        if anchor:
            heads = re.findall(r"^#+ (.+)$", prose(there.read_text("utf-8")), re.MULTILINE)
            slugs = {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in heads}
            assert anchor in slugs, target


def test_the_example_loads_and_draws_and_has_as_many_steps_as_the_page_says():
    example = sequences.load_text(marked_block("docs/sequences.md", "example"), "lobby-wall.yaml")
    assert f"It makes {len(example.steps)} steps." in text_of("docs/sequences.md")
    assert sequences.drawable(example, Canvas(3840, 2160)) == []
    assert {step.read.quantity for step in example.steps if step.read} >= {"colour", "tally"}


def test_the_display_of_the_page_warms_up_with_a_picture_before_its_white_is_read():
    text = marked_block("docs/sequences.md", "warmed")
    first, second = sequences.load_text(text, "lobby-wall.yaml").steps
    assert (first.warm_up, first.read, first.importance) == (1800, None, "first")
    assert (second.warm_up, second.role) == (0, "white")


def test_the_sequence_of_the_page_says_what_a_person_needs_to_know_at_the_screen():
    sequence = sequences.load_text(marked_block("docs/sequences.md", "at-the-screen"), "f")
    assert len(sequence.at_the_screen) == 2
    assert sequence.at_the_screen[1] == "Boxes are counted from left to right, then down."


def test_the_instrument_of_the_page_is_read_with_all_that_its_maker_promises():
    text = marked_block("docs/meters.md", "instrument")
    described = parse(text, "spot-meter.yaml", InstrumentDescription, "an instrument")
    assert (described.name, described.role) == ("spot meter", "spot meter")
    assert described.promised.luminance_relative_uncertainty == 0.04


def test_the_plan_of_the_page_is_read_and_makes_as_many_tasks_as_the_page_says():
    plan = load_plan_text(marked_block("docs/plans.md", "plan"), "wall.yaml", FINDINGS)
    assert f"It makes {len(plan.tasks)} tasks." in text_of("docs/plans.md")
    assert minutes_of(plan.tasks) <= (plan.minutes or 0)


def test_the_tables_of_plans_have_every_key_every_shipped_plan_and_the_limits_of_the_grammar():
    def first(mark: str) -> list[str]:
        return [code(row[0])[0] for row in marked_table("docs/plans.md", mark)]

    assert sorted(first("plans")) == [*shipped_plans()]
    assert first("file keys") == list(plan_grammar.PlanHead.model_fields)
    assert first("task keys") == list(plan_grammar.TaskKeys.model_fields)
    values = " ".join(value for _, value in marked_table("docs/plans.md", "limits"))
    assert [int(found.replace(",", "")) for found in re.findall(r"\d[\d,]*", values)] == [
        source.MOST_BYTES,
        1,
        plan_grammar.MOST_TASKS,
        0,
        plan_grammar.LONGEST_MINUTES,
        grammar.LONGEST_TEXT,
        2,
        reads.MOST_CHOICES,
    ]


def test_the_page_on_adjusting_has_the_keys_of_the_controls_and_its_examples_are_read():
    rows = marked_table("docs/adjusting.md", "control keys")
    told = [name for row in rows for name in code(row[0])]
    assert sorted(told) == sorted(controls.ControlKeys.model_fields)
    found = controls.load_controls_text(marked_block("docs/adjusting.md", "controls"), "f")
    text = text_of("docs/adjusting.md")
    assert f"It makes {len(found.controls)} controls." in text
    assert f"at most {controls.MOST_CONTROLS} controls and {source.MOST_BYTES:,} bytes" in text
    steps = sequences.load_text(marked_block("docs/sequences.md", "adjusting"), "f").steps
    assert [step.role for step in steps] == ["adjusting", "adjusting"]


def test_the_errors_shown_are_the_ones_that_come():
    with pytest.raises(sequences.SequenceError) as wrong:
        sequences.load_text(marked_block("docs/sequences.md", "wrong"), "wrong.yaml")
    told = marked_block("docs/sequences.md", "wrong, as told")
    assert str(wrong.value).splitlines() == told.splitlines()
    bright = sequences.load_text(marked_block("docs/sequences.md", "bright"), "bright.yaml")
    told = marked_block("docs/sequences.md", "bright, as told")
    found = sequences.drawable(bright, Canvas(3840, 2160))
    assert list(map(str, found)) == told.splitlines()


def test_the_table_of_kinds_is_the_catalogue():
    rows = marked_table("docs/sequences.md", "kinds")
    assert {code(kind)[0]: summary for kind, summary, _ in rows} == {
        name: kind.summary for name, kind in KINDS.items()
    }
    for kind, _, parameters in rows:
        fields = KINDS[code(kind)[0]].model_fields
        written = {field.alias or name for name, field in fields.items()}
        assert set(code(parameters)) == written - {"clip"}, kind


def test_the_table_of_signals_gives_every_short_name_and_what_it_stands_for():
    rows = marked_table("docs/sequences.md", "signals")
    assert [code(name)[0] for name, *_ in rows] == signal_names()
    for name, transfer, primaries, bits, range_ in rows:
        parts = named_signal(code(name)[0]).describe()
        told = {"transfer": transfer, "primaries": primaries, "bits": int(bits), "range": range_}
        assert told.items() <= parts.items(), name


def test_the_tables_of_quantities_cautions_and_findings_have_all_there_are():
    def first(mark: str) -> list[str]:
        return [code(row[0])[0] for row in marked_table("docs/sequences.md", mark)]

    assert first("quantities") == list(QUANTITIES)
    assert first("cautions") == list(model.CAUTIONS)
    assert list(dict.fromkeys(first("findings"))) == sorted(FINDINGS)


def test_the_limits_on_the_page_are_those_of_the_grammar():
    values = " ".join(value for _, value in marked_table("docs/sequences.md", "limits"))
    numbers = [int(found.replace(",", "")) for found in re.findall(r"\d[\d,]*", values)]
    assert numbers == [
        source.MOST_BYTES,
        each.MOST_STEPS,
        grammar.LONGEST_TEXT,
        2,
        reads.MOST_CHOICES,
        grammar.MOST_SENTENCES,
        grammar.LONGEST_SETTLE // 3600,
        0,
        grammar.LONGEST_HOLD // 3600,
        problems.MOST_PROBLEMS,
    ]


def test_the_safety_page_speaks_of_every_caution_and_names_the_key_for_blackout():
    spans = set(SPAN.findall(text_of("docs/safety.md")))
    assert model.CAUTIONS.keys() <= spans
    assert keys.KEYS["F5"] is keys.Action.BLACKOUT
    assert {"F5", keys.BLACKOUT_LETTER.upper()} <= spans


def test_the_table_of_keys_is_the_list_that_the_operator_window_shows():
    assert [tuple(row) for row in marked_table("docs/playing.md", "keys")] == list(keys.HELP)


def test_every_line_that_a_meter_may_print_is_read_as_the_same_luminance():
    rows = marked_table("docs/set-up.md", "meter lines")
    assert [parse_reading(code(line)[0])[0].luminance for line, _ in rows] == [100.0] * 5


def test_the_visit_page_describes_every_table_and_column_of_a_visit():
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        visit_schema.make(connection)
        columns = {
            name: [row[1] for row in connection.execute(f"PRAGMA table_info({name})")]
            for name in (*visit_schema.TABLES, visit_sums.TABLE)
        }
    finally:
        connection.close()
    sections = re.split(r"^### `(\w+)`$", text_of("docs/visit-file.md"), flags=re.MULTILINE)[1:]
    told = {
        name: [column for row in table(text) for column in code(row[0])]
        for name, text in zip(sections[::2], sections[1::2], strict=True)
    }
    assert told == columns


def test_the_visit_page_quotes_what_a_full_disk_says():
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorcode = sqlite3.SQLITE_FULL
    said = str(from_database(error, Path("lobby-wall.visit")))
    quoted = " ".join(text_of("docs/visit-file.md").replace("\n> ", " ").split())
    assert said in quoted


def test_the_visit_page_names_the_marks_of_a_visit_file():
    text = text_of("docs/visit-file.md")
    assert f"`0x{visit_schema.APPLICATION_ID:X}`" in text
    assert f"user\nversion {visit_schema.VERSION}" in text.replace("user version", "user\nversion")
