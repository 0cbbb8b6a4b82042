#!/usr/bin/env python3
"""Holds the verdicts of `proofdrive compare --json` against what was really so in the bench vehicle.

check_verdicts.py TRUTH_BEFORE TRUTH_AFTER COMPARISON
"""

import json
import sys

# A warning that is there all along shows after the delay its definition asks for.
FROM_THE_START_S = 10


def expected(before, after):
    """From the meaning of the verdicts in docs/verdicts.md, for histories of at most one stretch."""
    if not after["evidence"]:
        return "no evidence"
    if after["set"]:
        (stretch,) = after["set"]
        if not before["set"]:
            return "new"
        if after["on_at_end"]:
            return "still on" if stretch["from_s"] < FROM_THE_START_S else "came back"
    elif not before["set"]:
        return "off in both"
    return "cleared" if after["proven"] else "not proven"


def main():
    before, after, comparison = (json.load(open(path, encoding="utf-8")) for path in sys.argv[1:])
    wanted = {name: expected(before["warnings"][name], truth)
              for name, truth in after["warnings"].items()}
    given = {w["name"]: w["verdict"] for w in comparison["warnings"] if w["kind"] == "warning"}
    wrong = [f"{name}: {given.get(name)} instead of {wanted.get(name)}"
             for name in sorted(wanted.keys() | given.keys()) if given.get(name) != wanted.get(name)]
    missing = {"still on", "not proven", "no evidence", "cleared", "off in both"} - set(given.values())
    if missing:
        wrong.append(f"the scenario should show also: {', '.join(sorted(missing))}")
    print("\n".join(wrong) or f"{len(given)} verdicts as they should be")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
