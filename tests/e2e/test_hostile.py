# SPDX-License-Identifier: MIT
"""An open port meets strangers: whatever they send, the watch works on, its memory stays flat, and what
was turned down is counted by its reason.
"""
import os
import pathlib
import random
import re
import socket
import struct
import threading
import time

import pytest

import osc
from harness import BUILD, PROFILE, SEED, OwnDesk, Process, audit, goal, read_json, run, until, write_json

SMALL = {"profile_format": 1, "desk": "Small", "link": {"transport": "udp", "port": 9100},
         "counts": {"input": 1, "mix": 2},
         "values": [{"at": "/mix/{mix}/fader", "is": "mix.fader"}, {"at": "/mix/{mix}/name", "is": "mix.name"}]}


def small(folder, **link):
    return write_json(folder / "small.json", {**SMALL, "link": {**SMALL["link"], **link}})


def answer(desk, heard):
    value = ("f", 0.0) if heard.address.endswith("fader") else ("s", "Wedge")
    desk.send(heard.peer, osc.message(heard.address, *value))


def memory_kb(process):
    return int(pathlib.Path(f"/proc/{process.popen.pid}/statm").read_text().split()[1]) * \
        os.sysconf("SC_PAGE_SIZE") // 1024


# ---- floods ----

RUBBISH = [b"\xff" * 64, osc.message("/nobody", "f", 1.0), osc.text("#bundle") + bytes(8) + b"\x7f\xff\xff\xff",
           osc.message("/mix/1/fader", "s", "x" * 200), osc.text("/mix/1/fader") + osc.text(",b") + b"\0\0\1\0",
           b"/", b"", osc.bundle(*[osc.message("/n", "i", n) for n in range(50)])]


class Flood(threading.Thread):
    """Rubbish from the desk's own socket, as fast as it goes, until stopped."""

    def __init__(self, end, peer):
        super().__init__(daemon=True)
        self.end, self.peer, self.sent, self.going = end, peer, 0, True

    def run(self):
        while self.going:
            for data in RUBBISH:
                self.end.sendto(data, self.peer)
            self.sent += len(RUBBISH)


@pytest.mark.limit(60)
def test_a_flood_of_rubbish(tmp_path):
    """From the desk's address and port, so that nothing but the watch itself stands in its way."""
    profile = small(tmp_path)
    peers = set()

    def remember(desk, heard):
        peers.add(heard.peer)
        answer(desk, heard)

    with OwnDesk(remember) as desk:
        watcher = Process(BUILD / "gainwarden", "watch", "--profile", profile, "--desk", desk.at,
                          "--still-every", "0")
        watcher.expect("watching: ")
        seen = watcher.out.count()
        peer = next(iter(peers))
        floods = [Flood(desk.socket, peer) for _ in range(2)]
        begun = time.monotonic()
        for flood in floods:
            flood.start()
        until(lambda: sum(flood.sent for flood in floods) > 50000, what="rubbish")
        early = memory_kb(watcher)
        time.sleep(4)

        def is_told():
            desk.send(peer, *[osc.message("/mix/1/fader", "f", -20.0)] * 20)  # a flood loses most
            return "raised fix [master-off-unity] mix 1" in "\n".join(watcher.out.texts()[seen:])

        until(is_told, what="the finding in the flood")
        late = memory_kb(watcher)
        for flood in floods:
            flood.going = False
        rate = sum(flood.sent for flood in floods) / (time.monotonic() - begun)
        assert watcher.stop() == 0

    print(f"{rate:.0f} rubbish datagrams a second; memory {early} kB, then {late} kB")
    assert late <= early + 2048
    assert len(watcher.err.texts()) <= 2  # told, and not for each


def test_strangers_are_dropped_where_any_port_may_answer(tmp_path):
    """Answers may come from any port of the desk's address; another address is a stranger."""
    profile = small(tmp_path, answers_from="any-port")
    lies = osc.message("/mix/1/fader", "f", -30.0)
    other_port = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    other_port.bind(("127.0.0.1", 0))
    stranger = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    stranger.bind(("127.0.0.2", 0))

    def from_elsewhere(desk, heard):
        stranger.sendto(lies, heard.peer)
        value = ("f", 0.0) if heard.address.endswith("fader") else ("s", "Wedge")
        other_port.sendto(osc.message(heard.address, *value), heard.peer)

    with OwnDesk(from_elsewhere) as desk:
        report, _ = audit(desk, "--profile", profile, show=None)

    assert report["link"]["heard"] == 4
    assert report["link"]["rejected"].keys() == {"stranger"}
    assert 4 <= report["link"]["rejected"]["stranger"] <= len(desk.heard)  # one for each question, some put again
    assert report["passed"]["master-off-unity"] == 2


# ---- shapes ----

def nested(depth, inside):
    for _ in range(depth):
        inside = osc.bundle(inside)
    return inside


GOOD = osc.message("/mix/2/fader", "f", 0.0)

HOSTILE = [
    ("nested as deep as allowed", nested(8, GOOD), None),
    ("nested deeper", nested(9, GOOD), "too-deep"),
    ("nested a thousandfold", nested(1000, GOOD), "too-deep"),
    ("as many messages as allowed", osc.bundle(*[osc.message("/n")] * 4096), "unknown-address"),
    ("too many messages", osc.bundle(*[osc.text("/n")[:4] + osc.text(",")] * 4097), "too-many"),
    ("element past the end", osc.text("#bundle") + bytes(8) + b"\0\0\0\x40" + GOOD, "bad-element"),
    ("element of no size", osc.text("#bundle") + bytes(8) + bytes(4), "bad-element"),
    ("negative blob", osc.text("/mix/2/fader") + osc.text(",b") + b"\xff\xff\xff\xff", "bad-blob"),
    ("blob tag with no blob", bytes.fromhex("2f6100002c620000"), "bad-blob"),
    ("not a number", osc.message("/mix/2/fader", "f", float("nan")), "bad-value"),
    ("infinity", osc.message("/mix/2/fader", "f", float("inf")), "bad-value"),
    ("largest double", osc.message("/mix/2/fader", "d", 1.7e308), "bad-value"),
    ("most negative integer", osc.message("/mix/2/fader", "h", -2**63), "bad-value"),
    ("array", osc.message("/mix/2/fader", "[f]", 0.0), None),
    ("array in arrays", osc.message("/mix/2/fader", "[[][[f]]]", 0.0), None),
    ("array never closed", osc.text("/mix/2/fader") + osc.text(",[f") + bytes(4), "bad-array"),
    ("array never opened", osc.text("/mix/2/fader") + osc.text(",f]") + bytes(4), "bad-array"),
    ("sixty thousand brackets", osc.text("/mix/2/fader") + osc.text(",f" + "[" * 30000 + "]" * 30000) + bytes(4), None),
    ("every tag", osc.text("/mix/2/fader") + osc.text(",ifsbhtdScrmTFNI") + bytes(56), "other-arguments"),
    ("unknown tag", osc.text("/mix/2/fader") + osc.text(",fz") + bytes(8), "unknown-type"),
    ("letter", osc.text("/mix/2/fader") + osc.text(",c") + b"\0\0\0A", "bad-value"),
    ("colour", osc.text("/mix/2/fader") + osc.text(",r") + b"\0\xff\xff\xff", "bad-value"),
    ("pattern of slashes", osc.text("/" * 163) + osc.text(","), "unknown-address"),
]


@pytest.mark.parametrize("data, reason", [row[1:] for row in HOSTILE], ids=[row[0].replace(" ", "-") for row in HOSTILE])
def test_a_hostile_datagram(tmp_path, data, reason):
    """Beside the answers: the report is right, and the reason is counted."""
    def both(desk, heard):
        if heard.address == "/mix/1/fader":
            desk.send(heard.peer, data)
        answer(desk, heard)

    with OwnDesk(both) as desk:
        report, result = audit(desk, "--profile", small(tmp_path), show=None)

    assert result.status in (0, 3)
    assert report["link"]["heard"] == 4
    # of too many messages the first ones are given out, and have no entry
    others = {"unknown-address"} if reason == "too-many" else set()
    assert set(report["link"]["rejected"]) == ({reason} if reason else set()) | others
    assert report["passed"]["master-off-unity"] == 2


def odd_element(dice):
    """One element that cannot be read, or could be and means nothing here."""
    good = osc.message("/odd", "ifs", 1, 2.0, "abc")
    tags = osc.text("," + "".join(dice.choices("[]ifsbzTNr", k=dice.randrange(1, 40))))
    return dice.choice([
        dice.randbytes(4 * dice.randrange(20)), dice.randbytes(dice.randrange(1, 50)), b"",
        good[:4 * dice.randrange(len(good) // 4)], good + bytes(4 * dice.randrange(1, 4)),
        osc.text("/odd") + tags + dice.randbytes(4 * dice.randrange(10)),
        osc.text("#bundle")[:4 * dice.randrange(1, 3)] + dice.randbytes(4 * dice.randrange(10)),
        nested(dice.randrange(1, 12), good), osc.text("/" * dice.randrange(1, 200)), osc.text("odd") + osc.text(",i") + bytes(4),
        osc.bundle() + struct.pack(">I", dice.choice([1, 3, 5, 0x7fffffff, 0xffffffff, 0x80000000])) + good,
        osc.text("/odd") + osc.text(",b") + struct.pack(">I", dice.choice([1, 0xffffffff, 0x7fffffff])) + b"ab\0\0"])


def odd_bundle(dice, *good):
    """Good messages in a bundle, in arrays or not, among what is none."""
    elements = []
    for one in good:
        elements += [odd_element(dice) for _ in range(dice.randrange(4))] + [one]
    bundle = osc.bundle(*elements)
    return bundle + bytes(-len(bundle) % 4)


def random_dice():
    return random.Random(SEED)


def odd_answer(dice, address):
    mix = address.split("/")[2]
    return odd_bundle(dice, osc.message(f"/mix/{mix}/name", dice.choice(["s", "[s]", "[[]s]"]), f"Mix {mix}"),
                      osc.message(f"/mix/{mix}/fader", dice.choice(["f", "[f]"]), -20.0))


def among_odd_ones(folder, **link):
    """The labels are only pushed: they come in the bundles, or never."""
    profile = {**SMALL, "counts": {"input": 1, "mix": 40}, "link": {**SMALL["link"], **link},
               "values": [SMALL["values"][0], {"answer": ["/mix/{mix}/name", {"is": "mix.name"}]}]}
    return write_json(folder / "odd.json", profile)


def all_were_heard(report):
    told = {one["object"]["mix"]: one["labels"]["mix"] for one in report["findings"]
            if one["check"] == "master-off-unity"}
    assert told == {mix: f"Mix {mix}" for mix in range(1, 41)}
    assert report["link"]["never_came"] == 0
    goal(report["link"]["asked_again"], 1)
    assert report["link"]["unread"].keys() <= report["link"]["rejected"].keys()
    assert sum(report["link"]["rejected"].values()) > 20


def test_neighbours_of_odd_elements_are_heard(tmp_path):
    dice = random_dice()
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, odd_answer(dice, heard.address))) as desk:
        all_were_heard(audit(desk, "--profile", among_odd_ones(tmp_path), show=None)[0])


@pytest.mark.parametrize("data, said", [
    (osc.text("/odd") + osc.text(",z"), "/odd ,z, unknown-type"),
    (osc.bundle(osc.text("/odd") + osc.text(",[i") + bytes(4)), "/odd ,[i, bad-array"),
    (b"\xff" * 8, "8 bytes that are no OSC, no-address"),
])
def test_a_desk_that_cannot_be_read_is_there(tmp_path, data, said):
    """It is not called silent: what it says is named, as far as it can be read."""
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, data)) as desk:
        report, _ = audit(desk, "--profile", small(tmp_path), show=None)

    assert report["link"]["heard"] == 0
    assert report["link"]["said"] == said


def test_no_text_moves_the_cursor(tmp_path):
    """Names with escapes, control bytes, marks that turn the writing, and bytes that are no UTF-8."""
    ugly = ["\x1b[2J\x1b[H", "a\rb\nc\x07", "\u202edesk\u061c\u2066\ufeff", "\x9b31m", "x" * 3000]

    def names(desk, heard):
        if heard.address.endswith("name"):
            raw = ugly[int(heard.address.split("/")[2]) % len(ugly)]
            desk.send(heard.peer, osc.message(heard.address, "s", "Wedge " + raw))
        else:
            desk.send(heard.peer, osc.message(heard.address, "f", -20.0))

    profile = read_json(small(tmp_path))
    profile["counts"]["mix"] = 5
    with OwnDesk(names) as desk:
        result = run("audit", "--profile", write_json(tmp_path / "five.json", profile), "--desk", desk.at)

    assert "master-off-unity" in result.out
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f\x80-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]", result.out)
    assert max(len(line) for line in result.out.splitlines()) < 200


# ---- TCP ----

class TcpDesk:
    """Accepts one connection after another and gives each to `serve(connection, number)`."""

    def __init__(self, serve):
        self.serve = serve
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.at = "127.0.0.1:{}".format(self.listener.getsockname()[1])
        self.accepted = 0
        self.thread = threading.Thread(target=self.run, daemon=True)
        self.thread.start()

    def run(self):
        while True:
            try:
                connection, _ = self.listener.accept()
            except OSError:
                return
            self.accepted += 1
            with connection:
                try:
                    self.serve(connection, self.accepted)
                except OSError:
                    pass

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.listener.shutdown(socket.SHUT_RDWR)  # who waits there would wait on, and at the next test's in the end
        self.listener.close()


def sized(data):
    return struct.pack(">i", len(data)) + data


def stay(connection):
    """Says nothing more, and hangs up when the other side has."""
    while connection.recv(65536):
        pass


def packets(connection):
    """The packets of a connection with sizes, one by one."""
    buffer = b""
    while True:
        more = connection.recv(65536)
        if not more:
            return
        buffer += more
        while len(buffer) >= 4 and len(buffer) >= 4 + struct.unpack(">i", buffer[:4])[0]:
            size = struct.unpack(">i", buffer[:4])[0]
            yield buffer[4:4 + size]
            buffer = buffer[4 + size:]


def answers(connection, cut=lambda data: [data]):
    for packet in packets(connection):
        address, _ = osc.parse(packet)
        value = ("f", 0.0) if address.endswith("fader") else ("s", "Wedge")
        for piece in cut(sized(osc.message(address, *value))):
            connection.sendall(piece)


def tcp(folder, framing="size"):
    return write_json(folder / "tcp.json", {**SMALL, "link": {"transport": "tcp", "framing": framing, "port": 9100}})


def audit_tcp(desk, folder, *words, framing="size"):
    return run("audit", "--profile", tcp(folder, framing), "--desk", desk.at, "--format", "json", *words)


def whole(result):
    report = result.json()
    assert report["link"]["heard"] == 4
    return report


def test_one_byte_at_a_time(tmp_path):
    def bytewise(connection, _):
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        answers(connection, lambda data: [bytes([byte]) for byte in data])

    with TcpDesk(bytewise) as desk:
        whole(audit_tcp(desk, tmp_path))


@pytest.mark.parametrize("framing", ["size", "slip"])
def test_neighbours_of_odd_elements_over_tcp(tmp_path, framing):
    dice = random_dice()

    def slip(data):
        return b"\xc0" + data.replace(b"\xdb", b"\xdb\xdd").replace(b"\xc0", b"\xdb\xdc") + b"\xc0"

    def questions_of(connection):
        if framing == "size":
            yield from packets(connection)
            return
        buffer = b""
        while more := connection.recv(65536):
            *frames, buffer = (buffer + more).split(b"\xc0")
            yield from filter(None, frames)

    def serve(connection, _):
        for packet in questions_of(connection):
            data = odd_answer(dice, osc.parse(packet)[0])
            connection.sendall(sized(data) if framing == "size" else slip(data))

    profile = among_odd_ones(tmp_path, transport="tcp", framing=framing)
    with TcpDesk(serve) as desk:
        all_were_heard(audit(desk, "--profile", profile, show=None)[0])


def test_several_packets_in_one_piece(tmp_path):
    everything = b"".join(sized(osc.message(f"/mix/{mix}/{what}", tag, value))
                          for mix in (1, 2) for what, tag, value in (("fader", "f", 0.0), ("name", "s", "W")))
    with TcpDesk(lambda connection, _: [connection.sendall(everything), stay(connection)]) as desk:
        whole(audit_tcp(desk, tmp_path))


@pytest.mark.parametrize("size", [-1, 3, 65540, 2**31 - 4])
def test_a_size_that_is_none(tmp_path, size):
    """The connection is given up, counted, and made anew; the second one is good."""
    def serve(connection, number):
        if number == 1:
            connection.sendall(struct.pack(">i", size) + b"x" * 100)
            stay(connection)
        else:
            answers(connection)

    with TcpDesk(serve) as desk:
        report = whole(audit_tcp(desk, tmp_path))
    assert report["link"]["rejected"] == {"broken-stream": 1}


def test_closed_in_the_middle_of_a_packet(tmp_path):
    def serve(connection, number):
        if number == 1:
            connection.sendall(sized(osc.message("/mix/1/fader", "f", -9.0))[:11])
        else:
            answers(connection)

    with TcpDesk(serve) as desk:
        whole(audit_tcp(desk, tmp_path))
        assert desk.accepted == 2


def test_half_a_packet_for_ever(tmp_path):
    """Nothing comes of it, and the audit ends as with any silent desk."""
    with TcpDesk(lambda connection, _: [connection.sendall(b"\0\0\1\0/mix"), stay(connection)]) as desk:
        result = audit_tcp(desk, tmp_path)
    assert result.status == 3
    assert result.json()["link"]["heard"] == 0


def test_a_frame_without_an_end(tmp_path):
    """SLIP: ten megabytes and no END, then good frames."""
    def serve(connection, _):
        for _ in range(160):
            connection.sendall(b"x" * 65536)
        connection.sendall(b"\xc0")
        for mix in (1, 2):
            connection.sendall(b"\xc0" + osc.message(f"/mix/{mix}/fader", "f", 0.0) + b"\xc0\xc0" +
                               osc.message(f"/mix/{mix}/name", "s", "W\u00db") .replace(b"\xdb", b"\xdb\xdd") + b"\xc0")
        stay(connection)

    with TcpDesk(serve) as desk:
        report = whole(audit_tcp(desk, tmp_path, framing="slip"))
    assert report["link"]["rejected"] == {"skipped-frame": 1}


def test_a_closed_port_is_said(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    result = run("audit", "--profile", tcp(tmp_path), "--desk", f"127.0.0.1:{port}")
    assert result.status == 3
    assert "connection refused" in result.out + result.err


@pytest.mark.limit(60)
def test_a_desk_that_takes_nothing(tmp_path):
    """It accepts and never reads: what waits for it is bounded."""
    profile = read_json(PROFILE)
    profile["link"] = {"transport": "tcp", "framing": "size", "port": 9100}
    profile["pace"]["reread_every_s"] = 1
    profile["pace"]["stale_after_s"] = 30

    over = threading.Event()

    def deaf(connection, _):
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        over.wait(600)

    with TcpDesk(deaf) as desk:
        watcher = Process(BUILD / "gainwarden", "watch", "--profile", write_json(tmp_path / "p.json", profile),
                          "--desk", desk.at)
        until(lambda: desk.accepted)
        time.sleep(3)
        early = memory_kb(watcher)
        watcher.expect("does not answer|lost the desk", timeout=15)
        time.sleep(3)
        assert memory_kb(watcher) <= early + 2048
        assert watcher.stop() == 0
        over.set()


def test_a_connection_made_anew(tmp_path):
    """The desk hangs up while it is watched: soon asked again, and the watch has nothing to tell."""
    connections = []

    def serve(connection, _):
        connections.append(connection)
        answers(connection)

    with TcpDesk(serve) as desk:
        watcher = Process(BUILD / "gainwarden", "watch", "--profile", tcp(tmp_path), "--desk", desk.at,
                          "--still-every", "0")
        watcher.expect("watching: ")
        seen = watcher.out.count()
        connections[0].shutdown(socket.SHUT_RDWR)
        until(lambda: desk.accepted == 2)
        time.sleep(2)
        assert watcher.out.texts(seen) == []
        assert watcher.stop() == 0


def test_a_connection_that_stalls(tmp_path):
    """Half a packet and then nothing, though the connection stands: it is given up with the desk, and
    the next one is asked."""
    over = threading.Event()

    def serve(connection, number):
        if number > 1:
            answers(connection)
            return
        for count, packet in enumerate(packets(connection), 1):
            address, _ = osc.parse(packet)
            connection.sendall(sized(osc.message(address, *(("f", 0.0) if address.endswith("fader") else ("s", "W")))))
            if count == 4:
                connection.sendall(b"\0\0\1\0/mix")
                over.wait(30)
                return

    threads = []

    def beside(connection, number):
        threads.append(threading.Thread(target=serve, args=(connection.dup(), number), daemon=True))
        threads[-1].start()

    with TcpDesk(beside) as desk:
        watcher = Process(BUILD / "gainwarden", "watch", "--profile", tcp(tmp_path), "--desk", desk.at,
                          "--still-every", "0")
        watcher.expect("watching: ")
        seen = watcher.out.count()
        watcher.expect(r"lost the desk: nothing heard for \d+ s", timeout=10, start=seen)
        watcher.expect("now: ", timeout=5, start=seen)
        over.set()
        assert watcher.stop() == 0
