# SPDX-License-Identifier: MIT
"""A board that is told something all evening: what it holds does not grow."""
import pytest

from board_rig import Stub, facts, shown, shut_all
from harness import rounds, until

EVENTS = rounds(10000, 100000)
MOST_GROWTH = 1_000_000  # bytes, after a collection


@pytest.mark.limit(60)
def test_events_leave_nothing_behind():
    stub = Stub(facts())
    try:
        tablet = shown(stub)

        def take(count):
            stub.say(flood=count)
            until(lambda: tablet.text("#tiles [data-part=lines]") == "0 more", 60, what="the last event")

        take(EVENTS // 10)  # what is compiled and kept once
        before = tablet.heap()
        take(EVENTS)
        growth = tablet.heap() - before
        print(f"{EVENTS} events: {growth} bytes more")
        assert growth < MOST_GROWTH
        assert tablet.run("document.querySelectorAll('*').length") < 400 and tablet.errors() == []
    finally:
        shut_all()
        stub.kill()
