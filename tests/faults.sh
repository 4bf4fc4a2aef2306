#!/bin/sh
# Set up what is needed, make every fault in full, and write the table of figures into the README.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/demo/setup.sh"

# shellcheck disable=SC2086  # a list of packages
set_up tests $sound_card_packages chromium asterisk-core-sounds-en-wav pocketsphinx-testdata
cd "$root"
HANDSFREE_FUZZ=${HANDSFREE_FUZZ:-20} .venv/bin/python -m tests.faults --readme README.md "$@"
