# SPDX-License-Identifier: MIT
"""Network weather: whatever happens on the way, the report is right or says what it does not know.

In namespaces that the tests make themselves: loss by nftables, a rate by tbf, delay, jitter, reordering and
duplicates by netem where the kernel has it, else by relay.py. Where namespaces are not allowed, by
mock-desk's own faults (GW_NO_NAMESPACES=1 asks for them). Each test prints which it used.
"""
import json
import os
import re
import sys
import time

import pytest

import net
from harness import (BUILD, SHOW, STATE, MockDesk, Process, demo_audit, fader_wire, findings, notes,
                     read_json, run, started, write_json)

QUESTIONS = 1403
POSSIBLE = "GW_NO_NAMESPACES" not in os.environ and net.is_possible()


@pytest.fixture
def cable():
    if not POSSIBLE:
        print("weather: no namespaces here, mock-desk's own faults instead")
        yield None
        return
    with net.opened() as opened:
        print("weather: namespaces of the test's own")
        yield opened


def start_desk(cable, state=STATE, host="10.77.0.2", port=9100):
    desk = cable.start(cable.desks, BUILD / "mock-desk", "--state", state, "--host", host, "--port", port)
    desk.expect(r"^mock-desk: listening on ")
    return desk


def audit_over(cable, desk="10.77.0.2:9100", within=600):
    """The report of an audit from the other end of the cable."""
    audit = cable.start(cable.ours, BUILD / "gainwarden", "audit", SHOW, "--desk", desk,
                        "--format", "json", "--within", within)
    assert audit.popen.wait(within) == 1
    audit.out.thread.join(100)
    started.remove(audit)  # ended with its findings, which is no trouble
    return json.loads("\n".join(audit.out.texts()))


def whole(report):
    """Everything came, and it is what a fair day brings."""
    link = report["link"]
    print({word: link[word] for word in ("asked", "heard", "asked_again", "asked_beside", "took_ms")})
    assert link["asked"] == link["heard"] == QUESTIONS
    assert link["never_came"] == 0
    assert report["not_known"] == []
    assert findings(report) == findings(demo_audit()[0])
    return link


@pytest.mark.limit(90)
def test_a_fifth_lost_each_way(cable):
    if cable:
        start_desk(cable)
        cable.lose(20)
        link = whole(audit_over(cable))
    else:
        desk = MockDesk(drop=0.36)  # what two losses of a fifth make
        link = whole(run("audit", SHOW, "--desk", desk.at, "--format", "json", "--within", "600").json())
    assert link["asked_again"] > QUESTIONS / 5


@pytest.mark.limit(90)
def test_a_narrow_way(cable):
    if cable:
        start_desk(cable)
        cable.limit("1mbit")  # of which each answer takes some 80 bytes
        whole(audit_over(cable))
    else:
        desk = MockDesk(answers_per_second=1500, receive_buffer=8192)
        whole(run("audit", SHOW, "--desk", desk.at, "--format", "json", "--within", "600").json())


@pytest.mark.limit(90)
def test_late_mixed_up_and_doubled(cable):
    if cable and cable.disturb():
        print("weather: netem")
        start_desk(cable)
        whole(audit_over(cable))
    elif cable:
        print("weather: no netem in this kernel, a relay instead")
        start_desk(cable)
        relay = cable.start(cable.ours, sys.executable, str(net.pathlib.Path(__file__).with_name("relay.py")),
                            9200, "10.77.0.2", 9100, 7)
        relay.expect(r"^relay: listening on 9200$")
        whole(audit_over(cable, "10.77.0.1:9200"))
    else:
        desk = MockDesk(delay=20, reorder=0.3, duplicate=0.05)
        whole(run("audit", SHOW, "--desk", desk.at, "--format", "json", "--within", "600").json())


# ---- a watch ----

class Outage:
    """A desk that can be cut off, by the cable or by its own silence."""

    def __init__(self, cable):
        self.cable = cable
        self.desk = start_desk(cable) if cable else MockDesk()

    def watch(self, desk=None):
        words = [BUILD / "gainwarden", "watch", SHOW, "--still-every", "0", "--desk"]
        watcher = self.cable.start(self.cable.ours, *words, desk or "10.77.0.2:9100") if self.cable \
            else Process(*words, self.desk.at)
        at, _, _ = watcher.expect(r"^\d\d:\d\d:\d\d watching: ", timeout=20)
        return watcher, at + 1

    def cut(self, off):
        if self.cable:
            self.cable.plug("down" if off else "up")
        else:
            self.desk.rig("silent", off)


def told(watcher, seen):
    return [re.sub(r" after .*| for \d+ s .*", "", line) for line in notes(watcher, seen)]


@pytest.mark.limit(60)
def test_an_outage_is_one_story(cable):
    """Lost once, back once; nothing raised and nothing cleared on missing data."""
    outage = Outage(cable)
    watcher, seen = outage.watch()
    outage.cut(True)
    watcher.expect("lost the desk", timeout=15, start=seen)
    time.sleep(2)
    outage.cut(False)
    watcher.expect("now: ", timeout=20, start=seen)
    time.sleep(0.5)

    lines = told(watcher, seen)
    assert lines[:3] == ["lost the desk: nothing heard", "the desk answers again", "the desk is back"]
    assert len(lines) == 4 and lines[3].startswith("now: ")
    assert watcher.stop() == 0


@pytest.mark.limit(60)
def test_short_outages_are_no_story(cable):
    outage = Outage(cable)
    watcher, seen = outage.watch()
    for _ in range(4):
        outage.cut(True)
        time.sleep(1.5)
        outage.cut(False)
        time.sleep(1.5)

    assert told(watcher, seen) == []
    assert watcher.stop() == 0


@pytest.mark.limit(90)
def test_a_desk_that_comes_and_goes(cable):
    """Three losses are one story more, not three; what comes after is not told one by one."""
    outage = Outage(cable)
    watcher, seen = outage.watch()
    at = seen
    for end in ("now: ", "now: ", None):
        outage.cut(True)
        at, _, _ = watcher.expect("lost the desk|comes and goes: lost 3 times", 15, at)
        outage.cut(False)
        if end:
            at, _, _ = watcher.expect(end, 20, at)
    time.sleep(3)
    outage.cut(True)
    time.sleep(7)
    outage.cut(False)
    time.sleep(3)

    lines = told(watcher, seen)
    assert sum(line.startswith("lost the desk") for line in lines) == 2
    assert sum(line.startswith("the desk comes and goes: lost 3 times in ") for line in lines) == 1
    assert lines[-1].startswith("the desk comes and goes")
    assert watcher.stop() == 0


@pytest.mark.limit(60)
def test_a_desk_that_comes_back_otherwise(cable, tmp_path):
    """Switched off and on with other values: all of it is read before anything is told."""
    if not cable:
        pytest.skip("tests/e2e/test_watch.py has it on loopback")
    outage = Outage(cable)
    watcher, seen = outage.watch()
    outage.desk.stop()
    watcher.expect("lost the desk", timeout=15, start=seen)
    state = read_json(STATE)
    state["mixes"][0]["fader"] = -20
    start_desk(cable, write_json(tmp_path / "other.json", state))
    watcher.expect("now: ", timeout=20, start=seen)

    lines = told(watcher, seen)
    assert [line.split(":")[0].split(" [")[0] for line in lines] == \
        ["lost the desk", "the desk answers again", "the desk is back", "raised fix", "now"]
    assert watcher.stop() == 0


@pytest.mark.limit(90)
def test_a_desk_that_moves_to_another_address(cable):
    """Its name means another address after the break."""
    if not cable:
        pytest.skip("needs names of its own")
    cable.name("desk.stage", "10.77.0.2")
    outage = Outage(cable)
    watcher, seen = outage.watch("desk.stage:9100")
    outage.desk.stop()
    watcher.expect("lost the desk", timeout=15, start=seen)
    cable.name("desk.stage", "10.77.0.3")
    moved = start_desk(cable, host="10.77.0.3")
    watcher.expect("now: ", timeout=30, start=seen)
    cable.start(cable.ours, "oscsend", "10.77.0.3", "9100", "/mix/1/fader", "f", str(fader_wire(-20))).wait()
    watcher.expect(r"raised fix \[master-off-unity\] mix 1 ", timeout=10, start=seen)

    assert moved.running()
    assert watcher.stop() == 0
