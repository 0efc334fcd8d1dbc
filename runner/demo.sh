#!/usr/bin/env bash
# The whole job at once: ./dev run. With a screen, a short session for the person at the keyboard; without one, the same
# session on a virtual screen with a simulated participant who presses real keys. Then what it left behind.
set -euo pipefail
cd "$(dirname "$0")/.."
readonly bin=build/release isoseam=build/release/runner/isoseam protocol=protocols/library/demo.yaml
readonly out=${ISOSEAM_OUT:-sessions}
readonly picture=$out/field.png printed=$out/.last

say() { printf '%s\n' "$*"; }

has_screen() { [ -n "${WAYLAND_DISPLAY:-}" ] || { [ -n "${DISPLAY:-}" ] && xdpyinfo >/dev/null 2>&1; }; }

stop_all() {
    local job
    for job in "${session:-}" "${participant:-}" "${XVFB_PID:-}"; do
        [ -z "$job" ] || kill "$job" 2>/dev/null || true
    done
    rm -f "$printed"
}

# Sets DISPLAY to a fresh virtual screen of the size that the demo screens were calibrated at, gone with this script.
start_virtual_screen() {
    local number
    coproc XVFB { exec Xvfb -displayfd 1 -screen 0 1280x800x24 -nolisten tcp 2>/dev/null; }
    read -r -t 20 number <&"${XVFB[0]}" || { say "The virtual screen did not start." >&2; exit 3; }
    export DISPLAY=":$number" SDL_VIDEODRIVER=x11
}

mkdir -p "$out"
rm -f "$picture"
trap stop_all EXIT
if has_screen; then
    say "The demo session opens now: two halves, as of two invented screens. Make them look the same."
    "$isoseam" session run "$protocol" --participant visitor --out "$out" --picture "$picture" \
        --despite resolution --despite refresh >"$printed"
else
    say "No screen here: starting a virtual one, with a simulated participant who looks at its pixels and presses its keys."
    start_virtual_screen
    "$bin/tests/simulated_participant" "$protocol" --participant simulated --out "$out" --seed 7 &
    participant=$!
    "$isoseam" session run "$protocol" --participant simulated --out "$out" --picture "$picture" --seed 7 >"$printed" &
    session=$!
    wait "$participant"
    wait "$session"
fi
folder=$(tail -n 1 "$printed")
say
"$isoseam" results check "$folder" || true
say
"$isoseam" analyse matches "$folder" || true
say
say "Session folder:  $folder"
[ ! -f "$picture" ] || say "Field, as drawn: $picture"
