"""Programs that some tests cannot do without."""

from __future__ import annotations

import os
import shutil

import pytest


def program(name: str, what: str) -> str:
    """The path of a program that a test needs; where it is missing, CI fails and others skip."""
    found = shutil.which(name)
    if found is None:
        reason = f"{name} is not installed, and this test {what}"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found
