"""How a value came about is kept as a sentence, and understood again."""

import pytest

from readings.visit.taking import Taking, taking_of


@pytest.mark.parametrize(
    ("taking", "sentence"),
    [
        (
            Taking(count=12, deviation=0.00013125),
            "mean of 12 readings, standard deviation 0.00013125 cd/m2",
        ),
        (
            Taking(count=20, deviation=0.0, steady=False),
            "mean of 20 readings, standard deviation 0 cd/m2, not steady",
        ),
        (
            Taking(measured=0.0125, dark=-0.0004),
            "measured 0.0125 cd/m2, dark -0.0004 cd/m2 subtracted",
        ),
        (
            Taking(count=3, deviation=2.5e-7, measured=0.02, dark=1e-05, whole_colour=False),
            (
                "mean of 3 readings, standard deviation 2.5e-07 cd/m2; measured 0.02 cd/m2, "
                "dark 1e-05 cd/m2 subtracted, chromaticity as measured"
            ),
        ),
    ],
)
def test_a_taking_is_said_and_understood_again(taking: Taking, sentence: str):
    assert str(taking) == sentence
    assert taking_of(sentence) == taking


@pytest.mark.parametrize("text", [None, "", "even", "mean of 3 readings", "no; dark"])
def test_other_texts_state_no_taking(text: str | None):
    assert taking_of(text) is None
