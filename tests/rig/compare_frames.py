#!/usr/bin/env python3
"""Compares the frames that were sent with those that were recorded.

compare_frames.py SENT RECORDED [--at-least N] [--missing N] [--no-times]

SENT is a list of tests/rig/frame_list.h; RECORDED is such a list or a pcapng file. Every frame must
be there, once, unaltered and in order, and its receive time must follow its sending time. Exit 0
when so, 1 with the first difference when not.
"""

import argparse
import collections
import struct
import sys

# A recording keeps microseconds; delivery takes at most the emulated machine's scheduling delay.
EARLY_S = 2e-6
LATE_S = 5.0

Frame = collections.namedtuple("Frame", "channel time id flags length data")

EXTENDED, REMOTE, ERROR, FLEXIBLE, RATE_SWITCH, ERROR_STATE = 1, 2, 4, 8, 16, 32


def read_list(text):
    for line in text.decode("ascii").splitlines():
        channel, time, identifier, flags, length, data = line.split()
        yield Frame(int(channel), float(time), int(identifier, 16), int(flags, 16), int(length),
                    b"" if data == "-" else bytes.fromhex(data))


def blocks(data):
    """Blocks of a little-endian pcapng file: (type, body). IETF draft-ietf-opsawg-pcapng, section 3."""
    offset = 0
    while offset < len(data):
        kind, length = struct.unpack_from("<II", data, offset)
        yield kind, data[offset + 8:offset + length - 4]
        offset += length


def options(body, offset):
    """Options of a block from `offset` on, by code (section 3.5 of the draft)."""
    found = {}
    while offset + 4 <= len(body):
        code, length = struct.unpack_from("<HH", body, offset)
        found[code] = body[offset + 4:offset + 4 + length]
        offset += 4 + (length + 3) // 4 * 4
    return found


def frame_of_packet(channel, time, packet):
    """LINKTYPE_CAN_SOCKETCAN: big-endian identifier, length, FD flags, two bytes, data."""
    identifier, length, fd_flags = struct.unpack_from(">IBB", packet)
    flags = (EXTENDED if identifier & 0x80000000 else 0) | (REMOTE if identifier & 0x40000000 else 0)
    flags |= ERROR if identifier & 0x20000000 else 0
    if fd_flags & 4 or len(packet) == 72:
        flags |= FLEXIBLE | (RATE_SWITCH if fd_flags & 1 else 0)
        flags |= ERROR_STATE if fd_flags & 2 else 0
    data = b"" if flags & REMOTE else bytes(packet[8:8 + length])
    return Frame(channel, time, identifier & 0x1FFFFFFF, flags, length, data)


def read_pcapng(data):
    ticks = []
    for kind, body in blocks(data):
        if kind == 1:  # interface description
            if struct.unpack_from("<H", body)[0] != 227:
                raise ValueError("not LINKTYPE_CAN_SOCKETCAN")
            resolution = options(body, 8).get(9, b"\x06")[0]
            ticks.append(2.0**-(resolution & 127) if resolution & 128 else 10.0**-resolution)
        elif kind == 6:  # enhanced packet
            channel, high, low, length = struct.unpack_from("<IIII", body)
            yield frame_of_packet(channel, ((high << 32) | low) * ticks[channel],
                                  body[20:20 + length])


def read_frames(path):
    with open(path, "rb") as file:
        data = file.read()
    return list(read_pcapng(data) if data[:4] == b"\x0a\x0d\x0d\x0a" else read_list(data))


def same(sent, recorded):
    """Everything but the time. The channel numbers are the bus numbers on both sides."""
    return sent[0] == recorded[0] and sent[2:] == recorded[2:]


def describe(frame):
    return (f"channel {frame.channel} id {frame.id:X} flags {frame.flags:02X} "
            f"length {frame.length} data {frame.data.hex() or '-'}")


def first_difference(sent, recorded):
    for number, (a, b) in enumerate(zip(sent, recorded)):
        if not same(a, b):
            return f"frame {number}: sent {describe(a)}, recorded {describe(b)}"
    if len(sent) != len(recorded):
        return f"{len(sent)} frames sent, {len(recorded)} recorded"
    return None


def without_missing(sent, recorded, missing):
    """The sent frames that the recording has, when it lacks `missing` of them, else all."""
    found, candidates = [], iter(sent)
    for frame in recorded:
        found.extend(next(([c] for c in candidates if same(c, frame)), []))
    return found if len(found) == len(sent) - missing else sent


def time_fault(sent, recorded):
    latest = 0.0
    for number, (a, b) in enumerate(zip(sent, recorded)):
        if not -EARLY_S <= b.time - a.time <= LATE_S:
            return f"frame {number}: sent at {a.time:.6f}, received at {b.time:.6f}"
        if b.time < latest:
            return f"frame {number}: received before the one in front of it"
        latest = b.time
    return None


def compare(sent, recorded, at_least=None, times=True, missing=0):
    """None, or the first thing that is wrong. `at_least` allows the recording to end early, `missing`
    says how many frames it admits to have lost. Error messages count only when some were sent."""
    if not any(frame.flags & ERROR for frame in sent):
        recorded = [frame for frame in recorded if not frame.flags & ERROR]
    if not recorded:
        return "nothing was recorded"
    if at_least is not None:
        if len(recorded) < at_least:
            return f"{len(recorded)} frames recorded, {at_least} must have been safe"
        sent = sent[:len(recorded)]
    if missing:
        sent = without_missing(sent, recorded, missing)
    for channel in sorted({frame.channel for frame in sent} | {f.channel for f in recorded}):
        a = [frame for frame in sent if frame.channel == channel]
        b = [frame for frame in recorded if frame.channel == channel]
        fault = first_difference(a, b) or (times and time_fault(a, b))
        if fault:
            return f"channel {channel}: {fault}"
    return None


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("sent")
    parser.add_argument("recorded")
    parser.add_argument("--at-least", type=int, help="the recording may end early, not before this")
    parser.add_argument("--missing", type=int, default=0, help="frames it admits to have lost")
    parser.add_argument("--no-times", action="store_true", help="the list was made without sending")
    arguments = parser.parse_args()
    recorded = read_frames(arguments.recorded)
    fault = compare(read_frames(arguments.sent), recorded, arguments.at_least,
                    not arguments.no_times, arguments.missing)
    print(fault or f"{len(recorded)} frames recorded as they were sent")
    return 1 if fault else 0


if __name__ == "__main__":
    sys.exit(main())
