"""Runs the commands a document shows, and compares what they print with what it says.

In ```console blocks, lines that begin with "$ " are commands, and what follows is everything they
print; a line of "..." stands for any lines. A ```yaml block whose first line is "# NAME.yaml" is
saved under that name first. Everything runs in the order of the document, in one temporary folder
that has the project's sample recordings and definition files.

Usage: run_documents.py REPOSITORY FOLDER_OF_PROGRAMS DOCUMENT...
"""
import difflib
import os
import pathlib
import re
import subprocess
import sys
import tempfile


def matches(expected, actual):
    """Lists of lines; "..." in `expected` stands for any number of lines."""
    if not expected:
        return not actual
    if expected[0] == "...":
        return any(matches(expected[1:], actual[at:]) for at in range(len(actual) + 1))
    return bool(actual) and expected[0] == actual[0] and matches(expected[1:], actual[1:])


def commands(block):
    """(command, lines it prints) of a console block."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, printed = part.partition("\n")
        yield command, printed.rstrip("\n").splitlines()


def differences(text, folder, environment):
    """One entry for every command: nothing, or what it printed otherwise than expected."""
    for kind, block in re.findall(r"^```(yaml|console)\n(.*?)^```", text, re.DOTALL | re.MULTILINE):
        name = re.match(r"# (\S+\.yaml)\n", block)
        if kind == "yaml" and name:
            folder.joinpath(name.group(1)).write_text(block, encoding="utf-8")
        for command, expected in commands(block) if kind == "console" else []:
            done = subprocess.run(command, shell=True, cwd=folder, env=environment, timeout=60,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
            actual = done.stdout.rstrip("\n").splitlines()
            yield "" if matches(expected, actual) else "\n".join(
                [f"$ {command}", *difflib.ndiff(expected, actual)])


def run(repository, programs, document):
    """True when the document says what the programs print."""
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for shared in ("captures", "decoders"):
            folder.joinpath(shared).symlink_to(repository / shared)
        environment = dict(os.environ, XDG_RUNTIME_DIR=name, TZ="UTC",
                           PATH=f"{programs}{os.pathsep}{os.environ['PATH']}")
        text = (repository / document).read_text(encoding="utf-8")
        found = list(differences(text, folder, environment))
    wrong = list(filter(None, found))
    print(*wrong, f"{document}: {len(found)} commands, {len(wrong)} differ", sep="\n\n")
    return bool(found) and not wrong


def main():
    assert matches(["a", "...", "d"], ["a", "b", "c", "d"]) and matches(["..."], [])
    assert not matches(["a", "...", "d"], ["a", "b", "c"]) and not matches(["a"], ["a", "b"])
    repository, programs = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]).absolute()
    return 0 if all([run(repository, programs, document) for document in sys.argv[3:]]) else 1


if __name__ == "__main__":
    sys.exit(main())
