"""The windows: the pattern window on the display under test and the operator window beside it."""
