"""What an export says when it cannot go on."""

from patterns.errors import LitfieldError


class ExportError(LitfieldError):
    """An export that could not be finished; ``str()`` is one clear sentence."""
