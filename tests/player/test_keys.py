"""Which key does what."""

from __future__ import annotations

from pathlib import Path

import pytest

from player import keys
from player.keys import Action


@pytest.mark.parametrize(
    ("key", "action"),
    [
        ("ENTER", Action.KEEP),
        ("NUM_ENTER", Action.KEEP),
        ("PAGEDOWN", Action.ON),
        ("PAGEUP", Action.BACK),
        ("F5", Action.BLACKOUT),
        ("ESCAPE", Action.LEAVE),
    ],
)
def test_a_clicker_and_a_keyboard_ask_for_the_same(key: str, action: Action) -> None:
    assert keys.action_of(key) is action


def test_digits_and_letters_only_type() -> None:
    assert [keys.action_of(key) for key in ("_5", "B", "NUM_5", "COMMA", "SPACE")] == [None] * 5


def test_every_key_is_in_the_help() -> None:
    helped = {each.strip() for key, _ in keys.HELP for each in key.split(",")}
    printed = {
        "PAGEDOWN": "Page Down",
        "PAGEUP": "Page Up",
        "RETURN": "Enter",
        "NUM_ENTER": "Enter",
    }
    for key in keys.KEYS:
        assert printed.get(key, key.capitalize()) in helped
    assert {"Space", "Backspace", "B on an empty line"} <= helped


def test_what_does_not_print_is_not_typed_and_hard_spaces_are_spaces() -> None:
    assert keys.typed("1\u202f000\r\t\x1b") == "1 000"
    assert keys.typed("0,5 µ") == "0,5 µ"


def test_the_page_about_zones_lists_the_keys_that_there_are_while_they_are_counted() -> None:
    page = Path(__file__).parents[2] / "docs" / "zones.md"
    rows = [line for line in page.read_text("utf-8").splitlines() if line.startswith("| ")]
    wanted = [f"| {key} | {does} |" for key, does in (*keys.CRAWL_HELP, *keys.COMB_HELP)]
    assert [row for row in rows if row in wanted] == wanted
