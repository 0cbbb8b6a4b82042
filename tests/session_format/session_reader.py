"""A second reader of sessions, written from docs/session-format.md alone.

Prints what session_dump prints, also of recordings in several parts. Uses the standard library, protobuf and, for decompression, the
zstd library of the system. Slow and simple on purpose.

Usage: session_reader.py FOLDER_WITH_session_pb2 FILE.session
"""

import ctypes
import ctypes.util
import glob
import os
import re
import struct
import sys

MAGIC = bytes.fromhex("D77072666472760A")
MARKER = bytes.fromhex("C572E9631B920DF6")
TRAILER_MAGIC = bytes.fromhex("656E64B87072660A")
HEADER, CHUNK, NOTES, FOOTER, JOURNAL_START, JOURNAL_BATCH = range(1, 7)
MASK = (1 << 64) - 1
REMOTE = 0x02
PREDICTED = set()  # kinds of predicted bytes that were met

ZSTD = ctypes.CDLL(ctypes.util.find_library("zstd") or "libzstd.so.1")
ZSTD.ZSTD_decompress.restype = ctypes.c_size_t
ZSTD.ZSTD_decompress.argtypes = [ctypes.c_char_p, ctypes.c_size_t, ctypes.c_char_p, ctypes.c_size_t]


def make_crc_table():
    table = []
    for value in range(256):
        for _ in range(8):
            value = (value >> 1) ^ (0x82F63B78 if value & 1 else 0)
        table.append(value)
    return table


CRC_TABLE = make_crc_table()


def crc32c(data):
    crc = 0xFFFFFFFF
    for byte in data:
        crc = (crc >> 8) ^ CRC_TABLE[(crc ^ byte) & 0xFF]
    return crc ^ 0xFFFFFFFF


def signed(value):
    value &= MASK
    return value - (1 << 64) if value >> 63 else value


def decompress(data, size):
    out = ctypes.create_string_buffer(size)
    assert ZSTD.ZSTD_decompress(out, size, data, len(data)) == size, "zstd"
    return out.raw


def read_record(data, at, salt):
    """(type, payload, end) of the record at `at`, or None."""
    if data[at:at + 8] != MARKER or at + 20 > len(data):
        return None
    length, kind, crc = struct.unpack_from("<III", data, at + 8)
    payload = data[at + 20:at + 20 + length]
    if len(payload) != length:
        return None
    own_salt = 0 if kind == HEADER else salt
    if crc32c(struct.pack("<III", own_salt, length, kind) + payload) != crc:
        return None
    return kind, payload, at + 20 + length


def records(data, at, salt):
    while at < len(data):
        record = read_record(data, at, salt)
        if record:
            yield record[0], record[1]
            at = record[2]
        else:
            at = data.find(MARKER, at + 1)
            if at < 0:
                return


def block_bytes(block, stored, size):
    assert crc32c(stored) == block.crc, "checksum of a block"
    return stored if block.codec == 0 else decompress(stored, size)


def byte_planes(data, count, planes):
    return [sum(data[p * count + i] << (8 * p) for p in range(planes)) for i in range(count)]


def stream_times(stream, base, stored):
    count = stream.rows if stream.time_coding == 1 else stream.rows - 1
    residuals = [0] * count
    if stream.time_planes and count:
        data = block_bytes(stream.times, stored, count * stream.time_planes)
        residuals = byte_planes(data, count, stream.time_planes)
    start = base + stream.first
    if stream.time_coding == 1:
        return [signed(start + stream.time_offset + (i * stream.period >> 16) + residuals[i])
                for i in range(count)]
    times = [signed(start)]
    for residual in residuals:
        times.append(signed(times[-1] + stream.time_offset + residual))
    return times


def stream_payloads(stream, stored):
    rows = stream.rows
    size = 0 if stream.key.flags & REMOTE else stream.key.length
    if size == 0:
        return [b""] * rows
    plane = (rows + 7) // 8
    data = block_bytes(stream.payload, stored, 8 * size * plane)
    payloads, previous = [], bytes(size)
    for row in range(rows):
        value = bytearray(previous)
        for byte in range(size):
            for bit in range(8):
                at = (byte * 8 + bit) * plane + row // 8
                value[byte] ^= (data[at] >> (row % 8) & 1) << bit
        previous = bytes(value)
        payloads.append(previous)
    PREDICTED.add(stream.prediction.kind)
    if not stream.prediction.kind:
        return payloads
    return [combined(stream.prediction, payload) for payload in payloads]


def combined(prediction, payload):
    at = prediction.byte
    others = payload[:at] + payload[at + 1:]
    expected = 0
    for byte in others:
        if prediction.kind == 2:
            expected = (expected + byte) & 0xFF
            continue
        expected ^= byte
        for _ in range(8 if prediction.kind == 3 else 0):
            expected = (expected << 1 & 0xFF) ^ (prediction.polynomial if expected & 0x80 else 0)
    if prediction.kind == 2:
        expected = (expected + prediction.constant) & 0xFF
    else:
        expected ^= prediction.constant
    return payload[:at] + bytes([payload[at] ^ expected]) + payload[at + 1:]


def varints(data):
    value = shift = 0
    for byte in data:
        value |= (byte & 0x7F) << shift
        shift += 7
        if byte < 0x80:
            yield value
            value = shift = 0


def arrival_order(directory, data, times):
    streams = len(times)
    if directory.order_coding == 0:
        planes = ((streams - 1).bit_length() + 7) // 8
        return byte_planes(data, directory.frames, planes)
    entries = [(time, number) for number, column in enumerate(times) for time in column]
    order = [number for _, number in sorted(entries, key=lambda entry: entry[0])]
    moves, position = list(varints(data)), 0
    for skip, distance in zip(moves[::2], moves[1::2]):
        position += skip
        order.insert(position, order.pop(position + distance))
    return order


def chunk_frames(pb, payload):
    chunk = pb.Chunk.FromString(payload)
    directory = pb.ChunkDirectory.FromString(chunk.directory)
    at = 0

    def take(block):
        nonlocal at
        at += block.bytes
        return chunk.blocks[at - block.bytes:at]

    stored = take(directory.order)
    order = block_bytes(directory.order, stored, directory.order_bytes) if stored else b""
    times, payloads = [], []
    for stream in directory.streams:
        times.append(stream_times(stream, directory.base_time, take(stream.times)))
        payloads.append(stream_payloads(stream, take(stream.payload)))
    row = [0] * len(times)
    frames = []
    for number in arrival_order(directory, order, times):
        key = directory.streams[number].key
        i = row[number]
        row[number] += 1
        frames.append((times[number][i], key.channel, key.id, key.flags, key.length, key.raw_dlc,
                       payloads[number][i]))
    return directory.first_frame, frames


def batch_frames(batch):
    time, at = 0, 0
    for step, identifier, kind in zip(batch.time, batch.id, batch.kind):
        time = signed(time + step)
        channel, flags, length, raw_dlc = kind & 255, kind >> 8 & 255, kind >> 16 & 255, kind >> 24
        size = 0 if flags & REMOTE else length
        yield (time, channel, identifier, flags, length, raw_dlc, batch.payload[at:at + size])
        at += size


def put(items, first, new):
    """The numbered rule of the format: later writes replace from their first number on."""
    del items[first:]
    items.extend(new)


def read_session(pb, path):
    with open(path, "rb") as file:
        data = file.read()
    assert data[:8] == MAGIC and crc32c(data[:20]) == struct.unpack_from("<I", data, 20)[0]
    features, _, salt = struct.unpack_from("<III", data, 8)
    assert features & ~0x1 == 0, "written by a newer version"
    frames, events, header, footer = [], [], None, None
    for kind, payload in records(data, 24, salt):
        if kind == HEADER:
            header = pb.Header.FromString(payload)
        elif kind == CHUNK:
            put(frames, *chunk_frames(pb, payload))
        elif kind == NOTES:
            notes = pb.Notes.FromString(payload)
            put(events, notes.first_event, notes.events)
        elif kind == FOOTER:
            footer = pb.Footer.FromString(payload)
    if footer:
        check_footer(pb, data, footer, frames, events)
    else:
        read_journal(pb, path, salt, frames, events)
    return header, footer, frames, events


def check_footer(pb, data, footer, frames, events):
    assert data[-20:-12] == TRAILER_MAGIC
    offset, crc = struct.unpack("<QI", data[-12:])
    assert crc == crc32c(data[-20:-4])
    assert struct.unpack_from("<I", data, offset + 12)[0] == FOOTER
    assert footer.frames == len(frames) and footer.events == len(events)
    assert sum(stream.frames for stream in footer.streams) == len(frames)
    for place in footer.chunks:
        start = place.offset + place.directory_offset
        directory = data[start:start + place.directory_bytes]
        assert crc32c(directory) == place.directory_crc
        assert pb.ChunkDirectory.FromString(directory).frames == place.frames


def read_journal(pb, path, salt, frames, events):
    journal = path[:-len(".session")] + ".journal"
    if not os.path.exists(journal):
        return
    with open(journal, "rb") as file:
        data = file.read()
    for kind, payload in records(data, 0, salt):
        if kind != JOURNAL_BATCH:
            continue
        batch = pb.JournalBatch.FromString(payload)
        new = list(batch_frames(batch))
        if batch.first_frame + len(new) > len(frames):
            put(frames, batch.first_frame, new)
        if batch.first_event + len(batch.events) > len(events):
            put(events, batch.first_event, batch.events)


def read_recording(pb, path):
    """All parts, one after the other."""
    stem = path[:-len(".session")]
    later = [(int(match.group(1)), name) for name in glob.glob(glob.escape(stem) + ".part-*.session")
             if (match := re.search(r"\.part-(\d{4,})\.session$", name))]
    first, footer, frames, events = read_session(pb, path)
    for number, name in sorted(later):
        assert footer and footer.header.continued, "the recording ends before this part"
        header, footer, more_frames, more_events = read_session(pb, name)
        assert header.part == number and header.recording == first.recording == first.id, "parts"
        frames += more_frames
        events += more_events
    assert not (footer and footer.header.continued), "the last part is missing"
    return first, frames, events


def main():
    sys.path.insert(0, sys.argv[1])
    import session_pb2 as pb
    header, frames, events = read_recording(pb, sys.argv[2])
    print("session", header.id.decode())
    for event in events:
        print("event", event.time_ns, event.kind, event.text.hex().upper(), event.data.hex().upper())
    for time, channel, identifier, flags, length, raw_dlc, payload in frames:
        print("frame", time * header.resolution_ns, channel, identifier, flags, length, raw_dlc,
              payload.hex().upper())
    print("predicted", *sorted(PREDICTED), file=sys.stderr)


if __name__ == "__main__":
    main()
