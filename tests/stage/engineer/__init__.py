# SPDX-License-Identifier: MIT
"""A scripted engineer, who rings out a stage by the book or makes one of ten mistakes.

    hands.py      what one can do and see at a desk; every move is written down
    paper.py      hands on a stage on paper
    people.py     the book with habits of their own, on paper
    virtual.py    hands on a simulated stage in virtual time
    desk.py       hands on a mock-desk with a stage behind it, over OSC
    ear.py        hears a ring in the published spectrum
    book.py       ringing out: one mix, one after another, all together
    mistakes.py   the book with one page wrong
    traces.py     what a mistake leaves in the moves and settings
"""
