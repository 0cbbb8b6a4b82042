# Requests are allowed: the daemon on can0 asks control units on can1, whose transport is the
# kernel's can-isotp. The commands show their codes and versions, and the session has them.

guest() {
  interfaces_up can0 can1
  rig_units can1 >>/tmp/units.log 2>&1 &
  start_recording --source socketcan:can0 --definitions /bramble-seven-units.yaml --allow-requests
  check "listening" retry 30 listening can0
  check "the daemon says so" retry 10 grep -q "Requests are allowed" /tmp/daemon.log
  check "snapshot at the start" retry 60 grep -q "identification, start" /tmp/daemon.log
  proofdrive codes --socket /tmp/daemon.socket --json >/tmp/codes.txt || [ $? = 1 ]
  check "codes" grep -q P0AA6-1A /tmp/codes.txt
  check "of every unit" equals "$(grep -c '"19 02"' /tmp/codes.txt)" 3
  check "versions" sh -c 'proofdrive identify --socket /tmp/daemon.socket | grep -q "4\.2"'
  check "can0 sent" at_least "$(statistic can0 tx_packets)" 50
  stop_recording
}

host() {
  boot guest
  passed guest
  copy_out rig.session
  expect 1 proofdrive codes "$work/out/rig.session"
  { proofdrive codes "$work/out/rig.session" --json || [ $? = 1 ]; } | python3 -c '
import json, sys
units = {unit["unit"]: unit for unit in json.load(sys.stdin)["units"]}
assert len(units) == 3, units.keys()
assert any(code["code"] == "P0AA6-1A" for code in units["pack_controller"]["codes"])
assert all(not unit["oddities"] for unit in units.values())' || fail "the session has other codes"
}
