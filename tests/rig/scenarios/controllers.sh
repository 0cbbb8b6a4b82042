# The rig itself, without the daemon: frames of every classic kind from one emulated controller to
# the other, seen by an independent witness with the kernel's time stamps.

disk_files() { :; }

guest() {
  interfaces_up can0 can1
  rig_witness can0 3000 /mnt/seen.txt &
  retry 5 grep -q '^.*can0' /proc/net/can/rcvlist_all
  check "sent" rig_transmit pattern=classic frames=3000 to=can1 list=/mnt/sent.txt
  check "witness saw all" wait $!
  check "no overrun" equals "$(statistic can0 rx_over_errors)" 0
  ip -details -statistics link show can0
}

host() {
  boot guest
  passed guest
  copy_out sent.txt seen.txt
  same_frames sent.txt seen.txt
}
