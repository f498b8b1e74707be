#!/bin/bash
# Runs COMMAND beside a private PulseAudio server with a virtual microphone
# (what is played into the sink "mic") and virtual earphones (the sink "ear",
# recorded from ear.monitor). No sound card is needed:
#
#   .ci/sound-pulse.sh bin/steadfoot devices
#
# Only its own server is stopped, by its process id.
set -euo pipefail

fail() { echo "sound-pulse.sh: $*" >&2; exit 1; }

[ $# -gt 0 ] || fail "give the command to run, with its arguments"
for p in pulseaudio pactl; do
  command -v "$p" >/dev/null || fail "$p is not installed (Debian: apt-get install pulseaudio pulseaudio-utils libasound2-plugins)"
done

dir=$(mktemp -d)
server=
clean() {
  [ -z "$server" ] || { kill "$server" 2>/dev/null || true; wait "$server" 2>/dev/null || true; }
  rm -rf "$dir"
}
trap clean EXIT

printf 'pcm.!default { type pulse }\nctl.!default { type pulse }\n' >"$dir/asound.conf"
# norewinds=1: otherwise a null sink renders two seconds at a time.
cat >"$dir/default.pa" <<END
load-module module-native-protocol-unix auth-anonymous=1 socket=$dir/native
load-module module-null-sink sink_name=mic rate=48000 channels=2 norewinds=1
load-module module-null-sink sink_name=ear rate=48000 channels=2 norewinds=1
set-default-sink ear
set-default-source mic.monitor
END

# HOME stays as it is, so Go's caches do too.
export XDG_RUNTIME_DIR=$dir XDG_CONFIG_HOME=$dir PULSE_RUNTIME_PATH=$dir PULSE_STATE_PATH=$dir
export PULSE_SERVER=unix:$dir/native PULSE_COOKIE=$dir/cookie
export ALSA_CONFIG_PATH=$dir/asound.conf JACK_NO_START_SERVER=1

setsid pulseaudio -n -F "$dir/default.pa" --daemonize=no --use-pid-file=no --exit-idle-time=-1 \
  --disallow-exit=yes --realtime=no --high-priority=no >"$dir/log" 2>&1 &
server=$!
for _ in $(seq 100); do
  if pactl info >/dev/null 2>&1; then
    "$@"
    exit
  fi
  kill -0 "$server" 2>/dev/null || break
  sleep 0.1
done
cat "$dir/log" >&2
fail "the PulseAudio server did not start"
