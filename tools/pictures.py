"""Make the overview sheet of the readme; `operator_pictures.py` makes those of the window."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

PICTURES = Path(__file__).parent.parent / "docs" / "pictures"


def main() -> None:
    """The overview sheet of a sequence that is shipped."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        command = ["export", "peak-by-area", "--to", folder, "--size", "1920x1080"]
        start = "from player.cli import main; main()"
        subprocess.run([sys.executable, "-c", start, *command], check=True)
        sheet = Image.open(Path(folder) / "overview.png")
        sheet.save(PICTURES / "overview.png", optimize=True)


if __name__ == "__main__":
    main()
