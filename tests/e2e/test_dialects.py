# SPDX-License-Identifier: MIT
"""Every way in which desks answer: read through each profile of contrib/dialects, the demo's desk gives
the same findings as through its own profile, value by value. And in each of them gainwarden only reads:
every packet that the desk gets is one of the profile's questions or renewals.

What travels as text is rounded there ("28.0 dB"), so figures may differ by what the rounding leaves.
"""
import socket
import time

import pytest

import osc
from harness import (BUILD, PROFILE, ROOT, SHOW, STATE, Process, fader_wire, own_port, questions,
                     read_json, renewals, run, write_json)

DIALECTS = ROOT / "contrib" / "dialects"

# Profile, and what makes mock-desk speak so.
SPOKEN = {
    "get-answer": ["--speak", "get-answer"],
    "indexes": ["--speak", "indexes"],
    "rows": ["--speak", "rows"],
    "units": ["--speak", "units"],
    "lines": ["--speak", "lines"],
    "blobs": ["--speak", "blobs"],
    "pushes": ["--speak", "pushes"],
    "patterns": ["--speak", "patterns"],
    "tcp-size": ["--speak", "rows", "--tcp", "size"],
    "tcp-slip": ["--speak", "rows", "--tcp", "slip"],
    "other-port": ["--speak", "rows", "--answer-from-other-port"],
    "answer-port": ["--speak", "rows", "--answer-to-port"],
    "untyped": ["--speak", "rows", "--no-type-tags"],
    "bare-addresses": ["--speak", "rows", "--bare-addresses"],
    "letters": ["--speak", "letters"],
    "paths": ["--speak", "paths"],
    "mixed": ["--speak", "mixed"],
    "numbered": ["--speak", "numbered"],
    "labels": ["--speak", "labels"],
    "json": ["--speak", "json"],
}

# Bundles and arrays need nothing in a profile.
BUNDLED = {"patterns": ["--bundle", "20", "--nest", "3"], "rows": ["--bundle", "7", "--nest", "8", "--arrays"],
           "tcp-slip": ["--bundle", "20", "--nest", "2"], "pushes": ["--bundle", "50"]}


def start_desk(*words):
    desk = Process(BUILD / "mock-desk", "--state", STATE, "--port", "0", *words)
    match = desk.expect(r"^mock-desk: listening on 127\.0\.0\.1:(\d+)$")[2]
    return desk, int(match.group(1))


def audit(profile, words):
    desk, port = start_desk(*words)
    report = run("audit", SHOW, "--profile", profile, "--desk", f"127.0.0.1:{port}",
                 "--format", "json").json()
    assert desk.running()
    desk.stop()
    return report


def named(report):
    return {(one["check"], tuple(one["object"].items())): one for one in report["findings"]}


@pytest.fixture(scope="module")
def echo():
    report = audit(PROFILE, [])
    assert len(report["findings"]) > 10 and not report["not_known"]
    return report


def same_findings(report, echo):
    assert not report["not_known"]
    assert report["link"]["rejected"] == {}
    assert report["link"]["never_came"] == 0
    found, expected = named(report), named(echo)
    assert found.keys() == expected.keys()
    for name, finding in found.items():
        assert finding["weight"] == expected[name]["weight"]
        assert finding["figures"] == pytest.approx(expected[name]["figures"], abs=0.11), name
    for word in ("accepted", "passed", "told_by_another", "muted_or_sent_nowhere"):
        assert report[word] == echo[word], word


def test_every_example_is_spoken():
    assert {path.stem for path in DIALECTS.glob("*.json")} == SPOKEN.keys()


def spoken(name, folder):
    """The profile, and mock-desk's words for it."""
    profile, words = DIALECTS / f"{name}.json", SPOKEN[name]
    if name != "answer-port":
        return profile, words
    own = read_json(profile)  # with a port that is free here
    own["link"]["answer_port"] = own_port()
    return write_json(folder / "p.json", own), words + [str(own["link"]["answer_port"])]


@pytest.mark.parametrize("name", SPOKEN)
def test_a_dialect(name, tmp_path, echo):
    same_findings(audit(*spoken(name, tmp_path)), echo)


def only_reads(log, profile):
    """Which questions the desk got; anything but questions and renewals fails."""
    own = read_json(profile)
    asks, stays = set(questions(own)), set(renewals(own))
    rows = [line.split(" ") for line in log.read_text().splitlines()]
    packets = {bytes.fromhex(row[2]) for row in rows if len(row) == 3}
    moves = {data for data in packets if data.startswith((b"/rig/", MOVE.rstrip(b"\0")))}  # this test's own

    assert packets - moves - asks - stays == set()
    return packets & asks, asks


MOVE = osc.text("/mix/6/fader")


@pytest.mark.parametrize("name", SPOKEN)
def test_an_audit_only_reads(name, tmp_path):
    profile, words = spoken(name, tmp_path)
    audit(profile, words + ["--log", str(tmp_path / "log")])
    sent, asks = only_reads(tmp_path / "log", profile)

    assert sent == asks  # and all of them


@pytest.mark.limit(60)
@pytest.mark.parametrize("name", SPOKEN)
def test_a_watch_through_faults_only_reads(name, tmp_path):
    """Losses, a move, silence until the desk is lost, and its return."""
    profile, words = spoken(name, tmp_path)
    desk, port = start_desk(*words, "--log", str(tmp_path / "log"), "--drop", "0.1")
    watcher = Process(BUILD / "gainwarden", "watch", SHOW, "--profile", profile, "--desk",
                      f"127.0.0.1:{port}", "--still-every", "0")
    watcher.expect("watching: ", timeout=20)
    if "--tcp" not in words:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as end:
            end.connect(("127.0.0.1", port))
            end.send(osc.message("/mix/6/fader", "f", fader_wire(-20)))
            end.send(osc.message("/rig/silent", "f", 1))
            if name == "pushes":  # nothing is asked, so silence is no loss
                time.sleep(9)  # a renewal meets it
            else:
                watcher.expect("lost the desk", timeout=12)
            end.send(osc.message("/rig/silent", "f", 0))
            if name != "pushes":
                watcher.expect("now: ", timeout=15)
    else:
        desk.stop()
        watcher.expect("lost the desk", timeout=12)
    assert watcher.stop() == 0

    sent, _ = only_reads(tmp_path / "log", profile)
    assert sent or name == "pushes"


@pytest.mark.parametrize("name", BUNDLED)
def test_a_dialect_in_bundles(name, echo):
    same_findings(audit(DIALECTS / f"{name}.json", SPOKEN[name] + BUNDLED[name]), echo)
