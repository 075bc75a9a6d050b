# SPDX-License-Identifier: MIT
"""How long it takes until a limiter that goes off on an in-ear mix is told, with the holds a show has, while so many
harmless values of 24 inputs move a second: the worst of TURNS, and the median. The peer is the check's own hold, half
a second, which passes before anybody is told however quiet the desk is. Every rate runs for RUNS_S before.

told.py BUILD
"""
import json
import os
import pathlib
import re
import socket
import statistics
import struct
import subprocess
import sys
import tempfile
import threading
import time

TURNS, RUNS_S, GOAL_S = 8, 10, 1.5
RATES = (0, 10, 25, 40, 200)
DEMO = pathlib.Path(__file__).resolve().parents[2] / "contrib" / "demo"


def message(address, tag, value):
    text = address.encode() + b"\0"
    return text + b"\0" * (-len(text) % 4) + f",{tag}\0\0".encode() + struct.pack(">" + tag, value)


class Traffic:
    """Moves values that are no danger to anybody, one after the other."""

    def __init__(self, port):
        self.end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.end.connect(("127.0.0.1", port))
        self.per_second = 0
        threading.Thread(target=self.run, daemon=True).start()

    def run(self):
        turn, due = 0, time.monotonic()
        while True:
            if self.per_second == 0:
                time.sleep(0.01)
                due = time.monotonic()
                continue
            turn += 1
            kind = ("gate", "comp")[turn // 24 % 2]
            self.end.send(message(f"/in/{turn % 24 + 1}/{kind}/threshold", "f", -30 - turn % 7))
            due += 1 / self.per_second
            time.sleep(max(0, due - time.monotonic()))


class Told:
    """What the watch prints, with the time of each line."""

    def __init__(self, pipe):
        self.lines, self.news = [], threading.Condition()
        threading.Thread(target=self.read, args=(pipe,), daemon=True).start()

    def read(self, pipe):
        for line in pipe:
            with self.news:
                self.lines.append((time.monotonic(), line))
                self.news.notify_all()

    def wait(self, pattern, since=0):
        with self.news:
            found = []
            assert self.news.wait_for(lambda: found.extend(
                at for at, line in self.lines if at >= since and re.search(pattern, line)) or found, 30), pattern
            return found[0]


def measure_rate(traffic, told, per_second):
    took = []
    traffic.per_second = per_second
    time.sleep(RUNS_S)
    for turn in range(TURNS):
        time.sleep(turn / TURNS)
        begun = time.monotonic()
        traffic.end.send(message("/mix/7/limit/on", "i", 0))
        took.append(told.wait(r"stop \[ears-unprotected\] mix 7 ", begun) - begun)
        begun = time.monotonic()
        traffic.end.send(message("/mix/7/limit/on", "i", 1))
        told.wait(r"cleared \[ears-unprotected\] mix 7 ", begun)
    return max(took), statistics.median(took)


def measure(build, folder):
    show = json.loads((DEMO / "ostrel-barn.json").read_text())
    show["desk"].update(profile=str(DEMO / "barn-desk.json"), stage=str(DEMO / "ostrel-barn-stage.json"))
    show["watch"] = {"clear_after_s": 0}
    path = folder / "show.json"
    path.write_text(json.dumps(show))
    desk = subprocess.Popen([build / "mock-desk", "--state", DEMO / "desk-state.json", "--port", "0"],
                            stdout=subprocess.PIPE)
    port = int(desk.stdout.readline().rsplit(b":", 1)[1])
    watch = subprocess.Popen([build / "gainwarden", "watch", "--yes", "--keep", folder / "keep", "--still-every", "0",
                              "--desk", f"127.0.0.1:{port}", path], stdout=subprocess.PIPE, text=True, env=os.environ)
    try:
        told, traffic = Told(watch.stdout), Traffic(port)
        told.wait(" watching: ")
        for per_second in RATES:
            worst, median = measure_rate(traffic, told, per_second)
            print(f"a stop, at {per_second:3} changes a second: {worst:.2f} s at worst (goal {GOAL_S}), "
                  f"median {median:.2f} s")
        recalls = sum("recall" in line for _, line in told.lines)
        traffic.per_second = 0
        time.sleep(0.1)
        print(f"recalls taken out of traffic alone: {recalls} (goal 0)")
    finally:
        watch.terminate()
        watch.wait()
        desk.terminate()
        desk.wait()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        measure(pathlib.Path(sys.argv[1]), pathlib.Path(name))
