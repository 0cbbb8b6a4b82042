# The interface goes down and comes up while the daemon records: frames of before and after are
# there, and the session says when nothing could be heard.

guest() {
  interfaces_up can0 can1
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "sent before" rig_transmit pattern=classic frames=1000 to=can1 list=/tmp/before.txt
  sleep 1
  ip link set can0 down
  check "sent unheard" rig_transmit pattern=classic seed=2 frames=200 to=can1
  sleep 2
  check "the daemon goes on" kill -0 $daemon
  ip link set can0 up
  sleep 3
  check "sent after" rig_transmit pattern=classic seed=3 frames=1000 to=can1 list=/tmp/after.txt
  stop_recording
  no_overrun can0
  cat /tmp/before.txt /tmp/after.txt >/tmp/sent.txt
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  expect 0 proofdrive verify "$work/out/rig.session"
  [ "$(states rig.session)" = "down up" ] || fail "states: $(states rig.session)"
}
