"""What tests of the player share: a visit that is open for writing, and a clock that stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from readings.visit.visit import Visit
from tests.player.recording import Clock


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Visit]:
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as made:
        yield made


@pytest.fixture
def clock() -> Clock:
    return Clock()
