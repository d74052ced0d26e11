#!/bin/sh
# Installs Debian packages where that is allowed; otherwise says in one sentence what to install.
# Usage: tools/apt.sh PURPOSE PACKAGE...
set -eu
purpose=$1
shift

missing=""
for package; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q '^install ok installed$' ||
        missing="$missing $package"
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" = 0 ]; then
    as_root=env
elif sudo -n true 2>/dev/null; then
    as_root="sudo -n env"
else
    as_root=""
fi
if command -v apt-get >/dev/null && [ -n "$as_root" ]; then
    echo "Installing$missing for $purpose."
    apt="$as_root DEBIAN_FRONTEND=noninteractive apt-get -qq"
    # shellcheck disable=SC2086
    { $apt update && $apt install --yes --no-install-recommends $missing; } >/dev/null && exit 0
fi
echo "For $purpose, please install these Debian packages or their like:$missing." >&2
exit 1
