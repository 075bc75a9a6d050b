# SPDX-License-Identifier: MIT
import os
import pathlib
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))
os.environ.setdefault("GW_SEED", str(time.time_ns() % 1_000_000))  # GW_SEED repeats a run


def pytest_report_header():
    return f"GW_SEED={os.environ['GW_SEED']}"
