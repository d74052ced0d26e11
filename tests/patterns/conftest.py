"""What the tests of patterns share: published vectors and a reference at 50 digits."""

import csv
import importlib.util
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import ModuleType

import pytest

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
