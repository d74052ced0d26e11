"""File names that every disk takes, FAT32 and exFAT among them.

A name is ASCII in lower case and begins with its number, so that it sorts the same everywhere,
whether the system compares letters or numbers, and is no device name that Windows keeps (CON).
"""

from __future__ import annotations

import re
import unicodedata

LONGEST = 60
"""Signs of a label in a name; with number and suffix far below the 255 that disks allow."""

SPOKEN = {"%": " percent ", "+": " plus ", "&": " and ", "×": "x", "°": " degrees "}

_SPELT = (
    "æ:ae œ:oe ø:o ł:l đ:d ð:d þ:th ı:i ħ:h ŋ:ng №:no ⁄:/ "
    "α:a β:b γ:g δ:d ε:e ζ:z η:i θ:th ι:i κ:k λ:l μ:m ν:n ξ:x ο:o π:p ρ:r σ:s τ:t υ:y φ:f "
    "χ:ch ψ:ps ω:o "
    "а:a б:b в:v г:g д:d е:e ж:zh з:z и:i й:j к:k л:l м:m н:n о:o п:p р:r с:s т:t у:u ф:f "
    "х:kh ц:ts ч:ch ш:sh щ:shch ъ: ы:y ь: э:e ю:yu я:ya є:ye і:i ї:yi ґ:g ђ:dj ј:j љ:lj "
    "њ:nj ћ:c џ:dz"
)
LETTERS = dict(pair.split(":") for pair in _SPELT.split())
"""Letters that do not come apart into an ASCII letter and a mark, as they are read at a glance."""


def file_name(number: int, label: str, suffix: str, digits: int = 3) -> str:
    """``001-10-percent-window.png``: ASCII, lower case, never a name that Windows keeps.

    Args:
        number: of the step, 0 or more.
        label: any text; what has no ASCII letters is dropped, and the number alone still makes
            a name.
        suffix: with its dot.
        digits: of the number, filled up with zeros; :func:`digits_for` has those of a whole set.
    """
    words = re.findall(r"\d+\.\d+|[a-z0-9]+", ascii_letters(_spoken(label)).casefold())
    slug = "-".join(words)
    if len(slug) > LONGEST:
        # whole words, as long as the first one fits
        slug = slug[: slug.rfind("-", 0, LONGEST + 1)] if "-" in slug[:LONGEST] else slug[:LONGEST]
    slug = slug.strip("-.")
    return "-".join(filter(None, [f"{number:0{digits}d}", slug])) + suffix


def digits_for(largest: int) -> int:
    """Digits with which the numbers up to ``largest`` sort as text: three at least."""
    return max(3, len(str(largest)))


def ascii_letters(text: str) -> str:
    """The text in ASCII: marks are taken off, letters of other alphabets spelt out or dropped."""
    out = []
    # composed first, since a short i of Cyrillic is a letter of its own and not an i with a mark
    for sign in unicodedata.normalize("NFC", text):
        low = sign.casefold()
        # some letters become several when they are folded: the sharp s of German
        spelt = "".join(LETTERS.get(each, each) for each in low)
        plain = "".join(LETTERS.get(each, each) for each in unicodedata.normalize("NFKD", spelt))
        plain = plain.encode("ascii", "ignore").decode()
        out.append(plain.capitalize() if sign.isupper() else plain)
    return "".join(out)


def _spoken(label: str) -> str:
    """The label with signs as words; a minus belongs to the number after it, a dash only joins."""
    text = re.sub(r"(?<![\w.])[-−](?=\d)", " minus ", label)
    for sign, spoken in SPOKEN.items():
        text = text.replace(sign, spoken)
    return text
