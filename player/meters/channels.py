"""Ways to a meter that talks in lines: a serial port, a socket."""

from __future__ import annotations

import contextlib
import socket
import sys
import time
from typing import Protocol

from patterns.errors import LitfieldError
from player.meters.line_file import LineDescription, SerialPort, TcpPort

BLOCK = 4096
"""Bytes taken at once, at most."""
LOOK = 0.02
"""Seconds that one look at a serial port takes where nothing has come."""
CONNECT = 5.0
"""Seconds for a socket to be taken up; a meter in the same room needs a few milliseconds."""


class ChannelError(LitfieldError):
    """The way to the meter is broken; the text goes on from "the meter at …"."""


class Channel(Protocol):
    """Bytes to and from a meter. Every method raises ChannelError once the meter is gone."""

    def send(self, content: bytes) -> None:
        """Send all of it."""
        ...

    def receive(self, seconds: float) -> bytes:
        """What has come, as soon as there is any; nothing where none came in so many seconds."""
        ...

    def close(self) -> None:
        """Let go of it; never fails."""
        ...


def place_of(described: LineDescription) -> str:
    """Where the meter is, for messages."""
    if described.tcp is not None:
        return f"{described.tcp.host}, port {described.tcp.port}"
    return described.serial.device if described.serial is not None else ""


def open_channel(described: LineDescription) -> Channel:
    """Open the way that a description gives. Raises ChannelError."""
    if described.tcp is not None:
        return TcpChannel(described.tcp, min(described.timeout, CONNECT))
    assert described.serial is not None  # noqa: S101 - the description has one of the two
    return SerialChannel(described.serial, described.timeout)


class TcpChannel:
    """A socket."""

    def __init__(self, port: TcpPort, timeout: float) -> None:
        try:
            self._socket = socket.create_connection((port.host, port.port), timeout)
        except (OSError, UnicodeError) as error:
            raise ChannelError(f"cannot be reached: {_reason(error)}") from error

    def send(self, content: bytes) -> None:
        try:
            self._socket.settimeout(CONNECT)
            self._socket.sendall(content)
        except OSError as error:
            raise ChannelError(f"has gone: {_reason(error)}") from error

    def receive(self, seconds: float) -> bytes:
        try:
            # 0 would mean "do not wait", with an error of its own
            self._socket.settimeout(max(seconds, 0.001))
            content = self._socket.recv(BLOCK)
        except TimeoutError:
            return b""
        except OSError as error:
            raise ChannelError(f"has gone: {_reason(error)}") from error
        if not content:
            raise ChannelError("has closed the connection")
        return content

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self._socket.close()


class SerialChannel:
    """A serial port, by pyserial."""

    def __init__(self, port: SerialPort, timeout: float) -> None:
        import serial

        parity = {
            "none": serial.PARITY_NONE,
            "even": serial.PARITY_EVEN,
            "odd": serial.PARITY_ODD,
            "mark": serial.PARITY_MARK,
            "space": serial.PARITY_SPACE,
        }
        # SerialException is an OSError
        self._failures: tuple[type[Exception], ...] = (OSError, ValueError, *_terminal_errors())
        try:
            self._port = serial.Serial(
                port.device,
                port.speed,
                bytesize=port.data_bits,
                parity=parity[port.parity],
                stopbits=port.stop_bits,
                rtscts=port.flow == "hardware",
                xonxoff=port.flow == "software",
                timeout=LOOK,
                write_timeout=min(timeout, CONNECT),
                # two programs at one meter would read each other's answers
                exclusive=None if sys.platform == "win32" else True,
            )
        except self._failures as error:
            raise ChannelError(f"cannot be opened: {_reason(error)}") from error

    def send(self, content: bytes) -> None:
        try:
            self._port.write(content)
        except self._failures as error:
            raise ChannelError(f"has gone: {_reason(error)}") from error

    def receive(self, seconds: float) -> bytes:
        # the port's own time stays as it is: to change it sets up some ports anew
        until = time.monotonic() + seconds
        try:
            while True:
                waiting = self._port.in_waiting
                content = bytes(self._port.read(min(max(waiting, 1), BLOCK)))
                if content or time.monotonic() >= until:
                    return content
        except self._failures as error:
            raise ChannelError(f"has gone: {_reason(error)}") from error

    def close(self) -> None:
        with contextlib.suppress(*self._failures):
            self._port.close()


def _terminal_errors() -> tuple[type[Exception], ...]:
    """What a POSIX terminal raises beside OSError."""
    if sys.platform == "win32":
        return ()
    import termios

    return (termios.error,)


def _reason(error: Exception) -> str:
    """In a few words, on one line."""
    message = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(message.split()).rstrip(".")
