#!/bin/sh
# Set up what is needed, check the style and the types, and run every test; arguments go to pytest.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/demo/setup.sh"

# shellcheck disable=SC2086  # a list of packages
set_up tests $sound_card_packages chromium asterisk-core-sounds-en-wav pocketsphinx-testdata festvox-suopuhe-lj \
    fonts-nanum
cd "$root"
step "style" .venv/bin/ruff check .
step "format" .venv/bin/ruff format --check .
step "types" .venv/bin/pyright
.venv/bin/python -m pytest -n 2 --dist loadfile "$@"
