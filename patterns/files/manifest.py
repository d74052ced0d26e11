"""The lists that go with exported files: manifest.csv and SHA256SUMS."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from patterns.atomic import why
from patterns.errors import PatternError
from patterns.files.base import Coded, Item, Kind, Timed
from patterns.files.ordinary import open_ordinary, read_ordinary
from patterns.flashing import Flashing
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.light import UNIT
from patterns.signal.signal import Signal, signal_from_parts

MANIFEST, SUMS = "manifest.csv", "SHA256SUMS"

COLUMNS = (
    "file",
    "step",
    "steps",
    "label",
    "sequence",
    "start_s",
    "hold_s",
    "refresh_hz",
    "kind",
    "parameters",
    "signal",
    "width",
    "height",
    "inks_codes",
    "inks_luminance_cd_m2",
    "inks_xy",
    "conversion_error",
    "area_percent",
    "lit_area_percent",
    "mean_level_percent",
    "max_cll_cd_m2",
    "max_fall_cd_m2",
    "stated_max_cll_cd_m2",
    "stated_max_fall_cd_m2",
    "flashes_a_second",
    "flashing_area_percent",
    "flashing_confirmed",
    "container",
    "coding",
    "clipped",
    "codes_sha256",
    "file_sha256",
)
"""``step`` is the first of the ``steps`` that a picture is for, and ``sequence`` the set's title.

``inks`` are the levels of the pattern as mixed, with the light that they mean.

``start_s`` and ``hold_s`` are those in a clip; a clip of a whole sequence has a line for each step.
``refresh_hz`` is what patterns that move are drawn for.
``conversion_error`` is that of each ink by Y'CbCr, in clips. ``area_percent`` is the area of what
the pattern shows, where it has one. ``max_cll`` and ``max_fall`` are those of this picture,
``stated`` ones those that the file says in its HDR metadata. ``flashes_a_second`` is the most in
any second of the file, where it plays, and ``flashing_area_percent`` the share of the screen with
more than three; ``flashing_confirmed`` is ``true`` where the file, or the set's clips one after
another, are over the limit of flashing, and somebody took that upon them. ``codes_sha256`` is
:attr:`Frame.sha256`, of the codes at their own depth, as kept with readings; ``container`` says how
they stand in the file, and ``coding``, of a clip, its profile and level, and the largest error of a
decoded sample of Y', C'B and C'R."""


CODING, FILE_SHA256, CLL, FALL = "\0coding", "\0file_sha256", "\0max_cll", "\0max_fall"
"""Stand in a line for what is not known before the file is made; no label holds such a sign."""


@dataclass(frozen=True)
class Flashes:
    """How a file flashes, and whether it was written because that was confirmed."""

    flashing: Flashing
    confirmed: bool


@dataclass(frozen=True)
class Entry:
    """One whole file: its name, and its lines of the manifest."""

    name: str
    sha256: str
    rows: tuple[tuple[str, ...], ...]


def line(
    item: Item,
    kind: Kind,
    name: str,
    start: Fraction | None,
    conversion: str,
    title: str = "",
    flashes: Flashes | None = None,
) -> tuple[str, ...]:
    """What the manifest says of one picture; :func:`whole_line` adds what the file itself says.

    Args:
        item: the picture.
        kind: of file.
        name: of the file.
        start: seconds into a clip; None where the file does not play.
        conversion: errors by Y'CbCr, in words.
        title: of the set.
        flashes: how the file flashes; None where it does not play.
    """
    frame = item.frame
    clipped = frame.facts.get("clipped", ())
    area = frame.facts.get("area_percent")
    return (
        name,
        str(item.number),
        item.steps,
        item.label,
        title,
        "" if start is None else _number(start),
        "" if start is None else _number(item.pictures / item.refresh),
        _number(item.refresh),
        item.pattern.kind,
        json.dumps(item.pattern.parameters(), ensure_ascii=False),
        json.dumps(frame.signal.describe()),
        str(frame.width),
        str(frame.height),
        *_inks(frame),
        conversion,
        "" if area is None else _number(area),
        _number(frame.lit_area),
        _number(frame.mean_level),
        _number(frame.max_cll),
        _number(frame.max_fall),
        *_stated(item, kind),
        *_flashes(flashes),
        kind.rule(frame.signal),
        CODING,
        "; ".join(map(str, clipped)) if isinstance(clipped, (list, tuple)) else str(clipped),
        frame.sha256,
        FILE_SHA256,
    )


def whole_line(row: tuple[str, ...], sha256: str, coded: Coded) -> tuple[str, ...]:
    """A line with what is known once the file is made."""
    cll, fall = map(str, coded.stated or ("", ""))
    known = {CODING: coded.words, FILE_SHA256: sha256, CLL: cll, FALL: fall}
    return tuple(known.get(each, each) for each in row)


def _stated(item: Item, kind: Kind) -> tuple[str, str]:
    if isinstance(kind, Timed):
        return CLL, FALL  # of all frames, in whole cd/m2: the clip tells
    light = item.light if kind.states_light else None
    return ("", "") if light is None else (_units(light.max_cll), _units(light.max_fall))


def _flashes(found: Flashes | None) -> tuple[str, str, str]:
    if found is None:
        return "", "", ""
    flashing = found.flashing
    return str(flashing.most), _number(flashing.area), "true" if found.confirmed else ""


def _units(value: int) -> str:
    return _number(value / UNIT)


def _number(value: Any) -> str:
    return f"{float(value):.6g}"


def manifest_text(entries: Iterable[Entry]) -> str:
    """manifest.csv: comma-separated (RFC 4180 quoting), one line a file, a header first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(row for each in entries for row in each.rows)
    return out.getvalue()


def sums_text(sums: Mapping[str, str]) -> str:
    """SHA256SUMS as ``sha256sum -c`` reads it, from digests by file name."""
    return "".join(f"{digest}  {name}\n" for name, digest in sums.items())


def read_sums(path: Path) -> dict[str, str]:
    """Digests by file name from SHA256SUMS; empty where it is missing or not such a list."""
    try:
        lines = read_ordinary(path).decode().splitlines()
    except (FileNotFoundError, UnicodeDecodeError):
        return {}
    found = [re.fullmatch(r"([0-9a-f]{64})  ([^/\\]+)", line) for line in lines]
    return {each[2]: each[1] for each in found if each} if all(found) else {}


def file_sha256(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal digits."""
    with open_ordinary(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def title_in(path: Path) -> str:
    """The title of the set that a manifest lists; empty where it does not say."""
    try:
        with open_ordinary(path) as data, io.TextIOWrapper(data, "utf-8", newline="") as file:
            first = next(csv.DictReader(file), {})
    except (OSError, ValueError, csv.Error):
        return ""
    return first.get("sequence") or ""


@dataclass(frozen=True)
class Line:
    """What a manifest says of one picture, as far as it is needed to put it up."""

    file: str
    step: int
    label: str
    start: str
    """Seconds into the file, as written; empty where it does not play."""
    codes_sha256: str
    file_sha256: str
    signal: Signal
    canvas: Canvas
    flashes: Flashes | None = None
    """How its file flashes; None where it does not play."""


@dataclass(frozen=True)
class Listing:
    """The manifest of a set; ``sha256`` is that of manifest.csv."""

    folder: Path
    lines: tuple[Line, ...]
    sha256: str


def read_listing(folder: Path) -> Listing:
    """The manifest of a set of files, which its SHA256SUMS has to confirm.

    Raises:
        PatternError: there is none, or it is not as it was written.
    """
    path = folder / MANIFEST
    try:
        data = read_ordinary(path)
        sums = read_sums(folder / SUMS)
    except OSError as error:
        raise PatternError(f"{path} cannot be read: {why(error)}.") from error
    digest = hashlib.sha256(data).hexdigest()
    if sums.get(MANIFEST) != digest:
        raise PatternError(
            f"{MANIFEST} in {folder} is not what its {SUMS} says: litfield export --verify tells "
            "more."
        )
    try:
        found = csv.DictReader(io.StringIO(data.decode(), newline=""))
        return Listing(folder, tuple(map(_line, found)), digest)
    except (KeyError, TypeError, ValueError, ArithmeticError, RecursionError, csv.Error) as error:
        raise PatternError(f"{path} is not a manifest that this version reads.") from error


def _line(row: Mapping[str, str]) -> Line:
    parts = json.loads(row["signal"])
    if not isinstance(parts, dict):
        raise TypeError("A signal is told by its parts.")
    return Line(
        file=row["file"],
        step=int(row["step"]),
        label=row["label"],
        start=row["start_s"],
        codes_sha256=row["codes_sha256"],
        file_sha256=row["file_sha256"],
        signal=signal_from_parts(parts),
        canvas=Canvas(int(row["width"]), int(row["height"]), _refresh(row["refresh_hz"])),
        flashes=_flashes_in(row),
    )


def _flashes_in(row: Mapping[str, str]) -> Flashes | None:
    often, area = row["flashes_a_second"], row["flashing_area_percent"]
    if not often:
        return None
    flashing = Flashing(flashes=int(often), area=float(area))
    return Flashes(flashing, row["flashing_confirmed"] == "true")


def _refresh(text: str) -> Fraction:
    """Hz as written, with six digits; 59.94 and its kin are meant as whole thousands over 1001."""
    if not re.fullmatch(r"\d{1,6}(\.\d{1,6})?", text):  # 1e9999999 would be a long number
        raise ValueError("A rate is written as a plain number.")
    written = Fraction(text)
    drop = Fraction(1000 * round(written * 1001 / 1000), 1001)
    return drop if _number(drop) == text else written


def _inks(frame: Frame) -> tuple[str, str, str]:
    """Codes, luminance and chromaticity that the codes mean, ``name: ...; name: ...``."""
    names = list(frame.inks)
    if not names:
        return "", "", ""
    codes = np.array([frame.inks[name] for name in names])
    xyz = frame.signal.xyz(codes)
    return (
        _listed(names, (" ".join(map(str, each)) for each in codes.tolist())),
        _listed(names, (f"{y:.6g}" for y in xyz[:, 1].tolist())),
        _listed(names, map(_chromaticity, xyz)),
    )


def _chromaticity(xyz: NDArray[np.float64]) -> str:
    total = float(xyz.sum())
    # without light there is no colour, and a light below zero has none either
    if not total > 0:
        return "none"
    return f"{xyz[0] / total:.4f} {xyz[1] / total:.4f}"


def _listed(names: list[str], values: Iterable[str]) -> str:
    return "; ".join(f"{name}: {value}" for name, value in zip(names, values, strict=True))


LONGEST_SLUG = 60
"""Signs of a label in a name; with number and suffix far below the 255 that disks allow."""

SPOKEN = {"%": " percent ", "+": " plus ", "&": " and ", "×": "x", "°": " degrees "}

_SPELT = (
    "æ:ae œ:oe ø:o ł:l đ:d ð:d þ:th ı:i ħ:h ŋ:ng №:no ⁄:/ "
    "α:a β:b γ:g δ:d ε:e ζ:z η:i θ:th ι:i κ:k λ:l μ:m ν:n ξ:x ο:o π:p ρ:r σ:s τ:t υ:y φ:f "
    "χ:ch ψ:ps ω:o "
    "а:a б:b в:v г:g д:d е:e ж:zh з:z и:i й:j к:k л:l м:m н:n о:o п:p р:r с:s т:t у:u ф:f "
    "х:kh ц:ts ч:ch ш:sh щ:shch ъ: ы:y ь: э:e ю:yu я:ya є:ye і:i ї:yi ґ:g ђ:dj ј:j љ:lj "
    "њ:nj ћ:c џ:dz"
)
LETTERS = dict(pair.split(":") for pair in _SPELT.split())
"""Letters that do not come apart into an ASCII letter and a mark, as they are read at a glance."""


def file_name(number: int, label: str, suffix: str, digits: int = 3) -> str:
    """``001-10-percent-window.png``: ASCII, lower case, never a name that Windows keeps.

    Args:
        number: of the step, 0 or more.
        label: any text; what has no ASCII letters is dropped, and the number alone still makes
            a name.
        suffix: with its dot.
        digits: of the number, filled up with zeros; :func:`digits_for` has those of a whole set.
    """
    words = re.findall(r"\d+\.\d+|[a-z0-9]+", ascii_letters(_spoken(label)).casefold())
    slug = "-".join(words)
    if len(slug) > LONGEST_SLUG:
        # whole words, as long as the first one fits
        end = slug.rfind("-", 0, LONGEST_SLUG + 1) if "-" in slug[:LONGEST_SLUG] else LONGEST_SLUG
        slug = slug[:end]
    slug = slug.strip("-.")
    return "-".join(filter(None, [f"{number:0{digits}d}", slug])) + suffix


def digits_for(largest: int) -> int:
    """Digits with which the numbers up to ``largest`` sort as text: three at least."""
    return max(3, len(str(largest)))


def ascii_letters(text: str) -> str:
    """The text in ASCII: marks are taken off, letters of other alphabets spelt out or dropped."""
    out = []
    # composed first, since a short i of Cyrillic is a letter of its own and not an i with a mark
    for sign in unicodedata.normalize("NFC", text):
        low = sign.casefold()
        # some letters become several when they are folded: the sharp s of German
        spelt = "".join(LETTERS.get(each, each) for each in low)
        plain = "".join(LETTERS.get(each, each) for each in unicodedata.normalize("NFKD", spelt))
        plain = plain.encode("ascii", "ignore").decode()
        out.append(plain.capitalize() if sign.isupper() else plain)
    return "".join(out)


def _spoken(label: str) -> str:
    """The label with signs as words; a minus belongs to the number after it, a dash only joins."""
    text = re.sub(r"(?<![\w.])[-−](?=\d)", " minus ", label)
    for sign, spoken in SPOKEN.items():
        text = text.replace(sign, spoken)
    return text
