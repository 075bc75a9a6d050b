# SPDX-License-Identifier: MIT
"""The wall clock is stepped both ways while a watch runs: durations come from the monotonic clock, so that
no hold, quieting or changeover ends early or late, and nothing is told that did not happen. libfaketime, of
Debian's packages, is the clock.
"""
import datetime
import glob
import json
import re
import signal
import time
import zoneinfo

import pytest

from harness import (MockDesk, begin_watch, fader_wire, notes, read_json, run, show_at_once, until, write_json)

LIBRARY = (glob.glob("/usr/lib/*/faketime/libfaketime.so.1") or [None])[0]
pytestmark = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")


class Clock:
    def __init__(self, folder):
        self.file = folder / "clock"
        self.step(0)
        # The last option: else the sanitizer's allocator asks for the time with its lock held, and libfaketime,
        # asked for the first time, allocates: a program with an unlucky path waits for itself for ever.
        self.env = {"LD_PRELOAD": LIBRARY, "FAKETIME_TIMESTAMP_FILE": str(self.file), "FAKETIME_NO_CACHE": "1",
                    "FAKETIME_DONT_FAKE_MONOTONIC": "1", "FAKETIME_DISABLE_SHM": "1",
                    "ASAN_OPTIONS": "detect_leaks=0:verify_asan_link_order=0:allocator_release_to_os_interval_ms=-1"}

    def step(self, seconds):
        self.file.write_text(f"{seconds:+d}s\n")


@pytest.mark.limit(40)
@pytest.mark.parametrize("seconds", [7200, -7200, 400 * 86400])
def test_a_step_of_the_clock_changes_nothing(tmp_path, seconds):
    clock, desk = Clock(tmp_path), MockDesk()
    show = show_at_once(tmp_path, tell={"lines": {"file": "edges.jsonl"}})
    watch, seen = begin_watch(desk, "--still-every", "0", "--keep", tmp_path / "keep", show=show, env=clock.env)
    words = (show, "--keep", tmp_path / "keep")
    assert run("quiet", *words, "--mix", "6", "--for", "1h", "--why", "a cable", "--now").status == 0
    assert run("room", *words, "changeover", "--for", "1h").status == 0
    watch.expect("room doors -> changeover", start=seen)

    def raised():
        lines = (tmp_path / "edges.jsonl").read_text().split("\n")[:-1]  # the last may be under way
        return [edge for edge in map(json.loads, lines) if edge["event"] == "raised"]

    told, before = len(notes(watch, seen)), len(raised())
    clock.step(seconds)
    desk.move("/mix/6/fader", "f", fader_wire(-9))
    edge = until(lambda: raised()[before:], what="the edge of what was quieted")[-1]
    at = datetime.datetime.fromisoformat(edge["at"]).timestamp()

    assert abs(at - time.time() - seconds) < 600  # the clock was stepped
    assert len(notes(watch, seen)) == told
    assert re.search(r"ends in (1 h 00|5\d) min", run("quiet", *words, "--list").out)
    assert re.search(r"changeover: .*; ends in (1 h 00|5\d) min", run("room", *words).out)
    clock.step(0)
    time.sleep(1)
    assert len(notes(watch, seen)) == told
    assert watch.stop() == 0


def test_a_reload_brings_a_timetable(tmp_path):
    """To a watch that had none, and what the one before it would have done is forgotten."""
    clock, desk = Clock(tmp_path), MockDesk()
    now = time.time()
    clock.step(round(20 - now % 60))
    soon = datetime.datetime.fromtimestamp(now - now % 60 + 60, datetime.timezone.utc)
    show = show_at_once(tmp_path)
    watch, seen = begin_watch(desk, "--still-every", "0", "--keep", tmp_path / "keep", show=show, env=clock.env)
    for room in ("line-check", "show"):
        at = [{"time": f"{soon:%H:%M}", "room": room}]
        write_json(show, {**read_json(show), "room": {"zone": "UTC", "at": at}})
        start = watch.out.count()
        watch.popen.send_signal(signal.SIGHUP)
        watch.expect("reloaded: .*show file changed in room", start=start)
    watch.expect(r"room doors -> show \(by the timetable\)", 40, seen)
    assert "line-check" not in watch.text()
    assert watch.stop() == 0


def test_the_timetable_changes_the_room(tmp_path):
    """A minute of the clock that is about to begin, in a zone that is not the watch's own."""
    clock, desk = Clock(tmp_path), MockDesk()
    now = time.time()
    clock.step(round(40 - now % 60))  # forty times what a watch takes to begin
    soon = datetime.datetime.fromtimestamp(now - now % 60 + 60, zoneinfo.ZoneInfo("Pacific/Chatham"))
    before = soon - datetime.timedelta(hours=1)
    show = show_at_once(tmp_path, room={"zone": "Pacific/Chatham", "at": [
        {"time": f"{before:%H:%M}", "room": "line-check"}, {"time": f"{soon:%H:%M}", "room": "show"}]})
    watch, seen = begin_watch(desk, "--still-every", "0", "--keep", tmp_path / "keep", show=show,
                              env={**clock.env, "TZ": "Asia/Kathmandu"})
    assert "line-check" in run("room", show, "--keep", tmp_path / "keep").out
    watch.expect(r"room line-check -> show \(by the timetable\)", 20, seen)
    assert watch.stop() == 0
