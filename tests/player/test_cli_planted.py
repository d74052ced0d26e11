"""Output folders with links and pipes in them, and sets with lists that nobody wrote so."""

from __future__ import annotations

import csv
import hashlib
import io
import os
from pathlib import Path

import pytest

from player.cli import run
from readings.visit.visit import Visit, VisitError
from tests.readings.test_report import METER, START, contrast_run

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links and pipes are POSIX")
TEXT = """
title: Lobby wall
signal: pq10
steps:
  - {label: black, show: {field: {level: 0 %}}, read: luminance}
"""
WORK = ["findings.json", "report.html", "report.pdf", "readings.xlsx"]


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    path = tmp_path / "wall.visit"
    with Visit.create(path, display="Lobby wall", at=START) as made:
        meter = made.add_instrument(
            "spot meter 1", kind="typed", role="spot meter", specification=METER
        ).id
        contrast_run(made, meter, "local dimming off", 102.6, 0.09)
    return path


@pytest.fixture
def sequence(tmp_path: Path) -> Path:
    path = tmp_path / "lobby.yaml"
    path.write_text(TEXT)
    return path


@pytest.fixture
def exported(sequence: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "a set"
    assert run(["export", str(sequence), "--to", str(folder), "--size", "320x180"]) == 0
    return folder


@pytest.mark.parametrize("there", [True, False])
def test_a_report_replaces_links_and_not_what_they_lead_to(
    visit: Path, tmp_path: Path, there: bool
) -> None:
    folder = tmp_path / "report"
    folder.mkdir()
    for name in WORK:
        if there:
            (tmp_path / f"my {name}").write_bytes(b"of somebody")
        (folder / name).symlink_to(tmp_path / f"my {name}")
    assert run(["report", str(visit), "--to", str(folder)]) == 0
    for name in WORK:
        assert not (folder / name).is_symlink()
        assert (folder / name).stat().st_size > 1000
        assert (tmp_path / f"my {name}").exists() is there
        assert not there or (tmp_path / f"my {name}").read_bytes() == b"of somebody"


def test_the_demo_writes_into_no_folder_or_file_behind_a_link(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for name in ("files", "lobby.visit", "readings.csv", "report"):
        folder, elsewhere = tmp_path / f"demo {name}", tmp_path / f"elsewhere {name}"
        folder.mkdir()
        (folder / name).symlink_to(elsewhere)
        assert run(["demo", "--to", str(folder)]) == 2
        (line,) = capfd.readouterr().err.splitlines()
        assert line == f"{folder / name} is a link; take it away, or name another folder."
        assert [each.name for each in folder.iterdir()] == [name]
        assert not elsewhere.exists()


def test_a_planted_lock_makes_no_file_elsewhere(visit: Path, tmp_path: Path) -> None:
    lock = visit.with_name("wall.visit.lock")
    lock.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(VisitError, match="is a link; remove it first"):
        Visit.open(visit, write=True)
    assert lock.is_symlink()
    assert not (tmp_path / "elsewhere").exists()
    with Visit.open(visit, write=False) as opened:
        assert len(opened.readings()) == 2


def test_a_planted_journal_of_an_export_is_one_sentence(
    sequence: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "set"
    folder.mkdir()
    (folder / ".litfield-export").symlink_to(tmp_path / "elsewhere")
    assert run(["export", str(sequence), "--to", str(folder), "--size", "320x180"]) == 1
    told = capfd.readouterr().err.splitlines()[-1]
    assert told == f".litfield-export in {folder} is not the journal of an export."
    assert not (tmp_path / "elsewhere").exists()


def test_a_pipe_in_a_set_is_told(exported: Path, capfd: pytest.CaptureFixture[str]) -> None:
    (exported / "001-black.png").unlink()
    os.mkfifo(exported / "001-black.png")
    assert run(["export", "--verify", str(exported)]) == 1
    told = capfd.readouterr().out.splitlines()
    assert (
        "differs: 001-black.png (it cannot be read: it is a pipe or a device, not a file)" in told
    )
    (exported / "SHA256SUMS").unlink()
    os.mkfifo(exported / "SHA256SUMS")
    assert run(["export", "--verify", str(exported)]) == 2
    assert len(capfd.readouterr().err.splitlines()[-1:]) == 1


def rewrite(folder: Path, **changes: str) -> None:
    """Change cells of the manifest, and the sums with it: a list as somebody made it up."""
    manifest, sums = folder / "manifest.csv", folder / "SHA256SUMS"
    old = manifest.read_bytes()
    rows = list(csv.DictReader(io.StringIO(old.decode(), newline="")))
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows({**row, **changes} for row in rows)
    manifest.write_text(out.getvalue())
    digests = [hashlib.sha256(each).hexdigest() for each in (old, manifest.read_bytes())]
    sums.write_text(sums.read_text().replace(*digests))


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("signal", "[]"),
        ("signal", "null"),
        ("signal", '"pq10"'),
        ("signal", "7"),
        ("signal", "{"),
        ("signal", '{"transfer": "log"}'),
        ("signal", "[" * 100_000),
        ("signal", "9" * 100_000),
        ("refresh_hz", "0/0"),
        ("refresh_hz", "1/0"),
        ("refresh_hz", "1e99999999"),
        ("refresh_hz", "nan"),
        ("refresh_hz", ""),
        ("width", "9" * 5000),
        ("width", "wide"),
        ("width", "7"),
        ("step", "1e3"),
        ("label", "x" * 200_000),
    ],
)
def test_a_manifest_that_nobody_wrote_so_is_one_sentence(
    exported: Path, sequence: Path, cell: str, text: str, capfd: pytest.CaptureFixture[str]
) -> None:
    rewrite(exported, **{cell: text})
    visit = exported.parent / "new.visit"
    capfd.readouterr()
    arguments = ["play", str(sequence), "--visit", str(visit), "--output", "files"]
    assert run([*arguments, "--files", str(exported)]) == 2
    (line,) = capfd.readouterr().err.splitlines()
    assert line == f"{exported / 'manifest.csv'} is not a manifest that this version reads."
    assert not visit.exists()
    assert run(["export", "--verify", str(exported)]) == 0
