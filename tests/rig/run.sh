#!/bin/bash
# run.sh BUILD_FOLDER SCENARIO: boots one scenario of tests/rig/scenarios and says whether it passed.
# Exit: 0 passed, 1 failed, 77 skipped because the emulator, the kernel package or a tool is
# missing; with PROOFDRIVE_RIG=required that is a failure. docs/rig.md has the rest.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "$1" && pwd)
name=$2
work=$build/rig/$name
kernel=$build/rig/kernel
export PATH=$PATH:/sbin:/usr/sbin

skip() {
  echo "SKIPPED: the rig cannot run: $1"
  [ "${PROOFDRIVE_RIG:-}" = required ] && exit 1
  exit 77
}

fail() {
  echo "FAILED: $1"
  exit 1
}

for tool in qemu-system-x86_64:qemu-system-x86 busybox:busybox-static cpio:cpio strip:binutils \
  modprobe:kmod ip:iproute2 mkfs.ext4:e2fsprogs debugfs:e2fsprogs python3:python3; do
  command -v "${tool%%:*}" >/dev/null || skip "${tool%%:*} is missing: install ${tool##*:}"
done
"$here/kernel.sh" "$kernel" || skip "Debian's kernel package linux-image-amd64 cannot be had"

rm -rf "$work" && mkdir -p "$work/out"
"$here/initramfs.sh" "$kernel" "$name" "$work/initramfs" "$build/tests/rig/rig_transmit" \
  "$build/tests/rig/rig_witness" "$build/tests/rig/rig_isotp" "$build/tests/rig/rig_units" "$build/bin/proofdrived" "$build/bin/proofdrive"

# boot STAGE [paced]: runs that function of the scenario in the guest; $boot_limit_s at most, and
# with $rig_options on the kernel's command line; a scenario may set both. The guest's
# clock counts emulated instructions, so a busy host does not disturb it. While the guest is idle the
# clock jumps to its next timer. "paced" lets it keep step with the host's clock then, and lets the
# disk be as slow as it is: for scenarios about the disk.
boot_limit_s=300
rig_options=
boot() {
  local log=$work/$1.console verdicts=$work/$1.verdicts began=$SECONDS status=0
  local sleep=off cache=unsafe
  [ "${2:-}" = paced ] && sleep=on cache=writethrough
  timeout --kill-after=5 "$boot_limit_s" qemu-system-x86_64 -accel tcg -icount "shift=1,sleep=$sleep" \
    -rtc base=2026-03-01T12:00:00,clock=vm -m 512 -nodefaults -no-user-config -display none \
    -no-reboot -kernel "$kernel/vmlinuz" -initrd "$work/initramfs" \
    -append "console=ttyS0 quiet panic=1 oops=panic rig_stage=$1 $rig_options" \
    -serial "file:$log" -serial "file:$verdicts" \
    -device isa-debug-exit,iobase=0xf4,iosize=1 \
    -drive "file=$work/disk.img,format=raw,if=none,id=disk,cache=$cache" \
    -device virtio-blk-pci,drive=disk \
    -object can-bus,id=b0 -device kvaser_pci,canbus=b0 -device kvaser_pci,canbus=b0 \
    -object can-bus,id=b1 -device kvaser_pci,canbus=b1 -device kvaser_pci,canbus=b1 ||
    status=$?
  sed "s/\r//; s/^/  $1 | /" "$log"
  echo "  $1: $((SECONDS - began)) s, emulator ended with $status"
  case $status in 124 | 137) fail "$1: time limit" ;; esac
  ! grep -a '^fail' "$verdicts" || fail "$1: see above"
}

# asked_of SESSION EXPRESSION: a Python expression over what `info` says about the session, as `s`.
asked_of() {
  proofdrive info --json "$work/out/$1" | python3 -c 'import json, sys
print(eval(sys.argv[1], {"s": json.load(sys.stdin)["sessions"][0]}))' "$2"
}

# states SESSION: what became of its channels, in order: "down up".
states() {
  asked_of "$1" '" ".join(e["text"] for e in s["events"] if e["kind"] == "channel state")'
}

# passed STAGE: the guest said so.
passed() { grep -qa "^pass: $1" "$work/$1.verdicts" || fail "$1: the guest gave no verdict"; }

# copy_out NAME...: files of the guest's disk to $work/out.
copy_out() {
  local file
  for file in "$@"; do
    debugfs -R "dump /$file $work/out/$file" "$work/disk.img" 2>/dev/null
    [ -s "$work/out/$file" ] || fail "the guest left no $file"
  done
}

# same_frames SENT RECORDED [OPTION...]: files of $work/out; see compare_frames.py.
same_frames() {
  local sent=$1 recorded=$2
  shift 2
  python3 "$here/compare_frames.py" "$work/out/$sent" "$work/out/$recorded" "$@" ||
    fail "$recorded is not what was sent"
}

# expect STATUS COMMAND...: its output goes to the log too.
expect() {
  local wanted=$1 status=0
  shift
  "$@" || status=$?
  [ "$status" = "$wanted" ] || fail "exit code $status instead of $wanted: $*"
}

# same_session SENT SESSION [OPTION...]: through the exporter, which the tools' users would use.
same_session() {
  local sent=$1 session=$2
  shift 2
  expect 0 proofdrive export "$work/out/$session" --to pcapng --out "$work/out/$session.pcapng"
  same_frames "$sent" "$session.pcapng" "$@"
}

proofdrive() { timeout 60 "$build/bin/proofdrive" "$@"; }

began=$SECONDS
. "$here/scenarios/$name.sh"
mkfs.ext4 -q "$work/disk.img" 64M >/dev/null
host
echo "PASSED: $name in $((SECONDS - began)) s"
