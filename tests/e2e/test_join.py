# SPDX-License-Identifier: MIT
"""The screen of a running watch, seen from elsewhere: what it shows, who leaves and who stays, and what a watch is to
whoever looks that answers nonsense, too much or not at all. Nobody who looks moves the watch or holds it up.
"""
import contextlib
import json
import os
import re
import shutil
import signal
import socket
import time

import pytest

from harness import (BUILD, PATIENCE, PROFILE, SHOW, MockDesk, fader_wire, flat, goal, run, show_at_once, started,
                     unix_connection, until)
from test_control import Controlled
from test_control_client import FakeWatch
from test_screen import Terminal, line_on, modes, pid_of, rows, terminals, watch_on  # pylint: disable=unused-import

pytestmark = pytest.mark.skipif(not shutil.which("tmux"), reason="no tmux here")

FOLLOWERS = 4
IDLE = r"^\? for the keys, q leaves"


def join_on(terminal, watched, *words):
    """A terminal that shows the watch's screen."""
    terminal.type(f"{BUILD.resolve()}/gainwarden watch --join {watched.show} --keep {watched.keep} "
                  f"{' '.join(map(str, words))}; echo status $?", "Enter")


def joined(terminal, watched, *words):
    join_on(terminal, watched, *words)
    terminal.until(IDLE)


def lives(watched):
    answer = watched.ask("status")
    return answer.status == 0 and "steady" in answer.out


# ---- what it shows, and leaving it ----

def test_the_screen_is_that_of_the_watch(tmp_path, terminals):
    """The same rows as a watch draws that has the terminal itself, and what changes comes within a second or two."""
    watched, terminal = Controlled(tmp_path), terminals()
    joined(terminal, watched)
    lines = terminal.lines()
    assert re.fullmatch(r"\d\d:\d\d:\d\d  doors  Ostrel Barn, Saturday", lines[0])
    assert lines[2] == "1 stop, 5 fix, 8 note, 0 not known"
    assert lines[3].startswith("STOP drums: mix 8 Drums IEM: an in-ear mix without a limiter")
    watched.move(-9)
    terminal.until(r"^FIX  -9 dB  mix 6 Drum-fill: master back to 0, slowly", timeout=5)
    terminal.until(r"^\d\d:\d\d:\d\d raised fix -9 dB  mix 6 ")
    watched.ask("room", "show")
    terminal.until(r"^\d\d:\d\d:\d\d  show  Ostrel Barn, Saturday$", timeout=5)
    terminal.type("Enter")
    terminal.until(r"^STOP no limiter  drums: ")
    assert watched.watch.stop() == 0


@pytest.mark.parametrize("how", ["q", "C-c", "kill"])
def test_leaving_it_leaves_the_watch_running(tmp_path, terminals, how):
    watched, terminal = Controlled(tmp_path), terminals()
    before = modes(terminal)
    joined(terminal, watched)
    if how == "kill":
        os.kill(pid_of(terminal), signal.SIGTERM)
    else:
        terminal.type(how)
    terminal.until("^gainwarden: the watch goes on\nstatus 0$")
    assert modes(terminal) == before
    assert lives(watched)
    assert watched.watch.stop() == 0


def test_a_watch_whose_terminal_is_gone_is_seen_again(tmp_path, terminals, line_on):
    desk = MockDesk()
    show = show_at_once(tmp_path)
    line = line_on(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    line.read_until(b"STOP")
    os.close(line.master)
    line.master = -1
    terminal = terminals()
    terminal.type(f"{BUILD.resolve()}/gainwarden watch --join {show} --keep {tmp_path}/keep; echo status $?", "Enter")
    terminal.until(IDLE)
    desk.move("/mix/6/fader", "f", fader_wire(-9))
    terminal.until(r"^FIX  -9 dB  mix 6 Drum-fill: ")
    terminal.type("q")
    terminal.until("^status 0$")
    assert line.popen.poll() is None
    line.popen.send_signal(signal.SIGTERM)
    assert line.popen.wait(5 * PATIENCE) == 0


def test_who_looks_ends_with_his_line(tmp_path, line_on):
    watched = Controlled(tmp_path)
    line = line_on(BUILD / "gainwarden", "watch", "--join", watched.show, "--keep", watched.keep)
    line.read_until(b"STOP")
    os.close(line.master)
    line.master = -1
    assert line.popen.wait(5 * PATIENCE) == 0
    assert lives(watched)
    assert watched.watch.stop() == 0


def test_a_stuck_line_of_who_looks_holds_nothing_up(tmp_path, line_on):
    watched = Controlled(tmp_path)
    line = line_on(BUILD / "gainwarden", "watch", "--join", watched.show, "--keep", watched.keep)
    line.read_until(b"STOP")
    for turn in range(20):  # nobody reads what is drawn
        watched.ask("room", "show" if turn % 2 else "doors")
    assert lives(watched)
    assert line.popen.poll() is None
    line.popen.send_signal(signal.SIGINT)
    assert line.popen.wait(5 * PATIENCE) == 0
    assert watched.watch.stop() == 0


def test_no_terminal_gets_one_page(tmp_path):
    watched = Controlled(tmp_path)
    watched.move(-9)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", start=watched.seen)
    page = run("watch", "--join", watched.show, "--keep", watched.keep)
    assert page.status == 0 and page.err == ""
    lines = page.out.splitlines()
    assert re.fullmatch(r"\d\d:\d\d:\d\d  doors  Ostrel Barn, Saturday", lines[0])
    assert lines[2] == "1 stop, 6 fix, 8 note, 0 not known"
    assert lines[3].startswith("FIX  -9 dB  mix 6 Drum-fill: master back to 0, slowly (")
    assert page.out.count("[") == 15 and "[send-follows-fader]" in page.out  # each finding whole
    assert re.search(r"^Last\n\d\d:\d\d:\d\d watching: ", page.out, re.M)
    assert lives(watched)
    assert watched.watch.stop() == 0


def test_plain_on_a_terminal_is_the_same_page(tmp_path, terminals):
    watched, terminal = Controlled(tmp_path), terminals(height=60)
    join_on(terminal, watched, "--plain")
    terminal.until("^status 0$")
    assert rows(terminal, "STOP drums: ") and rows(terminal, r"\d\d:\d\d:\d\d watching: ")
    assert watched.watch.stop() == 0


def test_every_desk_of_the_watch_is_there_and_the_joined_one_is_chosen(tmp_path, terminals):
    """Which one is shown whole is the choice of each who looks."""
    shows = []
    for name in ("a", "b", "joins"):
        (tmp_path / name).mkdir()
    for name in ("a", "b"):
        shows.append(show_at_once(tmp_path / name, show=f"Stage {name}", desk={
            "profile": str(PROFILE), "host": "127.0.0.1", "port": MockDesk().port}))
    watches, keep = terminals(), tmp_path / "keep"
    watches.type(f"{BUILD.resolve()}/gainwarden watch {shows[0]} {shows[1]} --keep {keep}", "Enter")
    watches.until(r"^>1 Stage a")
    joins = Terminal(tmp_path / "joins")
    try:
        joins.type(f"{BUILD.resolve()}/gainwarden watch --join {shows[1]} --keep {keep}", "Enter")
        joins.until(r"^ 1 Stage a .*\n>2 Stage b  doors       stop  1  fix  5  note  8  unknown  0$")
        joins.type("1")
        joins.until(r"^>1 Stage a .*\n 2 Stage b ")
        joins.type("Tab")
        joins.until(r"^>2 Stage b ")
        watches.until(r"^>1 Stage a ")
    finally:
        joins.end()


# ---- several, and some that do not read ----

class Looker:
    """A program that asks for the screen and reads when it is told to."""

    def __init__(self, watched):
        self.socket = unix_connection(watched.socket())
        self.socket.sendall(b'{"do": "screen"}\n')
        self.file = self.socket.makefile("rb")

    def view(self):
        return json.loads(self.file.readline())

    def close(self):
        self.file.close()
        self.socket.close()


def memory_kb(pid):
    with open(f"/proc/{pid}/status", encoding="utf-8") as file:
        return int(re.search(r"VmRSS:\s+(\d+)", file.read()).group(1))


def test_several_look_at_once_and_one_too_many_is_told(tmp_path):
    watched = Controlled(tmp_path)
    lookers = [Looker(watched) for _ in range(FOLLOWERS)]
    for looker in lookers:
        assert looker.view()["screen"]["version"] == 1
    refused = run("watch", "--join", watched.show, "--keep", watched.keep)
    assert (refused.status, refused.err) == (2, "gainwarden: so many look at it already as can at once\n")
    assert lives(watched)
    lookers.pop().close()
    until(lambda: run("watch", "--join", watched.show, "--keep", watched.keep).status == 0, what="a free place")
    watched.move(-9)
    for looker in lookers:
        until(lambda looker=looker: "-9 dB" in json.dumps(looker.view()), what="the move in each view")
        looker.close()
    assert watched.watch.stop() == 0


@pytest.mark.limit(60)
def test_who_does_not_read_holds_nothing_up(tmp_path):
    """He is told the newest when he reads again, not all that was."""
    watched = Controlled(tmp_path)
    stuck, reader = Looker(watched), Looker(watched)
    reader.view()
    before = memory_kb(watched.watch.popen.pid)
    for turn in range(30):
        watched.ask("room", "show" if turn % 2 else "doors")
    for turn in range(20):
        watched.move(-9 if turn % 2 == 0 else 0)
        began = time.monotonic()
        until(lambda want=-9 if turn % 2 == 0 else 0:
              ("-9 dB" in json.dumps(reader.view()["screen"]["desks"][0]["findings"])) == (want == -9), 10,
              "the move in the view of who reads")
        goal(time.monotonic() - began, 10)
    assert lives(watched)
    assert memory_kb(watched.watch.popen.pid) - before < 64 * 1024
    watched.ask("room", "line-check")
    kept = 1  # for him, up to the newest; a view a second comes beside
    while stuck.view()["screen"]["desks"][0]["room"] != "line-check":
        kept += 1
    assert kept < 60
    stuck.close()
    reader.close()
    assert watched.watch.stop() == 0


def test_views_are_few_a_second(tmp_path):
    watched = Controlled(tmp_path)
    looker = Looker(watched)
    looker.view()
    began, count = time.monotonic(), 0
    while time.monotonic() - began < 3 or count < 2:
        watched.ask("room", "show" if count % 2 else "doors")
        looker.socket.settimeout(0.2)
        with contextlib.suppress(TimeoutError):
            looker.socket.recv(1, socket.MSG_PEEK)
            looker.socket.settimeout(5 * PATIENCE)
            assert looker.view()
            count += 1
    assert count <= (time.monotonic() - began) * 4 + 2
    looker.close()
    assert watched.watch.stop() == 0


def test_who_says_more_is_let_go(tmp_path):
    watched = Controlled(tmp_path)
    looker = Looker(watched)
    looker.view()
    looker.socket.sendall(b'{"do": "reload"}\n')
    looker.socket.settimeout(5 * PATIENCE)
    with contextlib.suppress(ConnectionResetError):
        while looker.file.readline():
            pass
    assert lives(watched)
    looker.close()
    assert watched.watch.stop() == 0


# ---- the watch ends ----

def test_a_watch_that_ends_is_told(tmp_path, terminals):
    watched, terminal = Controlled(tmp_path), terminals()
    before = modes(terminal)
    joined(terminal, watched)
    assert watched.watch.stop() == 0
    terminal.until("^gainwarden: the watch has ended\nstatus 0$")
    assert modes(terminal) == before


def test_a_watch_that_crashes_is_told(tmp_path, terminals):
    watched, terminal = Controlled(tmp_path), terminals()
    before = modes(terminal)
    joined(terminal, watched)
    assert watched.watch.stop(signal.SIGKILL) == -signal.SIGKILL
    started.remove(watched.watch)  # it did not end well, and was not to
    terminal.until("^gainwarden: the watch is gone, and did not say that it ends\nstatus 2$")
    assert modes(terminal) == before


@pytest.mark.limit(40)
def test_a_watch_that_says_nothing_is_no_steady_desk(tmp_path, terminals):
    watched, terminal = Controlled(tmp_path), terminals()
    joined(terminal, watched)
    os.kill(watched.watch.popen.pid, signal.SIGSTOP)
    try:
        terminal.until(r"^the WATCH says nothing for \d+(\.\d)? s: all as of \d\d:\d\d:\d\d$", timeout=15)
    finally:
        os.kill(watched.watch.popen.pid, signal.SIGCONT)
    terminal.until("^desk steady, heard ")
    assert watched.watch.stop() == 0


def test_nothing_to_join(tmp_path):
    result = run("watch", "--join", show_at_once(tmp_path), "--keep", tmp_path / "keep")
    assert result.status == 2 and "no watch of this show is running" in result.err


# ---- the second watch ----

def test_a_second_watch_names_the_first_and_talks_to_no_desk(tmp_path):
    watched = Controlled(tmp_path)
    log = tmp_path / "second.jsonl"
    desk = MockDesk(log=log)
    second = run("watch", watched.show, "--desk", desk.at, "--keep", watched.keep)
    assert second.status == 2 and second.out == ""
    assert f"a watch of this show is running (process {watched.watch.popen.pid}): " in second.err
    assert "`gainwarden watch --join SHOW` shows its screen" in flat(second.err)
    assert "heard" not in log.read_text() and desk.heard() == []
    assert lives(watched)
    assert watched.watch.stop() == 0


# ---- what is wrong ----

@pytest.mark.parametrize("words, says", [
    ([], "which watch: name its show file, or --profile and --desk"),
    ([SHOW, SHOW], "one watch is joined at a time: name one of its show files"),
    ([SHOW, "--record", "x"], "--record is for a watch that begins, and --join shows one that runs"),
    ([SHOW, "--trace"], "--trace is for a watch that begins, and --join shows one that runs"),
])
def test_words_that_do_not_go_with_it(words, says):
    result = run("watch", "--join", *words)
    assert (result.status, result.err) == (2, f"gainwarden: {says}\n")


def view(**changes):
    desk = {"show": "S", "room": "doors", "link": "desk steady", "lost": False, "findings": [],
            "unlisted": {"stop": 0, "fix": 0, "note": 0, "held_back": 0}, "unknown": [], "not_known": 0,
            "proved": [], "quieted": [], "last": [], **changes}
    return {"version": 1, "chosen": 0, "desks": [desk]}


def line(**answer):
    return json.dumps({"ok": True, **answer}).encode() + b"\n"


@pytest.mark.parametrize("sent, says", [
    (b"", "the watch hung up without an answer"),
    (b"nonsense\n", "the watch's screen"),
    (b"[]\n", "the watch's screen: must be an object"),
    (b'{"ok": true}\n', "the watch's screen: \"screen\" must be an object"),
    (line(screen={"version": 2}), "the watch's screen is of version 2, and this program shows version 1"),
    (line(screen={**view(), "chosen": 1}), '"chosen" must be one of the desks'),
    (line(screen={**view(), "desks": []}), '"chosen" must be one of the desks'),
    (line(screen={**view(), "desks": 65 * view()["desks"]}), '"desks" must be a shorter list'),
    (line(screen=view(not_known=-1)), '"not_known" must be a count'),
    (line(screen=view(lost="no")), '"lost" must be true or false'),
    (line(screen=view(last=65 * ["x"])), '"last" must be a shorter list'),
    (line(screen=view(findings=[{"weight": "grave"}])), '"weight" must be one of stop, fix, note'),
    (9 * 1024 * 1024 * b"x", "the watch's screen: a line is too long"),
], ids=range(13))
def test_a_watch_that_answers_nonsense(tmp_path, sent, says):
    def answer(peer, _):
        with contextlib.suppress(OSError):
            peer.sendall(sent)

    with FakeWatch(tmp_path, answer) as fake:
        result = run("watch", "--join", SHOW, "--keep", fake.keep)
    assert fake.requests == [{"do": "screen"}]
    assert (result.status, result.out) == (2, "")
    assert result.err.startswith("gainwarden: ") and says in flat(result.err) and result.err.count("\n") == 1


def test_a_watch_that_let_go_is_asked_once_more(tmp_path, terminals):
    """As it does with a program that was stopped for long; but one that hangs up at once is left."""
    terminal, calls = terminals(), []

    def answer(peer, _):
        calls.append(1)
        if len(calls) < 3:
            peer.sendall(line(screen=view(show=f"Stage {len(calls)}")))
            time.sleep(1.2)

    with FakeWatch(tmp_path, answer) as fake:
        terminal.type(f"{BUILD.resolve()}/gainwarden watch --join {SHOW} --keep {fake.keep}; echo status $?", "Enter")
        terminal.until("^gainwarden: the watch is gone, and did not say that it ends\nstatus 2$")
    assert len(calls) == 3


def test_no_text_of_a_watch_moves_the_cursor(tmp_path):
    finding = {"weight": "stop", "fresh": True, "stale": False, "closed": False, "player": "p\x1b[2J",
               "figure": "+1\x07 dB", "brief": "\u202eevil", "says": 5000 * "x", "since": "1\ns", "hidden": "\x9b"}
    sent = line(screen=view(findings=[finding], show="\x1b]0;x", last=["\x1b[H", 5000 * "\u30c9"]))

    with FakeWatch(tmp_path, lambda peer, _: peer.sendall(sent)) as fake:
        result = run("watch", "--join", SHOW, "--keep", fake.keep)
    assert result.status == 0
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", result.out)
    assert "STOP +1? dB  ?evil (1?s, held back: ?)" in result.out
    assert all(len(row) <= 80 for row in result.out.splitlines())
