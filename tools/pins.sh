#!/bin/sh
# Resolves every dependency in a fresh environment and writes the versions found.
# Usage: tools/pins.sh FILE
set -eu
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

"$(dirname "$0")/environment.sh" "$scratch"
"$scratch/bin/pip" install --quiet --disable-pip-version-check hatchling '.[test,check]'
{
    echo "# Every version that Litfield is tested with; \`make pins\` writes this file anew."
    "$scratch/bin/pip" freeze --exclude litfield
} >"$scratch/pins"
mv "$scratch/pins" "$1"
