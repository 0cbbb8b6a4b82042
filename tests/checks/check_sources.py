"""Checks rules of the source tree that neither compiler nor formatter checks.

Usage: check_sources.py REPOSITORY. Prints one line per violation; exit status 1 when there is any.
"""
import pathlib
import re
import sys

LAYERS = ["core", "web", "mqtt", "session", "decoders", "analysis", "output", "bench", "daemon", "tools"]

# One home per dependency: include pattern -> folders (or files) that may use it.
HOMES = [
    (r"<spdlog/", ["core/base/log.cc"]),
    (r"<openssl/", ["core/digests/sha256.cc"]),
    (r"<zstd\.h>|\.pb\.h", ["session/"]),
    (r"<google/protobuf/", ["session/"]),
    (r"<yaml-cpp/", ["decoders/"]),
    (r"<muParser", ["decoders/"]),
    (r"<boost/(asio|beast)", ["web/", "tools/daemon/control_client.cc"]),
    (r"<mosquitto", ["mqtt/"]),
    (r"<boost/math", ["analysis/"]),
    (r"<systemd/", ["daemon/process/service_notices.cc"]),
    (r"<CLI/", ["tools/tool.cc", "daemon/options/parse_options.cc"]),
    (r"<nlohmann/", ["core/base/json.", "decoders/services/asked_document.", "web/", "output/", "bench/", "daemon/", "tools/"]),
    (r"<linux/can", ["daemon/"]),
    (r"<(gtest|gmock)/", []),
]

MOST_LINES = 600
MOST_LINES_OF_A_FUNCTION = 60
# The words a recording can never justify; outputs defer to the maker and to licensed people.
FORBIDDEN_OUTPUT = re.compile(r'"[^"\n]*\b(is|are|now|pack|car|it\'s) safe\b[^"\n]*"', re.IGNORECASE)


def sources(root):
    for layer in LAYERS:
        for path in sorted((root / layer).rglob("*")):
            if path.suffix in (".h", ".cc"):
                yield path


def check_includes(relative, text):
    for number, line in enumerate(text.splitlines(), 1):
        if not line.startswith("#include"):
            continue
        if '"../' in line or '"./' in line:
            yield f"{relative}:{number}: write the include path from the repository root"
        for pattern, homes in HOMES:
            if re.search(pattern, line) and not any(relative.startswith(home) for home in homes):
                yield f"{relative}:{number}: {line.strip()} belongs only in: {', '.join(homes) or 'tests/'}"


def check_file(relative, text):
    lines = text.count("\n")
    if lines > MOST_LINES:
        yield f"{relative}:1: {lines} lines; split a file before it reaches {MOST_LINES}"
    if relative.endswith(".h") and "#pragma once" not in text:
        yield f"{relative}:1: header without #pragma once"
    if relative.endswith(".h") and not text.startswith("//"):
        yield f"{relative}:1: a header begins with a comment that says what it is"
    if relative.endswith("main.cc") and len(re.findall(r";", text)) > 1:
        yield f"{relative}:1: main is one statement"
    for match in FORBIDDEN_OUTPUT.finditer(text):
        number = text.count("\n", 0, match.start()) + 1
        yield f"{relative}:{number}: never tell people that something is safe"
    for match in re.finditer(r'(?<![\w.])/(home|root|Users|mnt|opt)/', text):
        number = text.count("\n", 0, match.start()) + 1
        yield f"{relative}:{number}: absolute path of one machine"


def check_functions(relative, text):
    """The formatter puts the first line of a function at the left edge, and its end, too."""
    begin = None
    for number, line in enumerate(text.splitlines(), 1):
        if begin is None and re.match(r"[A-Za-z]", line) and re.search(r"\)[^;=]*\{$", line):
            begin = number
        elif begin is None and line.startswith("    ") and re.search(r"\)( const)?( noexcept)? \{$", line):
            begin = number if at_left_edge(text.splitlines()[: number - 1]) else None
        elif begin is not None and line.startswith("}"):
            if number - begin + 1 > MOST_LINES_OF_A_FUNCTION:
                yield (f"{relative}:{begin}: a function of {number - begin + 1} lines; "
                       f"split one before it reaches {MOST_LINES_OF_A_FUNCTION}")
            begin = None


def at_left_edge(lines):
    """Whether a statement that goes on in these lines' next one began at the left edge."""
    for line in reversed(lines):
        if re.match(r"[A-Za-z]", line):
            return not line.startswith(("namespace", "class", "struct", "enum", "public", "using"))
        if not line.startswith("    "):
            return False
    return False


def violations(root):
    for path in sources(root):
        relative = path.relative_to(root).as_posix()
        text = path.read_text(encoding="utf-8")
        yield from check_includes(relative, text)
        yield from check_file(relative, text)
        yield from check_functions(relative, text)


def main():
    found = list(violations(pathlib.Path(sys.argv[1])))
    for violation in found:
        print(violation)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
