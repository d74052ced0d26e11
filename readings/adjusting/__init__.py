"""Adjusting a display by its own controls: what they do, which to turn how far, when to stop."""
