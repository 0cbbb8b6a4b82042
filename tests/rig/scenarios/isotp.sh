# Our ISO 15765-2 against the kernel's can-isotp, which shares no code with it: both directions,
# lengths 1 to 4095 and beyond, three separations, blocks, 11 and 29 bits, extended addressing, FD.
# On two controllers of one network; for many lengths, and for every one in FD frames, on the
# kernel's virtual CAN.

guest() {
  interfaces_up can0 can1
  check "two controllers" rig_isotp can0 can1
  ip link add vcan0 type vcan
  ip link set vcan0 mtu 72 up
  check "many lengths" rig_isotp vcan0 vcan0 many
  check "every length, FD" rig_isotp vcan0 vcan0 fd
}

host() {
  boot guest
  passed guest
}
