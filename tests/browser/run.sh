#!/usr/bin/env bash
# Runs one test in a real browser.
#   tests/browser/run.sh FOLDER TEST.mjs [ARGUMENT...]    FOLDER: for the test library and results
# Exit status 77 (skipped) when Chromium, node or the test library (npm) is not to be had;
# PROOFDRIVE_BROWSER=required turns that into a failure.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1
shift

skip() {
  echo "SKIPPED: $*" >&2
  [ "${PROOFDRIVE_BROWSER:-}" = required ] && exit 1
  exit 77
}
command -v chromium >/dev/null || skip 'no chromium; tools/packages check installs it'
command -v node >/dev/null || skip 'no node; tools/packages check installs it'
node -e 'process.exit(parseInt(process.versions.node) < 20 ? 1 : 0)' || skip "node $(node --version) is older than 20"
mkdir -p "$folder"
(
  flock 9
  if ! cmp -s "$here/package-lock.json" "$folder/package-lock.json"; then
    command -v npm >/dev/null || exit 77
    cp "$here"/package.json "$here"/package-lock.json "$folder/"
    npm ci --prefix "$folder" --no-audit --no-fund --ignore-scripts --silent || {
      rm -f "$folder/package-lock.json"
      exit 77
    }
  fi
) 9>"$folder/lock" || skip 'npm could not install the test library'
cp "$here"/*.mjs "$folder/"
script=$1
shift
cd "$folder"
exec node "$script" "$@"
