# SPDX-License-Identifier: MIT
"""What a watch told, and what waits for the chat hook, outlasts whatever ends it. One master goes off
unity and back, again and again; the watch is killed at random moments; and what the hook got in the end
must be a strict change of raised and cleared that ends with what stands: nothing lost, nothing twice but
the one message that was under way, which carries the same identity.
"""
import contextlib
import fcntl
import json
import os
import random
import re
import socket
import struct
import sys
import termios
import threading
import time

import pytest

from harness import (BUILD, ROOT, SEED, MockChat, MockDesk, Process, begin_watch, fader_wire, notes, rounds, run,
                     show_at_once, started, until)
from test_clock import LIBRARY, Clock

sys.path.append(str(ROOT / "tests" / "weather"))
import net  # noqa: E402

VARIABLE = "GAINWARDEN_CHAT_URL"
MASTER = "/mix/6/fader"
KILLS = int(os.environ.get("GW_KILLS", rounds(20, 200)))


class Kept:
    """A desk, a hook, and a watch that keeps its file in one place however often it is started."""

    def __init__(self, folder, hook=None, tell=None, **changes):
        self.folder = folder
        self.desk = MockDesk()
        self.hook = hook or MockChat(folder / "chat.jsonl")
        self.show = show_at_once(folder, tell=tell or {"chat": {"url_env": VARIABLE}}, **changes)
        self.words = ("--still-every", "0", "--keep", folder / "keep")
        self.move(0)

    def start(self):
        self.watch, self.seen = begin_watch(self.desk, *self.words, show=self.show,
                                            env={VARIABLE: self.hook.url})
        return self.watch

    def kill(self):
        self.watch.kill()
        started.remove(self.watch)  # it did not end well, and was not to

    def move(self, db):
        self.desk.move(MASTER, "f", fader_wire(db))

    def command(self, *words):
        return run(words[0], self.show, *words[1:], "--keep", self.folder / "keep")

    def told(self):
        """What the hook got, each message once: the one that was under way at a kill may come again."""
        return list({record["identity"]: text
                     for record, text in zip(self.hook.records(), self.hook.texts())}.values())

    def edges(self):
        """What it got of the master: raised (True) or cleared (False)."""
        return [line == "raised" for text in self.told() for line in
                re.findall(r"(raised|cleared)[^\n]*\[master-off-unity\] mix 6 ", text)]

    def repeated(self):
        ids = [record["identity"] for record in self.hook.records()]
        return len(ids) - len(set(ids))


class EverySink(Kept):
    """With every way to tell somebody, on a screen, under a clock that may be wrong after each kill. Cues go to
    another host than the desk's: to `lamp`, a socket at the other end of a cable.
    """

    def __init__(self, folder, lamp):
        self.lamp = lamp
        self.lit = 0
        self.lines = folder / "lines.jsonl"
        self.recording = folder / "evening.recording"
        super().__init__(folder, tell={
            "chat": {"url_env": VARIABLE}, "lines": {"file": str(self.lines)},
            "heartbeat": {"file": str(folder / "beat"), "every_s": 1},
            "osc": {"host": lamp.getsockname()[0], "port": lamp.getsockname()[1], "address": "/lamp"}})
        self.clock = Clock(folder)
        self.screen, self.terminal = os.openpty()
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("4H", 40, 120, 0, 0))
        self.shown = 0
        threading.Thread(target=self.look, daemon=True).start()

    def look(self):
        with contextlib.suppress(OSError):  # closed by close()
            while True:
                self.shown += len(os.read(self.screen, 65536))

    def begin(self):
        self.watch = Process(BUILD / "gainwarden", "watch", self.show, "--desk", self.desk.at, *self.words,
                             "--record", self.recording, stdout=self.terminal,
                             env={VARIABLE: self.hook.url, "TERM": "xterm", **self.clock.env})

    def count_lamp(self):
        self.lamp.setblocking(False)
        with contextlib.suppress(BlockingIOError):
            while self.lamp.recv(4096):
                self.lit += 1
        return self.lit

    def close(self):
        for end in (self.screen, self.terminal):
            os.close(end)


CLOCKS = [0, 0, -7200, 7200, -400 * 86400, 400 * 86400]


@pytest.fixture
def lamp():
    """This test is in a namespace of its own, and the socket in another, at the end of a cable."""
    with net.opened() as cable, net.entered(cable.ours):
        with net.entered(cable.desks):
            sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        with sock:
            sock.bind(("10.77.0.2", 0))
            yield sock


@pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")
@pytest.mark.skipif(not net.is_possible(), reason="no namespaces here")
@pytest.mark.limit(60 + 3 * KILLS)
def test_killed_at_random_moments(tmp_path, lamp):
    """The desk goes on changing while the watch is away, and the clock is another one when it is back."""
    dice = random.Random(SEED)
    kept = EverySink(tmp_path, lamp)
    off = False
    for _ in range(KILLS):
        kept.clock.step(dice.choice(CLOCKS))
        kept.begin()
        begun, life, heard = time.monotonic(), dice.uniform(0, 1.6), len(kept.edges())
        patience = dice.choice([0, 20])  # half of them live until they told something, however slow the machine
        while (lived := time.monotonic() - begun) < life or lived < patience and len(kept.edges()) == heard:
            off = not off
            kept.move(-7 if off else 0)
            time.sleep(dice.uniform(0.005, 0.15))
        kept.kill()
        kept.count_lamp()
        if dice.random() < 0.5:
            off = not off
            kept.move(-7 if off else 0)
    kept.begin()
    until(lambda: kept.watch.running() and kept.command("status").status == 0, 20, "the last watch")
    kept.move(0)
    time.sleep(1)
    kept.move(-7)
    until(lambda: kept.edges() and kept.edges()[-1], what="the last message")
    time.sleep(0.5)
    assert kept.watch.stop() == 0
    edges = kept.edges()
    twice = [at for at, (one, other) in enumerate(zip(edges, edges[1:])) if one == other]
    lines = [json.loads(line) for line in kept.lines.read_text().splitlines()]
    replayed = run("replay", kept.recording)

    print(f"{KILLS} kills: {len(edges)} edges delivered, {len(twice)} out of turn, {kept.repeated()} messages "
          f"repeated with their identity, {len(lines)} lines, {kept.count_lamp()} cues")
    # the first may be a clear: what stood at the very start is on the first page
    assert twice == [] and edges[-1] is True
    assert len(edges) > KILLS / 4
    assert kept.repeated() <= KILLS
    assert lines and kept.lit and kept.shown and (tmp_path / "beat").exists()
    assert replayed.status == 0, replayed.err
    assert [name for name in os.listdir(tmp_path / "keep") if "damaged" in name] == []
    kept.close()


def test_silent_after_a_crash_when_nothing_changed(tmp_path):
    kept = Kept(tmp_path)
    kept.start()
    kept.hook.wait_for(1)
    kept.move(-7)
    kept.hook.wait_for(2)
    kept.kill()
    kept.start()
    time.sleep(1)

    assert len(kept.told()) == 2
    assert kept.watch.stop() == 0


def test_what_changed_while_it_was_away_is_told(tmp_path):
    kept = Kept(tmp_path)
    kept.start()
    kept.move(-7)
    kept.hook.wait_for(2)
    kept.kill()
    kept.move(0)
    kept.desk.move("/mix/7/fader", "f", fader_wire(-9))
    kept.start()
    until(lambda: len(kept.told()) > 2, what="what changed")
    text = kept.told()[2]

    assert text.splitlines()[0] == "Ostrel Barn, Saturday: while the watch was away"
    assert "raised fix [master-off-unity] mix 7 " in text
    assert "cleared [master-off-unity] mix 6 " in text
    assert kept.watch.stop() == 0


def test_what_was_not_delivered_is_after_a_restart(tmp_path):
    kept = Kept(tmp_path, hook=MockChat(tmp_path / "slow.jsonl", "--answer", "503", "--times", "3"))
    kept.start()
    kept.move(-7)
    kept.watch.expect("raised fix")
    kept.kill()
    kept.start()
    kept.hook.wait_for(5, timeout=20)
    time.sleep(0.5)

    assert kept.edges() == [True]
    assert kept.watch.stop() == 0


@pytest.mark.limit(60)
def test_a_hook_that_is_down_across_restarts_gets_all_in_turn(tmp_path):
    kept = Kept(tmp_path, hook=MockChat(tmp_path / "down.jsonl", "--answer", "503", "--times", "9"))
    for off in (True, False, True, False, True, False):
        kept.start()
        kept.move(-7 if off else 0)
        kept.watch.expect(r"(raised fix|cleared) \[master-off-unity\] mix 6 ", start=kept.seen)
        time.sleep(0.2)  # it is on disk
        kept.kill()
    kept.start()
    until(lambda: len(kept.edges()) >= 6, 40, "all of them")
    time.sleep(0.5)
    assert kept.edges() == [True, False] * 3
    assert kept.watch.stop() == 0


@pytest.mark.limit(30)
def test_quieted_and_room_outlast_a_crash(tmp_path):
    kept = Kept(tmp_path)
    kept.start()
    assert kept.command("quiet", "--mix", 6, "--for", "1h", "--why", "another amplifier", "--now").status == 0
    assert kept.command("room", "show").status == 0
    kept.kill()
    kept.start()
    kept.move(-7)
    time.sleep(1)
    listed = kept.command("quiet", "--list").out

    assert re.match(r"quieting 1, mix 6: ends in 59 min \d\d s, held back 1 \(another amplifier\)$", listed, re.M)
    assert kept.command("room").out.startswith("room show:")
    assert kept.edges() == []
    assert kept.command("quiet", "--end", 1).status == 0
    until(lambda: kept.edges() == [True], what="what was quieted")
    assert "quieted until now (1: another amplifier)" in kept.hook.texts()[-1]
    assert kept.watch.stop() == 0


def test_a_full_disk_is_told_and_delivery_goes_on(tmp_path):
    kept = Kept(tmp_path)
    kept.watch = Process("prlimit", "--fsize=1000", BUILD / "gainwarden", "watch", kept.show, "--desk",
                         kept.desk.at, *kept.words, env={VARIABLE: kept.hook.url})
    kept.watch.expect("watching: ")
    for number in range(20):
        start = kept.watch.out.count()
        kept.move(0 if number % 2 else -7)
        kept.watch.expect("raised fix|cleared", start=start)
    until(lambda: len(kept.edges()) == 20, what="all of them")
    said = [line for line in notes(kept.watch) if "kept on disk" in line]

    assert said == ["what was told cannot be kept on disk (File too large): a restart would tell it again"]
    assert kept.edges() == [True, False] * 10
    assert kept.watch.stop() == 0


def test_a_damaged_file_is_set_aside_and_told(tmp_path):
    kept = Kept(tmp_path)
    kept.start()
    kept.hook.wait_for(1)  # which it gets once the file holds it
    kept.kill()
    (file,) = (tmp_path / "keep").glob("*.kept")
    lines = file.read_bytes().split(b"\n")
    file.write_bytes(b"\n".join([lines[0], b"\xff{" + lines[1], *lines[1:]]))
    kept.start()

    kept.watch.err.wait(r"\.kept: line 2 is damaged; the file is set aside as .*\.kept\.damaged, and the watch "
                        r"knows nothing of what was told before", 10, 0)
    assert len(list((tmp_path / "keep").glob("*.damaged"))) == 1
    assert kept.watch.stop() == 0


def test_a_second_watch_of_the_same_show_is_refused(tmp_path):
    kept = Kept(tmp_path)
    kept.start()
    other = run("watch", kept.show, "--desk", kept.desk.at, *kept.words, env={VARIABLE: kept.hook.url})

    assert other.status == 2
    assert re.search(r"a watch of this show is running \(process \d+\): `gainwarden watch --join SHOW`", other.err)
    assert kept.watch.stop() == 0


@pytest.mark.limit(40)
def test_protection_that_was_lost_is_lost_after_a_crash_too(tmp_path):
    """What it is compared with outlasts the crash: it is not cleared by a watch that knows no better."""
    kept = Kept(tmp_path, checks={"protection-lost": {}})
    kept.desk.move("/mix/1/limit/on", "i", 1)
    kept.start()
    kept.desk.move("/mix/1/limit/on", "i", 0)
    kept.hook.wait_for(2)  # the hook gets it once it is on disk
    kept.kill()
    kept.start()
    time.sleep(1)
    assert not [line for line in notes(kept.watch) if "protection-lost" in line]
    kept.desk.move("/mix/1/limit/on", "i", 1)
    kept.watch.expect(r"cleared \[protection-lost\] mix 1 ")
    assert kept.watch.stop() == 0
