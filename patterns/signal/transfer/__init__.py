"""Transfers: how R'G'B' becomes light on the display. One file per standard."""

from __future__ import annotations

from patterns.signal.transfer.base import Light, Transfer
from patterns.signal.transfer.bt1886 import Bt1886
from patterns.signal.transfer.hlg import Hlg
from patterns.signal.transfer.pq import Pq

TRANSFERS: dict[str, type[Bt1886 | Pq | Hlg]] = {
    "bt1886": Bt1886,
    "pq": Pq,
    "hlg": Hlg,
}

__all__ = ["TRANSFERS", "Bt1886", "Hlg", "Light", "Pq", "Transfer"]
