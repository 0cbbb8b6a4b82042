"""ISO 15765-2, trouble code texts and refusal names against scapy (Debian package python3-scapy).

Usage: compare_scapy.py TRANSPORT_WORDS. Exit status 1 on a difference, 77 when scapy is missing.

What is not compared, because scapy 2.5.0 does it otherwise or not at all: CAN FD, padding.
"""
import logging
import random
import subprocess
import sys

logging.getLogger("scapy").setLevel(logging.ERROR)
try:
    from scapy.contrib.isotp import ISOTP
    from scapy.contrib.automotive.obd.services import OBD_DTC
    from scapy.contrib.automotive.uds import UDS_NR
    from scapy.layers.can import CAN
except ImportError as missing:
    print(f"skipped: {missing}; install python3-scapy")
    sys.exit(77)


class Words:
    def __init__(self, program):
        self.process = subprocess.Popen([program], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                        text=True)

    def ask(self, line):
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()
        return self.process.stdout.readline().strip()


def scapy_frames(message, address):
    kwargs = {} if address is None else {"rx_ext_address": address}
    packet = ISOTP(data=message, rx_id=0x7E8, **kwargs)
    return [bytes(frame.data) for frame in packet.fragment()]


def scapy_message(frames, address):
    cans = [CAN(identifier=0x7E8, data=frame) for frame in frames]
    joined = ISOTP.defragment(cans, use_extended_addressing=address is not None)
    return None if joined is None else bytes(joined.data)


def lengths(address):
    yield from range(1, 300)
    yield from (511, 512, 1023, 2048, 4094, 4095)
    yield from (4096, 4097, 5000, 66000)


def compare_transport(words):
    compared = 0
    generator = random.Random(15765)
    for address in (None, 0xF1):
        for length in lengths(address):
            message = generator.randbytes(length)
            word = "-" if address is None else f"{address:02X}"
            ours = [bytes.fromhex(frame) for frame in words.ask(f"split {word} {message.hex()}").split()]
            theirs = scapy_frames(message, address)
            if ours != theirs:
                sys.exit(f"split of {length} bytes, address {word}: {ours[:3]} and {theirs[:3]}")
            joined = words.ask(f"join {word} " + " ".join(frame.hex() for frame in theirs))
            if bytes.fromhex(joined) != message:
                sys.exit(f"join of {length} bytes, address {word}: differs")
            if scapy_message(ours, address) != message:
                sys.exit(f"scapy's join of our {length} bytes, address {word}: differs")
            compared += 1
    return compared


def scapy_code(value):
    dtc = OBD_DTC(value.to_bytes(2, "big"))
    location = "PCBU"[dtc.location]
    return f"{location}{dtc.code1}{dtc.code2:X}{dtc.code3:X}{dtc.code4:X}"


def compare_codes(words):
    for value in range(0, 0x10000, 7):
        ours, theirs = words.ask(f"code {value:04X}"), scapy_code(value)
        if ours != theirs:
            sys.exit(f"code {value:04X}: {ours} and {theirs}")


def compare_refusals(words):
    """Names differ in small words only ("throttle/PedalTooHigh"): compared without signs."""
    def plain(name):
        return "".join(letter for letter in name.lower() if letter.isalnum())
    table = UDS_NR.negativeResponseCodes
    compared = 0
    for code in range(0x10, 0x94):
        ours, theirs = words.ask(f"refusal {code:02X}"), table.get(code, "none")
        if ours == "none":
            continue
        compared += 1
        if plain(ours) != plain(theirs):
            sys.exit(f"refusal {code:02X}: {ours} and {theirs}")
    return compared


def main():
    words = Words(sys.argv[1])
    messages = compare_transport(words)
    compare_codes(words)
    refusals = compare_refusals(words)
    print(f"{messages} messages split and joined alike, both ways; code texts and {refusals} "
          "refusal names agree")


if __name__ == "__main__":
    main()
