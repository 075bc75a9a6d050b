# SPDX-License-Identifier: MIT
"""Reads a QR code drawn in half blocks, by ISO/IEC 18004: symbols of one block (versions 1 to 5 of level L), in bytes.
It corrects nothing: a module that is wrong is a text that is wrong.
"""
import re

QUIET = 4
MASKS = [lambda i, j: (i + j) % 2, lambda i, j: i % 2, lambda i, j: j % 3, lambda i, j: (i + j) % 3,
         lambda i, j: (i // 2 + j // 3) % 2, lambda i, j: i * j % 2 + i * j % 3, lambda i, j: (i * j % 2 + i * j % 3) % 2,
         lambda i, j: ((i + j) % 2 + i * j % 3) % 2]


def modules(drawn):
    """Rows of booleans, dark is true, without the light around, which must be there."""
    rows = []
    for line in re.findall("\x1b\\[30;47m(.*?)\x1b\\[0m", drawn):
        rows += [[one in "\u2580\u2588" for one in line], [one in "\u2584\u2588" for one in line]]
    width = len(rows[0])
    height = width - 2 * QUIET
    inner = [row[QUIET:-QUIET] for row in rows[QUIET:QUIET + height]]
    around = [row for row in rows[:QUIET] + rows[QUIET + height:]] + [row[:QUIET] + row[-QUIET:] for row in rows]
    assert len(rows) >= height + 2 * QUIET and not any(any(row) for row in around)
    return inner


def is_function(size, i, j):
    """Finders with their formats, timing, and the one alignment pattern of versions 2 to 6."""
    corner = (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)
    aligned = size > 21 and abs(i - (size - 7)) <= 2 and abs(j - (size - 7)) <= 2
    return corner or aligned or 6 in (i, j)


def data_bits(rows, mask):
    size, column, up = len(rows), len(rows) - 1, True
    while column > 0:
        column -= column == 6
        for i in reversed(range(size)) if up else range(size):
            for j in (column, column - 1):
                if not is_function(size, i, j):
                    yield rows[i][j] != (MASKS[mask](i, j) == 0)
        column, up = column - 2, not up


def number(bits):
    return int("".join("01"[bit] for bit in bits), 2)


def read(drawn):
    rows = modules(drawn)
    version, rest = divmod(len(rows) - 17, 4)
    assert rest == 0 and 1 <= version <= 5
    places = [(8, j) for j in (0, 1, 2, 3, 4, 5, 7, 8)] + [(i, 8) for i in (7, 5, 4, 3, 2, 1, 0)]
    form = number([rows[i][j] for i, j in places]) ^ 0x5412
    assert form >> 13 == 1  # level L
    bits = list(data_bits(rows, form >> 10 & 7))
    assert number(bits[:4]) == 4  # bytes
    count = number(bits[4:12])
    return bytes(number(bits[12 + 8 * at:20 + 8 * at]) for at in range(count)).decode()
