"""The overview to print."""

import re

import numpy as np
import pytest

from patterns.files.overview import Thumbnail
from patterns.files.overview_pdf import overview_pdf, plain

SMALL = np.zeros((18, 32, 3), np.uint8)


def thumbnails(count: int) -> list[Thumbnail]:
    return [Thumbnail(n, f"{n} % window, Größe − Контраст", SMALL) for n in range(1, count + 1)]


def pages(data: bytes) -> int:
    return len(re.findall(rb"/Type /Page\b(?!s)", data))


@pytest.mark.parametrize(("count", "number"), [(1, 1), (18, 1), (19, 2), (300, 17)])
def test_eighteen_pictures_go_on_a_page(count: int, number: int):
    data = overview_pdf(thumbnails(count), "Größe")
    assert data.startswith(b"%PDF-")
    assert pages(data) == number


def test_the_same_pictures_make_the_same_bytes():
    assert overview_pdf(thumbnails(3), "a") == overview_pdf(thumbnails(3), "a")
    assert overview_pdf(thumbnails(3), "a") != overview_pdf(thumbnails(3), "b")


def test_upright_pictures_and_long_labels_stay_in_their_place():
    long = Thumbnail(1, "a label far too long for the place below its picture " * 4, SMALL)
    tall = Thumbnail(2, "x" * 200, SMALL.transpose(1, 0, 2))
    assert pages(overview_pdf([long, tall], "t" * 300)) == 1


def test_letters_that_the_fonts_lack_are_spelt():
    assert plain("Größe × 2 °") == "Größe × 2 °"
    assert plain("−5 % → Контраст Φ 日") == "-5 % -> Kontrast F ?"
    assert plain("a\nb") == "a b"
