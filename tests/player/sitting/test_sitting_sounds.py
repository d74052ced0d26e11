"""What is heard between two runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

from player.windows.sitting.player import Means, SittingPlayer
from player.windows.sounds import Cue, Sounds
from tests.player.sitting.plans import new_visit, sitting


class Noted(Sounds):
    """Notes cues, and plays none."""

    def __init__(self) -> None:
        super().__init__()
        self.cues: list[Cue] = []

    def play(self, cue: Cue) -> None:
        self.cues.append(cue)


def test_enter_that_does_a_task_or_is_refused_is_heard_and_a_started_run_is_not(
    tmp_path: Path,
) -> None:
    sounds = Noted()
    with new_visit(tmp_path) as visit:
        nothing = cast("Any", None)
        player = SittingPlayer(
            sitting(visit, [0.0]),
            Means(nothing, None, None, sounds=sounds),
            [],
            play_run=nothing,
            flashing=lambda _: [],
            undrawable=lambda _: None,
        )

        def enter() -> list[Cue]:
            before, sounds.cues = player._done(), []
            player.choosing.key("ENTER")
            player._let_hear(before)
            return sounds.cues

        assert enter() == [Cue.KEPT]
        assert enter() == [Cue.REFUSED], "an answer is asked for"
        player.choosing.type("1")
        assert enter() == [Cue.KEPT]
        assert enter() == [], "the run has sounds of its own"
        assert player.choosing.start is not None
