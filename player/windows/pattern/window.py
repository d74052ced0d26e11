"""The pattern window: full screen on the display under test, nothing on it but the frame."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from player.outputs.base import Guard
from player.windows.errors import WindowError
from player.windows.pattern.desktop import Desktop
from player.windows.pattern.framebuffer import Sizes, configuration, sizes_of
from player.windows.pattern.guards import (
    BACK_BUFFER,
    drawn_state,
    overall,
    refresh_guard,
    size_guard,
    timed_swaps,
)
from player.windows.pattern.on_x11 import release_pointer, require_depth, size_of
from player.windows.pattern.readback import Copy, compare
from player.windows.pattern.screens import cover_screen, place_of, refresh_of, require_whole
from player.windows.pattern.shader import FRAGMENT, FrameProgram

PATIENCE = 3.0
"""Seconds that a desktop has to bring the window to full screen."""
PUT_BACK_WITHIN = 1.0
"""Seconds that it has to put the window back; keys wait meanwhile."""

Overlay = Callable[[], int]
"""Draws over the frame, and gives the number of rows at the bottom that it covers."""


def nothing_over() -> int:
    """No overlay."""
    return 0


class PatternWindow:
    """One full-screen window; make it before any other (the order matters to X11).

    Args:
        screen: the pyglet screen to cover.
        bits: depth of the signal; 10 or more asks for a framebuffer of 10 bits.
        fragment: another fragment shader, for tests of the guard.

    Raises:
        WindowError: no OpenGL, no usable framebuffer, or a window that is not the whole screen.
    """

    def __init__(self, screen: Any, bits: int, fragment: str = FRAGMENT) -> None:
        import pyglet

        self.window = _full_screen(screen, bits)
        self._overlay: Overlay = nothing_over
        self.frame: Frame | None = None
        try:
            self.window.set_mouse_visible(False)
            self.window.push_handlers(on_activate=lambda: release_pointer(self.window))
            self._settle(screen)
            self.bits = _depth(sizes_of(self.window))
            width, height = size_of(self.window)
            refresh, self.refresh_known = refresh_of(screen)
            self.canvas = Canvas(width, height, refresh)
            self.driver = str(self.window.context.get_info().get_renderer())
            self._program = FrameProgram(fragment)
            self._copy = Copy(width, height, self.bits)
            self._desktop = Desktop(self.window, (width, height))
            self._kept: dict[str, Guard] = {}
        except (PatternError, pyglet.gl.lib.GLException) as error:
            self.window.close()
            raise WindowError(str(error)) from error
        except BaseException:
            self.window.close()
            raise

    def _settle(self, screen: Any) -> None:
        """Wait until the window covers its screen, or refuse."""
        if sys.platform == "darwin":
            cover_screen(self.window)  # pyglet takes one system of coordinates for another
        until = time.monotonic() + PATIENCE
        while True:
            self.window.dispatch_events()
            release_pointer(self.window)
            try:
                require_whole(screen, size_of(self.window), place_of(self.window))
            except WindowError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.02)
            else:
                return

    @property
    def whole(self) -> bool:
        """Whether the window still has the size and place that it began with."""
        return self._size().state == "verified"

    def _size(self) -> Guard:
        place = (self.window.screen.x, self.window.screen.y)
        placed = place_of(self.window) == place
        return size_guard((self.canvas.width, self.canvas.height), size_of(self.window), placed)

    def put_back(self) -> bool:
        """Bring a window that was moved or resized back over its screen; whether it is there.

        What was on it is to be shown again. On Windows nobody is asked, and it stays as it is.
        """
        until = time.monotonic() + PUT_BACK_WITHIN
        asked = not self.whole and cover_screen(self.window)
        while asked and not self.whole and time.monotonic() < until:
            time.sleep(0.02)
        return self.whole

    def lay_over(self, overlay: Overlay) -> None:
        """Draw this over each frame from now on."""
        self._overlay = overlay

    def prepare(self, frame: Frame) -> None:
        """Take a frame to the graphics card ahead: put up next, it has only to be drawn."""
        if not self._program.holds_ahead(frame, self.bits):
            self.window.switch_to()
            self._program.prepare(frame, self.bits)

    def put(self, frame: Frame, *, verify: bool) -> Guard | None:
        """Show a frame, and where asked compare every pixel that was shown with it."""
        self.window.switch_to()
        self._program.upload(frame, self.bits)
        self.frame = frame
        return self._draw(verify=verify)

    def redraw(self, *, verify: bool = False) -> Guard | None:
        """Draw the frame that was put up last once more, with what lies over it now."""
        if self.frame is None:
            return None
        self.window.switch_to()
        return self._draw(verify=verify)

    def _draw(self, *, verify: bool) -> Guard | None:
        self._program.draw(self.canvas.width)
        if verify:
            self._kept |= drawn_state(self.bits)
        covered = self._overlay()
        if not verify:
            self.window.flip()
            return None
        refused = self._ask()
        self.window.flip()
        # waiting for the copy and comparing it takes longer than drawing: the picture is up first
        self._kept[BACK_BUFFER] = refused or self._verify(covered)
        if "refresh" not in self._kept:
            self._kept["refresh"] = self._refresh()
        return self.look()

    def _refresh(self) -> Guard:
        """Time swaps of the picture that is up, once: the first one has not to wait for it."""

        def draw() -> None:
            self._program.draw(self.canvas.width)
            self._overlay()

        rate = float(self.canvas.refresh)
        return refresh_guard(rate, self.refresh_known, timed_swaps(self.window, draw))

    def _ask(self) -> Guard | None:
        """Ask for a copy of what is swapped next; why there is none, where there is none."""
        from pyglet import gl

        try:
            self._copy.ask(gl.GL_BACK)
        except gl.lib.GLException as error:
            return _not_read(error)
        return None

    def look(self) -> Guard:
        """The guard of what is on screen: its drawing as last checked, the desktop as it is now."""
        own = self._size()
        desktop = self._desktop.look()
        if own.state == "altered" or "size" not in desktop:
            desktop["size"] = own
        return overall(self._kept | desktop)

    def _verify(self, covered: int) -> Guard:
        from pyglet import gl

        assert self.frame is not None  # noqa: S101 - only called after a frame was put up
        if not self.whole:
            return Guard("unknown", "the back buffer is not compared: it is not the screen's")
        try:
            with self._copy.pixels() as got:
                guard = compare(got, self.frame, self.bits, covered)
        except (gl.lib.GLException, WindowError) as error:
            return _not_read(error)
        return guard

    def describe(self) -> str:
        """What the framebuffer is, in one sentence."""
        told = "" if self.refresh_known else " (assumed: the screen does not tell)"
        return (
            f"The framebuffer is {self.canvas} pixels of {self.bits} bits a channel at "
            f"{float(self.canvas.refresh):.6g} Hz{told}, drawn by {self.driver}."
        )

    def close(self) -> None:
        """Close the window; a second call does nothing."""
        self.window.close()


def _not_read(error: Exception) -> Guard:
    return Guard("unknown", f"the back buffer could not be read back: {error}")


def _depth(sizes: Sizes | None) -> int:
    """Bits a channel that the framebuffer really has."""
    if sizes is None:
        raise WindowError(
            "This graphics driver does not tell how many bits the framebuffer has, and a ramp "
            "that is drawn into it does not come back; the player needs 8 or 10 bits a channel."
        )
    if sizes in ((8, 8, 8), (10, 10, 10)):
        return sizes[0]
    raise WindowError(
        f"The framebuffer has {' / '.join(map(str, sizes))} bits for red, green and blue; the "
        "player needs 8 or 10 each."
    )


def _full_screen(screen: Any, bits: int) -> Any:
    import pyglet
    from pyglet import gl

    require_depth(screen)
    asked = (10, 8) if bits >= 10 else (8,)
    for size in asked:
        try:
            return pyglet.window.Window(
                fullscreen=True,
                screen=screen,
                config=configuration(size),
                vsync=True,
                caption="Litfield pattern",
            )
        except pyglet.window.NoSuchConfigException:
            continue
        except gl.ContextException as error:
            raise WindowError(
                f"This graphics driver gives no OpenGL 3.3, which the player needs ({error})."
            ) from error
    raise WindowError("This graphics driver gives no framebuffer of 8 bits a channel.")
