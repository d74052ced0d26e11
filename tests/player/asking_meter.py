"""A meter program that asks the test for its answer. Usage: asking_meter.py SOCKET."""

import socket
import sys

with socket.socket(socket.AF_UNIX) as asking:
    asking.connect(sys.argv[1])
    sys.stdout.write(asking.makefile().read())
