# SPDX-License-Identifier: MIT
"""`gainwarden listen` at a desk of which nothing is known: no profile, and nothing is sent but what --ask says."""
import json
import re
import socket
import time

import pytest

import osc
from harness import BUILD, MockDesk, OwnDesk, Process, flat, own_port, read_json, run, until, write_json


def listen(desk, *words, **options):
    return run("listen", "--desk", desk.at, *words, **options)


def profile_of(out):
    """The profile that stands at the end of what was printed."""
    return json.loads(out[out.index("\n{\n"):].rpartition("\n}")[0] + "\n}")


def given(profile):
    """What each entry of a profile gives, by the address it comes from."""
    return {entry["answer"][0]: next(one["is"] for one in entry["answer"] if isinstance(one, dict))
            for entry in profile["values"]}


def good(folder, profile):
    path = write_json(folder / "made.json", profile)
    result = run("check", path)
    assert result.status == 0, result.err
    return path


def test_what_came_becomes_a_profile_to_start_from(tmp_path):
    desk = MockDesk(**{"speak": "pushes"})
    result = listen(desk, "--ask=/stay", "--yes", "--for", "3", "--save", tmp_path / "start.json")
    profile = profile_of(result.out)
    values = given(profile)

    assert result.status == 1
    assert profile == read_json(tmp_path / "start.json")
    assert profile["counts"]["input"] == 24 and profile["counts"]["mix"] == 8
    assert profile["renew"] == [{"send": ["/stay"], "every_s": 5}]
    assert profile["link"]["port"] == desk.port
    assert values["/in/{input}/name"] == "input.name" and values["/mix/{mix}/fader"] == "mix.fader"
    assert re.search(r"^    /in/\{input\}/head/gain  f  0\.1\d* to 0\.7\d*    24 addresses: \{input\} 1 to 24", result.out, re.M)
    assert re.search(r'^    /mix/\{mix\}/name  s  such as ".*"    8 addresses: \{mix\} 1 to 8.*; may be mix.name$', result.out,
                     re.M)

    path = good(tmp_path, profile)
    second = run("listen", "--profile", path, "--desk", desk.at, "--for", "3", "--yes")
    assert "values[0]" not in second.out.partition("never")[2]
    assert "/in/1/name s \"Kick In\"  -> " in second.out


def test_a_number_that_does_not_say_what_it_is_becomes_no_value(tmp_path):
    """A position is not read as dB: its value stays not known until somebody writes its law."""
    def answer(desk, heard):
        desk.send(heard.peer, osc.message("/mix/1/fader", "f", 0.75), osc.message("/mix/2/fader", "f", 0.5))

    with OwnDesk(answer) as desk:
        profile = profile_of(listen(desk, "--ask=/stay", "--yes", "--for", "1").out)
        out = run("listen", "--profile", good(tmp_path, profile), "--desk", desk.at, "--for", "1", "--yes").out
    why = "0.75 is no mix.fader; its law does not list it"

    assert f"/mix/1/fader f 0.75  -> values[0]: turned down: {why}" in out
    assert f" values[0] /mix/1/fader f 0.75: {why} (2 addresses) " in flat(out)


def test_nothing_is_sent_without_ask(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    result = listen(desk, "--for", "2", agree=False)

    assert desk.heard() == []
    assert re.search(r"listening without a profile, at port \d+ of this computer; nothing is sent", flat(result.err))
    assert "0 messages from 0 addresses" in result.out
    assert "no profile to start from" in flat(result.out)


def test_a_desk_that_is_told_where_to_send():
    """From any port of its own, to the one given, which the profile then names."""
    port = own_port()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as desk:
        listener = Process(BUILD / "gainwarden", "listen", "--desk", "127.0.0.1", f"--port={port}", "--for", "3")
        listener.err.wait(f"at port {port} of", 10, 0)
        while listener.running():
            for number in (1, 2, 3):
                desk.sendto(osc.message(f"/in/{number}/name", "s", f"Name {number}"), ("127.0.0.1", port))
            time.sleep(0.1)
        assert listener.wait() == 1
    profile = profile_of(listener.text())

    assert profile["link"] == {"transport": "udp", "port": 9, "answers_from": "any-port", "answer_port": port}
    assert profile["counts"] == {"input": 3, "mix": 1}
    assert "Nobody said at which port the desk listens: 9 stands there." in listener.text()


# ---- what --ask sends ----

def test_what_ask_says_is_agreed_to_first():
    with OwnDesk(lambda desk, heard: None) as desk:
        result = listen(desk, "--ask=/stay", "--ask=/meters 1", "--for", "1", agree=False)
        assert desk.heard == []
    assert result.status == 2
    assert "--ask: renew[1]" in flat(result.err) and "this_only_asks" in flat(result.err)

    with OwnDesk(lambda desk, heard: None) as desk:
        result = listen(desk, "--ask=/stay", "--for", "1", agree=False)
        assert desk.heard == []
    assert result.status == 2
    assert "/stay, every 5 s" in result.err and "not agreed to, nothing was sent" in result.err


def test_a_log_in_is_sent_as_it_was_written():
    with OwnDesk(lambda desk, heard: None) as desk:
        listen(desk, '--ask=/hello "our stage" 7 0.5 true door this_only_asks', "--yes", "--for", "1")
        assert {heard.data for heard in desk.heard} == {
            osc.message("/hello", "sifTs", "our stage", 7, 0.5, "door")}


@pytest.mark.parametrize("words, told", [
    (("--ask=",), "--ask=: must be an address and at most 31 arguments"),
    (('--ask=/x "open',), "a text with blanks stands in double quotes"),
    (("--ask=/x " + "1 " * 40,), "at most 31 arguments"),
    (("--port=0",), "--port=0: must be a whole number from 1 to 65535"),
    (("--port=65536",), "--port=65536: must be a whole number from 1 to 65535"),
    (("--profile", "x", "--ask=/x"), 'a profile has "renew"'),
    (("--profile", "x", "--port=9"), 'a profile has "link.answer_port"'),
    (("--profile", "x", "--save=9"), "--save is for a desk without a profile"),
    (tuple(f"--ask=/{number}" for number in range(9)), "at most 8 messages"),
])
def test_wrong_words(words, told):
    result = run("listen", "--desk", "127.0.0.1:9", *words, "--for", "1", agree=False)

    assert result.status == 2
    assert told in flat(result.err)


def test_ask_needs_the_port():
    assert "--desk=127.0.0.1: --ask needs the desk's port" in run("listen", "--desk", "127.0.0.1", "--ask=/x").err


# ---- silence ----

def test_ten_seconds_of_silence_are_told_with_what_helps():
    """And nothing of it is tried."""
    with OwnDesk(lambda desk, heard: None) as desk:
        result = listen(desk, "--for", "11")
        assert desk.heard == []
    told = flat(result.err)

    assert "nothing was heard for 10 s" in told
    for word in ("another port", "--port=PORT", "--ask='/ADDRESS'", "log-in", "None of these is tried"):
        assert word in told


# ---- strangers ----

def test_what_could_not_be_read_is_shown():
    def answer(desk, heard):
        desk.send(heard.peer, osc.text("/odd/1") + osc.text(",iQ") + b"\0\0\0\1", b"rubbish!" * 3,
                  osc.text("/e\x1b[2J") + osc.text(",Q"))

    with OwnDesk(answer) as desk:
        out = listen(desk, "--ask=/stay", "--yes", "--for", "1.5").out

    assert re.search(r"^    /odd/1 ,iQ: OSC knows no such type tag, \d+ times?$", out, re.M)
    assert re.search(r"^    24 bytes: .*, \d+ times?$", out, re.M)
    assert "\x1b" not in out


def test_a_flood_does_not_hide_the_rest():
    """10,000 invented addresses of 10,000 patterns, and then as many again: what a desk goes on saying comes first."""
    sent = []

    def answer(desk, heard):
        sent.append(heard)
        for number in (1, 2, 3):
            desk.send(heard.peer, osc.message(f"/in/{number}/name", "s", f"Name {number}"))
        for first in range(0, 10000, 400):
            # letters alone, so that no two are one pattern
            names = ["".join(chr(97 + int(digit)) for digit in f"{n:05}") + "zy"[len(sent) % 2] for n in
                     range(first, first + 400)]
            desk.send(heard.peer, osc.bundle(*[osc.message(f"/{name}\x07", "i", 1) for name in names]))

    with OwnDesk(answer) as desk:
        out = listen(desk, "--ask=/stay", "--yes", "--for", "7").out

    patterns = out[out.index("What came, by pattern:"):].splitlines()
    assert patterns[1].startswith("    /in/{input}/name  s  such as")
    assert re.search(r"^    and \d+ kinds more, of fewer addresses$", out, re.M)
    assert "\x07" not in out
    assert given(profile_of(out)) == {"/in/{input}/name": "input.name"}
