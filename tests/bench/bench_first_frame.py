"""From the start of `litfield play` to its first picture on the screen, against bare imports.

The picture is looked for from outside, on an X server, once every few milliseconds: nothing is
added to the program. It is drawn in software, and so is its window's OpenGL set up: on a graphics
card that part is another. Both sides start a process of their own, in turn.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from measure import Promises, machine

sys.path.append(str(Path(__file__).parents[2]))

from tests.player.x_picture import picture
from tests.x_server import x_server

SIZES = ((1920, 1080), (3840, 2160))
ROUNDS = 7
PATIENCE = 30
PROMISED = 7
IMPORTS = "import numpy, pydantic, pyglet"
SEQUENCE = "{title: White, signal: sdr8, steps: [{show: {field: {}}, read: luminance}]}"


def command() -> list[str]:
    """The installed program; from a source tree, what it starts."""
    script = Path(sys.executable).with_name("litfield" + (".exe" if os.name == "nt" else ""))
    if script.exists():
        return [str(script)]
    return [sys.executable, "-c", "from player.cli import main; main()"]


def environment(display: str, folder: Path) -> dict[str, str]:
    """Compiled files are kept, as an installation has them."""
    env = os.environ | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    return env | {"PYTHONPYCACHEPREFIX": str(folder / "compiled")}


def first_frame(env: dict[str, str], folder: Path, width: int, height: int) -> float:
    """Seconds until the middle of the screen is white."""
    (folder / "white.yaml").write_text(SEQUENCE)
    arguments = ["play", str(folder / "white.yaml"), "--name", "lobby wall", "--visit"]
    begun = time.perf_counter()
    visit = folder / f"{time.monotonic_ns()}.visit"
    with subprocess.Popen(
        [*command(), *arguments, str(visit)], env=env, stderr=subprocess.PIPE, text=True
    ) as player:
        try:
            while not picture(env["DISPLAY"], width // 2, height // 2, 1, 1).all():
                taken = time.perf_counter() - begun
                if player.poll() is not None or taken > PATIENCE:
                    player.kill()
                    sys.exit(f"No picture came up: {player.communicate()[1]}")
                time.sleep(0.003)
            return time.perf_counter() - begun
        finally:
            player.kill()


def imports(env: dict[str, str]) -> float:
    """Seconds that Python takes with what the player cannot do without."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", IMPORTS], env=env, check=True)
    return time.perf_counter() - begun


def main() -> None:
    server = shutil.which("Xvfb")
    if server is None:
        sys.exit("Xvfb is not installed.")
    print(f"Start to first picture, in software; {machine()}; {ROUNDS} rounds, interleaved")
    promises = Promises()
    for width, height in SIZES:
        with (
            tempfile.TemporaryDirectory() as at,
            x_server(server, "-screen", "0", f"{width}x{height}x24") as display,
        ):
            env = environment(display, Path(at))
            ours, theirs = [], []
            for _ in range(ROUNDS + 1):
                ours.append(first_frame(env, Path(at), width, height))
                theirs.append(imports(env))
        # the first round compiles and fills the memory
        own, other = (sorted(each[1:]) for each in (ours, theirs))
        print(
            f"  {width}x{height}: {median(own):.2f} s (fastest {own[0]:.2f}, slowest "
            f"{own[-1]:.2f}); {IMPORTS}: {median(other):.2f} s"
        )
        what = f"first picture at {width}x{height} over the imports"
        promises.at_most(what, median(own) / median(other), PROMISED)
    promises.leave()


if __name__ == "__main__":
    main()
