# Both buses of the bench vehicle at its own pace, then every classic kind of frame: all of it is in
# the session, once, unaltered and in order.

guest() {
  interfaces_up can0 can1 can2 can3
  start_recording --source socketcan:can0=pack --source socketcan:can2=drive
  check "listening on can0" retry 30 listening can0
  check "listening on can2" retry 30 listening can2
  check "vehicle sent" rig_transmit vehicle=coolant-leak "for=10 s" to=can1,can3 list=/tmp/vehicle.txt
  check "pattern sent" rig_transmit pattern=classic frames=3000 to=can1 list=/tmp/pattern.txt
  stop_recording
  no_overrun can0 can2
  cat /tmp/vehicle.txt /tmp/pattern.txt >/tmp/sent.txt
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  expect 0 proofdrive verify "$work/out/rig.session"
}
