#!/usr/bin/env bash
# Makes reports of the bench vehicle and opens them in a real browser.
#   tests/browser/reports.sh FOLDER BIN    BIN holds proofdrived and proofdrive
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1/reports
bin=$2
rm -rf "$folder"
mkdir -p "$folder"

record() {  # NAME SCENARIO STAGE SPEED [OPTION...]
  "$bin/proofdrived" --source "bench:$2@$4" --sessions "$folder" --record "$1" --stage "$3" \
    --definitions "$here/../../decoders/library/bramble-seven.yaml" \
    --definitions "$here/../../decoders/library/bramble-seven-units.yaml" \
    --socket "$folder/$1.socket" --log-level error "${@:5}"
}
# Slow enough that control units can be asked for codes and versions meanwhile.
record before coolant-leak before-repair 10 --allow-requests &
first=$!
sleep 1
record after updated after-update 10 --allow-requests &
second=$!
record drive drive drive max
wait $first
wait $second
# Warnings are open or not proven: exit codes 1 and 3.
code=0
"$bin/proofdrive" compare "$folder/before.session" "$folder/after.session" \
  --report "$folder/comparison.html" >/dev/null || code=$?
[ $code = 1 ] || [ $code = 3 ]
"$bin/proofdrive" report "$folder/drive.session" --out "$folder/session.html" >/dev/null || [ $? = 1 ]
exec "$here/run.sh" "$1" report_test.mjs "$folder/comparison.html" "$folder/session.html"
