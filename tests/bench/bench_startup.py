"""How long `litfield --help` takes, against Python with numpy alone."""

import subprocess
import sys
from pathlib import Path

from measure import Promises, interleaved, machine

PAIRS = 15


def main() -> None:
    suffix = ".exe" if sys.platform == "win32" else ""
    script = Path(sys.executable).with_name("litfield" + suffix)
    if not script.exists():
        sys.exit(f"There is no {script}: install Litfield beside {sys.executable} first.")
    commands = {
        "litfield --help": [str(script), "--help"],
        "import numpy": [sys.executable, "-c", "import numpy"],
    }
    calls = {
        name: lambda command=command: subprocess.run(command, check=True, capture_output=True)
        for name, command in commands.items()
    }
    interleaved(calls, 2)  # so that both find their files in memory
    timed = interleaved(calls, PAIRS)
    print(f"Start-up; {machine()}; medians of {PAIRS} interleaved pairs")
    for name, seconds in timed.items():
        print(f"{name:<18}{1e3 * seconds:7.0f} ms")
    promises = Promises()
    ratio = timed["litfield --help"] / timed["import numpy"]
    promises.at_most("litfield --help over import numpy", ratio, 1.5)
    promises.leave()


if __name__ == "__main__":
    main()
