# An ordinary user without any capability runs the daemon: it records all the same. Only the receive
# buffer stays as small as the kernel allows everybody, and the daemon says how to change that.

guest() {
  interfaces_up can0 can1
  mkdir -p /etc /tmp/sessions
  echo "nobody:x:65534:65534::/tmp:/bin/sh" >/etc/passwd
  chmod 1777 /tmp
  chown nobody /tmp/sessions
  chmod 666 /tmp/daemon.log
  as_user=nobody
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "without rights" equals \
    "$(sed -n 's/^CapEff:[^0-9a-f]*//p' "/proc/$(pidof proofdrived)/status")" 0000000000000000
  check "told how to enlarge the buffer" grep -q "sysctl -w net.core.rmem_max=8170752" \
    /tmp/daemon.log
  sleep 1  # the small buffer does not cover the daemon's start
  check "sent" rig_transmit pattern=classic frames=1000 to=can1 list=/tmp/sent.txt
  stop_recording
  no_overrun can0
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
}
