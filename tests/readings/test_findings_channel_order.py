"""The order in which red, green and blue arrive: named where it is another; nothing good then."""

from dataclasses import replace

import numpy as np
import pytest

from patterns.signal.primaries import PRIMARIES
from readings.findings import findings_from
from readings.report.summary import summary
from tests.readings.colour_readings import (
    SDR,
    WHITE,
    black,
    chart,
    cube,
    primaries,
    read,
    walk,
    white,
)
from tests.readings.made_readings import PQ, checked, found, said
from tests.readings.report_samples import contents

RGB = ("red", "green", "blue")
ORDERS = [
    ((2, 1, 0), "Red and blue are exchanged on the way to the display"),
    ((1, 0, 2), "Red and green are exchanged on the way to the display"),
    ((0, 2, 1), "Green and blue are exchanged on the way to the display"),
    ((1, 2, 0), "What is sent as red is shown as blue, green as red, blue as green"),
    ((2, 0, 1), "What is sent as red is shown as green, green as blue, blue as red"),
]
"""Which channel of the code the display's red, green and blue show, and what that is called."""


def display(order=(0, 1, 2), matrix=PRIMARIES["bt709"].matrix, peak=WHITE, dark=0.05):
    """An additive display of a power of 2.4, whose channels are those of `order`."""

    def show(codes):
        light = (np.asarray(codes)[list(order)] / 65535) ** 2.4
        return peak * matrix @ light + dark * matrix.sum(1)

    return show


def shown(show, colours=RGB):
    return [white(1, SDR, show), black(2, SDR, show), *primaries(SDR, show, colours)]


def order_of(readings):
    (one,) = found("channel-order", readings)
    return one


def verdicts(readings, names=("channel-order", "colour", "gamut")):
    return summary(contents(findings_from(readings, names)))


@pytest.mark.parametrize(("order", "sentence"), ORDERS)
def test_another_order_of_the_channels_is_named_and_what_rests_on_it_is_not_good(order, sentence):
    readings = shown(display(order))
    one = order_of(readings)
    assert (one.judgement.verdict, one.judgement.sentence) == ("bad", sentence)
    assert "Look at the cable" in said(one)
    told = verdicts(readings)
    assert told.of("bad")[0].sentence == sentence
    assert told.of("good") == []
    (gamut,) = [s for s in told.of("unsure") if "BT.709" in s.sentence]
    assert "arrived in another order" in gamut.figures[0].note
    for finding in findings_from(readings, ["gamut", "colour"]):
        assert sentence in said(finding)


def test_of_the_order_as_sent_the_colours_of_bt709_are_good_as_ever():
    told = verdicts(shown(display()))
    good = [s.sentence for s in told.of("good")]
    assert "Red, green and blue arrive in their order" in good
    assert "The colours of BT.709 are there" in good
    assert told.of("bad") == []


@pytest.mark.parametrize(("order", "sentence"), ORDERS)
@pytest.mark.parametrize(
    "take",
    [
        lambda show: chart(SDR, show),
        lambda show: cube(SDR, show),
        lambda show: walk(SDR, show),
        lambda show: primaries(SDR, show, ("cyan", "magenta", "yellow")),
        lambda show: shown(show, ("red", "blue")),
    ],
    ids=["chart", "cube", "boundary", "secondaries", "red and blue"],
)
def test_whatever_colours_were_read_tell_it(take, order, sentence):
    assert order_of(take(display(order))).judgement.sentence == sentence
    assert order_of(take(display())).judgement.verdict == "good"


def some_display(random):
    """Primaries of some standard up to .03 off, a tinted white, and errors of a meter of .006."""
    points = PRIMARIES[random.choice(["bt709", "p3-d65", "bt2020"])]
    corners = [(float(x), float(y)) for x, y in (points.red, points.green, points.blue)]
    corners = np.array(corners) + random.uniform(-0.03, 0.03, (3, 2))
    corners = np.maximum(corners, 0.03)
    columns = np.stack([corners[:, 0], corners[:, 1], 1 - corners.sum(1)])
    tint = np.array([0.95047, 1.0, 1.08883]) * random.uniform(0.9, 1.1, 3)
    return columns * np.linalg.solve(columns, tint)


def test_200_displays_of_all_kinds_are_told_apart_from_themselves_with_channels_exchanged():
    random = np.random.default_rng(2031)
    for n in range(200):
        matrix, dark = some_display(random), random.uniform(0, 0.5)
        order, sentence = ORDERS[n % 5]
        for wanted, verdict in (((0, 1, 2), "good"), (order, "bad")):
            readings = [
                replace(r, x=r.x + random.normal(0, 0.003), y=r.y + random.normal(0, 0.003))
                for r in shown(display(wanted, matrix, dark=dark))
            ]
            one = order_of(readings)
            assert one.judgement.verdict == verdict, (n, wanted, said(one))
            assert verdict == "good" or one.judgement.sentence == sentence


def test_red_alone_in_the_place_of_blue_is_another_order_and_not_said_which():
    alone = shown(display((2, 1, 0)), ("red",))
    one = order_of(alone)
    assert one.judgement.verdict == "bad"
    assert one.judgement.sentence == (
        "Red, green and blue arrive in another order than they were sent in"
    )
    # right, it cannot tell green from blue
    assert found("channel-order", shown(display(), ("red",))) == []


def test_a_display_without_colours_has_no_order_and_greys_tell_of_none():
    grey = PRIMARIES["bt709"].matrix.sum(1)[:, None] * [[0.21, 0.72, 0.07]]
    one = order_of(shown(display(matrix=grey)))
    assert one.judgement.verdict == "unsure"
    assert "does the display show colours at all?" in said(one)
    assert found("channel-order", [white(1), black(2)]) == []


def test_a_wide_display_in_a_small_signal_and_hdr_are_in_order():
    assert order_of(shown(display(matrix=PRIMARIES["bt2020"].matrix))).judgement.verdict == "good"
    light = {"level": "203 cd/m2", "primaries": "bt709"}
    hdr = [read(n, name, {"patch": {"colour": name, **light}}, PQ) for n, name in enumerate(RGB, 1)]
    assert order_of(hdr).judgement.verdict == "good"


def test_its_values_keep_to_what_every_finding_keeps_to():
    for order in ((0, 1, 2), (2, 1, 0)):
        for meter in (None, shown(display())[0].specification):
            readings = [replace(r, specification=meter) for r in shown(display(order))]
            (one,) = checked(readings, ["channel-order"])
            assert one.values[0].name == "channel-order-distance"
    assert one.value("channel-order-distance").value == pytest.approx(0.373, abs=0.002)
    assert one.value("channel-order-distance-other").value == pytest.approx(0, abs=0.002)
