"""Instruments that measure light."""
