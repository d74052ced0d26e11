"""How a value came about: kept as data, said in words, and understood where a visit kept words."""

import pytest

from patterns.picture.sheet import Box
from readings.visit import older
from readings.visit.derivation import Derivation


@pytest.mark.parametrize(
    ("derivation", "sentence"),
    [
        (
            Derivation(count=12, deviation=0.00013125),
            "mean of 12 readings, standard deviation 0.00013125 cd/m2",
        ),
        (
            Derivation(count=20, deviation=0.0, steady=False),
            "mean of 20 readings, standard deviation 0 cd/m2, not steady",
        ),
        (
            Derivation(measured=0.0125, dark=-0.0004),
            "measured 0.0125 cd/m2, dark -0.0004 cd/m2 subtracted",
        ),
        (
            Derivation(count=3, deviation=2.5e-7, measured=0.02, dark=1e-05, whole_colour=False),
            (
                "mean of 3 readings, standard deviation 2.5e-07 cd/m2; measured 0.02 cd/m2, "
                "dark 1e-05 cd/m2 subtracted, chromaticity as measured"
            ),
        ),
    ],
)
def test_a_derivation_is_kept_said_and_understood_from_the_words_of_before(
    derivation: Derivation, sentence: str
):
    assert Derivation.described(derivation.describe()) == derivation
    assert str(derivation) == sentence
    assert older.derivation_of(sentence) == derivation


@pytest.mark.parametrize(
    "text",
    [
        None,
        "",
        "even",
        "mean of 3 readings",
        "no; dark",
        "mean of 0 readings, standard deviation 1 cd/m2",
        "measured 1e+999 cd/m2, dark 0 cd/m2 subtracted",
    ],
)
def test_other_texts_of_before_state_no_derivation(text: str | None):
    assert older.derivation_of(text) is None


@pytest.mark.parametrize(
    "given", [{"count": 0}, {"count": 2.0}, {"steady": 1}, {"dark": "0.1"}, {"deviation": True}]
)
def test_what_is_no_derivation_is_refused(given: dict[str, object]):
    with pytest.raises(ValueError, match=r"is not|derived so"):
        Derivation.described(given)


def test_a_box_of_before_is_understood():
    assert older.box_of("38x22 at 77,43") == Box(77, 43, 38, 22)
    assert str(Box(77, 43, 38, 22)) == "38x22 at 77,43"
    assert older.box_of("38x22 at 77") is None


def test_why_a_step_was_skipped_before_is_told_in_the_words_of_today():
    assert older.skip_of("count needs an eye") == "needs someone at the screen to count"
    assert older.skip_of("fans loud") == "fans loud"
