# SPDX-License-Identifier: MIT
"""A small desk with an evening on it: what it holds, the table of questions and answers by which a peer
plays it, and what gainwarden must then know of it.

The profile is small-desk.json. Between them the answers carry i f s h d T F, a bundle answers one question,
and indexes travel in addresses and as arguments, counted from 1 and from 0.
"""
import math

import lines

# label, preamp gain, muted, high-pass (on, Hz, dB per octave), sends to the four mixes
OFF = -math.inf
INPUTS = [
    ("Kick",     20.0, False, (True, 40.0, 12),  (OFF, OFF, -6.0, 0.0)),
    ("Snare",    26.0, False, (True, 100.0, 12), (OFF, -9.0, OFF, 0.0)),
    ("Bass",     18.0, False, (True, 40.0, 18),  (OFF, OFF, 0.0, -7.0)),
    ("Guitar",   24.0, False, (True, 100.0, 12), (-6.0, 0.0, OFF, OFF)),
    ("Keys",     12.0, False, (True, 50.0, 12),  (-10.0, -2.0, -18.5, OFF)),
    ("Ld Vox",   44.0, False, (True, 120.0, 24), (-14.0, -20.0, OFF, -24.0)),
    ("BV 1",     32.0, False, (False, 80.0, 12), (0.0, -6.0, OFF, OFF)),
    ("BV 2",     32.0, True,  (False, 80.0, 12), (0.0, OFF, OFF, OFF)),
]
MIXES = [("Ld Vox wedge", 0.0), ("Gtr wedge", -8.0), ("Bass wedge", 0.0), ("Drums wedge", 0.5)]


def switch(on):
    return ("T" if on else "F",)


def amplitude(db):
    return 10 ** (db / 20)


def input_rows(number, label, gain, muted, low_end, sends):
    on, freq, slope = low_end
    seat = f"/seat/{number:03}"
    yield lines.message("/label", ("i", number)), \
        [lines.message("/label/is", ("i", number), ("s", label))]
    yield f"{seat}/amp", [lines.message(f"{seat}/amp", ("f", (gain + 10) / 60))]
    yield f"{seat}/shut", [lines.message(f"{seat}/shut", switch(muted))]
    yield f"{seat}/low-end", [lines.message(f"{seat}/low-end", switch(on), ("d", freq), ("h", slope))]
    for mix, db in enumerate(sends):
        yield lines.message(f"/feed/{mix}", ("i", number - 1)), \
            [lines.message(f"/feed/{mix}/is", ("i", number - 1), ("d", amplitude(db)), ("s", "before"))]


def rows():
    """(question, answers)"""
    for number, values in enumerate(INPUTS, 1):
        yield from input_rows(number, *values)
    yield "/outs", [lines.message(f"/out/{mix}/all", ("s", label), ("f", master))
                    for mix, (label, master) in enumerate(MIXES, 1)]


def write_table(path):
    path.write_text("".join(lines.NEXT.join([question, *answers]) + "\n" for question, answers in rows()))
    return path


QUESTIONS = len(list(rows()))


def values():
    """{(parameter, row, column): value}, as gainwarden must know them; a tap is its place in the words."""
    known = {}
    for row, (label, gain, muted, (on, freq, slope), sends) in enumerate(INPUTS, 1):
        known["input.name", row, 1] = label
        known["input.preamp_gain", row, 1] = gain
        known["input.mute", row, 1] = float(muted)
        known["input.high_pass.on", row, 1] = float(on)
        known["input.high_pass.freq", row, 1] = freq
        known["input.high_pass.slope", row, 1] = slope
        for column, db in enumerate(sends, 1):
            known["send.level", row, column] = db
            known["send.tap", row, column] = 1
    for row, (label, master) in enumerate(MIXES, 1):
        known["mix.name", row, 1] = label
        known["mix.fader", row, 1] = master
    return known
