"""Draws one step with several fragment shaders, and prints what the guard says of each.

Usage: guard_driver.py OPTIONS, where OPTIONS is JSON: sequence, range_, and shaders by name.
"""

from __future__ import annotations

import json
import sys

import sequences
from player.windows import loop
from player.windows.pattern.window import PatternWindow

options = json.loads(sys.argv[1])
sequence = sequences.load(options["sequence"])
(screen,) = loop.screens_here()
guards = {}
for name, fragment in options["shaders"].items():
    window = PatternWindow(screen, sequence.signal.bits, fragment)
    shown = sequence.signal.shown_at(window.bits, options["range_"])
    guard = window.put(sequence.steps[0].pattern.frame(window.canvas, shown), verify=True)
    assert guard is not None
    guards[name] = (window.bits, guard.state, guard.why)
    window.close()
sys.stdout.write(json.dumps(guards))
