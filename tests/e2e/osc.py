# SPDX-License-Identifier: MIT
"""Open Sound Control 1.0 on the wire, written from the specification.

The tests judge gainwarden by these bytes, so nothing here comes from its sources, from the mocks or
from liblo: one mistake must not hide another.
"""
import struct

BARE = "TFNI[]"


def text(string):
    """A string with its end and padding: always at least one NUL, to a multiple of four."""
    raw = string.encode() + b"\0"
    return raw + b"\0" * (-len(raw) % 4)


def argument(tag, value):
    if tag in BARE:
        return b""
    if tag in "sS":
        return text(value)
    if tag == "b":
        return struct.pack(">i", len(value)) + value + b"\0" * (-len(value) % 4)
    return struct.pack({"i": ">i", "f": ">f", "h": ">q", "d": ">d", "c": ">I", "r": ">I", "m": ">I", "t": ">Q"}[tag],
                       value)


def message(address, tags="", *values):
    """One message. T, F, N, I and the brackets of arrays stand among the tags but take no value."""
    left = list(values)
    data = b"".join(argument(tag, None if tag in BARE else left.pop(0)) for tag in tags)
    assert not left, "more values than tags"
    return text(address) + text("," + tags) + data


def bundle(*elements):
    """Elements to be dealt with at once (time tag 1)."""
    return text("#bundle") + struct.pack(">q", 1) + b"".join(
        struct.pack(">i", len(element)) + element for element in elements)


def read_text(data, at):
    end = data.index(b"\0", at)
    return data[at:end].decode(), at + (end - at) // 4 * 4 + 4


def parse(data):
    """Address and arguments of one message; the tests only parse what a well-behaved peer sends."""
    address, at = read_text(data, 0)
    tags, at = read_text(data, at)
    assert tags[0] == ","
    values = []
    for tag in tags[1:]:
        if tag in "TF":
            values.append(tag == "T")
        elif tag in "sS":
            value, at = read_text(data, at)
            values.append(value)
        elif tag == "b":
            size = struct.unpack_from(">i", data, at)[0]
            values.append(data[at + 4:at + 4 + size])
            at += 4 + (size + 3) // 4 * 4
        else:
            form = {"i": ">i", "f": ">f", "h": ">q", "d": ">d"}[tag]
            values.append(struct.unpack_from(form, data, at)[0])
            at += struct.calcsize(form)
    assert at == len(data), "bytes are left over"
    return address, values


def elements(data):
    """The messages of a datagram, message or flat bundle."""
    if not data.startswith(b"#bundle\0"):
        return [data]
    found, at = [], 16
    while at < len(data):
        size = struct.unpack_from(">i", data, at)[0]
        found.append(data[at + 4:at + 4 + size])
        at += 4 + size
    return found
