#!/usr/bin/env python3
"""Whether every frame that is missing from a row of sessions lies in a gap that they report.

check_soak.py SENT COUNTS SESSION...: SENT is a list of tests/rig/frame_list.h, COUNTS a line such as
"sessions=2 flaps=3 steps=1 hangups=1 fulls=1" of what was done, SESSION.pcapng and SESSION.json are the export
and the `info` of each session, in order. A gap is from "down" to "up" of an interface, the time a
full disk took, or from the end of a session to the start of the next. Exit 1 with the first fault.
"""

import datetime
import json
import sys

import compare_frames

# Between what happens and when the daemon notes it.
NOTED_S = 1.0
# Begins the event about a full disk; its step is how long that took.
PAUSED = "nothing was stored for "
# A full disk is noticed and mended within seconds; more would be a gap nobody reported.
LONGEST_BETWEEN_SESSIONS_S = 30.0


def seconds(text):
    """"2026-03-01T12:00:13.926872918Z" since 1970."""
    whole, fraction = text.rstrip("Z").split(".")
    date = datetime.datetime.fromisoformat(whole).replace(tzinfo=datetime.timezone.utc)
    return date.timestamp() + float("0." + fraction)


def gaps_inside(info):
    """(from, to) of each time the interface was down; to the session's end when it stayed so."""
    began = None
    for event in info["events"]:
        if event["text"].startswith(PAUSED):
            yield seconds(event["time"]) - event["step_s"], seconds(event["time"])
        if event["kind"] != "channel state":
            continue
        if event["text"] in ("down", "gone") and began is None:
            began = seconds(event["time"])
        if event["text"] == "up" and began is not None:
            yield began, seconds(event["time"])
            began = None
    if began is not None:
        yield began, seconds(info["last"]) + NOTED_S


def find_missing(sent, recorded):
    """The sent frames that were not recorded; None when something was recorded that was not sent, or
    in another order."""
    missing, position = [], 0
    for frame in recorded:
        while position < len(sent) and not compare_frames.same(sent[position], frame):
            missing.append(sent[position])
            position += 1
        if position == len(sent):
            return None
        position += 1
    return missing + sent[position:]


def check(sent, counts, sessions):
    """None, or what is wrong. `sessions` are pairs of frames and info."""
    recorded = [f for frames, _ in sessions for f in frames if not f.flags & compare_frames.ERROR]
    missing = find_missing(sent, recorded)
    if missing is None:
        return "something was recorded that was not sent, or in another order"
    gaps = [gap for _, info in sessions for gap in gaps_inside(info)]
    for (_, before), (_, after) in zip(sessions, sessions[1:]):
        gaps.append((seconds(before["last"]), seconds(after["started"])))
        if gaps[-1][1] - gaps[-1][0] > LONGEST_BETWEEN_SESSIONS_S:
            return f"{gaps[-1][1] - gaps[-1][0]:.1f} s between two sessions"
    for frame in missing:
        if not any(a - NOTED_S <= frame.time <= b + NOTED_S for a, b in gaps):
            return f"missing outside every gap: {compare_frames.describe(frame)} at {frame.time:.6f}"
    kinds = [(e["kind"], e["text"]) for _, info in sessions for e in info["events"]]
    downs = sum(kind == "channel state" and text == "down" for kind, text in kinds)
    steps = sum(kind == "clock step" for kind, _ in kinds)
    if len(sessions) != counts["sessions"] or downs < counts["flaps"]:
        return f"{len(sessions)} sessions and {downs} downs of {counts}"
    fulls = sum(text.startswith(PAUSED) for _, text in kinds)
    if fulls != counts["fulls"]:
        return f"{fulls} full disks noted of {counts['fulls']}"
    if steps != counts["steps"]:
        return f"{steps} clock steps noted of {counts['steps']}"
    print(f"{len(sent)} frames sent, {len(recorded)} recorded, {len(missing)} missing, all of them in "
          f"{len(gaps)} reported gaps")
    return None


def main():
    sent_path, counts_path, *stems = sys.argv[1:]
    with open(counts_path, encoding="ascii") as file:
        counts = {key: int(value) for key, value in
                  (word.split("=") for word in file.read().split())}
    sessions = []
    for stem in stems:
        with open(stem + ".json", encoding="utf-8") as file:
            info = json.load(file)["sessions"][0]
        sessions.append((compare_frames.read_frames(stem + ".pcapng"), info))
    fault = check(compare_frames.read_frames(sent_path), counts, sessions)
    if fault:
        print(fault)
    return 1 if fault else 0


if __name__ == "__main__":
    sys.exit(main())
