"""A run as it is played: its picture, its order, what is read and counted. No windows."""
