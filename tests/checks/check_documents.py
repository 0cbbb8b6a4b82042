"""Checks that the documents say what the programs do.

Usage: check_documents.py REPOSITORY PROOFDRIVE PROOFDRIVED. Exit status 1 when something differs.
"""
import pathlib
import re
import subprocess
import sys


def help_of(*command):
    done = subprocess.run([*command, "--help"], capture_output=True, text=True, timeout=30)
    if done.returncode != 0:
        raise SystemExit(f"{' '.join(command)} --help ends with {done.returncode}: {done.stderr}")
    return done.stdout


def commands(proofdrive):
    block = help_of(proofdrive).split("Subcommands:")[1]
    return re.findall(r"^  (\w+)\s", block, re.MULTILINE)


def options(text):
    return set(re.findall(r"(--[a-z][a-z-]+)", text)) - {"--help"}


def markdown(root):
    pages = [root / "README.md", root / "DEVELOPERS.md", *sorted((root / "docs").rglob("*.md"))]
    return {page.relative_to(root).as_posix(): page.read_text(encoding="utf-8") for page in pages}


def problems(root, proofdrive, proofdrived):
    pages = markdown(root)
    everything = "\n".join(pages.values())
    known = {"proofdrived": options(help_of(proofdrived))}
    for name in commands(proofdrive):
        text = help_of(proofdrive, name)
        if "Example:" not in text:
            yield f"proofdrive {name} --help shows no example"
        if f"proofdrive {name}" not in everything:
            yield f"no document mentions: proofdrive {name}"
        known[name] = options(text)
        for nested in re.findall(r"^  (\w+)\s", text.split("Subcommands:")[1], re.MULTILINE) \
                if "Subcommands:" in text else []:
            known[name] |= options(help_of(proofdrive, name, nested))
    for option in sorted(known["proofdrived"]):
        if option not in everything:
            yield f"no document mentions: proofdrived {option}"
    # Commands in fenced blocks use only options that exist.
    for page, text in pages.items():
        for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL):
            for line in block.replace("\\\n", " ").splitlines():
                match = re.search(r"(?:^|/)(proofdrived|proofdrive (\w+))\s(.*)", line.strip())
                if not match:
                    continue
                name = match.group(2) or "proofdrived"
                if name not in known:
                    yield f"{page}: there is no command: proofdrive {name}"
                    continue
                for option in sorted(options(match.group(3)) - known[name]):
                    yield f"{page}: {match.group(1)} has no option {option}"
    for page, text in pages.items():
        for target in re.findall(r"\]\((?!http|#)([^)#]+)", text):
            if not (root / page).parent.joinpath(target).exists():
                yield f"{page}: the link to {target} leads nowhere"


def main():
    found = list(problems(pathlib.Path(sys.argv[1]), sys.argv[2], sys.argv[3]))
    for problem in found:
        print(problem)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
