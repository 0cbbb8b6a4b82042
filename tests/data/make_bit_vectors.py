#!/usr/bin/env python3
"""Makes bit_vectors.json: check values for taking signals out of payloads.

Source of the counting rule: AUTOSAR TPS_SystemTemplate, bit positions are byte * 8 + bit with bit 0
the least significant bit of its byte; a big-endian signal starts at its most significant bit and
runs down, then continues at bit 7 of the next byte; a little-endian signal starts at its least
significant bit and runs up, then continues at bit 0 of the next byte. Floating-point patterns: IEEE
754-2008 binary32 and binary64, as Python's struct module writes them.

Every value is worked out by three methods that share no code, and written only when they agree.
Nothing of Proofdrive is used.

    make_bit_vectors.py > bit_vectors.json
"""

import json
import random
import struct
import sys

SEED = 71077345


def bits_of(order, start, length):
    """[byte, bit] from the least significant bit of the value upward."""
    byte, bit = divmod(start, 8)
    walk = []
    for _ in range(length):
        walk.append([byte, bit])
        if order == "little":
            bit += 1
            if bit == 8:
                byte, bit = byte + 1, 0
        else:
            bit -= 1
            if bit < 0:
                byte, bit = byte + 1, 7
    return walk if order == "little" else walk[::-1]


def by_bit_list(payload, order, start, length):
    value = 0
    for weight, (byte, bit) in enumerate(bits_of(order, start, length)):
        value += ((payload[byte] >> bit) & 1) << weight
    return value


def by_integer(payload, order, start, length):
    """The payload as one large number, shifted."""
    if order == "little":
        return (int.from_bytes(payload, "little") >> start) % (1 << length)
    from_top = (start // 8) * 8 + 7 - start % 8
    return (int.from_bytes(payload, "big") >> (8 * len(payload) - from_top - length)) % (1 << length)


def by_text(payload, order, start, length):
    """The payload as a text of 0 and 1, cut out."""
    if order == "little":
        text = "".join(format(byte, "08b")[::-1] for byte in payload)
        return int(text[start:start + length][::-1], 2)
    text = "".join(format(byte, "08b") for byte in payload)
    from_top = (start // 8) * 8 + 7 - start % 8
    return int(text[from_top:from_top + length], 2)


def pieces_of(order, start, length):
    """[byte, lowest bit, count] from the most significant piece down."""
    pieces = []
    for byte, bit in bits_of(order, start, length):  # upward
        if pieces and pieces[-1][0] == byte:
            pieces[-1][2] += 1
        else:
            pieces.append([byte, bit, 1])
    return pieces[::-1]


def vector(case, payload, order, start, length, signed):
    values = {method(payload, order, start, length) for method in (by_bit_list, by_integer, by_text)}
    if len(values) != 1:
        raise SystemExit(f"the three methods disagree: {case} {values}")
    raw = values.pop()
    if signed and raw >> (length - 1):
        raw -= 1 << length
    return {"case": case, "payload": payload.hex(), "order": order, "start": start,
            "length": length, "signed": signed, "pieces": pieces_of(order, start, length),
            "raw": str(raw)}


def fits(size, order, start, length):
    if order == "little":
        return start + length <= 8 * size
    return (start // 8) * 8 + 7 - start % 8 + length <= 8 * size


def directed():
    row = bytes.fromhex("1234567890abcdef")
    zeros, ones = bytes(8), b"\xff" * 8
    top, bottom = bytes([0x80]) + bytes(7), bytes(7) + bytes([0x80])
    cases = [
        ("first bit", b"\x01" + bytes(7), "little", 0, 1, False),
        ("last bit", bottom, "little", 63, 1, False),
        ("one bit, signed", b"\x01", "little", 0, 1, True),
        ("one bit clear, signed", b"\xfe", "little", 0, 1, True),
        ("byte 0", row, "big", 7, 8, False),
        ("byte 7", row, "little", 56, 8, False),
        ("low half of a byte", row, "little", 16, 4, False),
        ("high half of a byte", row, "big", 23, 4, False),
        ("16 bits little", row, "little", 0, 16, False),
        ("16 bits big", row, "big", 7, 16, False),
        ("12 bits from the middle of a byte, little", row, "little", 4, 12, False),
        ("12 bits from the middle of a byte, big", row, "big", 3, 12, False),
        ("64 bits little", row, "little", 0, 64, False),
        ("64 bits big", row, "big", 7, 64, False),
        ("63 bits little", row, "little", 1, 63, True),
        ("63 bits big", row, "big", 6, 63, True),
        ("lowest signed 64, big", top, "big", 7, 64, True),
        ("lowest signed 64, little", bottom, "little", 0, 64, True),
        ("highest unsigned 64", ones, "big", 7, 64, False),
        ("minus one in 64", ones, "little", 0, 64, True),
        ("zero in 64", zeros, "little", 0, 64, True),
        ("lowest signed 16", b"\x80\x00", "big", 7, 16, True),
        ("highest signed 16", b"\x7f\xff", "big", 7, 16, True),
        ("lowest signed 12, little", b"\x00\x08", "little", 0, 12, True),
        ("64 bits over nine bytes, little", bytes(range(0x10, 0x20)), "little", 3, 64, False),
        ("64 bits over nine bytes, big", bytes(range(0x10, 0x20)), "big", 3, 64, False),
        ("last byte of the longest frame", bytes(range(64)), "little", 504, 8, False),
        ("end of the longest frame, big", bytes(range(64)), "big", 455, 64, False),
    ]
    return [vector(*case) for case in cases]


def random_ones(generator, count, sizes, case):
    made = []
    while len(made) < count:
        size = generator.choice(sizes)
        order = generator.choice(["little", "big"])
        start = generator.randrange(8 * size)
        length = generator.randint(1, 64)
        if not fits(size, order, start, length):
            continue
        made.append(vector(case, generator.randbytes(size), order, start, length,
                           generator.random() < 0.5))
    return made


def floats():
    made = []
    numbers = [0.0, -0.0, 1.0, -2.0, 12.6, -40.5, 400.25, 1e-3, 3.4e38, 1.401298464324817e-45,
               float("inf"), float("-inf"), float("nan"), 0.1]
    for number in numbers:
        for width, code in ((32, "f"), (64, "d")):
            for order, mark in (("little", "<"), ("big", ">")):
                payload = struct.pack(mark + code, number)
                made.append({"width": width, "order": order, "payload": payload.hex(),
                             "value": repr(struct.unpack(mark + code, payload)[0])})
    return made


def main():
    generator = random.Random(SEED)
    vectors = directed()
    vectors += random_ones(generator, 220, range(1, 9), "random")
    vectors += random_ones(generator, 60, (12, 16, 20, 24, 32, 48, 64), "random, FD length")
    head = {"made by": "make_bit_vectors.py", "seed": SEED,
            "source": "AUTOSAR TPS_SystemTemplate (bit counting), IEEE 754-2008 (floats)"}
    out = sys.stdout
    out.write('{"head": ' + json.dumps(head) + ',\n"vectors": [\n')
    out.write(",\n".join(json.dumps(v) for v in vectors))
    out.write('\n],\n"floats": [\n')
    out.write(",\n".join(json.dumps(v) for v in floats()))
    out.write("\n]}\n")


if __name__ == "__main__":
    main()
