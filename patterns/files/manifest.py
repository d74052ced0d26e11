"""The lists that go with exported files: manifest.csv and SHA256SUMS."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from patterns.files.base import Format, Item
from patterns.frame import Frame

MANIFEST, SUMS, OVERVIEW = "manifest.csv", "SHA256SUMS", "overview.png"

COLUMNS = (
    "file",
    "step",
    "label",
    "kind",
    "parameters",
    "signal",
    "width",
    "height",
    "inks_codes",
    "inks_luminance_cd_m2",
    "inks_xy",
    "area_percent",
    "lit_area_percent",
    "mean_level_percent",
    "max_cll_cd_m2",
    "max_fall_cd_m2",
    "container",
    "clipped",
    "codes_sha256",
    "file_sha256",
)
"""``inks`` are the levels of the pattern as mixed. ``area_percent`` is the area of what the
pattern shows, where it has one. ``codes_sha256`` is :attr:`Frame.sha256`, of the codes at their own
depth, as kept with readings; ``container`` says how they stand in the file."""


@dataclass(frozen=True)
class Entry:
    """One whole file: its name, and its line of the manifest."""

    name: str
    sha256: str
    row: tuple[str, ...]


def entry(item: Item, format_: Format, name: str, sha256: str) -> Entry:
    """What the manifest says of one file; ``sha256`` is that of the file."""
    frame = item.frame
    clipped = frame.facts.get("clipped", ())
    area = frame.facts.get("area_percent")
    row = (
        name,
        str(item.number),
        item.label,
        item.pattern.kind,
        json.dumps(item.pattern.parameters(), ensure_ascii=False),
        json.dumps(frame.signal.describe()),
        str(frame.width),
        str(frame.height),
        *_inks(frame),
        "" if area is None else f"{area:.6g}",
        f"{frame.lit_area:.6g}",
        f"{frame.mean_level:.6g}",
        f"{frame.max_cll:.6g}",
        f"{frame.max_fall:.6g}",
        format_.rule(frame.signal),
        "; ".join(map(str, clipped)) if isinstance(clipped, (list, tuple)) else str(clipped),
        frame.sha256,
        sha256,
    )
    return Entry(name, sha256, row)


def manifest_text(entries: Iterable[Entry]) -> str:
    """manifest.csv: comma-separated (RFC 4180 quoting), one line a file, a header first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(each.row for each in entries)
    return out.getvalue()


def sums_text(sums: Mapping[str, str]) -> str:
    """SHA256SUMS as ``sha256sum -c`` reads it, from digests by file name."""
    return "".join(f"{digest}  {name}\n" for name, digest in sums.items())


def read_sums(path: Path) -> dict[str, str]:
    """Digests by file name from SHA256SUMS; empty where it is missing or not such a list."""
    try:
        lines = path.read_text("utf-8").splitlines()
    except (FileNotFoundError, UnicodeDecodeError):
        return {}
    found = [re.fullmatch(r"([0-9a-f]{64})  ([^/\\]+)", line) for line in lines]
    return {each[2]: each[1] for each in found if each} if all(found) else {}


def file_sha256(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


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
