"""The command line under odd texts, terminals and signals: one sentence, nothing half-made."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from player.cli import run
from player.outcome import message_and_code
from readings.visit.visit import VisitError

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals and descriptors")
SEQUENCE = """\
title: Lobby wall
signal: sdr8
finds: [contrast]
steps:
  - {show: {field: {}}, read: luminance, role: white}
  - {show: {field: {level: 0 %}}, read: luminance, role: black}
"""
LITFIELD = [sys.executable, "-c", "from player.cli import main; main()"]


@pytest.fixture
def lobby(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a sequence in it; this process works there, the others stay where they were."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lobby.yaml").write_text(SEQUENCE)
    return tmp_path


HERE = Path.cwd()  # where an import path that is not absolute holds


PLAY = ["play", "lobby.yaml", "--visit", "a.visit", "--output", "simulated", "--unattended"]
PLAY += ["--size", "640x360"]


@pytest.mark.parametrize("option", ["--condition", "--name", "--settings", "--place"])
@pytest.mark.parametrize("text", ["two\nlines", "\x1b[31mred", "\udc80", "\x85", "x" * 501])
def test_a_text_that_no_report_can_show_is_refused_before_the_visit_is_made(
    option: str, text: str, lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run([*PLAY, option, text]) == 2
    error = capfd.readouterr().err
    assert error.startswith(option)
    assert len(error.splitlines()) == 1
    assert [path.name for path in lobby.iterdir()] == ["lobby.yaml"]


def test_texts_of_other_alphabets_and_markup_are_kept_as_they_are(lobby: Path) -> None:
    assert run([*PLAY, "--condition", "Дым [red]é[/red] {x}"]) == 0
    assert run(["readings", "a.visit", "--to", "a.csv"]) == 0
    assert "Дым [red]é[/red] {x}" in (lobby / "a.csv").read_text("utf-8")


def test_what_a_visit_is_about_is_not_changed_and_not_lost_without_a_word(
    lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    about = ["--name", "lobby wall", "--settings", "cinema mode"]
    assert run([*PLAY, *about]) == 0
    before = (lobby / "a.visit").read_bytes()
    assert run([*PLAY, "--settings", "vivid mode"]) == 2
    error = capfd.readouterr().err.splitlines()[-1]
    assert error.startswith("a.visit is there already, with the settings 'cinema mode' and not")
    assert (lobby / "a.visit").read_bytes() == before
    assert run([*PLAY, *about]) == 0
    assert not (lobby / "a.visit.lock").exists()


def test_a_seed_below_0_is_refused_before_anything_is_made(
    lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for arguments in ([*PLAY, "--seed", "-5"], ["demo", "--to", "out", "--seed", "-5"]):
        assert run(arguments) == 2
        assert capfd.readouterr().err == "--seed is a whole number of 0 or more, not -5.\n"
    assert [path.name for path in lobby.iterdir()] == ["lobby.yaml"]


@pytest.mark.parametrize(
    ("target", "said"),
    [
        ("", "--to names the file to write."),
        (".", "--to names the file to write."),
        ("folder", "folder is a folder; --to names a file."),
        ("no/such/file", "no/such/file cannot be written: the folder does not exist."),
    ],
)
def test_a_schema_goes_into_an_ordinary_file(
    target: str, said: str, lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (lobby / "folder").mkdir()
    assert run(["schema", "--to", target]) in (1, 2)
    assert capfd.readouterr().err == f"{said}\n"


@POSIX
def test_a_schema_never_takes_the_place_of_a_device_or_a_pipe(
    lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(lobby / "pipe")
    assert run(["schema", "--to", "pipe"]) == 2
    assert capfd.readouterr().err == "pipe is no ordinary file; --to names a file.\n"
    assert (lobby / "pipe").is_fifo()


def test_a_name_of_a_file_keeps_its_small_letters() -> None:
    assert message_and_code(VisitError("lobby.visit is a folder, not a visit file"))[0] == (
        "lobby.visit is a folder, not a visit file."
    )
    assert message_and_code(VisitError("there is no visit file lobby.visit"))[0] == (
        "There is no visit file lobby.visit."
    )


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_a_terminal_without_our_characters_gets_question_marks(lobby: Path, encoding: str) -> None:
    assert run(PLAY) == 0
    done = subprocess.run(
        [*LITFIELD, "report", lobby / "a.visit", "--to", lobby / "report"],
        cwd=HERE,
        env=os.environ | {"PYTHONIOENCODING": encoding},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"Sequential contrast" in done.stdout


@POSIX
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_output_is_no_failure(lobby: Path, closed: str) -> None:
    script = f'"$@" schema --to {lobby}/schema.json {closed} && "$@" check {lobby}/lobby.yaml'
    done = subprocess.run(
        ["/bin/sh", "-c", f"{script} {closed}", "sh", *LITFIELD],
        cwd=HERE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert (lobby / "schema.json").is_file()


@POSIX
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_demo_that_is_stopped_cleans_up_after_itself(lobby: Path, name: str) -> None:
    number = getattr(signal, name)
    before = signal.getsignal(number)
    # whoever runs the tests may have it ignored, as in the background: the demo would ignore it too
    signal.signal(number, signal.SIG_DFL if before == signal.SIG_IGN else before)
    with subprocess.Popen(
        [*LITFIELD, "demo", "--to", lobby / "out"],
        cwd=HERE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as demo:
        signal.signal(number, before)
        deadline = time.monotonic() + 60
        while not (lobby / "out" / "lobby.visit").exists() and demo.poll() is None:
            assert time.monotonic() < deadline
            time.sleep(0.01)
        demo.send_signal(number)
        _, error = demo.communicate(timeout=60)
    assert demo.returncode == 1
    assert error.decode().endswith("Stopped; what was kept is kept.\n")
    left = [path.name for path in lobby.rglob("*")]
    assert [name for name in left if name.endswith((".lock", "-journal", ".part"))] == []
    assert [name for name in left if name.startswith(".part")] == []


def test_a_finding_that_there_is_none_of_does_not_hide_the_other_sequences(
    lobby: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (lobby / "wrong.yaml").write_text(SEQUENCE.replace("contrast", "contrasts"))
    assert run(["check", "wrong.yaml", "lobby.yaml"]) == 2
    told_ = capfd.readouterr()
    assert told_.err.startswith(
        "wrong.yaml:3:9: found the finding 'contrasts'; expected adjustment"
    )
    assert "(lobby.yaml)" in told_.out


def test_every_shipped_name_is_listed_in_full(capfd: pytest.CaptureFixture[str]) -> None:
    import sequences

    assert run(["check"]) == 0
    listed = {line.partition(" ")[0] for line in capfd.readouterr().out.splitlines()}
    assert set(sequences.shipped()) <= listed


def test_no_default_is_told_in_the_words_of_the_code(capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["patterns", "--json"]) == 0
    printed = capfd.readouterr().out
    assert '"2 %, 5 %, 10 %, 20 %"' in printed
    for word in ("Decimal", "Measure", "None", "True", "False", "["):
        assert f'"default": "{word}' not in printed
        assert "Decimal(" not in printed
