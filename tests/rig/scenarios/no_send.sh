# Listening only: the daemon puts nothing on the bus unless it is told that it may. The transmit
# counter of its own controller and the receive counter of the other one both stay at zero, and a
# frame sent on purpose shows that they count.

guest() {
  interfaces_up can0 can1
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "vehicle sent" rig_transmit vehicle=coolant-leak "for=10 s" to=can1
  stop_recording
  check "the daemon says so" grep -q "Listening only: no frame is ever sent" /tmp/daemon.log
  check "can0 received" at_least "$(statistic can0 rx_packets)" 2000
  check "can0 sent nothing" equals "$(statistic can0 tx_packets)" 0
  check "can1 heard nothing" equals "$(statistic can1 rx_packets)" 0
  check "one frame sent on purpose" rig_transmit pattern=classic frames=1 to=can0
  sleep 1
  check "can0 counts" equals "$(statistic can0 tx_packets)" 1
  check "can1 counts" equals "$(statistic can1 rx_packets)" 1
}

host() {
  boot guest
  passed guest
}
