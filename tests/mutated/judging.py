"""One spoilt input through the program's own code, and what is wrong with what came of it."""

from __future__ import annotations

import io
import json
import re
import shutil
import sys
import time
import traceback
import unicodedata
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout, suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from player import cli
from tests.mutated.inputs import KINDS, Call, Trial
from tests.mutated.line_device import answering

MOST_MEMORY = 1_000_000_000
"""Bytes that the whole process may hold at once."""
LONGEST_SENTENCE = 1500
"""Characters of a line of complaint; the longest lists all that is wrong with a description."""
OF_THE_CODE = re.compile(
    r"Traceback|Something went wrong|error of this program|not enough memory|\bNoneType\b|<class |"
    r"object at 0x|\b[A-Z]\w*(Error|Exception|Warning)\b|pydantic|Errno|\binstance of\b|\bnumpy\b|"
    r"UNIQUE constraint|no such (table|column)"
)
"""Words that only a programmer knows."""
HIDDEN = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029\ufeff")
"""Characters that turn or break a line without being seen."""
SENTENCE = re.compile(r".*([.?!)]|expected .+)$|(\d+ )?steps? .+: .+", re.DOTALL)
LEFT = re.compile(r"\.part-.*|.*-(journal|wal|shm)|.*\.lock")
"""Names of what is not whole, or should have gone."""
GOES = re.compile(rf"{LEFT.pattern}|\.litfield-export")
"""What a call may take away; the journal of an export that was cut off is meant to stay."""


@dataclass
class Outcome:
    """What came of one input.

    Args:
        codes: exit codes of its calls, in order.
        faults: what is wrong, each as the same words for the same cause.
        said: the end of what was printed.
        seconds: of processor time.
        memory: the most that the process held meanwhile, in bytes.
    """

    kind: str
    number: int
    codes: list[int] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    said: str = ""
    seconds: float = 0.0
    memory: int = 0


def made(kind: str, number: int, folder: Path, originals: Path) -> Trial:
    """Make an input in an empty folder: the same each time."""
    maker, _ = KINDS[kind]
    return maker(Random(f"{kind} {number}"), folder, originals)  # noqa: S311 - no secret


def judged(kind: str, number: int, folder: Path, originals: Path) -> Outcome:
    """Make an input in an empty folder and put it through the program."""
    outcome = Outcome(kind, number)
    trial = made(kind, number, folder, originals)
    _forget_the_peak()
    began = time.process_time()
    with answering(folder / "answer"):
        for call in trial.calls:
            code = _call(call, folder, trial, outcome)
            outcome.codes.append(code)
            if code or outcome.faults:
                break
    outcome.seconds = time.process_time() - began
    outcome.memory = _peak()
    if outcome.memory > MOST_MEMORY:
        outcome.faults.append("more than 1 GB of memory")
    return outcome


def _call(call: Call, folder: Path, trial: Trial, outcome: Outcome) -> int:
    before = _files(folder)
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", errors="replace") for _ in range(2))
    with redirect_stdout(out), redirect_stderr(err), _no_stdin(), _watched(outcome):
        code = cli.run(call) if isinstance(call, tuple) else _window(call)
    printed, complained = (_text(stream) for stream in (out, err))
    outcome.said = f"{printed}{complained}"[-3000:]
    if code not in (0, 1, 2):
        outcome.faults.append(f"exit code {code}")
    verifying = isinstance(call, tuple) and "--verify" in call
    _judge_words(printed, complained, code, outcome, verdict=verifying and code == 1)
    _judge_files(before, _files(folder), code, trial, outcome)
    if isinstance(call, tuple) and call[0] == "report" and code == 0:
        _judge_report(folder / "report", outcome)
    return code


def _window(call: Call) -> int:
    """What a window does has no exit code; what ends it is told as the command line tells it."""
    assert callable(call)
    try:
        call()
    except Exception as error:  # noqa: BLE001 - as in player.cli.run
        message, code = cli._message_and_code(error)
        sys.stderr.write(f"{message}\n")
        return code
    return 0


@contextmanager
def _no_stdin() -> Iterator[None]:
    kept, sys.stdin = sys.stdin, io.StringIO()
    try:
        yield
    finally:
        sys.stdin = kept


@contextmanager
def _watched(outcome: Outcome) -> Iterator[None]:
    """Note where an error that should not happen comes from, and warnings of libraries."""
    usual = cli.message_and_code

    def message_and_code(error: BaseException) -> tuple[str, int]:
        message, code = usual(error)
        if "should not" in message or isinstance(error, MemoryError):
            outcome.faults.append(_cause(error))
        return message, code

    cli.message_and_code = message_and_code
    try:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            for quiet in (DeprecationWarning, PendingDeprecationWarning, ResourceWarning):
                warnings.simplefilter("ignore", quiet)
            yield
    finally:
        cli.message_and_code = usual
    for each in caught:
        place = "/".join(Path(each.filename).parts[-2:])
        outcome.faults.append(f"{each.category.__name__} at {place}:{each.lineno}")


def _cause(error: BaseException) -> str:
    """The kind of an error, and the place in our own code that it came through last."""
    frames = traceback.extract_tb(error.__traceback__)
    rooms = ("patterns", "sequences", "readings", "player")
    root = Path(cli.__file__).parents[1]
    ours = [f for f in frames if Path(f.filename).is_relative_to(root)
            and Path(f.filename).relative_to(root).parts[0] in rooms]  # fmt: skip
    last = ours[-1] if ours else frames[-1]
    place = "/".join(Path(last.filename).parts[-2:])
    return f"{type(error).__name__} in {place}:{last.name}"


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return buffer.getvalue().decode("utf-8")


def _judge_words(
    printed: str, complained: str, code: int, outcome: Outcome, *, verdict: bool
) -> None:
    for where, text in (("stdout", printed), ("stderr", complained)):
        signs = {each for each in set(text) - {"\n"} if unicodedata.category(each) == "Cc"}
        if signs := signs | (HIDDEN & set(text)):
            outcome.faults.append(f"U+{ord(min(signs)):04X} in {where}")
        found = OF_THE_CODE.search(text)
        if found and not any("Error in" in fault for fault in outcome.faults):
            outcome.faults.append(f"in {where}: {_sort(text, found)}")
    if code == 0 or verdict:
        return
    lines = complained.rstrip("\n").split("\n")
    last = lines[-1].strip()
    if not last:
        outcome.faults.append(f"exit code {code} without a word")
    elif not SENTENCE.fullmatch(last):
        outcome.faults.append(f"no sentence: {last[:80]}")
    if max(map(len, lines)) > LONGEST_SENTENCE:
        outcome.faults.append("a sentence of more than 1,500 characters")


def _sort(text: str, found: re.Match[str]) -> str:
    """What is about a word of the code, without the numbers that differ from case to case."""
    near = text[max(found.start() - 30, 0) : found.end() + 60].replace("\n", " ")
    return re.sub(r"\d+", "#", near)


def _files(folder: Path) -> dict[str, int]:
    return {
        str(path.relative_to(folder)): path.lstat().st_size
        for path in folder.rglob("*")
        if not path.is_dir()
    }


def _judge_files(
    before: dict[str, int], after: dict[str, int], code: int, trial: Trial, outcome: Outcome
) -> None:
    new = after.keys() - before.keys()
    for name in sorted(new):
        if LEFT.fullmatch(name.rpartition("/")[2]):
            outcome.faults.append(f"left behind: {re.sub('[0-9a-f]{12}', '#', name)}")
        elif code and name.partition("/")[0] not in trial.may_leave:
            outcome.faults.append(f"exit code {code} and yet a new file: {name}")
    gone = before.keys() - after.keys()
    if any(not GOES.fullmatch(name.rpartition("/")[2]) for name in gone):
        outcome.faults.append(f"gone: {min(gone)}")


def _judge_report(folder: Path, outcome: Outcome) -> None:
    """Whether a report's data are JSON as other programs read it, and its page is text alone."""

    def refuse(word: str) -> None:
        outcome.faults.append(f"{word} in findings.json")

    json.loads((folder / "findings.json").read_text("utf-8"), parse_constant=refuse)
    page = (folder / "report.html").read_text("utf-8")
    if signs := {each for each in set(page) - {"\n", "\t"} if unicodedata.category(each) == "Cc"}:
        outcome.faults.append(f"U+{ord(min(signs)):04X} in report.html")


def _forget_the_peak() -> None:
    """Linux counts the most memory anew from here (proc(5), clear_refs 5)."""
    with suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak() -> int:
    with suppress(OSError):
        status = Path("/proc/self/status").read_text()
        found = re.search(r"VmHWM:\s*(\d+) kB", status)
        if found:
            return 1024 * int(found[1])
    return 0


def empty(folder: Path) -> Path:
    """An empty folder of this name."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder
