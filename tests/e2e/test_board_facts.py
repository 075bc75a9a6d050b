# SPDX-License-Identifier: MIT
"""What the board tells of a desk, and what its buttons do: a send leaps, is told with its cure, is seen by one for
all, is put back; a stop is meant twice; and what was seen is seen after a crash.
"""
import contextlib
import http.client
import json
import re
import signal
import threading

import pytest

from harness import (BUILD, MockDesk, Process, begin_watch, fader_wire, run, show_at_once, started, unix_connection,
                     until)

SEND = "/in/18/to/1/level"
CURE = re.compile(r"Put it back to (-?[\d.]+)\.")


class Board:
    """A tablet with one of the links, which reads the stream along."""

    def __init__(self, host, link):
        self.host = host
        answer = self.ask("POST", "/enter", {"token": link.partition("#")[2]})
        assert answer.status == 200, answer.body
        self.cookie = answer.getheader("Set-Cookie").partition(";")[0]
        self.latest = None
        threading.Thread(target=self.read, daemon=True).start()
        until(lambda: self.latest, what="the first facts")

    def ask(self, method, path, body=None):
        peer = http.client.HTTPConnection(self.host, timeout=60)
        headers = {"Origin": f"http://{self.host}", "Content-Type": "application/json"}
        if hasattr(self, "cookie"):
            headers["Cookie"] = self.cookie
        peer.request(method, path, json.dumps(body) if body is not None else None, headers)
        answer = peer.getresponse()
        answer.body = json.loads(answer.read())
        peer.close()
        return answer

    def read(self):
        """To the end of the stream, which a watch that is killed does not always reach."""
        peer = http.client.HTTPConnection(self.host)
        peer.request("GET", "/events", headers={"Cookie": self.cookie})
        kind = None
        with contextlib.suppress(OSError, http.client.HTTPException):
            for line in peer.getresponse():
                name, _, value = line.decode().rstrip("\n").partition(": ")
                if name == "event":
                    kind = value
                elif name == "data" and kind == "facts":
                    self.latest = json.loads(value)
        peer.close()

    def facts(self):
        return self.latest

    def desk(self):
        return self.facts()["desks"][0]

    def now(self, check):
        return next((one for one in self.desk()["now"] if one["check"] == check), None)

    def tile(self, mix):
        return next(one for one in self.desk()["tiles"] if one["mix"] == mix)


class Evening:
    """A watch with a board, started again and again."""

    def __init__(self, folder):
        self.desk = MockDesk()
        self.lines = folder / "lines.jsonl"
        self.show = show_at_once(folder, checks={"value-jumped": {}}, tell={"lines": {"file": str(self.lines)}})
        self.keep = folder / "keep"
        self.start()

    def start(self):
        self.watch, _ = begin_watch(self.desk, "--still-every", "0", "--keep", self.keep, "--board=127.0.0.1:0",
                                    show=self.show)
        _, _, match = self.watch.expect(r"the board is at http://([\d.:]+)/")
        self.address = match.group(1)

    def kill(self):
        self.watch.kill()
        started.remove(self.watch)  # it did not end well, and was not to

    def command(self, *words):
        return run(words[0], self.show, *words[1:], "--keep", self.keep)

    def socket(self):
        return next(self.keep.glob("*.socket"))

    def board(self):
        links = json.loads(self.command("board", "--format", "json").out)
        return Board(self.address, links["operate"])

    def leap(self):
        self.desk.move(SEND, "f", fader_wire(10))

    def back(self):
        self.desk.move(SEND, "f", fader_wire(-14))


def ask(evening, request):
    with contextlib.closing(unix_connection(evening.socket())) as peer:
        peer.sendall(json.dumps(request).encode() + b"\n")
        return json.loads(peer.makefile("rb").readline())


@pytest.fixture
def evening(tmp_path):
    evening = Evening(tmp_path)
    yield evening
    if evening.watch.running():
        assert evening.watch.stop() == 0


@pytest.mark.limit(60)
def test_a_leap_is_told_seen_and_put_back(evening):
    one, other = evening.board(), evening.board()
    until(lambda: one.desk()["quiet"]["for_s"] >= 1, what="a second after the first page, in which all stood")
    evening.leap()
    told = until(lambda: one.now("value-jumped"), what="the leap")

    assert (told["figure"], told["arrow"], told["mix"]) == ("+24 dB", "up", 1)
    assert CURE.fullmatch(told["cure"]).group(1) == "-14"
    assert one.tile(1)["word"] == "JUMP"
    assert one.desk()["changed"][0]["what"] == "input 18 Ld Vox: send into mix 1 Ld Vox wedge -14 dB -> 10 dB"

    assert other.ask("POST", "/seen", {"desk": 0, "finding": told["id"], "who": "Mo"}).status == 200
    assert until(lambda: one.now("value-jumped")["seen"], what="that it is seen here too")["by"] == "Mo"
    assert "seen by Mo" in evening.command("status").out
    lines = [json.loads(line) for line in evening.lines.read_text().splitlines()]
    assert [(line["by"], line["finding"]["check"]) for line in lines if line["event"] == "seen"] == [
        ("Mo", "value-jumped")]

    evening.back()
    until(lambda: one.now("value-jumped") is None, what="that it is over")
    assert one.tile(1)["word"] != "JUMP"
    assert one.desk()["changed"][0]["now"].startswith("ended after ")
    assert any("value-jumped" in line["says"] or "+24 dB" in line["says"] for line in one.desk()["told"])


@pytest.mark.limit(60)
def test_a_stop_is_meant_twice_and_is_a_quieting(evening):
    board = evening.board()
    stop = until(lambda: board.now("ears-unprotected"))
    button = {"desk": 0, "finding": stop["id"], "who": "Mo"}
    first = board.ask("POST", "/meant", button)

    assert (stop["weight"], first.status, first.body["again"]) == ("stop", 409, True)
    assert board.now("ears-unprotected")
    assert board.ask("POST", "/meant", button | {"again": True}).status == 200
    until(lambda: board.now("ears-unprotected") is None)
    late = board.ask("POST", "/meant", button | {"again": True, "who": "Kim"})  # on another tablet, at once
    assert (late.status, late.body["error"]) == (422, "it is quieted already: `gainwarden quiet --list SHOW` says until "
                                                      "when")
    listed = evening.command("quiet", "--list").out
    assert re.search(r"^quieting 1, ears-unprotected, mix 8, stop too: ends in .* \(was meant at \d\d:\d\d, by Mo\)$",
                     " ".join(listed.split())), listed
    assert board.tile(8)["limiter"] == "NO LIMITER"  # it is so all the same
    assert any("quieting 1 (was meant" in line for line in board.desk()["held"])


@pytest.mark.limit(60)
def test_what_was_seen_is_seen_after_a_crash(evening):
    board = evening.board()
    stop = until(lambda: board.now("ears-unprotected"))
    before = board.facts()

    assert board.ask("POST", "/seen", {"desk": 0, "finding": stop["id"], "who": "Mo"}).status == 200
    until(lambda: board.now("ears-unprotected") is None)
    evening.kill()
    evening.start()
    board = evening.board()
    after = board.facts()

    assert board.now("ears-unprotected")["seen"]["by"] == "Mo"  # it is there as long as it may be news
    assert after["boot"] != before["boot"]
    kept = [line["says"] for line in before["desks"][0]["told"]]
    assert kept and kept == [line["says"] for line in after["desks"][0]["told"]][-len(kept):]
    findings = json.loads(evening.command("status", "--format", "json").out)["findings"]
    assert [one["seen"]["by"] for one in findings if one["check"] == "ears-unprotected"] == ["Mo"]


@pytest.mark.limit(60)
def test_a_mix_is_opened(evening):
    board = evening.board()
    mix = board.ask("GET", "/mix?desk=0&mix=1").body
    own = [send for send in mix["sends"] if send["to_own"] == "own"]

    assert mix["name"] == "Ld Vox wedge" and mix["kind"] == "wedge"
    assert [send["name"] for send in own] == ["Acoustic", "Ld Vox"]  # who sings plays it
    assert any(band["is_cut"] for band in mix["equaliser"])
    assert board.ask("GET", "/mix?desk=0&mix=99").status == 404
    assert board.ask("GET", "/mix?desk=7&mix=1").status == 404


@pytest.mark.limit(60)
def test_a_ring_out_is_shown_as_long_as_somebody_follows_it(evening):
    board = evening.board()
    assert board.facts()["ring_out"] is None
    ringing = Process(BUILD / "gainwarden", "ring-out", evening.show, "--mix", "1", "--keep", evening.keep, "--plain")
    shown = until(lambda: board.facts()["ring_out"], what="what it shows")

    assert shown["desk"] == 0 and shown["title"] == "Ostrel Barn, Saturday: ring-out"

    def steady():
        one = board.facts()["ring_out"]
        return one if one and one["link"] == "over the running watch: steady" else None

    assert {"care", "next"} <= {name for name, value in until(steady, what="that it is steady").items() if value}
    assert ringing.stop() == 0
    until(lambda: board.facts()["ring_out"] is None, what="that nobody follows it")


@pytest.mark.limit(60)
def test_a_ring_out_that_is_stopped_is_shown_no_more_until_it_goes_on(evening):
    board = evening.board()
    ringing = Process(BUILD / "gainwarden", "ring-out", evening.show, "--mix", "1", "--keep", evening.keep, "--plain")
    until(lambda: board.facts()["ring_out"], what="what it shows")
    ringing.popen.send_signal(signal.SIGSTOP)
    until(lambda: board.facts()["ring_out"] is None, what="that it says nothing")
    ringing.popen.send_signal(signal.SIGCONT)
    until(lambda: board.facts()["ring_out"], what="that it goes on")
    assert ringing.stop() == 0


@pytest.mark.limit(60)
@pytest.mark.parametrize("view", [None, [], "x", {}, {"title": 1}])
def test_what_is_no_view_of_a_ring_out_is_refused(evening, view):
    board = evening.board()
    request = {"do": "ring-out-view", "view": view}

    assert ask(evening, request)["error"] == "no ring-out is being followed"
    with contextlib.closing(unix_connection(evening.socket())) as follower:
        follower.sendall(b'{"do": "ring-out", "mix": 1}\n')
        follower.recv(1)
        assert ask(evening, request)["error"] == "that is no view of a ring-out"
    assert board.facts()["ring_out"] is None
