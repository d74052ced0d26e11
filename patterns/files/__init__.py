"""Writing frames as files."""
