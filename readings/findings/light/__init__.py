"""Findings of light: contrasts, windows, halos, time, places and angles."""
