#!/bin/bash
# Runs COMMAND beside a private JACK server with the dummy driver: 48 kHz,
# periods of 256 samples, exact timing, no sound card needed. The device is
# called "JACK Audio Connection Kit: system" and must be named:
#
#   .ci/sound-jack.sh bin/steadfoot devices
#
# Only its own server is stopped, by its process id.
set -euo pipefail

fail() { echo "sound-jack.sh: $*" >&2; exit 1; }

[ $# -gt 0 ] || fail "give the command to run, with its arguments"
for p in jackd jack_lsp flock; do
  command -v "$p" >/dev/null || fail "$p is not installed (Debian: apt-get install jackd2)"
done

# JACK knows eight server names and forgets none that was killed, so there is
# one name here, and one server of it at a time. The Go tests have their own.
exec 9>"${TMPDIR:-/tmp}/steadfoot-script.lock"
flock -w 120 9 || fail "another one has run for two minutes; try again later"

dir=$(mktemp -d)
server=
clean() {
  if [ -n "$server" ]; then
    kill "$server" 2>/dev/null || true
    # It waits long for clients that have gone.
    for _ in 1 2 3 4 5; do kill -0 "$server" 2>/dev/null || break; sleep 0.1; done
    kill -KILL "$server" 2>/dev/null || true
    wait "$server" 2>/dev/null || true
  fi
  rm -rf "$dir"
}
trap clean EXIT

printf 'pcm.!default { type null }\nctl.!default { type null }\n' >"$dir/asound.conf"
export JACK_DEFAULT_SERVER=steadfoot-script JACK_NO_AUDIO_RESERVATION=1 JACK_NO_START_SERVER=1
export ALSA_CONFIG_PATH=$dir/asound.conf

setsid jackd --no-realtime --no-mlock -n "$JACK_DEFAULT_SERVER" -d dummy -r 48000 -p 256 -C 2 -P 2 >"$dir/log" 2>&1 &
server=$!
for _ in $(seq 100); do
  if jack_lsp >/dev/null 2>&1; then
    "$@"
    exit
  fi
  kill -0 "$server" 2>/dev/null || break
  sleep 0.1
done
cat "$dir/log" >&2
fail "the JACK server did not start"
