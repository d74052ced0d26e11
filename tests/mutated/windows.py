"""What an operator's window does with an input, without a screen."""

from __future__ import annotations

from pathlib import Path

import sequences
from player.commands.instruments import asked_instrument
from player.outputs.files import open_files
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.windows.controls.controls import Controls
from player.windows.loop import _tell_files
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput


def pasted(source: str, text: str, folder: Path, described: Path | None = None) -> None:
    """Paste a text at the first step of a sequence, then type its beginning, and end the run.

    Whatever the operator is told is printed.
    """
    sequence = sequences.load_text(source, "lobby.yaml")
    asked = asked_instrument(str(described) if described else "", reference=False)
    clock = Clock(CHANGE_GAP + 1)
    with Visit.create(folder / "a.visit", display="lobby wall") as visit:
        asked.keep_in(visit)
        run = LiveRun(sequence, visit, RecordingOutput(), clock=clock)
        run.begin()
        for _ in sequence.steps[1:]:
            run.go_on()
        for _ in sequence.steps[1:]:
            run.back()
        controls = Controls(run, clock=clock)
        # once more keeps what was doubted
        for _ in range(2):
            controls.paste(text)
            print(run.message, controls.notices.alert, sep="\n")  # noqa: T201 - it is looked at
            controls.key("ENTER")
        for each in text[:40]:
            controls.type(each)
        controls.key("ENTER")
        controls.key("ENTER")
        print(run.message, controls.notices.alert, sep="\n")  # noqa: T201 - it is looked at
        run.leave()


def shown_beside(source: str, folder: Path, visit_path: Path) -> None:
    """Go through a sequence beside a media player that has the files of a folder."""
    sequence = sequences.load_text(source, "lobby.yaml")
    output = open_files(folder, sequence.signal)
    _tell_files(sequence, output, print)
    clock = Clock(CHANGE_GAP + 1)
    with Visit.create(visit_path, display="lobby wall") as visit:
        run = LiveRun(sequence, visit, output, clock=clock)
        run.begin()
        for _ in sequence.steps:
            run.enter("20 0.31 0.33")
            print(run.message, output.file, sep="\n")  # noqa: T201 - it is looked at
            run.go_on()
        run.leave()
