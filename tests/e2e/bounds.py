# SPDX-License-Identifier: MIT
"""Every test is bounded in time, and ends what it started, also when it fails."""
import random
import signal

import pytest

import harness

LIMIT_S = 20  # what a test takes; it is ended after ten times that


def pytest_configure(config):
    config.addinivalue_line("markers", "limit(seconds): what the test takes, where that is more than 20 s")


class TooLong(Exception):
    pass


@pytest.fixture(autouse=True)
def bounded(request):
    def ring(number, frame):
        raise TooLong(f"the test took longer than {seconds} s")

    print(f"GW_SEED={harness.SEED}")  # shown when the test fails
    random.seed(harness.SEED)

    marker = request.node.get_closest_marker("limit")
    seconds = harness.PATIENCE * (marker.args[0] if marker else LIMIT_S)
    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.fixture(autouse=True)
def nothing_left(bounded):
    """Ends what the test started and looks at how it ended."""
    assert (harness.BUILD / "gainwarden").exists(), \
        "GAINWARDEN_BUILD names no folder with gainwarden, mock-desk and mock-chat"
    harness.started.clear()
    yield
    signal.alarm(0)  # ending is bounded by itself
    troubles = []
    for process in harness.started:
        try:
            status = process.stop()
            assert status >= 0, f"{process.name} ended by signal {-status}"
            assert process.name == "gainwarden" or status == 0, f"{process.name}: status {status}"
            assert not harness.left_of(process), f"{process.name} left a process behind"
        except Exception as trouble:  # the others are ended all the same
            troubles.append(trouble)
        finally:
            process.kill()
    if troubles:
        raise troubles[0]
