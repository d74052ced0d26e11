"""Volumes of colour solids, against numbers from outside and other ways to the same."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.difference import ITP_SCALE
from readings.colorimetry.volume import (
    additive,
    enclosed,
    even_shares,
    itp_volume,
    lab_volume,
    lab_volume_d50,
    surface,
)
from tests.readings.tables import rows_of

RANDOM = 33


def cube_of(name, levels, peak=100.0):
    primaries = PRIMARIES[name].matrix.T * peak
    return additive(primaries, np.zeros(3), even_shares(levels)), primaries.sum(0)


def test_the_surface_of_11_levels_has_602_colours_and_600_faces():
    points, faces = surface(11)
    assert points.shape == (602, 3)
    assert faces.shape == (600, 4)
    assert len(np.unique(points, axis=0)) == 602


@pytest.mark.parametrize(
    "row", rows_of("lab_volumes"), ids=lambda row: f"{row['primaries']}-{row['levels']}"
)
def test_cielab_volumes_are_those_computed_relative_to_d65_and_to_d50(row):
    levels, tolerance = int(row["levels"]), float(row["tolerance"])
    xyz, white = cube_of(row["primaries"], levels)
    assert float(lab_volume(xyz, white, levels)) == pytest.approx(float(row["d65"]), rel=tolerance)
    d50 = float(lab_volume_d50(xyz, white, levels))
    assert d50 == pytest.approx(float(row["d50"]), rel=tolerance)


def test_a_cielab_volume_does_not_depend_on_how_bright_the_display_is():
    dim, bright = cube_of("bt709", 5, 80.0), cube_of("bt709", 5, 900.0)
    assert float(lab_volume(*dim, 5)) == pytest.approx(float(lab_volume(*bright, 5)), rel=1e-12)


@pytest.mark.parametrize("levels", [2, 3, 5])
def test_the_mesh_of_1000_random_boxes_holds_what_their_convex_hull_holds(levels):
    random = np.random.default_rng(RANDOM)
    points, faces = surface(levels)
    matrices = random.normal(size=(1000, 3, 3))
    boxes = points @ matrices + random.normal(size=(1000, 1, 3))
    found = np.abs(enclosed(boxes, faces))
    assert found == pytest.approx([ConvexHull(box).volume for box in boxes], rel=1e-9)
    assert np.sign(enclosed(boxes, faces)) == pytest.approx(np.sign(np.linalg.det(matrices)))


def test_a_ball_drawn_over_the_cube_fills_up_with_the_levels_and_is_turned_outwards():
    found = []
    for levels in (3, 9, 33):
        points, faces = surface(levels)
        middle = points - (levels - 1) / 2
        ball = middle / np.linalg.norm(middle, axis=-1, keepdims=True)
        found.append(float(enclosed(ball, faces)))
    assert found == sorted(found)
    assert found[-1] == pytest.approx(4 / 3 * np.pi, rel=0.01)


def test_1000_random_additive_colours_are_those_of_colour_science():
    from patterns.picture.charts import colour_science

    colour = colour_science()
    shares = np.random.default_rng(RANDOM).random((1000, 3))
    space = colour.RGB_COLOURSPACES["ITU-R BT.2020"]
    wanted = shares @ colour.normalised_primary_matrix(space.primaries, space.whitepoint).T
    found = additive(PRIMARIES["bt2020"].matrix.T, np.zeros(3), shares)
    assert found == pytest.approx(wanted, abs=1e-12)


def test_black_is_in_every_colour_and_is_counted_once():
    primaries = PRIMARIES["bt709"].matrix.T + 0.01
    found = additive(primaries, np.full(3, 0.01), np.array([[0, 0, 0], [1, 0, 0], [1, 1, 1]]))
    assert found[0] == pytest.approx([0.01] * 3)
    assert found[1] == pytest.approx(primaries[0])
    assert found[2] == pytest.approx(primaries.sum(0) - 0.02)


def test_an_itp_volume_grows_with_the_peak_and_shrinks_with_a_raised_black():
    levels = 11
    primaries, shares = PRIMARIES["p3-d65"].matrix.T, even_shares(levels)
    white = primaries.sum(0)
    found = [
        float(itp_volume(additive(peak * primaries, black * white, shares), levels))
        for peak, black in ((100, 0), (1000, 0), (1000, 1.0))
    ]
    assert found[1] > 2 * found[0]
    assert found[2] < found[1]


def test_a_cube_of_one_delta_e_itp_a_side_has_a_volume_of_one():
    points, faces = surface(2)
    assert float(enclosed(points / ITP_SCALE * ITP_SCALE, faces)) == pytest.approx(1.0)
