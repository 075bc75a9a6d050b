# SPDX-License-Identifier: MIT
"""One small desk played by OSC libraries that others wrote; gainwarden must read the same from each.

The evening is small_desk.py's. Nothing of OSC or SLIP in the peers is this project's: Debian's liboscpack and
npm's `osc` decode the questions and encode the answers.
"""
import socket

import pytest

import osc
import small_desk
from harness import audit, besides_list, finding, findings, read_json, write_json
from peers import HERE, NPM, OSCPACK, Peer, known

PROFILE = HERE / "small-desk.json"

END, ESC, ESC_END, ESC_ESC = b"\xc0", b"\xdb", b"\xdb\xdc", b"\xdb\xdd"  # RFC 1055


def oscpack(table):
    return Peer(OSCPACK, "desk", table)


def npm_udp(table):
    return Peer(*NPM, "desk", "udp", table)


def npm_tcp(table):
    return Peer(*NPM, "desk", "tcp", table, transport="tcp")


PEERS = pytest.mark.parametrize("play", [oscpack, npm_udp, npm_tcp])


@pytest.fixture
def table(tmp_path):
    return small_desk.write_table(tmp_path / "table")


@pytest.fixture
def profile(tmp_path, play):
    """The small desk's; over a stream in SLIP where the peer plays it so."""
    profile = read_json(PROFILE)
    if play is npm_tcp:
        profile["link"].update(transport="tcp", framing="slip")
    return write_json(tmp_path / "profile.json", profile)


@PEERS
def test_audit(play, table, profile):
    report, result = audit(play(table), "--profile", profile, show=None)

    assert besides_list(result.err) == "" and result.status == 1
    link = report["link"]
    assert link["asked"] == link["heard"] == small_desk.QUESTIONS
    assert link["never_came"] == 0 and link["rejected"] == {}
    # what is not known is what the profile says nothing about
    assert {one["why"] for one in report["not_known"]} == {
        *(f"mix {mix}: the profile counts no equaliser bands of the mixes" for mix in range(1, 5)),
        'the profile does not name input.level (add it, or a constant under "fixed")'}

    assert findings(report) == [("unused-preamp-gain", "fix", {"input": 6}),
                                ("high-pass-missing", "fix", {"input": 7}),
                                ("master-off-unity", "fix", {"mix": 2})]
    figures = finding(report, "unused-preamp-gain", input=6)["figures"]
    assert (figures["preamp_db"], figures["loudest_send_db"], figures["surplus_db"]) == (44, -14, 14)
    assert finding(report, "unused-preamp-gain", input=6)["labels"] == {"input": "Ld Vox"}
    assert finding(report, "master-off-unity", mix=2)["figures"]["master_db"] == -8
    assert finding(report, "master-off-unity", mix=2)["labels"] == {"mix": "Gtr wedge"}


@PEERS
def test_every_value(play, table, profile):
    read = known(profile, play(table))

    assert read == {place: value if isinstance(value, str) else pytest.approx(value, abs=1e-5)
                    for place, value in small_desk.values().items()}


# ---- the stream itself, spoken by hand ----

def slip(data):
    return END + data.replace(ESC, ESC_ESC).replace(END, ESC_END) + END


def frames(stream):
    """Ends the generator when the peer does; empty frames stand between two ENDs."""
    left = b""
    while data := stream.recv(65536):
        *whole, left = (left + data).split(END)
        yield from (frame.replace(ESC_END, END).replace(ESC_ESC, ESC) for frame in whole if frame)


def test_the_peer_speaks_slip(table):
    """Two questions at once, a third byte by byte; the second's answer holds END and ESC."""
    peer = npm_tcp(table)
    with socket.create_connection((peer.host, peer.port), 5) as stream:
        stream.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        stream.sendall(slip(osc.message("/seat/006/shut")) + slip(osc.message("/feed/2", "i", 4)))
        for byte in slip(osc.message("/seat/001/low-end")):
            stream.sendall(bytes([byte]))
        answers = frames(stream)

        assert next(answers) == osc.message("/seat/006/shut", "F")
        expected = osc.message("/feed/2/is", "ids", 4, small_desk.amplitude(-18.5), "before")
        assert END in expected and ESC in expected
        assert next(answers) == expected
        assert next(answers) == osc.message("/seat/001/low-end", "Tdh", 40.0, 12)
