# SPDX-License-Identifier: MIT
"""What bad input gets: a clear error, the right exit status, and nothing lost.

Files that cannot be used, desks that are not there or say half or rubbish, and an output that
cannot be written.
"""
import json
import os
import random
import re
import socket
import subprocess
import time

import pytest

import osc
from harness import (BUILD, CHECKS, PROFILE, QUESTIONS, SEED, SHOW, MockDesk, OwnDesk, Process, audit,
                     demo_audit, demo_profile, demo_show, entries, finding, findings, flat, goal,
                     read_json, run, write_json)


def refused(result, *lines):
    """Nothing ran: exactly these lines on standard error, nothing on standard output."""
    assert result.err.splitlines() == [f"gainwarden: {line}" for line in lines]
    assert result.out == ""
    assert result.status == 2


# ---- files ----

def files_at(path):
    """Each way in which a file is named to the program."""
    return [("audit", path), ("watch", path), ("check", path),
            ("audit", "--profile", path, "--desk", "127.0.0.1:9")]


@pytest.mark.parametrize("way", range(4))
def test_missing_file(tmp_path, way):
    path = tmp_path / "not-there.json"

    refused(run(*files_at(path)[way]), f"{path}: cannot read: No such file or directory")


@pytest.mark.parametrize("way", range(4))
def test_a_folder_in_place_of_a_file(tmp_path, way):
    refused(run(*files_at(tmp_path)[way]), f"{tmp_path}: cannot read: Is a directory")


def test_a_device_in_place_of_a_file():
    refused(run("check", "/dev/null"), "/dev/null: cannot read: it is no regular file")


def test_a_pipe_in_place_of_a_file(tmp_path):
    """Nobody ever writes into it: waiting for that would be a hang."""
    path = tmp_path / "pipe.json"
    os.mkfifo(path)

    refused(run("check", path, timeout=5), f"{path}: cannot read: it is no regular file")


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_unreadable_file(tmp_path):
    path = write_json(tmp_path / "closed.json", read_json(PROFILE))
    path.chmod(0)

    refused(run("check", path), f"{path}: cannot read: Permission denied")


def test_missing_profile_of_a_show_file(tmp_path):
    show = demo_show(tmp_path, desk={"profile": "gone.json", "host": "127.0.0.1"})

    refused(run("audit", show), f"{show}: desk.profile: {tmp_path}/gone.json: cannot read: No such file or directory")


@pytest.mark.parametrize("way", range(4))
def test_oversized_file(tmp_path, way):
    path = tmp_path / "huge.json"
    with path.open("wb") as file:
        file.truncate(8 * 1024 * 1024 + 1)

    refused(run(*files_at(path)[way]),
            f"{path}: larger than 8 MiB, which no profile or show file needs")


def test_a_file_of_exactly_the_limit_is_read(tmp_path):
    path = tmp_path / "large.json"
    text = PROFILE.read_text()
    path.write_text(text + " " * (8 * 1024 * 1024 - len(text.encode())))

    assert run("check", path).status == 0


TEXT = SHOW.read_text()


def cut_after(words):
    return TEXT[:TEXT.index(words) + len(words)]


def place_of_end(text):
    lines = text.split("\n")
    return f"{len(lines)}:{len(lines[-1]) + 1}"


def innermost(text):
    """Line and column of the bracket that is to be closed next, told by another hand than the program's."""
    plain = re.sub(r'"(\\.|[^"\\])*"', lambda match: '"' * len(match.group()), text)
    opened = []
    for at, character in enumerate(plain):
        if character in "{[":
            opened.append(at)
        elif character in "}]":
            opened.pop()
    lines = text[:opened[-1]].split("\n")
    return text[opened[-1]], len(lines), len(lines[-1]) + 1


@pytest.mark.parametrize("text", [
    "{",
    cut_after('"inputs": {'),
    cut_after('"source": "kick"'),
    cut_after('-stage.json" },\n'),
    cut_after('"up_to": 2,'),
], ids=["brace", "object", "pair", "comma", "comma in array"])
def test_truncated_file(tmp_path, text):
    """It names the bracket that was to be closed next, wherever that stands."""
    path = tmp_path / "cut.json"
    path.write_text(text)
    bracket, line, column = innermost(text)

    refused(run("check", path), f"{path}:{place_of_end(text)}: the file ends too early: the {bracket} of line {line}, "
                                f"column {column} is not closed")


def test_an_empty_file(tmp_path):
    path = tmp_path / "cut.json"
    path.write_text("")

    refused(run("check", path), f"{path}:1:1: the file is empty")


@pytest.mark.parametrize("words", ['"show": "Ostrel', '"source', '"2099-12'])
def test_truncated_inside_a_text(tmp_path, words):
    """Most of a file is text, so that is where most files are cut."""
    path = tmp_path / "cut.json"
    path.write_text(cut_after(words))

    result = run("check", path)
    assert re.fullmatch(rf"gainwarden: {re.escape(str(path))}:\d+:\d+: "
                        r"the file ends in the middle of a text\n", result.err)
    assert result.status == 2


def test_no_beginning_of_a_file_passes(tmp_path):
    """At whatever byte a file is cut, it is refused, with a place on its last line or before."""
    cuts = [TEXT[:at] for at in range(0, len(TEXT.rstrip()), 41)]
    for number, text in enumerate(cuts):
        (tmp_path / f"{number}.json").write_text(text)
    for first in range(0, len(cuts), 50):  # as many errors as one run lists
        numbers = range(first, min(first + 50, len(cuts)))
        result = run("check", *(f"{number}.json" for number in numbers), cwd=tmp_path)
        told = re.findall(r"^gainwarden: (\d+)\.json:(\d+):(\d+): [a-z-]", result.err, re.M)

        assert [int(number) for number, _, _ in told] == list(numbers)
        for number, line, column in told:
            lines = cuts[int(number)].split("\n")
            assert int(line) <= len(lines)
            assert 1 <= int(column) <= len(lines[int(line) - 1]) + 1
        assert (result.status, result.out) == (2, "")


@pytest.mark.parametrize("text, place, what", [
    ('{"a":\n  1 "b": 2}', "2:5", "expected , before this"),
    ('// the desk\n{}', "1:1", "comments are not allowed"),
    ('{"a": 1,\n "b": tru}', "2:7", "a text stands in double quotes"),
    ('{“a”: 1}', "1:2", '“ is a curly quote; a text stands in straight ones, "'),
    ('{"a": 1} x', "1:10", "something follows the value"),
    ('{"a":\n "\\u0000"}', "2:3", "\\u0000 is not allowed in a string"),
    ('{"ä": "\xff"}'.encode("latin-1"), "1:3", "not UTF-8 text"),
    (b'{"a": 1,\n\0}', "2:1", "a NUL byte"),
    ('{"a":\n  1,}', "2:4", "nothing follows this , and so it must go"),
])
def test_files_that_are_not_json(tmp_path, text, place, what):
    path = tmp_path / "odd.json"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())

    refused(run("check", path), f"{path}:{place}: {what}")


def is_json(data):
    """As Python's own reader of RFC 8259 sees it, which lets pass NaN and Infinity."""
    def no_constant(name):
        raise ValueError(name)

    try:
        json.loads(data.decode(), parse_constant=no_constant)
    except (ValueError, RecursionError):
        return False
    return True


def test_broken_at_any_byte(tmp_path):
    """A byte taken out, or another one in its place: told with its place, where it is no JSON any more."""
    dice = random.Random(SEED)
    whole = SHOW.read_bytes()
    places = dice.sample(range(len(whole)), 400)
    texts = []
    for at in places:
        odd = dice.choice([b"", b" ", b",", b":", b'"', b"'", b"{", b"}", b"[", b"]", b"#", b"/", b"\\", b"0", b"-", b".",
                           b"x", b"\n", b"\t", "\u201d".encode(), b"\xff"])
        texts.append(whole[:at] + odd + whole[at + dice.choice([0, 1]):])
    for number, text in enumerate(texts):
        (tmp_path / f"{number}.json").write_bytes(text)
    told = {}
    for first in range(0, len(texts), 40):
        result = run("check", *(f"{number}.json" for number in range(first, first + 40)), cwd=tmp_path)
        assert result.status in (0, 2)
        for number, line, column in re.findall(r"^gainwarden: (\d+)\.json:(\d+):(\d+): [^:]", result.err, re.M):
            told[int(number)] = (int(line), int(column))

    assert told.keys() == {number for number, text in enumerate(texts) if not is_json(text)}
    assert len(told) > 50
    for number, (line, column) in told.items():  # at the damage, or behind it where only that shows it
        lines = texts[number].split(b"\n")
        assert line <= len(lines)
        assert 1 <= column <= len(lines[line - 1].decode(errors="replace")) + 1


def test_a_file_cannot_reach_the_terminal(tmp_path):
    """Names from a file are escaped where an error repeats them."""
    path = write_json(tmp_path / "odd.json", {**read_json(PROFILE), "\x1b[31m\u202e": 1})

    refused(run("check", path), f"{path}: \\x1b[31m\\xe2\\x80\\xae: unknown key")


def test_misspelt_profile(tmp_path):
    """Each mistake is told once, all of them in one run, with its place and the nearest name."""
    profile = read_json(PROFILE)
    profile["fixd"] = {}
    profile["link"]["transport"] = "pigeon"
    profile["pace"]["in_fligth"] = 3
    profile["laws"]["head"]["line"] = [[0, 0], [1, -1], [2, 5]]
    profile["values"][1]["is"] = "input.preamp_gian"
    profile["values"][2]["law"] = "padd"
    profile["values"][0]["at"] = "/in/{inptu:2}/name"
    path = write_json(tmp_path / "profile.json", profile)

    refused(run("check", path),
            f'{path}: fixd: unknown key, did you mean "fixed"?',
            f'{path}: link.transport: is "pigeon"; allowed are "udp" and "tcp"',
            f'{path}: pace.in_fligth: unknown key, did you mean "in_flight"?',
            f"{path}: laws.head.line[2]: the law turns back at 5; values must rise or fall "
            "throughout",
            f'{path}: values[0].at: unknown index {{inptu}}, did you mean "input"?',
            f'{path}: values[1].is: unknown parameter "input.preamp_gian", did you mean '
            '"input.preamp_gain"?; `gainwarden explain parameters` lists them',
            f'{path}: values[2].law: no law "padd" under "laws", did you mean "pad"?')


def test_misspelt_show_file(tmp_path):
    show = read_json(SHOW)
    show["desk"] = {"profile": str(PROFILE), "hots": "127.0.0.1", "role": "monitr"}
    show["inputs"]["25"] = {}
    show["inputs"]["1"] = {"sorce": "kick"}
    show["inputs"]["2"]["source"] = "kik"
    show["mixes"]["1"]["feeds"] = "wegde"
    show["checks"] = {"unused-preamp-gian": "off", "too-many-cuts": {"note_cut": 3}}
    show["accept"][0]["check"] = "master-of-unity"
    path = write_json(tmp_path / "show.json", show)

    # the desk comes before the numbers of inputs and mixes that its profile gives
    refused(run("check", path), f'{path}: desk.hots: unknown key, did you mean "host"?')
    del show["desk"]["hots"]
    write_json(path, show)
    refused(run("check", path),
            f'{path}: desk.role: is "monitr", did you mean "monitor"?; allowed are "monitor" and '
            '"house"',
            f'{path}: inputs.1.sorce: unknown key, did you mean "source"?',
            f'{path}: inputs.2.source: unknown kind of source "kik", did you mean "kick"?; '
            "`gainwarden explain sources` lists them",
            f"{path}: inputs.25: the desk has inputs 1 to 24",
            f'{path}: mixes.1.feeds: unknown kind of mix "wegde", did you mean "wedge"?; allowed '
            "are wedge, side-fill, drum-fill, in-ear, unused",
            f'{path}: checks.unused-preamp-gian: unknown check "unused-preamp-gian", did you mean '
            '"unused-preamp-gain"?; `gainwarden explain` lists them',
            f'{path}: checks.too-many-cuts.note_cut: unknown setting, did you mean "note_cuts"?',
            f'{path}: accept[0].check: unknown check "master-of-unity", did you mean '
            '"master-off-unity"?; `gainwarden explain` lists them')


def test_duplicate_keys(tmp_path):
    path = tmp_path / "twice.json"
    path.write_text('{"show_format": 1, "show": "one", "show": "other"}')

    refused(run("check", path), f"{path}: show: this key stands twice")


# ---- a profile that could set a value ----

UNLESS = '; on many desks that is a move. If this desk only answers it, say "this_only_asks": true'
MOVE = "carries an argument to an address that values[{}] answers from" + UNLESS
REACH = "may reach an address that values[{}] answers from" + UNLESS
MORE = "carries more than indexes" + UNLESS
ODD = ("carries an argument to an address with {}, which a desk may read as another address; only a plain "
       "one is sent arguments")


def small_profile(values, **more):
    return {"profile_format": 1, "desk": "Small desk", "link": {"transport": "udp", "port": 9100},
            "counts": {"input": 2, "mix": 2}, "values": values, **more}


def masters(ask, address="/mix/{mix}/fader"):
    index = [] if "{mix}" in address else ["{mix}"]
    return {"ask": ask, "answer": [address, *index, {"is": "mix.fader"}]}


@pytest.mark.parametrize("values, place, what", [
    ([masters(["/mix/{mix}/fader", 0.5])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/{mix}/fader", True])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/{mix}/fader", "0.5"])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/*/fader", 0])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/[1-2]/fader", 0])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/{1,2}/fader", 0])], "values[0].ask", MOVE.format(0)),
    ([masters(["/m?x/1/fader", 0])], "values[0].ask", MOVE.format(0)),
    ([masters(["/MIX/1/FADER", 0])], "values[0].ask", MOVE.format(0)),
    ([masters(["//fader", 0])], "values[0].ask", ODD.format("an empty segment")),
    # what sounded good once and reached a desk
    ([masters(["/set/fader", "{mix}", 0.5])], "values[0].ask", MORE),
    ([masters(["/in/{mix}/quiet", 1])], "values[0].ask", MORE),
    ([masters(["/mix/{mix}/fader/", "{mix}"])], "values[0].ask", ODD.format("an empty segment")),
    ([masters(["/x/../mix/1/fader", "{mix}"])], "values[0].ask", ODD.format("a segment of dots")),
    ([masters(["/mix/./1/fader", "{mix}"])], "values[0].ask", ODD.format("a segment of dots")),
    ([masters(["/mix/+1/fader", "{mix}"])], "values[0].ask", ODD.format("a sign before a number")),
    ([masters(["/mix/%31/fader", "{mix}"])], "values[0].ask", ODD.format("a '%'")),
    ([masters(["\\mix\\1\\fader", "{mix}"])], "values[0].ask", ODD.format("a '\\'")),
    ([masters(["/mix/001/fader", "{mix}"])], "values[0].ask", MOVE.format(0)),
    ([masters(["/mix/*/fader"])], "values[0].ask", REACH.format(0)),
    ([masters(["/mix/1/fader/"])], "values[0].ask", REACH.format(0)),
    ([masters(["/mix", "{mix}"], "/mix")], "values[0].ask", MOVE.format(0)),
    ([masters(["/get", "{mix}"]), {"ask": ["/mix/1/fader", 3],
                                   "answer": ["/mix/1/name", {"is": "desk.scene"}]},
      {"at": "/mix/{mix}/fader", "is": "mix.trim"}], "values[1].ask", MOVE.format(0)),
    ([masters(["/set", {"is": "mix.fader"}])], "values[0].ask[1]",
     "a question may carry only literals and indexes; a value here would be a move"),
])
def test_a_profile_that_could_set_a_value(tmp_path, values, place, what):
    path = write_json(tmp_path / "profile.json", small_profile(values))

    for words in (("check", path), ("audit", "--profile", path, "--desk", "127.0.0.1:9"),
                  ("watch", "--profile", path, "--desk", "127.0.0.1:9")):
        refused(run(*words), f"{path}: {place}: {what}")


def test_a_renewal_that_could_set_a_value(tmp_path):
    for send, what in ((["/mix/1/fader", 1], MOVE.format(0)), (["/mix/1/fader"], REACH.format(0)),
                       (["/desk/scene/load", 1], MORE)):
        path = write_json(tmp_path / "profile.json", small_profile(
            [{"at": "/mix/{mix}/fader", "is": "mix.fader"}], renew=[{"send": send, "every_s": 1}]))

        refused(run("check", path), f"{path}: renew[0].send: {what}")


def test_a_list_that_nobody_could_read(tmp_path):
    """A thousand messages may be agreed to; one more is refused at once, however many there are."""
    def profile(count):
        return write_json(tmp_path / "profile.json", small_profile(
            [{"at": "/mix/{mix}/fader", "is": "mix.fader"}],
            renew=[{"send": [f"/stay/{number}"], "every_s": 60} for number in range(count)]))

    assert run("check", profile(1000)).status == 0
    for count in (1001, 50000):
        path = profile(count)
        refused(run("check", path), f"{path}: {count} messages would have to be agreed to, at most 1000 can be; "
                "an {index} stands for many")


def test_this_only_asks_is_let_pass_and_printed(tmp_path):
    path = write_json(tmp_path / "profile.json", small_profile(
        [{**masters(["/mix", "{mix}"], "/mix"), "this_only_asks": True}]))

    result = run("check", path)
    assert result.status == 0
    assert ("    /mix {mix}, mix 1 to 2, asked as needed (the profile says: this only asks)\n"
            in result.out)


def test_refused_profiles_send_nothing(tmp_path):
    """Refused before the desk is spoken to, not after."""
    path = write_json(tmp_path / "profile.json", small_profile([masters(["/mix/{mix}/fader", 0.5])]))
    with OwnDesk(lambda desk, heard: None) as desk:
        assert run("audit", "--profile", path, "--desk", desk.at).status == 2
        time.sleep(0.1)
        assert desk.heard == []


# ---- desks that are not there ----

def test_a_host_that_does_not_resolve():
    # RFC 6761: .invalid never does; the resolver's own words for that depend on the network
    result = run("audit", "--profile", PROFILE, "--desk", "desk.invalid")

    assert re.fullmatch(r'gainwarden: the desk\'s host "desk\.invalid" does not resolve: [a-z ]+\n',
                        result.err), result.err
    assert result.out == ""
    assert result.status == 2


@pytest.mark.parametrize("desk, what", [
    ("host:0", "the port must be a whole number from 1 to 65535"),
    ("host:65536", "the port must be a whole number from 1 to 65535"),
    ("host:ninety", "the port must be a whole number from 1 to 65535"),
    ("host:", "the port must be a whole number from 1 to 65535"),
    (":9100", "the host is missing"),
    ("", "the host is missing"),
    ("[::1", "an address in brackets ends with ']' or ']:PORT'"),
    ("[::1]9100", "an address in brackets ends with ']' or ']:PORT'"),
])
def test_places_that_are_none(desk, what):
    refused(run("audit", "--profile", PROFILE, f"--desk={desk}"), f"--desk={desk}: {what}")


def test_no_desk_and_no_profile(tmp_path):
    refused(run("audit"), "no profile: give a show file, or --profile and --desk",
            "no desk: name its host in the show file under desk.host, or with --desk")
    refused(run("audit", "--profile", PROFILE),
            "no desk: name its host in the show file under desk.host, or with --desk")
    show = demo_show(tmp_path, desk={"host": "127.0.0.1"})
    refused(run("audit", show),
            "no profile: name one in the show file under desk.profile, or with --profile")


def closed_port():
    """A port that was free a moment ago; a bound TCP socket does not answer UDP, but keeps it."""
    holder = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    holder.bind(("127.0.0.1", 0))
    return holder, holder.getsockname()[1]


def test_a_port_nobody_answers_on():
    holder, port = closed_port()
    with holder:
        begun = time.monotonic()
        other = Process(BUILD / "gainwarden", "audit", SHOW, "--desk", f"127.0.0.1:{port}",
                        "--format=json")  # both at once: each listens for three seconds
        text = run("audit", SHOW, "--desk", f"127.0.0.1:{port}")
        assert other.wait() == 3
    report = json.loads(other.text())

    assert text.status == 3
    goal(time.monotonic() - begun, 5)
    assert ("The desk was never heard (connection refused). Is it on, is OSC enabled, are address and "
            "port right?") in flat(text.out)
    assert "\nNo findings in what is known; what is not known stands below.\n" in text.out
    assert report["link"]["error"] == "connection refused"
    assert report["link"]["heard"] == 0


def test_a_silent_desk():
    desk = MockDesk(silent=1)
    text = run("audit", SHOW, "--desk", desk.at)

    assert text.status == 3
    goal(text.took, 5)
    assert ("The desk was never heard (no answer). Is it on, is OSC enabled, are address and port "
            "right?") in flat(text.out)
    assert re.search(r"^Not known \(\d{3}\)$", text.out, re.M)
    assert "No findings." not in text.out
    assert "unused-preamp-gain: input 1 and 23 more: input.mute of input 1 was never heard" in entries(text.out, 2)


def test_of_a_silent_desk_nothing_is_said_but_that():
    """Not even that an accepted finding does not exist."""
    report, result = audit(MockDesk(silent=1))

    assert result.status == 3
    assert findings(report) == report["accepted"] == []
    assert set(report["passed"].values()) == {0}
    # every check on every object it applies to: five per input, of the mixes six loudspeakers
    unknown = [one["check"] for one in report["not_known"] if one["check"] in CHECKS]
    assert len(unknown) == 5 * 24 + 6 + 8 + 8
    assert report["accepts_without_effect"] == []


def test_a_desk_that_goes_silent_while_it_is_read(tmp_path):
    """What was heard before counts; the audit ends by itself."""
    left = [300]

    def answer(desk, heard):
        left[0] -= 1
        if left[0] > 0 and heard.address.endswith("/name"):
            desk.send(heard.peer, osc.message(heard.address, "s", "Label"))

    profile = demo_profile(tmp_path, pace={"answer_within_ms": 50, "tries": 2})
    with OwnDesk(answer) as desk:
        report, result = audit(desk, "--profile", profile)

    assert result.status == 3
    assert report["link"]["heard"] == 24  # the inputs' names; those of the mixes come later
    assert findings(report) == []
    assert report["not_known"]


# ---- desks that say half ----

def half_desk(tmp_path, **state):
    profile = demo_profile(tmp_path, pace={"answer_within_ms": 100, "tries": 2})
    return audit(MockDesk(half=1, **state), "--profile", profile)


@pytest.fixture(scope="module")
def half(tmp_path_factory):
    """One reading of the demo's desk that answers half, for the tests that look at it."""
    read = []

    def once():
        if not read:
            read.append(half_desk(tmp_path_factory.mktemp("half")))
        return read[0]

    return once  # called in the test, since what is started belongs to a test


def test_a_desk_that_answers_half(half):
    report, result = half()
    link = report["link"]

    assert result.status == 1  # what is known is bad enough
    # even inputs and mixes are not answered for: half of the questions, but not those to the
    # four groups, two each, and the three to the desk
    assert link["never_came"] == (link["asked"] - 4 * 2 - 3) / 2 > 0
    assert link["heard"] + link["never_came"] == link["asked"] == QUESTIONS
    assert link["asked_again"] >= link["never_came"]  # two tries
    goal(link["asked_again"], link["never_came"] + 1)  # none for an answer that was but late
    # of a mistake nothing is lost that rests on what was answered; whether a path matters beside the
    # loudest into its mix rests on every input, so the three wrong high-passes have to wait
    assert [one for one in findings(report) if one[0] in CHECKS] == [("master-off-unity", "fix", {"mix": 3})]
    unknown = {(one["check"], *one["object"].items()) for one in report["not_known"]}
    assert unknown >= {("high-pass-missing", ("input", 5)), ("high-pass-low", ("input", 19)),
                       ("high-pass-high", ("input", 17))}


def test_half_a_desk_says_what_it_does_not_know(half):
    report, _ = half()
    unknown = {(one["check"], *one["object"].items()): one["why"] for one in report["not_known"]}

    assert unknown["high-pass-missing", ("input", 20)] == "input.mute of input 20 was never heard"
    assert unknown["too-many-cuts", ("mix", 2)] == \
        "mix.graphic.on of mix 2 was never heard; mix.eq.on of mix 2 was never heard"
    assert unknown["master-off-unity", ("mix", 8)] == "mix.fader of mix 8 was never heard"
    assert unknown["send-follows-fader", ("mix", 1)] == \
        "send.on of input 2, mix 1 was never heard, and 11 more"
    # any other input may hang on the same preamp and use the gain
    assert unknown["unused-preamp-gain", ("input", 15)] == "input.preamp of input 2 was never heard"
    for item in report["findings"] + report["accepted"]:
        assert all(number % 2 == 1 for number in item["object"].values())
    judged = {(one["check"], *one["object"].items()) for one in report["findings"]}
    assert not judged & set(unknown)


def test_half_a_desk_without_anything_to_fix(tmp_path):
    state = read_json(SHOW.parent / "desk-state.json")
    state["inputs"][4]["high_pass"]["on"] = True
    state["mixes"][2]["fader"] = 0
    report, result = half_desk(tmp_path, state=write_json(tmp_path / "state.json", state))

    assert findings(report)
    assert {weight for _, weight, _ in findings(report)} == {"note"}
    assert report["not_known"]
    assert result.status == 3


def test_the_reading_can_be_bounded():
    desk = MockDesk(answers_per_second=200)
    result = run("audit", SHOW, "--desk", desk.at, "--within", "1", "--format", "json")

    goal(result.took, 3)
    assert "gainwarden: the reading took 1 s, ending it (--within)\n" in result.err
    report = result.json()
    assert 0 < report["link"]["heard"] < QUESTIONS
    assert report["link"]["heard"] + report["link"]["never_came"] == QUESTIONS
    assert result.status in (1, 3)
    assert report["not_known"]


@pytest.mark.parametrize("number", [2, 15], ids=["SIGINT", "SIGTERM"])
def test_an_interrupted_audit(number):
    desk = MockDesk(answers_per_second=100)
    process = Process(BUILD / "gainwarden", "audit", SHOW, "--desk", desk.at)
    process.err.wait("questions answered", 10, 0)

    assert process.stop(number) == 2
    assert process.err.texts()[-1] == "gainwarden: interrupted, no report"
    assert process.text() == ""


# ---- rubbish ----

BLOB_WITHOUT_BYTES = bytes.fromhex("2f6100002c620000")
EMPTY_ELEMENT = bytes.fromhex("2362756e646c6500000000000000000100000000")


def test_rubbish_among_the_answers():
    still, _ = demo_audit()
    report, result = audit(MockDesk(garbage=1))
    rejected = report["link"]["rejected"]

    assert findings(report) == findings(still)
    assert result.status == 1
    assert report["not_known"] == []
    # six kinds of rubbish, one of them behind each answer; the last may come too late to be seen
    assert set(rejected) == {"unaligned", "no-address", "bad-blob", "bad-element", "unknown-address"}
    answers = sum(report["link"][word] for word in ("asked", "asked_again", "asked_beside"))
    assert answers - 1 <= sum(rejected.values()) <= answers


def test_the_page_counts_what_was_turned_down():
    result = run("audit", SHOW, "--desk", MockDesk(garbage=1).at)

    assert re.search(r"^Refused: .*unaligned \d+.*bad-blob \d+", result.out, re.M)


def echo_masters(desk, heard, values=("f", 0.0), before=()):
    """Answers for the masters of small_profile()'s desk."""
    desk.send(heard.peer, *before)
    desk.send(heard.peer, osc.message(heard.address, *values))


def read_masters(tmp_path, before=(), labels=False, **answer):
    """An audit of a desk of two mixes that sends datagrams before its first answer.

    With labels, it may push them, and the reading waits a while for them.
    """
    values = [{"at": "/mix/{mix}/fader", "is": "mix.fader"}]
    if labels:
        values.append({"answer": ["/mix/{mix}/name", {"is": "mix.name"}]})
    path = write_json(tmp_path / "profile.json", small_profile(
        values, pace={"answer_within_ms": 200, "tries": 2}))
    rubbish = list(before)

    def reply(desk, heard):
        echo_masters(desk, heard, before=rubbish, **answer)
        rubbish.clear()

    with OwnDesk(reply) as desk:
        return audit(desk, "--profile", path, show=None)


def nested(depth, inside):
    for _ in range(depth):
        inside = osc.bundle(inside)
    return inside


GOOD = osc.message("/mix/1/fader", "f", 0.0)


@pytest.mark.parametrize("datagram, reason", [
    (BLOB_WITHOUT_BYTES, "bad-blob"),
    (EMPTY_ELEMENT, "bad-element"),
    (b"", "empty"),
    (b"/mix/1/fader", "bad-string"),  # no end
    (b"/mix/1/fader\0\0\0x,f\0\0\0\0\0\0", "bad-string"),  # padding that is not NUL
    (osc.text("/mix/1/fader"), "no-types"),
    (osc.text("/mix/1/fader") + osc.text("f") + bytes(4), "no-types"),
    (osc.text("/mix/1/fader") + osc.text(",f"), "short"),
    (osc.text("/mix/1/fader") + osc.text(",f") + bytes(8), "long"),
    (osc.text("/mix/1/fader") + osc.text(",fz") + bytes(8), "unknown-type"),
    (osc.text("/mix/1/fader") + osc.text(",[f") + bytes(4), "bad-array"),
    (osc.text("/mix/1/fader") + osc.text(",b") + b"\xff\xff\xff\xfd" + bytes(4), "bad-blob"),
    (osc.text("/mix/1/fader") + osc.text(",b") + b"\0\0\0\x05" + bytes(4), "bad-blob"),
    (osc.text("mix/1/fader") + osc.text(",f") + bytes(4), "no-address"),
    (GOOD[:-1], "unaligned"),
    (osc.bundle(GOOD)[:-4], "bad-element"),
    (osc.bundle(GOOD[:-2]) + bytes(2), "bad-element"),
    (osc.text("#bundle"), "short"),
    (nested(9, GOOD), "too-deep"),
    (osc.message("/mix/3/fader", "f", 0.0), "unknown-address"),
    (osc.message("/mix/1/fader", "ff", 0.0, 0.0), "other-arguments"),
    (osc.message("/mix/1/fader", "f", float("nan")), "bad-value"),
    (osc.message("/mix/1/fader", "f", float("inf")), "bad-value"),
    (osc.message("/mix/1/fader", "f", 31.0), "bad-value"),  # `explain parameters`: -200 to 30 dB
    (osc.message("/mix/1/fader", "s", "loud"), "bad-value"),
    (osc.message("/mix/1/fader", "b", b"1234"), "bad-value"),
])
def test_each_kind_of_rubbish_by_its_reason(tmp_path, datagram, reason):
    """Turned down under its name, and the answers behind it are taken."""
    report, _ = read_masters(tmp_path, [datagram], values=("f", -3.0))

    assert report["link"]["rejected"] == {reason: 1}
    assert [finding(report, "master-off-unity", mix=mix)["figures"]["master_db"]
            for mix in (1, 2)] == [-3, -3]


def test_what_is_not_rubbish_is_taken(tmp_path):
    """The same checks let pass what OSC allows, so the test above proves something."""
    for datagram in (nested(8, GOOD), osc.bundle(GOOD, GOOD), osc.bundle(),
                     osc.message("/mix/1/fader", "d", 0.0)):
        report, _ = read_masters(tmp_path, [datagram], values=("f", -3.0))
        assert report["link"]["rejected"] == {}


@pytest.mark.parametrize("bad, reason, unread", [
    (GOOD[:-4], "short", "/mix/1/fader ,f"),
    (osc.text("/mix/1/fader") + osc.text(",fz") + bytes(4), "unknown-type", "/mix/1/fader ,fz"),
    (osc.text("/mix/1/fader") + osc.text(",[f") + bytes(4), "bad-array", "/mix/1/fader ,[f"),
    (osc.text("/mix/1/fader"), "no-types", "/mix/1/fader"),
    (GOOD[:-2], "bad-element", "/mix/1/fader ,f"),
    (b"", "bad-element", None),
    (osc.text("#bundle"), "short", None),
    (nested(8, GOOD), "too-deep", None),
])
def test_a_bad_message_of_a_bundle_is_turned_down_alone(tmp_path, bad, reason, unread):
    """Its neighbours on both sides are heard, and it is counted with its address, where it has one."""
    times = 2 if len(bad) % 4 else 1  # an element's size may be odd, a datagram's not
    half_good = osc.bundle(osc.message("/mix/1/name", "s", "Before"), *[bad] * times,
                           osc.message("/mix/2/name", "s", "Behind"))
    report, _ = read_masters(tmp_path, [half_good], labels=True, values=("f", -3.0))

    assert report["link"]["rejected"] == {reason: times}
    assert report["link"]["unread"].get(reason) == unread
    assert [finding(report, "master-off-unity", mix=mix)["labels"] for mix in (1, 2)] == [
        {"mix": "Before"}, {"mix": "Behind"}]


def test_the_page_names_what_could_not_be_read(tmp_path):
    profile = write_json(tmp_path / "profile.json", small_profile([{"at": "/mix/{mix}/fader", "is": "mix.fader"}]))

    def reply(desk, heard):
        echo_masters(desk, heard, before=[osc.text("/odd") + osc.text(",z")])

    with OwnDesk(reply) as desk:
        result = run("audit", "--profile", profile, "--desk", desk.at)

    assert re.search(r"^Refused: unknown-type \d+ \(/odd ,z\)$", result.out, re.M)


def reason_of(noise):
    """By the length and the first bytes alone: none of the noise below is made to go further."""
    return "empty" if not noise else "unaligned" if len(noise) % 4 else "no-address"


def test_noise(tmp_path):
    dice = random.Random(SEED)
    noise = [bytes([dice.randrange(128, 256)]) + dice.randbytes(dice.randrange(0, 200))
             for _ in range(200)]
    report, _ = read_masters(tmp_path, noise, values=("f", -3.0))

    expected = {}
    for one in noise:
        expected[reason_of(one)] = expected.get(reason_of(one), 0) + 1
    assert report["link"]["rejected"] == expected
    assert report["link"]["never_came"] == 0


def test_damaged_messages(tmp_path):
    """Real datagrams with random bytes changed: nothing breaks, and the answers behind are taken."""
    dice = random.Random(SEED)
    damaged = []
    for _ in range(300):
        # labels, which nobody asks for: an answer would end the reading
        raw = bytearray(osc.bundle(osc.message("/mix/1/name", "s", "Left wedge"),
                                   osc.message("/mix/2/name", "i", 7)))
        for _ in range(dice.randrange(1, 4)):
            raw[dice.randrange(len(raw))] ^= dice.randrange(1, 256)
        damaged.append(bytes(raw))
    report, _ = read_masters(tmp_path, damaged, labels=True, values=("f", -3.0))

    # most of such a datagram is structure, so most of them are turned down; its two messages may be
    # so apart from each other
    assert 100 < sum(report["link"]["rejected"].values()) <= 4 * len(damaged)
    assert report["link"]["never_came"] == 0
    assert [finding(report, "master-off-unity", mix=mix)["figures"]["master_db"]
            for mix in (1, 2)] == [-3, -3]


# ---- output that cannot be written ----

WORDS = {
    "audit": ("audit", SHOW), "report": ("audit", SHOW, "--format=json"), "explain": ("explain",),
    "parameters": ("explain", "parameters"), "check": ("check", PROFILE), "help": ("--help",),
    "version": ("--version",), "command help": ("audit", "--help"),
}


def to_nowhere(words, stdout):
    if words[0] == "audit" and words[1] == SHOW:
        words = (*words, "--desk", MockDesk().at)
    return run(*words, stdout=stdout)


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
def test_full_disk(words):
    with open("/dev/full", "wb") as full:
        result = to_nowhere(words, full)

    assert result.err == "gainwarden: cannot write to standard output: No space left on device\n"
    assert result.status == 2


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
def test_closed_pipe(words):
    reading, writing = os.pipe()
    os.close(reading)
    try:
        result = to_nowhere(words, writing)
    finally:
        os.close(writing)

    assert result.err == "gainwarden: cannot write to standard output: Broken pipe\n"
    assert result.status == 2


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
def test_closed_standard_output(words):
    """As a shell's `>&-` leaves it. Nothing else may be opened in its place: what is printed would
    go there."""
    if words[0] == "audit" and words[1] == SHOW:
        words = (*words, "--desk", MockDesk().at)
    line = " ".join(["exec", "'%s'" % (BUILD / "gainwarden"), *(f"'{word}'" for word in words), ">&-"])
    done = subprocess.run(["/bin/sh", "-c", line], stdin=subprocess.DEVNULL, capture_output=True,
                          text=True, timeout=20, check=False)

    assert done.stderr == "gainwarden: cannot write to standard output: Bad file descriptor\n"
    assert done.returncode == 2


def test_a_closed_standard_error_changes_nothing():
    desk = MockDesk()
    line = f"exec '{BUILD / 'gainwarden'}' audit '{SHOW}' --desk {desk.at} --format=json 2>&-"
    done = subprocess.run(["/bin/sh", "-c", line], stdin=subprocess.DEVNULL, capture_output=True,
                          text=True, timeout=20, check=False)

    assert done.returncode == 1
    assert findings(json.loads(done.stdout)) == findings(demo_audit()[0])


# ---- words on the command line ----

@pytest.mark.parametrize("words, what", [
    (("audti",), 'unknown command "audti", did you mean "audit"?\nTry `gainwarden --help`.'),
    (("frobnicate",), 'unknown command "frobnicate"\nTry `gainwarden --help`.'),
    (("audit", "--frmat", "json"),
     'unknown option --frmat, did you mean "--format"?\nTry `gainwarden audit --help`.'),
    (("audit", "--zzz"), "unknown option --zzz\nTry `gainwarden audit --help`."),
    (("audit", SHOW, "--zzz"), "unknown option --zzz\nTry `gainwarden audit --help`."),
    (("audit", "-x"), "unknown option -x\nTry `gainwarden audit --help`."),
    (("watch", "--within", "3"), "unknown option --within\nTry `gainwarden watch --help`."),
    (("audit", "--desk"), "--desk needs an argument\nTry `gainwarden audit --help`."),
    (("audit", "--format", "xml"), "--format=xml: allowed are text, json and html"),
    (("audit", "--within", "0"), "--within=0: must be seconds from 0.1 to 86400"),
    (("audit", "--within", "nan"), "--within=nan: must be seconds from 0.1 to 86400"),
    (("audit", "--within", "5x"), "--within=5x: must be seconds from 0.1 to 86400"),
    (("watch", "--still-every", "-1"), "--still-every=-1: must be seconds from 0 to 86400"),
    (("audit", "one", "two"), '"two" is one word too many\nTry `gainwarden audit --help`.'),
    (("check",), "check needs at least one file\nTry `gainwarden check --help`."),
    (("explain", "master-off-untiy"), 'no check is called "master-off-untiy", did you mean '
     '"master-off-unity"?\nTry `gainwarden explain`.'),
])
def test_wrong_usage(words, what):
    result = run(*words)

    assert result.err == f"gainwarden: {what}\n"
    assert result.out == ""
    assert result.status == 2


@pytest.mark.parametrize("words", [("audit", "-xy"), ("audit", SHOW, "-xy")])
def test_the_wrong_option_is_the_one_that_is_named(words):
    result = run(*words)

    assert result.err.startswith("gainwarden: unknown option -x")
    assert result.status == 2


def test_an_argument_to_an_option_that_takes_none():
    result = run("audit", "--all=1")

    # --all is no unknown option, and nothing near it was meant
    assert result.err.startswith("gainwarden: --all")
    assert "unknown" not in result.err and "did you mean" not in result.err
    assert result.status == 2
