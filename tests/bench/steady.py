# SPDX-License-Identifier: MIT
"""How long the watch believes what is no longer so, on the demo desk with a limiter in each mix: from a limiter that
goes off until it is told, where its push is lost, where an older one overtakes it, and where the desk is started
anew within 2 s without it; and how many questions a minute a quiet show costs.

steady.py BUILD
"""
import contextlib
import json
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
from harness import BUILD, SHOW, STATE, MockDesk, Process, read_json, started, write_json  # noqa: E402
from relay import Relay  # noqa: E402

MIXES = range(1, 9)
GOAL_S = 5
QUIET_S = 60
REBOOTS = 5


def limiter(mix):
    return f"/mix/{mix}/limit/on"


def state(folder, on):
    content = read_json(STATE)
    for mix in content["mixes"]:
        mix["limiter"] = {"on": on}
    return write_json(folder / f"limiters-{on}.json", content)


def watch(at, folder):
    keep = tempfile.mkdtemp(dir=folder)
    watcher = Process(BUILD / "gainwarden", "watch", SHOW, "--desk", at, "--keep", keep, "--still-every", "0")
    place, _, _ = watcher.expect(" watching: ")
    return watcher, place + 1


def told(watcher, seen, mix):
    return watcher.expect(rf" raised (?:stop|fix) \[(?:protection-lost|ears-unprotected)\] mix {mix} ", start=seen)[1]


def lost_pushes(folder):
    desk = MockDesk(state(folder, True))
    watcher, seen = watch(desk.at, folder)
    for mix in MIXES:
        desk.rig("drop", 1)
        desk.move(limiter(mix), "i", 0)
        begun = time.monotonic()
        desk.rig("drop", 0)
        yield told(watcher, seen, mix) - begun
    watcher.stop()
    desk.stop()


def overtaken_pushes(folder):
    """On once more and off: the first of the two pushes comes last."""
    desk, held = MockDesk(state(folder, True)), {}

    def fate(to_desk, data):
        delays = None if to_desk else held.get(osc.parse(data)[0])
        return [delays.pop()] if delays else [0]

    relay = Relay(desk.host, desk.port, fate)
    threading.Thread(target=relay.serve, daemon=True).start()
    watcher, seen = watch(relay.at, folder)
    for mix in MIXES:
        held[limiter(mix)] = [0, 0.01]
        desk.move(limiter(mix), "i", 1)
        desk.move(limiter(mix), "i", 0)
        begun = time.monotonic()
        yield told(watcher, seen, mix) - begun
    watcher.stop()
    desk.stop()
    relay.close()


def reboots(folder):
    for _ in range(REBOOTS):
        desk = MockDesk(state(folder, True))
        watcher, seen = watch(desk.at, folder)
        time.sleep(1)
        desk.stop()
        time.sleep(1.9)
        desk = MockDesk(state(folder, False), port=desk.port)
        begun = time.monotonic()
        yield max(told(watcher, seen, mix) for mix in MIXES) - begun
        watcher.stop()
        desk.stop()


def quiet(folder):
    desk = MockDesk(log=folder / "log")
    watcher, _ = watch(desk.at, folder)
    time.sleep(1)
    before = len(desk.heard())
    time.sleep(QUIET_S)
    asked = len(desk.heard()) - before
    watcher.stop()
    desk.stop()
    return asked * 60 / QUIET_S


def main():
    late = False
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for what, times in (("a lost push", lost_pushes), ("an overtaken push", overtaken_pushes),
                            ("a desk started anew within 2 s", reboots)):
            took = list(times(folder))
            late |= max(took) > GOAL_S
            print(f"told after {what}: {statistics.median(took):.1f} s, at most {max(took):.1f} s of {len(took)} "
                  f"(goal {GOAL_S})", flush=True)
        asked, pace = quiet(folder), json.loads((TOP / "contrib/demo/barn-desk.json").read_text())["pace"]["per_second"]
        print(f"a quiet show: {asked:.0f} questions a minute = {asked / 60 / pace:.1%} of the pace (goal 3 %)")
        late |= asked / 60 / pace > 0.03
    return 1 if late else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    finally:
        for process in started:
            with contextlib.suppress(Exception):
                process.kill()
