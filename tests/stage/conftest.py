# SPDX-License-Identifier: MIT
"""The same bounds as the end-to-end tests."""
import os
import pathlib
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: more threads only wait for each other
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))

import bounds  # noqa: E402
from bounds import bounded, nothing_left, pytest_configure  # for every test here

bounds.LIMIT_S = 60  # computing alone: on a machine that has much else to do it takes its time
