"""One pair of windows for a whole sitting: the tasks between the runs."""
