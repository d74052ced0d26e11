"""What the windows say when they cannot do what was asked."""

from patterns.errors import BAD_INPUT, LitfieldError


class WindowError(LitfieldError):
    """A window could not be made or cannot be exact; ``str()`` is one clear sentence."""


class ScreenError(WindowError):
    """The screen that was asked for is not there."""

    exit_code = BAD_INPUT
