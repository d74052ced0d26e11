"""Codes and light: signals, levels, transfer functions, primaries, exact arithmetic."""
