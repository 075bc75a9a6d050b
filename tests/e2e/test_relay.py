# SPDX-License-Identifier: MIT
"""The desk as a running watch hands it to a ring-out that is followed elsewhere: all of it, then what moved, to one at a
time, as fast as he takes it; and what it holds back meanwhile.
"""
import contextlib
import json
import re
import socket

import pytest

from harness import PATIENCE, STATE, MockDesk, fader_wire, read_json, run, unix_connection, until, write_json
from test_control import Controlled


class Follower:
    """Whoever asks for the desk: what he knows of it, and the link."""

    def __init__(self, watched, **request):
        self.known, self.link, self.lines = {}, None, 0
        self.peer = unix_connection(watched.socket())
        self.peer.settimeout(10 * PATIENCE)
        self.peer.send(json.dumps({"do": "ring-out", **request}).encode() + b"\n")
        self.reader = self.peer.makefile("rb")
        self.answer = self.take()

    def take(self):
        line = json.loads(self.reader.readline())
        self.lines += 1
        told = line.get("ring_out", {})
        for name, row, column, value, age_ms in told.get("values", []):
            assert age_ms >= 0
            self.known[name, row, column] = value
        for name, row, column in told.get("stale", []):
            del self.known[name, row, column]
        self.link = told.get("link", self.link)
        return line

    def until(self, true):
        while not true():
            self.take()

    def close(self):
        self.reader.close()
        self.peer.close()


def test_all_of_the_desk_and_then_what_moves(tmp_path):
    watched = Controlled(tmp_path)
    saved = tmp_path / "desk.json"
    assert run("audit", watched.show, "--desk", watched.desk.at, "--save", saved).out
    follower = Follower(watched)
    follower.until(lambda: follower.link == "steady")
    values = {name: one["values"] for name, one in read_json(saved)["values"].items()}
    for (name, row, column), value in follower.known.items():
        there = values[name]
        for index in (row, column):
            there = there[index - 1] if isinstance(there, list) else there
        if isinstance(there, str) and isinstance(value, (int, float)):
            continue  # a word, which is a number inside
        assert value == pytest.approx(there) if isinstance(there, (int, float)) else value == there, (name, row, column)
    assert len(follower.known) > 1000
    watched.move(-9)
    follower.until(lambda: follower.known["mix.fader", 6, 1] == pytest.approx(-9, abs=0.1))
    watched.move("-inf")
    follower.until(lambda: follower.known["mix.fader", 6, 1] == "-inf")
    watched.desk.move("/in/18/name", "s", "Voice \u00e9")
    follower.until(lambda: follower.known["input.name", 18, 1] == "Voice \u00e9")
    follower.close()
    assert watched.watch.stop() == 0


def test_a_line_a_second_though_nothing_moves(tmp_path):
    watched = Controlled(tmp_path)
    follower = Follower(watched)
    begun = follower.lines
    follower.until(lambda: follower.lines >= begun + 3)
    assert watched.watch.stop() == 0
    follower.until(lambda: follower.take().get("ended"))


def test_a_lost_desk(tmp_path):
    watched = Controlled(tmp_path)
    follower = Follower(watched)
    follower.until(lambda: follower.link == "steady")
    count = len(follower.known)
    port = watched.desk.port
    watched.desk.stop()
    follower.until(lambda: follower.link == "lost")
    assert follower.known == {}
    watched.desk = MockDesk(port=port)
    follower.until(lambda: follower.link == "steady")
    assert len(follower.known) == count
    assert watched.watch.stop() == 0


def test_one_at_a_time(tmp_path):
    watched = Controlled(tmp_path)
    first = Follower(watched)
    second = Follower(watched)
    assert second.answer["error"] == "another ring-out of this desk is being followed already"
    first.close()
    until(lambda: Follower(watched).answer["ok"])
    for mix in (9, -1, 1e300):
        assert Follower(watched, mix=mix).answer["error"] in (
            "the watch knows no such mix: its files are others, `gainwarden reload` reads them",
            "another ring-out of this desk is being followed already")
    assert watched.watch.stop() == 0


def test_he_who_takes_nothing_holds_nobody_up_and_is_told_the_present(tmp_path):
    """Many values move while he sleeps: no queue grows, and then he knows the desk as it is."""
    watched = Controlled(tmp_path)
    follower = Follower(watched)
    follower.peer.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    follower.until(lambda: follower.link == "steady")
    for step in range(3000):
        watched.desk.move("/mix/6/fader", "f", fader_wire(-20 + step % 40 / 2))
        watched.desk.move(f"/in/{step % 24 + 1}/to/2/level", "f", fader_wire(-20 + step % 30 / 2))
        if step % 100 == 0:
            watched.desk.ask("/desk/talkback")
    watched.move(-3.5)
    assert "steady" in watched.ask("status").out
    follower.until(lambda: follower.known["mix.fader", 6, 1] == pytest.approx(-3.5, abs=0.1))
    follower.close()
    assert watched.watch.stop() == 0


def test_a_large_desk_comes_in_parts(tmp_path):
    """No line has more than so many values, and the link is told with the last of them."""
    state = read_json(STATE)
    watched = Controlled(tmp_path, desk=MockDesk(state=write_json(tmp_path / "state.json", state)))
    follower = Follower(watched)
    most = 0
    with contextlib.closing(follower):
        line = follower.answer
        while True:
            told = line["ring_out"]
            most = max(most, len(told["values"]))
            assert len(told["values"]) <= 2000
            if "link" in told:
                break
            line = follower.take()
    assert most == 2000, "the demo's desk has more values than one line takes"
    assert watched.watch.stop() == 0


def test_what_he_does_is_held_back_until_he_goes(tmp_path):
    """Of the mix that is rung out; the others are watched as ever."""
    watched = Controlled(tmp_path, checks={"value-jumped": {}})
    follower = Follower(watched, mix=1)
    follower.until(lambda: follower.link == "steady")
    watched.desk.move("/in/18/to/1/level", "f", fader_wire(8))
    watched.desk.move("/in/20/to/2/level", "f", fader_wire(8))
    watched.watch.expect(r"raised fix \[value-jumped\] input 20 [^\n]* mix 2", start=watched.seen)
    until(lambda: re.search(r"\[value-jumped\] input 18 [^\n]*\(held back by ring-out of mix 1\)",
                            watched.ask("status").out))
    assert [line for line in watched.told() if "[value-jumped] input 18" in line] == []
    follower.close()
    at, _, _ = watched.watch.expect(r"held back during the ring-out", start=watched.seen)
    watched.watch.expect(r"raised fix \[value-jumped\] input 18", start=at)
    assert "held back by ring-out" not in watched.ask("status").out
    assert watched.watch.stop() == 0
