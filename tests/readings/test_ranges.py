"""Numbers are listed as people list them, and never without end."""

import pytest

from readings.ranges import ranges


@pytest.mark.parametrize(
    ("numbers", "most", "said"),
    [
        ([3, 1, 2, 7], None, "1–3, 7"),
        ([3, 1, 2, 7], 2, "1–3, 7"),
        ([1, 2, 3, 7, 9, 10], 2, "1–3, 7 and 2 more"),
        (range(1, 4000, 2), 3, "1, 3, 5 and 1997 more"),
        ([], 3, ""),
    ],
)
def test_of_many_stretches_the_rest_is_counted(
    numbers: list[int], most: int | None, said: str
) -> None:
    assert ranges(numbers, most) == said
