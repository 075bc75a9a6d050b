# SPDX-License-Identifier: MIT
"""What goes wrong at the command line says where, and what to do, once. Wrong words end with 2 in every command."""
import re
import socket
import subprocess

import pytest

from harness import (BUILD, PROFILE, SHOW, MockChat, MockDesk, agreed_hash, demo_profile, demo_show, environment, flat,
                     read_json, run, write_json)
from test_chat import openssl
from test_control import Controlled
from test_tell_test import tell_test

DESK = {"profile": str(PROFILE), "role": "monitor"}


@pytest.mark.parametrize("host", ["192.0.2.1:9000", "[2001:db8::1]:9000", "[::1]", "desk.local:9000"])
def test_a_host_with_a_port(tmp_path, host):
    desk = demo_show(tmp_path, desk={**DESK, "host": host})
    (tmp_path / "cue").mkdir()
    cue = demo_show(tmp_path / "cue", tell={"osc": {"host": host, "port": 9000}})
    line = (f'"{host}" is more than a host: a port stands beside it, under "port", and an IPv6 address without '
            "brackets")

    for words, show, place in ((("audit",), desk, "desk.host"), (("check",), desk, "desk.host"),
                               (("check",), cue, "tell.osc.host")):
        result = run(*words, show)
        assert (result.status, result.err) == (2, f"gainwarden: {show}: {place}: {line}\n")


@pytest.mark.parametrize("host", ["192.0.2.1", "2001:db8::1", "::1", "desk.local"])
def test_a_host_without_a_port(tmp_path, host):
    assert run("check", demo_show(tmp_path, desk={**DESK, "host": host})).status == 0


def missing_profile(folder, name="gone.json"):
    return demo_show(folder, desk={"profile": name, "host": "127.0.0.1"})


@pytest.mark.parametrize("command", ["check", "audit", "watch", "listen", "retrim", "approve", "compare"])
def test_a_missing_profile_is_named_with_its_show(tmp_path, command):
    show = missing_profile(tmp_path)
    result = run(command, show)

    assert result.status == 2
    assert result.err.splitlines()[0] == (f"gainwarden: {show}: desk.profile: {tmp_path}/gone.json: cannot read: "
                                          "No such file or directory")


def test_a_show_file_where_a_show_names_its_profile(tmp_path):
    show = missing_profile(tmp_path, str(SHOW))
    assert run("audit", show).err.startswith(f"gainwarden: {show}: desk.profile: {SHOW}: is a show file, must be a "
                                             "profile; ")


def test_a_profile_of_the_command_line_is_no_matter_of_the_show(tmp_path):
    result = run("audit", SHOW, "--profile", tmp_path / "gone.json")
    assert result.err == f"gainwarden: {tmp_path}/gone.json: cannot read: No such file or directory\n"


@pytest.mark.parametrize("command", ["check", "watch"])
def test_no_line_stands_twice(tmp_path, command):
    """Two shows with one profile that has a mistake, and the same show twice."""
    profile = read_json(PROFILE)
    profile["pace"]["tries"] = 0
    path = write_json(tmp_path / "profile.json", profile)
    shows = []
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        shows.append(demo_show(tmp_path / name, desk={"profile": str(path), "host": "127.0.0.1"}))
    result = run(command, *shows, shows[0])

    assert result.status == 2
    assert result.err == f"gainwarden: {path}: pace.tries: must be a whole number from 1 to 20\n"


@pytest.fixture(name="taken")
def taken_port():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as holder:
        holder.bind(("0.0.0.0", 0))
        yield holder.getsockname()[1]


def own_port(folder, port):
    folder.mkdir(exist_ok=True)
    profile = demo_profile(folder, link={"answer_port": port})
    return demo_show(folder, desk={"profile": str(profile), "host": "127.0.0.1", "port": 9, **agreed_hash(profile)})


def says_taken(port):
    return (f"gainwarden: own port {port} (link.answer_port of the profile) is taken by another program, and the desk "
            "answers only there. A watch of this desk? `gainwarden status SHOW` asks it. "
            f"`ss -ulnp sport = :{port}` names the program: end it first\n")


@pytest.mark.parametrize("command", ["audit", "watch", "listen", "retrim", "approve"])
def test_our_own_port_is_taken(tmp_path, taken, command):
    result = run(command, own_port(tmp_path, taken))
    assert (result.status, result.out, result.err) == (2, "", says_taken(taken))


def test_two_desks_of_one_watch_want_the_same_port(tmp_path, taken):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("0.0.0.0", 0))
        port = free.getsockname()[1]
    result = run("watch", own_port(tmp_path / "one", port), own_port(tmp_path / "other", port))
    assert (result.status, result.out, result.err) == (2, "", says_taken(port)) and port != taken


def test_a_hook_that_signs_for_itself(tmp_path):
    openssl(tmp_path, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days",
            "2", "-subj", "/CN=hook", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", "own.key", "-out", "own.pem")
    tls = ("--cert", tmp_path / "own.pem", "--key", tmp_path / "own.key")
    hook = MockChat(tmp_path / "tls.jsonl", *tls)
    alone = tell_test(tmp_path, hook.url)
    named = tell_test(tmp_path, hook.url, ca_file=str(tmp_path / "own.pem"))

    assert flat(alone.out) == ("not delivered: nobody known here signed the hook's certificate: name a file with it "
                               "under tell.chat.ca_file")
    assert named.status == 0 and len(hook.records()) == 1


def test_a_player_nobody_has(tmp_path):
    watched = Controlled(tmp_path)
    words = ("--for", "10m", "--why", "packs are off")
    result = watched.ask("quiet", "--player", "drum", *words)

    assert result.status == 2
    assert result.err == ('gainwarden: nobody here is called "drum"; there are lead vocal, guitar, keys, horns, bass, '
                          "drums\n")
    assert watched.ask("quiet", "--player", "Drums", *words, "--now").status == 0
    assert watched.watch.stop() == 0


def test_keep_forgotten(tmp_path):
    """The folder is named where the socket's address holds its path, 107 bytes."""
    watched = Controlled(tmp_path)
    address = next(watched.keep.rglob("*.socket"))
    folder = f"--keep={watched.keep}" if len(bytes(address)) < 108 else "the --keep it was started with"
    for words in ((), ("--keep", tmp_path / "other")):
        result = run("status", watched.show, *words)
        assert result.status == 2
        assert re.fullmatch(r"gainwarden: the watch of this show runs with another --keep "
                            rf"\(\S+\.socket: No such file or directory\): add {folder}\n", result.err)
    assert watched.watch.stop() == 0
    assert "no watch of this show is running" in run("status", watched.show).err


def test_progress_that_stands_is_told_once():
    done = subprocess.run([BUILD / "gainwarden", "audit", "--profile", PROFILE, "--desk", "127.0.0.1:9"],
                          capture_output=True, text=True, env=environment(), timeout=30)
    assert done.returncode == 3
    assert done.stderr.count("gainwarden: 0 of 1403 questions answered") == 1


@pytest.mark.parametrize("words, error", [
    (("frobnicate",), 'unknown command "frobnicate"'),
    (("--frob",), 'unknown command "--frob"'),
    (("audit", "--formt=json"), 'unknown option --formt, did you mean "--format"?'),
    (("audit", "--format=xml"), "--format=xml: allowed are text, json and html"),
    (("compare", "--format=csv"), "--format=csv: allowed are text, json and html"),
    (("status", "--format=html"), "--format=html: allowed are text and json"),
    (("retrim", "--role=both"), "--role=both: allowed are monitor and house"),
    (("audit", "--within=soon"), "--within=soon: must be seconds from 0.1 to 86400"),
    (("watch", "--still-every=x"), "--still-every=x: must be seconds from 0 to 86400"),
    (("watch", "--record-limit=x"), "--record-limit=x: must be megabytes from 0.01 to 1000"),
    (("listen", SHOW, "--for=x"), "--for=x: must be a time"),
    (("approve", SHOW, "--input=x"), "--input=x: must be a whole number from 1"),
    (("check", "--schema=x"), "--schema=x: allowed are profile, show and stage"),
    (("explain", "frob"), 'no check is called "frob"'),
    (("review", "--format=xml"), "--format=xml: allowed are text, json, html and csv"),
    (("quiet", SHOW, "--end=x"), "--end=x: must be a whole number from 1"),
    (("status", SHOW, "word"), '"word" is one word too many'),
])
def test_a_wrong_word_ends_with_2(words, error):
    result = run(*words)
    assert result.status == 2 and result.out == ""
    assert result.err.startswith(f"gainwarden: {error}"), result.err


@pytest.mark.parametrize("words, error", [
    (("room", "lunch"), "no such word for the room"),
    (("quiet", "--check", "frob", "--for", "1h", "--why", "x"), "no such check"),
    (("quiet", "--input", "999", "--for", "1h", "--why", "x"), "the desk has no such input"),
    (("quiet", "--mix", "999", "--for", "1h", "--why", "x"), "the desk has no such mix"),
    (("quiet", "--end", "7"), "no quieting of that number"),
])
def test_a_wrong_word_to_the_watch_ends_with_2(tmp_path, words, error):
    watched = Controlled(tmp_path)
    result = watched.ask(*words)
    assert result.status == 2 and result.err.startswith(f"gainwarden: {error}")
    assert watched.watch.stop() == 0


def test_every_command_has_a_wrong_option():
    commands = re.findall(r"^  ([a-z-]+) +\S", run("--help").out.partition("\noptions:")[0], re.M)
    assert len(commands) > 12
    for command in commands:
        result = run(command, "--zzyq")
        assert (result.status, result.out) == (2, ""), command
        assert result.err.startswith("gainwarden: unknown option --zzyq\n"), command  # and nothing far-fetched is offered


def test_the_times_of_a_replay(tmp_path):
    desk = MockDesk()
    record = tmp_path / "evening"
    watched = Controlled(tmp_path, "--record", record, desk=desk)
    assert watched.watch.stop() == 0
    result = run("replay", record, "--at=noon")
    assert result.status == 2 and "--at=noon" in result.err
