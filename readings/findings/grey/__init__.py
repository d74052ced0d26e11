"""Findings of greys: balance, tone, both ends of the range, and where highlights clip."""
