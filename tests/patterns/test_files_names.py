"""Names of exported files."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.files.manifest import ascii_letters, digits_for, file_name


@pytest.mark.parametrize(
    ("number", "label", "name"),
    [
        (1, "10 % window", "001-10-percent-window.png"),
        (2, "0.5 % / a: b?", "002-0.5-percent-a-b.png"),
        (3, "-5 % level", "003-minus-5-percent-level.png"),
        (4, "4x4 - lit first", "004-4x4-lit-first.png"),
        (5, "Größe × 3", "005-grosse-x-3.png"),
        (6, "日本", "006.png"),
        (7, "CON", "007-con.png"),
        (8, "cd/m2 x 3.", "008-cd-m2-x-3.png"),
        (9, "...", "009.png"),
        (10, "red & blue", "010-red-and-blue.png"),
        (1234, "last", "1234-last.png"),
        (0, "Контраст: щётка", "000-kontrast-shchetka.png"),
        (11, "Φως, Łódź, Ærø", "011-fos-lodz-aero.png"),
        (12, "½ Å", "012-1-2-a.png"),
        (13, "word " * 20, "013-" + "-".join(["word"] * 12) + ".png"),
        (14, "x" * 100, "014-" + "x" * 60 + ".png"),
    ],
)
def test_labels_become_plain_names(number: int, label: str, name: str):
    assert file_name(number, label, ".png") == name


@given(st.integers(1, 9999), st.text(max_size=200))
def test_any_label_makes_a_name_that_every_disk_takes(number: int, label: str):
    name = file_name(number, label, ".tiff")
    # FAT32 and exFAT refuse " * / : < > ? \ | and control characters; a device name such as
    # CON would need to be the whole stem, and a stem here begins with digits
    assert re.fullmatch(r"\d{3,}(-[a-z0-9]+(\.[a-z0-9]+)*)*\.tiff", name)
    assert len(name) < 80


def test_names_sort_by_their_numbers_as_text_and_as_numbers():
    names = [file_name(n, f"{n} %", ".png", digits_for(1200)) for n in range(1, 1201)]
    assert sorted(names) == names
    assert sorted(names, key=str.upper) == names
    assert names[0] == "0001-1-percent.png"


@given(st.lists(st.text(max_size=30), min_size=2, max_size=12))
def test_names_of_a_set_differ_where_letters_have_no_case(labels: list[str]):
    names = [file_name(number, label, ".png").upper() for number, label in enumerate(labels)]
    assert len(set(names)) == len(labels)


def test_capitals_stay_where_a_text_is_only_to_be_ascii():
    assert ascii_letters("Größe, Контраст Щит") == "Grosse, Kontrast Shchit"


def test_two_numbers_never_share_a_name():
    assert file_name(1, "2", ".png") != file_name(12, "", ".png")
