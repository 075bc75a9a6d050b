# SPDX-License-Identifier: MIT
"""What the tests of the package share."""
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "e2e"))
import harness  # noqa: E402, F401  (for the others)


def call(*words, **options):
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, check=False, **options)
    assert done.returncode == 0, f"{words}: status {done.returncode}\n{done.stdout[-2000:]}{done.stderr[-2000:]}"
    return done.stdout


def field(package, name):
    return call("dpkg-deb", "--field", package, name).strip()
