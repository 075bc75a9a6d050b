# SPDX-License-Identifier: MIT
"""The same bounds as the end-to-end tests: tests/e2e/conftest.py, by its path since it shares this name."""
import importlib.util
import pathlib
import sys

E2E = pathlib.Path(__file__).resolve().parents[1] / "e2e"
sys.path.insert(0, str(E2E))

spec = importlib.util.spec_from_file_location("e2e_conftest", E2E / "conftest.py")
e2e = importlib.util.module_from_spec(spec)
spec.loader.exec_module(e2e)

bounded, nothing_left, pytest_configure = e2e.bounded, e2e.nothing_left, e2e.pytest_configure
