"""Findings of colour: patches against their targets, and the gamut."""
