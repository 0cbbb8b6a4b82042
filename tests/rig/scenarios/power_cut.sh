# The power goes while the daemon records to a disk: after the next boot the session is recovered,
# and everything that was on the bus two seconds before the cut is in it.

sessions=/mnt/sessions
pattern="pattern=classic frames=50000"

guest() {
  interfaces_up can0 can1
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  # Long enough for a whole chunk (30 s) and a journal behind it.
  rig_transmit $pattern to=can1 &
  sleep 34
  verdict "received: $(statistic can0 rx_packets)"
  sleep "$(cat /mnt/moment)"
  no_overrun can0
  check "a chunk is written" [ "$(wc -c <$sessions/rig.session)" -gt 100000 ]
  verdict "received at the cut: $(statistic can0 rx_packets)"
  echo "not synced" >/mnt/unsynced
  cut_power
}

after() {
  check "the cut was real: what was not synced is gone" [ ! -e /mnt/unsynced ]
  check "readable as it is" proofdrive verify $sessions/rig.session
  check "recovered" proofdrive recover $sessions/rig.session
  check "sound again" proofdrive verify $sessions/rig.recovered.session
  cp $sessions/rig.recovered.session /mnt
}

host() {
  local received
  # Another moment each time: 2 to 5 s later.
  echo "$((RANDOM % 3 + 2)).$((RANDOM % 10))$((RANDOM % 10))" >"$work/moment"
  debugfs -w -R "write $work/moment moment" "$work/disk.img" 2>/dev/null
  echo "  cut $(cat "$work/moment") s after the count"
  boot guest paced
  grep -qa '^power cut' "$work/guest.verdicts" || fail "the power did not go"
  received=$(sed -n 's/^received: \([0-9]*\).*/\1/p' "$work/guest.verdicts")
  boot after
  passed after
  copy_out rig.recovered.session
  # The guest's own list went with the power; the same seed makes it again.
  expect 0 "$build/tests/rig/rig_transmit" $pattern "list=$work/out/sent.txt"
  same_session sent.txt rig.recovered.session --at-least "$received" --no-times
}
