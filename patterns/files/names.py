"""File names that every disk takes, FAT32 and exFAT among them."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 60
"""Signs of a label in a name; with number and suffix far below the 255 that disks allow."""

SPOKEN = {"%": " percent ", "+": " plus ", "&": " and ", "×": "x", "°": " degrees "}


def file_name(number: int, label: str, suffix: str) -> str:
    """``001-10-percent-window.png``: ASCII, lower case, never a name that Windows keeps.

    Args:
        number: of the step, 1 or more; three digits, or more where needed.
        label: any text; what ASCII lacks is dropped, and the number alone still makes a name.
        suffix: with its dot.
    """
    # a minus sign belongs to the number after it; any other dash only joins words
    text = re.sub(r"(?<![\w.])[-−](?=\d)", " minus ", label.casefold())
    for sign, spoken in SPOKEN.items():
        text = text.replace(sign, spoken)
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    # a point stays within a number only
    words = re.findall(r"\d+\.\d+|[a-z0-9]+", plain)
    slug = "-".join(words)[:LONGEST].strip("-.")
    return "-".join(filter(None, [f"{number:03d}", slug])) + suffix
