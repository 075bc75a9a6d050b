# SPDX-License-Identifier: MIT
"""The same bounds as the end-to-end tests, and a seed that is printed: GW_SEED repeats a run."""
import os
import pathlib
import sys
import time

import pytest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))

from bounds import bounded, nothing_left, pytest_configure  # for every test here

os.environ.setdefault("GW_SEED", str(time.time_ns() % 1_000_000))


@pytest.fixture(autouse=True)
def told_seed():
    print(f"GW_SEED={os.environ['GW_SEED']}")
