"""The player: runs, windows, meters, the simulated display and the command line."""
