"""Checks the rooms inside the layers: folders small enough to know, no two that include each other, and no
circle of modules.

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
    """Names of the modules of each folder, and which modules each module includes."""
    folders = collections.defaultdict(set)
    uses = collections.defaultdict(dict)
    for path in sources(root):
        relative = path.relative_to(root)
        module = relative.with_suffix("").as_posix()
        folders[relative.parent.as_posix()].add(relative.stem)
        for included in INCLUDE.findall(path.read_text(encoding="utf-8")):
            other = pathlib.PurePosixPath(included).with_suffix("").as_posix()
            if included.endswith(".pb.h") or included.split("/")[0] not in LAYERS or other == module:
                continue
            uses[module].setdefault(other, f"{relative.as_posix()} includes {included}")
    return folders, uses


def folder_of(module):
    return module.rpartition("/")[0]


def two_way(uses):
    """(folder, folder, include, include the other way) of folders that include each other."""
    arrows = {}
    for module, others in uses.items():
        for other, example in others.items():
            arrows.setdefault((folder_of(module), folder_of(other)), example)
    for (source, target), example in sorted(arrows.items()):
        if source < target and (target, source) in arrows:
            yield source, target, example, arrows[(target, source)]


def way_back(uses, start):
    """The shortest way of includes from a module to itself; empty when there is none."""
    came_from = {start: None}
    queue = collections.deque([start])
    while queue:
        module = queue.popleft()
        for other in uses.get(module, ()):
            if other == start:
                way = [start]
                while module is not None:
                    way.append(module)
                    module = came_from[module]
                return way[::-1]
            if other not in came_from:
                came_from[other] = module
                queue.append(other)
    return []


def circles(uses):
    """One shortest circle for every module that is in any and in none of those given before."""
    seen = set()
    for module in sorted(uses):
        way = [] if module in seen else way_back(uses, module)
        if way:
            seen.update(way)
            yield way


def violations(root):
    folders, uses = read_tree(root)
    for folder, names in sorted(folders.items()):
        if len(names) > MOST_MODULES:
            yield f"{folder}: {len(names)} modules; a room holds at most {MOST_MODULES}, make another"
    for source, target, example, back in two_way(uses):
        yield f"{source} and {target} include each other: {example}; {back}"
    for way in circles(uses):
        yield "modules in a circle, put what they share into a header of its own: " + " -> ".join(way)


def main():
    found = list(violations(pathlib.Path(sys.argv[1])))
    for violation in found:
        print(violation)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
