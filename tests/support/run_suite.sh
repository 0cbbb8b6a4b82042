#!/usr/bin/env bash
# run_suite.sh PROGRAM SUITE: runs one suite of a GoogleTest program. Exit status 77 when all that ran
# passed but a test of it was skipped: ctest then names the suite among those that did not run whole.
set -uo pipefail
output=$("$1" "--gtest_filter=$2.*" 2>&1)
status=$?
printf '%s\n' "$output"
[ "$status" = 0 ] || exit "$status"
[[ $output != *'[  SKIPPED ]'* ]] || exit 77
# A filter that names nothing passes, too.
[[ $output != *'Running 0 tests'* ]]
