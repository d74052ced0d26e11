"""What speaks against a correction is said in plain sentences, and what is doubtful refuses it."""

from dataclasses import replace

import pytest

from readings.evidence.correction.guards import Side, look_at, look_at_residuals
from readings.evidence.correction.matrix import Light, Residual

METER = Side(
    name="spot meter",
    lights={
        "white": Light(99.0, 0.316, 0.334),
        "red": Light(21.9, 0.635, 0.338),
        "green": Light(70.2, 0.308, 0.594),
        "blue": Light(7.6, 0.152, 0.065),
    },
    whites=(99.0, 98.9),
    floor=0.002,
)
REFERENCE = Side(
    name="reference",
    lights={
        "white": Light(100.0, 0.3127, 0.329),
        "red": Light(21.26, 0.64, 0.33),
        "green": Light(71.52, 0.30, 0.60),
        "blue": Light(7.22, 0.15, 0.06),
    },
    whites=(100.1, 99.9),
    floor=0.02,
)


def changed(side, **lights):
    return replace(side, lights={**side.lights, **lights})


def told(meter=METER, reference=REFERENCE):
    return [(each.sentence, each.refuses) for each in look_at(meter, reference)]


def test_nothing_speaks_against_two_good_meters_on_a_steady_display():
    assert told() == []


FLAT = {
    "red": Light(21.9, 0.40, 0.33),
    "green": Light(70.2, 0.31, 0.36),
    "blue": Light(7.6, 0.25, 0.31),
}
CASES = {
    "primaries on a line": (
        {"meter": changed(METER, **FLAT)},
        (
            "Red, green and blue of the spot meter lie nearly on a line: their triangle in x, y "
            "has an area of 0.0031, and 0.01 is the least."
        ),
    ),
    "white outside": (
        {"reference": changed(REFERENCE, white=Light(100.0, 0.20, 0.40))},
        (
            "White of the reference lies outside the triangle of its red, green and blue, beyond "
            "the side across from red."
        ),
    ),
    "at the floor": (
        {"reference": replace(REFERENCE, floor=7.22)},
        (
            "Blue of the reference is 7.22 cd/m2, at or below the lowest luminance that it is "
            "specified for (7.22 cd/m2)."
        ),
    ),
    "drift": (
        {"meter": replace(METER, whites=(99.0, 96.0))},
        (
            "White changed by 3.1 % while the spot meter read the colours; 2 % is the most: let "
            "the display settle, and take the readings again."
        ),
    ),
    "another place": (
        {"reference": changed(REFERENCE, white=Light(50.0, 0.3127, 0.329))},
        (
            "White of the reference is 0.505 times that of the spot meter; from 0.8 to 1.25 is "
            "trusted: did both look at the same place, and was the display set alike?"
        ),
    ),
    "another colour": (
        {
            "reference": changed(
                REFERENCE, red=REFERENCE.lights["green"], green=REFERENCE.lights["red"]
            )
        },
        (
            "Red differs by 0.335 in x or y between the instruments; 0.05 is the most: did both "
            "look at the same colour?"
        ),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_makes_a_correction_worthless_refuses_it(name):
    sides, sentence = CASES[name]
    assert (sentence, True) in told(**sides)


def test_a_badly_conditioned_matrix_refuses_it():
    # white almost on the side between green and blue: hardly any red in it
    near_side = {"white": Light(99.0, 0.229, 0.310)}
    found = told(changed(METER, **near_side), changed(REFERENCE, **near_side))
    (sentence,) = [sentence for sentence, refuses in found if refuses]
    assert sentence.startswith("The matrix is badly conditioned (")
    assert sentence.endswith(
        "20 is the most): small errors of the readings would grow large in it."
    )


NOTES = {
    "white read once": (
        {"meter": replace(METER, whites=(99.0,))},
        "White was read once with the spot meter, so nothing is known of drift.",
    ),
    "a white sub-pixel": (
        {"meter": changed(METER, white=Light(120.0, 0.316, 0.334))},
        (
            "Red, green and blue of the spot meter add up to 83.1 % of its white: the display does "
            "not add its primaries up, and mixed colours are corrected less well."
        ),
    ),
    "near the floor": (
        {"meter": replace(METER, floor=1.0)},
        (
            "Blue of the spot meter is 7.6 cd/m2, less than 10 times the lowest luminance that it "
            "is specified for."
        ),
    ),
}


@pytest.mark.parametrize("name", NOTES)
def test_what_weakens_a_correction_is_told_and_refuses_nothing(name):
    sides, sentence = NOTES[name]
    assert told(**sides) == [(sentence, False)]


def test_a_floor_that_is_not_known_is_no_reason():
    assert told(replace(METER, floor=None), replace(REFERENCE, floor=None)) == []


def test_large_residuals_are_told_by_colour_and_small_ones_are_not():
    left = [
        Residual("red", 0.0, 0.0, 0.0393, fitted=True),
        Residual("cyan", -0.0061, 0.001, 0.002, fitted=False),
        Residual("blue", 0.0, 0.0, -0.06, fitted=True),
    ]
    assert [(each.sentence, each.refuses) for each in look_at_residuals(left)] == [
        (
            (
                "Corrected cyan still differs from the reference by -0.0061 in x, +0.0010 in y and "
                "+0.2 % in luminance."
            ),
            False,
        ),
        (
            (
                "Corrected blue still differs from the reference by +0.0000 in x, +0.0000 in y and "
                "-6.0 % in luminance."
            ),
            False,
        ),
    ]
