"""YAML that cannot be read: one clear problem with its place, and never a traceback."""

from pathlib import Path

import pytest

import sequences
from sequences import SequenceError

GOOD = """\
title: Grey
signal: sdr8
steps:
  - show: {field: {level: 50 %}}
"""


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceError) as raised:
        sequences.load_text(text, "f.yaml")
    return [str(problem) for problem in raised.value.problems]


def test_a_sound_text_keeps_its_text_and_the_hash_of_it():
    sequence = sequences.load_text(GOOD, "f.yaml")
    assert sequence.text == GOOD
    assert sequence.source == "f.yaml"
    assert sequence.sha256 == "e1b977c6e4c0c5bb0fde593729448d7e14b33b19823e8b08c234856b40c80c26"


@pytest.mark.parametrize("text", ["", "\n\n", "# only a comment\n", "---\n", "null\n", "~"])
def test_an_empty_file_says_what_a_sequence_needs(text: str):
    (problem,) = problems(text)
    assert "found an empty file; expected a mapping with title, signal and steps" in problem


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("a: [1, 2\nb: 3\n", "2:2: found ':'; expected ',' or ']'"),
        ("\ttitle: x\n", "1:1: found a tab; expected spaces for indentation"),
        (
            "title: 'x\nsignal: sdr8\n",
            "1:8: found a quote that is never closed; expected the same quote at its end",
        ),
        (
            "title: a: b\n",
            "1:9: found ':' where no key can stand; expected quotes around a text that holds ': '",
        ),
        (
            "title: %x\n",
            "1:8: found the character '%'; expected quotes around a text that begins with it",
        ),
        (
            "title: x\nsignal\n",
            "2:1: found a key without ':'; expected a key, a colon, a space and a value",
        ),
        (
            "title: x\nsteps:\n  - show: {field: }\n - show: 2\n",
            "4:2: found an entry out of line; expected entries of one block in the same column",
        ),
        ("title: [", "1:9: found the end of the file; expected a value"),
        ('title: "\\q"\n', "1:10: found unknown escape character 'q'; expected YAML 1.2"),
        ("- a\n- b\n", "1:1: found a list; expected a mapping with title, signal and steps"),
        ("hello\n", "1:1: found hello; expected a mapping with title, signal and steps"),
        ("%YAML 1.1\n---\ntitle: x\n", "2:1: found YAML 1.1; expected YAML 1.2"),
        ("title: \x07\n", "1:8: found the control character U+0007; expected printable text"),
        ('title: "\\U00FFFFFF"\n', "1:1: found something here that is not YAML; expected YAML 1.2"),
    ],
)
def test_a_syntax_error_is_told_alone_and_in_place(text: str, problem: str):
    assert problems(text) == [f"f.yaml:{problem}"]


def test_a_second_document_is_refused_at_its_start():
    assert problems(f"{GOOD}---\n{GOOD}") == [
        "f.yaml:5:1: found a second document; expected one sequence in a file"
    ]


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        (
            "role: &a white",
            "5:11: found the anchor &a; expected a plain value: anchors are not read",
        ),
        (
            "role: *a",
            "5:11: found the alias *a; expected the value itself: aliases are not read",
        ),
        (
            "role: !!str white",
            "5:11: found the tag !!str; expected a plain value: tags are not read",
        ),
        ("role: !x white", "5:11: found the tag !x; expected a plain value: tags are not read"),
        ('role: "\\e[2J"', "5:11: found the control character U+001B; expected printable text"),
        ('role: "\\uD800"', "5:11: found the control character U+D800; expected printable text"),
        ('role: "\\u202E"', "5:11: found the control character U+202E; expected printable text"),
        ('role: "\\u2066"', "5:11: found the control character U+2066; expected printable text"),
        ('role: "\\uFEFF"', "5:11: found the control character U+FEFF; expected printable text"),
        ("[a, b]: white", "5:5: found a list as a key; expected a name"),
        (": white", "5:5: found an empty key; expected a name"),
        (
            "show: {}",
            "5:5: found 'show' a second time (first on line 4); expected each key once",
        ),
    ],
)
def test_what_yaml_has_and_a_sequence_refuses(line: str, problem: str):
    assert problems(f"{GOOD}    {line}\n") == [f"f.yaml:{problem}"]


def test_a_bomb_of_aliases_is_refused_without_being_unfolded():
    layers = [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 9)]
    text = "\n".join(["a0: &a0 boom", *layers])
    told = problems(text)
    assert "f.yaml:1:5: found the anchor &a0; expected a plain value: anchors are not read" in told
    assert sum("found the alias" in each for each in told) == 72


def test_deep_nesting_is_refused_where_it_becomes_too_deep():
    assert problems("steps: " + "[" * 100_000) == [
        "f.yaml:1:19: found more than 12 levels of nesting; expected a sequence, which needs fewer"
    ]


def test_words_and_times_of_older_yaml_stay_text():
    text = "title: 16:9\nsignal: sdr8\nsteps:\n  - {show: {field: {}}, role: on, label: 010x}\n"
    sequence = sequences.load_text(text, "f.yaml")
    assert (sequence.title, sequence.steps[0].role) == ("16:9", "on")
    assert sequence.steps[0].label == "010x"


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path):
    file = tmp_path / "windows.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    sequence = sequences.load(file)
    assert (sequence.title, sequence.steps[0].line) == ("Grey", 4)


def file_problem(source: str | Path) -> sequences.Problem:
    with pytest.raises(SequenceError) as raised:
        sequences.load(source)
    (problem,) = raised.value.problems
    return problem


def test_ten_megabytes_are_refused_by_their_size(tmp_path: Path):
    file = tmp_path / "large.yaml"
    file.write_bytes(b"a: b\n" * 2_000_000)
    problem = file_problem(file)
    assert (problem.line, problem.found) == (None, "10,000,000 bytes")
    assert problem.expected == "a sequence of at most 262,144"


def test_ten_megabytes_of_text_are_refused_by_their_size():
    assert problems("a: b\n" * 2_000_000) == [
        "f.yaml: found 10,000,000 bytes; expected a sequence of at most 262,144"
    ]


def test_a_directory_is_no_sequence(tmp_path: Path):
    assert str(file_problem(tmp_path)) == f"{tmp_path}: found a directory; expected a sequence file"


def test_a_missing_file_names_the_shipped_sequences(tmp_path: Path):
    problem = file_problem(str(tmp_path / "none.yaml"))
    assert problem.found == "no file of this name"
    assert all(name in problem.expected for name in sequences.shipped())


def test_a_shipped_name_with_a_slip_is_guessed():
    assert file_problem("near-blak").expected.endswith("(did you mean near-black?)")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    file = tmp_path / "locked.yaml"
    file.write_text(GOOD, "utf-8")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    problem = file_problem(file)
    assert problem.found == "no readable file (Permission denied)"


@pytest.mark.parametrize("name", ["", "a\0b", "a" * 5000, "x\ny", "\udcff"])
def test_odd_file_names_make_one_line_of_an_error(name: str):
    assert "\n" not in str(file_problem(name))


def test_bytes_that_are_not_utf8_are_told_with_their_place(tmp_path: Path):
    file = tmp_path / "latin.yaml"
    file.write_bytes("title: x\nsignal: größer\n".encode("latin-1"))
    problem = file_problem(file)
    assert (problem.line, problem.column) == (2, 11)
    assert problem.found == "the byte 0xf6, which is not UTF-8 here"
    assert problem.expected == "text in UTF-8"


def test_utf16_is_refused(tmp_path: Path):
    file = tmp_path / "utf16.yaml"
    file.write_bytes(GOOD.encode("utf-16"))
    assert file_problem(file).expected == "text in UTF-8"


def test_letters_and_marks_from_right_to_left_are_taken():
    # Hebrew and Arabic with the marks that their keyboards have (Unicode Annex 9, 2.6)
    label = "קיר \u200f(לובי)\u200e جدار\u061c"
    (step,) = sequences.load_text(GOOD + f"    label: {label}\n", "f.yaml").steps
    assert step.label == label


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("Keep the meter close.", ("Keep the meter close.",)),
        ("[Keep it close., 'Boxes: left to right.']", ("Keep it close.", "Boxes: left to right.")),
        ("[]", ()),
    ],
)
def test_what_to_know_at_the_screen_is_a_line_or_a_list_of_them(written: str, read: tuple[str]):
    text = "title: x\nsignal: sdr8\nsteps: [show: {field: {}}]\n"
    assert sequences.load_text(text, "f").at_the_screen == ()
    assert sequences.load_text(f"{text}at_the_screen: {written}", "f").at_the_screen == read


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("5", "f:4:16: found at_the_screen: 5; expected a line of text, or a list of them"),
        ("[a, 5]", "f:4:20: found at_the_screen: 5; expected text, in quotes where it looks like"),
        ("x" * 201, f"f:4:16: found at_the_screen: {'x' * 59}…; expected a text of 1 to 200"),
        ("['', a]", "f:4:17: found at_the_screen: an empty text; expected a text of 1 to 200"),
        (f"[{'a, ' * 20}a]", "f:4:16: found at_the_screen: a list; expected 20 or fewer"),
    ],
)
def test_a_line_for_the_screen_that_is_none_is_refused(written: str, told: str):
    text = f"title: x\nsignal: sdr8\nsteps: [show: {{field: {{}}}}]\nat_the_screen: {written}"
    with pytest.raises(SequenceError) as wrong:
        sequences.load_text(text, "f")
    assert str(wrong.value).startswith(told)
