"""Checks the rooms inside the layers: folders small enough to know, and no two that include each other.

Usage: check_rooms.py REPOSITORY. Prints one line per violation; exit status 1 when there is any.
A module is a header with its .cc; a folder's own modules count, not those of folders below it.
"""
import collections
import pathlib
import re
import sys

from check_sources import LAYERS, sources

MOST_MODULES = 15
INCLUDE = re.compile(r'^#include "([^"]+)"', re.MULTILINE)


def read_tree(root):
    """Folder -> names of its modules, and (from folder, to folder) -> one include as an example."""
    modules = collections.defaultdict(set)
    arrows = {}
    for path in sources(root):
        relative = path.relative_to(root)
        folder = relative.parent.as_posix()
        modules[folder].add(relative.stem)
        for included in INCLUDE.findall(path.read_text(encoding="utf-8")):
            other = pathlib.PurePosixPath(included).parent.as_posix()
            if included.endswith(".pb.h"):
                continue
            if other != folder and included.split("/")[0] in LAYERS:
                arrows.setdefault((folder, other), f"{relative.as_posix()} includes {included}")
    return modules, arrows


def violations(root):
    modules, arrows = read_tree(root)
    for folder, names in sorted(modules.items()):
        if len(names) > MOST_MODULES:
            yield f"{folder}: {len(names)} modules; a room holds at most {MOST_MODULES}, make another"
    for (source, target), example in sorted(arrows.items()):
        if source < target and (target, source) in arrows:
            yield f"{source} and {target} include each other: {example}; {arrows[(target, source)]}"


def main():
    found = list(violations(pathlib.Path(sys.argv[1])))
    for violation in found:
        print(violation)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
