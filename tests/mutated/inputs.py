"""Spoilt inputs of every kind by number, and what is done with each.

An input is made in an empty folder from its kind and its number alone, so it can be made again.
What is done with it are command lines, or for what is pasted and typed in a window, which has no
command line, what the window does.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

import sequences
from tests.mutated import mutations
from tests.mutated.mutations import Pairs, Raw, tree_of
from tests.mutated.originals import LOBBY, PQ, draws, steps_of_every_kind
from tests.mutated.spoilt_visits import spoil_visit
from tests.mutated.windows import pasted, shown_beside

Call = tuple[str, ...] | Callable[[], None]
"""Arguments of the command line, or what a window does."""


@dataclass(frozen=True)
class Trial:
    """An input that has been made, and what is to be done with it."""

    calls: tuple[Call, ...]
    may_leave: tuple[str, ...] = ()
    """Names that a call may make though it ends with an error: a visit, whose run was begun."""


Maker = Callable[[Random, Path, Path], Trial]
"""Makes an input from chance, an empty folder, and the folder of the originals."""
PLAY = ("--output", "simulated", "--unattended", "--size", "640x360", "--flashing-confirmed")
QUICK = """\
title: Lobby wall
signal: {signal}
settle: 1 s
finds: [contrast]
steps:
  - {{show: {{field: {{}}}}, read: colour, role: white}}
  - {{show: {{field: {{level: 0 %}}}}, read: luminance, role: black}}
  - {{show: {{window: {{area: 10 %}}}}, read: colour}}
"""


def write(path: Path, tree: object, random: Random) -> None:
    """A tree as YAML, now and then with its text or its bytes spoilt as well."""
    text = mutations.as_yaml(tree)
    chance = random.random()
    if chance < 0.06:
        text = mutations.spoilt_text(text, random, random.choice([1, 1, 3]))
    data = mutations.as_bytes(text)
    if chance > 0.97:
        data = mutations.spoilt_bytes(data, random, random.choice([1, 1, 4]))
    path.write_bytes(data)


def visit_of(folder: Path) -> tuple[str, str]:
    """Options for a new visit."""
    return "--visit", str(folder / "a.visit")


# ---- sequences


@cache
def _kinds() -> dict[str, tuple[str, dict[str, object]]]:
    steps = steps_of_every_kind()
    return {kind: (draws(kind, given), given) for kind, given in steps.items()}


@cache
def _shipped() -> list[str]:
    return [path.read_text("utf-8") for path in sequences.shipped().values()]


READS = ["luminance", "colour", "count", "milliseconds", "text", "tally", None]
FINDS = {
    "white": "contrast", "lit": "contrast", "window": "window-peak", "grey": "greyscale",
    "uniformity": "uniformity", "trace-columns": "zones", "halo": "halo", "delay": "delay",
    "highlights": "clipping", "chart-24": "colour", "red": "gamut", "cube": "gamut",
    "near-black": "near-black", "near-white-patches": "near-white", "over-time": "over-time",
    "viewing-angle": "viewing-angle", "range-light": "range-mismatch", "ebu-1": "box-contrast",
}  # fmt: skip


def _step(kind: str, given: dict[str, object], random: Random) -> dict[str, object]:
    given = {name: value for name, value in given.items() if random.random() < 0.8}
    step: dict[str, object] = {"show": {kind: given}, "read": random.choice(READS)}
    if given and random.random() < 0.3:
        name = random.choice(list(given))
        value = given.pop(name)
        step["each"] = {name: random.choice([[value], [value, value], [value] * 4])}
        if " " in str(value) and random.random() < 0.6:
            step["each"] = {name: {"from": value, "to": value, "step": value}}
        step["label"] = f"{{{name}}} of {kind}"
    optional = {
        "role": random.choice([*FINDS, "dark", "black"]),
        "settle": "2 s",
        "hold": "1 s",
        "warm_up": "1 min",
        "importance": random.choice(["first", "usual", "last"]),
    }
    step |= {name: value for name, value in optional.items() if random.random() < 0.3}
    if step["read"] is None:
        del step["read"]
    elif random.random() < 0.3:
        step["read"] = {str(step["read"]): "box 2"}
    elif random.random() < 0.1:
        step["read"] = {"choice": ["sharp", "soft"]}
    return step


def _small_sequence(random: Random) -> Pairs:
    kinds = _kinds()
    first = random.choice(list(kinds))
    signal = kinds[first][0]
    some = [first, *(k for k in random.sample(list(kinds), 2) if kinds[k][0] == signal)]
    head: dict[str, object] = {"title": "Lobby wall", "signal": signal}
    if random.random() < 0.3:
        head["signal"] = {
            "transfer": "bt1886",
            "primaries": "p3-d65",
            "bits": 10,
            "range": "full",
            "white": "120 cd/m2",
            "black": "0.05 cd/m2",
        }
    optional = {
        "cautions": ["bright", "static"],
        "finds": [random.choice(list(FINDS.values()))],
        "settle": "3 s",
        "hold": "1 s",
        "warm_up": "2 min",
    }
    head |= {name: value for name, value in optional.items() if random.random() < 0.25}
    steps = [_step(kind, kinds[kind][1], random) for kind in some]
    if "finds" in head and random.random() < 0.8:
        role, find = random.choice(list(FINDS.items()))
        head["finds"] = [find]
        steps[0] |= {"role": role, "read": random.choice(["colour", "luminance", "count"])}
    head["steps"] = steps
    tree = tree_of(head)
    assert isinstance(tree, Pairs)
    return tree


def sequence(random: Random, folder: Path, _: Path) -> Trial:
    """A sequence: checked, played on a simulated display and reported, or exported."""
    path = folder / "lobby.yaml"
    if random.random() < 0.3:
        text = random.choice(_shipped())
        text = mutations.spoilt_text(text, random, random.choice([1, 1, 2, 4]))
        data = mutations.as_bytes(text)
        if random.random() < 0.1:
            data = mutations.spoilt_bytes(data, random)
        path.write_bytes(data)
        # whole sequences take their time to be played: they are looked at
        return Trial((("check", str(path), "--size", random.choice(["640x360", "128x96"])),))
    tree = mutations.spoilt_tree(_small_sequence(random), random, random.choice([1, 1, 2, 3]))
    write(path, tree, random)
    return Trial(_of_a_sequence(str(path), folder, random), ("a.visit",))


def _of_a_sequence(path: str, folder: Path, random: Random) -> tuple[Call, ...]:
    chance = random.random()
    if chance < 0.55:
        size = random.choice(["3840x2160", "640x360", "640x360", "64x64", "333x777@59.94"])
        more = random.choice([(), (), (), ("--json",), ("--signal", "pq10")])
        return (("check", path, "--size", size, *more),)
    if chance < 0.85:
        visit = str(folder / "a.visit")
        play = ("play", path, "--visit", visit, *PLAY)
        if chance < 0.8:
            return (play,)
        return play, ("report", visit, "--to", str(folder / "report"))
    size = random.choice(["64x64", "320x180", "128x96@24"])
    kind = random.choice(["png", "png", "tiff", "exr", "dpx", "hevc", "hevc-film"])
    hold = ("--hold", "0.2 s") if kind.startswith("hevc") else ()
    more = random.choice([(), (), ("--metadata", "file")])
    export = ("export", path, "--to", str(folder / "out"), "--size", size, "--as", kind)
    return ((*export, *hold, *more),)


# ---- descriptions


DISPLAY_NAMES = ("lobby-wall", "ticket-desk")


@cache
def _displays() -> list[object]:
    from ruamel.yaml import YAML

    from player.simulated.files import shipped_displays

    plain = YAML(typ="safe", pure=True)
    return [plain.load(path.read_text("utf-8")) for path in shipped_displays().values()]


def display(random: Random, folder: Path, _: Path) -> Trial:
    """The description of a simulated display: played on, or shown a whole demo."""
    path = folder / "wall.yaml"
    tree = tree_of(random.choice(_displays()))
    write(path, mutations.spoilt_tree(tree, random, random.choice([1, 1, 2, 4])), random)
    (folder / "s.yaml").write_text(QUICK.format(signal=random.choice(["sdr8", "pq10", "hlg10"])))
    play = ("play", str(folder / "s.yaml"), *visit_of(folder), *PLAY, "--display", str(path))
    return Trial((play,), ("a.visit",))


def demo(random: Random, folder: Path, _: Path) -> Trial:
    """The description of a simulated display, shown a whole demo."""
    path = folder / "wall.yaml"
    tree = tree_of(random.choice(_displays()))
    path.write_text(mutations.as_yaml(mutations.spoilt_tree(tree, random)), errors="replace")
    call = ("demo", "--to", str(folder / "demo"), "--display", str(path))
    return Trial((call,), ("demo",))


LINE_METER = {
    "name": "spot meter",
    "role": "spot meter",
    "tcp": {"host": "127.0.0.1", "port": 9},
    "line_end": "CR LF",
    "begin": ["REMOTE", "UNITS CD"],
    "measure": "MEASURE",
    "end": "LOCAL",
    "timeout": 0.1,
    "answer": r"Y=(?P<Y>\S+) x=(?P<x>\S+) y=(?P<y>\S+)",
    "scale": 3.4,
    "other_answers": [{"match": "^BUSY", "means": "busy", "say": "It is still warming up."}],
    "specification": {
        "luminance_relative_uncertainty": 0.04,
        "luminance_floor": 0.002,
        "luminance_resolution": 0.0001,
        "chromaticity_uncertainty": 0.006,
    },
}
PATTERNS = [
    r"(?P<Y>(\S+)+)$", r"(a+)+$", r"(?P<Y>.*)*x", r"(?P<Y>(.*,)*)!", r"(?P<Y>\d+)(?P=Y)",
    r"(?P<Y>[", r"(?P<Y>a{1,99999}){99999}", r"(?P<Y>x*)*", r"(?P<luminance>)", r"(?P<Y>-?\S+)",
    r"(?P<X>\S+) (?P<Y>\S+) (?P<Z>\S+)", r"(?i)(?P<Y>\S+)", r"(?P<Y>(?P<Y>1))", "(" * 300,
    "(" * 300 + ")" * 300, r"(?<=(?P<Y>\d+))", r"(?P<Y>\S+)?",
    r"^(?P<Y>(?:(?:\d+,?)+\s?)+)#", r"(?P<Y>(x|xx|xxx)+)y",
]  # fmt: skip
ANSWERS = [
    "Y=100.5 x=0.3127 y=0.3290", "Y=100,5 x=0,3 y=0,3", "BUSY", "Y=1e308 x=0.3 y=0.3", "Y=nan",
    "Y=-5 x=0.3 y=0.3", "Y=0 x=0 y=0", "Y=1e-320 x=0.3 y=0.3", "x" * 36 + "z",
    "a" * 40 + "!", "Y=" + "9" * 400, "1" * 60, ",".join("1" * 30), "Y=\x1b[31m x=\x07 y=\x00",
]  # fmt: skip


def line_meter(random: Random, folder: Path, _: Path) -> Trial:
    """The description of a meter that talks in lines, and what it answers over a socket."""
    given = json.loads(json.dumps(LINE_METER))
    if random.random() < 0.25:
        given["answer"] = random.choice(PATTERNS)
    if random.random() < 0.2:
        given["other_answers"][0]["match"] = random.choice(PATTERNS)
    path = folder / "meter.yaml"
    answer = random.choice([ANSWERS[0]] * len(ANSWERS) + ANSWERS)
    if random.random() < 0.5:
        answer = mutations.spoilt_text(answer, random)
    tree = mutations.spoilt_tree(tree_of(given), random, random.choice([0, 1, 1, 2, 3]))
    write(path, tree, random)
    (folder / "answer").write_bytes(mutations.as_bytes(answer))
    (folder / "s.yaml").write_text(QUICK.format(signal="sdr8"))
    play = ("play", str(folder / "s.yaml"), *visit_of(folder), *PLAY, "--meter", f"line:{path}")
    play = (*play, "--meter-timeout", "0.1")
    more = random.choice([(), (), ("--repeat", "2"), ("--repeat", "2-4", "--steady", "1 %")])
    report = ("report", str(folder / "a.visit"), "--to", str(folder / "report"))
    calls = ((*play, *more),) if random.random() < 0.8 else ((*play, *more), report)
    return Trial(calls, ("a.visit",))


def instrument(random: Random, folder: Path, _: Path) -> Trial:
    """The description of an instrument whose readings are typed, or given by a program."""
    given = {name: LINE_METER[name] for name in ("name", "role", "specification")}
    path = folder / "spot.yaml"
    write(path, mutations.spoilt_tree(tree_of(given), random, random.choice([1, 1, 2, 4])), random)
    (folder / "s.yaml").write_text(QUICK.format(signal="sdr8"))
    play = ("play", str(folder / "s.yaml"), *visit_of(folder), "--instrument", str(path))
    if random.random() < 0.3:
        return Trial(((*play, "--meter", "command:true"),))
    return Trial((play, lambda: pasted(LOBBY, "98\n0\n20 0.3 0.3", folder, path)), ("a.visit",))


# ---- tables of presses and combs


def _presses(random: Random) -> list[list[str]]:
    rows = []
    for axis, number, size in (("columns", 38, 3840), ("rows", 20, 2160)):
        for way, passes in (("forward", 1), ("backward", 2)):
            for edge in range(1, number):
                place = edge * size / number + random.gauss(0, 8)
                rows.append([axis, str(passes), way, f"{place:.1f}"])
    return rows


def tables(random: Random, folder: Path, _: Path) -> Trial:
    """The tables of presses and of comb answers."""
    tallies = [["axis", "pass", "direction", "position_px"], *_presses(random)]
    combs = [["axis", "n", "spacing", "groups"], ["columns", "39", "3", "1"]]
    combs += [["rows", "20", "3", "none"], ["columns", "38", "4", "can't tell"]]
    for name, rows in (("tallies.csv", tallies), ("combs.csv", combs)):
        data = _spoilt_table(rows, random)
        (folder / name).write_bytes(data)
    size = random.choice([*["3840x2160"] * 6, "640x360", "16384x2160"])
    call = ("zones", "--tallies", str(folder / "tallies.csv"), "--size", size)
    more = random.choice([(), ("--json",)])
    return Trial(((*call, "--combs", str(folder / "combs.csv"), *more),))


def _spoilt_table(rows: list[list[str]], random: Random) -> bytes:
    for _ in range(random.choice([0, 0, 1, 1, 2])):
        row = random.choice(rows)
        way = random.randrange(6)
        if way <= 2 and row:
            k = random.randrange(len(row))
            change = random.choice([mutations.gentle, mutations.spoilt_scalar])
            spoilt = change(row[k], random)
            row[k] = spoilt.text if isinstance(spoilt, Raw) else str(spoilt)
        elif way == 3:
            rows[:] = rows[:1] + [
                list(each) for each in rows[1:] for _ in range(random.choice([0, 2, 30]))
            ]
        elif way == 4:
            random.shuffle(rows)
        elif row:
            row.insert(random.randint(0, len(row)), random.choice(mutations.TEXTS))
        rows = rows[:9000] or [[""]]
    between = random.choice([*[","] * 8, ";", "\t"])
    quoted = random.random() < 0.1
    text = "\n".join(between.join(json.dumps(c) if quoted else c for c in row) for row in rows)
    if random.random() < 0.1:
        text = mutations.spoilt_text(text, random, 2)
    data = mutations.as_bytes(text)
    return mutations.spoilt_bytes(data, random) if random.random() < 0.1 else data


# ---- exported sets


def exported(random: Random, folder: Path, originals: Path) -> Trial:
    """A set of files and its lists: verified, played beside, or exported into again."""
    name = random.choice(["lobby", "peak", "half"])
    target = folder / "set"
    shutil.copytree(originals / "sets" / name, target)
    for _ in range(random.choice([1, 1, 2])):
        _spoil_set(target, random)
    text = LOBBY if name == "lobby" else PQ
    source = folder / "s.yaml"
    source.write_text(text)
    chance = random.random()
    if chance < 0.4:
        more = random.choice([(), (), ("--json",)])
        return Trial((("export", "--verify", str(target), *more),), ("set",))
    if chance < 0.75:
        play = ("play", str(source), *visit_of(folder), "--output", "files", "--files", str(target))
        beside = folder / "b.visit"
        return Trial((play, lambda: shown_beside(text, target, beside)), ("set", "b.visit"))
    kind = "tiff" if name == "lobby" else "png"
    export = ("export", str(source), "--to", str(target), "--size", "64x64", "--as", kind)
    return Trial((export,), ("set",))


def _spoil_set(folder: Path, random: Random) -> None:
    files = sorted(path for path in folder.iterdir() if path.is_file())
    way = random.randrange(8)
    if way <= 2 and (folder / "manifest.csv").exists():
        _spoil_manifest(folder, random)
        return
    lists = [p for p in files if p.name in ("manifest.csv", "SHA256SUMS", ".litfield-export")]
    path = random.choice(lists if way <= 4 and lists else files or [folder / "none"])
    if not path.exists():
        return
    if way == 5:
        path.unlink()
    elif way == 6:
        path.rename(
            folder / f"{random.choice(['a b', 'é', 'x' * 200, '.part-0123456789ab'])}{path.suffix}"
        )
    elif path.name == ".litfield-export":
        _spoil_journal(path, random)
    else:
        path.write_bytes(mutations.spoilt_bytes(path.read_bytes(), random, random.choice([1, 3])))


def _spoil_manifest(folder: Path, random: Random) -> None:
    """A manifest that says something else, which its sums confirm all the same."""
    import csv
    import hashlib
    import io

    rows = list(csv.reader(io.StringIO((folder / "manifest.csv").read_text("utf-8", "replace"))))
    rows = rows or [[]]  # an empty file, by an earlier spoiling
    for _ in range(random.choice([1, 1, 3])):
        row = random.choice(rows)
        k = random.randrange(len(row)) if row else 0
        way = random.randrange(8)
        if row and row[k].startswith("{") and way <= 5:
            row[k] = _spoilt_json(row[k], random)
        elif row and way <= 4:
            spoilt = mutations.spoilt_scalar(row[k], random)
            row[k] = spoilt.text if isinstance(spoilt, Raw) else str(spoilt)
        elif row and way == 5:
            del row[k]
        elif way == 6:
            rows = rows[:1] * random.choice([0, 1, 2]) + rows[1:] * random.choice([0, 1, 2, 40])
        else:
            row.append("more")
        rows = rows or [[]]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    data = mutations.as_bytes(out.getvalue())
    if random.random() < 0.1:
        data = mutations.spoilt_bytes(data, random)
    (folder / "manifest.csv").write_bytes(data)
    sums = folder / "SHA256SUMS"
    if sums.exists():
        lines = sums.read_text("utf-8", "replace").splitlines()
        kept = [line for line in lines if not line.endswith("  manifest.csv")]
        kept.append(f"{hashlib.sha256(data).hexdigest()}  manifest.csv")
        sums.write_text("".join(f"{line}\n" for line in kept))


def _spoilt_json(text: str, random: Random) -> str:
    """Other JSON; of what is none any more, other text."""
    try:
        tree = tree_of(json.loads(text))
    except ValueError:
        return mutations.spoilt_text(text, random)
    return mutations.as_json(mutations.spoilt_tree(tree, random))


def _spoil_journal(path: Path, random: Random) -> None:
    lines = path.read_text("utf-8", "replace").splitlines()
    k = random.randrange(len(lines)) if lines else 0
    if lines:
        lines[k] = _spoilt_json(lines[k], random)
    data = mutations.as_bytes("\n".join(lines) + "\n")
    path.write_bytes(mutations.spoilt_bytes(data, random) if random.random() < 0.3 else data)


# ---- visits


def visit(random: Random, folder: Path, originals: Path) -> Trial:
    """A visit: written as a table, reported, corrected, played into."""
    names = ["contrast", "zones", "peak", "corrected", "early-contrast", "early-corrected"]
    path = folder / "a.visit"
    shutil.copyfile(originals / "visits" / f"{random.choice(names)}.visit", path)
    spoil_visit(path, random)
    chance = random.random()
    table = random.choice(["out.csv", "out.xlsx"])
    if chance < 0.25:
        call: tuple[str, ...] = ("report", str(path), "--to", str(folder / "report"))
    elif chance < 0.65:
        call = ("readings", str(path), "--to", str(folder / table))
    elif chance < 0.8:
        more = random.choice([("--look",), (), ("--anyway",), ("--json",)])
        call = ("correct", str(path), *more)
    else:
        source = folder / "s.yaml"
        source.write_text(random.choice([LOBBY, QUICK.format(signal="sdr8")]))
        again = random.choice([(), ("--condition", "dimming on")])
        call = ("play", str(source), "--visit", str(path), *PLAY, *again)
    return Trial((call,), ("report", table))  # what is whole in a damaged visit is written


# ---- what is pasted, and what a meter's program prints


PASTED = ["98,5", "51.2\t0,31\t0,33", "0.05", "16", "?", "a few words", "20 0.31 0.33", "12 ms"]
PRINTED = [
    "XYZ 95.0 100.0 108.9", "Yxy 100.0 0.3127 0.3290", "xyY 0.3127 0.3290 100.0", "Y 100.0",
    "X=95.0 Y=100.0 Z=108.9", '{"Y": 100.0, "x": 0.3127, "y": 0.3290}', "100.5", "100 0.31 0.32",
    '{"X": 95, "Y": 100, "Z": 108}', "Y: 0.0001 x: 0 y: 0", "0,0012; 0,3; 0,3",
]  # fmt: skip


def paste(random: Random, folder: Path, _: Path) -> Trial:
    """What is pasted or typed into the operator window."""
    lines = [random.choice(PASTED) for _ in range(random.choice([1, 2, 5, 9]))]
    for _ in range(random.choice([1, 1, 2])):
        k = random.randrange(len(lines))
        spoilt = mutations.spoilt_scalar(lines[k], random)
        lines[k] = spoilt.text if isinstance(spoilt, Raw) else str(spoilt)
    text = random.choice(["\n", "\n", "\r\n", "\t"]).join(lines)
    if random.random() < 0.4:
        text = mutations.spoilt_text(text, random, 2)
    if random.random() < 0.05:
        text *= random.choice([100, 3000])
    source = random.choice([LOBBY, PASTED_INTO])
    return Trial((lambda: pasted(source, text, folder),), ("a.visit",))


PASTED_INTO = """\
title: What is typed
signal: sdr8
steps:
  - {show: {field: {}}, read: luminance}
  - {show: {field: {level: 50 %}}, read: colour}
  - {show: {near-black: {}}, read: count}
  - {show: {flash: {}}, read: milliseconds}
  - {show: {ramp: {}}, read: {choice: [sharp, soft]}}
  - {show: {ladder: {}}, read: text}
  - {show: {moving-box: {along: row, place: 50 %}}, read: tally}
"""


def printed(random: Random, folder: Path, _: Path) -> Trial:
    """What a meter's program prints."""
    text = random.choice(PRINTED)
    if text.startswith("{") and random.random() < 0.7:
        tree = mutations.spoilt_tree(tree_of(json.loads(text)), random, random.choice([1, 2]))
        text = mutations.as_json(tree)
    else:
        spoilt = mutations.spoilt_scalar(text, random)
        text = spoilt.text if isinstance(spoilt, Raw) else str(spoilt)
    if random.random() < 0.2:
        text = mutations.spoilt_text(text, random, 2)
    if random.random() < 0.1:
        text = "\n".join([text] * random.choice([2, 50, 40_000]))
    data = mutations.as_bytes(text)
    if random.random() < 0.2:
        data = mutations.spoilt_bytes(data, random, 2)
    path = folder / "printed"
    path.write_bytes(data)
    (folder / "s.yaml").write_text(QUICK.format(signal="sdr8"))
    order = random.choice(["", "", "", "XYZ:", "Yxy:", "xyY:"])
    play = ("play", str(folder / "s.yaml"), *visit_of(folder), *PLAY)
    return Trial(((*play, "--meter", f"command:{order}cat {path}"),), ("a.visit",))


KINDS: dict[str, tuple[Maker, int]] = {
    "sequence": (sequence, 5000),
    "display": (display, 2490),
    "demo": (demo, 10),
    "line-meter": (line_meter, 1200),
    "instrument": (instrument, 1300),
    "tables": (tables, 2000),
    "exported": (exported, 2500),
    "visit": (visit, 2500),
    "paste": (paste, 2000),
    "printed": (printed, 1000),
}
"""Each kind of input, with how many of it the long campaign makes: 20,000 in all."""
