"""What the tests of patterns share: published vectors and a reference at 50 digits."""

import csv
import importlib.util
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import ModuleType

import pytest

from patterns.kinds import Pattern
from patterns.signal.primaries import BT709, BT2020
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886, Hlg, Pq

DATA = Path(__file__).parents[1] / "data"
SAID = ("document", "table", "trust", "tolerance")


@dataclass(frozen=True)
class Vectors:
    """A table of published or computed values, and what is known of it."""

    said: dict[str, str]
    rows: list[dict[str, str]]


def read_vectors(name: str) -> Vectors:
    """Read tests/data/NAME.csv: '# key: value' lines about the source, then a table."""
    lines = (DATA / f"{name}.csv").read_text("utf-8").splitlines()
    said = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# "))
    missing = [key for key in SAID if key not in said]
    assert not missing, f"{name}.csv does not say its {missing}"
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert rows
    return Vectors(said, rows)


@pytest.fixture(scope="session")
def vectors() -> Callable[[str], list[dict[str, str]]]:
    """Give the rows of a table in tests/data by its name."""
    return lambda name: read_vectors(name).rows


@pytest.fixture(scope="session")
def reference() -> ModuleType:
    """Give the standards' formulas at 50 digits: reference.py, beside this file."""
    spec = importlib.util.spec_from_file_location(
        "patterns_reference", Path(__file__).with_name("reference.py")
    )
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def suited() -> Callable[[type[Pattern], Signal], Signal]:
    """Give a signal, or the nearest to it that a kind is made for.

    Another transfer or primaries first, and 10 bits in narrow range where that is not enough.
    """

    def suit(kind: type[Pattern], signal: Signal) -> Signal:
        others = [
            Signal(transfer, primaries, bits, range_)
            for bits, range_ in ((signal.bits, signal.range), (10, "narrow"))
            for transfer in (signal.transfer, Bt1886(), Pq(), Hlg())
            for primaries in (signal.primaries, BT2020, BT709)
        ]
        return next(each for each in (signal, *others) if kind.made_for(each))

    return suit


@pytest.fixture(scope="session")
def agrees() -> Callable[..., bool]:
    """Tell whether a number agrees with a printed one to its last digit.

    With ``digits``, to so many significant digits, where the table leaves out closing noughts.
    A hundredth of a unit is allowed on top for the table's own rounding.
    """

    def agree(value: object, printed: str, digits: int | None = None) -> bool:
        known = Decimal(printed)
        places = int(known.as_tuple().exponent)
        if digits is not None and known != 0:
            places = known.adjusted() - digits + 1
        return abs(Decimal(str(value)) - known) <= Decimal("0.51").scaleb(places)

    return agree
