#!/bin/sh
# Makes a Python environment in a folder, and first what it takes to make one.
# Usage: tools/environment.sh FOLDER
set -eu
python=${PYTHON:-python3}

if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    echo "Litfield needs Python 3.11 or later: please install it, or name it with PYTHON=..." >&2
    exit 1
fi
if ! "$python" -c 'import ensurepip' 2>/dev/null; then
    "$(dirname "$0")/apt.sh" "a Python environment of its own" python3-venv
fi
"$python" -m venv "$1"
