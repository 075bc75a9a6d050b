# SPDX-License-Identifier: MIT
"""The conversation with the desk: whole in spite of a bad network, no faster than it was told to be,
and with nobody else.
"""
import collections
import json
import signal
import socket
import time

import pytest

import osc
from harness import (BUILD, QUESTIONS, SHOW, MockDesk, OwnDesk, Process, audit, begin_watch, demo_audit,
                     demo_profile, fader_wire, finding, findings, flat, goal, head_wire, notes, read_json, run,
                     show_at_once, until, watch, write_json)

STAY = osc.message("/stay")


def read_whole(report, result):
    """The report of a desk that was read whole, whatever the network did."""
    still, _ = demo_audit()
    for key in ("findings", "accepted", "passed", "not_known"):
        assert report[key] == still[key]
    assert report["link"]["never_came"] == 0
    assert report["link"]["heard"] == QUESTIONS
    assert report["link"]["rejected"] == {}
    assert result.status == 1
    return report["link"]


# ---- a desk that speaks otherwise ----

def refuses(desk, heard):
    """Whatever it is asked; with what would move a cursor, and more than anybody reads."""
    desk.send(heard.peer, osc.message("/error", "sif", "bad\x1b[2J pin", 4, 0.5))


def test_a_desk_that_answers_with_nothing_we_know():
    with OwnDesk(refuses) as desk:
        report, result = audit(desk)
        text = run("audit", SHOW, "--desk", desk.at)
        page = run("audit", SHOW, "--desk", desk.at, "--format", "html")

    says = 'The desk answers, but with nothing the profile knows: /error "bad?[2J pin" 4 0.5. Is it the right profile'
    assert result.status == text.status == 3
    assert says in flat(text.out) and "never heard (" not in flat(text.out)
    assert says.replace('"', "&quot;") in page.out
    assert report["link"]["said"] == '/error "bad?[2J pin" 4 0.5'


def test_what_it_says_is_cut():
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, osc.message("/error", "s", "x" * 3000))) as desk:
        report, _ = audit(desk)
    assert 100 < len(report["link"]["said"]) < 120 and report["link"]["said"].endswith("...")


def test_a_desk_that_speaks_no_osc():
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, b"HTTP/1.1 400 Bad Request\r\n\r\n")) as desk:
        report, _ = audit(desk)
    assert report["link"]["said"].startswith("28 bytes that are no OSC, ")


def test_a_watch_of_a_desk_that_answers_with_nothing_we_know(tmp_path):
    """One line, in status too, until it answers as it should."""
    rights = {"good": False}
    real = MockDesk()
    relay = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    relay.connect((real.host, real.port))
    relay.settimeout(5)

    def answer(desk, heard):
        if not rights["good"]:
            return refuses(desk, heard)
        if heard.address == "/stay":
            return None
        relay.send(heard.data)
        return desk.send(heard.peer, relay.recv(65536))

    show = show_at_once(tmp_path)
    with OwnDesk(answer) as desk:
        watcher = watch(desk, "--keep", tmp_path / "keep", show=show)
        at, _, _ = watcher.expect(
            rf'the desk at 127.0.0.1 port {desk.port} answers, but not as the profile says '
            r'\(it says only what the profile does not know: /error "bad\?\[2J pin" 4 0.5\); trying on')
        time.sleep(2)
        status = run("status", show, "--keep", tmp_path / "keep").out
        told = notes(watcher)
        rights["good"] = True
        watcher.expect("watching: ", start=at)
        assert "profile does not know" not in run("status", show, "--keep", tmp_path / "keep").out
        assert watcher.stop() == 0
    relay.close()

    assert 'it says what the profile does not know: /error "bad?[2J pin" 4 0.5\n' in status
    assert len([line for line in told if "answers, but" in line]) == 1
    assert not [line for line in told if "does not answer" in line]


# ---- bad networks ----

@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lost_answers_are_asked_for_again(tmp_path, seed):
    # some 1400 answers, each lost twelve times in a row: once in 200,000 readings
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 100, "tries": 12})
    link = read_whole(*audit(MockDesk(drop=0.2, seed=seed), "--profile", profile))

    # a fifth of the questions, of those again a fifth, ...: 345, give or take 3.5 deviations of 21
    assert link["asked_again"] > 270
    goal(link["asked_again"], 420)  # more than that were not lost but late
    assert link["asked"] == QUESTIONS


@pytest.mark.parametrize("faults", [
    {"duplicate": 0.5}, {"duplicate": 1}, {"reorder": 0.5}, {"reorder": 1}, {"delay": 50},
    {"bundle": 20}, {"delay": 20, "duplicate": 0.3, "reorder": 0.3, "bundle": 5},
], ids=str)
def test_networks_that_lose_nothing(faults):
    link = read_whole(*audit(MockDesk(**faults)))

    assert link["asked"] == QUESTIONS


def test_a_network_that_does_everything(tmp_path):
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 100, "tries": 12})
    read_whole(*audit(MockDesk(drop=0.15, duplicate=0.2, reorder=0.3, delay=5),
                      "--profile", profile))


def test_a_slow_desk():
    """It reads no faster than it answers; questions must not pile up in its socket and be lost."""
    link = read_whole(*audit(MockDesk(answers_per_second=2000, receive_buffer=8192)))

    assert link["took_ms"] >= QUESTIONS / 2000 * 1000 * 0.95  # the rate is the desk's, so it did limit


@pytest.mark.limit(40)
def test_answers_that_come_too_late_count(tmp_path):
    """Given up is not deaf: every answer comes after 200 ms, when its time of 60 ms is long over."""
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 60, "tries": 2, "in_flight": 512,
                                           "per_second": 100000})
    report, _ = audit(MockDesk(delay=200), "--profile", profile, "--within", "60", timeout=80)

    assert report["link"]["heard"] + report["link"]["never_came"] == QUESTIONS
    assert report["link"]["heard"] > QUESTIONS / 2


# ---- strangers ----

LIES = [osc.message("/in/18/head/gain", "f", head_wire(-6)),
        osc.message("/in/5/hp/on", "i", 1),
        osc.message("/mix/1/fader", "f", fader_wire(-30)),
        osc.message("/mix/3/fader", "f", fader_wire(0)),
        osc.message("/mix/1/name", "s", "Nobody's"),
        osc.bundle(osc.message("/mix/4/fader", "f", fader_wire(-20))),
        b"\xffrubbish"]


def port_of(desk):
    """The port that gainwarden speaks from, as the desk sees it."""
    return int(until(desk.heard, what="the first question")[0][1].rsplit(":", 1)[1])


def stranger(host):
    end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    end.bind((host, 0))
    return end


def test_lies_are_told_while_the_audit_runs(tmp_path):
    desk = MockDesk(log=tmp_path / "log", answers_per_second=400)
    process = Process(BUILD / "gainwarden", "audit", SHOW, "--desk", desk.at, "--format=json",
                      "--within", "150")
    port = port_of(desk)
    told = 0
    with stranger("127.0.0.1") as one, stranger("127.0.0.2") as other:
        while process.running():
            for lie in LIES:
                one.sendto(lie, ("127.0.0.1", port))
                other.sendto(lie, ("127.0.0.1", port))
            told += 1
            time.sleep(0.02)
    status = process.wait()
    report = json.loads(process.text())

    assert told > 10  # all through the reading, before and after the true answers
    assert findings(report) == findings(demo_audit()[0])
    assert report["link"]["rejected"] == {}
    assert finding(report, "send-follows-fader", mix=1)["labels"] == {"mix": "Ld Vox wedge"}
    assert status == 1


def test_lies_are_told_to_the_watch(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    watcher, seen = begin_watch(desk, "--still-every", "0")
    port = port_of(desk)
    with stranger("127.0.0.1") as one, stranger("127.0.0.2") as other:
        for lie in LIES * 3:
            one.sendto(lie, ("127.0.0.1", port))
            other.sendto(lie, ("127.0.0.1", port))
    # what the desk itself says afterwards is told; everything before it would have been told first
    desk.move("/mix/6/fader", "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 6", start=seen)

    assert len(notes(watcher, seen)) == 1
    assert watcher.stop() == 0


def test_the_same_words_from_the_desk_are_taken():
    """So the lies above were well formed: the desk's own socket may say them."""
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--still-every", "0")
    desk.send(*LIES[:4])
    watcher.expect(r"cleared \[unused-preamp-gain\] input 18", start=seen)
    watcher.expect(r"cleared \[high-pass-missing\] input 5", start=seen)
    watcher.expect(r"raised fix \[master-off-unity\] mix 1 ", start=seen)
    watcher.expect(r"cleared \[master-off-unity\] mix 3 ", start=seen)
    assert watcher.stop() == 0


# ---- pace ----

INPUTS = 100


def wide_profile(folder, **pace):
    """Three questions for each of a hundred inputs."""
    return write_json(folder / "wide.json", {
        "profile_format": 1, "desk": "Wide desk", "link": {"transport": "udp", "port": 9100},
        "pace": {"answer_within_ms": 2000, **pace}, "counts": {"input": INPUTS, "mix": 1},
        "values": [{"at": "/i/{input}/gain", "is": "input.preamp_gain"},
                   {"at": "/i/{input}/fader", "is": "input.fader"},
                   {"at": "/i/{input}/send/{mix}", "is": "send.level"}]})


class Counting:
    """Answers every question after a while, and counts those without an answer so far.

    A question only leaves gainwarden when fewer than `in_flight` are under way. One that was taken
    for lost is not under way any more, though this thread may answer it yet: where it stood still for
    10 ms, what it should have answered by then does not count.
    """

    def __init__(self, delay):
        self.delay = delay
        self.most = 0

    def __call__(self, desk, heard):
        waiting = [one for one in desk.heard[desk.sent:] if heard.at - one.at < self.delay + 0.01]
        self.most = max(self.most, len(waiting))
        desk.send_later(self.delay, heard.peer, osc.message(heard.address, "f", 0.0))


@pytest.mark.parametrize("in_flight", [1, 4, 33])
def test_no_more_questions_at_once_than_allowed(tmp_path, in_flight):
    profile = wide_profile(tmp_path, in_flight=in_flight, per_second=50000)
    counting = Counting(0.003 if in_flight < 10 else 0.03)
    with OwnDesk(counting) as desk:
        report, _ = audit(desk, "--profile", profile, show=None)

    assert report["link"]["heard"] == 3 * INPUTS
    assert len(desk.heard) == 3 * INPUTS + again(report)
    # the window is kept, and used but for the place of a question that is known to be answered
    assert max(1, in_flight - 1) <= counting.most <= in_flight + again(report)


def again(report):
    """Questions that went out a second time: tries, and known ones beside those without an answer."""
    return report["link"]["asked_again"] + report["link"]["asked_beside"]


def most_in(times, seconds):
    """The largest number of events in any span of so many seconds."""
    most = first = 0
    for last, time_ in enumerate(times):
        while times[first] <= time_ - seconds:
            first += 1
        most = max(most, last - first + 1)
    return most


def test_no_more_questions_a_second_than_allowed(tmp_path):
    profile = wide_profile(tmp_path, in_flight=4, per_second=200)
    counting = Counting(0.001)
    with OwnDesk(counting) as desk:
        report, _ = audit(desk, "--profile", profile, show=None)
    times = [heard.at for heard in desk.heard]

    assert report["link"]["heard"] == 3 * INPUTS
    assert len(times) == 3 * INPUTS + again(report)
    assert counting.most <= 4 + again(report)
    # a hundredth of a second's worth may leave at once, and ms are whole
    assert most_in(times, 1) <= 200 + 2 + 1
    assert most_in(times, 0.1) <= 20 + 2 + 1
    goal(times[-1] - times[0], 3 * INPUTS / 200 * 1.5)  # nor far slower than allowed


def audit_of_a_prompt_desk(profile, silent):
    """(desk, report); the desk answers all but those. Where a machine that takes its time let a question wait for it,
    which is asked again for that, the audit is made once more."""
    for _ in range(30):
        waited = []

        def answer(desk, heard):
            if heard.address not in silent:
                desk.send(heard.peer, osc.message(heard.address, "f", 0.0))
            waited.append(time.time() - heard.at)  # pylint: disable=cell-var-from-loop

        with OwnDesk(answer) as desk:
            report, _ = audit(desk, "--profile", profile, show=None)
        if max(waited) < 0.01:
            break
    return desk, report


@pytest.mark.parametrize("tries", [1, 3])
def test_a_missing_answer_is_asked_for_so_many_times(tmp_path, tries):
    profile = wide_profile(tmp_path, tries=tries, answer_within_ms=60)
    silent = {f"/i/{number}/fader" for number in range(2, 50, 3)}
    desk, report = audit_of_a_prompt_desk(profile, silent)
    count = collections.Counter(desk.asked())

    assert {count[address] for address in silent} == {tries}
    # one of the others may have served to tell whether the desk is there
    assert sum(count[address] > 1 for address in count if address not in silent) <= 1
    assert sum(count.values()) == 3 * INPUTS + again(report)
    assert len(count) == 3 * INPUTS
    link = report["link"]
    assert (link["asked"], link["heard"]) == (3 * INPUTS, 3 * INPUTS - len(silent))
    assert link["never_came"] == len(silent)
    assert link["asked_again"] == (tries - 1) * len(silent)


def test_the_tries_of_one_question_are_apart(tmp_path):
    """Asked again when three later ones were answered, and given up when nothing else is lost."""
    profile = wide_profile(tmp_path, tries=9, answer_within_ms=150)
    desk, _ = audit_of_a_prompt_desk(profile, {"/i/7/gain"})
    tries = [place for place, heard in enumerate(desk.heard) if heard.address == "/i/7/gain"]

    assert len(tries) == 3
    assert all(later - earlier > 3 for earlier, later in zip(tries, tries[1:])), tries


def test_a_silent_desk_is_not_flooded(tmp_path):
    """Nobody there: no more than a window of questions and their tries."""
    profile = wide_profile(tmp_path, in_flight=8, tries=2, answer_within_ms=500, per_second=50000)
    with OwnDesk(lambda desk, heard: None) as desk:
        _, result = audit(desk, "--profile", profile, show=None)
    times = [heard.at for heard in desk.heard]

    assert result.status == 3
    goal(result.took, 5)
    # a window each tenth of a second, and once a second the question whether anybody is there
    assert most_in(times, 0.095) <= 8 + 1
    assert len(times) <= 8 * (3 / 0.1 + 1) + 3 + 1


def test_what_was_pushed_need_not_be_asked(tmp_path):
    """A desk that tells everything on the first renewal is asked little or nothing."""
    profile = write_json(tmp_path / "wide.json", {
        **read_json(wide_profile(tmp_path, in_flight=1, per_second=20)),
        "renew": [{"send": ["/stay"], "every_s": 60}]})
    everything = [osc.message(f"/i/{number}/{what}", "f", 0.0)
                  for number in range(1, INPUTS + 1) for what in ("gain", "fader", "send/1")]

    def answer(desk, heard):
        if heard.address == "/stay":
            for first in range(0, len(everything), 50):
                desk.send(heard.peer, osc.bundle(*everything[first:first + 50]))

    with OwnDesk(answer) as desk:
        report, _ = audit(desk, "--profile", profile, show=None)

    assert report["link"]["heard"] == 3 * INPUTS
    assert report["link"]["never_came"] == 0
    assert len(desk.heard) < 10  # at 20 a second all questions would take 15 s


# ---- renewals and pushes ----

def test_renewals_go_out_on_time(tmp_path):
    profile = demo_profile(tmp_path, renew=[{"send": ["/stay"], "every_s": 0.5},
                                            {"send": ["/also", 3, "x"], "every_s": 0.7,
                                             "this_only_asks": True}])
    desk = MockDesk(log=tmp_path / "log")
    watcher, _ = begin_watch(desk, "--profile", profile)
    also = osc.message("/also", "is", 3, "x")
    until(lambda: min([data for _, _, data in desk.heard()].count(one) for one in (STAY, also)) > 5, what="six of each")
    assert watcher.stop() == 0
    heard = desk.heard()

    for datagram, every in ((STAY, 500), (also, 700)):
        times = [ms for ms, _, data in heard if data == datagram]
        gaps = [later - earlier for earlier, later in zip(times, times[1:])]
        for gap in gaps:
            goal(abs(gap - every), 60)
        # lateness does not add up
        goal(abs((times[-1] - times[0]) - every * len(gaps)), 100)
    assert heard[0][2] == STAY  # before the first question, so that no change falls in between


def test_pushes_come_as_long_as_the_renewals_do(tmp_path):
    profile = demo_profile(tmp_path, renew=[{"send": ["/stay"], "every_s": 0.5}])
    desk = MockDesk(hold_stay=0.9)
    watcher, seen = begin_watch(desk, "--profile", profile)
    time.sleep(1.5)  # well past the first hold
    desk.move("/mix/1/fader", "f", fader_wire(-9))
    watcher.expect(r"raised fix \[master-off-unity\] mix 1 ", 2, seen)
    assert watcher.stop() == 0


def test_without_renewals_nothing_is_pushed(tmp_path):
    """The mock's side of the test above: it is the renewal that brings the push."""
    profile = demo_profile(tmp_path, renew=[])
    desk = MockDesk(log=tmp_path / "log")
    watcher, seen = begin_watch(desk, "--profile", profile, "--still-every", "0")
    log = len(desk.heard())
    desk.move("/mix/1/fader", "f", fader_wire(-9))
    time.sleep(1)
    told = notes(watcher, seen)

    # the round over the rest may come by
    assert told == [] or osc.message("/mix/1/fader") in [data for _, _, data in desk.heard()[log:]]
    assert watcher.stop() == 0


def test_a_lost_push_is_caught_by_reading_again(tmp_path):
    """Without pushes the whole desk is read again and again: every question in two seconds."""
    profile = demo_profile(tmp_path, renew=[], pace={"reread_every_s": 2, "stale_after_s": 6})
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--profile", profile, "--still-every", "0")
    desk.move("/mix/1/fader", "f", fader_wire(-9))
    watcher.expect(r"raised fix \[master-off-unity\] mix 1 ", 6, seen)

    assert len(notes(watcher, seen)) == 1
    assert watcher.stop() == 0


def test_reading_again_is_slow(tmp_path):
    """In the watch it leaves room for the tablets: twice the rate the interval needs."""
    profile = demo_profile(tmp_path, renew=[], pace={"reread_every_s": 4, "stale_after_s": 12})
    desk = MockDesk(log=tmp_path / "log")
    watcher, _ = begin_watch(desk, "--profile", profile)
    first = len(desk.heard())
    until(lambda: len(desk.heard()) - first > 2000, what="questions put again")
    assert watcher.stop() == 0
    times = [ms / 1000 for ms, _, _ in desk.heard()[first:]]
    rate = 2 * QUESTIONS / 4

    assert len(times) <= rate * (times[-1] - times[0] + 1)
    goal(most_in(times, 1), rate * 1.05)


def test_pushed_values_of_every_form_are_taken():
    """One argument, a run, and several values in one message."""
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--still-every", "0")
    desk.move("/mix/1/graphic/5", "f", -3)
    desk.move("/mix/1/graphic/7", "f", -3)
    watcher.expect(r"raised note \[too-many-cuts\] mix 1 .*: 7 cuts", start=seen)
    desk.move("/set/mix-eq", "iiisfff", 1, 2, 1, "peak", 500.0, -9.0, 2.0)
    desk.move("/mix/1/eq/on", "i", 1)
    watcher.expect(r"worse fix \[too-many-cuts\] mix 1 .*: 8 cuts", start=seen)
    assert watcher.stop() == 0


def test_a_reload_to_a_host_that_no_resolver_takes(tmp_path):
    """It is refused before it is looked up; the watch goes on, and comes back by the next reload."""
    desk, show = MockDesk(), show_at_once(tmp_path)
    content = read_json(show)
    host, port = desk.at.rsplit(":", 1)

    def at(host):
        return {**content, "desk": {**content["desk"], "host": host, "port": int(port)}}

    write_json(show, at(host))
    watcher = Process(BUILD / "gainwarden", "watch", show, "--keep", tmp_path / "keep")
    watcher.expect("watching: ")
    for name, said in (("x" * 300, "lost the desk"), (host, "now: ")):
        start = watcher.out.count()
        write_json(show, at(name))
        watcher.popen.send_signal(signal.SIGHUP)
        watcher.expect(said, start=start)
    assert watcher.stop() == 0
