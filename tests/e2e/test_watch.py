# SPDX-License-Identifier: MIT
"""The watch tells edges: what was raised, got worse or was cleared, once, and nothing else. It stays
through a desk that goes away, and ends when it is told to or when nobody can read it any more.
"""
import math
import os
import re
import signal
import time

import pytest

import osc
from harness import (BUILD, SHOW, MockDesk, Process, begin_watch, below_heading, demo_audit, demo_profile,
                     demo_show, fader_wire, findings, flat, goal, head_wire, notes, run, show_at_once,
                     until, watch)

QUIET = ("--still-every", "0")
DRUM_FILL = "/mix/6/fader"  # a master that stands at 0 dB, in a mix without any finding


def span(text):
    """Seconds of "0.8 s", "12 s", "3 min 20 s"."""
    parts = re.fullmatch(r"(?:(\d+) h )?(?:(\d+) min ?)?(?:([\d.]+) s)?", text)
    return sum(float(part or 0) * unit for part, unit in zip(parts.groups(), (3600, 60, 1)))


def sync(desk, watcher):
    """Waits until everything the desk said so far has been dealt with.

    Values are pushed in the order of the moves, so a change that is surely told comes last.
    """
    start = watcher.out.count()
    desk.move("/mix/8/fader", "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 8 ", start=start)
    start = watcher.out.count()
    desk.move("/mix/8/fader", "f", fader_wire(0))
    watcher.expect(r"cleared \[master-off-unity\] mix 8 ", start=start)


def told(watcher, seen):
    """What was told but for the two lines of each sync()."""
    return [line for line in notes(watcher, seen) if " mix 8 " not in line]


# ---- the first page ----

def test_begins_with_the_page_of_the_audit(desk):
    watcher, _ = begin_watch(desk, *QUIET)
    page = run("audit", SHOW, "--desk", desk.at).out
    lines = watcher.out.texts()

    # the heading tells time and duration; checks that rest on one look at a meter are the audit's
    words = below_heading(page)
    words, left_out = re.subn(r", input-hot \d+, input-faint \d+", "", words)
    assert left_out == 1
    assert words in re.sub(r", moved-from-approved \d+", "", flat(" ".join(lines)))
    weights = [weight for _, weight, _ in findings(demo_audit()[0])]
    assert notes(watcher) == ["watching: {} stop, {} fix, {} note, 0 not known".format(
        *map(weights.count, ("stop", "fix", "note")))]
    assert watcher.stop() == 0


def test_all_findings_on_the_first_page(desk):
    watcher, _ = begin_watch(desk, "--all", *QUIET)

    assert "more: --all lists them" not in watcher.text()
    assert watcher.text().count("[own-send-off-unity]") == 1
    assert watcher.stop() == 0


# ---- edges ----

def test_raised_worse_cleared(desk):
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move(DRUM_FILL, "f", fader_wire(-2))
    _, raised_at, _ = watcher.expect(r"raised note \[master-off-unity\] mix 6 Drum-fill: the master "
                                     r"stands at -2 dB, so everything in the mix is 2 dB lower; "
                                     r"do: if a hand slipped, put back: master −2 -> 0 dB; "
                                     r"ends up to 2 dB louder, so slowly$", start=seen)
    desk.move(DRUM_FILL, "f", fader_wire(-4))  # two dB more: not worth a word
    sync(desk, watcher)
    desk.move(DRUM_FILL, "f", fader_wire(-5.5))  # more than three more than was told
    watcher.expect(r"worse note \[master-off-unity\] mix 6 .* stands at -5.5 dB", start=seen)
    desk.move(DRUM_FILL, "f", fader_wire(-6.5))  # another weight, though only 1 more
    watcher.expect(r"worse fix \[master-off-unity\] mix 6 .* stands at -6.5 dB", start=seen)
    time.sleep(1.1)
    desk.move(DRUM_FILL, "f", fader_wire(0))
    _, cleared_at, lasted = watcher.expect(r"cleared \[master-off-unity\] mix 6 Drum-fill after (.*)$",
                                           start=seen)

    assert [line.split(" ")[0] for line in told(watcher, seen)] == ["raised", "worse", "worse", "cleared"]
    assert span(lasted.group(1)) >= 1
    goal(abs(span(lasted.group(1)) - (cleared_at - raised_at)), 0.25)  # since it was raised
    assert watcher.stop() == 0


def test_lines_carry_the_local_time(desk):
    watcher, seen = begin_watch(desk, *QUIET, env={"TZ": "XYZ-5:30"})
    desk.move(DRUM_FILL, "f", fader_wire(-2))
    at, _, _ = watcher.expect("raised note", start=seen)
    clock = watcher.out.texts()[at][:8]
    there = time.gmtime(time.time() + 5.5 * 3600)
    seconds = [int(part) for part in clock.split(":")]
    late = (there.tm_hour * 3600 + there.tm_min * 60 + there.tm_sec
            - seconds[0] * 3600 - seconds[1] * 60 - seconds[2]) % 86400

    assert late < 600  # the zones are hours apart
    assert watcher.stop() == 0


def test_the_same_value_again_tells_nothing(desk):
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move(DRUM_FILL, "f", fader_wire(-7))
    watcher.expect("raised fix", start=seen)
    for _ in range(20):
        desk.move(DRUM_FILL, "f", fader_wire(-7))
        desk.move("/in/18/head/gain", "f", head_wire(42))
        desk.move("/in/5/hp/on", "i", 0)
    sync(desk, watcher)

    assert len(told(watcher, seen)) == 1
    assert watcher.stop() == 0


def test_what_no_check_reads_tells_nothing(desk):
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move("/in/3/gate/on", "i", 0)
    desk.move("/in/4/comp/ratio", "f", 2.5)
    desk.move("/desk/scene", "s", "Second half")
    sync(desk, watcher)

    assert told(watcher, seen) == []
    assert watcher.stop() == 0


def test_a_change_for_the_better_within_a_finding_tells_nothing(desk):
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move("/mix/3/fader", "f", fader_wire(-7))  # was -8
    desk.move("/mix/2/graphic/10", "f", 0)  # nine cuts were, eight are
    sync(desk, watcher)

    assert told(watcher, seen) == []
    assert watcher.stop() == 0


def test_what_the_first_page_told_is_cleared(desk):
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move("/in/20/hp/on", "i", 1)
    watcher.expect(r"cleared \[high-pass-missing\] input 20 BV 2 after \d+\.\d s$", start=seen)

    assert len(notes(watcher, seen)) == 1
    assert watcher.stop() == 0


def test_a_mute_between_two_songs_is_no_news(desk):
    """Neither that a muted input's finding is gone nor that it is back."""
    watcher, seen = begin_watch(desk, *QUIET)
    for _ in range(3):
        desk.move("/in/20/open", "i", 0)
        sync(desk, watcher)
        desk.move("/in/20/open", "i", 1)
        sync(desk, watcher)

    assert told(watcher, seen) == []
    assert watcher.stop() == 0


def test_beyond_what_was_accepted_and_back(desk):
    """The side-fill's master is accepted up to 2 dB. What was raised must also be seen to end."""
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move("/mix/5/fader", "f", fader_wire(1.9))
    sync(desk, watcher)
    assert told(watcher, seen) == []

    desk.move("/mix/5/fader", "f", fader_wire(4))
    watcher.expect(r"raised fix \[master-off-unity\] mix 5 Side-fill", start=seen)
    desk.move("/mix/5/fader", "f", fader_wire(1.5))
    sync(desk, watcher)
    (line,) = told(watcher, seen)[1:]
    assert line.startswith("cleared [master-off-unity] mix 5 Side-fill after ")
    assert watcher.stop() == 0


def test_the_time_a_finding_lasted_begins_when_it_was_raised(desk):
    """Not when it was first there and accepted."""
    watcher, seen = begin_watch(desk, *QUIET)
    begun = time.monotonic()
    time.sleep(2)
    desk.move("/mix/5/fader", "f", fader_wire(4))
    _, raised_at, _ = watcher.expect(r"raised fix \[master-off-unity\] mix 5 ", start=seen)
    desk.move("/mix/5/fader", "f", fader_wire(0))
    _, cleared_at, lasted = watcher.expect(r"cleared \[master-off-unity\] mix 5 Side-fill after (.*)$",
                                           start=seen)

    assert span(lasted.group(1)) < cleared_at - begun - 1.9
    goal(abs(span(lasted.group(1)) - (cleared_at - raised_at)), 0.25)
    assert watcher.stop() == 0


def test_a_label_is_escaped(desk):
    """What the desk calls a mix cannot move the terminal's cursor."""
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move("/mix/6/name", "s", "Drum\x1b[2J\n\u202efill")
    desk.move(DRUM_FILL, "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 6 Drum\?\[2J\?\?+fill\W", start=seen)
    assert watcher.stop() == 0


# ---- many at once ----

def scene():
    """Sixty values of another scene: every high-pass off, masters and sends elsewhere."""
    values = [osc.message(f"/in/{number}/hp/on", "i", 0) for number in range(1, 25)]
    values += [osc.message(f"/mix/{number}/fader", "f", fader_wire(-7)) for number in range(1, 9)]
    values += [osc.message(f"/in/{number}/to/5/level", "f", fader_wire(-30)) for number in range(1, 25)]
    values += [osc.message(f"/mix/{number}/graphic/{band}", "f", -6)
               for number, band in ((1, 3), (1, 4), (3, 3), (3, 4))]
    assert len(values) == 60
    return values


def recalled(watcher, seen, timeout=5):
    """The lines about findings, and how many more are said to be: one message, once it has settled."""
    watcher.expect(r"and (\d+) more: \d+ stop, \d+ fix, \d+ note, \d+ over$", timeout, seen)
    time.sleep(0.5)
    lines = notes(watcher, seen)
    more = [re.match(r"and (\d+) more", line) for line in lines]
    return ([line for line in lines if re.match("raised|worse|cleared", line)],
            [int(match.group(1)) for match in more if match], lines)


RECALL = (r'a recall changed \d+ values of 24 inputs and 8 mixes: 2\d protection, \d+ level$')


def test_a_scene_recall_in_one_bundle():
    desk = MockDesk(bundle=500)
    watcher, seen = begin_watch(desk, *QUIET)
    desk.send(osc.bundle(*scene()))
    single, more, lines = recalled(watcher, seen)

    assert len(single) == 9 and len(more) == 1
    assert re.match(RECALL, lines[0])
    assert [re.match(r"recalled: (input|and \d+ more of protection)", line)[1][:5] for line in lines[1:7]] == \
        ["input"] * 5 + ["and 2"]  # protection leads the difference
    assert lines[7:-1] == single
    # at the least the masters that stood at 0 dB and the high-passes of those that need one
    assert 9 + more[0] >= 7 + 13
    assert watcher.stop() == 0


def test_a_scene_recall_in_many_datagrams(tmp_path):
    """As most desks tell it: sixty datagrams, one after the other, the first of which say nothing of the
    others yet; hence a hold."""
    desk = MockDesk()
    show = show_at_once(tmp_path, watch={"raise_after_s": 1, "clear_after_s": 1})
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    desk.send(osc.bundle(*scene()))
    single, more, lines = recalled(watcher, seen)

    assert len(single) == 9 and len(more) == 1
    assert len([line for line in lines if re.match(RECALL, line)]) == 1
    assert watcher.stop() == 0


# ---- still watching ----

def test_still_watching(desk):
    watcher, seen = begin_watch(desk, "--still-every", "1")
    desk.move("/mix/3/fader", "f", fader_wire(0))  # one to fix less
    begun = watcher.expect(r"cleared", start=seen)[1]
    weights = [weight for _, weight, _ in findings(demo_audit()[0])]
    stop, fix, note = map(weights.count, ("stop", "fix", "note"))
    pattern = (rf"still watching: doors, {stop} stop, {fix - 1} fix, {note} note, 0 not known; "
               r"(\d+) values known, 0 stale; desk heard (\d+\.\d) s ago$")
    at, first, match = watcher.expect(pattern, 3, seen)
    _, second, _ = watcher.expect(pattern, 3, at + 1)

    assert int(match.group(1)) > 1379  # a graphic or a band is several values
    goal(float(match.group(2)), first - begun + 0.3)
    goal(abs(second - first - 1), 0.15)
    assert watcher.stop() == 0


def test_it_is_quiet(desk):
    """A good show gives no message but the regular one."""
    watcher, seen = begin_watch(desk, *QUIET)
    time.sleep(2.5)

    assert notes(watcher, seen) == []
    assert watcher.err.texts() == []
    assert watcher.stop() == 0


def test_what_gets_old_is_called_stale(tmp_path):
    """Pushes go on and so the desk is there, but half of it answers no longer: what rests on that is
    not known, and no finding is raised or cleared by it."""
    profile = demo_profile(tmp_path, pace={"reread_every_s": 1, "stale_after_s": 2, "tries": 1,
                                           "answer_within_ms": 100, "per_second": 40000})
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--profile", profile, "--still-every", "1")
    desk.rig("half", 1)
    watcher.expect(r"still watching: .*, (5[1-9]|[6-9]\d|\d{3,}) not known; \d+ values known, [1-9]\d* stale; ",
                   start=seen)
    desk.rig("half", 0)
    watcher.expect(r"still watching: .*, 0 not known; \d+ values known, 0 stale; ", 8, seen)

    assert [line for line in notes(watcher, seen) if not line.startswith("still watching")] == []
    assert watcher.stop() == 0


# ---- the end ----

@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stops_when_told(desk, number):
    begun = time.monotonic()
    watcher, seen = begin_watch(desk, *QUIET)
    time.sleep(1)
    lasted = time.monotonic() - begun
    assert watcher.stop(number, 3) == 0
    (line,) = notes(watcher, seen)

    said = re.fullmatch(r"stopped watching after (.*)", line)
    assert 1 <= span(said.group(1))
    goal(abs(span(said.group(1)) - lasted), 0.3)
    assert watcher.err.texts() == []


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stops_while_the_desk_is_read(tmp_path, number):
    desk = MockDesk(answers_per_second=100, log=tmp_path / "log")
    watcher = watch(desk, *QUIET)
    until(desk.heard)

    assert watcher.stop(number, 3) == 0
    assert [line[:16] for line in notes(watcher)] == ["stopped watching"]


def test_a_reader_that_is_gone_ends_the_watch(desk):
    reading, writing = os.pipe()
    watcher = watch(desk, "--still-every", "1", stdout=writing)
    os.close(writing)
    text = b""
    while b"watching: " not in text:
        text += os.read(reading, 65536)
    os.close(reading)

    assert watcher.wait(5) == 2  # at the next line, a second later
    assert watcher.err.texts() == ["gainwarden: cannot write to standard output: Broken pipe"]


def test_a_full_disk_ends_the_watch(desk):
    with open("/dev/full", "wb") as full:
        watcher = watch(desk, *QUIET, stdout=full.fileno())

        assert watcher.wait(5) == 2
    assert watcher.err.texts() == ["gainwarden: cannot write to standard output: No space left on device"]


# ---- a desk that goes and comes ----

@pytest.mark.limit(30)
def test_a_desk_that_is_lost_and_comes_back():
    """Nothing it says arrives for a while, though it hears every move."""
    desk = MockDesk()
    watcher, seen = begin_watch(desk, *QUIET)
    desk.rig("drop", 1)
    _, lost_at, _ = watcher.expect(
        r"lost the desk: nothing heard for 5 s \(no answer\)\. Every value is stale; nothing is raised "
        r"or cleared until the whole desk is read again$", 10, seen)
    desk.move(DRUM_FILL, "f", fader_wire(-7))  # to be raised
    desk.move("/in/5/hp/on", "i", 1)  # to be cleared
    desk.move("/mix/3/fader", "f", fader_wire(-12))  # to be worse: was -8
    desk.move("/in/19/hp/freq", "f", 0.1)  # back as it was before anybody hears of it
    desk.move("/in/19/hp/freq", "f", math.log(40 / 16, 500 / 16))  # 40 Hz: 16 Hz * (500 / 16) ** x
    time.sleep(2.5)
    assert len(notes(watcher, seen)) == 1  # one cause, one message, and no word about findings
    desk.rig("drop", 0)
    at, back_at, back = watcher.expect(r"the desk answers again after (.*), reading all of it$", 5, seen)
    watcher.expect(r"now: \d+ stop, \d+ fix, \d+ note, 0 not known$", 5, at)
    sync(desk, watcher)

    assert span(back.group(1)) >= 2.4
    goal(abs(span(back.group(1)) - (back_at - lost_at)), 0.3)
    after = [re.sub(r"( Keys wedge \(keys\)| Hat after .*| Drum-fill|): .*", "", line)
             for line in told(watcher, at + 1) if not line.startswith("now: ")]
    assert sorted(line.split(" after ")[0] for line in after) == sorted([
        "cleared [high-pass-missing] input 5 Hat",
        "raised fix [master-off-unity] mix 6",
        "worse fix [master-off-unity] mix 3",
        "the desk is back"])
    assert watcher.stop() == 0


@pytest.mark.limit(30)
def test_a_still_line_while_the_desk_is_lost():
    """It says how long ago the desk was heard, and that nothing is known now."""
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--still-every", "1")
    desk.rig("silent", 1)
    at, _, _ = watcher.expect("lost the desk", 10, seen)
    for _ in range(2):  # the first may come at the very moment of the loss
        at, _, still = watcher.expect(r"still watching: .*, (\d+) not known; 0 values known, \d+ "
                                      r"stale; desk heard (\d+\.\d) s ago$", 5, at + 1)
        assert int(still.group(1)) >= 5 * 24 + 6 + 8 + 8
        assert 5 <= float(still.group(2))
        goal(float(still.group(2)), 9)
    assert watcher.stop() == 0


@pytest.mark.limit(30)
def test_a_desk_that_is_absent_at_the_start():
    desk = MockDesk(silent=1)
    watcher = watch(desk, *QUIET)
    watcher.expect(rf"the desk at 127\.0\.0\.1 port {desk.port} does not answer \(no answer\); "
                   r"trying on$", 10)
    desk.rig("silent", 0)
    at, _, _ = watcher.expect(r"^\d\d:\d\d:\d\d watching: \d+ stop, \d+ fix", 5)

    # the page came before, in full; nothing is told twice
    assert "\nFix before doors (" in watcher.text()
    assert not any(re.match("raised|worse|cleared", line) for line in notes(watcher))
    seen = at + 1
    desk.move(DRUM_FILL, "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 6", 3, seen)  # and pushes come
    assert watcher.stop() == 0


def test_a_host_that_does_not_resolve():
    watcher = Process(BUILD / "gainwarden", "watch", SHOW, "--desk", "desk.invalid", *QUIET)
    watcher.expect(r'the desk\'s host "desk\.invalid" does not resolve \([a-z ]+\); trying on$', 15)

    assert len(notes(watcher)) == 1
    assert watcher.stop(timeout=15) == 0


def test_the_watch_takes_its_settings_from_the_show_file(desk, tmp_path):
    show = demo_show(tmp_path, checks={"master-off-unity": {"note_db": 10, "fix_db": 20}})
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    desk.move(DRUM_FILL, "f", fader_wire(-9))
    desk.move(DRUM_FILL, "f", fader_wire(-15))
    watcher.expect(r"raised note \[master-off-unity\] mix 6 Drum-fill: the master stands at -15 dB",
                   start=seen)

    assert len([line for line in notes(watcher, seen) if "master-off-unity" in line]) == 1
    assert watcher.stop() == 0


def test_only_checks_are_told_that_explain_knows(desk):
    """Every id in a line of the watch can be asked about."""
    watcher, seen = begin_watch(desk, *QUIET)
    desk.move(DRUM_FILL, "f", fader_wire(-9))
    desk.move("/in/19/hp/on", "i", 0)
    desk.move("/in/11/to/2/level", "f", fader_wire(-14))

    def ids():
        return set(re.findall(r"\[([a-z-]+)\]", " ".join(notes(watcher, seen))))

    until(lambda: {"master-off-unity", "high-pass-missing", "own-send-off-unity"} <= ids())
    for one in ids():
        assert run("explain", one).out.startswith(one + "\n")
    assert watcher.stop() == 0
