"""Writes rows of a recording kept as CSV as pcapng, for tests of the import.

Usage: csv_to_pcapng.py IN.csv[.gz] OUT.pcapng [--step-back SECONDS AT_ROW]

Columns: time_s,channel,id_hex,extended,fd,data_hex. One interface per channel, named can<channel>,
in order of channel number; packets in the order of the rows, nothing sorted. Times are taken as
decimal text and kept exactly, in nanoseconds. --step-back subtracts SECONDS from the times of
AT_ROW (counted from 0) and all rows after it, as if somebody had set the clock.

Written from IETF draft-ietf-opsawg-pcapng and tcpdump.org LINKTYPE_CAN_SOCKETCAN alone, so that the
project's own reader is not checked against itself.
"""
import argparse
import csv
import gzip
import struct
from decimal import Decimal

NANOSECONDS = 10 ** 9
LINKTYPE_CAN = 227


def rows_of(path):
    opener = gzip.open if path.endswith(".gz") else open
    with opener(path, "rt", newline="") as file:
        for row in csv.DictReader(file):
            nanoseconds = Decimal(row["time_s"]) * NANOSECONDS
            if nanoseconds != int(nanoseconds):
                raise SystemExit(f"{path}: {row['time_s']} is finer than a nanosecond")
            yield (int(nanoseconds), int(row["channel"]), int(row["id_hex"], 16),
                   row["extended"] == "1", row["fd"] == "1", bytes.fromhex(row["data_hex"]))


def padded(data):
    return data + bytes(-len(data) % 4)


def block(kind, body):
    length = len(body) + 12
    return struct.pack("<II", kind, length) + body + struct.pack("<I", length)


def option(code, value):
    return struct.pack("<HH", code, len(value)) + padded(value)


def section():
    return block(0x0A0D0D0A, struct.pack("<IHHq", 0x1A2B3C4D, 1, 0, -1))


def interface(name):
    options = option(2, name.encode()) + option(9, bytes([9])) + option(0, b"")
    return block(1, struct.pack("<HHI", LINKTYPE_CAN, 0, 0) + options)


def packet(number, time_ns, identifier, extended, fd, data):
    word = identifier | (0x80000000 if extended else 0)
    can = struct.pack(">IBBBB", word, len(data), 0x04 if fd else 0, 0, 0) + data
    head = struct.pack("<IIIII", number, time_ns >> 32, time_ns & 0xFFFFFFFF, len(can), len(can))
    return block(6, head + padded(can))


def convert(source, target, step_back_ns=0, at_row=0):
    rows = list(rows_of(source))
    channels = sorted({row[1] for row in rows})
    number_of = {channel: number for number, channel in enumerate(channels)}
    with open(target, "xb") as out:
        out.write(section())
        for channel in channels:
            out.write(interface(f"can{channel}"))
        for index, (time_ns, channel, *frame) in enumerate(rows):
            shift = step_back_ns if index >= at_row else 0
            out.write(packet(number_of[channel], time_ns - shift, *frame))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("source")
    parser.add_argument("target")
    parser.add_argument("--step-back", nargs=2, metavar=("SECONDS", "AT_ROW"), default=("0", "0"))
    arguments = parser.parse_args()
    seconds, at_row = arguments.step_back
    convert(arguments.source, arguments.target, int(Decimal(seconds) * NANOSECONDS), int(at_row))


if __name__ == "__main__":
    main()
