# The daemon is stopped for a while on a busy bus, until the kernel must drop frames: the session
# says how many are missing, and the rest is unaltered and in order.

guest() {
  interfaces_up can0 can1
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  kill -STOP $daemon
  check "sent" rig_transmit pattern=classic frames=60000 "every=0 s" to=can1 list=/tmp/sent.txt
  kill -CONT $daemon
  sleep 2
  # The kernel tells its drops along with the next frame it delivers.
  check "one more sent" rig_transmit pattern=classic seed=2 frames=1 to=can1 list=/tmp/last.txt
  stop_recording
  no_overrun can0
  cat /tmp/last.txt >>/tmp/sent.txt
}

host() {
  local lost
  boot guest
  passed guest
  copy_out sent.txt rig.session
  lost=$(asked_of rig.session 'sum(c["drops"] for c in s["channels"])')
  echo "$lost frames admitted lost"
  [ "$lost" -gt 0 ] || fail "the kernel dropped nothing: the scenario is too gentle"
  # Half a second of the busiest classic bus: 47 bits per frame at 1 Mbit/s (ISO 11898-1).
  [ $((60000 - lost)) -ge 10639 ] || fail "the receive buffer held only $((60000 - lost)) frames"
  same_session sent.txt rig.session --missing "$lost" --no-times
}
