-- The visit file, version 7. A constraint's name is what the operator reads when it fails.
-- Every table only grows: schema.py adds the triggers that refuse UPDATE and DELETE.

CREATE TABLE visit (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    display TEXT NOT NULL CONSTRAINT "the display needs a name" CHECK (trim(display) <> ''),
    settings TEXT NOT NULL,
    place TEXT NOT NULL,
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;

CREATE TABLE instruments (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CONSTRAINT "an instrument needs a name" CHECK (trim(name) <> ''),
    kind TEXT NOT NULL,
    role TEXT NOT NULL CONSTRAINT "an instrument is a spot meter or a reference"
        CHECK (role IN ('spot meter', 'reference')),
    specification TEXT NOT NULL CONSTRAINT "a specification is a JSON object"
        CHECK (CASE WHEN json_valid(specification)
               THEN json_type(specification) = 'object' ELSE 0 END)
) STRICT;

CREATE TABLE corrections (
    id INTEGER PRIMARY KEY,
    from_instrument INTEGER NOT NULL REFERENCES instruments (id),
    to_instrument INTEGER NOT NULL REFERENCES instruments (id),
    matrix TEXT NOT NULL CONSTRAINT "a correction matrix has nine numbers"
        CHECK (CASE WHEN json_valid(matrix) THEN json_array_length(matrix) = 9 ELSE 0 END),
    method TEXT NOT NULL,
    made_at TEXT NOT NULL CHECK (made_at GLOB '????-??-??T??:??:??.??????Z'),
    fit TEXT NOT NULL DEFAULT '{}' CONSTRAINT "what a correction was made of is a JSON object"
        CHECK (CASE WHEN json_valid(fit) THEN json_type(fit) = 'object' ELSE 0 END),
    CONSTRAINT "a correction joins two different instruments"
        CHECK (from_instrument <> to_instrument)
) STRICT;

CREATE TABLE runs (
    id INTEGER PRIMARY KEY,
    sequence_title TEXT NOT NULL,
    sequence_text TEXT NOT NULL,
    sequence_sha256 TEXT NOT NULL CONSTRAINT "a SHA-256 has 64 hexadecimal digits"
        CHECK (length(sequence_sha256) = 64 AND sequence_sha256 NOT GLOB '*[^0-9a-f]*'),
    sequence_source TEXT NOT NULL,
    condition TEXT NOT NULL,
    signal_asked TEXT NOT NULL CONSTRAINT "a signal is a JSON object" CHECK
        (CASE WHEN json_valid(signal_asked) THEN json_type(signal_asked) = 'object' ELSE 0 END),
    signal_shown TEXT NOT NULL CONSTRAINT "a signal is a JSON object" CHECK
        (CASE WHEN json_valid(signal_shown) THEN json_type(signal_shown) = 'object' ELSE 0 END),
    width INTEGER NOT NULL CONSTRAINT "a canvas is at least one pixel wide" CHECK (width >= 1),
    height INTEGER NOT NULL CONSTRAINT "a canvas is at least one pixel high" CHECK (height >= 1),
    refresh_hz REAL CONSTRAINT "a refresh is more than 0 Hz and finite"
        CHECK (refresh_hz > 0 AND refresh_hz <= 1.7976931348623157e308),
    output TEXT NOT NULL CONSTRAINT "an output is window, files or simulated"
        CHECK (output IN ('window', 'files', 'simulated')),
    guards TEXT NOT NULL CONSTRAINT "guard states are a JSON object"
        CHECK (CASE WHEN json_valid(guards) THEN json_type(guards) = 'object' ELSE 0 END),
    overrides TEXT NOT NULL CONSTRAINT "overrides are a JSON object"
        CHECK (CASE WHEN json_valid(overrides) THEN json_type(overrides) = 'object' ELSE 0 END),
    step_count INTEGER NOT NULL CONSTRAINT "a run has at least one step" CHECK (step_count >= 1),
    started_at TEXT NOT NULL CHECK (started_at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE INDEX runs_of_a_sequence ON runs (sequence_sha256, condition);

CREATE TABLE run_events (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES runs (id),
    event TEXT NOT NULL CONSTRAINT "a run is finished, left or resumed"
        CHECK (event IN ('finished', 'left', 'resumed')),
    guards TEXT CONSTRAINT "guard states are a JSON object"
        CHECK (CASE WHEN guards IS NULL THEN 1
               WHEN json_valid(guards) THEN json_type(guards) = 'object' ELSE 0 END),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE INDEX events_of_a_run ON run_events (run);
CREATE TRIGGER run_events_after_the_finish BEFORE INSERT ON run_events
WHEN EXISTS (SELECT 1 FROM run_events WHERE run = NEW.run AND event = 'finished')
BEGIN SELECT RAISE(ABORT, 'a finished run stays finished'); END;

CREATE TABLE steps (
    run INTEGER NOT NULL REFERENCES runs (id),
    number INTEGER NOT NULL CHECK (number >= 1),
    label TEXT NOT NULL,
    role TEXT,
    kind TEXT NOT NULL,
    parameters TEXT NOT NULL CONSTRAINT "parameters are a JSON object"
        CHECK (CASE WHEN json_valid(parameters) THEN json_type(parameters) = 'object' ELSE 0 END),
    quantity TEXT CONSTRAINT "that quantity is unknown" CHECK (quantity IN
        ('luminance', 'colour', 'count', 'milliseconds', 'choice', 'text', 'tally')),
    read_of TEXT,
    settle_s REAL NOT NULL CONSTRAINT "a step settles for 0 s or more, and not for ever"
        CHECK (settle_s >= 0 AND settle_s <= 1.7976931348623157e308),
    variables TEXT NOT NULL CONSTRAINT "variables are a JSON object"
        CHECK (CASE WHEN json_valid(variables) THEN json_type(variables) = 'object' ELSE 0 END),
    faults TEXT CONSTRAINT "which answers are faults is a JSON object"
        CHECK (CASE WHEN faults IS NULL THEN 1
               WHEN json_valid(faults) THEN json_type(faults) = 'object' ELSE 0 END),
    PRIMARY KEY (run, number)
) STRICT;
CREATE TRIGGER steps_are_planned_once BEFORE INSERT ON steps
WHEN EXISTS (SELECT 1 FROM steps WHERE run = NEW.run AND number = NEW.number)
    OR NEW.number > (SELECT step_count FROM runs WHERE id = NEW.run)
BEGIN SELECT RAISE(ABORT, 'a run keeps the steps it started with'); END;

CREATE TABLE skips (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL,
    step INTEGER NOT NULL,
    why TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    FOREIGN KEY (run, step) REFERENCES steps (run, number)
) STRICT;
CREATE INDEX skips_of_a_step ON skips (run, step);

CREATE TABLE showings (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL,
    step INTEGER NOT NULL,
    shown_at TEXT NOT NULL CHECK (shown_at GLOB '????-??-??T??:??:??.??????Z'),
    inks TEXT NOT NULL CONSTRAINT "inks are a JSON object"
        CHECK (CASE WHEN json_valid(inks) THEN json_type(inks) = 'object' ELSE 0 END),
    frame_sha256 TEXT NOT NULL CONSTRAINT "a SHA-256 has 64 hexadecimal digits"
        CHECK (length(frame_sha256) = 64 AND frame_sha256 NOT GLOB '*[^0-9a-f]*'),
    facts TEXT NOT NULL CONSTRAINT "facts are a JSON object"
        CHECK (CASE WHEN json_valid(facts) THEN json_type(facts) = 'object' ELSE 0 END),
    guard TEXT NOT NULL CONSTRAINT "a guard says verified, altered or unknown"
        CHECK (guard IN ('verified', 'altered', 'unknown')),
    guard_why TEXT NOT NULL,
    FOREIGN KEY (run, step) REFERENCES steps (run, number)
) STRICT;
CREATE INDEX showings_of_a_step ON showings (run, step);

CREATE TABLE readings (
    id INTEGER PRIMARY KEY,
    showing INTEGER NOT NULL REFERENCES showings (id),
    instrument INTEGER REFERENCES instruments (id),
    quantity TEXT NOT NULL CONSTRAINT "that quantity is unknown" CHECK (quantity IN
        ('luminance', 'colour', 'count', 'milliseconds', 'choice', 'text', 'tally')),
    raw TEXT NOT NULL,
    luminance REAL CONSTRAINT "a luminance is a finite number"
        CHECK (abs(luminance) <= 1.7976931348623157e308),
    x REAL CONSTRAINT "x is a finite number" CHECK (abs(x) <= 1.7976931348623157e308),
    y REAL CONSTRAINT "y is a finite number" CHECK (abs(y) <= 1.7976931348623157e308),
    tristimulus_x REAL CONSTRAINT "X is a finite number"
        CHECK (abs(tristimulus_x) <= 1.7976931348623157e308),
    tristimulus_y REAL CONSTRAINT "Y is a finite number"
        CHECK (abs(tristimulus_y) <= 1.7976931348623157e308),
    tristimulus_z REAL CONSTRAINT "Z is a finite number"
        CHECK (abs(tristimulus_z) <= 1.7976931348623157e308),
    number REAL CONSTRAINT "a count or a time is 0 or more and finite"
        CHECK (number >= 0 AND number <= 1.7976931348623157e308),
    text TEXT,
    taken_at TEXT NOT NULL CHECK (taken_at GLOB '????-??-??T??:??:??.??????Z'),
    replaces INTEGER REFERENCES readings (id),
    derivation TEXT CONSTRAINT "how a value was derived is a JSON object"
        CHECK (CASE WHEN derivation IS NULL THEN 1
               WHEN json_valid(derivation) THEN json_type(derivation) = 'object' ELSE 0 END),
    CONSTRAINT "a luminance or colour reading has a luminance"
        CHECK (quantity NOT IN ('luminance', 'colour') OR luminance IS NOT NULL),
    CONSTRAINT "x and y come together" CHECK ((x IS NULL) = (y IS NULL)),
    CONSTRAINT "X, Y and Z come together" CHECK (
        (tristimulus_x IS NULL) = (tristimulus_y IS NULL)
        AND (tristimulus_y IS NULL) = (tristimulus_z IS NULL)),
    CONSTRAINT "a milliseconds reading has a number"
        CHECK (quantity <> 'milliseconds' OR number IS NOT NULL),
    CONSTRAINT "a count reading has a number, or says in words why not"
        CHECK (quantity <> 'count' OR number IS NOT NULL
            OR (text IS NOT NULL AND trim(text) <> '')),
    CONSTRAINT "a count is a whole number"
        CHECK (quantity NOT IN ('count', 'tally') OR number IS NULL OR number = round(number)),
    CONSTRAINT "a choice or text reading has a text"
        CHECK (quantity NOT IN ('choice', 'text') OR (text IS NOT NULL AND trim(text) <> ''))
) STRICT;
CREATE INDEX readings_of_a_showing ON readings (showing);
CREATE INDEX replacements ON readings (replaces) WHERE replaces IS NOT NULL;
CREATE TRIGGER readings_replace_once BEFORE INSERT ON readings
WHEN EXISTS (SELECT 1 FROM readings WHERE replaces = NEW.replaces)
BEGIN SELECT RAISE(ABORT, 'that reading has been replaced already'); END;
CREATE TRIGGER readings_replace_their_own_step BEFORE INSERT ON readings
WHEN NEW.replaces IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM readings AS earlier
    JOIN showings AS theirs ON theirs.id = earlier.showing
    JOIN showings AS ours ON ours.id = NEW.showing
    WHERE earlier.id = NEW.replaces AND theirs.run = ours.run AND theirs.step = ours.step)
BEGIN SELECT RAISE(ABORT, 'a retake replaces an earlier reading of the same step'); END;

CREATE TABLE notes (
    id INTEGER PRIMARY KEY,
    run INTEGER REFERENCES runs (id),
    step INTEGER CONSTRAINT "a note about a step names its run"
        CHECK (step IS NULL OR run IS NOT NULL),
    showing INTEGER REFERENCES showings (id),
    text TEXT NOT NULL CONSTRAINT "a note says something" CHECK (trim(text) <> ''),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    FOREIGN KEY (run, step) REFERENCES steps (run, number)
) STRICT;
CREATE TRIGGER notes_agree_with_their_showing BEFORE INSERT ON notes
WHEN NEW.showing IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM showings WHERE id = NEW.showing AND run = NEW.run AND step = NEW.step)
BEGIN SELECT RAISE(ABORT, 'that showing belongs to another step'); END;

CREATE TABLE tallies (
    id INTEGER PRIMARY KEY,
    showing INTEGER NOT NULL REFERENCES showings (id),
    position_px REAL NOT NULL CONSTRAINT "a position is 0 px or more and finite"
        CHECK (position_px >= 0 AND position_px <= 1.7976931348623157e308),
    axis TEXT NOT NULL CONSTRAINT "an axis is horizontal or vertical"
        CHECK (axis IN ('horizontal', 'vertical')),
    direction TEXT NOT NULL CONSTRAINT "a direction is forward or backward"
        CHECK (direction IN ('forward', 'backward')),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE INDEX tallies_of_a_showing ON tallies (showing);

CREATE TABLE withdrawals (
    id INTEGER PRIMARY KEY,
    tally INTEGER NOT NULL REFERENCES tallies (id),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE TRIGGER tallies_are_withdrawn_once BEFORE INSERT ON withdrawals
WHEN EXISTS (SELECT 1 FROM withdrawals WHERE tally = NEW.tally)
BEGIN SELECT RAISE(ABORT, 'that tally has been withdrawn already'); END;
CREATE INDEX withdrawals_of_a_tally ON withdrawals (tally);

-- With what a reading was taken, where that was said afterwards; the latest of a reading counts.
CREATE TABLE namings (
    id INTEGER PRIMARY KEY,
    reading INTEGER NOT NULL REFERENCES readings (id),
    instrument INTEGER NOT NULL REFERENCES instruments (id),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE INDEX namings_of_a_reading ON namings (reading);
CREATE TRIGGER namings_are_of_light_without_an_instrument BEFORE INSERT ON namings
WHEN NOT EXISTS (
    SELECT 1 FROM readings
    WHERE id = NEW.reading AND instrument IS NULL AND luminance IS NOT NULL)
BEGIN SELECT RAISE(ABORT, 'an instrument is named later for a reading of light that has none'); END;

-- What the display is meant to do, in a run or, without one, in all; the latest counts.
CREATE TABLE aims (
    id INTEGER PRIMARY KEY,
    run INTEGER REFERENCES runs (id),
    aim TEXT NOT NULL CONSTRAINT "an aim is a JSON object"
        CHECK (CASE WHEN json_valid(aim) THEN json_type(aim) = 'object' ELSE 0 END),
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;

-- What is said afterwards of a run, or of the whole visit; the latest of a kind counts.
CREATE TABLE statements (
    id INTEGER PRIMARY KEY,
    run INTEGER REFERENCES runs (id),
    what TEXT NOT NULL CONSTRAINT "nothing of that kind is stated" CHECK (what IN
        ('display', 'settings', 'place', 'condition', 'counted',
         'meter', 'instrument', 'reference', 'range', 'screen', 'operator')),
    value TEXT NOT NULL,
    by TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    CONSTRAINT "a condition, and whether it counts, is stated of a run, and of no more than that"
        CHECK ((run IS NOT NULL) = (what IN ('condition', 'counted'))),
    CONSTRAINT "the display needs a name" CHECK (what <> 'display' OR trim(value) <> ''),
    CONSTRAINT "a run counts or does not" CHECK (what <> 'counted' OR value IN ('yes', 'no'))
) STRICT;

-- The plans that a visit went by; the latest counts.
CREATE TABLE plans (
    id INTEGER PRIMARY KEY,
    title TEXT NOT NULL,
    text TEXT NOT NULL,
    sha256 TEXT NOT NULL CONSTRAINT "a SHA-256 has 64 hexadecimal digits"
        CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;

-- What happened to a task of a plan; tasks are numbered from 1, those added on the spot after them.
CREATE TABLE task_events (
    id INTEGER PRIMARY KEY,
    plan INTEGER NOT NULL REFERENCES plans (id),
    task INTEGER NOT NULL CHECK (task >= 1),
    event TEXT NOT NULL CONSTRAINT "a task is added, begun, done, answered, left out or taken up"
        CHECK (event IN ('added', 'begun', 'done', 'answered', 'left out', 'taken up')),
    run INTEGER REFERENCES runs (id),
    text TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z')
) STRICT;
CREATE INDEX events_of_a_plan ON task_events (plan, task);

-- The controls of the display that a step adjusts by, in the order in which they were given.
CREATE TABLE controls (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL,
    step INTEGER NOT NULL,
    name TEXT NOT NULL CONSTRAINT "a control needs a name" CHECK (trim(name) <> ''),
    does TEXT NOT NULL CONSTRAINT "no control does that" CHECK (does IN
        ('gain', 'offset', 'point', 'backlight', 'preset', 'hue', 'saturation', 'brightness')),
    channel TEXT CONSTRAINT "that channel is unknown" CHECK (channel IN
        ('red', 'green', 'blue', 'cyan', 'magenta', 'yellow')),
    level REAL CONSTRAINT "the level of a control is 0 to 109 %" CHECK (level BETWEEN 0 AND 109),
    lowest REAL NOT NULL CONSTRAINT "what a menu reads is a finite number"
        CHECK (abs(lowest) <= 1.7976931348623157e308),
    highest REAL NOT NULL CONSTRAINT "what a menu reads is a finite number"
        CHECK (abs(highest) <= 1.7976931348623157e308),
    click REAL NOT NULL CONSTRAINT "a click is more than 0 and finite"
        CHECK (click > 0 AND click <= 1.7976931348623157e308),
    found REAL NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    CONSTRAINT "a control goes from lowest up to highest" CHECK (lowest < highest),
    CONSTRAINT "a control is found within its range" CHECK (found BETWEEN lowest AND highest),
    CONSTRAINT "a control has a channel, unless it is a backlight or a preset"
        CHECK ((channel IS NULL) = (does IN ('backlight', 'preset'))),
    CONSTRAINT "the control of a point has its level, and no other has"
        CHECK ((level IS NOT NULL) = (does = 'point')),
    FOREIGN KEY (run, step) REFERENCES steps (run, number)
) STRICT;
CREATE INDEX controls_of_a_step ON controls (run, step);
CREATE TRIGGER controls_are_of_a_step_that_adjusts BEFORE INSERT ON controls
WHEN NOT EXISTS (
    SELECT 1 FROM steps WHERE run = NEW.run AND number = NEW.step AND role = 'adjusting')
BEGIN SELECT RAISE(ABORT, 'controls belong to a step that adjusts'); END;

-- What became of a control in turn: the latest value of one is what its menu reads.
CREATE TABLE turns (
    id INTEGER PRIMARY KEY,
    control INTEGER NOT NULL REFERENCES controls (id),
    showing INTEGER REFERENCES showings (id),
    event TEXT NOT NULL CONSTRAINT "a control is turned, left out or taken in"
        CHECK (event IN ('turned', 'left out', 'taken in')),
    advised REAL,
    value REAL,
    why TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    CONSTRAINT "a control that is turned reads something, and only then it is said"
        CHECK ((value IS NOT NULL) = (event = 'turned'))
) STRICT;
CREATE INDEX turns_of_a_control ON turns (control);
CREATE TRIGGER turns_stay_in_the_range_of_their_control BEFORE INSERT ON turns
WHEN EXISTS (
    SELECT 1 FROM controls WHERE id = NEW.control
    AND (NEW.value NOT BETWEEN lowest AND highest OR NEW.advised NOT BETWEEN lowest AND highest))
BEGIN SELECT RAISE(ABORT, 'that is outside the range of the control'); END;
CREATE TRIGGER turns_agree_with_their_showing BEFORE INSERT ON turns
WHEN NEW.showing IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM showings JOIN controls ON controls.id = NEW.control
    WHERE showings.id = NEW.showing AND showings.run = controls.run
    AND showings.step = controls.step)
BEGIN SELECT RAISE(ABORT, 'that showing belongs to another step'); END;

-- How the adjusting of a step ended, or that it was gone on with; the latest counts.
CREATE TABLE adjustments (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL,
    step INTEGER NOT NULL,
    why TEXT NOT NULL CONSTRAINT "no adjusting ends like that" CHECK (why IN
        ('reached', 'within the meter', 'not worth the time', 'nothing left', 'ended by hand',
         'gone on')),
    largest REAL CONSTRAINT "a largest error is 0 or more and finite"
        CHECK (largest >= 0 AND largest <= 1.7976931348623157e308),
    spread REAL CONSTRAINT "a spread is 0 or more and finite"
        CHECK (spread >= 0 AND spread <= 1.7976931348623157e308),
    text TEXT NOT NULL,
    at TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.??????Z'),
    CONSTRAINT "a spread is that of a largest error" CHECK (spread IS NULL OR largest IS NOT NULL),
    FOREIGN KEY (run, step) REFERENCES steps (run, number)
) STRICT;
CREATE INDEX adjustments_of_a_step ON adjustments (run, step);
CREATE TRIGGER adjustments_are_of_a_step_that_adjusts BEFORE INSERT ON adjustments
WHEN NOT EXISTS (
    SELECT 1 FROM steps WHERE run = NEW.run AND number = NEW.step AND role = 'adjusting')
BEGIN SELECT RAISE(ABORT, 'only a step that adjusts ends an adjustment'); END;

-- One row for each row of the tables above, kept together with it: sums.py says of what.
CREATE TABLE check_sums (
    id INTEGER PRIMARY KEY,
    kept_in TEXT NOT NULL,
    row INTEGER NOT NULL,
    step INTEGER,
    sha256 TEXT NOT NULL CONSTRAINT "a SHA-256 has 64 hexadecimal digits"
        CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*')
) STRICT;
