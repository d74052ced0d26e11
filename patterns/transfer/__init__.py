"""Transfers: how R'G'B' becomes light on the display. One file per standard."""

from __future__ import annotations

from patterns.transfer.base import Light, Transfer
from patterns.transfer.bt1886 import Bt1886
from patterns.transfer.hlg import Hlg
from patterns.transfer.pq import Pq

TRANSFERS: dict[str, type[Bt1886 | Pq | Hlg]] = {
    "bt1886": Bt1886,
    "pq": Pq,
    "hlg": Hlg,
}

__all__ = ["TRANSFERS", "Bt1886", "Hlg", "Light", "Pq", "Transfer"]
