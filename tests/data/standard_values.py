#!/usr/bin/env python3
"""Prints what scapy reads from answers of SAE J1979 service 01, given in hex: one number a line.

Exit code 77: scapy is not installed.
"""
import logging
import sys

logging.disable(logging.CRITICAL)
try:
    from scapy.contrib.automotive.obd.obd import OBD
except ImportError:
    sys.exit(77)

for answer in sys.argv[1:]:
    record = OBD(bytes.fromhex(answer)).payload.data_records[0]
    print(record.lastlayer().fields["data"])
