# SPDX-License-Identifier: MIT
"""What mock-desk says in each dialect, byte by byte: the example profiles in contrib/dialects and the
tests that use them stand on this.

The expected bytes come from mocks/README.md and the demo's state file, put together by osc.py.
"""
import json
import math
import re
import socket
import struct
import subprocess
import time

import pytest

import osc
from harness import BUILD, PATIENCE, ROOT, STATE, Process, fader_wire, head_wire

message = osc.message

# What contrib/demo/desk-state.json says.
MIX_2_CUTS = {10: -3, 12: -6, 14: -3, 16: -6, 18: -6, 20: -6, 22: -12, 24: -6, 26: -3}
MIX_2_BANDS = [float(MIX_2_CUTS.get(band, 0)) for band in range(1, 32)]
KICK_SENDS = ["-inf", "-inf", "-inf", "-inf", -6, -2, -4, 0]
LEVELS = [-18, -18, -14, -18, -22, -18, -18, -20, -20, -16, -18, -18, -18, -18, -13, -22, -18, -11,
          -18, -18, -16, -16, -18, -24]
GAINS = [26, 28, 30, 26, 26, 28, 28, 27, 27, 18, 32, 32, 14, 14, 36, 22, 28, 42, 34, 34, 6, 6, 32, 30]

MESSAGES = 1403  # of the whole desk, in the dialects that send values one by one


class Desk(Process):
    def __init__(self, *words):
        super().__init__(BUILD / "mock-desk", "--state", STATE, *words)
        self.port = int(self.expect(r"^mock-desk: listening on 127\.0\.0\.1:(\d+)$")[2].group(1))
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
        self.socket.bind(("127.0.0.1", 0))
        self.socket.settimeout(5 * PATIENCE)

    def say(self, datagram):
        self.socket.sendto(datagram, ("127.0.0.1", self.port))

    def hear(self):
        """(datagram, the port it came from)"""
        data, peer = self.socket.recvfrom(65536)
        return data, peer[1]

    def talk(self, question):
        self.say(question)
        return self.hear()[0]

    def all(self, least=0, quiet=0.3):
        """So many, however long they take, and everything until nothing more comes."""
        heard = [self.hear()[0] for _ in range(least)]
        self.socket.settimeout(quiet)
        try:
            while True:
                heard.append(self.hear()[0])
        except socket.timeout:
            self.socket.settimeout(5 * PATIENCE)
            return heard

    def stop(self, *words, **options):
        self.socket.close()
        return super().stop(*words, **options)


def numbers(form, values):
    return b"".join(struct.pack(form, value) for value in values)


# ---- dialects ----

@pytest.mark.parametrize("dialect, question, answer", [
    ("echo", message("/in/18/head/gain"), message("/in/18/head/gain", "f", head_wire(42))),
    ("echo", message("/get/eq", "ii", 1, 1),
     message("/eq", "iiisfff", 1, 1, 1, "peak", 400.0, -4.0, 2.0)),
    ("echo", message("/mix/2/graphic"), message("/mix/2/graphic", "f" * 31, *MIX_2_BANDS)),

    ("get-answer", message("/ask/in/5/hp/on"), message("/tell/in/5/hp/on", "i", 0)),
    ("get-answer", message("/ask/in/1/band/1"),
     message("/tell/in/1/band/1", "isfff", 1, "peak", 400.0, -4.0, 2.0)),
    ("get-answer", message("/ask/mix/2/graphic"),
     message("/tell/mix/2/graphic", "f" * 31, *MIX_2_BANDS)),

    ("indexes", message("/get/in/name", "i", 17), message("/in/name", "is", 17, "Ld Vox")),
    ("indexes", message("/get/in/to/level", "ii", 0, 5),
     message("/in/to/level", "iif", 0, 5, fader_wire(-2))),
    ("indexes", message("/get/eq", "ii", 0, 0),
     message("/eq", "iiisfff", 0, 0, 1, "peak", 400.0, -4.0, 2.0)),
    ("indexes", message("/get/mix/graphic", "i", 1),
     message("/mix/graphic", "i" + "f" * 31, 1, *MIX_2_BANDS)),
    ("indexes", message("/get/desk/scene"), message("/desk/scene", "s", "Ostrel Barn, Saturday")),

    ("rows", message("/in/2"), message(
        "/in/2", "sfiiifiiffifiiififffiiii", "Kick Out", head_wire(28), 0, 0, 2, 0.0, 0, 1,
        fader_wire(0), -18.0, 1, math.log(35 / 16, 500 / 16), 18, 1, 1, -20.0, 0, -20.0, 3.0, 0.0, 1, 0, 0, 0)),
    ("rows", message("/in/1/levels"),
     message("/in/1/levels", "f" * 8, *map(fader_wire, KICK_SENDS))),
    ("rows", message("/in/13/taps"), message("/in/13/taps", "i" * 8, 2, 1, 1, 1, 1, 1, 1, 1)),
    ("rows", message("/group/3"), message("/group/3", "fi", fader_wire(0), 1)),
    ("rows", message("/desk"), message("/desk", "iis", 0, 0, "Ostrel Barn, Saturday")),

    ("units", message("/in/18/head/gain"), message("/in/18/head/gain", "s", "42.0 dB")),
    ("units", message("/in/1/to/1/level"), message("/in/1/to/1/level", "s", "-inf dB")),
    ("units", message("/in/5/hp/on"), message("/in/5/hp/on", "s", "no")),
    ("units", message("/in/5/hp/freq"), message("/in/5/hp/freq", "s", "300 Hz")),
    ("units", message("/in/13/to/1/tap"), message("/in/13/to/1/tap", "s", "post-fader")),
    ("units", message("/get/eq", "ii", 24, 4),
     message("/eq", "iisssss", 24, 4, "yes", "peak", "1 kHz", "0.0 dB", "1.00")),

    ("lines", message("/line/in/2"), message(
        "/line/in", "s", '2 "Kick Out" 28.0 no no 2 0.0 no yes 0.0 -18.0 yes 35 18 yes yes -20.0 '
                         'no -20.0 3.00 0.0 yes no no no')),
    ("lines", message("/line/in/1/levels"),
     message("/line/in/1/levels", "s", "-inf -inf -inf -inf -6.0 -2.0 -4.0 0.0")),
    ("lines", message("/line/mix/3"), message(
        "/line/mix/3", "s", '"Keys wedge", -8.0 dB, yes, 0.0 dB, -16.0 dB, yes, yes, no, 16 Hz, '
                            '18 dB, no, -6.0 dB, 20.00')),
    ("lines", message("/line/desk"),
     message("/line/desk", "s", 'no, no, "Ostrel Barn, Saturday"')),
    ("lines", message("/get/eq", "ii", 1, 1),
     message("/eq", "s", "1 1 yes peak 400 -4.0 2.00")),

    ("blobs", message("/in/levels"), message(
        "/in/levels", "b", struct.pack(">i", 24) + numbers(">h", [db * 250 for db in LEVELS]))),
    ("blobs", message("/mix/2/graphic"), message(
        "/mix/2/graphic", "b", numbers("<h", [int(db * 250) for db in MIX_2_BANDS]))),
    ("blobs", message("/in/faders"), message(
        "/in/faders", "b", numbers(">i", [0] * 12 + [-25000, -25000] + [0] * 10))),
    ("blobs", message("/in/trims"), message("/in/trims", "b", numbers("<i", [0] * 24))),
    ("blobs", message("/in/1/levels"), message(
        "/in/1/levels", "b", numbers(">f", map(fader_wire, KICK_SENDS)))),
    ("blobs", message("/in/gains"), message(
        "/in/gains", "b", numbers("<f", map(head_wire, GAINS)))),
    ("blobs", message("/mix/levels"), message(
        "/mix/levels", "b", struct.pack(">ii", 8, 0) + numbers("<f", [-16] * 8))),
    ("blobs", message("/in/5/hp/on"), message("/in/5/hp/on", "i", 0)),

    ("letters", message("/in/C2/head/gain"), message("/in/C2/head/gain", "f", head_wire(42))),
    ("letters", message("/in/A1/to/ear/2/level"),
     message("/in/A1/to/ear/2/level", "f", fader_wire(-2))),
    ("letters", message("/in/A1/band/low"),
     message("/in/A1/band/low", "isfff", 1, "peak", 400.0, -4.0, 2.0)),
    ("letters", message("/group/-3/open"), message("/group/-3/open", "i", 1)),

    ("mixed", message("/in/2/hp"), message("/in/2/hp", "f", 35.0)),
    ("mixed", message("/in/5/hp"), message("/in/5/hp", "f", 0.0)),
    ("mixed", message("/in/1/to/1/level"), message("/in/1/to/1/level", "s", "off")),
    ("mixed", message("/in/1/to/6/level"), message("/in/1/to/6/level", "f", -2.0)),
    ("mixed", message("/in/1/band/1"), message("/in/1/band/1", "isfff", 1, "peak", 400.0, -4.0, 2.0)),

    ("numbered", message("/get/in/name", "ii", 18, 77), message("/reply", "is", 77, "Ld Vox")),
    ("numbered", message("/get/in/to/level", "iii", 1, 6, -5),
     message("/reply", "if", -5, fader_wire(-2))),
    ("numbered", message("/get/eq", "iii", 1, 1, 8),
     message("/reply", "iisfff", 8, 1, "peak", 400.0, -4.0, 2.0)),
    ("numbered", message("/get/desk/scene", "i", 9),
     message("/reply", "is", 9, "Ostrel Barn, Saturday")),

    ("labels", message("/in/2"), message(
        "/in/2", "s", 'comp.makeup=0.0; comp.ratio=3.00; comp.threshold=-20.0; comp.on=no; '
                      'gate.threshold=-20.0; gate.on=yes; eq.on=yes; high_pass.slope=18; '
                      'high_pass.freq=35; high_pass.on=yes; level=-18.0; fader=0.0; open=yes; '
                      'inverted=no; trim=0.0; socket=2; phantom=no; pad=no; gain=28.0; name="Kick Out"')),
    ("labels", message("/in/1/levels"), message(
        "/in/1/levels", "s", "level8=0.0; level7=-4.0; level6=-2.0; level5=-6.0; level4=-inf; "
                             "level3=-inf; level2=-inf; level1=-inf")),
    ("labels", message("/get/eq", "ii", 1, 2), message(
        "/eq", "s", "n1=1; n2=2; q=1.00; gain=0.0; freq=1000; shape=peak; on=yes")),

    ("json", message("/in/2"), message(
        "/in/2", "s", '{"name":"Kick Out","gain":28,"pad":false,"phantom":false,"socket":2,"trim":0,'
                      '"inverted":false,"open":true,"fader":0,"level":-18,'
                      '"high_pass":{"on":true,"freq":35,"slope":18},"eq":{"on":true},'
                      '"gate":{"on":true,"threshold":-20},'
                      '"comp":{"on":false,"threshold":-20,"ratio":3,"makeup":0}}')),
    ("json", message("/in/1/levels"), message(
        "/in/1/levels", "s", '{"level":["-inf","-inf","-inf","-inf",-6,-2,-4,0]}')),
    ("json", message("/get/eq", "ii", 1, 1), message(
        "/eq", "s", '{"1":{"1":{"on":true,"shape":"peak","freq":400,"gain":-4,"q":2}}}')),

    ("paths", message("/ask", "s", "/in/C2/head/gain"),
     message("/tell", "sf", "/in/C2/head/gain", head_wire(42))),
    ("paths", message("/ask", "sss", "/in/band", "A1", "low"),
     message("/tell", "sssisfff", "/in/band", "A1", "low", 1, "peak", 400.0, -4.0, 2.0)),

    ("patterns", message("/in/5/hp/on"), message("/in/5/hp/on", "i", 0)),
    ("patterns", message("/in/[!2][8]/hp/on"), message("/in/18/hp/on", "i", 1)),
    ("patterns", message("/mix/2/{graphic,nothing}"),
     message("/mix/2/graphic", "f" * 31, *MIX_2_BANDS)),
    ("patterns", message("/*/scene"), message("/desk/scene", "s", "Ostrel Barn, Saturday")),
], ids=lambda value: value if isinstance(value, str) else osc.read_text(value, 0)[0])
def test_one_question(dialect, question, answer):
    desk = Desk("--speak", dialect)
    assert desk.talk(question) == answer
    assert desk.all() == []


@pytest.mark.parametrize("pattern, addresses", [
    ("/mix/*/name", [f"/mix/{mix}/name" for mix in range(1, 9)]),
    ("/mix/[2-4]/{name,open}", [f"/mix/{mix}/{what}" for what in ("name", "open")
                                for mix in (2, 3, 4)]),
    ("/in/2?/hp/s*e", [f"/in/2{digit}/hp/slope" for digit in range(5)]),
    ("/in/[!1]?/band/[13]", [f"/in/2{digit}/band/{band}" for digit in range(5)
                               for band in (1, 3)]),
    ("/*", []), ("/mix/*", []), ("/mix/[1/name", []), ("/mix/{1,2/name", []), ("/mix/*/Name", [])])
def test_one_pattern(pattern, addresses):
    desk = Desk("--speak", "patterns")
    desk.say(message(pattern))
    assert [osc.parse(data)[0] for data in desk.all(len(addresses))] == addresses


def test_patterns_are_the_dialect_of_that_name_alone():
    desk = Desk()
    desk.say(message("/mix/*/name"))
    assert desk.all() == []


def test_pushes_tell_everything_after_each_renewal():
    desk = Desk("--speak", "pushes", "--pushes-per-second", "5000")
    desk.say(message("/in/18/head/gain"))
    assert desk.all() == []  # it answers nothing
    begun = time.monotonic()
    desk.say(message("/stay"))
    first = desk.all(MESSAGES)
    took = time.monotonic() - begun - 0.3
    desk.say(message("/stay"))

    assert len(set(first)) == len(first) == MESSAGES
    assert message("/in/18/head/gain", "f", head_wire(42)) in first
    assert message("/eq", "iiisfff", 1, 1, 1, "peak", 400.0, -4.0, 2.0) in first
    assert desk.all(MESSAGES) == first
    assert took > MESSAGES / 5000 * 0.95  # no faster than it was told


def test_a_renewal_in_between_leaves_nothing_out():
    desk = Desk("--speak", "pushes", "--pushes-per-second", "4000")
    desk.say(message("/stay"))
    before = [desk.hear()[0] for _ in range(500)]
    desk.say(message("/stay"))
    after = set()
    while len(after) < MESSAGES:  # the renewal brings everything, from wherever it was
        after.add(desk.hear()[0])

    assert set(before + desk.all()) <= after


@pytest.mark.parametrize("dialect, told", [
    ("echo", message("/mix/2/fader", "f", fader_wire(-20))),
    ("get-answer", message("/tell/mix/2/fader", "f", fader_wire(-20))),
    ("indexes", message("/mix/fader", "if", 1, fader_wire(-20))),
    ("units", message("/mix/2/fader", "s", "-20.0 dB")),
    ("lines", message("/line/mix/2", "s", '"Gtr wedge", -20.0 dB, yes, 0.0 dB, -16.0 dB, yes, yes, '
                                          'yes, 70 Hz, 18 dB, no, -6.0 dB, 20.00')),
    ("blobs", message("/mix/2/fader", "f", fader_wire(-20))),
    ("pushes", message("/mix/2/fader", "f", fader_wire(-20))),
    ("patterns", message("/mix/2/fader", "f", fader_wire(-20)))])
def test_moves_are_heard_alike_and_told_in_the_dialect(dialect, told):
    desk = Desk("--speak", dialect)
    desk.say(message("/stay"))
    desk.all(MESSAGES if dialect == "pushes" else 0)
    desk.say(message("/mix/2/fader", "f", fader_wire(-20)))
    assert desk.all(1) == [told]


# ---- bundles ----

def opened(data, depth=1):
    """(depth, time tag, message) of each message of a bundle of bundles."""
    assert data[:8] == b"#bundle\0"
    tag, at, found = struct.unpack_from(">Q", data, 8)[0], 16, []
    while at < len(data):
        size = struct.unpack_from(">i", data, at)[0]
        element = data[at + 4:at + 4 + size]
        found += opened(element, depth + 1) if element[0:1] == b"#" else [(depth, tag, element)]
        at += 4 + size
    assert at == len(data)
    return found


def test_nested_bundles_with_the_time_of_now():
    desk = Desk("--speak", "patterns", "--bundle", "8", "--nest", "3")
    found = opened(desk.talk(message("/mix/?/limit/on")))
    now = time.time() + 2208988800  # seconds from 1900 to 1970

    # the last one stands in the outermost bundle, behind the bundle with the others
    assert [depth for depth, _, _ in found] == [3] * 7 + [1]
    assert [data for _, _, data in found] == [
        message(f"/mix/{mix}/limit/on", "i", int(mix == 7)) for mix in range(1, 9)]
    assert all(abs(tag / 2**32 - now) < 5 for _, tag, _ in found)


def test_a_nested_bundle_of_one():
    found = opened(Desk("--nest", "2").talk(message("/desk/talkback")))
    assert [(depth, data) for depth, _, data in found] == [(2, message("/desk/talkback", "i", 0))]


# ---- ports ----

def test_answers_from_another_port():
    desk = Desk("--answer-from-other-port")
    other = int(desk.expect(r"^mock-desk: answering from 127\.0\.0\.1:(\d+)$")[2].group(1))
    desk.say(message("/desk/talkback"))
    assert desk.hear() == (message("/desk/talkback", "i", 0), other)
    assert other != desk.port


def test_answers_to_another_port():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as listener:
        listener.bind(("127.0.0.1", 0))
        listener.settimeout(5 * PATIENCE)
        desk = Desk("--answer-to-port", str(listener.getsockname()[1]))
        desk.say(message("/desk/talkback"))
        data, peer = listener.recvfrom(65536)

    assert (data, peer[1]) == (message("/desk/talkback", "i", 0), desk.port)
    assert desk.all() == []


# ---- TCP ----

def sized(packet):
    return struct.pack(">i", len(packet)) + packet


def slip(packet):
    """RFC 1055, END at both ends."""
    return b"\xc0" + packet.replace(b"\xdb", b"\xdb\xdd").replace(b"\xc0", b"\xdb\xdc") + b"\xc0"


class Client:
    def __init__(self, desk):
        self.socket = socket.create_connection(("127.0.0.1", desk.port))
        self.socket.settimeout(5 * PATIENCE)

    def hear(self, size):
        data = b""
        while len(data) < size:
            more = self.socket.recv(size - len(data))
            assert more, f"hung up after {data}"
            data += more
        return data

    def is_hung_up_on(self):
        try:
            return self.socket.recv(1) == b""
        except ConnectionResetError:
            return True


FRAMINGS = pytest.mark.parametrize("framing, wrap", [("size", sized), ("slip", slip)])


@FRAMINGS
def test_tcp(framing, wrap):
    desk = Desk("--tcp", framing)
    one, other = Client(desk), Client(desk)
    odd = struct.unpack(">f", bytes.fromhex("c0dbdbc0"))[0]  # -6.87 dB, and what SLIP writes as two
    one.socket.sendall(wrap(message("/stay")) + wrap(message("/desk/talkback")))
    assert one.hear(len(wrap(message("/desk/talkback", "i", 0)))) == \
        wrap(message("/desk/talkback", "i", 0))
    told = wrap(message("/in/13/trim", "f", odd))
    for byte in told:  # however it is cut
        other.socket.sendall(bytes([byte]))
    assert one.hear(len(told)) == told
    one.socket.close()
    other.socket.sendall(wrap(message("/in/13/name")))
    assert other.hear(len(wrap(message("/in/13/name", "s", "Keys L")))) == \
        wrap(message("/in/13/name", "s", "Keys L"))


@FRAMINGS
def test_who_says_no_more_is_answered_and_then_hung_up_on(framing, wrap):
    desk = Desk("--tcp", framing)
    client = Client(desk)
    client.socket.sendall(wrap(message("/desk/talkback")) * 3)
    client.socket.shutdown(socket.SHUT_WR)
    answer = wrap(message("/desk/talkback", "i", 0))

    assert client.hear(3 * len(answer)) == 3 * answer
    assert client.is_hung_up_on()


@FRAMINGS
def test_nonsense_is_hung_up_on_and_others_are_not(framing, wrap):
    desk = Desk("--tcp", framing)
    client, nonsense = Client(desk), Client(desk)
    try:
        nonsense.socket.sendall(b"\x7f" * 200000)  # a size beyond all bounds; a packet without end
    except (BrokenPipeError, ConnectionResetError):
        pass
    client.socket.sendall(wrap(message("/desk/talkback")))
    answer = wrap(message("/desk/talkback", "i", 0))

    assert nonsense.is_hung_up_on()
    assert client.hear(len(answer)) == answer


# ---- spelling ----

def test_without_type_tags():
    desk = Desk("--no-type-tags")
    untagged = osc.text("/eq") + struct.pack(">iii", 1, 1, 1) + osc.text("peak") + \
        struct.pack(">fff", 400, -4, 2)

    assert desk.talk(osc.text("/desk/talkback")) == osc.text("/desk/talkback") + bytes(4)
    assert desk.talk(osc.text("/get/eq") + struct.pack(">ii", 1, 1)) == untagged
    assert desk.talk(message("/get/eq", "ii", 1, 1)) == untagged


def test_questions_without_type_tags_are_always_understood_but_moves_are_not():
    desk = Desk()
    desk.say(osc.text("/in/1/fader") + struct.pack(">f", 0.25))

    assert desk.talk(osc.text("/in/1/fader")) == message("/in/1/fader", "f", fader_wire(0))
    assert desk.talk(osc.text("/get/eq") + struct.pack(">ii", 1, 1)) == \
        message("/eq", "iiisfff", 1, 1, 1, "peak", 400.0, -4.0, 2.0)


def test_arrays():
    desk = Desk("--arrays")
    assert desk.talk(message("/get/eq", "ii", 1, 1)) == message("/eq", "i[iisff[f]]", 1, 1, 1, "peak", 400.0, -4.0, 2.0)
    assert desk.talk(message("/in/18/head/gain")) == message("/in/18/head/gain", "f", head_wire(42))


def test_bare_addresses():
    desk = Desk("--bare-addresses")
    assert desk.talk(message("in/18/head/gain")) == message("in/18/head/gain", "f", head_wire(42))
    desk.say(message("stay"))
    desk.say(message("/mix/2/fader", "f", fader_wire(-20)))
    assert desk.hear()[0] == message("mix/2/fader", "f", fader_wire(-20))
    desk.say(message("/in/18/head/gain"))  # not as this desk spells it
    assert desk.all() == []


def test_without_the_switch_a_bare_address_is_not_understood():
    desk = Desk()
    desk.say(message("in/18/head/gain"))
    assert desk.all() == []


# ---- the command line, the table of the README and the profiles ----

def mock_desk(*words):
    return subprocess.run([BUILD / "mock-desk", *words], capture_output=True, text=True,
                          timeout=10 * PATIENCE, check=False)


def dialects():
    return re.findall(r"^  --speak ([a-z]\S+)", mock_desk("--help").stdout, re.MULTILINE)


def test_every_dialect_has_a_profile_of_the_same_counts():
    folder = ROOT / "contrib" / "dialects"
    table = (folder / "README.md").read_text()
    demo = json.loads((ROOT / "contrib" / "demo" / "barn-desk.json").read_text())
    named = set(re.findall(r"^\| `([^`]+\.json)`", table, re.MULTILINE))
    files = {path.name for path in folder.glob("*.json")}
    values = set(re.findall(r'"is": "([^"]+)"', json.dumps(demo)))

    assert len(dialects()) == 15
    assert {f"{name}.json" for name in dialects()} - files == {"echo.json"}
    assert named == files | {"../demo/barn-desk.json"}
    for path in sorted(folder.glob("*.json")):
        profile = json.loads(path.read_text())
        assert profile["counts"] == demo["counts"], path.name
        assert set(re.findall(r'"is": "([^"]+)"', json.dumps(profile))) == values, path.name


@pytest.mark.parametrize("words, said", [
    (["--speak", "nonsense"], '--speak: "nonsense" is no dialect; --help lists them'),
    (["--tcp", "udp"], '--tcp: "udp" is neither size nor slip'),
    (["--answer-to-port", "0"], '--answer-to-port: "0" is not a port from 1 to 65535'),
    (["--port", "65536"], '--port: "65536" is not a port from 0 to 65535'),
    (["--nest", "17"], '--nest: "17" is not a whole number from 0 to 16'),
    (["--tcp", "size", "--answer-from-other-port"],
     "--tcp: answers come by the connection they were asked by"),
])
def test_wrong_switches(words, said):
    done = mock_desk("--state", STATE, *words)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", f"mock-desk: {said}\n")
