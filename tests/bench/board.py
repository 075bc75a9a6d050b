# SPDX-License-Identifier: MIT
"""What a board costs the watch: from a changed value on the wire to the line on the terminal, holds 0, the median and the
worst of 400 changes of the demo's desk. The peer is the same watch without a board; then with one where 64 look, of
whom 60 never read what they are sent (the program cuts them off after a while, and they come back at once); and how
late the facts come to one of those who read. Then 100,000 values at full speed, and the memory before and after.

board.py BUILD [CHANGES EVENTS]
"""
import contextlib
import os
import pathlib
import statistics
import sys
import tempfile
import threading
import time

TOP = pathlib.Path(__file__).resolve().parents[2]
os.environ["GAINWARDEN_BUILD"] = sys.argv[1]
sys.path.insert(0, str(TOP / "tests" / "e2e"))

import osc  # noqa: E402
from boards import Board, Connection, Events  # noqa: E402
from harness import fader_wire, started  # noqa: E402
from test_control import Controlled  # noqa: E402

CHANGES, EVENTS = (int(word) for word in sys.argv[2:4]) if len(sys.argv) > 2 else (400, 100_000)
READERS, STUCK = 4, 60
MASTER = "/mix/6/fader"


def sources(count, first=2):
    return [f"127.0.0.{first + number // 8}" for number in range(count)]


class Reader(threading.Thread):
    """Reads all, and remembers when facts came."""

    def __init__(self, board, cookie, source):
        super().__init__(daemon=True)
        self.stream = Events(board, cookie, source=source)
        self.came = []
        self.start()

    def run(self):
        with contextlib.suppress(AssertionError, OSError):  # until it is closed
            while True:
                if self.stream.event()["event"] == "facts":
                    self.came.append(time.monotonic())


class Stuck(threading.Thread):
    """So many that ask for the stream and never read."""

    def __init__(self, board, cookie):
        super().__init__(daemon=True)
        self.board, self.asked = board, board.head("GET", "/events", cookie=cookie)
        self.held = {number: None for number in range(STUCK)}
        self.over = threading.Event()
        self.renewed = 0
        for number in self.held:
            self.renew(number)
        self.start()

    def renew(self, number):
        if self.held[number]:
            self.held[number].close()
        self.held[number] = Connection(self.board, sources(STUCK, 10)[number], receive=2304)
        self.held[number].send(self.asked)
        self.renewed += 1

    def run(self):
        while not self.over.wait(0.2):
            peers = self.board.peers()
            for number, one in self.held.items():
                if one.socket.getsockname()[1] not in peers:
                    with contextlib.suppress(OSError):
                        self.renew(number)


def changes(watched):
    """ms from each change to its line."""
    times = []
    for turn in range(CHANGES):
        seen = watched.watch.out.count()
        begun = time.monotonic()
        watched.move(0 if turn % 2 else -9)
        came = watched.watch.expect(r"(raised|worse|cleared|better)", start=seen)[1]
        times.append(1000 * (came - begun))
        time.sleep(0.02)
    return times


def memory_mb(pid):
    fields = dict(line.split(":", 1) for line in open(f"/proc/{pid}/status").read().splitlines())
    return int(fields["VmRSS"].split()[0]) / 1024


def pour(watched, count):
    """So many changes, as fast as the desk takes them from us and the watch answers."""
    for number in range(count):
        watched.desk.send(osc.message(MASTER, "f", fader_wire(-9 - number % 20)))
        if number % 100 == 0:
            watched.desk.ask("/mix/6/name")


def say(name, times):
    print(f"{name}: median {statistics.median(times):.2f} ms, worst {max(times):.1f} ms of {len(times)}")


def measure(folder):
    alone = Controlled(folder / "alone")
    say("from the wire to the terminal, without a board", changes(alone))
    alone.watch.stop()
    board = Board(folder / "board")
    cookie = board.enter("look")
    readers = [Reader(board, cookie, "127.0.0.2") for _ in range(READERS)]
    stuck = Stuck(board, cookie)
    say(f"with {READERS + STUCK} that look, {STUCK} of whom read nothing (goals 1 and 20)", changes(board))
    late = []
    for turn in range(CHANGES // 10):
        seen, begun = len(readers[0].came), time.monotonic()
        board.move(0 if turn % 2 else -9)
        while len(readers[0].came) == seen:
            time.sleep(0.001)
        late.append(1000 * (readers[0].came[seen] - begun))
        time.sleep(0.3)
    say("from the wire to who reads the facts", late)
    pour(board, EVENTS // 10)
    before = memory_mb(board.watch.popen.pid)
    begun = time.monotonic()
    pour(board, EVENTS)
    took, after = time.monotonic() - begun, memory_mb(board.watch.popen.pid)
    print(f"{EVENTS} changes in {took:.0f} s: {before:.1f} MB before, {after:.1f} MB after; {stuck.renewed - STUCK} stuck "
          f"ones were cut off and came back")
    stuck.over.set()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        try:
            for part in ("alone", "board"):
                (pathlib.Path(name) / part).mkdir()
            measure(pathlib.Path(name))
        finally:
            for process in started:
                process.kill()
