# What scenarios use inside the guest.

# One line to the host, with the guest's time. A "fail" decides.
verdict() {
  local line
  line="$1 ($(cut -d' ' -f1 /proc/uptime) s)"
  echo "$line"
  echo "$line" >/dev/ttyS1
}

# check TEXT COMMAND...: the scenario ends here when the command fails.
check() {
  local what=$1
  shift
  if "$@"; then
    verdict "ok: $what"
  else
    verdict "fail: $what ($*)"
    exit 1
  fi
}

# retry SECONDS COMMAND...: until it succeeds.
retry() {
  local tries=$(($1 * 10))
  shift
  while ! "$@" 2>/dev/null; do
    tries=$((tries - 1))
    [ "$tries" -gt 0 ] || return 1
    sleep 0.1
  done
}

# busybox's own ip, which its shell prefers, cannot set up CAN.
ip() { /bin/ip "$@"; }

# interfaces_up IFACE...: a classic bus at 500 kbit/s. The emulated controllers check no bit rate,
# but the driver refuses to start without one.
interfaces_up() {
  local interface
  for interface in "$@"; do
    ip link set "$interface" type can bitrate 500000
    ip link set "$interface" up
  done
}

# listening IFACE: some socket receives every frame of it.
listening() { grep -q "^ *$1  *[0-9a-f]" /proc/net/can/rcvlist_all; }

# start_recording OPTION...: the daemon records as "rig" into $sessions until stop_recording.
sessions=/tmp/sessions
start_recording() {
  mkdir -p "$sessions"
  start_daemon "$@" --record rig --stage arrival
}

# start_daemon OPTION...: with $as_user, as that user.
socket=/tmp/daemon.socket
as_user=
start_daemon() {
  set -- proofdrived "$@" --definitions /bramble-seven.yaml --sessions "$sessions" --socket "$socket"
  if [ -n "$as_user" ]; then
    su -s /bin/sh "$as_user" -c "exec $*" >>/tmp/daemon.log 2>&1 &
  else
    "$@" >>/tmp/daemon.log 2>&1 &
  fi
  daemon=$!
}

# The last frames are in the controller's queue for a moment; the clock is the guest's.
stop_recording() {
  sleep 1
  check "the daemon still runs" kill -TERM $daemon
  check "the daemon ended well" wait $daemon
  cp "$sessions"/* /mnt
}

# no_overrun IFACE...: the controller itself lost nothing, so whoever loses a frame is us.
no_overrun() {
  local interface
  for interface in "$@"; do
    check "no overrun on $interface" equals "$(statistic "$interface" rx_over_errors)" 0
  done
}

# statistic IFACE NAME
statistic() { cat "/sys/class/net/$1/statistics/$2"; }
equals() { [ "$1" = "$2" ] || { echo "$1 is not $2"; return 1; }; }
at_least() { [ "$1" -ge "$2" ] || { echo "$1 is less than $2"; return 1; }; }

# The power goes, at this very instruction: the emulator's exit device ends the process, and what
# the guest had not written to its disk is gone.
cut_power() {
  verdict "power cut"
  printf '\1' | dd of=/dev/port bs=1 seek=$((0xf4)) conv=notrunc 2>/dev/null
  sleep 10
  verdict "fail: the power did not go"
}
