"""Ways to spoil an input: texts and bytes as they are, and trees of names, lists and values.

A tree is what YAML and JSON hold, with `Pairs` for mappings, so that a name may stand twice, and
`Raw` for a piece of text that is written as it is.
"""

from __future__ import annotations

import copy
import json
import re
from dataclasses import dataclass, field
from random import Random
from typing import Any


@dataclass
class Pairs:
    """A mapping whose names may come twice, and may be anything."""

    items: list[list[Any]] = field(default_factory=list)


@dataclass(frozen=True)
class Raw:
    """Text that goes into the file as it is."""

    text: str


NUMBERS = [
    "0", "-0", "1", "-1", "2", "3", "7", "255", "256", "1023", "1024", "5000", "5001", "65535",
    "65536", "2147483648", "9223372036854775808", "9" * 40, "9" * 400, "1e3", "1e308", "1e309",
    "-1e308", "1e-320", "1e-400", "0.0000000001", "0.1", "0,5", "1/3", "1/0", ".5", "5.", "99.99",
    "100.0001", "-5", "nan", "NaN", ".nan", "inf", ".inf", "-.inf", "Infinity", "0x1F", "1_000",
    "1e5", "00012", "1." + "0" * 60 + "1", "١٢", "½", "1e1000000000", "+3",
]  # fmt: skip
UNITS = [
    "%", "px", "cd/m2", "cd/m²", "code", "s", "ms", "min", "h", "Hz", "px/s", "px/frame",
    "s/screen", "nits", "", "%%", "μs", "kg",
]  # fmt: skip
TEXTS = [
    "", " ", "~", "null", "true", "no", "[]", "{}", "\x1b[31mred\x1b[0m", "\x07", "\x00", "\x7f",
    "\x85", "a\nb", "a\r\nb", "\t", "\u2028", "\u2029", "\u202egnp.exe", "\u2066a\u2069", "\u200f",
    "\ufeff", "\ufffe", "\ud800", "\udc80", "é", "e\u0301" * 30, "漢字", "שלום", "🖥️", "x" * 201,
    "x" * 5000, "=1+1", "@SUM(A1)", "<script>alert(1)</script>", "[bold]x[/bold]", "[/nothing]",
    "{level}", "{{", "}", "{0}", "%s", "%n", "$HOME", "../../etc/passwd", "/dev/zero", "con.txt",
    "a/b", "\\", "'", '"', "&a", "*a", "!!python/object:os.system", "# no", "---", "a: b", "- a",
    "?", "|", ">", "`", "window", "field", "pq10", "sdr8", "white", "all", "none", "NULL", "DROP",
]  # fmt: skip
RAWS = [
    "&a [1]", "*a", "&a {<<: *a}", "!!binary AAAA", "!!float nan", "!x y", "!!set {a}", "? a",
    "<<", ".nan", ".inf", "-.inf", "1e999", "0o17", "0x1F", "2001-01-01", "12:30:45", "~", "",
    "'", '"', "{", "[", "]", "}", ",", ":", "- ", '"\\ud800"', '"\\x00"', '"\\U0010FFFF"',
    '"\\U00110000"', "|", "@", "`", "%", "{a: 1, a: 2}", "[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]",
    "[" * 400 + "]" * 400, "{a: " * 200 + "1" + "}" * 200, "9" * 5000, "1" + "0" * 4400,
    "{? [a]: 1}", "{[a]: b}", "{1: 2}", "{.nan: 1}", "true", "off",
]  # fmt: skip
FRAGMENTS = [
    *RAWS, "\t", "\n", "\n\n", "  ", "---\n", "...\n", "%YAML 1.1\n---\n", "\0", "\x1b", "\ufeff",
    "\u2028", "\ud800", ": ", "- ", "# ", "{area}", ",", ";", '""', "-", "\r", "\x85",
]  # fmt: skip
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


def number_near(text: str, random: Random) -> str:
    """A number in place of another: just beside it, of another size or sign, or a nasty one."""
    if random.random() < 0.3:
        return random.choice(NUMBERS)
    old = float(text.replace(",", "."))
    new = random.choice(
        [old + 1, old - 1, -old, old * 2, old * 10, old * 1000, old * 1e6, old / 2, old / 10,
         old / 1e6, old + 0.001, old - 0.001, 0.0, random.randrange(300), 100 * random.random()]
    )  # fmt: skip
    return str(int(new)) if abs(new) < 1e15 and new == int(new) else repr(new)


def gentle(value: object, random: Random) -> object:
    """A value with another number in it, such as could have been meant; others as they are."""
    text = str(value)
    found = [] if isinstance(value, bool) else list(NUMBER.finditer(text))
    if not found:
        return value
    place = random.choice(found)
    old = float(place[0].replace(",", "."))
    whole = re.fullmatch(r"[+-]?\d+", place[0])
    ways = [old + 1, old - 1, old * 2, old // 2, random.randrange(40), 100.0 * random.random()]
    ways += [0.0, 1.0] if whole else [old * random.uniform(0.3, 3), old / 1000, random.random()]
    new = random.choice(ways)
    written = str(int(new)) if whole or new == int(new) else f"{new:.6g}"
    spoilt = text[: place.start()] + written + text[place.end() :]
    return spoilt if isinstance(value, str) else Raw(spoilt)


def spoilt_scalar(value: object, random: Random) -> object:
    """A value in place of a value: often of its own form, sometimes of any."""
    chance = random.random()
    if isinstance(value, bool) or value is None:
        return random.choice([True, False, None, *TEXTS, *map(Raw, RAWS)])
    if isinstance(value, int | float) and chance < 0.6:
        return Raw(number_near(str(value), random))
    if isinstance(value, str) and chance < 0.75 and (found := list(NUMBER.finditer(value))):
        place = random.choice(found)
        before, after = value[: place.start()], value[place.end() :]
        if random.random() < 0.1:
            return f"{before}{place[0]} {random.choice(UNITS)}"
        return before + number_near(place[0], random) + after
    if isinstance(value, str) and chance < 0.75:
        place = random.randint(0, len(value))
        return value[:place] + random.choice(TEXTS) + value[place:]
    raw = Raw(random.choice(NUMBERS if chance < 0.93 else RAWS))
    return random.choice(TEXTS) if chance < 0.85 else raw


def tree_of(plain: object) -> Any:
    """A tree from dictionaries, lists and values."""
    if isinstance(plain, dict):
        return Pairs([[name, tree_of(value)] for name, value in plain.items()])
    if isinstance(plain, list | tuple):
        return [tree_of(each) for each in plain]
    return plain


def places(tree: object) -> list[tuple[list[Any], int]]:
    """Every value of a tree, as the list and the index that it stands at."""
    found: list[tuple[list[Any], int]] = []
    waiting = [tree]
    while waiting:
        here = waiting.pop()
        slots = here.items if isinstance(here, Pairs) else [here] if isinstance(here, list) else []
        for slot in slots:
            if isinstance(here, Pairs):
                found.append((slot, 1))
                waiting.append(slot[1])
            else:
                found += [(here, index) for index in range(len(here))]
                waiting += here
    return found


def spoilt_tree(tree: Any, random: Random, times: int = 1) -> Any:
    """A tree with so many places spoilt: values, names, lists, or what holds them.

    Two trees in five have other numbers only, up to twice as many: they are mostly still taken.
    """
    tree = copy.deepcopy(tree)
    if random.random() < 0.4:
        scalars = [(at, n) for at, n in places(tree) if NUMBER.search(str(at[n]))]
        scalars = [(at, n) for at, n in scalars if not isinstance(at[n], Pairs | list)]
        for at, n in random.sample(scalars, min(len(scalars), random.randint(1, 2 * times + 1))):
            at[n] = gentle(at[n], random)
        return tree
    for _ in range(times):
        found = places(tree)
        if not found:
            return random.choice([Raw(each) for each in RAWS])
        scalars = [(at, n) for at, n in found if not isinstance(at[n], Pairs | list)]
        # numbers most of all: a file that is not even read as one shows little
        numbers = [(at, n) for at, n in scalars if NUMBER.search(str(at[n]))]
        if scalars and random.random() < 0.75:
            at, n = random.choice(numbers if numbers and random.random() < 0.7 else scalars)
            at[n] = spoilt_scalar(at[n], random)
        else:
            _spoil_structure(*random.choice(found), tree, random)
    return tree


def _spoil_structure(at: list[Any], n: int, tree: Any, random: Random) -> None:
    """Drop, double, rename, empty, multiply, nest, or put something of another form there."""
    value = at[n]
    holders = [each[0][each[1]] for each in places(tree)] + [tree]
    pairs = [each for each in holders if isinstance(each, Pairs) and each.items]
    chance = random.random()
    if chance < 0.45 and pairs:
        items = random.choice(pairs).items
        k = random.randrange(len(items))
        way = random.randrange(4)
        if way == 0:
            del items[k]
        elif way == 1:
            items[k][0] = spoilt_scalar(items[k][0], random)
        elif way == 2:
            items.insert(random.randint(0, len(items)), copy.deepcopy(items[k]))
        else:
            items.append([random.choice([*TEXTS, items[k][0]]), spoilt_scalar(None, random)])
        return
    if isinstance(value, list):
        times = random.choice([0, 0, 2, 3, 60, 600])
        at[n] = [copy.deepcopy(each) for _ in range(times) for each in value][:6000]
        return
    if chance < 0.7:
        at[n] = random.choice([[value], [value, value], Pairs([["a", value]]), [], Pairs()])
    elif chance < 0.85:
        for _ in range(random.choice([3, 13, 150])):
            value = [value]
        at[n] = value
    else:
        at[n] = copy.deepcopy(random.choice(holders))


_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 %./-]*[A-Za-z0-9%]|[A-Za-z0-9]")


def as_yaml(tree: object) -> str:
    """A tree in YAML's flow style, on one line; names of the outermost mapping on lines of its own.

    What is nested too deep for a program's own stack is written without recursion's help: the
    deepest tree here has a few hundred levels.
    """
    if isinstance(tree, Pairs) and tree.items:
        return "".join(f"{_scalar(name)}: {_flow(value)}\n" for name, value in tree.items)
    return _flow(tree) + "\n"


def _flow(tree: object) -> str:
    if isinstance(tree, Pairs):
        return (
            "{" + ", ".join(f"{_scalar(name)}: {_flow(value)}" for name, value in tree.items) + "}"
        )
    if isinstance(tree, list):
        return "[" + ", ".join(map(_flow, tree)) + "]"
    return _scalar(tree)


def _scalar(value: object) -> str:
    if isinstance(value, Raw):
        return value.text
    if isinstance(value, Pairs | list):
        return _flow(value)
    if isinstance(value, str) and _PLAIN.fullmatch(value) and not NUMBER.fullmatch(value):
        return (
            value if value.lower() not in ("null", "true", "false", "yes", "no") else f'"{value}"'
        )
    return json.dumps(value)


def as_json(tree: object) -> str:
    """A tree as JSON; what is raw goes in as it is."""
    if isinstance(tree, Pairs):
        inside = (f"{json.dumps(str(name))}: {as_json(value)}" for name, value in tree.items)
        return "{" + ", ".join(inside) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(map(as_json, tree)) + "]"
    return tree.text if isinstance(tree, Raw) else json.dumps(tree)


def spoilt_text(text: str, random: Random, times: int = 1) -> str:
    """A text with pieces cut, doubled, or replaced by what a grammar may stumble over."""
    for _ in range(times):
        start = random.randint(0, len(text))
        end = min(len(text), start + random.choice([0, 0, 1, 1, 3, 10, 40]))
        piece = random.choice([random.choice(FRAGMENTS), "", text[start:end] * 2,
                               random.choice(NUMBERS), chr(random.randrange(0x250))])  # fmt: skip
        text = text[:start] + piece + text[end:]
    return text


def as_bytes(text: str) -> bytes:
    """A text in UTF-8; half characters as they stand."""
    return text.encode("utf-8", "surrogatepass")


def spoilt_bytes(data: bytes, random: Random, times: int = 1) -> bytes:
    """Bytes with some flipped, cut, put in or moved; or in another coding altogether."""
    for _ in range(times):
        way = random.randrange(8)
        start = random.randint(0, max(len(data) - 1, 0))
        if way <= 2 and data:
            flipped = data[start] ^ (1 << random.randrange(8))
            data = data[:start] + bytes([flipped]) + data[start + 1 :]
        elif way == 3:
            data = data[:start]
        elif way == 4:
            data = data[:start] + random.randbytes(random.choice([1, 4, 64])) + data[start:]
        elif way == 5:
            data = data[:start] + data[start + random.choice([1, 7, 100]) :]
        elif way == 6:
            data = data + data[start:]
        else:
            data = _recoded(data, random)
    return data


def _recoded(data: bytes, random: Random) -> bytes:
    text = data.decode("utf-8", "replace")
    return random.choice(
        [
            b"\xef\xbb\xbf" + data,
            b"\xff\xfe" + text.encode("utf-16-le"),
            text.encode("utf-16"),
            text.encode("utf-32"),
            text.encode("latin-1", "replace"),
            text.replace("\n", "\r\n").encode(),
            text.replace("\n", "\r").encode(),
            b"\0" * 100 + data,
            b"",
            data * 40,
        ]
    )
