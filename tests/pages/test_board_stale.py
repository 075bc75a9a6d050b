# SPDX-License-Identifier: MIT
"""A frozen board must never look healthy: whatever stops, the whole board is hatched and says STALE with since when,
and it recovers by itself, in the same order, with what was missed."""
import json
import os
import re
import signal
import time

import pytest

import pages
from board_rig import MIX, SAYS_STALE, STALE, TOKEN, Cable, Stub, Tablet, desk, facts, shown, shut_all

COVERS = ("(() => { const box = document.querySelector('body > .hatch').getBoundingClientRect();"
          " return box.left === 0 && box.top === 0 && box.width === innerWidth && box.height === innerHeight"
          " && getComputedStyle(document.querySelector('body > .hatch')).backgroundImage.startsWith('repeating'); })()")
# From now on: each time the board turns stale or fresh.
OBSERVE = ("window.turns = []; new MutationObserver(() => { const is = document.body.classList.contains('is-stale');"
           " if (is !== window.turns.at(-1)) window.turns.push(is); })"
           ".observe(document.body, { attributes: true, attributeFilter: ['class'] })")


@pytest.fixture(name="stub")
def one_stub():
    stubs = [Stub(facts())]
    stubs[0].say(mix=MIX)
    yield stubs[0]
    shut_all()
    stubs[0].signal(signal.SIGCONT)
    stubs[0].kill()


def told(age_ms, says):
    return {"at_ms": round(time.time() * 1000) - age_ms, "at": "21:38:00", "says": says}


def stale(tablet):
    """Waits until the board is, and gives since when it says it is."""
    tablet.until(STALE)
    assert tablet.run(COVERS)
    text = tablet.text("#stale")
    assert text.startswith("STALE since 21:37:") and text.endswith(": this board does not hear the watch"), text
    return text.split()[2].rstrip(":")


def fresh(tablet):
    tablet.until(f"!({STALE})")
    assert tablet.run(SAYS_STALE) == "" and tablet.text("body > .hatch") is None


def test_a_watch_that_is_killed_and_started_again(stub):
    tablet = shown(stub)
    tablet.run("window.held = [...document.querySelectorAll('.tile')]")
    stub.kill()
    since = stale(tablet)
    assert tablet.texts(".tile"), "what was known last stays, below the hatch"
    again = Stub(facts(desk(told=[told(0, "stop: all"), told(-1, "fix: newer"), told(1 << 30, "long before")]),
                       clock="21:38:05", boot="second"), stub.port)
    try:
        fresh(tablet)
        assert tablet.text("#missed-title").startswith(f"Missed while this board was away ({since} to 21:38:0")
        assert tablet.texts("#missed-list li") == ["21:38:00 fix: newer", "21:38:00 stop: all",
                                                   "The watch was started again meanwhile."]
        assert tablet.run("window.held.every((one, at) => one === document.querySelectorAll('.tile')[at])")
        tablet.click("#missed-read")
        assert tablet.text("#missed") is None
    finally:
        again.kill()


def test_what_was_missed_is_told_once_the_desk_is_read(stub):
    """A watch that was started again has read no desk when it first speaks, and told nothing yet."""
    tablet = shown(stub)
    stub.kill()
    stale(tablet)
    reading = {"state": "reading", "says": "reading; 30 values known, 0 stale", "heard_ms": 4, "lost": False, "since": ""}
    again = Stub(facts(desk(told=[], link=reading), clock="21:38:05", boot="second"), stub.port)
    try:
        fresh(tablet)
        assert tablet.text("#missed") is None
        again.say(facts=facts(desk(told=[told(-1, "fix: newer")]), clock="21:38:09", boot="second"))
        tablet.until_text("#missed", "fix: newer")
        assert "The watch was started again meanwhile." in tablet.text("#missed")
        assert re.search(r" to 21:38:0[5-8]\)$", tablet.text("#missed-title")), tablet.text("#missed-title")
    finally:
        again.kill()


def test_a_watch_that_is_suspended(stub):
    tablet = shown(stub)
    stub.signal(signal.SIGSTOP)
    stale(tablet)
    stub.signal(signal.SIGCONT)
    fresh(tablet)
    assert tablet.text("#missed") is None  # nothing was


def test_a_cable_that_is_pulled(stub):
    cable = Cable(stub.port)
    try:
        tablet = Tablet(f"http://127.0.0.1:{cable.port}/#{TOKEN}")
        tablet.until_text("#show", "Lantern Yard")
        cable.pull()
        stale(tablet)
        stub.say(facts=facts(desk(show="Afterwards")))
        cable.plug()
        tablet.until_text("#show", "Afterwards")
        fresh(tablet)
    finally:
        cable.close()


def test_a_stream_that_stays_open_and_says_nothing(stub):
    tablet = shown(stub)
    stub.say(beat=False)
    stub.say(mute=True)
    stale(tablet)
    stub.say(mute=False, beat=True)
    fresh(tablet)


def test_a_browser_that_sleeps(stub):
    """All its processes stand still, as a tablet does it to save its battery; what waited for it is not believed."""
    tablet = shown(stub)
    tablet.run(OBSERVE)
    browser = [pid for pid in pages.current.left() if pid != pages.current.popen.pid]
    assert len(browser) > 2
    for number in (signal.SIGSTOP, signal.SIGCONT):
        for pid in browser:
            os.kill(pid, number)
        time.sleep(4 if number == signal.SIGSTOP else 0)  # the clock of what sleeps is no test's
    tablet.until("window.turns.length > 1")
    assert tablet.run("window.turns")[:2] == [True, False]
    fresh(tablet)


@pytest.mark.parametrize("clock", ["Date.now", "performance.now"])
def test_a_tablet_that_was_suspended(stub, clock):
    """One of its clocks stood still meanwhile. What comes first afterwards may have waited, so a new stream is asked for."""
    tablet = shown(stub)
    tablet.run(OBSERVE)
    streams = len([one for one in tablet.asked() if one.endswith("/events")])
    tablet.run(f"(() => {{ const real = {clock}.bind({clock.split('.')[0]});"
               f" {clock} = () => real() + 600000; }})()")
    tablet.until("window.turns.length > 1")
    assert tablet.run("window.turns")[:2] == [True, False]
    assert len([one for one in tablet.asked() if one.endswith("/events")]) > streams


def test_a_page_nobody_sees_is_hatched_before_it_is_shown_again(stub):
    """What a browser draws first when it is shown again is what it had before."""
    tablet = shown(stub)
    hide = ("Object.defineProperty(document, 'visibilityState', { value: '%s', configurable: true });"
            "document.dispatchEvent(new Event('visibilitychange'))")
    tablet.run(hide % "hidden")
    assert tablet.run(STALE)
    tablet.run(hide % "visible")
    fresh(tablet)


def test_a_desk_that_is_lost(stub):
    tablet = shown(stub)
    link = {"state": "lost", "says": "lost", "heard_ms": 5400, "lost": True, "since": "21:37:03"}
    stub.say(facts=facts(desk(link=link)))
    tablet.until(STALE)
    assert tablet.run(COVERS)
    assert tablet.text("#stale") == "STALE since 21:37:03: the watch does not hear the desk"
    assert tablet.text("#heard").startswith("desk heard 5.4 s ago")
    stub.say(facts=facts())
    fresh(tablet)


def test_a_desk_that_was_never_heard(stub):
    link = {"state": "lost", "says": "lost, never heard", "heard_ms": None, "lost": True, "since": ""}
    stub.say(facts=facts(desk(link=link)))
    tablet = shown(stub)
    tablet.until(STALE)
    assert tablet.text("#stale") == "STALE: the watch does not hear the desk"
    stub.say(facts=facts(desk(link=link), desk()))
    tablet.until_text("#desk-list", "STALE")
    assert "since" not in tablet.text("#desk-list")


def test_an_opened_mix_is_hatched_too(stub):
    tablet = shown(stub)
    tablet.click("[data-mix='1']")
    tablet.until_text("#mix-equaliser", "315 Hz")
    stub.signal(signal.SIGSTOP)
    stale(tablet)
    assert tablet.text("#mix-stale").startswith("STALE since")
    assert tablet.run("getComputedStyle(document.querySelector('#mix > .hatch')).display") == "block"


@pytest.mark.parametrize("odd, says", [
    ({"version": 2}, "STALE: the watch is another version. Load this page again"),
    ({"desks": [{"show": "half of it", "link": {"heard_ms": 1, "lost": False}, "told": [], "now": []}]},
     "STALE: this page cannot read what the watch says. Load it again")])
def test_what_cannot_be_shown_is_no_healthy_board(stub, odd, says):
    tablet = shown(stub)
    stub.say(facts=facts(**odd))
    tablet.until(STALE)
    assert tablet.text("#stale") == says


def test_a_reload_tells_what_was_missed(stub):
    tablet = shown(stub)
    stub.say(facts=facts(desk(told=[told(0, "stop: meanwhile"), told(1 << 30, "long before")])))
    tablet.until("document.querySelectorAll('#told li').length === 2")
    tablet.run(f"sessionStorage.setItem('gainwarden-heard', {told(60000, '')['at_ms']});"
               "Storage.prototype.setItem = () => {}")  # it writes no newer one
    tablet.reload()
    tablet.until_text("#missed", "stop: meanwhile")
    assert len(tablet.texts("#missed-list li")) == 1


# ---- the rule by itself, with clocks of its own ----

STEPS = {  # steps of [what, wall ms, steady ms, sent at (of an event)], and what each must say
    "nothing heard yet": [("look", 0, 0, None, False)],
    "heard, and late by a hair or not": [
        ("begin", 0, 0), ("heard", 100, 100, 90, True), ("look", 3100, 3100, None, True),
        ("look", 3101, 3101, None, False)],
    "the wall's clock alone says late": [
        ("begin", 0, 0), ("heard", 0, 0, 0, True), ("look", 3001, 10, None, False)],
    "the steady clock alone says late": [
        ("begin", 0, 0), ("heard", 0, 0, 0, True), ("look", -9000, 3001, None, False)],
    "a clock that is set back is no reason": [
        ("begin", 0, 0), ("heard", 10000, 0, 0, True), ("heard", 2000, 1000, 1000, True), ("look", 3000, 2000, None, True)],
    "a beat a second keeps it fresh": [("begin", 0, 0)] + [
        ("heard", 1000 * turn, 1000 * turn, 1000 * turn, True) for turn in range(60)],
    "what comes after a gap may have waited": [
        ("begin", 0, 0), ("heard", 0, 0, 0, True), ("heard", 9000, 9000, 1000, False), ("heard", 9001, 9001, 2000, False),
        ("look", 9002, 9002, None, False), ("begin", 9003, 9003), ("look", 9004, 9004, None, False),
        ("heard", 9005, 9005, 9004, True)],
    "what came ever later waited": [
        ("begin", 0, 0), ("heard", 0, 0, 0, True), ("heard", 2500, 2500, 1000, True), ("heard", 5000, 5000, 2000, True),
        ("heard", 7500, 7500, 3000, False), ("look", 7500, 7500, None, False)],
    "the watch's clock may differ by hours": [
        ("begin", 0, 0), ("heard", 0, 0, 9000000, True), ("heard", 1000, 1000, 9001000, True)],
    "a new stream before it is late keeps it fresh": [
        ("begin", 0, 0), ("heard", 0, 0, 0, True), ("begin", 500, 500), ("look", 1000, 1000, None, True),
        ("heard", 2000, 2000, 2000, True)],
}


@pytest.fixture(scope="module", name="plain")
def plain_tablet():
    stub = Stub(facts())
    yield Tablet(stub.url)
    stub.kill()


@pytest.mark.parametrize("name", STEPS)
def test_freshness(plain, name):
    steps = STEPS[name]
    said = plain.run("""(async () => {
        const { Freshness, LIMIT_MS } = await import("/fresh.js");
        if (LIMIT_MS !== 3000) throw new Error("the limit");
        let now;
        const freshness = new Freshness({ wall: () => now[1], steady: () => now[2] });
        return %s.map((step) => { now = step; return freshness[step[0]](step[3]) ?? null; });
    })()""" % json.dumps(steps))
    assert said == [step[4] if len(step) > 4 else None for step in steps]
