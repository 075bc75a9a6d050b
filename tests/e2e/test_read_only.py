"""The promise that gainwarden only reads, kept on the wire: every datagram that a desk ever gets
from it is one of the questions and renewals of the profile, byte for byte.

What those are is worked out from the profile alone, by the tests' own encoder.
"""
import time

import osc
from harness import (PROFILE, QUESTIONS, SHOW, MockDesk, OwnDesk, audit, begin_watch, demo_profile,
                     fader_wire, questions, read_json, renewals, run, until, watch, write_json)
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
    _, _, lost = watcher.expect(r"lost the desk: nothing heard for 5 s \((.*?)\)", 9, seen)
    assert lost.group(1) == "connection refused"
    again = MockDesk(log=tmp_path / "second", port=port)
    watcher.expect("now: ", 6, seen)
    again.move("/mix/1/fader", "f", fader_wire(-20))
    watcher.expect(r"(raised|worse) fix \[master-off-unity\] mix 1 ", start=seen)
    assert watcher.stop() == 0
    after = [data for _, _, data in again.heard()]

    assert before and only_reads(before, profile) == allowed(profile)[0]
    assert only_reads(after, profile) == allowed(profile)[0]  # all of it was read again


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
