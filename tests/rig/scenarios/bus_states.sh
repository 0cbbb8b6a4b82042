# A disturbed bus: the controller's messages become states and counted faults of the session. The
# emulated controllers never fail, so the messages are put on the kernel's virtual CAN; from the
# daemon's socket on the way is the same.

guest() {
  ip link add vcan0 type vcan
  ip link set vcan0 up
  start_recording --source socketcan:vcan0=pack
  check "listening" retry 30 listening vcan0
  check "sent" rig_transmit pattern=errors frames=800 "every=50 ms" to=vcan0 list=/tmp/sent.txt
  stop_recording
}

# faults TEXT: the sum of the counts of all such events.
faults() {
  asked_of rig.session "sum(e.get('count', 0) for e in s['events'] if e['text'] == '$1')"
}

host() {
  local cycle="error warning error passive bus-off restarted error active" wanted=""
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  for _ in $(seq 100); do wanted="$wanted${wanted:+ }$cycle"; done
  [ "$(states rig.session)" = "$wanted" ] || fail "states: $(states rig.session)"
  for fault in "lost arbitration at bit 5" "no acknowledge" "stuff error"; do
    [ "$(faults "$fault")" = 100 ] || fail "$fault: counted $(faults "$fault") times of 100"
  done
}
