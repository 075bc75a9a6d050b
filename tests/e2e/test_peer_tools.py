# SPDX-License-Identifier: MIT
"""Two programs of Debian's liblo-tools as peers that know nothing of this project: oscsend moves
values on the desk while the watch runs, and oscdump shows what gainwarden sends.
"""
import os
import pathlib
import re
import subprocess

import pytest

import osc
from harness import (PROFILE, QUESTIONS, MockDesk, Process, audit, begin_watch, fader_wire, finding,
                     head_wire, notes, questions, read_json, renewals, run, until, write_json)

# The tests need them: a machine without is not set up, and that must not pass.
OSCSEND, OSCDUMP = "/usr/bin/oscsend", "/usr/bin/oscdump"


def oscsend(desk, address, tags="", *values):
    subprocess.run([OSCSEND, desk.host, str(desk.port), address, tags, *map(str, values)], check=True,
                   timeout=10)


def test_the_tools_are_there():
    assert os.access(OSCSEND, os.X_OK) and os.access(OSCDUMP, os.X_OK), \
        "install Debian's liblo-tools"


# ---- oscsend moves, the watch tells ----

def test_a_master_that_oscsend_moves():
    desk = MockDesk()
    watcher, seen = begin_watch(desk, "--still-every", "0")
    oscsend(desk, "/mix/1/fader", "f", fader_wire(-7))
    watcher.expect("mix 1", start=seen)
    oscsend(desk, "/mix/1/fader", "f", fader_wire(0))
    watcher.expect("cleared", start=seen)
    raised, cleared = notes(watcher, seen)

    assert raised == (
        "raised fix [master-off-unity] mix 1 Ld Vox wedge (lead vocal): the master stands at -7 dB, "
        "so everything in the mix is 7 dB lower; do: if a hand slipped, put back: master −7 -> 0 dB; "
        "ends up to 7 dB louder, so slowly")
    assert re.fullmatch(r"cleared \[master-off-unity\] mix 1 Ld Vox wedge after \d\.\d s", cleared)
    assert watcher.stop() == 0


def test_a_high_pass_that_oscsend_switches():
    desk = MockDesk()
    watcher, seen = begin_watch(desk)
    oscsend(desk, "/in/19/hp/on", "i", 0)
    watcher.expect(r"raised fix \[high-pass-missing\] input 19 BV 1 \(guitar\)", start=seen)
    oscsend(desk, "/in/19/hp/on", "T")
    watcher.expect(r"cleared \[high-pass-missing\] input 19 BV 1 after", start=seen)
    assert watcher.stop() == 0


@pytest.mark.parametrize("tags, value", [("f", head_wire(52)), ("d", head_wire(52)), ("i", 1)])
def test_a_preamp_that_oscsend_turns_up(tags, value):
    """The vocal's, whose surplus is told as a fix already: an audit sees where it stands."""
    desk = MockDesk()
    oscsend(desk, "/in/18/head/gain", tags, value)
    until(lambda: desk.ask("/in/18/head/gain") == [pytest.approx(value)])
    report, _ = audit(desk)

    figures = finding(report, "unused-preamp-gain", input=18)["figures"]
    assert figures["preamp_db"] == pytest.approx(52 if tags != "i" else 56, abs=0.001)
    assert figures["surplus_db"] == 14  # what the sends take away is as before


def test_a_band_that_oscsend_cuts():
    desk = MockDesk()
    oscsend(desk, "/set/mix-eq", "iiisfff", 1, 1, 1, "peak", 800, -6, 2)
    oscsend(desk, "/mix/1/eq/on", "i", 1)
    oscsend(desk, "/mix/1/graphic/7", "f", -3)
    until(lambda: desk.ask("/mix/1/graphic")[6] == -3)
    report, _ = audit(desk)

    # five cuts of the demo's graphic, one more there and one in the parametric equaliser
    assert finding(report, "too-many-cuts", mix=1)["figures"]["cuts_count"] == 7


# ---- oscdump listens ----

class Dump(Process):
    """oscdump on a port that the kernel gave it: it does not say which, /proc does."""

    def __init__(self):
        super().__init__(OSCDUMP, "-L", "0")
        self.port = until(self.find_port, what="oscdump's socket")
        self.at = f"127.0.0.1:{self.port}"

    def sockets(self):
        """Of its open files; it may close one between the two looks at it."""
        for entry in pathlib.Path(f"/proc/{self.popen.pid}/fd").iterdir():
            try:
                yield os.readlink(entry)
            except FileNotFoundError:
                pass

    def find_port(self):
        sockets = set(self.sockets())
        for row in pathlib.Path("/proc/net/udp").read_text().splitlines()[1:]:
            columns = row.split()
            if f"socket:[{columns[9]}]" in sockets:
                return int(columns[1].rsplit(":", 1)[1], 16)
        return None

    def messages(self):
        """(address, arguments as oscdump prints them), without the time stamps."""
        return [line.split(" ", 1)[1].strip() for line in self.out.texts() if " /" in line]

    def stop(self, number=2, timeout=10):
        self.popen.send_signal(number)
        self.popen.wait(timeout)
        return 0  # it knows no clean way to end


def printed(datagram):
    """A message as oscdump 0.31 prints it: address, tags, arguments; text in double quotes."""
    address, values = osc.parse(datagram)
    tags = "".join("s" if isinstance(value, str) else "i" for value in values)
    shown = [f'"{value}"' if isinstance(value, str) else str(value) for value in values]
    return " ".join([address, tags, *shown]).strip()


@pytest.fixture
def hasty_profile(tmp_path):
    """The demo's profile with next to no time to answer: oscdump never answers, and within the three
    seconds that an audit listens to silence every question is to go out once."""
    profile = read_json(PROFILE)
    profile["pace"] = {"in_flight": 64, "per_second": 2000, "answer_within_ms": 2, "tries": 1}
    return write_json(tmp_path / "profile.json", profile)


def test_oscdump_reads_every_question(hasty_profile):
    dump = Dump()
    result = run("audit", "--profile", hasty_profile, "--desk", dump.at)
    until(lambda: len(dump.messages()) >= QUESTIONS + 1)
    messages = dump.messages()
    profile = read_json(hasty_profile)

    assert result.status == 3  # it only listens
    assert set(messages) == {printed(data) for data in questions(profile) + renewals(profile)}
    assert messages[0] == "/stay"
    assert "/get/eq ii 24 4" in messages
    assert "/in/1/head/gain" in messages


def test_oscdump_at_the_port_of_the_profile(tmp_path):
    """No port on the command line: the profile's is used."""
    dump = Dump()
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "A listener", "link": {"transport": "udp", "port": dump.port},
        "pace": {"tries": 1}, "counts": {"input": 1, "mix": 2}, "first": {"mix": 0},
        "renew": [{"send": ["/keep", "me", 3], "every_s": 60, "this_only_asks": True}],
        "values": [{"at": "/mix/{mix:3}/level", "is": "mix.fader"},
                   {"ask": ["/get", "name", "{mix}"], "this_only_asks": True, "answer": ["/name", "{mix}", {"is": "mix.name"}]}]})
    run("audit", "--profile", path, "--desk", "127.0.0.1")
    until(lambda: len(dump.messages()) >= 5)

    # the first question once more for each second of silence, to see whether anybody is there
    assert dump.messages()[:5] == ['/keep si "me" 3', "/mix/000/level", "/mix/001/level",
                                   '/get si "name" 0', '/get si "name" 1']
    assert set(dump.messages()[5:]) <= {"/mix/000/level"}


def test_oscdump_sees_the_renewals_of_a_watch(tmp_path):
    dump = Dump()
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "A listener", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 1, "mix": 1}, "renew": [{"send": ["/keep"], "every_s": 0.5}],
        "values": [{"answer": ["/level/{mix}", {"is": "mix.fader"}]}]})
    watcher = Process(os.path.join(os.environ["GAINWARDEN_BUILD"], "gainwarden"), "watch",
                      "--profile", path, "--desk", dump.at)
    until(lambda: dump.messages().count("/keep") >= 5, 5)

    assert set(dump.messages()) == {"/keep"}
    assert watcher.stop() == 0
