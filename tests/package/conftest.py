# SPDX-License-Identifier: MIT
"""The package, and another one a version later; what a test started ends with it."""
import os
import pathlib
import re

import pytest

from parts import ROOT, call, harness


@pytest.fixture(scope="session")
def package():
    env = {**os.environ, "GAINWARDEN_PACKAGE_BUILD": str(harness.BUILD.resolve() / "package")}
    return pathlib.Path(call(ROOT / "contrib" / "package", env=env).strip())


@pytest.fixture(scope="session")
def next_package(package, tmp_path_factory):
    folder = tmp_path_factory.mktemp("next")
    call("dpkg-deb", "--raw-extract", package, folder / "tree")
    control = folder / "tree" / "DEBIAN" / "control"
    control.write_text(re.sub(r"^(Version: .*)$", r"\1+next", control.read_text(), flags=re.M))
    call("dpkg-deb", "--root-owner-group", "--build", folder / "tree", folder / "next.deb")
    return folder / "next.deb"


@pytest.fixture(autouse=True)
def nothing_left():
    harness.started.clear()
    yield
    for process in harness.started:
        process.kill()
