"""The event loop: keys to the controls, the run to the windows, until the operator leaves."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

from player.keys import Action
from player.outputs.files import FilesOutput
from player.run.unattended import TRIES, by_meter, gave_nothing, needs_an_eye, needs_hands
from player.windows.appearance import Appearance, asked
from player.windows.awake import Awake
from player.windows.controls.controls import Controls
from player.windows.errors import WindowError
from player.windows.focus import Focus
from player.windows.interruptions import Interruptions
from player.windows.operator import OperatorWindow
from player.windows.pattern.guard_watch import GuardWatch
from player.windows.pattern.on_x11 import let_go
from player.windows.pattern.output import WindowOutput
from player.windows.sounds import Listening, Sounds
from player.windows.strip import Strip, page_of
from player.windows.view import View, view_of

STAYS, STAYS_LONGER, STAYS_FIRST = 1.5, 4.0, 5.0
"""Seconds that the strip stays for a few words, at most for more, and for the keys at the start."""
AT_SIGHT = 20
"""Characters that are read in a second."""
THEN = "Enter reads it, the right arrow passes it over."
"""What somebody does who was asked to point the meter."""
FIRST = "Typing brings this strip up, F3 holds it, F1 lists the keys."
BEAT = 0.1
"""Seconds between two looks at the clock: the countdown, the meter, the windows' places."""


class Player:
    """Plays a run in a pattern window, with an operator window or a strip.

    Args:
        controls: the run and what the operator does to it.
        output: the pattern window, or the files that a media player shows.
        operator: the operator window; None where the strip takes its place, over a pattern.
        strip: that strip; None beside an operator window.
        interruptions: looks after the screen and the pattern window.
        awake: keeps the screens awake while the operator plays.
        appearance: how the operator window or the strip looks.
        sounds: what is heard; None for silence.
        unattended: read every step through the meter, and leave at the end.
    """

    def __init__(  # noqa: PLR0913 - each part by its name
        self,
        controls: Controls,
        output: WindowOutput | FilesOutput,
        operator: OperatorWindow | None,
        strip: Strip | None,
        interruptions: Interruptions,
        awake: Awake,
        appearance: Appearance | None = None,
        *,
        sounds: Sounds | None = None,
        unattended: bool = False,
    ) -> None:
        self._sounds = sounds
        self._listening_for = None if sounds is None else Listening(controls, sounds.play)
        self.controls = controls
        self.run = controls.run
        self.output = output
        self.operator = operator
        self._awake = awake
        self._appearance = appearance or Appearance()
        self.unattended = unattended
        self.window = output if isinstance(output, WindowOutput) else None
        """The pattern window; None where a media player shows the patterns."""
        self.strip = strip
        if strip is not None and self.window is not None:
            self.window.pattern.lay_over(strip.draw)
        self._interruptions = interruptions
        self._guards: GuardWatch | None = None
        if self.window is not None:
            self._guards = GuardWatch(self.run, self.window, controls.notices.attempt)
        self._focus = Focus(time.monotonic)
        self._noted: set[int] = set()
        self._held = False
        self._message_shown = self.run.message
        """What the strip stayed for last."""
        self._stays_until = 0.0
        self._tries = 0
        self._listening: list[Any] = []
        """Windows whose events come here, once for each time that they were asked to."""
        for window in self._windows():
            self._listen(
                window,
                on_key_press=self._key,
                on_key_release=partial(let_go, window),
                on_text=self._text,
                on_text_motion=self._motion,
                on_close=self._close,
                on_activate=partial(self._focus.came, window),
                on_deactivate=partial(self._focus.went, window),
            )
        if self.window is not None:
            self._listen(self.window.pattern.window, on_mouse_press=self._clicked_on_pattern)
        if operator is not None:
            self._listen(operator.window, on_mouse_press=self._click, on_mouse_scroll=self._wheel)
        if self.window is not None:
            self._listen(self.window.pattern.window, on_expose=self._exposed)

    def _listen(self, window: Any, **handlers: Callable[..., object]) -> None:
        window.push_handlers(**handlers)
        self._listening.append(window)

    def _windows(self) -> list[Any]:
        own = [self.operator.window] if self.operator is not None else []
        return own if self.window is None else [self.window.pattern.window, *own]

    def play(self) -> None:
        """Run until the operator leaves. Raises WindowError where OpenGL fails on the way."""
        import pyglet

        refresh = float(self.output.canvas.refresh)
        try:
            # a visit that cannot be written at the first step is told in the window as later on
            self.controls.begin()
            with self._awake:  # only now: the first picture does not wait for the desktop
                self._introduce()
                if self._sounds is not None:
                    self._sounds.start()
                self._after()
                pyglet.clock.schedule_interval(self._beat, BEAT)
                pyglet.clock.schedule_interval(self._move, 1 / refresh)
                if not self.controls.left:
                    pyglet.app.run(interval=None)
        except pyglet.gl.lib.GLException as error:
            raise WindowError(
                f"The graphics driver failed ({error}); what was kept is kept, and the run can be "
                "resumed."
            ) from error
        finally:
            pyglet.clock.unschedule(self._show_what_waits)
            pyglet.clock.unschedule(self._beat)
            pyglet.clock.unschedule(self._move)
            self.controls.zones.close()
            for window in reversed(self._listening):
                window.pop_handlers()
            self._listening.clear()

    def _introduce(self) -> None:
        """With one screen, say at the beginning how the strip is called."""
        if self.strip is not None and not self.unattended:
            self.run.message = self._message_shown = f"{self.run.message} {FIRST}".strip()
            self._stays_until = time.monotonic() + STAYS_FIRST

    # ---- events

    def _key(self, symbol: int, modifiers: int) -> bool:
        from pyglet.window import key

        self._focus.key_came()
        look = asked(symbol, modifiers)
        if look is not None:
            # what is told or asked stays, and so does the strip
            why = self._appearance.change(look, self.operator)
            if why and not self.controls.notices.alert:
                self.controls.notices.warn(why)
            self._after()
        elif not modifiers & (key.MOD_CTRL | key.MOD_ALT | key.MOD_COMMAND):
            self._begin_anew()
            if self._guards is not None and symbol in (key.ENTER, key.NUM_ENTER):
                self._guards.look(now=True)  # what is read is kept with the guards of now
            self.controls.key(key.symbol_string(symbol))
            self._after()
        elif symbol == key.V and modifiers & (key.MOD_CTRL | key.MOD_COMMAND):
            self._begin_anew()
            self.controls.paste(self._windows()[-1].get_clipboard_text() or "")
            self._after()
        return True  # pyglet's own Escape would close the window

    def _click(self, x: int, y: int, *_: int) -> None:
        """A click in the list of steps goes there; any click brings the keyboard here."""
        if self._focus.lost and self.operator is not None:
            self.operator.window.activate()
            return
        height = self.operator.height_of(x, y) if self.operator is not None else None
        number = None if height is None else self.controls.steps.at(height)
        if number is not None:
            self.controls.click(number)
            self._after()

    def _clicked_on_pattern(self, *_: int) -> None:
        if self._focus.lost and self.window is not None:
            self.window.pattern.window.activate()

    def _wheel(self, _x: int, _y: int, _across: float, up: float) -> None:
        """The wheel scrolls the list of steps."""
        if self.controls.steps.open and up:
            self.controls.steps.scroll(-round(up) or (-1 if up > 0 else 1))
            self._after()

    def _text(self, text: str) -> None:
        if text.isprintable():  # Enter comes here too, after it has been taken as a key
            self._begin_anew()
        self._hide_before_showing()
        self.controls.type(text)
        self._after()

    def _motion(self, motion: int) -> None:
        from pyglet.window import key

        # Backspace comes here, since it repeats while it is held
        if motion == key.MOTION_BACKSPACE:
            self.controls.press(Action.ERASE)
            self._after()

    def _close(self) -> bool:
        self.controls.end()
        self._after()
        return True

    def _exposed(self, *_: object) -> None:
        if self.window is not None:
            self.window.pattern.redraw()

    # ---- time

    def _beat(self, _: float) -> None:
        self._hide_before_showing()
        self._interruptions.look_for_sleep()
        self._interruptions.look_for_screen()
        if self._guards is not None:
            self._guards.look()
        self.controls.beat()
        if self.unattended and not self.run.screen.halted:
            self._go_on_by_itself()
        self._interruptions.look_for_window()
        self._tell_of_sounds()
        self._after()
        self._prepare()

    def _tell_of_sounds(self) -> None:
        """Say once that nothing will be heard, and take nothing else away for it."""
        trouble = self._sounds.take_trouble() if self._sounds is not None else ""
        if trouble:
            self.run.message = f"{self.run.message} {trouble}".strip()

    def _show_what_waits(self, _: float) -> None:
        self._hide_before_showing()
        self.controls.show_what_waits()
        self._after()

    def _prepare(self) -> None:
        """Draw the next step ahead and take it to the graphics card: a key has only to show it."""
        self.run.prepare()
        ahead = self.run.screen.ahead
        if self.window is not None and ahead is not None and self.run.screen.moving is None:
            self.window.prepare(ahead)

    def _move(self, _: float) -> None:
        """Draw what moves as far as the refreshes that have passed."""
        window = self.window
        if (
            window is None
            or self.run.screen.moving is None
            or self.run.screen.blacked_out
            or self.run.screen.halted
        ):
            return
        steps = self._guards.due(time.perf_counter()) if self._guards is not None else 0
        frame = self.run.screen.tick(steps) if steps else None
        if frame is None or self._guards is None:
            return
        guard = window.move(frame)
        self._record_strip()
        if guard is not None:
            self._guards.moved(guard)

    def _go_on_by_itself(self) -> None:
        measuring = self.controls.measuring
        run, step = self.run, self.run.step
        if measuring is None or measuring.busy or self.controls.dark_asked:
            return
        if run.screen.blacked_out or self.controls.left or self.controls.notices.asking:
            return
        if step is None or self.controls.notices.refusal is not None or run.keeping.stuck:
            self.controls.end()
        elif (
            run.screen.due
            or max(run.screen.settle_left, run.agenda.warm_up_left, run.screen.change_left) > 0
        ):
            return
        elif not by_meter(step) or needs_hands(step):
            self._on_by_itself(needs_hands(step) or needs_an_eye(step))
        elif why := measuring.pointing.passed_over(step):
            self._on_by_itself(why)
        elif what := measuring.pointing.asked(step):
            if not self.controls.notices.alert:
                self.controls.notices.warn(f"{what} {THEN}")
        elif measuring.failed and self._tries >= TRIES:
            self._on_by_itself(gave_nothing(measuring.failed))
        else:
            self._tries = self._tries + 1 if measuring.failed else 1
            measuring.start()

    def _on_by_itself(self, why: str) -> None:
        self._tries = 0
        if self.controls.measuring is not None:
            self.controls.measuring.forget_failure()
        self.controls.notices.attempt(lambda: self.run.go_on(why))

    # ---- windows

    def _begin_anew(self) -> None:
        """At a key, the strip no longer stays for what was said before."""
        self._stays_until = 0.0
        self._hide_before_showing()

    def _hide_before_showing(self) -> None:
        """Take the strip away before a key shows the next step, unless it is held."""
        if self.strip is not None and not self.controls.strip_held:
            self.strip.hide()

    def _stays(self) -> bool:
        """Whether the strip stays a moment for what was said; never while light is followed."""
        run, now = self.run, time.monotonic()
        if run.message is not self._message_shown:
            self._message_shown = run.message
            long = min(max(STAYS, len(run.message) / AT_SIGHT), STAYS_LONGER)
            self._stays_until = now + long if run.message else 0.0
        followed = run.screen.moving is not None or run.counting.way is not None
        followed = followed or self.controls.following.reads
        return now < self._stays_until and not (
            followed or self.controls.meter.busy or self.unattended
        )

    def _after(self) -> None:
        """Bring the windows up to what is now true; end the loop once the operator has left."""
        import pyglet

        self.controls.keys_lost = self._focus.lost
        if self._listening_for is not None:
            self._listening_for.look()
        view = view_of(self.controls, self._awake.status)
        if self.operator is not None:
            self.operator.show(view, self.run.screen.frame)
        elif self.window is not None:
            self._show_strip(view, self.window)
        if self._guards is not None:
            self._guards.showing_changed()
        if self.run.screen.coming:
            # at the moment that the picture may change, and not at the next beat
            pyglet.clock.unschedule(self._show_what_waits)
            pyglet.clock.schedule_once(self._show_what_waits, self.run.screen.change_left)
        if self.controls.left:
            pyglet.app.exit()

    def _show_strip(self, view: View, window: WindowOutput) -> None:
        strip = self.strip
        assert strip is not None  # noqa: S101 - without an operator window there is a strip
        called = self._stays() or self.controls.wants_strip
        wanted = view if called and not self.controls.left else None
        # one that was held may stay a moment for what was said: it lies over the picture until then
        held = self.controls.strip_held or (self._held and wanted is not None)

        def draw() -> None:
            strip.call(wanted)
            # a meter reads the picture with the strip held over it, or again without
            guard = window.pattern.redraw(verify=held != self._held)
            self._held = held
            if guard is not None and self._guards is not None:
                self._guards.covered(guard)

        strip.stay()
        if page_of(wanted) != page_of(strip.drawn):
            # to cover a picture is to change it; a picture that waits goes first
            if not self.run.screen.coming:
                self.run.screen.gate.now(draw)
        elif wanted != strip.drawn or held != self._held or not strip.as_bright:
            draw()
        self._record_strip()

    def _record_strip(self) -> None:
        """Once for each showing, note that the strip lay over it."""
        strip, showing = self.strip, self.run.screen.showing
        if strip is None or strip.drawn is None or showing is None or self.run.screen.blacked_out:
            return
        if showing.id not in self._noted:
            how = "was held over" if self.controls.strip_held else "covered for a while"
            self._interruptions.note(
                f"The operator strip {how} the bottom {strip.rows} of "
                f"{self.output.canvas.height} rows."
            )
        self._noted.add(showing.id)
