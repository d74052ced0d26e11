"""Text from outside on its way to people: what would steer a terminal or a page is replaced.

Titles, labels, names of files, readings and notes may come from anywhere. Data keep them as they
are; between them and a terminal, a page or a sheet stands this one function.
"""

from __future__ import annotations

import re

_STEERS = re.compile(
    "["
    "\x00-\x08\x0b-\x1f\x7f-\x9f"  # C0 without tab and line feed, DEL, C1 (ISO/IEC 6429)
    "\xad\u180e\u200b-\u200d\u2060-\u2064\ufeff"  # nothing to be seen, and words that look alike
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"  # order of reading (UAX #9, table 1)
    "\u2028\u2029"  # further ends of lines
    "\u206a-\u206f\ufff9-\ufffb\U000e0000-\U000e007f"  # deprecated, annotations, tags
    "\ud800-\udfff\ufffe\uffff"  # no characters: HTML and UTF-8 have none of them
    "]"
)
"""From memory of the Unicode character database: its Cc, Cf, Cs, Zl and Zp, without signs that are
seen, such as those of Arabic numbers."""


def plain(text: str, *, lines: bool = True) -> str:
    """Text as it may be shown: each sign that steers is U+FFFD.

    Tabs and line feeds stay, but in a text of one line (`lines` is False).
    """
    if lines:
        return _STEERS.sub("\ufffd", text.replace("\r\n", "\n"))
    return re.sub("[\t\n]", "\ufffd", _STEERS.sub("\ufffd", text))


def steering(text: str) -> str | None:
    """The first sign in a text of one line that may not be shown; None where there is none."""
    return next((sign for sign in text if plain(sign, lines=False) != sign), None)
