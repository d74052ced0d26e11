"""A meter's program as bad as they come; `test_meters_flaky.py` runs it for each reading.

Usage: flaky_meter.py FOLDER SEED HANG. It appends what it does to FOLDER/log, one word a call,
with the luminance where it gives a whole reading: the call's own number, so that a reading can be
followed to the call that gave it. HANG is how long it sleeps when it hangs, in seconds.
"""

import os
import random
import signal
import sys
import time
from pathlib import Path


def main() -> None:
    """Take one reading, or fail in one of many ways."""
    folder, seed, hang = Path(sys.argv[1]), sys.argv[2], float(sys.argv[3])
    log = folder / "log"
    number = len(log.read_text("utf-8").splitlines()) + 1 if log.exists() else 1
    dice = random.Random(f"{seed} {number}")  # noqa: S311 - the same calls fail in each run
    time.sleep(dice.uniform(0, 0.03))
    deeds = ["reading"] * 9 + [
        "late reading",
        "exit",
        "exit after a reading",
        "garbage",
        "bytes",
        "nothing",
        "half a line",
        "killed",
        "flood",
        "hang",
        "hang after a reading",
        "no number",
        "impossible",
    ]
    # spells in which nothing works, so that some steps run out of tries
    deed = dice.choice(deeds[9:] if number % 40 < 8 else deeds)
    if deed == "late reading":
        time.sleep(0.2)
    gives = deed in ("reading", "late reading")
    with log.open("a", encoding="utf-8") as file:
        file.write(f"{deed}{f':{number}' if gives else ''}\n")
    do(deed, number, hang)


def do(deed: str, number: int, hang: float) -> None:
    """Print, sleep, die."""
    line = f"Yxy {number} 0.3127 0.3290"
    said = {
        "garbage": "\x1b[2J%%%&!",
        "half a line": f"Yxy {number} 0.3",
        "no number": "Yxy nan 0.3127 0.3290",
        "impossible": f"Yxy {number} 0.9 0.9",
        "nothing": "",
        "killed": "",
        "exit": "",
        "hang": "",
    }.get(deed, line)
    if deed == "bytes":
        sys.stdout.buffer.write(bytes(range(256)))
    elif deed == "flood":
        sys.stdout.write(f"{line}\n" * 20_000)
    else:
        sys.stdout.write(f"{said}\n")
    sys.stdout.flush()
    if deed.startswith("exit"):
        sys.stderr.write("instrument lost\n")
        sys.exit(3)
    if deed == "killed":
        os.kill(os.getpid(), signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    if deed.startswith("hang"):
        time.sleep(hang)


if __name__ == "__main__":
    main()
