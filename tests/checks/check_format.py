"""Checks that every C++ file is formatted as .clang-format says.

Usage: check_format.py REPOSITORY. Prints the files that are not; exit status 1 when there is any.
To format them: clang-format -i FILE.
"""
import concurrent.futures
import os
import pathlib
import shutil
import subprocess
import sys

from check_sources import LAYERS

BATCH = 40


def cpp_files(root):
    for folder in [*LAYERS, "tests"]:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in (".h", ".cc"):
                yield path


def not_formatted(tool, paths):
    """clang-format names a file once for every place in it."""
    run = subprocess.run([tool, "--dry-run", *map(str, paths)], capture_output=True, text=True, check=False)
    places = [line.partition(":")[0] for line in run.stderr.splitlines() if "[-Wclang-format-violations]" in line]
    if run.returncode != 0:
        sys.exit(f"{tool}: {run.stderr}")
    return set(places)


def violations(root, tool):
    paths = list(cpp_files(root))
    batches = [paths[i:i + BATCH] for i in range(0, len(paths), BATCH)]
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for found in pool.map(lambda batch: not_formatted(tool, batch), batches):
            yield from sorted(pathlib.Path(path).relative_to(root).as_posix() for path in found)


def main():
    tool = shutil.which("clang-format")
    if tool is None:
        print("clang-format is missing: tools/packages check installs it")
        return 1
    found = list(violations(pathlib.Path(sys.argv[1]).resolve(), tool))
    for path in found:
        print(f"{path}: not formatted; run: clang-format -i {path}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
