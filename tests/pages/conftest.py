# SPDX-License-Identifier: MIT
"""The same bounds as the end-to-end tests."""
import pathlib
import sys

import pytest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))

from bounds import bounded, nothing_left, pytest_configure  # for every test here


@pytest.fixture(autouse=True, scope="session")
def browser_ends():
    """One browser for all tests, gone after the last."""
    import pages

    yield
    pages.close()
