"""Both readers must print the same for every session of the project's format test.

Usage: compare_readers.py PROTOC SESSION_PROTO SESSION_MAKE SESSION_DUMP
"""

import pathlib
import subprocess
import sys
import tempfile


def output(*command):
    return subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout


def main():
    protoc, proto, make, dump = sys.argv[1:]
    reader = pathlib.Path(__file__).with_name("session_reader.py")
    with tempfile.TemporaryDirectory() as folder:
        output(protoc, f"--proto_path={pathlib.Path(proto).parent}", f"--python_out={folder}", proto)
        output(make, folder)
        sessions = {"complete": 3000, "interrupted": 3000, "split": 9000}  # and their frames
        for name, frames in sessions.items():
            session = pathlib.Path(folder, f"{name}.session")
            first = output(dump, str(session)).splitlines()
            done = subprocess.run([sys.executable, str(reader), folder, str(session)], check=True,
                                  capture_output=True, text=True)
            second = done.stdout.splitlines()
            assert done.stderr == "predicted 0 1 2 3\n", done.stderr
            assert sum(line.startswith("frame ") for line in first) == frames, len(first)
            for number, (one, other) in enumerate(zip(first, second)):
                assert one == other, f"{session.name} line {number}:\n  {one}\n  {other}"
            assert len(first) == len(second)
            print(f"{session.name}: {len(first)} lines agree")


if __name__ == "__main__":
    main()
