#!/bin/bash
# repeat.sh BUILD_FOLDER SCENARIO TIMES: runs a scenario of the rig again and again and counts. For
# faults that depend on the moment, such as power_cut, which chooses another moment each time.
# Exit: 0 all passed, 1 some failed, 77 the rig cannot run here.
set -u
here=$(cd "$(dirname "$0")" && pwd)
passed=0
for ((round = 1; round <= $3; ++round)); do
  log=$1/rig/$2.repeat-$round.log
  mkdir -p "$1/rig"
  "$here/run.sh" "$1" "$2" >"$log" 2>&1
  status=$?
  [ $status = 77 ] && tail -1 "$log" && exit 77
  if [ $status = 0 ]; then
    passed=$((passed + 1))
    rm -f "$log"
  else
    echo "round $round failed, see $log: $(tail -1 "$log")"
  fi
done
echo "$2: $passed of $3 passed"
[ "$passed" = "$3" ]
