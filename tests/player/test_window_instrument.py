"""A reading typed in the windows is kept with the instrument that the command line names."""

from __future__ import annotations

from pathlib import Path

from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing


def test_what_is_typed_is_kept_with_the_reference_that_was_named(
    screen_env: Environment, tmp_path: Path
) -> None:
    visit = tmp_path / "lobby.visit"
    arguments = ["play", "meter-correction", "--visit", str(visit)]
    arguments += ["--instrument", "borrowed", "--reference"]
    with Playing(
        screen_env(640, 360, 24), tmp_path, visit=str(visit), arguments=arguments
    ) as player:
        player.shows(1)
        player.type("100.2 0.3127 0.329")
        player.key("Return")
        player.shows(2)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        (reading,) = kept.readings()
        (instrument,) = kept.instruments()
    assert (reading.luminance, reading.instrument) == (100.2, instrument.id)
    assert (instrument.name, instrument.kind, instrument.role) == ("borrowed", "typed", "reference")
