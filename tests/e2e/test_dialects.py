"""Every way in which desks answer: read through each profile of contrib/dialects, the demo's desk gives
the same findings as through its own profile, value by value.

What travels as text is rounded there ("28.0 dB"), so figures may differ by what the rounding leaves.
"""
import socket

import pytest

from harness import BUILD, PROFILE, ROOT, SHOW, STATE, Process, read_json, run, write_json

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
}

# Bundles need nothing in a profile.
BUNDLED = {"patterns": ["--bundle", "20", "--nest", "3"], "rows": ["--bundle", "7", "--nest", "8"],
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


def free_port():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as taken:
        taken.bind(("127.0.0.1", 0))
        return taken.getsockname()[1]


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


@pytest.mark.parametrize("name", SPOKEN)
def test_a_dialect(name, tmp_path, echo):
    profile, words = DIALECTS / f"{name}.json", SPOKEN[name]
    if name == "answer-port":  # one that is free here
        own = read_json(profile)
        own["link"]["answer_port"] = free_port()
        profile, words = write_json(tmp_path / "p.json", own), words + [str(own["link"]["answer_port"])]

    same_findings(audit(profile, words), echo)


@pytest.mark.parametrize("name", BUNDLED)
def test_a_dialect_in_bundles(name, echo):
    same_findings(audit(DIALECTS / f"{name}.json", SPOKEN[name] + BUNDLED[name]), echo)
