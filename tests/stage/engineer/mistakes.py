# SPDX-License-Identifier: MIT
"""Ten mistakes of students: the book with one page wrong."""
import dataclasses

from .book import Practice

BOOK = Practice()
MISTAKES = {
    "starts with the preamp high": {"start_preamp_db": 26},
    "own send not at 0": {"own_send_db": -10},
    "raises 12 dB in a second": {"step_db": 3, "every_s": 0.25, "fine_step_db": 3, "fine_every_s": 0.25},
    "cuts 9 dB at once": {"cut_at_once_db": 9, "first_cut_db": 9, "further_cut_db": 9},
    "cuts a band that did not ring": {"beside": 3},
    "cuts two neighbours for one ring": {"neighbour_too": True},
    "goes on to eleven cuts": {"most_cuts": 11, "first_cut_db": 12, "further_cut_db": 12},
    "never steps back": {"back_db": 0},
    "leaves another microphone open": {"closes_others": False},
    "forgets the high-pass": {"high_pass": False},
}


def practice(mistake):
    """The book with this mistake."""
    return dataclasses.replace(BOOK, **MISTAKES[mistake])
