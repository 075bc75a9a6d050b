# SPDX-License-Identifier: MIT
"""TCP connections that end, and frames that do not: what test_hostile.py has of one connection, here of
many. Whatever came on a connection is forgotten with it, what was answered on it is not.
"""
import re
import socket
import struct

import pytest

import osc
from harness import BUILD, Process, finding, notes, run, write_json
from test_hostile import TcpDesk, packets, sized


def slipped(data):
    return b"\xc0" + data.replace(b"\xdb", b"\xdb\xdd").replace(b"\xc0", b"\xdb\xdc") + b"\xc0"


def slip_packets(connection):
    buffer = b""
    while more := connection.recv(65536):
        *frames, buffer = (buffer + more).split(b"\xc0")
        for frame in filter(None, frames):
            yield frame.replace(b"\xdb\xdc", b"\xc0").replace(b"\xdb\xdd", b"\xdb")


PACKETS = {"size": packets, "slip": slip_packets}
FRAME = {"size": sized, "slip": slipped}


def masters(folder, framing="size", count=4, **more):
    profile = {"profile_format": 1, "desk": "Masters",
               "link": {"transport": "tcp", "framing": framing, "port": 9100},
               "pace": {"answer_within_ms": 500, "tries": 10, "in_flight": 1, "reread_every_s": 1},
               "counts": {"input": 1, "mix": count},
               "values": [{"at": "/mix/{mix}/fader", "is": "mix.fader"}]}
    profile.update(more)
    return write_json(folder / "masters.json", profile)


def answer_to(packet, db=-9.0):
    return osc.message(osc.parse(packet)[0], "f", db)


def hang_up(connection):
    """Ends our side, and waits for the other."""
    connection.shutdown(socket.SHUT_WR)
    while connection.recv(65536):
        pass


def read(desk, profile):
    return run("audit", "--profile", profile, "--desk", desk.at, "--format", "json").json()


@pytest.mark.parametrize("framing", FRAME)
def test_a_connection_that_ends_after_every_answer(tmp_path, framing):
    """In the middle of the next frame. What was answered on one need not be asked again on the next."""
    def serve(connection, number):
        for packet in PACKETS[framing](connection):
            connection.sendall(FRAME[framing](answer_to(packet)))
            connection.sendall(FRAME[framing](answer_to(packet, 0.0))[:3 + 7 * number])
            hang_up(connection)
            return

    with TcpDesk(serve) as desk:
        report = read(desk, masters(tmp_path, framing, count=3))

    assert report["link"]["heard"] == 3
    assert report["link"]["rejected"] == {}
    assert [finding(report, "master-off-unity", mix=mix)["figures"]["master_db"]
            for mix in (1, 2, 3)] == [-9, -9, -9]
    assert desk.accepted <= 5


@pytest.mark.parametrize("end, skipped", [
    (b"", 1), (b"\xc0", 1), (b"\xdb\xc0", 1), (b"\xdbx\xc0", 1), (b"\xc0" + b"\x55" * 70000, 2),
], ids=["none", "END", "ESC END", "bad ESC", "another"])
def test_frames_without_an_end_are_counted(tmp_path, end, skipped):
    """When they have grown too long, whether or not they ever end."""
    def serve(connection, _):
        for place, packet in enumerate(slip_packets(connection)):
            if place == 0 or end:  # the answer to the second question would begin with an END
                connection.sendall(slipped(answer_to(packet)))
            if place == 0:
                connection.sendall(b"\x55" * 1_000_000 + end)

    # enough time for all of it on a slow machine, as the reading ends with the last answer or without one
    pace = {"answer_within_ms": 5000, "tries": 3 if end else 1}
    with TcpDesk(serve) as desk:
        report = read(desk, masters(tmp_path, "slip", count=2, pace=pace))

    assert report["link"]["rejected"] == {"skipped-frame": skipped}


@pytest.mark.parametrize("framing", FRAME)
def test_bytes_that_mean_something_to_slip(tmp_path, framing):
    """In answers: c0dbd70a is -6.87 dB, c0dbdcdd another. In a question: 49371 is c0db."""
    values = [{"ask": ["/ask", "{mix}", 49371], "this_only_asks": True, "answer": ["/m/{mix}", {"is": "mix.fader"}]}]
    wire = [struct.unpack(">f", bytes.fromhex(number))[0] for number in ("c0dbd70a", "c0dbdcdd")]
    asked = set()

    def serve(connection, _):
        for packet in PACKETS[framing](connection):
            address, (mix, literal) = osc.parse(packet)
            asked.add((address, mix, literal))
            connection.sendall(FRAME[framing](osc.message(f"/m/{mix}", "f", wire[mix - 1])))

    with TcpDesk(serve) as desk:
        report = read(desk, masters(tmp_path, framing, count=2, values=values))

    assert asked == {("/ask", 1, 49371), ("/ask", 2, 49371)}
    assert [finding(report, "master-off-unity", mix=mix)["figures"]["master_db"]
            for mix in (1, 2)] == [round(db, 3) for db in wire]
    assert report["link"]["rejected"] == {}
    assert desk.accepted == 1


def test_a_desk_that_goes_and_comes_back(tmp_path):
    """Closed at once again and again, and then back: lost once, back once, read once."""
    phase = ["works"]

    def serve(connection, _):
        if phase[0] == "closes":
            return
        for packet in packets(connection):
            if phase[0] == "closes":
                return
            connection.sendall(sized(answer_to(packet, -9.0 if phase[0] == "moved" else 0.0)))

    with TcpDesk(serve) as desk:
        watcher = Process(BUILD / "gainwarden", "watch", "--profile", masters(tmp_path, count=1),
                          "--desk", desk.at, "--still-every", "0")
        at, _, _ = watcher.expect("watching: ")
        phase[0] = "closes"
        watcher.expect(r"lost the desk: nothing heard for \d+ s \((the desk closed the connection|"
                       r"connection reset by peer|broken pipe)\)", 9, at)
        phase[0] = "moved"
        watcher.expect(r"now: 0 stop, 1 fix", 8, at)
        told = notes(watcher, at + 1)
        assert watcher.stop() == 0

    assert [re.split(r"[:\[]| after", line)[0].strip() for line in told] == [
        "lost the desk", "the desk answers again", "the desk is back", "raised fix", "now"]
