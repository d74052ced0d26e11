"""Adjusting the display in a run: what is advised now, and what was read and turned so far."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Literal

from patterns.control import ADJUSTING, Control
from patterns.kinds import Pattern
from player.run.asked_controls import HOW, AskedControls, supposed
from player.run.entry import EntryError, parse_without_groups
from player.run.keeping import Keeping
from player.run.screen import Screen
from readings.visit.records import KeptControl, KeptTurn, Reading, Showing, Specification, Value
from readings.visit.visit import Visit
from sequences.model import SETTLE, Read, Step

if TYPE_CHECKING:  # loaded with the first picture of a step that adjusts
    from numpy import float64
    from numpy.typing import NDArray

    from player.run.advised import Advised
    from player.run.lights import Lights
    from player.run.points import Points
    from readings.adjusting.advice import Advice, Move, Turn

    Floats = NDArray[float64]
State = Literal["", "controls", "look", "turn", "back", "hold", "stop", "end", "done"]
"""What is to be done now: nothing is adjusted here; say the controls; read; turn as advised; put
one back; watch; nothing more is advised; end it by hand, or not; it has ended."""
Order = tuple[datetime, int, int, int]
"""When something was kept: of what is as old, by its showing; a reading before a turn."""

CAUTION = "Turn only what the user's menu has: service menus are for qualified people."
NO_COLOUR = "Adjusting needs the colour too: Y x y, such as 100.2 0.3127 0.329."
LEFT_OUT = "left out by hand"
PUT_BACK = "put back"
NOTHING_TURNED = "Nothing has been turned that could be put back."
BY_HAND = "The adjustment was ended by hand."
NOT_TYPED = "Nothing is typed now; Tab writes a note."
WATCHING = "Nothing is kept while you watch: Space goes on."
ELSEWHERE = (
    "Adjusting puts up pictures of its own, and a media player shows these: the right arrow goes "
    "on."
)


class Adjustment:
    """What is needed to adjust the display on a run's screen.

    It shows nothing and keeps no reading: the run does. Every method that keeps something else
    returns after the visit's commit.

    Args:
        visit: keeps controls, turns, and how it ended.
        run: the run's id in the visit.
        screen: the run's picture.
        keeping: the run's readings.
        given: the controls of the display, where a file describes them.
    """

    def __init__(
        self,
        visit: Visit,
        run: int,
        screen: Screen,
        keeping: Keeping,
        given: Sequence[Control] = (),
    ) -> None:
        self._visit = visit
        self._run = run
        self._screen = screen
        self._keeping = keeping
        self._given = tuple(given)
        self.read_with: Specification | None = None
        """What is known of the meter; None where nothing is."""
        self._price: float | None = None
        self._forget()

    def _forget(self) -> None:
        """No step is adjusted."""
        self._step: Step | None = None
        self._points: Points | None = None
        self._lights: Lights | None = None
        self._kept: list[KeptControl] = []
        self._asked: AskedControls | None = None
        self._advised: Advised | None = None
        self._page: Turn | None = None
        """A page of which some, but not all, was turned."""
        self._done = 0
        """How many of its controls were."""
        self._again = False
        """Whether what is on screen is read because somebody wants it."""
        self._back = 0
        """How far back it is gone to put something back; 0 where nothing is."""
        self._holds = self._ends = self._ended = False
        self._doubted: tuple[object, ...] | None = None
        """What was asked about last: the same once more is kept."""
        self._noticed: set[tuple[int, str]] = set()
        """What is kept of what was found out about controls: of which, by its id, and what."""
        self.seen: Floats | None = None
        """XYZ as read on the way, cd/m2, not kept; None since the picture or a menu changed."""
        self.seen_of = ""
        """What that is: `mean of 4 readings, 6 s`."""
        self.after_turn = False
        """Whether the display was turned since the last reading, and its menu may lag."""

    # ---- where it stands

    @property
    def here(self) -> bool:
        """Whether the step on screen adjusts the display."""
        return self._step is not None and self._screen.step is self._step

    @property
    def state(self) -> State:
        """What is to be done now."""
        first: tuple[tuple[bool, State], ...] = (
            (not self.here, ""),
            (self._ends, "end"),
            (self._asked is not None, "controls"),
            (self._ended, "done"),
            (self._holds, "hold"),
            (self._again, "look"),
            (self._back > 0, "back"),
            (self._page is not None, "turn"),
        )
        for applies, state in first:
            if applies:
                return state
        return self._kind

    @property
    def reads(self) -> bool:
        """Whether what is typed or measured now is kept as a reading."""
        return self.state == "look"

    @property
    def typed(self) -> bool:
        """Whether anything is typed now: a reading, what a menu reads, or what it has."""
        return self.state in ("controls", "look", "turn", "back")

    @property
    def settles(self) -> bool:
        """Whether what is read may still settle, so that two readings have to agree."""
        step = self._step
        return self.after_turn or (step is not None and step.settle < SETTLE)

    @property
    def asked(self) -> AskedControls | None:
        """The controls that are asked for; None where they are known."""
        return self._asked if self.here else None

    @property
    def advised(self) -> Advised | None:
        """The adviser of the step on screen, with what it was told; None before it has controls."""
        return self._advised if self.here else None

    @property
    def advice(self) -> Advice | None:
        """What is advised, a page that is half done among it; None before there are controls."""
        return self._page or (None if self._advised is None else self._advised.advice)

    @property
    def point(self) -> int | None:
        """The point on screen, its place in the adviser's `points`."""
        if not self.here or self._points is None:
            return None
        return self._points.of_picture(self._screen.pattern)

    @property
    def moves(self) -> tuple[Move, ...]:
        """What is to be turned now; of a page, what is left of it."""
        from readings.adjusting.advice import Move, Turn

        advised, advice, state = self._advised, self.advice, self.state
        if advised is not None and state == "back":
            turn = advised.turns[-self._back]
            return (Move(turn.control, advised.now[turn.control], turn.before),)
        if state != "turn" or not isinstance(advice, Turn):
            return ()
        return advice.moves[self._done :]

    @property
    def _kind(self) -> Literal["turn", "look", "stop"]:
        from readings.adjusting.words import kind

        assert self._advised is not None  # noqa: S101 - without controls they are asked for
        return kind(self._advised.advice)

    @property
    def picture(self) -> Pattern | None:
        """What is to be on screen; None where any of its pictures may be."""
        if self._points is None:
            return None
        point = self._points.of_picture(self._screen.pattern) if self.here else None
        if self._advised is None:
            return self._points.picture(0)  # black, while somebody looks up what the menus read
        stays = self._holds or self._again or self._back or self._page is not None
        if point is not None and stays:
            return None
        up = self._advised.up
        if up is None and point is None:
            up = self._advised.white
        return None if up is None else self._points.picture(up)

    @property
    def by_hand(self) -> bool:
        """Whether what is on screen is read because somebody wants it."""
        return self._again

    @property
    def told(self) -> int:
        """How often the adviser was told something; 0 before there is one."""
        return 0 if self._advised is None else self._advised.told

    @property
    def version(self) -> object:
        """Something that differs where anything that is told may have changed."""
        asked = None if self._asked is None else self._asked.left
        told = None if self._advised is None else (id(self._advised), self._advised.told)
        seen = None if self.seen is None else (*self.seen, self.seen_of)
        return self.state, asked, told, self.point, self._done, self._back, self._again, seen

    @property
    def asks(self) -> str:
        """What is asked of the picture on screen; empty where nothing is adjusted."""
        state = self.state
        left = "" if self._asked is None else self._asked.left
        return f"{state} {left}{self._done}" if state else ""

    @property
    def label(self) -> str:
        """What the point on screen is called: `70 %`."""
        point = self.point
        return "" if point is None or self._points is None else self._points.all[point].label

    @property
    def expected(self) -> str:
        """What to type where no reading is."""
        return {
            "controls": HOW,
            "turn": "what the menu reads now; Enter: as told",
            "back": "what the menu reads now; Enter: put back",
        }.get(self.state, "")

    # ---- a step comes up

    def pattern_of(self, step: Step) -> Pattern:
        """What an adjusting step shows first: what is to be read, or what is turned by."""
        if self._step is not step:
            self._open(step)
        if self.here and (shown := self._screen.pattern) is not None:
            return self.picture or shown
        return self.picture or step.pattern

    def _open(self, step: Step) -> None:
        """Take a step up with all that was kept of it."""
        from player.run.lights import Lights
        from player.run.points import Points

        read = step.read
        assert read is not None  # noqa: S101 - a step that adjusts reads
        self._forget()
        points, lights = Points(step), Lights(self._visit, self._run)
        kept = [each for each in self._visit.controls(self._run) if each.step == step.number]
        if not kept and (known := self._known(read)):
            kept = self._visit.keep_controls(self._run, step.number, known)
        self._step, self._points, self._lights, self._kept = step, points, lights, kept
        if kept:
            self._take_up()
        else:
            levels = [100 * point.signal[0] for point in points.all if point.grey]
            self._asked = AskedControls(supposed(read.adjusts, levels))

    def _known(self, read: Read) -> list[Control]:
        """The controls of a step's menus, as given or as the visit has them, where they stand."""
        stand: list[Control] = []
        for run in self._visit.runs():
            values = {
                each.control: each.value
                for each in self._visit.turns(run.id)
                if each.value is not None
            }
            kept = self._visit.controls(run.id)
            its = [each.control for each in kept]
            for each in kept:
                now = replace(each.control, found=values.get(each.id, each.control.found))
                before = _same(each.control, its, stand)
                stand = [now if other is before else other for other in stand]
                stand += [now] if before is None else []
        known, among = [], self._given or tuple(stand)
        for control in among:
            before = _same(control, among, stand)
            inside = before is not None and control.lowest <= before.found <= control.highest
            if control.menu in read.adjusts:
                found = before.found if before is not None and inside else control.found
                known.append(replace(control, found=found))
        return list({control.name: control for control in known}.values())

    def _take_up(self) -> None:
        """Tell a new adviser all that was kept of the step, in its order and at its times."""
        from player.run.advised import USUAL_PRICE, Advised
        from readings.evidence.repeatability import Repeatability

        step, points = self._step, self._points
        assert step is not None  # noqa: S101 - it was opened
        assert points is not None  # noqa: S101 - with its points
        self._advised = Advised(
            [each.control for each in self._kept],
            points.all,
            self._screen.signal,
            self._visit.aim(self._run),
            Repeatability.promised(self.read_with),
            USUAL_PRICE if self._price is None else self._price,
        )
        for _, tell in sorted(self._events(step), key=lambda each: each[0]):
            tell()
        self._ended = step.number in self._visit.adjusted(self._run)
        self._noticed = {(each.control, each.what) for each in self._visit.noticings(self._run)}
        self._keep_noticed()  # of what was read last before a kill

    def _events(self, step: Step) -> list[tuple[Order, Callable[[], object]]]:
        """What was kept of a step: when, and what tells it."""
        showings = {each.id: each for each in self._visit.showings(self._run)}
        places = {each.id: place for place, each in enumerate(self._kept)}
        found: list[tuple[Order, Callable[[], object]]] = []
        for reading in self._visit.readings(self._run):
            if reading.step == step.number:
                tell = partial(self._tell, reading, showings[reading.showing])
                found.append(((reading.taken_at, reading.showing, 0, reading.id), tell))
        for turn in self._visit.turns(self._run):
            if turn.control in places:
                order = (turn.at, turn.showing or 0, 1, turn.id)
                found.append((order, partial(self._tell_turn, turn, places[turn.control])))
        ends = self._visit.adjustments(self._run)
        gone_on = [each for each in ends if each.step == step.number and not each.ended]
        if self._advised is not None:
            found += [((each.at, 0, 2, each.id), self._advised.go_on) for each in gone_on]
        return found

    def _tell(self, reading: Reading, showing: Showing) -> str:
        """Tell the adviser of a reading; what stands against it, where it cannot be used."""
        points, advised = self._points, self._advised
        point = None if points is None else points.of_facts(showing.facts)
        if advised is None or point is None:
            return ""
        xyz = self._xyz(reading, reading.instrument, point)
        return "" if xyz is None else advised.read(point, xyz, reading.taken_at)

    def _tell_turn(self, turn: KeptTurn, control: int) -> None:
        if self._advised is None:
            return
        if turn.value is not None:
            self._advised.turned(control, turn.value, turn.at)
        else:
            self._advised.leave_out(control, turn.at, out=turn.event == "left out")

    # ---- readings

    def no_use(self, value: Value) -> str:
        """Why a reading says nothing to the adviser, in a sentence; empty where it does."""
        point = self.point
        useless = point is not None and self._xyz(value, None, point) is None
        return NO_COLOUR if useless else ""

    def read(self, reading: Reading, showing: Showing) -> str:
        """A reading was kept: what it showed, in sentences; empty where nothing is new."""
        self._again = self._holds = self.after_turn = False
        self._back, self.seen = 0, None
        said = self._tell(reading, showing)
        return " ".join(filter(None, (said, *self._keep_noticed(showing))))

    def expects(self, value: Value, instrument: int | None) -> bool:
        """Whether what was read after a turn is what the turn was expected to do: then nothing has
        to be read again to agree with it."""
        point, advised = self.point, self._advised
        if not self.after_turn or point is None or advised is None:
            return False
        xyz = self._xyz(value, instrument, point)
        return xyz is not None and advised.expects(point, xyz)

    def see(self, value: Value, instrument: int | None, of: str) -> None:
        """Something was read on the way: it moves what is drawn, and is not kept.

        Args:
            value: what was read.
            instrument: the id of the meter.
            of: what it is: `mean of 4 readings, 6 s`.
        """
        point = self.point
        if point is not None:
            self.seen, self.seen_of = self._xyz(value, instrument, point), of

    def _xyz(self, value: Value, instrument: int | None, point: int) -> Floats | None:
        if self._lights is None or self._points is None:
            return None
        return self._lights.xyz(value, instrument, black=self._points.all[point].black)

    def _keep_noticed(self, showing: Showing | None = None) -> list[str]:
        """Keep what was found out about controls and is not kept yet; that, in sentences."""
        from readings.adjusting.words import noticed

        advised, new = self._advised, []
        for each in [] if advised is None else advised.noticed:
            assert advised is not None  # noqa: S101 - it noticed that
            control = self._kept[advised.controls.index(each.control)].id
            if (control, each.what) in self._noticed:
                continue
            points = advised.points_of_advice
            self._visit.keep_noticing(
                control,
                each.what,
                point=None if each.point is None else points[each.point].label,
                showing=None if showing is None else showing.id,
            )
            self._noticed.add((control, each.what))
            new.append(noticed(each, points))
        return new

    # ---- what the operator does

    def enter(self, text: str) -> str:
        """Take what was typed where no reading is: what came of it, in a sentence.

        Raises:
            EntryError: it cannot be that.
        """
        state = self.state
        if state == "controls":
            return self._take_control(text)
        if state in ("turn", "back"):
            return self._turn(text)
        if text.strip():
            raise EntryError(NOT_TYPED)
        if state == "stop":
            return self._end()
        if state == "end":
            return self._end(by_hand=True)
        if state == "done":
            return ""
        raise EntryError(WATCHING)

    def _take_control(self, text: str) -> str:
        asked = self._asked
        assert asked is not None  # noqa: S101 - the state says so
        asked.take(text)
        return self._next_control(asked)

    def _next_control(self, asked: AskedControls) -> str:
        if asked.asked is not None:
            return ""
        if not asked.said:
            self._asked = None
            return self._end(by_hand=True, text="the display has no such control")
        step = self._step
        assert step is not None  # noqa: S101 - they are asked for a step
        self._kept = self._visit.keep_controls(self._run, step.number, asked.said)
        self._asked = None
        self._take_up()
        return f"{len(self._kept)} controls are kept. {CAUTION}"

    def _turn(self, text: str) -> str:
        """Keep what was turned: as told, or what the menus read now."""
        from readings.adjusting.advice import Turn

        advised, moves, back = self._advised, self.moves, self.state == "back"
        assert advised is not None  # noqa: S101 - it has advised them
        controls = [advised.controls[move.control] for move in moves]
        values = values_of(text, controls)
        self._ask_once(text, between_steps(values, controls))
        why = PUT_BACK if back else self.why
        showing = self._screen.kept_showing().id
        if not back and len(moves) > 1 and isinstance(self.advice, Turn):
            self._page = self.advice
        for move, value in zip(moves, values or [move.to for move in moves], strict=False):
            kept = self._visit.keep_turn(
                self._kept[move.control].id,
                value=value,
                advised=None if back else move.to,
                showing=showing,
                why=why,
            )
            advised.turned(move.control, value, kept.at)
            self._done += 1
        if values and len(values) < len(moves):
            return ""
        self._turned()
        return ""

    def _ask_once(self, text: str, doubt: str) -> None:
        """Refuse what can hardly be, until it is typed a second time. Raises EntryError."""
        asked = (self.told, self._done, self._back, text) if doubt else None
        if asked is not None and asked != self._doubted:
            self._doubted = asked
            raise EntryError(f"{doubt} Enter once more keeps it.")
        self._doubted = None

    def _turned(self) -> None:
        """The display is not what it was: what is on screen settles, and is kept anew."""
        self._page, self._done, self._back, self._again = None, 0, 0, False
        self.seen, self.after_turn = None, True
        self._screen.renew()

    @property
    def why(self) -> str:
        """Why that is to be turned, in a sentence; empty where nothing is."""
        from readings.adjusting.advice import Turn
        from readings.adjusting.words import why

        advice, advised = self.advice, self._advised
        if advised is None or not isinstance(advice, Turn):
            return ""
        return why(advice, advised.controls, advised.points_of_advice)

    def right(self) -> str | None:
        """What the right arrow does: leave out, or do without; None where it means as ever."""
        state = self.state
        if state == "controls":
            asked = self._asked
            assert asked is not None  # noqa: S101 - the state says so
            asked.without()
            return self._next_control(asked)
        if state == "turn":
            return self._leave_out()
        if state == "stop":
            return self._end()
        if state == "done":
            return None
        if state == "look" and not self._again:
            return "This has to be read; End ends the adjustment."
        self._ends = self._again = self._holds = False
        self._back = 0
        return ""

    def _leave_out(self) -> str:
        advised, move = self._advised, self.moves[0]
        assert advised is not None  # noqa: S101 - it has advised it
        kept = self._visit.keep_turn(
            self._kept[move.control].id,
            "left out",
            advised=move.to,
            showing=self._screen.kept_showing().id,
            why=LEFT_OUT,
        )
        advised.leave_out(move.control, kept.at)
        name = advised.controls[move.control].name
        if self._page is not None:
            self._turned()  # some of its page was turned
        return f"{name} is left as it is. F2 takes it in again."

    def put_back(self) -> str:
        """Go back by one turn, to put it back; or take in again what was left out last."""
        advised = self._advised
        if advised is None or self.state not in ("turn", "back", "look", "stop"):
            return NOTHING_TURNED
        if advised.out_last is not None:
            control = advised.out_last
            kept = self._visit.keep_turn(self._kept[control].id, "taken in", why=PUT_BACK)
            advised.leave_out(control, kept.at, out=False)
            return f"{advised.controls[control].name} is taken in again."
        if self._page is not None:
            self._turned()  # what is left of it is not done
        if self._back >= len(advised.turns):
            return NOTHING_TURNED if not advised.turns else "Nothing was turned before that."
        self._back, self._again = self._back + 1, False
        return ""

    def read_again(self) -> str:
        """What is on screen is to be read, or after all not."""
        if self.state in ("turn", "back", "stop", "hold"):
            self._again, self._holds, self._back = True, False, 0
        else:
            self._again = False
        return ""

    def hold(self) -> str:
        """Watch without advice, or go on; where it has ended, adjust on."""
        state, step = self.state, self._step
        if state in ("stop", "done") and step is not None and self._advised is not None:
            self._keeping.end_adjustment(step, "gone on")
            self._ended = False
            self._advised.go_on()
            return "Going on."
        if state == "hold":
            self._holds, self._again, self.after_turn = False, True, True
            return "What is on screen is read first: something may have been turned."
        if state in ("turn", "look", "back") and self.point is not None:
            self._holds, self._again, self._back = True, False, 0
            return "Nothing is advised or kept now."
        return ""

    def finish(self) -> str:
        """Ask whether it is to end here; of controls that are asked for, take the rest as it is."""
        if self._asked is not None:
            self._asked.take_rest()
            return self._next_control(self._asked)
        if self.state == "stop":  # nothing is advised that it would break off
            return self._end()
        self._ends = self.state not in ("done", "")
        return ""

    def _end(self, *, by_hand: bool = False, text: str = "") -> str:
        """Keep how it ended."""
        from readings.adjusting.advice import Stop
        from readings.adjusting.words import believed, stopped

        step, advised, advice = self._step, self._advised, self.advice
        assert step is not None  # noqa: S101 - it is of a step
        self._ends = False
        if isinstance(advice, Stop) and not by_hand:
            end = partial(self._keeping.end_adjustment, step, advice.why, largest=advice.largest)
            end(spread=advice.spread, text=text)
            said = stopped(advice)
        else:
            worst = None if advised is None else advised.worst
            self._keeping.end_adjustment(
                step,
                "ended by hand",
                largest=None if worst is None else worst.error,
                spread=None if worst is None else worst.spread,
                text=text,
            )
            said = BY_HAND if worst is None else f"{BY_HAND} {believed(worst)}"
        self._ended = True
        return said

    def be_worth(self, minutes: float | None) -> None:
        """There is so much time for it; None for the usual."""
        from player.run.advised import price_of

        self._price = price_of(minutes)
        if self._advised is not None:
            self._take_up()  # what was said already is said anew


def adjusts(step: Step | None) -> bool:
    """Whether a step adjusts the display."""
    return step is not None and step.role == ADJUSTING


def values_of(text: str, controls: Sequence[Control]) -> list[float]:
    """What menus read, as typed: one number, or one for each of these controls; none typed is [].

    Raises:
        EntryError: it is something else, or outside of what a menu can read.
    """
    from readings.adjusting.words import reads

    parts = text.replace("\u2212", "-").replace(";", " ").split()
    if len(parts) not in (0, 1, len(controls)):
        many = "" if len(controls) == 1 else f", or all {len(controls)} with spaces between"
        raise EntryError(f"Type what the menu of {controls[0].name} reads now{many}.")
    values = [parse_without_groups(part) for part in parts]
    for control, value in zip(controls, values, strict=False):
        if not control.lowest <= value <= control.highest:
            goes = f"{reads(control.lowest)} to {reads(control.highest)}"
            raise EntryError(f"{control.name} goes from {goes}, and cannot read {reads(value)}.")
    return values


def between_steps(values: Sequence[float], controls: Sequence[Control]) -> str:
    """What is asked where a menu can hardly read a value, since it lies between two steps."""
    from readings.adjusting.words import reads

    for control, value in zip(controls, values, strict=False):
        if not control.can_read(value):
            return (
                f"{control.name} goes by steps of {control.step:g} from {reads(control.lowest)}: "
                f"does it really read {reads(value)}?"
            )
    return ""


def _same(control: Control, among: Iterable[Control], others: Iterable[Control]) -> Control | None:
    """The one of others that is this control; None where none is, or nobody can tell.

    What has no channel may come several times, and its name tells which it is. The only one of its
    kind here and there is the same, whatever it is called.
    """
    beside = [each for each in others if _kind_of(each) == _kind_of(control)]
    named = [each for each in beside if control.channel or each.name == control.name]
    kinds = {each.name for each in among if _kind_of(each) == _kind_of(control)}
    if not named and len(beside) == len(kinds) == 1:
        return beside[0]
    return named[0] if named else None


def _kind_of(control: Control) -> tuple[object, ...]:
    return control.does, control.channel, control.level
