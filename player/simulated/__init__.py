"""A display by calculation: a physical model with its parameters in a YAML file."""

from __future__ import annotations

from player.simulated.display import SimulatedDisplay
from player.simulated.files import (
    SimulatedError,
    load_display,
    parse_display,
    shipped_displays,
    shipped_menus,
)
from player.simulated.parameters import DisplayParameters

__all__ = [
    "DisplayParameters",
    "SimulatedDisplay",
    "SimulatedError",
    "load_display",
    "parse_display",
    "shipped_displays",
    "shipped_menus",
]
