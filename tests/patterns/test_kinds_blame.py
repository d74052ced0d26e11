"""What cannot be made names the parameters that are to blame, as a sequence writes them."""

import pytest

from patterns.errors import PatternError, about
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

SMALL = Canvas(320, 180)


def blamed(kind, given, signal="sdr10", canvas=SMALL):
    pattern = KINDS[kind].model_validate(given)
    with pytest.raises(PatternError) as raised:
        pattern.frame(canvas, named_signal(signal))
    return raised.value.parameters


GEOMETRY = [
    ("border", {"width": 90}, ("width",)),
    ("border", {"width": 5}, ("width",)),
    ("checkerboard", {"columns": 321}, ("columns",)),
    ("checkerboard", {"columns": 320, "rows": 181}, ("rows",)),
    ("circles", {"middle": "101 %"}, ("middle",)),
    ("circles", {"corners": "101 %"}, ("corners",)),
    ("circles", {"width": "50 %"}, ("width",)),
    ("circles", {"grid": "1 px"}, ("grid",)),
    ("circles", {"grid": "101 %"}, ("grid",)),
    ("code-ramp", {"step": 321}, ("step",)),
    ("code-ramp", {"step": 320, "back": True}, ("step",)),
    ("comb", {"place": "0 %"}, ("place",)),
    ("comb", {"side": "101 %"}, ("side",)),
    ("comb", {"zones": 1, "phase": 0.0}, ("phase",)),
    ("comb", {"along": "rows", "zones": 40, "spacing": 500, "side": "7 px"}, ("side",)),
    ("comb", {"spacing": 1, "side": "5 %"}, ("side",)),
    ("comb", {"zones": 500, "spacing": 1, "side": "1 px"}, ("spacing",)),
    ("corner-boxes", {"area": "30 %", "inset": "1 px"}, ("area",)),
    ("corner-boxes", {"area": "4 %", "inset": "45 %"}, ("inset",)),
    ("depth-ramp", {"cut": 10}, ("cut",)),
    ("flash", {"size": {"width": "10 %", "height": "200 %"}}, ("size", "height")),
    ("flash", {"at": {"x": "50 %", "y": "99 %"}}, ("at", "y")),
    ("flash", {"on": "2 s", "period": "2 s"}, ("on",)),
    ("flash", {"period": "300 ms"}, ("period",)),
    ("frame-counter", {"size": "90 %"}, ("size",)),
    ("grid", {"pitch": "101 %"}, ("pitch",)),
    ("grid", {"pitch": "5 px", "width": "5 px"}, ("width",)),
    ("grid", {"pitch": "1 px", "width": "1 px"}, ("pitch",)),
    ("halo", {"side": "101 %"}, ("side",)),
    ("halo", {"at": {"x": "1 %"}}, ("at", "x")),
    ("halo", {"distances": ["2 %", "0.1 %"]}, ("distances", "1")),
    ("halo", {"distances": ["2 %", "12 %"], "ring": "11 %"}, ("distances", "1")),
    ("halo", {"distances": ["500 %"]}, ("distances",)),
    ("highlights", {"area": "10 %", "columns": 21, "count": 21}, ("columns",)),
    ("highlights", {"area": "99 %", "columns": 7, "count": 21}, ("area",)),
    ("highlights", {"area": "0.5 %", "columns": 20, "count": 200}, ("area",)),
    ("highlights", {"step": "-1 %"}, ("step",)),
    ("highlights", {"step": "1 cd/m2"}, ("step",)),
    ("highlights", {"step": "0.01 %"}, ("step",)),
    ("ladder", {"steps": 321}, ("steps",)),
    ("ladder", {"steps": 181, "axis": "y"}, ("steps",)),
    ("lines", {"pitch": 321}, ("pitch",)),
    ("lines", {"first": 320}, ("first",)),
    ("moving-box", {"side": "101 %"}, ("side",)),
    ("moving-box", {"start": "100 %", "side": "2 %"}, ("start",)),
    ("moving-box", {"along": "row", "place": "0 %", "side": "2 %"}, ("place",)),
    ("moving-stars", {"speed": "1.5 px/frame"}, ("speed",)),
    ("near-black", {"count": 20, "columns": 100}, ("columns",)),
    ("near-white", {"count": 46, "columns": 1}, ("columns",)),
    ("pan", {"rate": "100 Hz", "fast": True}, ("rate",)),
    ("pan", {"step": "0 px"}, ("step",)),
    ("pan", {"rate": "24 Hz", "step": "10 %"}, ("step",)),
    ("patch", {"area": "10 %", "at": {"x": "50 %", "y": "1 %"}}, ("at", "y")),
    ("patch", {"size": {"width": "101 %", "height": "1 %"}}, ("size", "width")),
    ("pixel-checks", {"side": 181}, ("side",)),
    ("pulse", {"on": "100 ms", "rest": "100 ms"}, ("rest",)),
    ("scroll", {"bar": "60 %", "every": "50 %"}, ("bar",)),
    ("scroll", {"every": "20 px", "bar": "2 px", "speed": "4 px/frame"}, ("speed",)),
    ("scroll", {"speed": "100 px/s"}, ("speed",)),
    ("single-box", {"at": "0 %", "place": "50 %"}, ("at",)),
    ("single-box", {"along": "column", "at": "0 %", "place": "50 %"}, ("at",)),
    ("single-box", {"along": "column", "at": "50 %", "place": "100 %"}, ("place",)),
    ("single-box", {"at": "50 %", "side": "101 %"}, ("side",)),
    ("stars", {"density": "0.0001 %", "size": "3 px"}, ("density",)),
    ("stars", {"density": "30 %", "size": "3 px"}, ("density",)),
    ("stars", {"density": "20 dots/Mpx", "size": "200 px"}, ("size",)),
    ("stripes", {"across": 161}, ("across",)),
    ("stripes", {"form": "dots", "down": 91}, ("down",)),
    ("surround", {"size": {"width": "1 px", "height": "181 px"}}, ("size", "height")),
    ("surround", {"size": {"width": "320 px", "height": "1 px"}}, ("size", "width")),
    ("surround", {"area": "100 %"}, ("area",)),
    ("surround", {"area": "10 %", "outer": "5 %"}, ("outer",)),
    ("texture", {"size": "200 %"}, ("size",)),
    ("texture", {"speed": "1 px/s"}, ("speed",)),
    ("window", {"size": {"width": "700 px", "height": "10 px"}}, ("size", "width")),
    ("window", {"size": {"width": "10 px", "height": "0 px"}}, ("size", "height")),
    ("window", {"area": "10 %", "at": {"x": "0 px", "y": "50 %"}}, ("at", "x")),
    ("window", {"area": "100 %", "mean": "50 %"}, ("mean",)),
    ("window", {"area": "50 %", "mean": "10 %"}, ("mean",)),
    ("zone-plate", {"radius": "1 %"}, ("radius",)),
]


@pytest.mark.parametrize(("kind", "given", "path"), GEOMETRY)
def test_geometry_that_cannot_be_drawn_is_blamed_on_the_parameter_out_of_proportion(
    kind, given, path
):
    assert blamed(kind, given)[0] == path


@pytest.mark.parametrize(
    ("kind", "given", "signal", "path"),
    [
        ("chart", {"chart": 140}, "sdr10", ("chart",)),
        ("cube-sheet", {"levels": 17}, "sdr10", ("levels",)),
        ("near-black", {"count": 300, "columns": 10}, "sdr10", ("count",)),
        ("highlights", {"count": 200, "columns": 10, "area": "10 %"}, "sdr10", ("count",)),
        ("frame-counter", {"modulo": 10**9, "size": "8 px"}, "sdr10", ("modulo",)),
        ("code-ramp", {"from": "0 %", "step": 1}, "sdr16", ("from",)),
    ],
)
def test_what_no_size_would_make_fit_is_blamed_on_the_number(kind, given, signal, path):
    assert blamed(kind, given, signal, Canvas(64, 64))[0] == path


LEVELS = [
    ("field", {"level": "200 %"}, ("level",)),
    ("field", {"level": "101 cd/m2"}, ("level",)),
    ("field", {"level": {"r": "50 %", "g": "code 256", "b": "50 %"}}, ("level", "g")),
    ("field", {"level": {"r": "50 %", "g": "50 %", "b": "101 cd/m2"}}, ("level", "b")),
    ("field", {"level": {"x": 0.31, "y": 0.33, "luminance": "101 cd/m2"}}, ("level", "luminance")),
    ("field", {"level": {"x": 0.1, "y": 0.8, "luminance": "1 cd/m2"}}, ("level",)),
    ("field", {"level": {"x": 0.9, "y": 0.9, "luminance": "1 cd/m2"}}, ("level",)),
    ("window", {"background": {"r": "-1 %", "g": "0 %", "b": "0 %"}}, ("background", "r")),
    ("circles", {"level": "code 256"}, ("level",)),
    ("chroma-lines", {"level": "101 cd/m2"}, ("level",)),
    ("range-check", {"mark": "101 %"}, ("mark",)),
    ("surround", {"surround": "101 %"}, ("surround",)),
    ("border", {"corner": "101 %"}, ("corner",)),
    ("frame-counter", {"off": "101 %"}, ("off",)),
    ("ramp", {"from": "-1 %"}, ("from",)),
    ("ramp", {"to": "101 cd/m2"}, ("to",)),
    ("ladder", {"from": "0 %", "to": "code 256"}, ("to",)),
    ("zone-plate", {"from": "-1 %"}, ("from",)),
    ("code-ramp", {"to": "code 256"}, ("to",)),
    ("near-black", {"first": 300}, ("first",)),
    ("near-black", {"first": -1}, ("first",)),
    ("near-black", {"step": 30, "count": 20}, ("step",)),
    ("near-black", {"step": 1, "count": 300, "columns": 20}, ("count",)),
    ("near-white", {"first": 200, "step": 4, "count": 20}, ("first",)),
    ("highlights", {"around": "99 %", "step": "1 %"}, ("around",)),
    ("patch", {"level": "200 %"}, ("level",)),
    ("patch", {"luminance": "101 cd/m2"}, ("luminance",)),
    ("patch", {"colour": "red", "primaries": "bt2020"}, ("primaries",)),
    ("patch", {"chromaticity": {"x": 0.1, "y": 0.8}}, ("chromaticity",)),
    ("patch", {"chromaticity": {"x": 0.9, "y": 0.9}}, ("chromaticity",)),
    ("patch", {"chromaticity": {"x": 0.31, "y": 0.33}, "level": "101 %"}, ("level",)),
    ("saturation", {"primaries": "bt2020", "saturation": "90 %"}, ("primaries",)),
    ("saturation", {"luminance": "99 cd/m2", "saturation": "90 %"}, ("luminance",)),
    ("gamut-walk", {"primaries": "p3-d65", "point": 9}, ("primaries",)),
    ("gamut-walk", {"luminance": "90 cd/m2", "point": 9}, ("luminance",)),
    ("chart-patch", {"patch": 18}, ("patch",)),
    ("chart-patch", {"patch": 19, "white": "200 cd/m2"}, ("white",)),
    ("skin", {"tone": 1, "white": "900 cd/m2"}, ("white",)),
    ("ebu-boxes", {"centre": "highest"}, ("centre",)),
    ("ebu-grey", {"step": 20}, ("step",)),
]


@pytest.mark.parametrize(("kind", "given", "path"), LEVELS)
def test_a_level_out_of_reach_is_blamed_on_the_parameter_that_it_comes_from(kind, given, path):
    assert blamed(kind, given, "sdr8")[0] == path


def test_several_are_named_where_it_takes_several():
    assert blamed("near-black", {"count": 400}) == (("columns",), ("count",))
    assert blamed("halo", {"ring": "12 %"}) == (("distances", "3"), ("ring",))
    assert blamed("flash", {"period": "50 ms"}) == (("on",), ("period",))


def test_what_is_about_the_signal_blames_no_parameter():
    # code 3 of 8-bit full range has no code of its own in narrow range, whatever is asked of it
    with pytest.raises(PatternError, match="no code of its own") as raised:
        KINDS["near-black"]().frame(SMALL, named_signal("sdr8").shown_at(8, "narrow"))
    assert raised.value.parameters == ()
    assert blamed("bars-rp219", {}, "pq10") == ()
    assert blamed("depth-ramp", {}, "sdr8") == ()


def test_an_error_of_a_signal_is_given_the_parameters_by_who_asked_and_keeps_its_own():
    with pytest.raises(PatternError, match=r"^It is so\.$") as raised, about(("level",)):
        raise PatternError("It is so.")
    assert raised.value.parameters == (("level",),)
    with pytest.raises(PatternError) as raised, about(("level",)):
        raise PatternError("It is so.", ("level", "g"))
    assert raised.value.parameters == (("level", "g"),)
