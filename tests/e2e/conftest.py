# SPDX-License-Identifier: MIT
import pytest

import harness
from bounds import bounded, nothing_left, pytest_configure  # for every test here


@pytest.fixture
def desk():
    return harness.MockDesk()
