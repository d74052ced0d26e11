"""Areas and coverage of chromaticity triangles and polygons, against numbers from outside."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull, QhullError

from readings.colorimetry.gamut import (
    area_of,
    area_ratio,
    common_area,
    coverage,
    in_diagram,
    triangle_of,
)
from tests.readings.tables import rows_of, tolerance_of

NTSC = np.array([(0.67, 0.33), (0.21, 0.71), (0.14, 0.08)])
"""Red, green, blue of NTSC 1953, from memory."""
DIAGRAMS = ("xy", "uv")


def corners(name, diagram):
    return in_diagram(NTSC, diagram) if name == "ntsc" else triangle_of(name, diagram)


@pytest.mark.parametrize("diagram", DIAGRAMS)
@pytest.mark.parametrize("row", rows_of("gamut_areas"), ids=lambda row: f"{row['a']}-{row['b']}")
def test_area_ratio_and_coverage_are_those_of_the_standards(row, diagram):
    first, second = corners(row["a"], diagram), corners(row["b"], diagram)
    for found, said in (
        (area_ratio(first, second), row[f"ratio_{diagram}"]),
        (coverage(first, second), row[f"coverage_{diagram}"]),
    ):
        if said:
            assert 100 * float(found) == pytest.approx(float(said), abs=tolerance_of(said))


@pytest.mark.parametrize("row", rows_of("gamut_triangles"), ids=lambda row: row["primaries"])
def test_areas_of_triangles_are_those_of_the_standards(row):
    for diagram in DIAGRAMS:
        found = float(area_of(corners(row["primaries"], diagram)))
        assert found == pytest.approx(float(row[diagram]), abs=tolerance_of(row[diagram]))


@pytest.mark.parametrize("row", rows_of("gamut_triangles"), ids=lambda row: row["primaries"])
def test_shares_of_the_spectral_locus_are_those_computed_from_the_observer(row):
    from patterns.picture.charts import colour_science

    observer = colour_science().MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    xyz = observer.values[(observer.wavelengths >= 360) & (observer.wavelengths <= 830)]
    locus = xyz[:, :2] / xyz.sum(-1, keepdims=True)
    if row["locus"]:
        share = 100 * float(area_ratio(corners(row["primaries"], "xy"), locus))
        assert share == pytest.approx(float(row["locus"]), abs=0.01)


def test_p3_has_a_larger_area_than_its_coverage_of_bt2020_as_its_red_lies_outside():
    p3, wide = triangle_of("p3-d65"), triangle_of("bt2020")
    assert float(area_ratio(p3, wide) - coverage(p3, wide)) == pytest.approx(1.43e-4, abs=1e-6)


def hull_of_common(first, second):
    """Area that two triangles share, another way: the hull of all corners that count."""
    points = []
    for inside, of in ((first, second), (second, first)):
        for point in inside:
            turns = [np.cross([*(b - a), 0], [*(point - a), 0])[2] for a, b in edges(of)]
            if min(turns) >= 0 or max(turns) <= 0:
                points.append(point)
    for a, b in edges(first):
        for c, d in edges(second):
            matrix = np.column_stack([b - a, c - d])
            if abs(np.linalg.det(matrix)) > 1e-12:
                s, t = np.linalg.solve(matrix, c - a)
                if 0 <= s <= 1 and 0 <= t <= 1:
                    points.append(a + s * (b - a))
    try:
        return ConvexHull(points).volume if len(points) > 2 else 0.0
    except QhullError:  # all on one line
        return 0.0


def edges(polygon):
    return zip(polygon, np.roll(polygon, -1, axis=0), strict=True)


def test_the_common_area_of_1000_random_triangles_is_that_of_the_hull_of_its_corners():
    random = np.random.default_rng(31)
    firsts, second = random.random((1000, 3, 2)), triangle_of("bt2020")
    found = common_area(firsts, second)
    assert found == pytest.approx([hull_of_common(first, second) for first in firsts], abs=1e-12)
    assert (found > 1e-6).sum() > 800


def test_a_polygon_with_dents_is_cut_as_the_sum_of_its_slices_from_white():
    random = np.random.default_rng(32)
    standard, white = triangle_of("bt709"), np.array([0.3127, 0.3290])
    for _ in range(50):
        turns = np.sort(random.random(15)) * 2 * np.pi
        far = random.uniform(0.05, 0.4, 15)
        star = white + far[:, None] * np.column_stack([np.cos(turns), np.sin(turns)])
        gaps = np.diff([*turns, turns[0] + 2 * np.pi])
        if gaps.max() >= np.pi:
            continue
        slices = [hull_of_common(np.array([white, a, b]), standard) for a, b in edges(star)]
        assert float(common_area(star, standard)) == pytest.approx(sum(slices), abs=1e-12)


def test_it_does_not_matter_which_way_round_the_corners_go():
    first, second = triangle_of("p3-d65"), triangle_of("bt2020")
    once = float(coverage(first, second))
    assert float(coverage(first[::-1], second)) == pytest.approx(once, abs=1e-15)
    assert float(coverage(first, second[::-1])) == pytest.approx(once, abs=1e-15)
    assert float(coverage(np.roll(first, 1, axis=0), second)) == pytest.approx(once, abs=1e-15)


def test_triangles_apart_share_nothing_and_a_point_has_no_area():
    assert float(coverage(triangle_of("bt709") + 1.0, triangle_of("bt709"))) == 0
    assert float(coverage(np.full((3, 2), 0.33), triangle_of("bt709"))) == 0
