"""With a media player, the file to put up is named and nothing is claimed about the picture."""

from __future__ import annotations

from patterns.canvas import Canvas
from patterns.kinds import KINDS
from patterns.signal import named_signal
from player.outputs.files import FilesOutput

CANVAS = Canvas(640, 360)


def test_the_file_is_found_by_the_frame_and_the_guard_names_it() -> None:
    signal = named_signal("sdr10")
    white, black = (
        KINDS["field"].model_validate({"level": level}).frame(CANVAS, signal)
        for level in ("100 %", "0 %")
    )
    output = FilesOutput({white.sha256: "0001-white.png"}, CANVAS, 10, "narrow")
    guard = output.show(white)
    assert output.file == "0001-white.png"
    assert (guard.state, guard.why) == (
        "unknown",
        "shown by a media player from file 0001-white.png",
    )
    assert output.show(black).why == "no exported file holds this frame"
    assert output.file == ""
