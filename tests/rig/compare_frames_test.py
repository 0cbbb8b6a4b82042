"""The comparison must see every kind of fault, or the rig proves nothing."""

import struct
import unittest

import compare_frames
from compare_frames import Frame


def frames(count=6, channel=0):
    return [Frame(channel, 1000.0 + n, 0x100 + n, 0, 2, bytes([n, 7])) for n in range(count)]


def list_text(items):
    lines = [f"{f.channel} {f.time:.9f} {f.id:X} {f.flags:02X} {f.length} {f.data.hex() or '-'}"
             for f in items]
    return ("\n".join(lines) + "\n").encode()


def pcapng(packets, resolution=6):
    """A section header, one interface and packets of (time in ticks, bytes)."""
    def block(kind, body):
        body += b"\0" * (-len(body) % 4)
        return struct.pack("<II", kind, len(body) + 12) + body + struct.pack("<I", len(body) + 12)

    option = struct.pack("<HHB3x", 9, 1, resolution) + struct.pack("<HH", 0, 0)
    file = block(0x0A0D0D0A, struct.pack("<IHHq", 0x1A2B3C4D, 1, 0, -1))
    file += block(1, struct.pack("<HHI", 227, 0, 0) + option)
    for ticks, data in packets:
        head = struct.pack("<IIIII", 0, ticks >> 32, ticks & 0xFFFFFFFF, len(data), len(data))
        file += block(6, head + data)
    return file


class ComparisonTest(unittest.TestCase):
    def test_same_frames_pass(self):
        self.assertIsNone(compare_frames.compare(frames(), frames()))

    def test_lost_frame_is_found(self):
        recorded = frames()
        del recorded[2]
        self.assertIn("frame 2", compare_frames.compare(frames(), recorded))

    def test_lost_last_frame_is_found(self):
        self.assertIn("6 frames sent, 5 recorded", compare_frames.compare(frames(), frames(5)))

    def test_duplicated_last_frame_is_found(self):
        recorded = frames() + [frames()[-1]]
        self.assertIn("6 frames sent, 7 recorded", compare_frames.compare(frames(), recorded))

    def test_reordered_frames_are_found(self):
        recorded = frames()
        recorded[1], recorded[2] = recorded[2], recorded[1]
        self.assertIn("frame 1", compare_frames.compare(frames(), recorded))

    def test_each_altered_field_is_found(self):
        for change in ({"id": 0x7FF}, {"flags": 1}, {"length": 1}, {"data": b"\x02\x08"}):
            recorded = frames()
            recorded[3] = recorded[3]._replace(**change)
            self.assertIn("frame 3", compare_frames.compare(frames(), recorded), change)

    def test_frame_on_the_wrong_channel_is_found(self):
        recorded = frames()
        recorded[5] = recorded[5]._replace(channel=1)
        self.assertIsNotNone(compare_frames.compare(frames(), recorded))

    def test_empty_recording_fails(self):
        self.assertEqual("nothing was recorded", compare_frames.compare(frames(), []))

    def test_received_before_sent_is_found(self):
        recorded = frames()
        recorded[4] = recorded[4]._replace(time=recorded[4].time - 0.001)
        self.assertIn("frame 4", compare_frames.compare(frames(), recorded))

    def test_received_much_later_is_found(self):
        recorded = frames()
        recorded[4] = recorded[4]._replace(time=recorded[4].time + 6)
        self.assertIn("frame 4", compare_frames.compare(frames(), recorded))

    def test_times_that_run_backward_are_found(self):
        recorded = frames()
        recorded[3] = recorded[3]._replace(time=recorded[4].time + 0.5)
        self.assertIn("frame 4: received before", compare_frames.compare(frames(), recorded))

    def test_early_end_passes_only_when_enough_is_there(self):
        self.assertIsNone(compare_frames.compare(frames(), frames(4), at_least=4))
        self.assertIn("5 must have been safe",
                      compare_frames.compare(frames(), frames(4), at_least=5))

    def test_gap_is_found_when_an_early_end_is_allowed(self):
        recorded = frames()
        del recorded[1]
        self.assertIn("frame 1", compare_frames.compare(frames(), recorded, at_least=1))

    def test_admitted_losses_pass_only_when_the_number_is_right(self):
        recorded = frames()
        del recorded[1:3]
        self.assertIsNone(compare_frames.compare(frames(), recorded, missing=2))
        self.assertIsNotNone(compare_frames.compare(frames(), recorded, missing=1))
        self.assertIsNotNone(compare_frames.compare(frames(), recorded, missing=3))

    def test_reordering_is_found_beside_admitted_losses(self):
        recorded = frames()
        del recorded[1]
        recorded[2], recorded[3] = recorded[3], recorded[2]
        self.assertIsNotNone(compare_frames.compare(frames(), recorded, missing=1))

    def test_reads_its_own_list(self):
        mixed = frames() + [Frame(1, 2000.5, 0x18DAF110, 3, 4, b"")]
        self.assertEqual(mixed, list(compare_frames.read_list(list_text(mixed))))

    def test_reads_pcapng(self):
        file = pcapng([
            (1_500_000, struct.pack(">IBBxx", 0x80000000 | 0x18DAF110, 2, 0) + b"\x01\x02"),
            (1_625_000, struct.pack(">IBBxx", 0x40000000 | 0x123, 5, 0)),
            (1_750_000, struct.pack(">IBBxx", 0x123, 12, 5) + bytes(12)),
        ])
        self.assertEqual([
            Frame(0, 1.5, 0x18DAF110, 1, 2, b"\x01\x02"),
            Frame(0, 1.625, 0x123, 2, 5, b""),
            Frame(0, 1.75, 0x123, 0x18, 12, bytes(12)),
        ], list(compare_frames.read_pcapng(file)))


if __name__ == "__main__":
    unittest.main()
