"""Frame counts, median periods and backward steps of a recording kept as CSV, by plain arithmetic.

Usage: plain_periods.py IN.csv[.gz]. Prints JSON:
  {"frames": {channel: n}, "cross_steps": n, "largest_cross_step_ns": n, "channel_steps": n,
   "ids": {"channel/id/extended": {"frames": n, "median_period_ns": n or null}}}
The median of an even number of periods is the lower of the two middle ones.
Shares no code with the project.
"""
import csv
import gzip
import json
import sys
from decimal import Decimal


def main():
    opener = gzip.open if sys.argv[1].endswith(".gz") else open
    frames, times_of, last_of = {}, {}, {}
    previous = None
    cross_steps = largest = channel_steps = 0
    with opener(sys.argv[1], "rt", newline="") as file:
        for row in csv.DictReader(file):
            time_ns = int(Decimal(row["time_s"]) * 10 ** 9)
            channel = row["channel"]
            frames[channel] = frames.get(channel, 0) + 1
            key = f"{channel}/{int(row['id_hex'], 16)}/{row['extended']}"
            times_of.setdefault(key, []).append(time_ns)
            if previous and previous[1] != channel and time_ns < previous[0]:
                cross_steps += 1
                largest = max(largest, previous[0] - time_ns)
            if time_ns < last_of.get(channel, time_ns):
                channel_steps += 1
            previous = (time_ns, channel)
            last_of[channel] = time_ns
    ids = {}
    for key, times in times_of.items():
        periods = sorted(b - a for a, b in zip(times, times[1:]))
        median = periods[(len(periods) - 1) // 2] if periods else None
        ids[key] = {"frames": len(times), "median_period_ns": median}
    json.dump({"frames": frames, "cross_steps": cross_steps, "largest_cross_step_ns": largest,
               "channel_steps": channel_steps, "ids": ids}, sys.stdout)


if __name__ == "__main__":
    main()
