# The rig itself, without the daemon: frames of every classic kind from one emulated controller to
# the other, seen by an independent witness with the kernel's time stamps.

guest() {
  interfaces_up can0 can1
  rig_witness can0 3000 /tmp/seen.txt &
  witness=$!
  check "listening" retry 5 listening can0
  check "all sent" rig_transmit pattern=classic frames=3000 to=can1 list=/tmp/sent.txt
  check "the witness saw all" wait $witness
  no_overrun can0
}

host() {
  boot guest
  passed guest
  copy_out sent.txt seen.txt
  same_frames sent.txt seen.txt
}
