"""Exact arithmetic under the code values: the rounding of the standards, and 60-digit reals.

Rounding is Round(x) = sign(x) * floor(|x| + 0.5) of Rec. ITU-R BT.2100-3, notation before
Table 9. numpy and Python round halves to even, which is one code off at 50 % of 8-bit full range.
"""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction

REAL = Context(prec=60, Emin=-999_999, Emax=999_999)
"""Context for the transcendental formulas: 60 digits leave ten to spare over 50."""

_FINE = 10**40


def round_half_away(value: int | Fraction | Decimal) -> int:
    """Round to the nearest integer, halves away from zero.

    A value within 1e-40 of a half counts as that half: it is one that 60-digit arithmetic could
    not finish (such as the 2.4th power of a 2.4th root).
    """
    exact = value if isinstance(value, Fraction) else Fraction(value)
    return round_ratio(exact.numerator, exact.denominator)


def round_ratio(over: int, under: int) -> int:
    """:func:`round_half_away` of ``over / under``, under > 0, in whole numbers."""
    whole = (2 * abs(over) * _FINE + under * _FINE + 2 * under) // (2 * under * _FINE)
    return whole if over >= 0 else -whole


def power(base: Decimal, exponent: Decimal) -> Decimal:
    """``base ** exponent`` at 60 digits for base >= 0; 0 to a positive power is 0."""
    if base == 0:
        return Decimal(0)
    return REAL.power(base, exponent)


def to_decimal(value: Fraction) -> Decimal:
    """A fraction as a 60-digit decimal."""
    return REAL.divide(Decimal(value.numerator), Decimal(value.denominator))
