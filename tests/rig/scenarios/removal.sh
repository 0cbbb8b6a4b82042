# The adapter is pulled out and plugged in again while the daemon records: the interface vanishes
# and another of the same name appears. The recording goes on with it.

guest() {
  interfaces_up can0 can1
  device=$(basename "$(readlink /sys/class/net/can0/device)")
  start_recording --source socketcan:can0=pack
  check "listening" retry 30 listening can0
  check "sent before" rig_transmit pattern=classic frames=1000 to=can1 list=/tmp/before.txt
  sleep 1
  echo "$device" >/sys/bus/pci/drivers/kvaser_pci/unbind
  check "can0 is gone" [ ! -e /sys/class/net/can0 ]
  check "sent unheard" rig_transmit pattern=classic seed=2 frames=200 to=can1
  sleep 2
  check "the daemon goes on" kill -0 $daemon
  echo "$device" >/sys/bus/pci/drivers/kvaser_pci/bind
  interfaces_up can0
  check "listening again" retry 30 listening can0
  check "sent after" rig_transmit pattern=classic seed=3 frames=1000 to=can1 list=/tmp/after.txt
  stop_recording
  no_overrun can0
  cat /tmp/before.txt /tmp/after.txt >/tmp/sent.txt
}

host() {
  boot guest
  passed guest
  copy_out sent.txt rig.session
  same_session sent.txt rig.session
  expect 0 proofdrive verify "$work/out/rig.session"
  case $(states rig.session) in
    *gone*up) ;;
    *) fail "states: $(states rig.session)" ;;
  esac
}
