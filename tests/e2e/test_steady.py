# SPDX-License-Identifier: MIT
"""Steady means steady: what the watch believes is what the desk has, though pushes are lost or overtaken and
the desk is started anew; and what is gone is told as gone, no sooner.
"""
import contextlib
import re
import signal
import threading
import time

import pytest

import osc
from harness import (BUILD, PLAN, PROFILE, QUESTIONS, SHOW, STATE, MockChat, MockDesk, OwnDesk, Process, demo_profile,
                     fader_wire, goal, notes, read_json, run, until, write_json)
from relay import Relay, Weather

STAY = osc.message("/stay")
LIMITER = "/mix/7/limit/on"  # of the in-ear mix that has one
UNPROTECTED = r"raised stop \[ears-unprotected\] mix 7 "
PER_SECOND = read_json(PROFILE)["pace"]["per_second"]
SHARE = 0.03  # of the pace, for what is asked again


@contextlib.contextmanager
def relayed(desk, fate):
    relay = Relay(desk.host, desk.port, fate)
    thread = threading.Thread(target=relay.serve, daemon=True)
    thread.start()
    yield relay
    relay.close()
    thread.join(10)


def begin(at, folder, *words, show=SHOW, env=None):
    """A watch with all its checks that has read the desk."""
    watcher = Process(BUILD / "gainwarden", "watch", show, "--desk", at, "--keep", folder / "keep",
                      "--still-every", "0", *words, env=env)
    place, _, _ = watcher.expect(r"^\d\d:\d\d:\d\d watching: ", timeout=20)
    return watcher, place + 1


def status(folder, show=SHOW):
    return run("status", show, "--keep", folder / "keep", "--format", "json").json()


def told_after(watcher, seen, moved_at, promise, pattern=UNPROTECTED):
    """A stop was told in time. Twice the promise is what a busy machine gets."""
    _, at, _ = watcher.expect(pattern, timeout=promise, start=seen)
    goal(at - moved_at, promise)
    assert at - moved_at < 2 * promise


def is_push(data, address):
    return osc.parse(data)[0] == address


# ---- a push that does not come ----

def test_a_lost_push_of_a_limiter(tmp_path):
    desk = MockDesk()
    watcher, seen = begin(desk.at, tmp_path)
    desk.rig("drop", 1)
    desk.move(LIMITER, "i", 0)
    moved_at = time.monotonic()
    desk.rig("drop", 0)
    told_after(watcher, seen, moved_at, 5)
    assert watcher.stop() == 0


def test_an_overtaken_push_of_a_limiter(tmp_path):
    """On again and off: the older push comes last, so that what was heard last is not what is so."""
    desk, held = MockDesk(), []

    def fate(to_desk, data):
        if to_desk or not is_push(data, LIMITER) or not held:
            return [0]
        return [held.pop()]

    with relayed(desk, fate) as relay:
        watcher, seen = begin(relay.at, tmp_path)
        held += [0, 0.01]  # popped from the end: the first push is held back, the second is not
        desk.move(LIMITER, "i", 1)
        desk.move(LIMITER, "i", 0)
        told_after(watcher, seen, time.monotonic(), 5)
        assert watcher.stop() == 0


@pytest.mark.limit(60)
@pytest.mark.parametrize("seed", [1, 2])
def test_a_lost_push_where_a_third_is_lost(tmp_path, seed):
    """Three of ten each way, and the push itself for certain."""
    desk, lose, weather = MockDesk(), [], Weather(seed, lose=0.3)

    def fate(to_desk, data):
        if lose and not to_desk and is_push(data, LIMITER):
            lose.pop()
            return []
        return weather(to_desk, data)

    with relayed(desk, fate) as relay:
        watcher, seen = begin(relay.at, tmp_path)
        lose.append(True)
        desk.move(LIMITER, "i", 0)
        told_after(watcher, seen, time.monotonic(), 10)
        assert watcher.stop() == 0


def asked_for(desk, address, since=0):
    """When the desk was asked for the address, in ms of its log."""
    return [ms for ms, _, data in desk.heard()[since:] if data == osc.message(address)]


def test_what_moved_is_asked_again(tmp_path):
    """Once, 300 ms after its last move; the round over the rest would come by in a minute."""
    desk = MockDesk(log=tmp_path / "log")
    watcher, _ = begin(desk.at, tmp_path)
    for _ in range(10):  # until a machine that takes its time left no gap between the moves
        log, moved_ms = len(desk.heard()), []
        for _ in range(4):
            desk.move("/mix/1/fader", "f", fader_wire(-9))
            desk.move("/mix/1/fader", "f", fader_wire(-8))
            moved_ms.append(time.clock_gettime_ns(time.CLOCK_MONOTONIC) / 1e6)
            time.sleep(0.05)
        asked = until(lambda: asked_for(desk, "/mix/1/fader", log), what="the question")
        time.sleep(0.5)
        if all(later - earlier < 150 for earlier, later in zip(moved_ms, moved_ms[1:])):
            break

    assert 250 < asked[0] - moved_ms[-1]
    goal(asked[0] - moved_ms[-1], 450)
    assert len(asked_for(desk, "/mix/1/fader", log)) <= 2  # the round may come by
    assert watcher.stop() == 0


def test_what_moves_all_the_time_is_no_storm(tmp_path):
    """A fader that is ridden 200 times a second is asked for about once a second."""
    desk = MockDesk(log=tmp_path / "log")
    watcher, _ = begin(desk.at, tmp_path)
    log, begun = len(desk.heard()), time.monotonic()
    while time.monotonic() < begun + 4:
        desk.move("/mix/1/fader", "f", fader_wire(-9 + (time.monotonic() - begun) % 1))
        time.sleep(0.005)
    took = time.monotonic() - begun

    assert took / 2 - 1 <= len(asked_for(desk, "/mix/1/fader", log)) <= took / 0.9 + 2
    assert watcher.stop() == 0


# ---- how often everything is asked again ----

def test_a_quiet_show_is_asked_little(tmp_path):
    """Never more than so much of the pace, and as often as status says."""
    desk = MockDesk(log=tmp_path / "log")
    watcher, _ = begin(desk.at, tmp_path)
    time.sleep(0.5)
    log, begun = len(desk.heard()), time.monotonic()
    time.sleep(8)
    asked, took = len(desk.heard()) - log, time.monotonic() - begun
    said = status(tmp_path)

    assert 0 < said["protects_every_s"] < 4
    assert 0 < said["rest_every_s"] < 66
    assert asked <= SHARE * PER_SECOND * (took + 0.1)
    limiter = asked_for(desk, LIMITER, log)
    assert max(later - earlier for earlier, later in zip(limiter, limiter[1:])) < 2000 * said["protects_every_s"]
    assert watcher.stop() == 0


def test_a_slow_pace_is_kept_to(tmp_path):
    """Three hundredths of 400 a second, for a desk of which everything is lost for a while, too."""
    profile = demo_profile(tmp_path, pace={"per_second": 400})
    desk = MockDesk(log=tmp_path / "log")
    lose = []
    with relayed(desk, lambda to_desk, data: [] if lose and not to_desk else [0]) as relay:
        watcher, _ = begin(relay.at, tmp_path, "--profile", profile)
        time.sleep(0.5)
        log, begun = len(desk.heard()), time.monotonic()
        time.sleep(3)
        lose.append(True)
        time.sleep(2)
        asked, took = len(desk.heard()) - log, time.monotonic() - begun
        said = status(tmp_path)
        assert watcher.stop() == 0

    # and a question 400 ms after the last answer, to see whether anybody is there
    assert asked <= SHARE * 400 * (took + 1) + 2 / 0.4 + 1
    assert asked >= 0.8 * SHARE * 400 * took
    assert QUESTIONS / (SHARE * 400) < said["protects_every_s"] + said["rest_every_s"]


def test_status_says_how_often(tmp_path):
    desk = MockDesk()
    watcher, _ = begin(desk.at, tmp_path)
    text = run("status", SHOW, "--keep", tmp_path / "keep").out

    assert re.search(r"^asked again: what protects every (3\.\d s), the rest every (60 s|1 min)", text, re.M), text
    assert watcher.stop() == 0


# ---- a desk that is started anew ----

FADER_MOVED = r"\[master-off-unity\] mix 1 "


def restart(desk, folder, away, **words):
    """The desk at the same port once more after so many seconds, with other values; and since when."""
    state = read_json(STATE)
    state["mixes"][6]["limiter"] = {"on": False}
    state["mixes"][0]["fader"] = -9
    path = write_json(folder / "other.json", state)
    desk.stop()
    time.sleep(away)
    return MockDesk(path, port=desk.port, **words), time.monotonic()


@pytest.mark.parametrize("away", [0.2, 1.9])
def test_a_desk_that_was_switched_off_and_on(tmp_path, away):
    """Whoever asks is refused meanwhile: what protects is read first, the rest after it, and pushes are renewed."""
    desk = MockDesk()
    watcher, seen = begin(desk.at, tmp_path)
    time.sleep(0.5)
    desk, since = restart(desk, tmp_path, away, log=tmp_path / "log")
    told_after(watcher, seen, since, 5)
    told_after(watcher, seen, since, 5, FADER_MOVED)
    heard = [data for _, _, data in desk.heard()]

    assert STAY in heard[:8]  # at once, not when its time has come
    mixes = [heard.index(osc.message(f"/mix/{mix}/limit/on")) for mix in range(1, 9)]
    assert max(mixes) < heard.index(osc.message("/mix/8/fader"))
    assert not any("lost the desk" in line for line in notes(watcher, seen))
    assert watcher.stop() == 0


@pytest.mark.limit(60)
@pytest.mark.parametrize("lose, promise", [(0, 5), (0.3, 10)])
def test_a_desk_that_was_switched_off_and_on_unseen(tmp_path, lose, promise):
    """Nobody refuses: what tells is that so many questions stayed without an answer."""
    desk = MockDesk()
    with relayed(desk, Weather(5, lose=lose)) as relay:
        watcher, seen = begin(relay.at, tmp_path)
        time.sleep(3 if lose else 0.5)
        desk, since = restart(desk, tmp_path, 1.5, log=tmp_path / "log")
        told_after(watcher, seen, since, promise)
        told_after(watcher, seen, since, promise, FADER_MOVED)
        assert watcher.stop() == 0
    if not lose:  # else a renewal is lost like anything
        times = [ms for ms, _, data in desk.heard() if data == STAY]
        assert times[0] - desk.heard()[0][0] < 1000


@pytest.mark.limit(60)
def test_losses_alone_are_no_new_start(tmp_path):
    """Three of ten each way: no renewals besides their own, and no reading again and again."""
    desk = MockDesk(log=tmp_path / "log")
    with relayed(desk, Weather(7, lose=0.3)) as relay:
        watcher, _ = begin(relay.at, tmp_path)
        log, begun = len(desk.heard()), time.monotonic()
        time.sleep(12)
        heard, took = desk.heard()[log:], time.monotonic() - begun
        assert watcher.stop() == 0

    assert sum(data == STAY for _, _, data in heard) <= took / 8 + 1
    assert len(heard) <= SHARE * PER_SECOND * took


# ---- what is gone ----

def one_value(folder):
    """A desk with a single question."""
    return write_json(folder / "one.json", {
        "profile_format": 1, "desk": "Small desk", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 1, "mix": 1},
        "values": [{"at": "/mix/{mix}/fader", "is": "mix.fader", "law": "fader"}],
        "laws": read_json(PROFILE)["laws"]})


def show_of(folder, **changes):
    return write_json(folder / "small.json", {
        "show_format": 1, "show": "Small", "desk": {"profile": "one.json", "role": "monitor"}, **changes})


@pytest.mark.limit(60)
@pytest.mark.parametrize("small", [False, True], ids=["demo", "quiet"])
def test_which_outages_are_told(tmp_path, small):
    """Silence counts from the first question without an answer, and a quiet desk is asked often enough for that."""
    desk, cut = MockDesk(), []
    words = ["--profile", one_value(tmp_path), "--yes"] if small else []
    show = show_of(tmp_path) if small else SHOW
    with relayed(desk, lambda to_desk, data: [] if cut else [0]) as relay:
        watcher, seen = begin(relay.at, tmp_path, *words, show=show)
        for outage in (3, 4.5):
            time.sleep(1.2)
            since = time.monotonic()
            cut.append(True)
            time.sleep(outage)
            cut.clear()
            lasted = time.monotonic() - since
            time.sleep(1)
            told = any("lost the desk" in line for line in notes(watcher, seen))
            assert not told or lasted > 5, (outage, notes(watcher, seen))
        seen, since = watcher.out.count(), time.monotonic()
        cut.append(True)
        _, at, _ = watcher.expect("lost the desk", start=seen)
        assert at - since > 4.5
        goal(at - since, 5.6)
        assert watcher.stop() == 0


@pytest.mark.limit(40)
def test_a_watch_that_was_stopped_lost_no_desk(tmp_path):
    """By Ctrl-Z, or with its computer: what the desk said meanwhile is read before its silence is judged."""
    desk = MockDesk()
    with relayed(desk, lambda to_desk, data: [0.1]) as relay:  # so that questions are always under way
        watcher, seen = begin(relay.at, tmp_path)
        time.sleep(1)
        watcher.popen.send_signal(signal.SIGSTOP)
        time.sleep(7)
        watcher.popen.send_signal(signal.SIGCONT)
        desk.move(LIMITER, "i", 0)
        watcher.expect(UNPROTECTED, start=seen)
        assert not [line for line in notes(watcher, seen) if "the desk" in line]
        assert watcher.stop() == 0


def small_pushing(folder, **more):
    """A desk that only tells, and what the demo's desk is to it."""
    return write_json(folder / "one.json", {
        "profile_format": 1, "desk": "Small desk", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 1, "mix": 1}, "laws": read_json(PROFILE)["laws"],
        "values": [{"answer": ["/mix/{mix}/fader", {"is": "mix.fader", "law": "fader"}]}], **more})


def tells(desk, heard):
    """Everything, after each renewal, as long as it is there."""
    if desk.there:
        desk.send(heard.peer, osc.message("/mix/1/fader", "f", fader_wire(0)))


@contextlib.contextmanager
def telling_desk():
    desk = OwnDesk(tells)
    desk.there = True
    with desk:
        yield desk


@pytest.mark.limit(40)
@pytest.mark.parametrize("pace, least, most", [({}, 5, 6.5), ({"lost_after_s": 2}, 2, 3.5)], ids=["renewals", "stated"])
def test_a_desk_that_only_tells_and_dies(tmp_path, pace, least, most):
    """It is lost when three renewals brought nothing, and 5 s are over, or when the profile says so; and back."""
    small_pushing(tmp_path, pace=pace, renew=[{"send": ["/stay"], "every_s": 1}])
    show = show_of(tmp_path)
    with telling_desk() as desk:
        watcher, seen = begin(desk.at, tmp_path, "--yes", show=show)
        time.sleep(2.5)
        desk.there, since = False, time.monotonic()
        _, at, said = watcher.expect(r"lost the desk: nothing heard for (\d+) s \(no answer\)", start=seen)
        assert at - since > least - 1.1  # it was last heard at its last renewal
        goal(at - since, most)
        assert least - 1 <= int(said.group(1)) <= at - since + 2
        desk.there = True
        watcher.expect("the desk is back", start=seen)
        assert watcher.stop() == 0


@pytest.mark.limit(40)
def test_a_desk_that_never_told_by_itself_is_not_lost(tmp_path):
    """What hands move says nothing of whether it answers renewals: its values go stale, in one line, once."""
    chat = MockChat(tmp_path / "chat.jsonl")
    small_pushing(tmp_path, pace={"reread_every_s": 1, "stale_after_s": 3}, renew=[{"send": ["/stay"], "every_s": 60}])
    show = show_of(tmp_path, tell={"chat": {"url_env": "HOOK"}, "lines": {"file": str(tmp_path / "lines.jsonl")}})
    with telling_desk() as desk:
        watcher, seen = begin(desk.at, tmp_path, "--yes", show=show, env={"HOOK": chat.url})
        desk.there = False
        watcher.expect(r"every value is stale: the desk tells nothing, and was last heard ([2-9]|\d\d)\.?\d* s ago\. ",
                       start=seen)
        time.sleep(3)
        assert sum("every value is stale" in line for line in notes(watcher, seen)) == 1
        assert not any("lost the desk" in line for line in notes(watcher, seen))
        assert watcher.stop() == 0
    assert sum("every value is stale" in text for text in chat.texts()) == 1
    assert (tmp_path / "lines.jsonl").read_text().count('"stale"') >= 1


# ---- other files for the same desk ----

def reload(watcher):
    start = watcher.out.count()
    watcher.popen.send_signal(signal.SIGHUP)
    watcher.expect(r"^\d\d:\d\d:\d\d reloaded: ", start=start)


@pytest.mark.limit(120)
def test_a_reload_keeps_the_conversation(tmp_path):
    """Two hundred of them use one place at the desk and ask nothing besides; checks may change, pushes come. One
    reading besides is let pass, and a few renewals: a machine that stands still looks like a desk that does."""
    desk, show = MockDesk(log=tmp_path / "log"), tmp_path / "show.json"
    content = {**read_json(SHOW), "desk": {**read_json(SHOW)["desk"], "profile": str(PROFILE), "stage": str(PLAN),
                                           "host": desk.host, "port": desk.port}}
    write_json(show, content)
    watcher, seen = begin(desk.at, tmp_path, show=show)
    log, begun = len(desk.heard()), time.monotonic()
    for turn in range(200):
        write_json(show, {**content, "checks": {"too-many-cuts": "off"} if turn % 2 else {}})
        reload(watcher)
    took = time.monotonic() - begun
    heard = desk.heard()

    assert len({source for _, source, _ in heard}) == 1
    assert sum(data == STAY for _, _, data in heard[log:]) <= took / 4 + 1  # and not 200
    assert len(heard) - log <= SHARE * PER_SECOND * (took + 0.1) + QUESTIONS
    desk.move(LIMITER, "i", 0)
    told_after(watcher, watcher.out.count(), time.monotonic(), 2)
    assert not any("desk" in line and "lost" in line for line in notes(watcher, seen))
    assert watcher.stop() == 0


def test_a_reload_to_another_port_begins_anew(tmp_path):
    first, second = MockDesk(), MockDesk()
    show = tmp_path / "show.json"
    content = read_json(SHOW)

    def at(desk):
        return {**content, "desk": {**content["desk"], "profile": str(PROFILE), "stage": str(PLAN), "host": desk.host,
                                    "port": desk.port}}

    write_json(show, at(first))
    watcher = Process(BUILD / "gainwarden", "watch", show, "--keep", tmp_path / "keep")
    watcher.expect("watching: ")
    write_json(show, at(second))
    reload(watcher)
    seen = watcher.out.count()
    until(lambda: str(second.port) in run("status", show, "--keep", tmp_path / "keep").out
          and status(tmp_path, show)["link"] == "steady", what="the other desk")
    second.move(LIMITER, "i", 0)
    told_after(watcher, seen, time.monotonic(), 5)
    assert watcher.stop() == 0
