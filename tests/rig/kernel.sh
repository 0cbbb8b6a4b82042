#!/bin/bash
# kernel.sh FOLDER: puts Debian's kernel and the modules the rig needs into FOLDER:
#   vmlinuz, *.ko and load_order (module files, in the order they must be loaded).
# The package is downloaded and unpacked, never installed. What is there already is kept.
set -euo pipefail
folder=$1
# Scenarios run beside each other; the first one fetches for all.
mkdir -p "${folder%/*}"
exec 9>"$folder.lock"
flock 9
modules=(virtio_pci virtio_blk ext4 can can-dev can-raw can-isotp vcan sja1000 kvaser_pci)

if [ -e "$folder/load_order" ] && [ "$(cat "$folder/wanted" 2>/dev/null)" = "${modules[*]}" ]; then
  exit 0
fi
rm -rf "$folder" && mkdir -p "$folder/package" && cd "$folder/package"

package=$(apt-cache depends linux-image-amd64 | sed -n 's/^ *Depends: \(linux-image-[0-9].*\)/\1/p' |
  head -n 1)
[ -n "$package" ] || { echo "apt knows no linux-image-amd64: run apt-get update" >&2; exit 1; }
timeout 120 apt-get download -qq "$package" 2>download.log ||
  { cat download.log >&2; echo "could not download $package: run apt-get update" >&2; exit 1; }
dpkg-deb -x ./*.deb root

version=$(ls root/lib/modules)
/sbin/depmod -b root "$version"
for module in "${modules[@]}"; do
  /sbin/modprobe -d "$PWD/root" -S "$version" --show-depends "$module"
done | awk '$1 == "insmod" && !seen[$2]++ {print $2}' |
  grep -v crc32c-intel >order  # a faster form of crc32c_generic; the emulated processor lacks it
xargs -a order cp -t "$folder"
cp "root/boot/vmlinuz-$version" "$folder/vmlinuz"
sed 's|.*/||' order >"$folder/load_order.new"
echo "${modules[*]}" >"$folder/wanted"
cd "$folder" && rm -rf package && mv load_order.new load_order
