"""What findings are called to a reader, and the order in which they are told."""

from __future__ import annotations

SUBJECTS = {
    "plausibility": "whether the readings agree with each other",
    "greyscale": "the greys: balance, delta E, gamma",
    "tone": "tracking of the signal's curve",
    "near-black": "the steps just above black",
    "near-white": "the steps just below white",
    "clipping": "where highlights or dark steps are lost",
    "range-mismatch": "whether the range that arrives is the one that is set",
    "contrast": "contrast of full white to full black, and of checkerboards",
    "box-contrast": "contrast of dark places beside light ones",
    "window-peak": "peak luminance by window area",
    "halo": "the halo around bright boxes",
    "colour": "colours of a chart, saturations, primaries",
    "gamut": "the gamut",
    "uniformity": "uniformity over the screen",
    "viewing-angle": "the view from the side",
    "over-time": "luminance over time",
    "delay": "the delay of the picture",
    "zones": "the number of dimming zones",
}
"""By name in the registry, in the order of the report: whether the readings hold, then grey and
light, then colour, then the rest."""
_PLACES = {name: place for place, name in enumerate(SUBJECTS)}


def subject(name: str) -> str:
    """A finding as a reader would call it."""
    return SUBJECTS.get(name, name.replace("-", " "))


def place_of(name: str) -> int:
    """Where a finding of this name stands; one that is not listed stands at the end."""
    return _PLACES.get(name, len(_PLACES))
