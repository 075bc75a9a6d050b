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
from harness import (BUILD, PROFILE, SHOW, MockDesk, Process, begin_watch, below_heading, demo_audit, demo_profile,
                     demo_show, fader_wire, findings, flat, goal, head_wire, notes, read_json, run, show_at_once,
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


PLAN_CHECKS = ("loop-margin", "microphone-aim")  # an audit's: they would never change in a watch


def watched_counts():
    """(stop, fix, note): what a watch finds on the demo's desk."""
    weights = [weight for check, weight, _ in findings(demo_audit()[0]) if check not in PLAN_CHECKS]
    return tuple(map(weights.count, ("stop", "fix", "note")))


# ---- the first page ----

def test_begins_with_the_page_of_the_audit(desk, tmp_path):
    watcher, _ = begin_watch(desk, *QUIET)
    planless = {key: value for key, value in read_json(SHOW)["desk"].items() if key != "stage"}
    page = run("audit", demo_show(tmp_path, desk=planless | {"profile": str(PROFILE)}), "--desk", desk.at).out
    lines = watcher.out.texts()

    # the heading tells time and duration; checks that rest on one look at a meter are the audit's
    words = below_heading(page)
    words, left_out = re.subn(r", input-hot \d+, input-faint \d+", "", words)
    assert left_out == 1
    assert words in re.sub(r", moved-from-approved \d+", "", flat(" ".join(lines)))
    assert notes(watcher) == ["watching: {} stop, {} fix, {} note, 0 not known".format(*watched_counts())]
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


def recalled(watcher, seen):
    """What was told of a recall at once, and when it had settled; and how long the first took."""
    begun = time.monotonic()
    _, told_at, _ = watcher.expect("a recall changed", start=seen)
    watcher.expect("the recall has settled", start=seen)
    time.sleep(0.5)
    lines = notes(watcher, seen)
    settled = [line.startswith("the recall has settled") for line in lines].index(True)
    return lines[:settled], lines[settled:], told_at - begun


RECALL = r"a recall changed \d+ values of 24 inputs and 8 mixes so far: 2\d protection, \d+ level$"
LOST = (r"protection lost: fix \[protection-lost\] input 1 Kick In, the high-pass was switched off; (?:input .*, "
        r"the high-pass was switched off; ){3}and \d+ more; do: if a hand slipped, put back: high-pass off -> on$")
SETTLED = r"the recall has settled; it opened \d+ fix, \d+ note; \d+ over$"


@pytest.mark.parametrize("bundle", [500, 0])
def test_a_scene_recall(tmp_path, bundle):
    """In one bundle; or as most desks tell it: sixty datagrams, one after the other, the first of which say nothing
    of the others yet."""
    desk = MockDesk(bundle=bundle) if bundle else MockDesk()
    show = show_at_once(tmp_path, checks={"protection-lost": {}}, watch={"raise_after_s": 1, "clear_after_s": 1})
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    desk.send(osc.bundle(*scene()))
    first, after, took = recalled(watcher, seen)

    goal(took, 1.5)
    assert len(first) == 2 and len(after) <= 5
    assert re.match(RECALL, first[0]) and re.match(LOST, first[1]), first
    assert re.match(SETTLED, after[0]), after
    # one input's findings are one line, and the worst lead
    assert all(re.match(r"(raised|worse) fix \[", line) for line in after[1:])
    objects = [re.search(r"\] (input|mix) \d+", line)[0] for line in after[1:]]
    assert len(set(objects)) == len(objects)
    assert watcher.stop() == 0


def up(db, *addresses):
    return [osc.message(address, "f", fader_wire(db)) for address in addresses]


LEAPING = [f"/in/{number}/to/{mix}/level" for number in range(1, 25) for mix in (1, 7)]


def test_leaps_of_a_recall_are_three_lines(tmp_path):
    """The largest first, with their figures, and the others counted; what it brought was meant, and is no slip."""
    desk = MockDesk()
    show = show_at_once(tmp_path, checks={"protection-lost": {}, "value-jumped": {}})
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    desk.send(osc.bundle(*up(5, *LEAPING), osc.message("/mix/7/limit/on", "i", 0), *up(9, "/in/4/to/7/level")))
    watcher.expect("the recall has settled", start=seen)
    first = notes(watcher, seen)[:5]

    assert re.match(r"a recall changed 49 values of 24 inputs and 1 mix so far: 1 protection, 48 level; \d\d leaps "
                    r"upwards, \d\d of them stop$", first[0])
    assert first[1] == ("protection lost: stop [ears-unprotected] mix 7 Bass IEM, an in-ear mix without a limiter; "
                        "do: turn the packs down first")
    assert first[2] == "up 69 dB, stop [value-jumped] input 4 Snare Bot, mix 7 Bass IEM: send off -> 9 dB"
    assert all(re.match(r"up 65 dB, (stop|fix) \[value-jumped\] input .*: send off -> 5 dB$", line)
               for line in first[3:]), first
    time.sleep(1)
    assert not any("value-jumped" in line for line in notes(watcher, seen)[5:])
    assert watcher.stop() == 0


def test_protection_lost_later_in_a_recall(tmp_path):
    """Behind its message, or in the next without a pause: a line of its own, at once."""
    desk = MockDesk()
    watcher, seen = begin_watch(desk, *QUIET, show=show_at_once(tmp_path, checks={"protection-lost": {}}))
    desk.send(osc.bundle(*scene()))
    watcher.expect("a recall changed", start=seen)
    for turn in range(4):
        time.sleep(1)
        desk.send(osc.bundle(*up(-20 - turn, *LEAPING)))
        if turn == 2:
            desk.move("/mix/7/limit/on", "i", 0)
            begun = time.monotonic()
    _, told_at, _ = watcher.expect(r"raised stop \[ears-unprotected\] mix 7 Bass IEM", start=seen)
    goal(told_at - begun, 1.5)
    watcher.expect("the recall has settled", start=seen)

    assert len([line for line in notes(watcher, seen) if "a recall changed" in line]) == 1
    assert watcher.stop() == 0


def test_a_recall_that_undid_itself(tmp_path):
    desk = MockDesk()
    show = show_at_once(tmp_path, watch={"raise_after_s": 1, "clear_after_s": 10})
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    was = [desk.ask(address)[0] for address in LEAPING]
    desk.send(osc.bundle(*up(-25, *LEAPING), osc.message("/mix/7/limit/on", "i", 0)))
    watcher.expect("a recall changed", start=seen)
    desk.send(osc.bundle(*[osc.message(address, "f", wire) for address, wire in zip(LEAPING, was)],
                         osc.message("/mix/7/limit/on", "i", 1)))
    watcher.expect("the recall undid itself: every value is back where it was$", start=seen)
    time.sleep(0.5)

    assert notes(watcher, seen)[2:-1] == ["protection is back: [ears-unprotected] mix 7 Bass IEM"]
    assert watcher.stop() == 0


@pytest.mark.limit(40)
def test_a_recall_behind_a_reload_counts_what_it_changed(tmp_path):
    """And one that a reload comes into goes on."""
    show = show_at_once(tmp_path, watch={"raise_after_s": 1, "clear_after_s": 1})
    desk = MockDesk(bundle=500)
    keep = ("--keep", tmp_path / "keep")
    watcher, seen = begin_watch(desk, *QUIET, *keep, show=show)
    assert run("reload", show, *keep).status == 0
    watcher.expect("reloaded: ", start=seen)
    time.sleep(1)
    desk.send(osc.bundle(*up(-25, *LEAPING)))
    watcher.expect("a recall changed 48 values of 24 inputs so far: 48 level$", start=seen)
    assert run("reload", show, *keep).status == 0
    watcher.expect("the recall has settled; it opened", start=seen)
    time.sleep(1)

    assert len([line for line in notes(watcher, seen) if "a recall" in line]) == 1
    assert len(notes(watcher, seen)) <= 8
    assert watcher.stop() == 0


def test_a_slip_put_back_is_one_short_line(tmp_path):
    show = show_at_once(tmp_path, checks={"value-jumped": {}}, watch={"raise_after_s": 3, "clear_after_s": 10})
    desk = MockDesk()
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    (was,) = desk.ask("/in/18/to/1/level")
    desk.move("/in/18/to/1/level", "f", fader_wire(8))
    at, _, _ = watcher.expect(r"raised fix \[value-jumped\] input 18 ", start=seen)
    time.sleep(1)
    seen = watcher.out.count()
    desk.move("/in/18/to/1/level", "f", was)
    watcher.expect(r"put back after [1-4]\.\d s, \[value-jumped\] is over: input 18 Ld Vox, mix 1 Ld Vox wedge: send "
                   r"8 dB -> -14 dB$", start=seen)
    time.sleep(12)  # longer than every hold

    assert len(notes(watcher, seen)) == 1
    assert watcher.stop() == 0


def test_a_check_that_was_switched_off_says_so(tmp_path):
    show = show_at_once(tmp_path)
    desk = MockDesk()
    keep = ("--keep", tmp_path / "keep")
    watcher, seen = begin_watch(desk, *QUIET, *keep, show=show)
    desk.move(DRUM_FILL, "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 6", start=seen)
    show_at_once(tmp_path, checks={"master-off-unity": "off"})
    assert run("reload", show, *keep).status == 0
    watcher.expect(r"\[master-off-unity\] mix 6 Drum-fill is no longer checked: the show file switched it off$",
                   start=seen)

    assert not any(line.startswith("cleared") for line in notes(watcher, seen))
    assert watcher.stop() == 0


def traffic(desk, per_second, until_done):
    """Harmless moves of many things, one after the other, until the function says that it is enough. What a machine
    that takes its time left out is not made up for: that would be a burst."""
    due = time.monotonic()
    while not until_done():
        desk.turns += 1
        turn = desk.turns
        desk.move(f"/in/{turn % 24 + 1}/{('gate', 'comp')[turn // 24 % 2]}/threshold", "f", -30 - turn % 7)
        due = max(due + 1 / per_second, time.monotonic() - 0.05)
        time.sleep(max(0, due - time.monotonic()))


@pytest.mark.parametrize("per_second", [25, 200])
def test_a_stop_is_told_at_any_traffic(tmp_path, per_second):
    show = show_at_once(tmp_path, checks={"value-jumped": {}}, watch={"raise_after_s": 3, "clear_after_s": 10})
    desk = MockDesk()
    desk.turns = 0
    watcher, seen = begin_watch(desk, *QUIET, show=show)
    for after_s, move, told in ((0.5, ("/mix/7/limit/on", "i", 0), r"raised stop \[ears-unprotected\] mix 7"),
                                (5, ("/in/18/to/7/level", "f", fader_wire(8)), r"raised stop \[value-jumped\] input 18")):
        begun = time.monotonic()
        traffic(desk, per_second, lambda: time.monotonic() > begun + after_s)
        moved = time.monotonic()
        desk.move(*move)
        traffic(desk, per_second, lambda: time.monotonic() > moved + 2)
        _, told_at, _ = watcher.expect(told, start=seen)
        goal(told_at - moved, 1.5)

    assert not any("recall" in line for line in notes(watcher, seen))
    assert watcher.stop() == 0


# ---- still watching ----

def test_still_watching(desk):
    watcher, seen = begin_watch(desk, "--still-every", "1")
    desk.move("/mix/3/fader", "f", fader_wire(0))  # one to fix less
    begun = watcher.expect(r"cleared", start=seen)[1]
    stop, fix, note = watched_counts()
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
        r"lost the desk: nothing heard for \d+ s \(no answer\)\. Every value is stale; nothing is raised "
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
