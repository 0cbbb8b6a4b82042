#!/usr/bin/env python3
"""check_soak.py finds what it is there to find."""

import unittest

import check_soak
from compare_frames import Frame

START = 1772366400.0  # 2026-03-01T12:00:00Z


def text(second):
    return f"2026-03-01T12:{int(second) // 60:02d}:{int(second) % 60:02d}.000000000Z"


def frames(*numbers):
    """One frame per second; the number is the identifier."""
    return [Frame(0, START + n, n, 0, 1, b"x") for n in numbers]


def info(first, last, *events):
    return {"started": text(first), "last": text(last),
            "events": [{"kind": kind, "text": what, "time": text(when), "step_s": float(sum(step))}
                       for when, kind, what, *step in events]}


def counts(sessions=1, flaps=0, steps=0, fulls=0):
    return {"sessions": sessions, "flaps": flaps, "steps": steps, "fulls": fulls}


class CheckSoakTest(unittest.TestCase):
    def setUp(self):
        self.sent = frames(*range(60))

    def test_all_there(self):
        self.assertIsNone(check_soak.check(self.sent, counts(), [(frames(*range(60)), info(0, 59))]))

    def test_missing_while_down(self):
        down = info(0, 59, (20, "channel state", "down"), (25, "channel state", "up"))
        kept = frames(*range(20), *range(26, 60))
        self.assertIsNone(check_soak.check(self.sent, counts(flaps=1), [(kept, down)]))
        self.assertIn("flaps", check_soak.check(self.sent, counts(flaps=2), [(kept, down)]))

    def test_missing_outside(self):
        down = info(0, 59, (20, "channel state", "down"), (25, "channel state", "up"))
        kept = frames(*range(20), *range(26, 40), *range(41, 60))
        self.assertIn("outside every gap", check_soak.check(self.sent, counts(flaps=1), [(kept, down)]))

    def test_missing_while_the_disk_was_full(self):
        full = info(0, 59, (26, "notice", "nothing was stored for 6.000 s because", 6))
        kept = frames(*range(20), *range(26, 60))
        self.assertIsNone(check_soak.check(self.sent, counts(fulls=1), [(kept, full)]))
        self.assertIn("full disks", check_soak.check(self.sent, counts(fulls=2), [(kept, full)]))
        kept = frames(*range(15), *range(26, 60))
        self.assertIn("outside every gap", check_soak.check(self.sent, counts(fulls=1), [(kept, full)]))

    def test_missing_between_sessions(self):
        kept = [(frames(*range(30)), info(0, 29)), (frames(*range(35, 60)), info(35, 59))]
        self.assertIsNone(check_soak.check(self.sent, counts(sessions=2), kept))
        late = [(frames(*range(10)), info(0, 9)), (frames(*range(50, 60)), info(50, 59))]
        self.assertIn("between two sessions", check_soak.check(self.sent, counts(sessions=2), late))

    def test_twice_or_disordered(self):
        for numbers in ([0, 1, 1, 2], [0, 2, 1, 3]):
            kept = [(frames(*numbers), info(0, 59))]
            self.assertIn("not sent", check_soak.check(frames(*range(4)), counts(), kept))

    def test_unnoted_clock_step(self):
        kept = [(frames(*range(60)), info(0, 59))]
        self.assertIn("clock steps", check_soak.check(self.sent, counts(steps=1), kept))

    def test_missing_at_the_end(self):
        kept = [(frames(*range(50)), info(0, 49))]
        self.assertIn("outside every gap", check_soak.check(self.sent, counts(), kept))


if __name__ == "__main__":
    unittest.main()
