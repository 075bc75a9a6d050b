# SPDX-License-Identifier: MIT
"""A restart never ends the watch: whatever was told before it, however the desk, the clock and the kept
file are when it comes back, the watch goes on, says nothing that it does not know, and nothing twice.
"""
import json
import os
import re
import stat
import time

import pytest

from harness import (BUILD, PROFILE, MockDesk, Process, begin_watch, fader_wire, goal, head_wire, notes, put_in,
                     read_json, run, show_at_once, started, until)
from test_clock import LIBRARY, Clock

needs_clock = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")


def address(parameter, **numbers):
    """Where the demo's desk has it."""
    (at,) = [entry["at"] for entry in read_json(PROFILE)["values"] if entry.get("is") == parameter]
    return put_in(at, numbers)


# each kind of finding: what is moved, wrong and right
MOVES = {
    "master-off-unity": ("mix.fader", {"mix": 6}, "f", fader_wire(-7), fader_wire(0)),
    "high-pass-missing": ("input.high_pass.on", {"input": 18}, "i", 0, 1),
    "ears-unprotected": ("mix.limiter.on", {"mix": 7}, "i", 0, 1),
    "left-on": ("desk.talkback", {}, "i", 1, 0),
    "protection-lost": ("mix.limiter.on", {"mix": 1}, "i", 0, 1),
    "value-jumped": ("input.preamp_gain", {"input": 3}, "f", head_wire(58), head_wire(30)),
}


class Restarted:
    """A watch that writes JSON lines, keeps its files in one place, and is started again and again."""

    def __init__(self, folder, **changes):
        self.folder = folder
        self.desk = MockDesk()
        self.lines = folder / "lines.jsonl"
        tell = {"lines": {"file": str(self.lines)}, "heartbeat": {"file": str(folder / "beat"), "every_s": 1}}
        self.show = show_at_once(folder, tell=tell, **changes)
        self.words = ["--still-every", "0", "--keep", folder / "keep"]
        self.make("master-off-unity", False)  # all that is made wrong is right at first

    def start(self, *words, env=None):
        self.watch, self.seen = begin_watch(self.desk, *self.words, *words, show=self.show, env=env)
        return self.watch

    def command(self, *words):
        return run(words[0], self.show, *words[1:], "--keep", self.folder / "keep")

    def kill(self):
        self.watch.kill()
        started.remove(self.watch)  # it did not end well, and was not to

    def make(self, check, wrong):
        parameter, numbers, tags, bad, good = MOVES[check]
        self.desk.move(address(parameter, **numbers), tags, bad if wrong else good)

    def events(self, check=None, event=None):
        if not self.lines.exists():
            return []
        events = [json.loads(line) for line in self.lines.read_text().split("\n")[:-1]]
        return [one for one in events if (check is None or one.get("finding", {}).get("check") == check)
                and (event is None or one["event"] == event)]


# a watch alone knows these; here they are told at once
WATCH_CHECKS = {"left-on": {"raise_after_s": 0, "clear_after_s": 0}, "protection-lost": {}, "value-jumped": {}}


@pytest.mark.limit(30)
@pytest.mark.parametrize("check", MOVES)
def test_what_was_put_right_while_it_was_away_is_told_as_a_line(tmp_path, check):
    kept = Restarted(tmp_path, checks=WATCH_CHECKS)
    kept.make(check, False)
    kept.start()
    kept.make(check, True)
    (raised,) = until(lambda: kept.events(check, "raised"), what="the finding")
    assert kept.watch.stop() == 0
    kept.make(check, False)
    kept.start()
    (cleared,) = until(lambda: kept.events(check, "cleared"), what="its end")

    assert cleared["finding"]["says"] == raised["finding"]["says"]
    assert cleared["finding"]["do"] == raised["finding"]["do"]
    assert "worked" in raised["finding"] and "worked" not in cleared["finding"]
    assert kept.watch.stop() == 0


@pytest.mark.limit(40)
@pytest.mark.parametrize("check", MOVES)
def test_what_still_stands_is_told_once(tmp_path, check):
    """And as over when it is, with the figures it was found with anew."""
    kept = Restarted(tmp_path, checks=WATCH_CHECKS)
    kept.make(check, False)
    kept.start()
    kept.make(check, True)
    until(lambda: kept.events(check, "raised"), what="the finding")
    for _ in range(3):
        time.sleep(0.3)  # what is under way is kept
        kept.kill()
        kept.start()
    time.sleep(1.2)
    assert [one["event"] for one in kept.events(check)] == ["raised"]
    kept.make(check, False)
    (cleared,) = until(lambda: kept.events(check, "cleared"), what="its end")
    assert cleared["finding"]["worked"]
    assert kept.watch.stop() == 0


@pytest.mark.limit(30)
def test_a_leap_outlasts_other_files(tmp_path):
    """A reload makes everything anew; what leapt has leapt all the same."""
    kept = Restarted(tmp_path, checks=WATCH_CHECKS)
    kept.make("value-jumped", False)
    kept.start()
    kept.make("value-jumped", True)
    until(lambda: kept.events("value-jumped", "raised"), what="the leap")
    assert kept.command("reload").status == 0
    time.sleep(1.5)
    assert [one["event"] for one in kept.events("value-jumped")] == ["raised"]
    assert kept.watch.stop() == 0


@pytest.mark.limit(30)
def test_what_is_off_or_gone_meanwhile_is_over(tmp_path):
    kept = Restarted(tmp_path)
    kept.start()
    kept.make("master-off-unity", True)
    until(lambda: kept.events("master-off-unity", "raised"), what="the finding")
    assert kept.watch.stop() == 0
    show = json.loads(kept.show.read_text())
    show["checks"]["master-off-unity"] = "off"
    kept.show.write_text(json.dumps(show))
    kept.start()
    ends = until(lambda: kept.events("master-off-unity", "cleared"), what="its end")
    assert {"mix": 6} in [end["finding"]["object"] for end in ends]
    assert all(end["lasted_s"] >= 0 for end in ends)
    assert kept.watch.stop() == 0


def test_what_it_keeps_is_the_owners_alone(tmp_path):
    """Also under a umask that hides nothing."""
    kept = Restarted(tmp_path, checks={"protection-lost": {}})
    before = os.umask(0)
    try:
        kept.start()
        assert kept.watch.stop() == 0
        kept.start()
    finally:
        os.umask(before)
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "keep").iterdir()}

    assert stat.S_IMODE((tmp_path / "keep").stat().st_mode) == 0o700
    for suffix in (".kept", ".set-up.json", ".socket"):
        assert len([name for name in modes if name.endswith(suffix)]) == 1, modes
    assert {name: oct(mode) for name, mode in modes.items() if mode & 0o177} == {}
    assert kept.watch.stop() == 0


@pytest.mark.limit(40)
def test_what_is_not_there_any_more_is_said_once(tmp_path):
    """Another desk of fewer mixes, and a check of another version."""
    kept = Restarted(tmp_path)
    kept.start()
    kept.make("master-off-unity", True)
    until(lambda: kept.events("master-off-unity", "raised"), what="the finding")
    assert kept.watch.stop() == 0
    (file,) = (tmp_path / "keep").glob("*.kept")
    place = {"check": "master-off-unity", "mix": 12, "weight": "fix", "severity": 7, "since_s": 1}
    newer = {"check": "of-a-newer-version", "input": 2, "weight": "fix", "severity": 7, "since_s": 1}
    with file.open("a") as more:
        more.write(json.dumps({"told": [place, newer, place]}) + "\n")
    said = ("told before, and not there to be judged any more: [of-a-newer-version] input 2, "
            "[master-off-unity] mix 12")
    for times in (1, 0):
        kept.start()
        assert [line for line in notes(kept.watch) if line.startswith("told before")] == [said] * times
        assert kept.watch.stop() == 0
    assert [one["says"] for one in kept.events(event="gone")] == [said]


@pytest.mark.limit(60)
@pytest.mark.parametrize("full_at", [0, 1, 40, 300, 1100, 2500])
def test_a_disk_that_fills_at_any_byte_loses_nothing_that_was_whole(tmp_path, full_at):
    """Then killed: what the next watch reads is whole, and the edges go on in turn."""
    kept = Restarted(tmp_path)
    kept.start()
    assert kept.watch.stop() == 0
    (file,) = (tmp_path / "keep").glob("*.kept")
    kept.watch = Process("prlimit", f"--fsize={file.stat().st_size + full_at}", BUILD / "gainwarden", "watch",
                         kept.show, "--desk", kept.desk.at, *kept.words)
    kept.watch.expect("watching: ")
    for wrong in (True, False, True):
        seen = kept.watch.out.count()
        kept.make("master-off-unity", wrong)
        kept.watch.expect("raised fix|cleared", start=seen)
    kept.kill()
    kept.start()
    assert not list((tmp_path / "keep").glob("*.damaged*"))
    kept.make("master-off-unity", False)
    kept.watch.expect(r"cleared \[master-off-unity\] mix 6 ", start=kept.seen)
    assert kept.watch.stop() == 0


@pytest.mark.limit(30)
@pytest.mark.parametrize("hours", [13, 400 * 24])
def test_lost_protection_is_not_back_because_time_has_passed(tmp_path, hours):
    """A watch that comes back the next day, or under a clock that is ahead."""
    kept = Restarted(tmp_path, checks=WATCH_CHECKS)
    kept.make("protection-lost", False)
    kept.start()
    kept.make("protection-lost", True)
    until(lambda: kept.events("protection-lost", "raised"), what="the finding")
    assert kept.watch.stop() == 0
    (file,) = (tmp_path / "keep").glob("*.set-up.json")
    os.utime(file, (time.time() - hours * 3600,) * 2)
    kept.start()
    time.sleep(1)
    assert [one["event"] for one in kept.events("protection-lost")] == ["raised"]
    kept.make("protection-lost", False)
    until(lambda: kept.events("protection-lost", "cleared"), what="its end")
    assert kept.watch.stop() == 0


@pytest.mark.limit(30)
@pytest.mark.parametrize("at, tags, without, protected", [
    ("/mix/1/limit/on", "i", 0, 1),
    ("/mix/1/limit/threshold", "f", 3.0, -12.0),
    ("/in/18/hp/on", "i", 0, 1),
    ("/mix/2/graphic/on", "i", 0, 1),  # nine ring cuts
])
def test_what_protects_since_the_watch_before_is_set_up_too(tmp_path, at, tags, without, protected):
    """Watched in the afternoon, then rung out and limited, and watched again."""
    kept = Restarted(tmp_path, checks=WATCH_CHECKS)
    kept.make("protection-lost", False)  # the limiter of mix 1 is on
    kept.desk.move(at, tags, without)
    kept.start()
    assert kept.watch.stop() == 0
    kept.desk.move(at, tags, protected)
    kept.start()
    assert not kept.events("protection-lost")
    kept.desk.move(at, tags, without)
    until(lambda: kept.events("protection-lost", "raised"), what="the loss")
    assert kept.watch.stop() == 0


@pytest.mark.limit(60)
def test_a_mix_that_is_for_ears_now(tmp_path):
    """The show file was changed meanwhile: what it makes of the desk is told, and nothing of before stays."""
    kept = Restarted(tmp_path)
    kept.make("master-off-unity", True)
    kept.start()
    assert kept.watch.stop() == 0
    show = json.loads(kept.show.read_text())
    show["mixes"].setdefault("6", {}).update(feeds="in-ear")
    kept.show.write_text(json.dumps(show))
    kept.start()
    until(lambda: [one for one in kept.events("ears-unprotected", "raised")
                   if one["finding"]["object"] == {"mix": 6}], what="ears without a limiter")
    told = kept.events()
    assert kept.watch.stop() == 0
    kept.start()
    time.sleep(1)
    assert [one for one in kept.events() if one.get("finding")] == [one for one in told if one.get("finding")]
    assert kept.watch.stop() == 0


# ---- what ends by itself, and the clock ----

def left(kept):
    """Seconds that the quieting and the changeover last on."""
    found = [re.search(r"ends in (?:(\d+) h )?(?:(\d+) min)?(?: ?(\d+) s)?", kept.command(*words).out)
             for words in (("quiet", "--list"), ("room",))]
    return [one and sum(int(part or 0) * unit for part, unit in zip(one.groups(), (3600, 60, 1))) for one in found]


HOURS, DAYS = 3600, 86400


@needs_clock
@pytest.mark.limit(40)
@pytest.mark.parametrize("off_s", [-2 * HOURS, -400 * DAYS, 2 * HOURS, 400 * DAYS])
def test_what_ends_by_itself_never_lasts_longer_than_it_was_asked_for(tmp_path, off_s):
    """A clock that is behind, as after a power cut, leaves what was left. One that is ahead looks like a watch
    that was away for so long: what was quieted is over, and the watch says so."""
    clock, kept = Clock(tmp_path), Restarted(tmp_path)
    kept.start(env=clock.env)
    assert kept.command("quiet", "--mix", 6, "--for", "1h", "--why", "a cable", "--now").status == 0
    assert kept.command("room", "show").status == 0
    assert kept.command("room", "changeover", "--for", "1h").status == 0
    kept.make("master-off-unity", True)
    until(lambda: kept.events("master-off-unity", "raised"), what="the finding")
    kept.kill()
    clock.step(off_s)
    kept.start(env=clock.env)
    told = notes(kept.watch)

    if off_s < 0:
        assert all(3500 < one <= 3600 for one in left(kept)), left(kept)
        assert not [line for line in told if "quieting" in line]
    else:
        assert left(kept) == [None, None]
        assert "quieting 1 ended while the watch was away (a cable)" in told
        assert [line for line in told if line.startswith("room changeover -> show (its time is over)")]
    assert kept.watch.stop() == 0


@needs_clock
@pytest.mark.limit(40)
def test_a_short_quieting_ends_though_the_clock_is_a_day_behind(tmp_path):
    clock, kept = Clock(tmp_path), Restarted(tmp_path)
    kept.start(env=clock.env)
    assert kept.command("quiet", "--mix", 6, "--for", "5s", "--why", "a cable", "--now").status == 0
    kept.kill()
    clock.step(-DAYS)
    kept.start(env=clock.env)
    begun = time.monotonic()
    until(lambda: "ended" in kept.command("quiet", "--list").out, 10, "its end")
    goal(time.monotonic() - begun, 6)
    assert kept.watch.stop() == 0


@needs_clock
@pytest.mark.limit(40)
@pytest.mark.parametrize("off_s", [-400 * DAYS, -2 * HOURS, 2 * HOURS, 400 * DAYS])
def test_no_finding_lasted_less_than_nothing(tmp_path, off_s):
    clock, kept = Clock(tmp_path), Restarted(tmp_path)
    kept.start(env={**clock.env, "TZ": "Asia/Kathmandu"})
    kept.make("master-off-unity", True)
    until(lambda: kept.events("master-off-unity", "raised"), what="the finding")
    time.sleep(1)
    kept.kill()
    kept.make("master-off-unity", False)
    clock.step(off_s)
    kept.start(env={**clock.env, "TZ": "Pacific/Chatham"})
    (cleared,) = until(lambda: kept.events("master-off-unity", "cleared"), what="its end")

    least = off_s if off_s > 0 else 0
    assert least <= cleared["lasted_s"] < least + 30
    assert kept.watch.stop() == 0
