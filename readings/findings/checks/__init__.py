"""Findings about the readings and the way of the picture: plausibility, range, delay."""
