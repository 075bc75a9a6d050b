# SPDX-License-Identifier: MIT
"""A whole desk that says, before each true word, what no desk should: numbers that are none in place of
every value, and damage of every kind, in the dialects. Nothing of it is believed, nothing breaks.
"""
import pathlib
import random
import re
import select
import socket
import threading
import time

import pytest

import osc
from harness import (BUILD, PROFILE, QUESTIONS, SEED, SHOW, STATE, Process, audit, findings, read_json, run)
from test_dialects import DIALECTS, SPOKEN


class Relay:
    """Stands between gainwarden and a mock desk: what the desk says goes through twist(), which gives
    the datagrams that are sent in its place."""

    def __init__(self, port, twist):
        self.twist = twist
        self.near = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.near.bind(("127.0.0.1", 0))
        self.at = "127.0.0.1:{}".format(self.near.getsockname()[1])
        self.far = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.far.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
        self.far.connect(("127.0.0.1", port))
        self.error = None
        self.ending = threading.Event()
        self.thread = threading.Thread(target=self.serve, daemon=True)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *_):
        self.ending.set()
        self.thread.join(5)
        self.near.close()
        self.far.close()
        if self.error:
            raise self.error

    def wait_for_reader(self, peer):
        """Until it has read what was sent: a socket holds some 270 small datagrams, and drops the rest."""
        while not self.ending.is_set():
            rows = [row.split() for row in pathlib.Path("/proc/net/udp").read_text().splitlines()]
            if all(int(row[4].split(":")[1], 16) == 0 for row in rows if row[1].endswith(f":{peer[1]:04X}")):
                return
            time.sleep(0.0005)

    def serve(self):
        peer = None
        try:
            while not self.ending.is_set():
                for end in select.select([self.near, self.far], [], [], 0.02)[0]:
                    data, source = end.recvfrom(65536)
                    if end is self.near:
                        peer = source
                        self.far.send(data)
                        continue
                    for place, datagram in enumerate(self.twist(data)):
                        self.near.sendto(datagram, peer)
                        if place % 50 == 49:
                            self.wait_for_reader(peer)
        except Exception as error:  # told to the test by __exit__
            self.error = error


def start_desk(*words):
    desk = Process(BUILD / "mock-desk", "--state", STATE, "--port", "0", *words)
    return int(desk.expect(r"^mock-desk: listening on 127\.0\.0\.1:(\d+)$")[2].group(1))


# ---- numbers ----

NO_NUMBERS = [(tag, value) for tag in "fd" for value in map(float, ("nan", "inf", "-inf"))]
TOO_MUCH = [("i", 2**31 - 1), ("i", -2**31), ("h", 2**63 - 1), ("h", -2**63), ("f", 3.4e38),
            ("f", -3.4e38), ("d", 1.7e308), ("d", -1.7e308)]
NEXT_TO_NOTHING = [("f", 1e-45), ("f", -1e-45), ("d", 5e-324), ("d", -5e-324), ("f", -0.0),
                   ("d", -0.0)]


def with_numbers(data, tag, value):
    """The message with this in place of every number that is a value; None when it has none."""
    address, values = osc.parse(data)
    tags = osc.read_text(data, len(osc.text(address)))[0][1:]
    first = 2 if address in ("/eq", "/mix-eq") else 0  # whose value it is (mocks/README.md)
    hit = [place >= first and one in "ifhd" for place, one in enumerate(tags)]
    if not any(hit):
        return None
    return osc.message(address, "".join(tag if one else kept for one, kept in zip(hit, tags)),
                       *(value if one else kept for one, kept in zip(hit, values)))


def test_numbers_that_are_none_in_place_of_every_value():
    """Each is turned down, none becomes a value of the desk: nothing is known, nothing is found."""
    kinds = NO_NUMBERS + TOO_MUCH
    sent = []

    def twist(data):
        hostile = [with_numbers(data, *kind) for kind in kinds]
        if hostile[0] is None:
            return [data]
        sent.extend(hostile)
        return hostile

    with Relay(start_desk(), twist) as relay:
        report, result = audit(relay)

    assert len(sent) > (QUESTIONS - 50) * len(kinds)
    # when the last questions under way have their first answer, the reading ends
    late = read_json(PROFILE)["pace"]["in_flight"] * len(kinds)
    assert set(report["link"]["rejected"]) == {"bad-value"}
    assert len(sent) - late <= report["link"]["rejected"]["bad-value"] <= len(sent)
    assert findings(report) == report["accepted"] == []
    assert set(report["passed"].values()) == {0}
    assert result.status == 3


def test_numbers_next_to_nothing_in_place_of_every_value():
    """Those are numbers: taken where the control has one so small, and turned down elsewhere."""
    def twist(data):
        return [with_numbers(data, *kind) or data for kind in NEXT_TO_NOTHING]

    with Relay(start_desk(), twist) as relay:
        report, result = audit(relay)
        text = run("audit", SHOW, "--desk", relay.at, "--all")

    assert set(report["link"]["rejected"]) == {"bad-value"}
    assert result.status == text.status
    assert not re.search(r"\b(nan|inf|e-\d+)\b", text.out.replace("-inf", ""), re.I)


# ---- damage ----

SIGNS = b"\"', -+.eE0123456789dBkHzxno\t\x1b\xff"
WORDS = [bytes.fromhex(word) for word in
         ("7fc00000", "ff800000", "7fffffff", "80000000", "ffffffff", "00000001")]


def damage(dice, data):
    """One way in which a datagram may come wrong."""
    raw = bytearray(data)
    way = dice.randrange(6)
    at = dice.randrange(len(raw))
    if way == 0:  # some bytes
        for _ in range(dice.randrange(1, 5)):
            raw[dice.randrange(len(raw))] ^= dice.randrange(1, 256)
    elif way == 1:  # no number, an infinite one, the largest, the least
        raw[at // 4 * 4:at // 4 * 4 + 4] = dice.choice(WORDS)
    elif way == 2:  # the end is missing
        del raw[at:]
    elif way == 3:  # too much of it
        raw += dice.randbytes(dice.randrange(1, 40))
    elif way == 4:  # a part twice
        raw[at // 4 * 4:at // 4 * 4] = raw[at // 4 * 4:at // 4 * 4 + 4 * dice.randrange(1, 9)]
    else:  # signs that numbers and lines are made of
        end = min(len(raw), at + dice.randrange(1, 12))
        raw[at:end] = bytes(dice.choice(SIGNS) for _ in range(at, end))
    return bytes(raw)


class Damaging:
    """twist() of a Relay: two damaged datagrams before each true one, until four fifths of `all` came.

    Damage may make a well-formed lie about something else, so all that is true is said once more then. The first
    answer is kept back until then: a lie may answer a question too, and the reading ends with the last.
    """

    def __init__(self, dice, all):
        self.dice = dice
        self.quiet_from = all * 4 // 5
        self.true = []

    def __call__(self, data):
        self.true.append(data)
        if len(self.true) < self.quiet_from and data == self.true[0]:
            return
        if len(self.true) < self.quiet_from:
            yield damage(self.dice, data)
            yield damage(self.dice, data)
        elif len(self.true) == self.quiet_from:
            yield from reversed(self.true)  # the one that was kept back is the last
        yield data


DAMAGED = ["get-answer", "indexes", "rows", "units", "lines", "blobs", "patterns", "untyped",
           "bare-addresses"]


@pytest.mark.parametrize("name", DAMAGED)
def test_a_desk_with_damage_before_every_answer(name):
    """What is true comes behind it, so the findings must be the true ones."""
    profile = ("--profile", DIALECTS / f"{name}.json")
    port = start_desk(*SPOKEN[name])
    whole = []  # everything the desk says in a reading, to know how much comes
    with Relay(port, lambda data: whole.append(data) or [data]) as relay:
        true, _ = audit(relay, *profile)
    damaging = Damaging(random.Random(SEED), len(whole))
    with Relay(port, damaging) as relay:
        report, result = audit(relay, *profile)

    assert len(damaging.true) >= damaging.quiet_from > 50
    assert findings(report) == findings(true)
    assert len(report["link"]["rejected"]) > 3, report["link"]["rejected"]
    assert result.status == 1
