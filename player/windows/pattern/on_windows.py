"""What Windows tells of the way to the screen. Not tried on Windows: written from its headers.

Structures and constants after wingdi.h and winuser.h of the Windows SDK, from memory. Every
function takes the libraries, so that a test can put others in their place.
"""

from __future__ import annotations

import ctypes
from typing import Any

from player.outputs.base import Guard

u32, u64 = ctypes.c_uint32, ctypes.c_uint64
SOURCE_NAME, ADVANCED_COLOUR = 1, 9
ONLY_ACTIVE = 2
ENABLED, WIDE_ENFORCED = 2, 4


class _MonitorInfo(ctypes.Structure):
    """MONITORINFOEXW."""

    _fields_ = (
        ("size", u32),
        ("monitor", ctypes.c_int32 * 4),
        ("work", ctypes.c_int32 * 4),
        ("flags", u32),
        ("device", ctypes.c_uint16 * 32),
    )


class Path(ctypes.Structure):
    """DISPLAYCONFIG_PATH_INFO: 72 bytes."""

    _fields_ = (
        ("source_adapter", u32 * 2),
        ("source", u32),
        ("source_mode", u32),
        ("source_flags", u32),
        ("target_adapter", u32 * 2),
        ("target", u32),
        ("rest", u32 * 9),
        ("flags", u32),
    )


class _Head(ctypes.Structure):
    """DISPLAYCONFIG_DEVICE_INFO_HEADER."""

    _fields_ = (("type", u32), ("size", u32), ("adapter", u32 * 2), ("id", u32))


class SourceName(ctypes.Structure):
    """DISPLAYCONFIG_SOURCE_DEVICE_NAME."""

    _fields_ = (("head", _Head), ("device", ctypes.c_uint16 * 32))


class AdvancedColour(ctypes.Structure):
    """DISPLAYCONFIG_GET_ADVANCED_COLOR_INFO."""

    _fields_ = (("head", _Head), ("value", u32), ("encoding", u32), ("bits", u32))


def _text(wide: Any) -> str:
    return bytes(wide).decode("utf-16-le").partition("\0")[0]


def device_of(user32: Any, monitor: int) -> str | None:
    """The device name of a monitor's handle."""
    info = _MonitorInfo(size=ctypes.sizeof(_MonitorInfo))
    if not user32.GetMonitorInfoW(ctypes.c_void_p(monitor), ctypes.byref(info)):
        return None
    return _text(info.device)


def ramps_of(gdi32: Any, device: str) -> list[list[int]] | None:
    """The gamma ramps of a device, 3 x 256 values of 16 bits; None where it does not tell."""
    context = gdi32.CreateDCW(device, None, None, None)
    if not context:
        return None
    try:
        kept = (ctypes.c_uint16 * 256 * 3)()
        if not gdi32.GetDeviceGammaRamp(ctypes.c_void_p(context), ctypes.byref(kept)):
            return None
        return [list(ramp) for ramp in kept]
    finally:
        gdi32.DeleteDC(ctypes.c_void_p(context))


def hdr_guard(user32: Any, device: str) -> Guard:
    """Whether the desktop of a device is HDR, or managed in a wide colour space."""
    unknown = Guard("unknown", "Windows does not tell whether the desktop is HDR or wide-colour")
    paths, modes = u32(), u32()
    if user32.GetDisplayConfigBufferSizes(ONLY_ACTIVE, ctypes.byref(paths), ctypes.byref(modes)):
        return unknown
    found = (Path * paths.value)()
    spare = (u64 * (8 * modes.value))()  # DISPLAYCONFIG_MODE_INFO: 64 bytes each, not looked at
    if user32.QueryDisplayConfig(
        ONLY_ACTIVE, ctypes.byref(paths), found, ctypes.byref(modes), spare, None
    ):
        return unknown
    for path in found[: paths.value]:
        name = SourceName(
            _Head(SOURCE_NAME, ctypes.sizeof(SourceName), path.source_adapter, path.source)
        )
        if user32.DisplayConfigGetDeviceInfo(ctypes.byref(name)) or _text(name.device) != device:
            continue
        colour = AdvancedColour(
            _Head(ADVANCED_COLOUR, ctypes.sizeof(AdvancedColour), path.target_adapter, path.target)
        )
        if user32.DisplayConfigGetDeviceInfo(ctypes.byref(colour)):
            return unknown
        if colour.value & (ENABLED | WIDE_ENFORCED):
            return Guard(
                "altered",
                "the desktop is HDR or wide-colour, which converts every code: turn it off",
            )
        return Guard("verified", "the desktop is neither HDR nor wide-colour")
    return unknown


def look(window: Any) -> tuple[list[list[int]] | None, Guard]:
    """Ramps and HDR of the screen of a pyglet window."""
    library: Any = getattr(ctypes, "windll")  # noqa: B009 - there is none elsewhere
    library.gdi32.CreateDCW.restype = ctypes.c_void_p
    monitor = window.screen._handle  # noqa: SLF001 - pyglet's own
    device = device_of(library.user32, monitor)
    if device is None:
        return None, Guard("unknown", "Windows does not name the screen")
    return ramps_of(library.gdi32, device), hdr_guard(library.user32, device)
