# SPDX-License-Identifier: MIT
"""contrib/quickstart, without installing anything on the machine that tests."""
import os
import re
import shutil
import subprocess

from parts import ROOT

SCRIPT = ROOT / "contrib" / "quickstart"


def quickstart(*words, env=None):
    return subprocess.run([SCRIPT, *words], capture_output=True, text=True, check=False, env=env)


def running(build):
    """The processes whose program is one of the package's build."""
    return [entry for entry in os.listdir("/proc") if entry.isdigit() and
            os.path.exists(f"/proc/{entry}/exe") and
            os.readlink(f"/proc/{entry}/exe").startswith(str(build.resolve()))]


def test_twice_with_the_built_program(package):
    env = {**os.environ, "GAINWARDEN_PACKAGE_BUILD": str(package.parent)}
    for _ in range(2):
        done = quickstart("--only-build", env=env)
        assert done.returncode == 0, done.stderr
        assert done.stdout.startswith("Ostrel Barn, Saturday: ") and "Care: " in done.stdout
        assert re.findall(r"^  (\S+) ([a-z]+)", done.stderr, re.M) == \
            [(str(package.parent / "gainwarden"), word) for word in ("explain", "listen", "audit")]
        assert running(package.parent) == []


def test_neither_root_nor_sudo(tmp_path):
    (tmp_path / "id").write_text("#!/bin/sh\necho 1000\n")
    (tmp_path / "id").chmod(0o755)
    for tool in ("bash", "dirname"):
        (tmp_path / tool).symlink_to(shutil.which(tool))
    done = quickstart(env={"PATH": str(tmp_path)})
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr == ("quickstart: installing needs root, or sudo, and neither is here; "
                           "contrib/quickstart --only-build installs nothing\n")


def test_another_word():
    assert quickstart("--now").returncode == quickstart("--only-build", "x").returncode == 2
