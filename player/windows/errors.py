"""What the windows say when they cannot do what was asked."""


class WindowError(Exception):
    """A window could not be made or cannot be exact; ``str()`` is one clear sentence."""


class ScreenError(WindowError):
    """The screen that was asked for is not there."""
