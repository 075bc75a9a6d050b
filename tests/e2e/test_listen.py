# SPDX-License-Identifier: MIT
"""`gainwarden listen`: what a desk says, what the profile makes of it, and what is missing in it."""
import json
import re
import signal
import socket

import pytest

import osc
from harness import (BUILD, PROFILE, SHOW, STATE, MockDesk, OwnDesk, Process, fader_wire, flat, questions, read_json,
                     run, until, write_json)


def listen(desk, *words, profile=PROFILE):
    return Process(BUILD / "gainwarden", "listen", "--profile", profile, "--desk", desk.at, *words)


def beginning(folder, *values, **more):
    """A profile that has just been begun."""
    return write_json(folder / "begun.json", {
        "profile_format": 1, "desk": "A desk nobody knows", "link": {"transport": "udp", "port": 9100},
        "renew": [{"send": ["/stay"], "every_s": 8}],
        "counts": {"input": 24, "mix": 8, "group": 4, "input.eq.band": 4, "mix.graphic.band": 31},
        "values": list(values) or [{"at": "/in/{input}/name", "is": "input.name"}], **more})


def test_what_is_asked_is_shown_with_what_it_became():
    """What protects comes first, and of a flood the first lines are shown."""
    listener = Process(BUILD / "gainwarden", "listen", SHOW, "--desk", MockDesk().at, "--ask")
    listener.expect(r"^\S+ /in/1/head/phantom i 0  -> values\[3\]: input.phantom of input 1 = off$")
    listener.err.wait("^gainwarden: asked everything: 1403 of 1403 questions answered", 10, 0)
    assert listener.stop(signal.SIGINT) == 0
    out = listener.text()

    assert re.search(r"^1\d{3} messages from 1277 addresses$", out, re.M)
    assert "Every entry got its answers, and every address has an entry." in out


def test_a_text_is_shown_in_quotes(tmp_path):
    result = run("listen", "--profile", beginning(tmp_path), "--desk", MockDesk().at, "--ask", "--for", "1")

    assert re.search(r'^\S+ /in/1/name s "Kick In"  -> values\[0\]: input.name of input 1 = "Kick In"$',
                     result.out, re.M)


def test_a_move_is_shown_live():
    desk = MockDesk()
    listener = listen(desk)
    until(lambda: desk.running() and listener.running())
    # the renewal has made it stay once the first move comes through
    for number in range(50):
        desk.move("/mix/2/fader", "f", fader_wire(-number / 10))
        if [line for line in listener.out.texts() if "/mix/2/fader" in line]:
            break
        try:
            listener.expect(r"/mix/2/fader", timeout=0.03)
        except AssertionError:
            pass
    listener.expect(r"^\S+ /mix/2/fader f \S+(?: \(\d+/s\))?  -> values\[\d+\]: mix.fader of mix 2 = -?\S+ dB$")
    assert listener.stop(signal.SIGINT) == 1  # the other entries got no answer, for nothing was asked
    assert "    (nothing was asked: --ask sends the profile's questions)" in listener.out.texts()


def test_without_ask_nothing_but_renewals_is_sent(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    run("listen", "--profile", PROFILE, "--desk", desk.at, "--for", "2")

    assert {data for _, _, data in desk.heard()} == {osc.message("/stay")}


def test_with_ask_only_questions_are_sent(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    run("listen", "--profile", PROFILE, "--desk", desk.at, "--ask", "--for", "2")

    assert {data for _, _, data in desk.heard()} <= {*questions(read_json(PROFILE)), osc.message("/stay")}


def suggestions(out):
    """Address pattern -> the suggested entry."""
    lines = re.findall(r"^    (\{ .*? \})    \d+ address", out, re.M)
    entries = [json.loads(line) for line in lines]
    return {entry.get("at") or entry["answer"][0]: entry for entry in entries}


def test_addresses_without_an_entry_get_one(tmp_path):
    desk = MockDesk(**{"speak": "pushes"})
    result = run("listen", "--profile", beginning(tmp_path), "--desk", desk.at, "--for", "3")
    entries = suggestions(result.out)
    expected = {entry["at"]: entry["is"] for entry in read_json(PROFILE)["values"] if "at" in entry}
    told = {address: entry["is"] for address, entry in entries.items() if "at" in entry}
    right = [address for address, name in told.items() if expected[address] == name]

    assert set(told) == set(expected) - {"/in/{input}/name", "/mix/{mix}/graphic"}
    assert len(right) >= 0.9 * len(told)  # a mute that is called "open" cannot be guessed
    assert entries["/mix/{mix}/graphic"]["answer"][1] == {"each": "band", "is": "mix.graphic.band.gain"}
    assert result.status == 1


def test_a_profile_made_of_the_suggestions_loads_and_hears(tmp_path):
    """Minutes, not a day: the suggestions with a guess, taken as they are, leave little to do."""
    desk = MockDesk(**{"speak": "pushes"})
    first = run("listen", "--profile", beginning(tmp_path), "--desk", desk.at, "--for", "3")
    values = [entry for entry in suggestions(first.out).values()
              if entry.get("is", "") != "..." and "tap" not in entry.get("is", "") and
              (len(entry.get("answer", "")) != 8)]
    path = beginning(tmp_path, {"at": "/in/{input}/name", "is": "input.name"}, *values)
    checked = run("check", path)
    second = run("listen", "--profile", path, "--desk", desk.at, "--for", "3")

    assert checked.status == 0, checked.err
    assert len(suggestions(second.out)) < len(suggestions(first.out)) / 4


def test_entries_without_an_answer_are_listed(tmp_path):
    path = beginning(tmp_path, {"at": "/in/{input}/name", "is": "input.name"},
                     {"at": "/in/{input}/nothing", "is": "input.trim"},
                     {"at": "/mix/{mix}/fader", "is": "mix.fader"})
    profile = read_json(path)
    profile["counts"]["mix"] = 9  # one more than the desk has
    write_json(path, profile)
    out = run("listen", "--profile", path, "--desk", MockDesk().at, "--ask", "--for", "3").out

    assert "Entries that did not get all their answers:" in out
    assert "    values[1] /in/{input}/nothing <input.trim>: none of 24 heard" in out
    assert "    values[2] /mix/{mix}/fader <mix.fader>: 8 of 9 heard, missing 9" in out


def test_why_a_message_is_no_value(tmp_path):
    def answer(desk, heard):
        if heard.address == "/stay":
            desk.send(heard.peer, osc.message("/in/1/name", "i", 5), osc.message("/in/2/name", "si", "x", 1),
                      osc.message("/m/1", "f", 9999.0), osc.text("/m/2"),
                      osc.message("/else", "s", "\x1b[2J\u202e"))

    path = beginning(tmp_path, {"at": "/in/{input}/name", "is": "input.name"},
                     {"at": "/m/{mix}", "is": "mix.fader"})
    with OwnDesk(answer) as desk:
        out = run("listen", "--profile", path, "--desk", desk.at, "--for", "1.5").out

    assert "/in/2/name si \"x\" 1  -> an entry has this address, but other arguments" in out
    assert "/m/1 f 9999  -> values[1]: turned down: 9999 is 9999 dB; mix.fader goes from -200 to 30" in out
    assert re.search(r"/else s \"[^\x1b\u202e]*\"  -> no entry has this address", out)
    assert "\x1b" not in out and "\u202e" not in out


def test_why_one_of_many_labels_is_no_value(tmp_path):
    """The first of a text that is turned down, wherever it stands in it."""
    def answer(desk, heard):
        if heard.address == "/stay":
            desk.send(heard.peer, osc.message("/json", "s", '{"in":{"1":{"trim":3},"2":{"trim":500},"3":{"trim":-3}}}'),
                      osc.message("/line", "s", "ch=1;send1=-3;send2=loud;send3=-4"))

    path = beginning(tmp_path, {"answer": ["/json", {"json": {"in/{input}/trim": {"is": "input.trim"}}}]},
                     {"answer": ["/line", {"text": ";", "label": "=", "labels": {
                         "ch": "{input}", "send{mix}": {"is": "send.level"}}}]})
    with OwnDesk(answer) as desk:
        out = flat(run("listen", "--profile", path, "--desk", desk.at, "--for", "1.5").out)

    assert "turned down: 500 is 500 dB; input.trim goes from -60 to 60" in out
    assert 'turned down: "loud" is no send.level; it must be a number' in out


def test_untyped_messages_are_shown(tmp_path):
    def answer(desk, heard):
        if heard.address == "/stay":
            desk.send(heard.peer, osc.text("/b/1") + b"\0\0\0\7", osc.text("/a/1") + b"\0\0\0\7")

    path = beginning(tmp_path, {"answer": ["/a/{input}", {"is": "input.trim"}], "untyped": "i"},
                     {"answer": ["/b/{input}", {"is": "input.fader"}]})
    with OwnDesk(answer) as desk:
        out = run("listen", "--profile", path, "--desk", desk.at, "--for", "1.5").out

    assert "/a/1 - (no type tags, 4 bytes)  -> values[0]: input.trim of input 1 = 7 dB" in out
    assert '/b/1 - (no type tags, 4 bytes)  -> no type tags, and no entry that says "untyped"' in out


def test_what_cannot_be_read_is_shown(tmp_path):
    """By address and tags, as far as they go, with the reason; its neighbours in the bundle are heard."""
    def answer(desk, heard):
        if heard.address == "/stay":
            desk.send(heard.peer, osc.bundle(
                osc.message("/in/1/name", "s", "Before"),
                osc.text("/odd/1") + osc.text(",fz") + bytes(8),
                osc.text("/odd/2") + osc.text(",[ff") + bytes(8),
                osc.text("/odd/3") + osc.text(",ii") + bytes(4),
                osc.message("/in/2/name", "[s]", "Behind")))

    path = beginning(tmp_path)
    with OwnDesk(answer) as desk:
        out = run("listen", "--profile", path, "--desk", desk.at, "--for", "1.5").out

    assert "/odd/1 fz (20 bytes)  -> cannot be read: OSC knows no such type tag" in out
    assert "/odd/2 [ff (24 bytes)  -> cannot be read: an array has one bracket only" in out
    assert "/odd/3 ii (16 bytes)  -> cannot be read: it has fewer bytes than its type tags say" in out
    assert 'input.name of input 1 = "Before"' in out and 'input.name of input 2 = "Behind"' in out
    assert re.search(r"^Refused: unknown-type \d+ \(/odd/1 ,fz\), bad-array \d+ \(/odd/2 ,\[ff\), "
                     r"short \d+ \(/odd/3 ,ii\)$", re.sub(r"\n  +", " ", out), re.M)


@pytest.mark.parametrize("form, renewal, untyped", [("--no-type-tags", "/stay", True),
                                                    ("--bare-addresses", "stay", False)])
def test_forms_that_the_begun_profile_does_not_name_are_heard(tmp_path, form, renewal, untyped):
    """It may be the profile that is wrong: the desk leaves out type tags, or the leading slash."""
    desk = Process(BUILD / "mock-desk", "--state", STATE, "--port", "0", "--speak", "pushes", form)
    at = desk.expect(r"^mock-desk: listening on (\S+)$")[2].group(1)
    path = beginning(tmp_path, renew=[{"send": [renewal], "every_s": 8}])
    result = run("listen", "--profile", path, "--desk", at, "--for", "3")
    desk.stop()
    entries = suggestions(result.out)
    faders = [entry for entry in entries.values() if entry.get("is") == "mix.fader"]

    assert int(re.search(r"^(\d+) messages from", result.out, re.M).group(1)) > 1000
    assert len(faders) == 1
    assert faders[0].get("untyped") == ("..." if untyped else None)
    assert ("Refused: unknown-address" in result.out) != untyped


def test_many_addresses_are_bounded(tmp_path):
    """Somebody invents addresses: they are shown in part, kept up to a bound, and counted."""
    def answer(desk, heard):
        if heard.address == "/stay":
            for first in range(0, 20000, 400):
                desk.send(heard.peer, osc.bundle(*[osc.message(f"/{chr(97 + n % 26)}{n}x/y", "i", n)
                                                   for n in range(first, first + 400)]))

    with OwnDesk(answer) as desk:
        out = run("listen", "--profile", beginning(tmp_path), "--desk", desk.at, "--for", "3").out

    assert re.search(r"^         and \d+ more addresses in this second$", out, re.M)
    assert int(re.search(r"^\d+ messages from (\d+) addresses$", out, re.M)[1]) <= 16384
    assert re.search(r" \d+ addresses that were heard once are not among them: more came than the 16384 that are kept ",
                     flat(out))
    assert len(suggestions(out)) == 26


def test_a_desk_that_says_nothing(tmp_path):
    """The first command of a new profile says what to look at; where nothing was asked, silence means nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as silent:
        silent.bind(("127.0.0.1", 0))
        at = f"127.0.0.1:{silent.getsockname()[1]}"
        words = ("listen", "--profile", beginning(tmp_path, renew=[]), "--desk", at, "--for", "1")
        asked, only_heard = run(*words, "--ask"), run(*words)

    assert "The desk was never heard (no answer). Is it on, is OSC enabled, are address and port right?" in flat(asked.out)
    assert "never heard" not in only_heard.out
    assert asked.status == only_heard.status == 1
