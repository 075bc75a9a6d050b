# SPDX-License-Identifier: MIT
"""The same bounds as the end-to-end tests."""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))

from bounds import bounded, nothing_left, pytest_configure  # for every test here
