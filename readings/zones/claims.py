"""When a count is claimed: the constants, and why."""

CLAIM = 0.995
"""Probability from which a count is claimed; below it the count is said to be unsure.

At most one claim in a thousand may be wrong, with operators that the model was not made for too.
"""
SUSPECT = 0.7
"""Prior share of panels with one narrower end zone that a claim has to withstand: most of them,
since nobody knows how common they are, and one that is missed makes the count one too low."""
FEWEST_PRESSES = 6
"""Presses that a claim rests on at least: what rests on presses not made is no certainty."""
SPARSE = 0.25
"""Presses for each edge that a claim rests on at least."""
CONTRADICTED = 0.1
"""A trace that is so much less likely under what the presses say than under no knowledge at all
contradicts them, and nothing is claimed."""
SHARE = 0.95
"""Probability that the set of counts holds the truth."""
