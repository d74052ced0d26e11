"""The operator's controls: what keys and typed text do to a run, in parts. No window, no OpenGL."""
