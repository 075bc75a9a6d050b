# SPDX-License-Identifier: MIT
"""`gainwarden listen --turn` at a desk that sends what it should not, and where the profile cannot be written."""
import re
import signal
import time

import pytest

import osc
from harness import OwnDesk, run, until
from turning import Turning, tell_counts

ABOUT = 0.02  # seconds between two moves of a hand


class Hand(OwnDesk):
    """A desk that says what the test says, once somebody has spoken to it."""

    def __init__(self):
        super().__init__(self.note)
        self.peer = None

    def note(self, _, heard):
        self.peer = heard.peer

    def say(self, *messages):
        until(lambda: self.peer, what="the first message")
        for message in messages:
            self.send(self.peer, message)
            time.sleep(ABOUT)


def raw_text(address, raw):
    return osc.text(address) + osc.text(",s") + raw + b"\0" * (4 - len(raw) % 4)


def begin(path, desk, **counts):
    turning = Turning("--desk", desk.at, "--ask=/stay", "--yes", "--turn", path)
    tell_counts(turning, **counts)
    turning.expect(r"^Hands off")
    return turning


def skip_to(turning, pattern):
    while not re.search(pattern, turning.sentence(r"^(Input|Mix|Group|The desk)\b.*")):
        turning.type("skip")


def show(desk, turning, message, typed):
    """Sets a position and types what the desk shows there, once the program has heard it."""
    desk.say(message)
    turning.expect(r"^  it sends ")
    turning.type(typed)


def test_numbers_as_far_apart_as_they_can_be(tmp_path):
    with Hand() as desk:
        turning = begin(tmp_path / "made.json", desk, input=24, mix=8)
        skip_to(turning, "^Input 1, send to mix 1: turn the level")
        for first, second in ((-2**31, 0), (2**31 - 1, -2**31)):
            desk.say(*[osc.message("/level", "iif", first, second, value) for value in (0.1, 0.2, 0.3, 0.2, 0.1)])
            turning.expect(r"^  moved: ")
        assert "a number goes from -2147483648 to 2147483647" in turning.sentence(r"That is no pair.*")
        assert turning.end(signal.SIGTERM) == 1


@pytest.mark.parametrize("off, on", [(b"\xff\xfe", b"\xc3("), (b"o" * 38 + "\u00e9".encode(), b"n" * 60)])
def test_a_text_that_no_profile_can_hold_becomes_no_law(tmp_path, off, on):
    """Bytes that are no UTF-8, or more than is kept of a text: the file that is written loads all the same."""
    with Hand() as desk:
        turning = begin(tmp_path / "made.json", desk, input=1, mix=2)
        skip_to(turning, "^Mix 1: switch the limiter")
        for mix in (1, 2):
            desk.say(*[raw_text(f"/mix/{mix}/limit", value) for value in (off, on, off, on, off)])
            turning.expect(r"^  moved: ")
        turning.expect(r"^Mix 2: switch it on")
        show(desk, turning, raw_text("/mix/2/limit", on), "")
        show(desk, turning, raw_text("/mix/2/limit", off), "")
        turning.expect(r"^  No law: it sends a text that is too long, or no UTF-8")
        turning.expect(r"^  Kept: mix\.limiter\.on")
        turning.end(signal.SIGTERM)
    assert run("check", tmp_path / "made.json").status == 0
