# Everything goes wrong, at random, while traffic never stops: the interface flaps, somebody sends
# SIGHUP, the clock is set, and the disk fills up for a while. Nothing may be
# lost outside the gaps that the sessions report. Half a minute by default; longer with
# PROOFDRIVE_SOAK_S=1200 tests/rig/run.sh BUILD soak.

rig_options="rig_soak_s=${PROOFDRIVE_SOAK_S:-30}"
boot_limit_s=$((280 + ${PROOFDRIVE_SOAK_S:-30} * 4))
sessions=/mnt/sessions

recorded=0
start_next() {
  recorded=$((recorded + 1))
  retry 20 proofdrive record start "soak-$recorded" --stage drive --socket "$socket"
}

flap() {
  ip link set can0 down
  sleep "$1"
  ip link set can0 up
  flaps=$((flaps + 1))
}

set_clock() {
  date -s "@$(($(date +%s) + $1))" >/dev/null
  steps=$((steps + 1))
}

paused() { proofdrive status --json --socket "$socket" | grep -q '"paused":"the disk'; }
going_on() { proofdrive status --json --socket "$socket" | grep -q '"paused":""'; }

# Leaves less than what the daemon keeps free for completing a session.
fill_disk() {
  fallocate -l "$(($(df -k /mnt | awk 'END {print $4}') - 10240))k" /mnt/filler
  check "the recording pauses on a full disk" retry 20 paused
  rm /mnt/filler
  check "recording goes on" retry 20 going_on
  fulls=$((fulls + 1))
}

RANDOM=20260301  # the seed: the same every time
guest() {
  length=$(sed -n 's/.*rig_soak_s=\([0-9]*\).*/\1/p' /proc/cmdline)
  flaps=0 steps=0 hangups=0 fulls=0
  interfaces_up can0 can1
  mkdir -p $sessions
  start_daemon --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "recording" start_next
  rig_transmit pattern=classic frames=$((length * 100)) "every=10 ms" to=can1 list=/tmp/sent.txt &
  sender=$!
  # One of each at least, then whatever comes; the kinds in turn, the times at random.
  kind=0
  while sleep $((2 + RANDOM % 4)) && kill -0 $sender 2>/dev/null; do
    case $((kind % 4)) in
      0) flap $((1 + RANDOM % 3)) ;;
      1) kill -HUP $daemon && hangups=$((hangups + 1)) ;;
      2) set_clock $((RANDOM % 7200 - 3600)) ;;
      3) fill_disk ;;
    esac
    kind=$((kind + 1))
  done
  check "everything was sent" wait $sender
  check "enough went wrong" at_least $kind 4
  sleep 2
  check "the daemon still runs" kill -TERM $daemon
  check "the daemon ended well" wait $daemon
  no_overrun can0
  cp $sessions/* /mnt
  echo "sessions=$recorded flaps=$flaps steps=$steps hangups=$hangups fulls=$fulls" | tee /tmp/soak.txt
}

host() {
  local number files=""
  boot guest
  passed guest
  copy_out soak.txt sent.txt
  cat "$work/out/soak.txt"
  for number in $(seq "$(sed 's/sessions=\([0-9]*\).*/\1/' "$work/out/soak.txt")"); do
    copy_out "soak-$number.session"
    expect 0 proofdrive verify "$work/out/soak-$number.session"
    expect 0 proofdrive export "$work/out/soak-$number.session" --to pcapng \
      --out "$work/out/soak-$number.pcapng"
    expect 0 proofdrive info --json "$work/out/soak-$number.session" >"$work/out/soak-$number.json"
    files="$files $work/out/soak-$number"
  done
  # shellcheck disable=SC2086
  python3 "$here/check_soak.py" "$work/out/sent.txt" "$work/out/soak.txt" $files ||
    fail "frames are missing that no session admits"
}
