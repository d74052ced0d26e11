"""What an export says when it cannot go on."""


class ExportError(Exception):
    """An export that could not be finished; ``str()`` is one clear sentence."""
