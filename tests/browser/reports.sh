#!/usr/bin/env bash
# Makes reports of the bench vehicle and opens them in a real browser.
#   tests/browser/reports.sh FOLDER BIN    BIN holds proofdrived and proofdrive
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1/reports
bin=$2
rm -rf "$folder"
mkdir -p "$folder"

record() {  # NAME SCENARIO
  "$bin/proofdrived" --source "bench:$2xmax" --sessions "$folder" --record "$1" \
    --definitions "$here/../../decoders/library/bramble-e3.yaml" --socket "$folder/socket" \
    --log-level error
}
record arrival coolant-leak
record repaired repaired
# Warnings are open in both: exit code 1.
"$bin/proofdrive" compare "$folder/arrival.session" "$folder/repaired.session" \
  --report "$folder/comparison.html" >/dev/null || [ $? = 1 ]
"$bin/proofdrive" report "$folder/repaired.session" --out "$folder/session.html" >/dev/null || [ $? = 1 ]
exec "$here/run.sh" "$1" report_test.mjs "$folder/comparison.html" "$folder/session.html"
