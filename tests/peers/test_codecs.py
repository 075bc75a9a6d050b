# SPDX-License-Identifier: MIT
"""Our encoder and decoder beside two that others wrote, on the same random messages: the bytes must be equal,
and so must what is read from them, either way.

The seed is printed; GW_SEED=seed has the messages again.
"""
import random
import string
import struct

import pytest

import lines
from harness import BUILD, SEED
from peers import NPM, OSCPACK, through

PROBE = (BUILD / "tests" / "osc_probe",)
PEERS = pytest.mark.parametrize("peer", [(OSCPACK, "codec"), (*NPM, "codec")], ids=["oscpack", "npm"])
COUNT = 10000

WE_ENCODE = "ifsTF"
WE_READ = "ifshdTFSbcrm"  # of the others the type alone
BOTH_KNOW = WE_READ + "tNI"

ADDRESS = "".join(set(string.ascii_letters + string.digits + string.punctuation) - set("#*,/?[]{}"))
LETTERS = [*map(chr, range(1, 127)), "\u00e9", "\u06c0", "\u20ac", "\U0001d11e"]
FLOATS = [0.0, -0.0, 1.0, float("inf"), float("-inf"), float("nan"), 2.0 ** -149, 1e-310]
SIZES = {"i": 31, "h": 63}
PACKING = {"i": ">i", "h": ">q", "f": ">f", "d": ">d", "c": ">I", "r": ">I", "m": ">I",
           "t": ">Q"}


# ---- random messages ----

def whole(dice, bits):
    """As many small numbers as large ones, and the two ends."""
    most = 2 ** dice.randint(0, bits)
    return dice.choice([dice.randint(-most, most - 1), -2 ** bits, 2 ** bits - 1])


def floating(dice, tag):
    """Any bits at all; a float is what a float can hold."""
    size = struct.calcsize(PACKING[tag])
    number = struct.unpack(PACKING[tag], dice.randbytes(size))[0]
    number = dice.choice([number, dice.uniform(-100, 100), dice.choice(FLOATS)])
    if number != number:
        return float("nan")  # one of its many bit patterns: C's and JavaScript's copies keep no other
    return struct.unpack(PACKING[tag], struct.pack(PACKING[tag], number))[0]


def value(dice, tag):
    if tag in "TFNI":
        return None
    if tag in "ih":
        return whole(dice, SIZES[tag])
    if tag in "fd":
        return floating(dice, tag)
    if tag in "sS":
        return "".join(dice.choices(LETTERS, k=dice.choice([0, 3, 4, dice.randint(0, 60)])))
    if tag == "b":
        return dice.randbytes(dice.choice([0, 4, dice.randint(0, 60)]))
    return dice.randrange({"c": 128, "r": 2 ** 32, "m": 2 ** 32, "t": 2 ** 64}[tag])


def message(dice, tags):
    """(address, [(tag, value)])"""
    parts = ["".join(dice.choices(ADDRESS, k=dice.randint(1, 12))) for _ in range(dice.randint(1, 4))]
    count = dice.choice([0, 1, 1, dice.randint(2, 12), dice.randint(2, 12), 100])
    chosen = dice.choices(tags, k=count)
    return "/" + "/".join(parts), [(tag, value(dice, tag)) for tag in chosen]


def with_arrays(dice, arguments):
    """The same in up to three arrays; one of the peers knows none inside another."""
    left, found = list(arguments), []
    for _ in range(dice.choice([0, 1, 1, 3])):
        before, inside = dice.randint(0, len(left)), dice.randint(0, 3)
        found += [*left[:before], ("[", None), *left[before:before + inside], ("]", None)]
        left = left[before + inside:]
    return found + left


def messages(tags):
    dice = random.Random(SEED)
    return dice, [message(dice, tags) for _ in range(COUNT)]


# ---- comparing: values as bytes, so that -0 is not 0 and one nan is another ----

def exactly(tag, value):
    if tag in "TFNI[]":
        return b""
    if tag in "sS":
        return value.encode()
    return value if tag == "b" else struct.pack(PACKING[tag], value)


def exactly_read(tag, text):
    """The same of an argument that a peer read."""
    if tag in "TFNI[]sSb":
        return bytes.fromhex(text)
    return struct.pack(PACKING[tag], float(text) if tag in "fd" else int(text))


def as_read_by_us(tag, value):
    """Numbers are taken as doubles: all of i, and of h those that a double holds. A letter is a text."""
    if tag not in WE_READ:
        return b""
    if tag == "c":
        return bytes([value]).rstrip(b"\0")
    return struct.pack(">d", float(value)) if tag in "ihfdrm" else exactly(tag, value)


def our_reading(tag, text):
    return struct.pack(">d", float(text)) if tag in "ihfdrm" else bytes.fromhex(text)


def flat(arguments):
    return [one for one in arguments if one[0] not in "[]"]


def meant(all_messages, form):
    return [(address, [(tag, form(tag, value)) for tag, value in arguments])
            for address, arguments in all_messages]


def seen(line, form):
    return meant(lines.read(line), form)


# ---- the comparisons ----

@PEERS
def test_what_we_encode(peer):
    """The peer's bytes are ours, and it reads from ours what was meant."""
    _, sent = messages(WE_ENCODE)
    rows = ["encode\t" + lines.message(address, *arguments) for address, arguments in sent]
    ours = through(PROBE, rows)

    assert ours == through(peer, rows)
    read = through(peer, ["decode\t" + row for row in ours])
    for row, expected in zip(read, meant(sent, exactly), strict=True):
        assert seen(row, exactly_read) == [expected]


@PEERS
def test_what_we_decode(peer):
    """Messages of every type that both know, in arrays or not, singly and in bundles, encoded by the
    peer. Of an array we read what stands in it."""
    dice, sent = messages(BOTH_KNOW)
    sent = [(address, with_arrays(dice, arguments)) for address, arguments in sent]
    packets = []
    while sent:
        size = dice.choice([1, dice.randint(2, 20)])
        packets.append(sent[:size])
        del sent[:size]
    encoded = through(peer, ["encode\t" + lines.NEXT.join(lines.message(address, *arguments)
                                                          for address, arguments in packet)
                             for packet in packets])
    read = through(PROBE, ["decode\t" + row for row in encoded])

    for row, packet in zip(read, packets, strict=True):
        assert seen(row, our_reading) == meant([(address, flat(arguments)) for address, arguments in packet],
                                               as_read_by_us)
