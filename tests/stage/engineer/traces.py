# SPDX-License-Identifier: MIT
"""What each mistake leaves in the moves and settings of a desk: read from them alone, but for which bands rang."""
import collections
import itertools

from .hands import OFF, PREAMP_LOWEST_DB

ONE_MOVE_S = 0.2  # what lies closer together is one turn of a hand
LEAST_BACK_DB = -5.9  # the book's 6 dB, and what single precision takes from it


class Evening:
    """A ring-out that is over: the hands with their moves, whose microphone a mix is for, and what was heard."""

    def __init__(self, hands, own, rings):
        self.hands, self.own, self.rings = hands, own, rings
        self.settings, self.moves = hands.settings, hands.moves

    def states(self):
        """(move, settings as they were before it)."""
        settings = dict(self.settings)
        for move in reversed(self.moves):
            settings[move.control] = move.before
        for move in self.moves:
            yield move, settings
            settings[move.control] = move.after

    def cuts(self):
        return [move for move in self.moves if move.control[0] == "cut" and move.after < move.before]

    def pushes(self):
        """Steps up of a preamp whose path is open, with the settings before each."""
        return [(move, dict(settings)) for move, settings in self.states()
                if move.control[0] == "preamp" and move.after > move.before and self.sounds(settings, move.control[1])]

    def sounds(self, settings, i):
        return bool(settings[("open", i)]) and any(
            settings[("send", i, m)] > OFF and settings[("master", m)] > OFF for m in self.hands.mixes)


def preamp_high(evening):
    """The first step of a ring-out begins, or ends, far above the lowest preamp."""
    first = {}
    for move, _ in evening.pushes():
        first.setdefault(move.control, move.after)
    return any(db >= PREAMP_LOWEST_DB + 20 for db in first.values())


def own_send_off(evening):
    return any(evening.settings[("send", i, m)] != 0 for m, i in evening.own.items())


def rises_fast(evening):
    """One control 12 dB up within a second, in more than one move: a jump is another thing."""
    moves = collections.defaultdict(list)
    for move, _ in evening.pushes():
        moves[move.control].append(move)
    return any(last.at - first.at <= 1 and last.after - first.before >= 12 and last is not first
               for some in moves.values() for first, last in itertools.combinations(some, 2))


def cuts_nine(evening):
    return any(move.before - move.after >= 9 for move in evening.cuts())


def cuts_silent_band(evening):
    rang = {(ring.mix, ring.band + beside) for ring in evening.rings for beside in (-1, 0, 1)}
    return any(move.control[1:] not in rang for move in evening.cuts())


def cuts_neighbours(evening):
    return any(second.at - first.at <= ONE_MOVE_S and first.control[1] == second.control[1]
               and abs(first.control[2] - second.control[2]) == 1
               for first, second in zip(evening.cuts(), evening.cuts()[1:]))


def eleven_cuts(evening):
    cut = collections.Counter(control[1] for control, value in evening.settings.items()
                              if control[0] == "cut" and value < 0)
    return any(count >= 11 for count in cut.values())


def never_back(evening):
    """A preamp stands less than 6 dB below its last push: no further than a ring that no cut ended made it go."""
    return any(evening.settings[("preamp", i)] > LEAST_BACK_DB + max(move.after for move, _ in evening.pushes()
                                                                     if move.control == ("preamp", i))
               for i in evening.own.values())


def other_open(evening):
    """While one path was pushed, another microphone sounded in the same mix."""
    return any(settings[("open", other)] and settings[("send", other, m)] > OFF
               for move, settings in evening.pushes() for m in evening.hands.mixes if settings[("master", m)] > OFF
               for other in evening.hands.inputs if other != move.control[1])


def no_high_pass(evening):
    return not all(evening.settings[("high-pass", i)] for i in evening.own.values())


TRACES = {
    "starts with the preamp high": preamp_high,
    "own send not at 0": own_send_off,
    "raises 12 dB in a second": rises_fast,
    "cuts 9 dB at once": cuts_nine,
    "cuts a band that did not ring": cuts_silent_band,
    "cuts two neighbours for one ring": cuts_neighbours,
    "goes on to eleven cuts": eleven_cuts,
    "never steps back": never_back,
    "leaves another microphone open": other_open,
    "forgets the high-pass": no_high_pass,
}


def found(evening):
    return {name for name, left in TRACES.items() if left(evening)}
