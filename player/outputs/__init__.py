"""Places where frames are shown."""
