# SPDX-License-Identifier: MIT
"""Messages as lines of text, the language in which the tests talk to the peers and probes.

A message is its address and its arguments, parted by tabs. An argument is its type tag and its value: numbers
in decimal, `s`, `S` and `b` in hex, nothing for `T`, `F`, `N` and `I`, nor for
the brackets of an array, which stand as arguments do. Several messages on a line, which is a
bundle or a question with its answers, are parted by "=>".
"""

NEXT = "\t=>\t"


def argument(tag, value=None):
    if tag in "TFNI[]":
        return tag
    if tag in "sS":
        return tag + value.encode().hex()
    return tag + (value.hex() if tag == "b" else repr(value))


def message(address, *arguments):
    """Arguments are pairs of type tag and value."""
    return "\t".join([address, *(argument(*each) for each in arguments)])


def read(line):
    """[(address, [(tag, text of the value)])]"""
    found = []
    for text in line.split(NEXT):
        address, *words = text.split("\t")
        found.append((address, [(word[0], word[1:]) for word in words]))
    return found
