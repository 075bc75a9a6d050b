# SPDX-License-Identifier: MIT
"""How long it takes from a datagram on the wire until the board shows what it changed, in Chromium, on a tablet's screen
and with three boards more beside it: the median and the worst of TURNS limiters that go off and on again. The page says
when its next picture is due after the change (requestAnimationFrame), by the same clock. The peer is the time until the
terminal has it (latency.py).

board_page.py BUILD
"""
import os
import pathlib
import statistics
import sys
import tempfile
import time

os.environ["GAINWARDEN_BUILD"] = sys.argv[1]
TESTS = pathlib.Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS / "pages"), str(TESTS / "e2e")]

import pages  # noqa: E402: found by the line above
from harness import started  # noqa: E402
from test_board_watch import Evening  # noqa: E402

TURNS, GOAL_MS = 100, 300
WATCH = """window.shown = []; new MutationObserver(() => requestAnimationFrame(() => window.shown.push(Date.now())))
    .observe(document.querySelector("[data-mix='7'] [data-part=limiter]"), { childList: true, characterData: true })"""


def measure(evening):
    tablets = [evening.tablet(screen) for screen in ("wide", "high", "wide", "phone")]
    tablets[0].run(WATCH)
    took = []
    for turn in range(TURNS):
        time.sleep(0.3 + turn % 7 / 20)  # whatever the board's own beat is
        begun = time.time() * 1000
        evening.switch(turn % 2)
        tablets[0].until(f"window.shown.length > {turn}")
        took.append(tablets[0].run("window.shown.at(-1)") - begun)
    return took


def main():
    with tempfile.TemporaryDirectory() as folder:
        evening = Evening(pathlib.Path(folder))
        try:
            took = measure(evening)
        finally:
            evening.end()
            for process in started:
                process.kill()
            pages.close()
    print(f"wire to tablet, four boards, {TURNS} changes: {statistics.median(took):.0f} ms, at most {max(took):.0f} ms; "
          f"goal: {GOAL_MS} ms in the median")
    sys.exit(statistics.median(took) > GOAL_MS)


main()
