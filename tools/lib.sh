# What tools/demo and tools/check have in common: steps with their times, and builds that say how
# far they are. To be sourced; leaves `jobs` and the functions below.

jobs=$(nproc)
step_names=()
step_seconds=()
step_began=0

# step TEXT: ends the step before it and begins another.
step() {
  end_step
  printf '\n== %s (%s)\n' "$1" "$(date +%T)"
  step_names+=("$1")
  step_began=$SECONDS
}

end_step() {
  [ ${#step_names[@]} -gt ${#step_seconds[@]} ] || return 0
  step_seconds+=($((SECONDS - step_began)))
}

minutes() { printf '%d:%02d' $(($1 / 60)) $(($1 % 60)); }

# need DISK_MB MEMORY_MB: warns when there is less than what the builds take. Each compiler needs up
# to 700 MB; with less memory than that for each processor, fewer run at a time.
need() {
  local disk memory
  disk=$(df -Pm . | awk 'NR == 2 {print $4}')
  memory=$(awk '/^MemAvailable/ {print int($2 / 1024)}' /proc/meminfo)
  if [ "$disk" -lt "$1" ]; then
    echo "Only $disk MB of disk are free here, $1 MB are needed: make room first." >&2
    exit 2
  fi
  if [ "$memory" -lt "$2" ]; then
    echo "Only $memory MB of memory are free, $2 MB are needed: end other programs, or add swap space." >&2
    exit 2
  fi
  local most=$((memory / 700))
  [ "$most" -ge 1 ] || most=1
  [ "$jobs" -le "$most" ] || { jobs=$most; echo "Little memory: $jobs at a time are compiled." >&2; }
}

# Reads ninja's "[12/348] ..." and says how far it is: on a terminal in one line that changes, else a
# line for every tenth.
show_progress() {
  local began=$SECONDS line done_ all tenth=0 left
  while IFS= read -r line; do
    [[ $line =~ ^\[([0-9]+)/([0-9]+)\] ]] || continue
    done_=${BASH_REMATCH[1]} all=${BASH_REMATCH[2]}
    [ "$done_" -gt 0 ] || continue  # "[0/2] Re-checking ..."
    left=$(((SECONDS - began) * (all - done_) / done_))
    if [ -t 1 ]; then
      printf '\r  %d of %d compiled, about %s left   ' "$done_" "$all" "$(minutes "$left")"
    elif [ $((done_ * 10 / all)) -gt "$tenth" ]; then
      tenth=$((done_ * 10 / all))
      printf '  %d of %d compiled, %s so far, about %s left\n' "$done_" "$all" \
        "$(minutes $((SECONDS - began)))" "$(minutes "$left")"
    fi
  done
  [ ! -t 1 ] || printf '\r%60s\r' ''
}

# build PRESET [--target NAME...]: what is printed by the compiler is shown when it fails.
build() {
  local log
  log=$(mktemp)
  if ! cmake --preset "$1" >"$log" 2>&1; then
    cat "$log"
    rm -f "$log"
    echo "${0##*/}: the configuration of the $1 build failed; the messages above say why" >&2
    exit 1
  fi
  if ! cmake --build --preset "$1" "${@:2}" -- -j"$jobs" 2>&1 | tee "$log" | show_progress; then
    cat "$log"
    rm -f "$log"
    echo "${0##*/}: the $1 build failed; the messages above say where" >&2
    exit 1
  fi
  tail -n 1 "$log"
  rm -f "$log"
}
