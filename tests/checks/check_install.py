"""Installs a build into an empty folder and looks at what is there.

Usage: check_install.py CMAKE BUILD_FOLDER. Exit 1 with one line per fault. systemd's own judgement of
the unit (systemd-analyze verify, security) is asked where that program is; else it says so.
"""
import pathlib
import shutil
import subprocess
import sys
import tempfile

EXPECTED = [
    "bin/proofdrive", "bin/proofdrived", "lib/systemd/system/proofdrived.service",
    "lib/sysusers.d/proofdrive.conf", "lib/sysctl.d/60-proofdrive.conf",
    "share/proofdrive/proofdrived.yaml", "share/proofdrive/session.proto",
    "share/proofdrive/library/bramble-seven.yaml",
    "share/proofdrive/definitions/definitions.schema.json",  # where the library looks for it
    "share/doc/proofdrive/daemon.md",
]
# systemd-analyze counts from 0 (nothing left to an attacker) to 10.
MOST_EXPOSURE = 1.2


def installed(cmake, build, root):
    done = subprocess.run([cmake, "--install", build, "--prefix", root], capture_output=True, text=True)
    if done.returncode != 0:
        yield f"cmake --install failed: {done.stderr}"
    for path in EXPECTED:
        if not (root / path).is_file():
            yield f"{path} is not installed"


def programs_run(root):
    for program in ("proofdrive", "proofdrived"):
        done = subprocess.run([root / "bin" / program, "--version"], capture_output=True, text=True)
        if done.returncode != 0 or not done.stdout.startswith(program):
            yield f"{program} --version: {done.stdout}{done.stderr}"


def unit_faults(root):
    unit = root / "lib/systemd/system/proofdrived.service"
    lines = unit.read_text(encoding="utf-8").splitlines()
    # As it would be after an installation to this prefix.
    lines = [f"ExecStart={root}/bin/proofdrived" + line.split("proofdrived", 1)[1]
             if line.startswith("ExecStart=") else line for line in lines]
    copy = root / "proofdrived.service"
    copy.write_text("\n".join(lines) + "\n", encoding="utf-8")
    verify = subprocess.run(["systemd-analyze", "verify", "--man=no", copy],
                            capture_output=True, text=True)
    if verify.returncode != 0 or "proofdrived" in verify.stderr:
        yield f"systemd-analyze verify: {verify.stderr}"
    security = subprocess.run(
        ["systemd-analyze", "security", "--offline=yes", f"--threshold={int(MOST_EXPOSURE * 10)}", copy],
        capture_output=True, text=True)
    print(security.stdout.strip().splitlines()[-1] if security.stdout.strip() else security.stderr)
    if security.returncode != 0:
        yield f"the unit is exposed by more than {MOST_EXPOSURE}: {security.stdout[-2000:]}"


def main():
    cmake, build = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        faults = list(installed(cmake, build, root))
        if not faults:
            faults += programs_run(root)
            if shutil.which("systemd-analyze"):
                faults += unit_faults(root)
            else:
                print("SKIPPED in part: systemd-analyze is missing: install systemd")
    print("\n".join(faults) or "installed as described")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
