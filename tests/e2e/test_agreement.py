# SPDX-License-Identifier: MIT
"""What a profile sends beyond questions without arguments at the address of their own answer leaves when
somebody agreed to it, and not before.
"""
import hashlib
import json
import os
import pty
import re
import select
import shutil
import stat
import subprocess
import time

import pytest

import osc
from harness import (BUILD, PROFILE, MockDesk, OwnDesk, Process, demo_profile, environment, flat, read_json,
                     run, until, write_json)
from test_dialects import DIALECTS

COMMANDS = ("audit", "watch", "retrim", "listen", "approve", "compare")
NOT_YET = "nobody has agreed yet to what it sends:"
NOTHING = "not agreed to, nothing was sent; let somebody who knows the desk read the list"


def other(folder, address="/stay/here", **changes):
    """A profile of our own: the demo's with another renewal."""
    return demo_profile(folder, renew=[{"send": [address], "every_s": 8}], **changes)


def listed(path):
    """What `check` prints of it, and its hash."""
    out = run("check", path).out
    return out.split("\n", 1)[1].split("  not given", 1)[0], re.search(r'"agreed": "([0-9a-f]{64})"', out)[1]


def keeping(folder):
    return {"XDG_STATE_HOME": str(folder)}


def kept_file(folder):
    return folder / "gainwarden" / "agreed.json"


def show_of(folder, profile, name="show.json", **desk):
    return write_json(folder / name, {"show_format": 1, "show": "Tonight",
                                      "desk": {"profile": str(profile), "host": "127.0.0.1", **desk}})


def words_of(command, folder, profile, desk):
    words = [command, "--profile", profile, "--desk", desk.at]
    if command == "listen":
        words += ["--ask", "--for", "1"]
    if command in ("approve", "compare"):
        words += ["--approved", folder / "approved.json"]
    if command in ("audit", "retrim", "approve", "compare"):
        words += ["--within", "1"]
    return words


@pytest.mark.parametrize("command", COMMANDS)
def test_without_agreement_nothing_leaves(tmp_path, command):
    """Exit 2, the list on standard error, and the desk heard nothing at all."""
    profile = other(tmp_path)
    if command == "compare":
        saved_desk(tmp_path)
    with OwnDesk(lambda desk, heard: None) as desk:
        result = run(*words_of(command, tmp_path, profile, desk), agree=False)
        time.sleep(0.1)

    assert result.status == 2
    assert result.out == ""
    assert result.err == f"gainwarden: {profile}: {NOT_YET}\n{listed(profile)[0]}gainwarden: {NOTHING}\n"
    assert desk.heard == []


def saved_desk(folder):
    """An approved desk, so that compare has something to compare with."""
    result = run("approve", "--profile", PROFILE, "--desk", MockDesk().at, "--approved", folder / "approved.json")
    assert result.status == 0, result.err


@pytest.mark.parametrize("command", COMMANDS)
def test_yes_agrees_and_is_remembered(tmp_path, command):
    """The list is printed first, and once: the next command of any kind knows."""
    profile = other(tmp_path)
    saved_desk(tmp_path)
    desk = MockDesk(log=tmp_path / "log")
    words = words_of(command, tmp_path, profile, desk)
    if command == "watch":
        watcher = Process(BUILD / "gainwarden", *words, "--yes", env=keeping(tmp_path), agree=False)
        watcher.expect("watching: ")
        assert watcher.stop() == 0
        told = "\n".join(watcher.err.texts()) + "\n"
    else:
        told = run(*words, "--yes", env=keeping(tmp_path), agree=False).err
    assert told.startswith(f"gainwarden: {profile}: {NOT_YET}\n{listed(profile)[0]}")
    assert osc.message("/stay/here") in [data for _, _, data in desk.heard()]

    again = run("audit", "--profile", profile, "--desk", desk.at, env=keeping(tmp_path), agree=False)
    assert again.status == 1 and again.err == ""
    file = kept_file(tmp_path)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [one["hash"] for one in read_json(file)["agreed"]] == [listed(profile)[1]]


def test_what_ships_is_agreed_to(tmp_path):
    """Every profile of contrib, and a copy of it elsewhere; nothing is written for it."""
    desk = MockDesk()
    profiles = [PROFILE, *sorted(DIALECTS.glob("*.json"))]
    assert len(profiles) > 10
    for path in profiles:
        copy = shutil.copy(path, tmp_path / "copy.json")
        result = run("audit", "--profile", copy, "--desk", desk.at, "--within", "0.1", env=keeping(tmp_path),
                     agree=False)
        assert NOT_YET not in result.err, path
    assert not kept_file(tmp_path).exists()


def test_the_show_file_agrees(tmp_path):
    profile = other(tmp_path)
    desk = MockDesk()
    good = show_of(tmp_path, profile, agreed=listed(profile)[1])
    bad = show_of(tmp_path, profile, "bad.json", agreed=hashlib.sha256(b"another").hexdigest())

    assert run("audit", good, "--desk", desk.at, env=keeping(tmp_path), agree=False).err == ""
    refused = run("audit", bad, "--desk", desk.at, env=keeping(tmp_path), agree=False)
    assert refused.status == 2 and NOT_YET in refused.err
    result = run("check", bad)
    assert result.status == 2
    assert result.err == (f"gainwarden: {bad}: desk.agreed: is not the hash of what {profile} sends; that is "
                          f"{listed(profile)[1]}\n")
    assert run("check", good).status == 0
    for odd in ("", "1aad", listed(profile)[1].upper(), listed(profile)[1] + "0", "x" * 64):
        result = run("check", show_of(tmp_path, profile, "odd.json", agreed=odd))
        assert result.err == (f"gainwarden: {tmp_path / 'odd.json'}: desk.agreed: must be the 64 digits that "
                              "`gainwarden check` prints for the profile\n")


def test_what_sends_nothing_needs_nothing(tmp_path):
    """A profile without anything on its list; a saved desk; a listener that asks and renews nothing."""
    values = [entry for entry in read_json(PROFILE)["values"] if "at" in entry]
    plain = demo_profile(tmp_path, renew=[], values=values)
    desk = MockDesk(log=tmp_path / "log")
    assert run("audit", "--profile", plain, "--desk", desk.at, agree=False).err == ""

    own = other(tmp_path)
    saved = tmp_path / "saved.json"
    run("audit", "--profile", PROFILE, "--desk", desk.at, "--save", saved)
    assert run("audit", "--profile", own, "--saved", saved, agree=False).status == 1
    assert run("retrim", "--profile", own, "--saved", saved, agree=False).status == 1

    mute = demo_profile(tmp_path, renew=[], values=[*values, {"ask": ["/all/off"],
                                                              "answer": ["/is/{mix}", {"is": "mix.mute"}]}])
    count = len(desk.heard())
    result = run("listen", "--profile", mute, "--desk", desk.at, "--for", "0.5", agree=False)
    assert NOT_YET not in result.err and len(desk.heard()) == count


def test_another_list_is_asked_anew(tmp_path):
    """An agreement is to what is sent, not to a file: the same path sends something else today."""
    desk = MockDesk(log=tmp_path / "log")
    words = ("--desk", desk.at, "--within", "1")
    assert run("audit", "--profile", other(tmp_path), *words, "--yes", env=keeping(tmp_path)).err != ""
    asked = len(desk.heard())
    # what is not sent may change
    same = other(tmp_path, desk="Another name")
    assert NOT_YET not in run("audit", "--profile", same, *words, env=keeping(tmp_path), agree=False).err
    assert len(desk.heard()) > asked
    result = run("audit", "--profile", other(tmp_path, "/scene/recall"), *words, env=keeping(tmp_path), agree=False)
    assert result.status == 2 and "/scene/recall, every 8 s" in result.err
    assert not any(b"scene/recall" in data for _, _, data in desk.heard())


# ---- the file ----

def kept(folder, content, mode=0o600):
    file = kept_file(folder)
    file.parent.mkdir(exist_ok=True)
    file.unlink(missing_ok=True)
    file.write_bytes(content)
    file.chmod(mode)
    return file


def agreement_to(*hashes):
    return json.dumps({"agreed_format": 1, "agreed": [{"hash": one, "desk": "x", "at": "y"} for one in hashes]}).encode()


def is_asked(folder, profile):
    """Whether it is asked in spite of the file; with what was told before."""
    result = run("audit", "--profile", profile, "--desk", "127.0.0.1:9", "--within", "0.1", env=keeping(folder),
                 agree=False)
    return NOT_YET in result.err, result.err


def test_a_file_that_proves_nothing(tmp_path):
    profile = other(tmp_path)
    good = listed(profile)[1]
    kept(tmp_path, agreement_to(good))
    assert not is_asked(tmp_path, profile)[0]
    for content in (b"", b"{", b"[]", b"null", b'{"agreed_format": 2, "agreed": []}', b"\0" * 100,
                    agreement_to(good)[:-3], agreement_to(good, "x"), agreement_to(good).replace(b'"hash"', b'"hsah"'),
                    b'{"agreed_format": 1, "agreed": ["' + good.encode() + b'"]}',
                    b'{"agreed_format": 1, "agreed": {"hash": "' + good.encode() + b'"}}',
                    agreement_to(good).replace(b'"agreed_format": 1, ', b""),
                    agreement_to(good) + b" " * 300000):
        file = kept(tmp_path, content)
        asked, told = is_asked(tmp_path, profile)
        assert asked and f"{file}: " in told and "nothing in it counts as agreed" in told, content[:60]
    for mode in (0o620, 0o602, 0o666):
        kept(tmp_path, agreement_to(good), mode)
        assert "others can write to it" in is_asked(tmp_path, profile)[1]
    kept_file(tmp_path).unlink()
    (tmp_path / "elsewhere").mkdir()
    kept_file(tmp_path).symlink_to(kept(tmp_path / "elsewhere", agreement_to(good)))
    assert is_asked(tmp_path, profile)[0]
    kept_file(tmp_path).unlink()
    os.mkfifo(kept_file(tmp_path))
    assert "it is no regular file" in is_asked(tmp_path, profile)[1]


@pytest.mark.skipif(os.geteuid() != 0, reason="gives a file to somebody else")
def test_a_file_of_somebody_else_proves_nothing(tmp_path):
    profile = other(tmp_path)
    tmp_path.chmod(0o755)
    file = kept(tmp_path, agreement_to(listed(profile)[1]))
    os.chown(file, 12345, 12345)

    assert "it belongs to somebody else" in is_asked(tmp_path, profile)[1]


def test_a_damaged_file_is_replaced_by_the_next_agreement(tmp_path):
    profile = other(tmp_path)
    kept(tmp_path, b"{")
    run("audit", "--profile", profile, "--desk", "127.0.0.1:9", "--within", "0.1", "--yes", env=keeping(tmp_path))

    assert not is_asked(tmp_path, profile)[0]


def test_the_file_stays_short(tmp_path):
    """Of more than 200 the oldest goes."""
    profile = other(tmp_path)
    old = [hashlib.sha256(str(number).encode()).hexdigest() for number in range(230)]
    kept(tmp_path, agreement_to(*old))
    run("audit", "--profile", profile, "--desk", "127.0.0.1:9", "--within", "0.1", "--yes", env=keeping(tmp_path))
    hashes = [one["hash"] for one in read_json(kept_file(tmp_path))["agreed"]]

    assert hashes == [*old[31:], listed(profile)[1]]


def test_where_nothing_can_be_kept_the_agreement_holds_for_the_run(tmp_path):
    profile = other(tmp_path)
    (tmp_path / "gainwarden").write_text("no folder")
    desk = MockDesk()
    result = run("audit", "--profile", profile, "--desk", desk.at, "--yes", env=keeping(tmp_path), agree=False)

    assert result.status == 1 and NOT_YET in result.err
    assert f"{tmp_path / 'gainwarden'}: cannot be made: " in result.err or "cannot write" in result.err


# ---- on a terminal ----

def on_terminal(words, answers, folder, early=b""):
    """Runs it with a terminal for input and errors, a line of `answers` for each question; (status, what stood on the
    terminal)."""
    here, there = pty.openpty()
    done = subprocess.Popen([str(BUILD / "gainwarden"), *map(str, words)], stdin=there, stderr=there,
                            stdout=subprocess.DEVNULL, env=environment(keeping(folder)), process_group=0)
    os.close(there)
    os.write(here, early)
    seen, given = b"", 0
    try:
        end = time.monotonic() + 100
        while time.monotonic() < end:
            if select.select([here], [], [], 0.05)[0]:
                try:
                    seen += os.read(here, 65536)
                except OSError:
                    break  # the other side is gone
            if given < len(answers) and seen.count(b"[y/N]") > given:
                time.sleep(0.1)
                os.write(here, answers[given])
                given += 1
        return done.wait(100), seen.decode().replace("\r\n", "\n")
    finally:
        done.kill()
        os.close(here)


@pytest.mark.parametrize("answer, status", [(b"y\n", 1), (b"YES\n", 1), (b"n\n", 2), (b"\n", 2), (b"yeah\n", 2),
                                            (b"\x04", 2), (b"yyyyyyyyyyyyyyyyyyyyyyyyyyyyy\n", 2)])
def test_the_question_on_a_terminal(tmp_path, answer, status):
    profile = other(tmp_path)
    desk = MockDesk(log=tmp_path / "log")
    words = ("audit", "--profile", profile, "--desk", desk.at)
    ended, seen = on_terminal(words, [answer], tmp_path)

    assert ended == status, seen
    assert flat(listed(profile)[0] + "Send these to the desk? [y/N]") in flat(seen)
    assert (len(desk.heard()) > 0) == (status == 1)
    assert (NOTHING in seen) == (status == 2)
    assert is_asked(tmp_path, profile)[0] == (status == 2)


def test_what_was_typed_before_is_no_answer(tmp_path):
    profile = other(tmp_path)
    ended, _ = on_terminal(("audit", "--profile", profile, "--desk", "127.0.0.1:9"), [b"n\n"], tmp_path, early=b"y\n")

    assert ended == 2


def test_a_long_answer_answers_no_other_question(tmp_path):
    """Sixteen letters to the first list: what was not read of them is no yes to the second."""
    first = other(tmp_path)
    second = write_json(tmp_path / "second.json", {**read_json(PROFILE), "renew": [{"send": ["/wake"], "every_s": 4}]})
    shows = [show_of(tmp_path, profile, f"{profile.stem}-show.json") for profile in (first, second)]
    ended, seen = on_terminal(("watch", *shows), [b"who wrote that?y\n", b"n\n"], tmp_path)

    assert ended == 2 and seen.count("[y/N]") == 2, seen
    assert is_asked(tmp_path, second)[0]


def test_the_list_cannot_move_the_cursor(tmp_path):
    """What a profile says is printed as text."""
    profile = demo_profile(tmp_path, renew=[{"send": ["/x", "\x1b[2Jy\u202e"], "every_s": 8, "this_only_asks": True}])
    result = run("audit", "--profile", profile, "--desk", "127.0.0.1:9", agree=False)

    assert "\x1b" not in result.err and "\u202e" not in result.err
    assert '/x "\\u001b[2Jy\\xe2\\x80\\xae", every 8 s' in result.err


# ---- a watch ----

def test_several_shows_are_all_agreed_to(tmp_path):
    """Each list is shown, whichever lacks agreement; one profile in two shows is asked once."""
    first, second = other(tmp_path), write_json(tmp_path / "second.json", {
        **read_json(PROFILE), "renew": [{"send": ["/wake"], "every_s": 4}]})
    shows = [show_of(tmp_path, profile, f"{number}.json")
             for number, profile in enumerate((first, second, first))]
    refused = run("watch", *shows, env=keeping(tmp_path), agree=False)
    assert refused.status == 2
    assert "/stay/here" in refused.err and "/wake" in refused.err

    watcher = Process(BUILD / "gainwarden", "watch", *shows, "--yes", env=keeping(tmp_path), agree=False)
    until(lambda: watcher.out.count() > 0)
    assert watcher.stop() == 0
    assert "\n".join(watcher.err.texts()).count("/stay/here, every") == 1


def reload_of(watcher, start):
    watcher.popen.send_signal(1)
    return watcher.expect(r"(reloaded: .*|not reloaded: .*)", start=start)


def test_a_reload_with_another_list_needs_agreement(tmp_path):
    """--yes was for the list of then. The old profile goes on, and it is told once; desk.agreed lets it in."""
    profile = other(tmp_path)
    desk = MockDesk(log=tmp_path / "log")
    show = show_of(tmp_path, profile, port=desk.port)
    watcher = Process(BUILD / "gainwarden", "watch", show, "--still-every", "0", "--yes", env=keeping(tmp_path),
                      agree=False)
    start = watcher.expect("watching: ")[0] + 1

    other(tmp_path, "/scene/recall")
    at, _, found = reload_of(watcher, start)
    assert found[1] == "not reloaded: the watch goes on with what it has"
    told = [line for line in watcher.out.texts(start) if "nobody has agreed to what it sends now" in line]
    assert len(told) == 1 and f"{profile}: " in told[0] and "desk.agreed" in told[0]
    time.sleep(0.3)
    assert not any(b"/scene/recall" in data for _, _, data in desk.heard())

    # another name sends nothing else
    other(tmp_path, desk="Renamed")
    at, _, found = reload_of(watcher, at + 1)
    assert found[1].startswith("reloaded: profile changed")

    other(tmp_path, "/other/scene")
    show_of(tmp_path, profile, port=desk.port, agreed=listed(profile)[1])
    at, _, found = reload_of(watcher, at + 1)
    assert found[1].startswith("reloaded: profile changed")
    until(lambda: osc.message("/other/scene") in [data for _, _, data in desk.heard()])
    assert not any(b"/scene/recall" in data for _, _, data in desk.heard())
    assert watcher.stop() == 0


def test_an_agreement_elsewhere_lets_a_reload_in(tmp_path):
    profile = other(tmp_path)
    desk = MockDesk(log=tmp_path / "log")
    show = show_of(tmp_path, profile, port=desk.port)
    words = ("--keep", tmp_path / "keep")
    watcher = Process(BUILD / "gainwarden", "watch", show, "--still-every", "0", "--yes", *words, agree=False)
    start = watcher.expect("watching: ")[0] + 1
    other(tmp_path, "/other/scene")
    assert run("audit", show, "--yes", *words, agree=False).status == 1
    _, _, found = reload_of(watcher, start)

    assert found[1].startswith("reloaded: profile changed")
    assert watcher.stop() == 0


def test_a_profile_behind_a_link_that_moves(tmp_path):
    """What was read is what is sent, whatever the path leads to later."""
    good, evil, link = other(tmp_path), tmp_path / "evil.json", tmp_path / "link.json"
    write_json(evil, {**read_json(good), "renew": [{"send": ["/scene/recall"], "every_s": 0.5}]})
    link.symlink_to(good)
    desk = MockDesk(log=tmp_path / "log")
    watcher = Process(BUILD / "gainwarden", "watch", "--profile", link, "--desk", desk.at, "--yes", agree=False)
    start = watcher.expect("watching: ")[0] + 1
    link.unlink()
    link.symlink_to(evil)
    _, _, found = reload_of(watcher, start)
    time.sleep(0.7)

    assert found[1].startswith("not reloaded")
    assert not any(b"/scene/recall" in data for _, _, data in desk.heard())
    assert watcher.stop() == 0
