#!/bin/bash
# initramfs.sh KERNEL SCENARIO OUT PROGRAM...: packs a file system for the guest into OUT: busybox,
# Debian's ip, the modules of KERNEL, the guest's scripts, the bench vehicle's definition file, and
# the programs with the libraries they need.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
kernel=$1 scenario=$2 out=$3
shift 3

root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
chmod 755 "$root"  # it becomes the guest's root folder, for every user
mkdir -p "$root"/{bin,dev,proc,sys,tmp,mnt,modules}
cp "$kernel"/*.ko "$kernel/load_order" "$root/modules"
install -m 755 "$(command -v busybox)" "$root/bin/busybox"
install -m 755 "$here/guest/init" "$root/init"
cp "$here"/guest/*.sh "$here"/../../decoders/library/bramble-seven*.yaml "$root"
cp "$here/scenarios/$scenario.sh" "$root/scenario.sh"

for program in "$(command -v ip || echo /sbin/ip)" "$@"; do
  strip -o "$root/bin/$(basename "$program")" "$program"
  ldd "$program"
done | grep -o '/[^ ]*' | sort -u | while read -r library; do
  mkdir -p "$root$(dirname "$library")"
  cp -L "$library" "$root$library"
done

(cd "$root" && find . | cpio --quiet -o -H newc) >"$out.new"
mv "$out.new" "$out"
