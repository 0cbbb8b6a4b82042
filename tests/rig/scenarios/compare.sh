# The whole way of a repair over the emulated buses: the bench vehicle as bought and as repaired,
# recorded by the daemon, compared by the tool, and the verdicts held against what was really so. 56 s
# of each show every kind of verdict but "new" and "came back", and are clear of the 60 s that some
# proofs need, so that the first milliseconds decide nothing.

guest() {
  interfaces_up can0 can1 can2 can3
  for scenario in coolant-leak repaired; do
    sessions=/tmp/$scenario
    start_recording --source socketcan:can0=pack --source socketcan:can2=drive
    check "listening on can0" retry 30 listening can0
    check "listening on can2" retry 30 listening can2
    check "$scenario sent" rig_transmit vehicle=$scenario "for=56 s" to=can1,can3 \
      list=/tmp/$scenario.txt truth=/tmp/$scenario.truth.txt
    stop_recording
    mv /mnt/rig.session /mnt/$scenario.session
  done
  no_overrun can0 can2
}

host() {
  boot guest
  passed guest
  copy_out coolant-leak.session repaired.session coolant-leak.txt repaired.txt \
    coolant-leak.truth.txt repaired.truth.txt
  same_session coolant-leak.txt coolant-leak.session
  same_session repaired.txt repaired.session
  expect 1 proofdrive compare "$work/out/coolant-leak.session" "$work/out/repaired.session" \
    --json "$work/out/compare.json"
  expect 0 python3 "$here/check_verdicts.py" "$work/out/coolant-leak.truth.txt" \
    "$work/out/repaired.truth.txt" "$work/out/compare.json"
}
