"""Outside text on its way to people."""

from __future__ import annotations

import unicodedata

import pytest

from patterns.plain import plain, steering

SEEN = {*range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD}
SEEN |= {*range(0x13430, 0x13440), *range(0x1BCA0, 0x1BCA4), *range(0x1D173, 0x1D17B)}
"""Of the category Cf: signs of numbers and verses, and those of hieroglyphs, shorthand and music,
which stand in their own scripts alone."""


def test_every_sign_that_is_not_seen_is_replaced_and_no_other():
    for number in range(0x11_0000):
        sign = chr(number)
        hidden = unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Zl", "Zp"}
        hidden = hidden and number not in SEEN and sign not in "\t\n"
        if hidden or number in (0xFFFE, 0xFFFF):
            assert plain(sign) == "\ufffd", f"U+{number:04X}"
        elif unicodedata.category(sign) != "Cn":
            assert plain(sign) == sign, f"U+{number:04X}"


@pytest.mark.parametrize(
    ("text", "shown", "on_one_line"),
    [
        ("Größe 65″, 壁", "Größe 65″, 壁", "Größe 65″, 壁"),
        ("a\x1b[31mb", "a\ufffd[31mb", "a\ufffd[31mb"),
        ("a\tb\r\nc\rd", "a\tb\nc\ufffdd", "a\ufffdb\ufffd\ufffdc\ufffdd"),
        ("photo\u202egnp.exe", "photo\ufffdgnp.exe", "photo\ufffdgnp.exe"),
    ],
)
def test_text_is_shown_with_what_steers_replaced(text: str, shown: str, on_one_line: str):
    assert plain(text) == shown
    assert plain(text, lines=False) == on_one_line


def test_the_first_sign_that_steers_is_named():
    assert steering("local dimming on") is None
    assert [steering(text) for text in ("a\nb\x1b", "a\u202eb", "\udcff")] == [
        "\n",
        "\u202e",
        "\udcff",
    ]
