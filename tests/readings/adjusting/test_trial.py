"""Adjusting invented displays: the rivals play fair."""

from __future__ import annotations

import numpy as np
import pytest

from tests.readings.adjusting.hands import HANDS
from tests.readings.adjusting.trial import METERS, trial


@pytest.mark.parametrize("who", HANDS)
def test_a_rival_mends_plain_displays_within_its_hour(who: str):
    trials = [trial(who, seed, "two-point", False, METERS["quiet"]) for seed in range(6)]
    assert np.median([each.largest - each.found for each in trials]) < -1.5
    for each in trials:
        assert each.best <= each.largest
        assert each.minutes < 75
        assert each.readings > each.changes / 4
