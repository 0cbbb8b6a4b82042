# Somebody gives the interface another name while the daemon records: it goes on with the same
# adapter, and the session says so.

guest() {
  interfaces_up can0 can1
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "sent before" rig_transmit pattern=classic frames=1000 to=can1 list=/tmp/before.txt
  sleep 1
  ip link set can0 down
  sleep 1
  ip link set can0 name pack0
  sleep 1
  ip link set pack0 up
  sleep 2
  check "sent after" rig_transmit pattern=classic seed=3 frames=1000 to=can1 list=/tmp/after.txt
  stop_recording
  no_overrun pack0
  cat /tmp/before.txt /tmp/after.txt >/tmp/sent.txt
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  expect 0 proofdrive verify "$work/out/rig.session"
  [ "$(states rig.session)" = "down renamed to pack0 up" ] || fail "states: $(states rig.session)"
}
