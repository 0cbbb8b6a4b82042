# What the kernel knows of the controllers is in the session: bit rate, mode, state and counters,
# and what changes while it is recorded. Who is not listen-only is told, with the command.

guest() {
  ip link set can0 type can bitrate 250000 listen-only on restart-ms 100
  ip link set can0 up
  interfaces_up can1 can2 can3
  start_recording --source socketcan:can0=pack --source socketcan:can2=drive
  check "listening on can0" retry 30 listening can0
  check "listening on can2" retry 30 listening can2
  check "can2 is told" grep -q "can2 is not listen-only.*ip link set can2 type can listen-only on" \
    /tmp/daemon.log
  check "can0 is not" equals "$(grep -c "can0 is not listen-only" /tmp/daemon.log)" 0
  check "sent" rig_transmit pattern=classic frames=500 to=can1 list=/tmp/before.txt
  sleep 1
  ip link set can0 down
  ip link set can0 type can bitrate 500000 listen-only off
  ip link set can0 up
  sleep 3
  check "now can0 is told" grep -q "can0 is not listen-only" /tmp/daemon.log
  check "sent again" rig_transmit pattern=classic seed=2 frames=500 to=can1 list=/tmp/after.txt
  stop_recording
  no_overrun can0
  cat /tmp/before.txt /tmp/after.txt >/tmp/sent.txt
}

# told CHANNEL KIND: the texts of such events, in order.
told() {
  asked_of rig.session \
    "'|'.join(e['text'] for e in s['events'] if e['kind'] == '$2' and e.get('channel') == $1)"
}

same() { [ "$1" = "$2" ] || fail "\"$1\" is not \"$2\""; }

host() {
  local muted="not listen-only: it acknowledges what it hears" notices
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  same "$(asked_of rig.session '[c["bitrate"] for c in s["channels"]]')" "[250000, 500000]"
  same "$(told 1 notice)" "controller: 500,000 bit/s, $muted, error active"
  notices=$(told 0 notice)
  same "${notices%%|*}" "controller: 250,000 bit/s, listen-only, error active"
  same "${notices##*|}" "controller now: 500,000 bit/s, $muted, error active"
  case $(told 0 "error counters") in
    *"bus errors 0, error warning 0, error passive 0, bus-off 0, lost arbitration 0"*) ;;
    *) fail "counters: $(told 0 "error counters")" ;;
  esac
}
