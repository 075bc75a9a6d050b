# SPDX-License-Identifier: MIT
"""The promise that gainwarden only reads, kept on the wire: every datagram that a desk ever gets
from it is one of the questions and renewals of the profile, byte for byte.

What those are is worked out from the profile alone, by the tests' own encoder.
"""
import signal
import socket
import time

import pytest

import osc
from boards import Board, Events
from harness import (BUILD, PROFILE, QUESTIONS, SHOW, MockDesk, OwnDesk, Process, audit, begin_watch, demo_profile,
                     demo_show, fader_wire, goal, questions, read_json, renewals, run, until, watch, write_json)
from test_dialects import DIALECTS


def allowed(path=PROFILE):
    profile = read_json(path)
    return set(questions(profile)), set(renewals(profile))


def only_reads(datagrams, path=PROFILE):
    """Which questions were sent; anything else fails."""
    asks, stays = allowed(path)
    others = [data.hex() for data in datagrams if data not in asks | stays]
    assert others == []
    return set(datagrams) & asks


def test_the_expectation_itself():
    """The set that the tests below compare with, looked at from outside: by the mock's documents."""
    asks, stays = allowed()

    assert stays == {osc.message("/stay")}
    assert len(asks) == QUESTIONS
    for datagram in (osc.message("/in/1/name"), osc.message("/in/24/to/8/tap"),
                     osc.message("/mix/8/graphic"), osc.message("/desk/scene"),
                     osc.message("/get/eq", "ii", 24, 4), osc.message("/get/mix-eq", "ii", 1, 1)):
        assert datagram in asks
    for datagram in (osc.message("/in/01/name"), osc.message("/in/25/name"), osc.message("/mix/0/fader"),
                     osc.message("/mix/1/fader", "f", 0.5), osc.message("/get/eq", "ii", 24, 5)):
        assert datagram not in asks


def test_an_audit_sends_its_questions_and_nothing_else(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    report, _ = audit(desk)
    datagrams = [data for _, _, data in desk.heard()]
    asks, stays = allowed()

    assert only_reads(datagrams) == asks  # and all of them
    assert sum(data in asks for data in datagrams) == sum(
        report["link"][word] for word in ("asked", "asked_again", "asked_beside"))
    assert datagrams.count(osc.message("/stay")) == 1
    assert len({source for _, source, _ in desk.heard()}) == 1


def test_an_audit_of_a_bad_desk(tmp_path):
    """Losses, doubles, rubbish and lateness lead to the same questions again, to nothing new."""
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 80, "tries": 4})
    desk = MockDesk(log=tmp_path / "log", drop=0.3, duplicate=0.2, reorder=0.2, garbage=0.5)
    report, _ = audit(desk, "--profile", profile)

    assert report["link"]["asked_again"] > 100
    assert only_reads([data for _, _, data in desk.heard()], profile) == allowed(profile)[0]


def test_a_watch_through_pushes_losses_silence_and_a_restart(tmp_path):
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 80, "tries": 4, "reread_every_s": 3,
                                           "stale_after_s": 9},
                           renew=[{"send": ["/stay"], "every_s": 0.5}])
    desk = MockDesk(log=tmp_path / "first", drop=0.2)
    watcher, seen = begin_watch(desk, "--profile", profile, "--still-every", "0")
    for number in range(1, 9):
        desk.move(f"/mix/{number}/fader", "f", fader_wire(-number))
        desk.move(f"/in/{number}/hp/on", "i", number % 2)
    watcher.expect(r"raised fix \[master-off-unity\] mix 7 ", start=seen)
    port, before = desk.port, [data for _, _, data in desk.heard()]
    assert desk.stop() == 0

    # the port is closed for a while: what is sent meets an error, and is not sent elsewhere
    _, _, lost = watcher.expect(r"lost the desk: nothing heard for \d+ s \((.*?)\)", 9, seen)
    assert lost.group(1) == "connection refused"
    again = MockDesk(log=tmp_path / "second", port=port)
    watcher.expect("now: ", 6, seen)
    again.move("/mix/1/fader", "f", fader_wire(-20))
    watcher.expect(r"(raised|worse) fix \[master-off-unity\] mix 1 ", start=seen)
    assert watcher.stop() == 0
    after = [data for _, _, data in again.heard()]

    assert before and only_reads(before, profile) == allowed(profile)[0]
    assert only_reads(after, profile) == allowed(profile)[0]  # all of it was read again


def test_a_board_sends_the_desk_nothing(tmp_path):
    """Whoever looks at it, opens mixes and presses its buttons, or tries to: the desk hears the same questions, from the
    one place they come from without."""
    desk = MockDesk(log=tmp_path / "log")
    board = Board(tmp_path, desk=desk)
    look, operate = board.enter("look"), board.enter("operate")
    streams = [Events(board, look), Events(board, operate)]
    for number in range(1, 9):
        board.move(-number)
        facts = streams[0].event("facts")["data"]
        board.get(f"/mix?desk=0&mix={number}", cookie=look)
        for one in facts["desks"][0]["now"]:
            for button in ("/seen", "/meant"):
                board.post(button, {"desk": 0, "finding": one["id"], "who": "Mo", "again": True}, cookie=operate)
        board.post("/enter", {"token": "x"})
        board.get("/health")
    streams[1].event("beat")
    assert board.watch.stop() == 0

    assert only_reads([data for _, _, data in desk.heard()]) == allowed()[0]
    assert len({source for _, source, _ in desk.heard()}) == 1


def test_a_watch_that_finds_nobody(tmp_path):
    """Looking for a desk is asking, too."""
    desk = MockDesk(log=tmp_path / "log", silent=1)
    watcher = watch(desk)
    watcher.expect("does not answer", 8)
    time.sleep(1.5)
    assert watcher.stop() == 0

    assert only_reads([data for _, _, data in desk.heard()])


def test_a_desk_that_is_never_asked(tmp_path):
    """It only pushes: long after a reading would have begun, the watch hears it, renews and ends."""
    profile = read_json(DIALECTS / "pushes.json")
    profile["pace"].update(reread_every_s=1, stale_after_s=60)
    profile["renew"][0]["every_s"] = 0.5
    path = write_json(tmp_path / "profile.json", profile)
    desk = MockDesk(log=tmp_path / "log", speak="pushes")
    watcher, seen = begin_watch(desk, "--profile", path, "--still-every", "0")
    time.sleep(2)
    before = len(desk.heard())
    desk.move("/mix/6/fader", "f", fader_wire(-7))
    watcher.expect(r"raised fix \[master-off-unity\] mix 6 ", 5, seen)
    until(lambda: len(desk.heard()) > before, what="another renewal")
    assert watcher.stop() == 0

    assert {data for _, _, data in desk.heard()} == {osc.message("/stay")}


def test_other_commands_send_nothing():
    with OwnDesk(lambda desk, heard: None) as desk:
        for words in (("check", PROFILE, SHOW), ("explain",), ("audit", "--help"),
                      ("audit", SHOW, "--desk", desk.at, "--no-such-option")):
            run(*words)
        time.sleep(0.1)

    assert desk.heard == []


def test_indexes_and_literals_travel_as_the_profile_says(tmp_path):
    """The encoder against the profile's forms: text, whole and broken numbers, true and false."""
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "Odd desk", "link": {"transport": "udp", "port": 9100},
        "pace": {"answer_within_ms": 50, "tries": 1},
        "counts": {"input": 2, "mix": 3}, "first": {"mix": 0},
        "renew": [{"send": ["/keep", "me", 2, 0.25, True, False], "every_s": 60, "this_only_asks": True}],
        "values": [
            {"ask": ["/ask", "fader", "{mix}", -1, 1.5, True], "this_only_asks": True,
             "answer": ["/a/{mix}", {"is": "mix.fader"}]},
            {"ask": ["/in/*/gain", False], "this_only_asks": True, "answer": ["/b/{input}", {"is": "input.preamp_gain"}]},
            {"at": "/c/{input:3}/{mix}", "is": "send.level"},
        ]})
    with OwnDesk(lambda desk, heard: None) as desk:
        run("audit", "--profile", path, "--desk", desk.at)
        until(lambda: len(desk.heard) >= 11)
    sent = [heard.data for heard in desk.heard]

    asked = [osc.message("/ask", "siifT", "fader", mix, -1, 1.5) for mix in range(3)]
    asked += [osc.message("/in/*/gain", "F")]
    asked += [osc.message(f"/c/00{number}/{mix}") for number in (1, 2) for mix in range(3)]
    assert set(sent) == {osc.message("/keep", "sifTF", "me", 2, 0.25), *asked}
    assert allowed(path) == (set(asked), {sent[0]})  # the tests' two encodings of it agree


# ---- every command, reload, fault, several desks and cues ----

def says_nothing(desk, heard):
    pass


def bounded(desk, per_second):
    """No second saw more than that, by the kernel's clock."""
    times = [heard.at for heard in desk.heard]
    for first, begun in enumerate(times):
        within = [at for at in times[first:] if at < begun + 1]
        assert len(within) <= per_second, within


@pytest.mark.parametrize("command", ["retrim", "approve", "compare", "listen", "listen --ask"])
def test_the_other_commands_that_speak_to_a_desk(tmp_path, command):
    """Each question and renewal, byte for byte; a listener that does not ask only renews."""
    desk = MockDesk(log=tmp_path / "log")
    words = ["--desk", desk.at]
    if command in ("approve", "compare"):
        words += ["--approved", tmp_path / "approved.json"]
    if command == "compare":
        assert run("approve", SHOW, *words).status == 0
    before = len(desk.heard())
    if command.startswith("listen"):
        words += ["--for", "2"]
    name, *more = command.split()
    assert run(name, SHOW, *words, *more).status in (0, 1)
    sent = [data for _, _, data in desk.heard()[before:]]

    asked = only_reads(sent)
    assert asked == (set() if command == "listen" else allowed()[0])
    assert osc.message("/stay") in sent


def test_commands_that_speak_to_nobody(tmp_path):
    """A saved desk, a recording, a review, a check, a test of the hook: no link, no packet, no agreement."""
    desk = MockDesk(log=tmp_path / "log")
    own = demo_profile(tmp_path, renew=[{"send": ["/another"], "every_s": 8}])
    saved, recording = tmp_path / "saved.json", tmp_path / "recording"
    run("audit", SHOW, "--desk", desk.at, "--save", saved)
    watcher, _ = begin_watch(desk, "--record", recording)
    assert watcher.stop() == 0
    count = len(desk.heard())
    for words in (("audit", SHOW, "--profile", own, "--saved", saved, "--desk", desk.at),
                  ("retrim", SHOW, "--profile", own, "--saved", saved, "--desk", desk.at),
                  ("compare", SHOW, "--profile", own, "--saved", saved, "--reference", saved, "--desk", desk.at),
                  ("replay", recording), ("review", saved), ("check", own, SHOW), ("explain", "sending")):
        assert run(*words, agree=False).status in (0, 1, 3), words
    time.sleep(0.2)

    assert len(desk.heard()) == count


def test_a_watch_of_several_desks_with_reloads_and_cues(tmp_path):
    """Two desks in one process, both reloaded and moved, one with a cue whose name leads to the other: each hears
    its own profile's messages alone."""
    desks = [MockDesk(log=tmp_path / f"log{number}", drop=0.1) for number in range(2)]
    profiles, shows = [], []
    for number, desk in enumerate(desks):
        folder = tmp_path / str(number)
        folder.mkdir()
        profiles.append(demo_profile(folder, renew=[{"send": [f"/stay/{number}"], "every_s": 0.5}],
                                     pace={"answer_within_ms": 80}))
        shows.append(demo_show(folder, desk={"profile": str(profiles[-1]), "host": "127.0.0.1", "port": desk.port},
                               tell={"osc": {"host": socket.gethostname(), "port": desks[1 - number].port,
                                             "from_weight": "note"}}))
    watcher = Process(BUILD / "gainwarden", "watch", "--still-every", "0", *shows)
    until(lambda: watcher.text().count("watching: ") == 2, 15)
    for desk in desks:
        desk.move("/mix/6/fader", "f", fader_wire(-9))
    until(lambda: watcher.text().count("master-off-unity] mix 6") >= 2)
    watcher.popen.send_signal(signal.SIGHUP)
    until(lambda: watcher.text().count("reloaded: ") == 2)
    for desk in desks:
        desk.move("/mix/6/fader", "f", fader_wire(0))
    until(lambda: watcher.text().count("cleared") >= 2, 15)
    assert watcher.stop() == 0

    assert watcher.text().count("is where a desk is read, or many hear; nothing is sent there") >= 2
    for desk, profile in zip(desks, profiles):
        assert only_reads([data for _, _, data in desk.heard()], profile) == allowed(profile)[0]


@pytest.mark.parametrize("per_second", [3, 20])
def test_everything_that_leaves_keeps_to_the_pace(tmp_path, per_second):
    """Renewals, questions and looks at a silent desk together: no second sees more than per_second of them."""
    renew = [{"send": [f"/stay/{number}"], "every_s": 0.5} for number in range(30)]
    profile = demo_profile(tmp_path, renew=renew, pace={"per_second": per_second})
    with OwnDesk(says_nothing) as desk:
        watcher = watch(desk, "--profile", profile)
        watcher.expect("does not answer")
        before = len(desk.heard)
        until(lambda: len(desk.heard) >= before + 3 * per_second)  # and it goes on
        assert watcher.stop() == 0

    assert only_reads([heard.data for heard in desk.heard], profile) is not None
    bounded(desk, per_second)


@pytest.mark.parametrize("per_second", [1, 100])
def test_questions_and_renewals_take_turns(tmp_path, per_second):
    """However few may leave in a second, a desk that was silent is asked whether it is back, and renewed."""
    profile = demo_profile(tmp_path, pace={"per_second": per_second, "in_flight": 4})
    stay = osc.message("/stay")
    with OwnDesk(says_nothing) as desk:
        def late():
            return [heard.data for heard in desk.heard if heard.at > desk.heard[0].at + 6.5]  # lost meanwhile

        watcher = watch(desk, "--profile", profile)
        until(lambda: late().count(stay) >= 2 and sum(data != stay for data in late()) >= 2, what="both")
        assert watcher.stop() == 0

    assert len(only_reads(late(), profile)) >= 1
    goal(desk.heard[-1].at - desk.heard[0].at, 12)
    bounded(desk, per_second)


def test_a_listener_keeps_to_the_pace(tmp_path):
    renew = [{"send": [f"/stay/{number}"], "every_s": 0.5} for number in range(10)]
    profile = demo_profile(tmp_path, renew=renew, pace={"per_second": 4})
    with OwnDesk(says_nothing) as desk:
        run("listen", "--profile", profile, "--desk", desk.at, "--for", "3")

    assert len(desk.heard) >= 8
    bounded(desk, 4)


def test_numbers_travel_as_they_are_listed(tmp_path):
    """To the ends of the 32 bits that an argument has (OSC 1.0); beyond them there is nothing to send."""
    numbers = {"2147483647": 2147483647, "-2147483647": -2147483647, "2.14748365e+09": 2147483648.0, "-0.5": -0.5}
    profile = demo_profile(tmp_path, renew=[{"send": ["/x", number], "every_s": 60, "this_only_asks": True}
                                            for number in numbers.values()])
    with OwnDesk(lambda desk, heard: None) as desk:
        told = run("listen", "--profile", profile, "--desk", desk.at, "--for", "0.5").err
        until(lambda: len(desk.heard) >= len(numbers))
    assert all(f" /x {text}, every 60 s" in told for text in numbers), told
    assert {heard.values[0] for heard in desk.heard} == set(numbers.values())

    for number in (1e300, -1e39, 1e-300, 2.0**128):
        profile = demo_profile(tmp_path, renew=[{"send": ["/x", number], "every_s": 60, "this_only_asks": True}])
        assert run("check", profile).err == (f"gainwarden: {profile}: renew[0].send[1]: {number:g} is no number of 32 "
                                             "bits, as messages carry them\n")


def test_a_profile_that_takes_long_to_judge(tmp_path):
    """A watch that reads its profile anew is away from its desk meanwhile."""
    profile = demo_profile(tmp_path, renew=[{"send": ["/*" * 90 + f"/x{number}"], "every_s": 8} for number in range(300)],
                           values=[{"at": "/" + "a/b" * 60 + f"/{{input}}/{number}", "is": "input.trim"}
                                   for number in range(3000)])
    result = run("check", profile, timeout=60)  # a sanitizer's time

    assert (result.status, result.out) == (2, "")
    assert result.err == (f"gainwarden: {profile}: has too many addresses to tell those that are sent from those that "
                          "answer; an {index} stands for many\n")
