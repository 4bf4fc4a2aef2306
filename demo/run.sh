#!/bin/sh
# Set up what is needed and walk round the aircraft with a synthesised inspector; --live does it in real time through a
# virtual sound card.  Other arguments go to demo/walk.py.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/demo/setup.sh"

packages=
for argument in "$@"; do
    [ "$argument" = --live ] && packages=$sound_card_packages
done
# shellcheck disable=SC2086  # a list of packages
set_up demo $packages
cd "$root"
.venv/bin/python -m demo.walk "$@"
