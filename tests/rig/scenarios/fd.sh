# CAN FD frames of every length, with and without bit-rate switch, between classic and remote ones.
# The emulated controllers are classic, so this goes over the kernel's virtual CAN.

guest() {
  ip link add vcan0 type vcan
  ip link set vcan0 mtu 72 up
  start_recording --source socketcan:vcan0=pack
  check "listening" retry 30 listening vcan0
  check "sent" rig_transmit pattern=fd frames=5000 to=vcan0 list=/tmp/sent.txt
  stop_recording
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  expect 0 proofdrive verify "$work/out/rig.session"
}
