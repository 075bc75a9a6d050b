# SPDX-License-Identifier: MIT
"""What a running watch is asked and told over its control socket, and what SIGHUP does: the room,
quieting with a preview, status, and other files all or nothing.
"""
import json
import re
import signal
import socket
import stat
import time

import pytest

from harness import (MockDesk, begin_watch, demo_profile, fader_wire, flat, notes, read_json, run,
                     show_at_once, unix_connection, unix_listener, until, write_json)

MASTER = "/mix/6/fader"


class Controlled:
    def __init__(self, folder, *words, desk=None, **changes):
        self.desk = desk or MockDesk()
        self.keep = folder / "keep"
        self.show = show_at_once(folder, **changes)
        self.watch, self.seen = begin_watch(self.desk, "--still-every", "0", "--keep", self.keep, *words,
                                            show=self.show)

    def ask(self, command, *words):
        return run(command, self.show, *words, "--keep", self.keep)

    def move(self, db, address=MASTER):
        self.desk.move(address, "f", fader_wire(db))

    def told(self):
        return notes(self.watch, self.seen)

    def socket(self):
        (path,) = self.keep.glob("*.socket")
        return path


# ---- the room ----

def test_the_room_holds_back_and_lets_go(tmp_path):
    watched = Controlled(tmp_path)
    assert watched.ask("room").out == "room doors: everything is told\n"
    assert watched.ask("room", "show").out == "room show: notes are held back\n"
    watched.move(-1.5)  # a note
    time.sleep(0.5)
    assert [line for line in watched.told() if "raised" in line] == []
    assert re.search(r"note \[master-off-unity\] mix 6 Drum-fill \(held back by room show\)",
                     watched.ask("status").out)
    watched.ask("room", "doors")
    at, _, _ = watched.watch.expect("held back during show$", start=watched.seen)
    watched.watch.expect(r"raised note \[master-off-unity\] mix 6", start=at)
    assert watched.watch.stop() == 0


def test_changeover_ends_by_itself(tmp_path):
    watched = Controlled(tmp_path)
    watched.ask("room", "show")
    answer = watched.ask("room", "changeover", "--for", "8s")
    assert re.fullmatch(r"room changeover: like line-check; it ends by itself; ends in \d\.\d s\n",
                        answer.out)
    watched.watch.expect(r"room changeover -> show \(its time is over\)", 10, watched.seen)
    assert watched.watch.stop() == 0


def test_no_such_room(tmp_path):
    watched = Controlled(tmp_path)
    answer = watched.ask("room", "lunch")
    assert answer.status == 2
    assert answer.err == ("gainwarden: no such word for the room; there are line-check, doors, show and "
                          "changeover\n")
    assert watched.watch.stop() == 0


def test_the_desk_can_name_the_room(tmp_path):
    """Here a switch of the desk stands for it."""
    profile = demo_profile(tmp_path)
    changed = read_json(profile)
    changed["laws"]["room"] = {"words": [[0, "doors"], [1, "show"]]}
    changed["values"] = [entry for entry in changed["values"] if entry.get("at") != "/desk/oscillator"]
    changed["values"].append({"answer": ["/desk/oscillator", {"is": "desk.room", "law": "room"}]})
    write_json(profile, changed)
    watched = Controlled(tmp_path, "--profile", profile)
    watched.desk.move("/desk/oscillator", "i", 1)
    watched.watch.expect(r"room doors -> show \(the desk says so\)", start=watched.seen)
    assert watched.watch.stop() == 0


# ---- quieting ----

def test_quieting_previews_first(tmp_path):
    watched = Controlled(tmp_path)
    preview = watched.ask("quiet", "--check", "master-off-unity", "--for", "10m", "--why", "moving house")
    lines = preview.out.splitlines()

    assert lines[0].startswith("  fix [master-off-unity] mix 3 Keys wedge: ")
    assert lines[-1] == ("it would match 1 finding that stands now, and what comes within 10 min 00 s; "
                         "findings of weight stop are spared; add --now to do it")
    assert watched.ask("quiet", "--list").out == "nothing is quieted, and nothing was\n"
    assert watched.watch.stop() == 0


def test_quieting_spares_stop_without_the_extra_word(tmp_path):
    watched = Controlled(tmp_path)
    words = ("quiet", "--player", "drums", "--for", "10m", "--why", "packs are off")
    assert "0 findings" not in watched.ask(*words, "--stop-too").out
    assert "ears-unprotected" in watched.ask(*words, "--stop-too").out
    assert "ears-unprotected" not in watched.ask(*words).out
    assert watched.watch.stop() == 0


def test_quieted_findings_are_told_at_the_end_of_it(tmp_path):
    watched = Controlled(tmp_path)
    done = watched.ask("quiet", "--mix", 6, "--for", "8s", "--why", "a cable", "--by", "Ana", "--now")
    assert done.out == "quieting 1 for 8.0 s: a cable\n"
    watched.move(-9)
    at, _, _ = watched.watch.expect(r"quieted until now \(1: a cable, by Ana\)", 10, watched.seen)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", start=at)
    assert re.match(r"quieting 1, mix 6: ended .* ago, held back 1 \(a cable, by Ana\)",
                    watched.ask("quiet", "--list").out)
    assert watched.watch.stop() == 0


@pytest.mark.parametrize("words, error", [
    (("--mix", 6, "--for", "1h"), "quieting needs an end and a reason"),
    (("--mix", 6, "--why", "x"), "quieting needs an end and a reason"),
    (("--for", "1h", "--why", "x"), "quieting everything is not done"),
    (("--mix", 99, "--for", "1h", "--why", "x"), "the desk has no such mix"),
    (("--check", "no-such", "--for", "1h", "--why", "x"), "no such check"),
    (("--mix", 6, "--for", "2x", "--why", "x"), "--for=2x: must be a time"),
])
def test_what_cannot_be_quieted(tmp_path, words, error):
    watched = Controlled(tmp_path)
    answer = watched.ask("quiet", *words, "--now")
    assert answer.status == 2 and error in answer.err
    assert watched.watch.stop() == 0


# ---- the socket ----

def test_the_socket_is_its_owners_alone_and_goes_with_the_watch(tmp_path):
    watched = Controlled(tmp_path)
    path = watched.socket()
    mode = path.stat().st_mode

    assert stat.S_ISSOCK(mode) and stat.S_IMODE(mode) == 0o600
    assert stat.S_IMODE(watched.keep.stat().st_mode) == 0o700
    assert watched.watch.stop() == 0
    assert not path.exists()


def test_nobody_there(tmp_path):
    show = show_at_once(tmp_path)
    answer = run("status", show, "--keep", tmp_path / "keep")
    assert answer.status == 2
    assert "no watch of this show is running" in answer.err


def test_a_socket_left_by_a_crash_is_taken_over(tmp_path):
    watched = Controlled(tmp_path)
    path = watched.socket()
    assert watched.watch.stop() == 0
    unix_listener(path).close()
    watch, _ = begin_watch(watched.desk, "--still-every", "0", "--keep", watched.keep, show=watched.show)
    assert watched.ask("room").status == 0
    assert watch.stop() == 0


@pytest.mark.parametrize("line", [b"", b"nonsense\n", b"[1]\n", b'{"do":"no-such"}\n', b'{"do":17}\n',
                                  b'{"do":"quiet","for_s":1e300,"mix":-4,"why":3}\n',
                                  b'{"do":"room","to":"show","for_s":-1}\n', b"\xff\xfe\n", b"x" * 70000,
                                  b'{"do":"quiet-end","number":1e99}\n'])
def test_nonsense_does_no_harm(tmp_path, line):
    watched = Controlled(tmp_path)
    with unix_connection(watched.socket()) as peer:
        peer.settimeout(30)
        peer.sendall(line)
        if not line.endswith(b"\n") and len(line) < 65536:
            peer.shutdown(socket.SHUT_WR)
        answer = b""
        try:
            while part := peer.recv(65536):
                answer += part
        except ConnectionResetError:
            pass
    if answer:
        assert isinstance(json.loads(answer)["ok"], bool)
    assert watched.ask("room").status == 0
    assert watched.watch.stop() == 0


def test_many_who_say_nothing_shut_nobody_out_for_long(tmp_path):
    watched = Controlled(tmp_path)
    idle = [unix_connection(watched.socket()) for _ in range(20)]
    until(lambda: watched.ask("room").status == 0, 12, "an answer once the idle ones are sent away")
    for peer in idle:
        peer.close()
    assert watched.watch.stop() == 0


# ---- other files ----

@pytest.mark.parametrize("by", ["command", "signal"])
def test_reload_says_what_changed_and_keeps_what_is_known(tmp_path, by):
    watched = Controlled(tmp_path)
    watched.move(-9)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", start=watched.seen)
    show = read_json(watched.show)
    show["checks"]["master-off-unity"] = {"note_db": 30, "fix_db": 40}
    write_json(watched.show, show)
    if by == "command":
        assert watched.ask("reload").status == 0
    else:
        watched.watch.popen.send_signal(signal.SIGHUP)
    at, _, _ = watched.watch.expect(r"reloaded: profile unchanged, show file changed in checks; configuration "
                                    r"[0-9a-f]{8} is running", start=watched.seen)
    watched.watch.expect(r"cleared \[master-off-unity\] mix 6", start=at)
    watched.move(-20)
    time.sleep(1)
    assert [line for line in watched.told() if "raised" in line and "mix 6" in line][1:] == []
    assert watched.watch.stop() == 0


def test_a_file_with_a_mistake_changes_nothing(tmp_path):
    watched = Controlled(tmp_path)
    show = read_json(watched.show)
    show["checks"]["no-such-check"] = "off"
    show["desk"]["role"] = "lighting"
    write_json(watched.show, show)
    answer = watched.ask("reload")

    assert answer.status == 2
    assert "not reloaded: the watch goes on with what it has" in answer.err
    assert "checks.no-such-check: unknown check" in answer.out and "desk.role" in answer.out
    watched.move(-9)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", start=watched.seen)
    assert watched.watch.stop() == 0


@pytest.mark.limit(40)
def test_a_desk_lost_while_it_is_read_after_a_reload_is_told_when_it_is_back(tmp_path):
    watched = Controlled(tmp_path)
    port = watched.desk.port
    watched.desk.stop()
    assert watched.ask("reload").status == 0
    at, _, _ = watched.watch.expect(r"nothing heard|does not answer|is lost|not heard", 15, watched.seen)
    MockDesk(port=port)
    watched.watch.expect(r"the desk is back after .* and was read again", 15, at)
    watched.watch.expect(r"now: \d+ stop", 5, at)
    assert watched.watch.stop() == 0


def test_reload_again_and_again(tmp_path):
    watched = Controlled(tmp_path)
    for _ in range(6):
        answer = watched.ask("reload")
        assert answer.status == 0, answer.err
    watched.move(-9)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", 10, watched.seen)
    assert watched.watch.stop() == 0


def test_a_running_watch_takes_an_approval_over(tmp_path):
    """Drift from what was approved a moment ago is told, and what was lost before is the new ground."""
    watched = Controlled(tmp_path)
    approved = run("approve", watched.show, "--desk", watched.desk.at, "--keep", watched.keep, "--by", "Ana")
    assert approved.status == 0, approved.err
    assert approved.out.endswith("the running watch took it over\n")
    watched.watch.expect(r"reloaded: profile unchanged, show file unchanged, approved anew; ", start=watched.seen)
    assert "with an approved desk" in watched.ask("status").out
    watched.desk.move("/in/2/head/gain", "f", (42 + 4) / 60)
    watched.watch.expect(r"raised (fix|note) \[moved-from-approved\] input 2 .*preamp", start=watched.seen)
    assert watched.watch.stop() == 0


def test_status_says_how_a_finding_stands(tmp_path):
    watched = Controlled(tmp_path)
    watched.move(-9)
    watched.watch.expect(r"raised fix \[master-off-unity\] mix 6", start=watched.seen)
    answer = json.loads(watched.ask("status", "--format", "json").out)
    (one,) = [one for one in answer["findings"] if one["object"] == {"mix": 6}]

    assert answer["ok"] is True and answer["link"] == "steady" and answer["room"] == "doors"
    assert one["life"] == "raised" and one["because"] == "it held" and one["frozen"] is False
    assert 0 <= one["open_s"] < 200
    assert watched.watch.stop() == 0


def test_one_quieting_too_many_is_refused(tmp_path):
    """And not said to be done: people would rely on it."""
    watched = Controlled(tmp_path)
    words = ("quiet", "--mix", 6, "--for", "1h", "--why", "a cable", "--now")
    for number in range(1, 33):
        assert watched.ask(*words).out.startswith(f"quieting {number} for 1 h")
    refused = watched.ask(*words)
    assert (refused.status, refused.out) == (2, "")
    assert flat(refused.err) == "gainwarden: 32 quietings run already; `gainwarden quiet SHOW --end N` ends one"
    assert watched.ask("quiet", "--end", 1).status == 0
    assert watched.ask(*words).out.startswith("quieting 33 for 1 h")
    assert watched.watch.stop() == 0


def with_plan(watched, plan):
    """The show file names a plan, which is written too."""
    write_json(watched.show.parent / "plan.json", plan)
    show = read_json(watched.show)
    show["desk"]["stage"] = "plan.json"
    write_json(watched.show, show)


def test_a_stage_plan_is_reloaded_with_the_show(tmp_path):
    """All or nothing: a broken one is told, and the one before stays."""
    pair = {"input": 18, "mix": 1, "metres": 1.4, "microphone_sees_it_at": 150, "wedge_sees_it_at": 10}
    watched = Controlled(tmp_path)
    with_plan(watched, {"pairs": [pair]})
    assert "show file changed in desk, stage plan changed;" in watched.ask("reload").out
    assert "show file unchanged; configuration" in watched.ask("reload").out
    for wrong, line in (({**pair, "metres": 0}, "pairs[0].metres: must be a number from 0.05 to 1000"),
                        ({**pair, "mix": 9}, "pairs[0]: the desk has mixes 1 to 8, none 9")):
        with_plan(watched, {"pairs": [wrong]})
        answer = watched.ask("reload")
        assert answer.status == 2 and "not reloaded: the watch goes on with what it has" in answer.err
        assert f"plan.json: {line}" in answer.out
    with_plan(watched, {"pairs": [{**pair, "metres": 1.5}]})
    assert "show file unchanged, stage plan changed;" in watched.ask("reload").out
    assert watched.watch.stop() == 0
