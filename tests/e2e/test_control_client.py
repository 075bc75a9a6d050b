# SPDX-License-Identifier: MIT
"""The commands that speak to a running watch, against a watch of the test's own: what they ask, what they
print, and what they do when the answer is late, torn, huge, or nonsense. And who may speak to a real one.
"""
import contextlib
import json
import os
import pathlib
import re
import signal
import socket
import stat
import subprocess
import sys
import threading
import time

import pytest

from harness import (BUILD, ROOT, SHOW, MockDesk, Process, begin_watch, environment, goal, run, show_at_once, started,
                     unix_address, unix_connection, unix_listener, until)
from test_control import Controlled

QUIET = ("quiet", SHOW, "--check", "too-many-cuts", "--for", "30m", "--why", "another wedge")


def socket_path(keep, show=SHOW):
    """Where the commands look for the show's watch."""
    return pathlib.Path(re.search(r"\((\S+\.socket): ", run("status", show, "--keep", keep).err).group(1))


class FakeWatch:
    """answer(peer, line) is called, in a thread, with each request's line and sends what it likes."""

    def __init__(self, folder, answer):
        self.keep = folder / "keep"
        self.requests = []
        self.answer = answer
        self.socket = unix_listener(socket_path(self.keep))
        self.thread = threading.Thread(target=self.serve, daemon=True)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *_):
        self.socket.shutdown(socket.SHUT_RDWR)
        self.thread.join(100)
        self.socket.close()
        assert not self.thread.is_alive()

    def serve(self):
        while True:
            try:
                peer, _ = self.socket.accept()
            except OSError:
                return
            with peer:
                line = peer.makefile("rb").readline()
                self.requests.append(json.loads(line))
                try:
                    self.answer(peer, line)
                except OSError:
                    pass  # who asked has gone

    def ask(self, command, *words, **options):
        return run(command, *words, "--keep", self.keep, **options)


def says(text):
    return lambda peer, line: peer.sendall(text)


GOOD = says(b'{"ok":true,"lines":["one","two"],"more":[1]}\n')


# ---- what is asked ----

@pytest.mark.parametrize("words, request_", [
    (("room", SHOW), {"do": "room"}),
    (("room", SHOW, "doors"), {"do": "room", "to": "doors"}),
    (("room", SHOW, "changeover", "--for", "20m"), {"do": "room", "to": "changeover", "for_s": 1200}),
    (("room", SHOW, "changeover", "--for", "90"), {"do": "room", "to": "changeover", "for_s": 90}),
    (("status", SHOW), {"do": "status"}),
    (("reload", SHOW), {"do": "reload"}),
    (("quiet", SHOW, "--list"), {"do": "quiet-list"}),
    (("quiet", SHOW, "--end", "3"), {"do": "quiet-end", "number": 3}),
    (QUIET, {"do": "quiet", "check": "too-many-cuts", "for_s": 1800, "why": "another wedge", "stop_too": False,
             "now": False}),
    ((*QUIET, "--now", "--stop-too", "--by", "Ana", "--input", "7", "--mix", "3", "--player", "ld vox"),
     {"do": "quiet", "check": "too-many-cuts", "for_s": 1800, "why": "another wedge", "stop_too": True,
      "now": True, "by": "Ana", "input": 7, "mix": 3, "player": "ld vox"}),
])
def test_each_command_asks_for_one_thing(tmp_path, words, request_):
    with FakeWatch(tmp_path, GOOD) as watch:
        result = watch.ask(*words)
        assert (result.status, result.out, result.err) == (0, "one\ntwo\n", "")
        assert watch.requests == [request_]


@pytest.mark.parametrize("time_", ["0", "-5m", "5d", "m", "", "1h30m", "inf", "nan", "8h s", "169h", "1e9"])
def test_times_that_are_none(tmp_path, time_):
    result = run("room", SHOW, "changeover", f"--for={time_}", "--keep", tmp_path)
    assert result.status == 2
    assert f"--for={time_}: must be a time of at most a week, such as 90s, 30m or 2h" in result.err


# ---- what is answered ----

def test_json_is_the_answer_as_it_is(tmp_path):
    with FakeWatch(tmp_path, GOOD) as watch:
        result = watch.ask("status", SHOW, "--format", "json")
        assert result.json() == {"ok": True, "lines": ["one", "two"], "more": [1]}


def test_a_refusal(tmp_path):
    with FakeWatch(tmp_path, says(b'{"ok":false,"error":"no such mix","lines":["listed all the same"]}\n')) as watch:
        result = watch.ask("status", SHOW)
        assert (result.status, result.out, result.err) == (2, "listed all the same\n", "gainwarden: no such mix\n")


def test_what_the_answer_holds_cannot_move_the_cursor(tmp_path):
    with FakeWatch(tmp_path, says(b'{"ok":true,"lines":["a\\u001b[2Jb\\u202ec"]}\n')) as watch:
        assert watch.ask("status", SHOW).out == "a\\x1b[2Jb\\xe2\\x80\\xaec\n"


@pytest.mark.parametrize("answer, status, error", [
    (b"", 2, "the watch hung up without an answer"),
    (b'{"ok":true', 2, "the watch hung up before its answer was whole"),
    (b'{"ok":true}', 2, "the watch hung up before its answer was whole"),
    (b"hello\n", 2, "the watch's answer:"),
    (b"\n", 2, "the watch's answer:"),
    (b"[]\n", 2, "the watch's answer: must be an object"),
    (b'{"ok":true}\n{"ok":true}\n', 2, "the watch's answer:"),
    (b"\xff\n", 2, "the watch's answer:"),
    (b"{}\n", 2, "the watch says no"),
    (b'{"ok":"yes","error":17}\n', 2, "the watch says no"),
    (b'{"ok":false,"lines":{"a":"b"}}\n', 2, "the watch says no"),
])
def test_answers_that_are_none(tmp_path, answer, status, error):
    with FakeWatch(tmp_path, says(answer)) as watch:
        result = watch.ask("status", SHOW)
        assert (result.status, result.out) == (status, "")
        assert result.err.startswith("gainwarden: " + error) or error in result.err, result.err


def test_lines_that_are_no_text_are_empty(tmp_path):
    with FakeWatch(tmp_path, says(b'{"ok":true,"lines":[1,null,"x",[]]}\n')) as watch:
        assert watch.ask("status", SHOW).out == "\n\nx\n\n"


def test_a_large_answer(tmp_path):
    lines = [f"line {number} " + 100 * "x" for number in range(50000)]
    with FakeWatch(tmp_path, says(json.dumps({"ok": True, "lines": lines}).encode() + b"\n")) as watch:
        assert watch.ask("status", SHOW).out.splitlines() == lines


def drip(peer, _):
    for _ in range(500):
        peer.sendall(b"x")
        time.sleep(0.2)


@pytest.mark.parametrize("answer", [lambda peer, line: peer.recv(1), drip], ids=["silent", "one byte at a time"])
def test_a_watch_that_is_stuck(tmp_path, answer):
    with FakeWatch(tmp_path, answer) as watch:
        result = watch.ask("status", SHOW)
        assert (result.status, result.err) == (2, "gainwarden: the watch did not answer within 5 s\n")
        assert result.took > 4.5
        goal(result.took, 7)


def fill_up(path):
    """A listener that lets nobody in any more, and those who wait for it."""
    full, waiting = unix_listener(path, 0), []
    with unix_address(path) as address, contextlib.suppress(BlockingIOError):
        for _ in range(3):
            peer = socket.socket(socket.AF_UNIX)
            peer.setblocking(False)
            waiting.append(peer)
            peer.connect(address)
    return full, waiting


def stop_for(process, seconds):
    """As Ctrl-Z and fg do, or a computer that sleeps."""
    process.popen.send_signal(signal.SIGSTOP)
    time.sleep(seconds)
    process.popen.send_signal(signal.SIGCONT)


def test_a_command_that_was_stopped_at_the_door_goes_on(tmp_path):
    keep = tmp_path / "keep"
    full, waiting = fill_up(socket_path(keep))
    command = Process(BUILD / "gainwarden", "status", SHOW, "--keep", keep)
    time.sleep(1)  # it waits there now
    stop_for(command, 1)
    assert command.wait() == 2
    assert command.err.texts() == ["gainwarden: the watch did not answer within 5 s"]
    for peer in [*waiting, full]:
        peer.close()


def test_a_command_that_was_stopped_takes_what_came_meanwhile(tmp_path):
    """For longer than it waits for an answer."""
    def answer(peer, line):
        command.popen.send_signal(signal.SIGSTOP)
        time.sleep(0.5)  # it is
        GOOD(peer, line)
        peer.shutdown(socket.SHUT_RDWR)
        stop_for(command, 6)

    with FakeWatch(tmp_path, answer) as watch:
        command = Process(BUILD / "gainwarden", "status", SHOW, "--keep", watch.keep)
        assert command.wait() == 0, command.err.texts()
    assert command.out.texts() == ["one", "two"]


def test_a_watch_that_takes_nothing(tmp_path):
    """It is there, and so many wait that it lets none in."""
    keep = tmp_path / "keep"
    path = socket_path(keep)
    full, waiting = fill_up(path)
    result = run("status", SHOW, "--keep", keep)
    assert (result.status, result.err) == (2, "gainwarden: the watch did not answer within 5 s\n")
    result = run("watch", SHOW, "--keep", keep, "--desk", "127.0.0.1:9")
    assert result.status == 2 and "a watch of this show is running" in result.err, result.err
    for peer in [*waiting, full]:
        peer.close()


def test_nobody_listens_there_any_more(tmp_path):
    show = show_at_once(tmp_path)  # the demo's may run elsewhere, which is told
    unix_listener(socket_path(tmp_path, show)).close()
    result = run("status", show, "--keep", tmp_path)
    assert result.status == 2
    assert re.fullmatch(r"gainwarden: no watch of this show is running \(\S+: Connection refused\); "
                        r"`gainwarden watch SHOW` starts one\n", result.err)


# ---- where it is ----

def test_a_folder_whose_path_is_longer_than_a_sockets_address(tmp_path):
    """Which holds 108 bytes (unix(7)). It is taken over after a crash, and gone with the watch, as anywhere."""
    folder = tmp_path / (200 * "k")
    folder.mkdir()
    watched = Controlled(folder)
    path = watched.socket()
    second = run("watch", watched.show, "--keep", watched.keep, "--desk", watched.desk.at)

    assert len(str(path)) > 200
    assert stat.S_ISSOCK(path.stat().st_mode) and stat.S_IMODE(path.stat().st_mode) == 0o600
    assert watched.ask("status").status == 0
    assert second.status == 2 and "watch of this show is running" in second.err, second.err
    assert watched.watch.stop(signal.SIGKILL) == -signal.SIGKILL
    started.remove(watched.watch)  # it did not end well, and was not to
    result = watched.ask("status")
    assert result.status == 2 and f"no watch of this show is running ({path}: Connection refused)" in result.err
    again, _ = begin_watch(watched.desk, "--still-every", "0", "--keep", watched.keep, show=watched.show)
    assert watched.ask("status").status == 0
    assert again.stop() == 0
    assert not path.exists()
    result = watched.ask("status")
    assert result.status == 2 and f"({path}: No such file or directory)" in result.err


def test_two_shows_of_one_name_in_folders_with_long_paths(tmp_path):
    """Each in a keep folder of its own, and both in one."""
    desk, keeps, shows = MockDesk(), [tmp_path / (150 * letter) for letter in "ab"], []
    for letter in "yz":
        folder = tmp_path / (150 * letter)
        folder.mkdir()
        shows.append(show_at_once(folder, show=f"show {letter}"))
    pairs = [(show, keep) for show in shows for keep in keeps]
    watches = [begin_watch(desk, "--still-every", "0", "--keep", keep, show=show)[0] for show, keep in pairs]
    for number, (show, keep) in enumerate(pairs, 1):
        assert run("quiet", show, "--keep", keep, "--mix", number, "--for", "1h", "--why", "x", "--now").status == 0
    for number, (show, keep) in enumerate(pairs, 1):
        assert re.findall(r", mix (\d):", run("quiet", show, "--keep", keep, "--list").out) == [str(number)]
    for watch in watches:
        assert watch.stop() == 0


def test_a_keep_folder_that_no_path_can_name(tmp_path):
    for command in ("status", "watch"):
        result = run(command, SHOW, "--keep", tmp_path / "/".join(20 * [200 * "x"]))
        assert result.status == 2 and "--keep names another folder" in result.err, result.err


# ---- who may ask ----

def test_when_all_places_are_taken_it_says_so(tmp_path):
    watched = Controlled(tmp_path)
    idle = [unix_connection(watched.socket()) for _ in range(8)]
    until(lambda: watched.ask("status").err == "gainwarden: the watch is asked by too many at once; try again\n")
    for peer in idle:
        peer.close()
    until(lambda: watched.ask("status").status == 0)
    assert watched.watch.stop() == 0


STRANGER = """
import os, socket, sys
os.setgroups([]); os.setgid(65534); os.setuid(65534)
peer = socket.socket(socket.AF_UNIX)
peer.settimeout(3)
try:
    peer.connect(sys.argv[1])  # in the working folder: an address holds 108 bytes
    peer.sendall(b'{"do":"room","to":"show"}\\n')
    print(peer.recv(65536))
except OSError as error:
    print(type(error).__name__)
"""


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become somebody else")
def test_a_stranger_is_turned_away_and_counted(tmp_path):
    """Even where the modes of socket and folders are opened to all."""
    watched = Controlled(tmp_path)
    words = [sys.executable, "-c", STRANGER, watched.socket().name]
    for folder in (watched.keep, *watched.keep.parents):
        if folder.stat().st_uid == os.geteuid() and folder != ROOT.root and len(folder.parts) > 2:
            folder.chmod(folder.stat().st_mode | 0o055)
    first = subprocess.run(words, cwd=watched.keep, capture_output=True, text=True, env=environment(), check=True, timeout=100)
    assert first.stdout == "PermissionError\n", first  # the socket's own mode
    watched.socket().chmod(0o666)
    second = subprocess.run(words, cwd=watched.keep, capture_output=True, text=True, env=environment(), check=True, timeout=100)
    assert second.stdout in ("b''\n", "BrokenPipeError\n", "ConnectionResetError\n"), second
    status = watched.ask("status", "--format", "json").json()
    assert (status["strangers"], status["room"]) == (1, "doors")
    assert "1 time somebody else was turned away from the control socket\n" in watched.ask("status").out
    assert watched.watch.stop() == 0
