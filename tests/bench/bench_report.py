"""What a report takes beyond its imports: a visit of 400 readings in at most 3 s.

Each side runs in a process of its own: one imports all that `litfield report` imports, the other
does that and runs the command. The visit is played anew on the simulated display. The times are
those of the processor, the best of several rounds: what other programs take meanwhile is none of
the report's.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.append(str(Path(__file__).parent))
from measure import Promises, machine
from report_visit import play

ROUNDS = 7
READINGS = 400
PROMISE = 3.0
"""Seconds beyond the imports."""
IMPORTS = """
import time
import player.cli
player.cli.tune()
import click, rich.console, rich.table, jinja2, fpdf, xlsxwriter, xml.etree.ElementTree
import fontTools.subset, fontTools.ttLib.tables._g_l_y_f
import matplotlib.figure, matplotlib.backends.backend_svg, matplotlib.legend
import colour, scipy.stats, scipy.spatial
import readings.report, readings.report.page, readings.report.sheets, readings.report.pictures
import player.commands.report
from importlib import import_module
for table in ("O_S_2f_2", "_c_v_t", "_f_p_g_m", "_g_a_s_p", "_h_h_e_a", "_l_o_c_a", "_p_r_e_p"):
    import_module(f"fontTools.ttLib.tables.{table}")
for picture in readings.report.pictures.PICTURES:
    import_module(f"readings.report.pictures.{picture}")
"""
REPORT = """
code = player.cli.run(["report", VISIT, "--to", FOLDER])
if code:
    raise SystemExit(code)
"""
TELL = "\nprint(time.process_time())\n"


def seconds(code: str) -> float:
    """Processor time of a new process that runs this."""
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code], capture_output=True, text=True, check=True
    )
    return float(done.stdout.split()[-1])


def main() -> None:
    promises = Promises()
    print(machine())
    with tempfile.TemporaryDirectory() as folder:
        visit = Path(folder) / "lobby.visit"
        number = play(visit)
        names = f"VISIT, FOLDER = {str(visit)!r}, {folder!r}\n"
        times: dict[str, list[float]] = {"imports": [], "all": []}
        for _ in range(ROUNDS):
            times["imports"].append(seconds(IMPORTS + TELL))
            times["all"].append(seconds(IMPORTS + names + REPORT + TELL))
        files = sorted(Path(folder).glob("[fr]*.*"))
        sizes = ", ".join(f"{file.name} {file.stat().st_size / 1e6:.2f} MB" for file in files)
    imports, everything = (min(times[side]) for side in ("imports", "all"))
    print(f"a visit of {number} readings: {sizes}")
    print(f"imports {imports:.2f} s, imports and report {everything:.2f} s of the processor")
    promises.at_least("readings in the visit", number, READINGS)
    promises.at_most("a report beyond its imports, s", everything - imports, PROMISE)
    promises.leave()


if __name__ == "__main__":
    main()
