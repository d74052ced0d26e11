"""Signals, levels, frames, pattern kinds and file writers. Imports no other room."""
