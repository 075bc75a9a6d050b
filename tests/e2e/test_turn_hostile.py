# SPDX-License-Identifier: MIT
"""`gainwarden listen --turn` at a desk that sends what it should not, and where the profile cannot be written."""
import contextlib
import re
import signal
import socket
import time

import pytest

import osc
from harness import OwnDesk, flat, read_json, run, until, write_json
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


def turn_faders(desk, turning):
    """Both mix faders to and fro; then their positions are asked for."""
    for mix in (1, 2):
        desk.say(*[osc.message(f"/mix/{mix}/fader", "d", value) for value in (0.1, 0.2, 0.3, 0.2, 0.1)])
        turning.expect(r"^  moved: ")


def find_fader(desk, turning, scale=1.0):
    turn_faders(desk, turning)
    for wire, typed in ((-1.0, "off"), (-0.5, "-40"), (0.25, "-20"), (0.5, "-10"), (0.75, "0"), (1.0, "10")):
        turning.expect(r"^Mix 2: ")
        show(desk, turning, osc.message("/mix/2/fader", "d", wire * scale), typed)


def test_numbers_as_far_apart_as_they_can_be(tmp_path):
    with Hand() as desk:
        turning = begin(tmp_path / "made.json", desk, input=24, mix=8)
        skip_to(turning, "^Input 1, send to mix 1: turn the level")
        for first, second in ((-2**31, 0), (2**31 - 1, -2**31)):
            desk.say(*[osc.message("/level", "iif", first, second, value) for value in (0.1, 0.2, 0.3, 0.2, 0.1)])
            turning.expect(r"^  moved: ")
        assert "a number goes from -2147483648 to 2147483647" in turning.sentence(r"That is no pair.*")
        assert turning.end(signal.SIGTERM) == 1


def test_a_law_that_cannot_be_written_spoils_nothing_else(tmp_path):
    """Numbers beyond what a law may hold: that control is lost, and not all that come behind it."""
    with Hand() as desk:
        turning = begin(tmp_path / "made.json", desk, input=1, mix=2)
        skip_to(turning, "^Mix 1: turn the fader")
        find_fader(desk, turning, scale=1e300)
        turning.expect(r"^  No entry can be written for it: laws\.mix\.fader")
        skip_to(turning, "^Mix 1: switch the limiter")
        for mix in (1, 2):
            desk.say(*[osc.message(f"/mix/{mix}/limit", "i", value) for value in (0, 1, 0, 1, 0)])
            turning.expect(r"^  moved: ")
        turning.expect(r"^Mix 2: switch it on")
        show(desk, turning, osc.message("/mix/2/limit", "i", 1), "")
        show(desk, turning, osc.message("/mix/2/limit", "i", 0), "")
        turning.expect(r"^  Kept: mix\.limiter\.on is /mix/\{mix\}/limit")
        turning.end(signal.SIGTERM)
    profile = read_json(tmp_path / "made.json")
    assert list(profile["laws"]) == ["mix.limiter.on"]
    assert run("check", tmp_path / "made.json").status == 0


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


def test_what_could_not_be_written_is_not_called_kept(tmp_path):
    folder = tmp_path / "gone"
    folder.mkdir()
    with Hand() as desk:
        turning = begin(folder / "made.json", desk, input=1, mix=2)
        skip_to(turning, "^Mix 1: turn the fader")
        folder.rmdir()
        find_fader(desk, turning)
        turning.expect(r"^  Found, not written: mix\.fader is /mix/\{mix\}/fader")
        turning.type("done")
        assert turning.wait() == 2
    assert "1 control found. The profile could not be written to" in turning.text()
    assert "Next: gainwarden check" not in turning.text()
    assert "cannot write: No such file or directory" in "\n".join(turning.err.texts())


@pytest.mark.parametrize("option", ["--turn", "--save"])
def test_a_place_where_nothing_can_be_written_is_told_before_anything_is_asked(tmp_path, option):
    """And not behind an hour of turning."""
    result = run("listen", "--desk", "127.0.0.1:9", option, tmp_path / "none" / "made.json", "--for", "1")
    assert result.status == 2
    assert result.out == ""
    assert "cannot write: No such file or directory" in result.err


def test_a_file_that_is_there_is_told_before_anything_is_heard(tmp_path):
    path = tmp_path / "there.json"
    path.write_text("mine")
    result = run("listen", "--desk", "127.0.0.1:9", "--save", path, "--for", "1")
    assert result.status == 2
    assert result.out == "" and "is there already" in result.err
    assert path.read_text() == "mine"


def go_on(path, desk, **more):
    """A session that goes on with a profile of somebody's own, as far as the faders."""
    counts = {"input": 1, "mix": 2, "group": 0, "input.eq.band": 0, "mix.eq.band": 0, "mix.graphic.band": 0}
    write_json(path, {"profile_format": 1, "desk": "Mine", "link": {"transport": "udp", "port": 9100},
                      "renew": [{"send": ["/stay"], "every_s": 5}], "counts": counts,
                      "values": [{"at": "/mix/{mix}/name", "is": "mix.name"}]} | more)
    turning = Turning("--desk", desk.at, "--yes", "--turn", path)
    turning.expect(r"^Hands off")
    skip_to(turning, "^Mix 1: turn the fader")
    find_fader(desk, turning)
    return turning


def test_what_is_found_is_counted_as_it_was_found(tmp_path):
    """A profile that counts from 0: mix 1 of the desk's new entry is mix 1 all the same, and not the second."""
    path = tmp_path / "mine.json"
    with Hand() as desk:
        turning = go_on(path, desk, first={"mix": 0})
        turning.expect(r"^  Kept: mix\.fader is /mix/\{mix\}/fader")
        turning.end(signal.SIGTERM)

    def answer(desk, heard):
        desk.send(heard.peer, osc.message("/mix/1/fader", "d", 0.5))

    with OwnDesk(answer) as desk:
        out = run("listen", "--profile", path, "--desk", desk.at, "--yes", "--for", "1").out
    assert "mix.fader of mix 1 = -10 dB" in out


def test_a_law_that_is_there_stays_as_it_is(tmp_path):
    """It may have any name, and other entries read by it."""
    own = {"times": 0.1}
    with Hand() as desk:
        turning = go_on(tmp_path / "mine.json", desk, laws={"mix.fader": own},
                        values=[{"at": "/in/{input}/fader", "is": "input.fader", "law": "mix.fader"}])
        turning.expect(r"^  Kept: mix\.fader is")
        turning.end(signal.SIGTERM)
    profile = read_json(tmp_path / "mine.json")
    assert profile["laws"]["mix.fader"] == own
    assert profile["values"][1]["answer"][1]["law"] == "mix.fader 2"
    assert profile["laws"]["mix.fader 2"]["line"][-1] == [1, 10]


def test_numbers_do_not_become_names(tmp_path):
    with Hand() as desk:
        turning = go_on(tmp_path / "mine.json", desk, names={"mix": ["A", "B"]})
        said = turning.sentence(r"^  No entry can be written.*")
        turning.end(signal.SIGTERM)
    assert "names.mix stands in the profile, and these are numbers" in said


def test_what_turn_asks_is_said(tmp_path):
    """It asks the addresses that it finds, so it does not say that nothing is sent."""
    with contextlib.closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as free:
        free.bind(("", 0))
        port = free.getsockname()[1]
    with Hand() as desk:
        turning = Turning("--desk", desk.at, "--ask", "--turn", tmp_path / "made.json", f"--port={port}", agree=False)
        tell_counts(turning, input="1 ", mix="2  ")  # blanks that nobody sees
        turning.expect(r"^Hands off")
        desk.peer = ("127.0.0.1", port)
        skip_to(turning, "^Mix 1: turn the fader")
        turn_faders(desk, turning)
        until(lambda: desk.asked("/mix/1/fader") > 0, what="the question")
        turning.end(signal.SIGTERM)
        assert set(desk.asked()) == {"/mix/1/fader"}
    said = flat("\n".join(turning.err.texts()))
    assert "each address that is found is asked, without arguments, and nothing else is sent" in said
    assert "asked everything" not in said
