# SPDX-License-Identifier: MIT
"""Ringing out by the book.

One mix: everything else closed, the player's own send and the master at 0 dB, the preamp at its lowest. The preamp goes
up in small steps to the first ring; that band comes down as deep as silences it, 6 dB for the first bands, 3 dB for
further ones, five to seven bands at most. Then one push more, that ring stays uncut, and the preamp goes back 6 dB. A
band that rings although it is as low as it may be ends it as well. (Common practice, no source; of the figures, five to
seven cuts: "What is the best way to EQ stage monitors", sweetwater.com; at least 6 dB back: Davis and Jones, Sound
Reinforcement Handbook, 5.3.1, read in a secondary text.)

All together: every microphone and mix open, all masters 12 dB down, up together to the first ring, and 6 dB back.
Some cut only then: each mix alone is brought to its first ring and back, and what rings with all open is cut.

At last each mix in turn: its master up to a ring, 10 dB at most, and back to where it was.

What the book says is a Practice; a mistake is the same with one thing changed.
"""
import dataclasses
from typing import Optional

from .ear import Ear
from .hands import CUT_DEEPEST_DB, MASTER_HIGHEST_DB, OFF, PREAMP_HIGHEST_DB, PREAMP_LOWEST_DB

REACTS_S = (0.3, 1.5)


@dataclasses.dataclass(frozen=True)
class Practice:
    start_preamp_db: float = PREAMP_LOWEST_DB
    own_send_db: float = 0
    step_db: float = 1  # up to the first ring
    every_s: float = 1.5
    fine_step_db: float = 0.5  # from then on, and with all together
    fine_every_s: float = 3
    cut_at_once_db: float = 3
    first_cut_db: float = 6  # what the first bands may get
    first_cuts: int = 3
    further_cut_db: float = 3
    most_cuts: Optional[int] = None  # five to seven
    beside: int = 0  # how many bands beside the ring a hand cuts first
    neighbour_too: bool = False
    back_db: float = 6
    closes_others: bool = True
    closes_mixes: bool = True
    high_pass: bool = True
    masters_down_db: float = 12
    cuts_together: bool = False  # not one by one
    push_most_db: float = 10


class Engineer:
    """One person with a pair of hands and ears; `dice` decide how fast they are today."""

    def __init__(self, hands, dice, practice=Practice()):
        self.hands, self.dice, self.practice = hands, dice, practice
        self.ear = Ear(hands)
        self.rings = []  # what was heard

    def react(self):
        self.hands.wait(self.dice.uniform(*REACTS_S))

    # ---- one mix ----

    def open_only(self, mix, own):
        """Everything else is closed first, so that nothing gets louder on the way; what the noise is like is heard at
        the lowest gain."""
        hands, practice = self.hands, self.practice
        for i in hands.inputs:
            if i != own and practice.closes_others:
                hands.set(("open", i), False)
        for m in hands.mixes:
            if m != mix and practice.closes_mixes:
                hands.set(("master", m), OFF)
        hands.set(("preamp", own), PREAMP_LOWEST_DB)
        if practice.high_pass:
            hands.set(("high-pass", own), True)
        hands.set(("send", own, mix), practice.own_send_db)
        hands.set(("master", mix), 0)
        hands.set(("open", own), True)
        self.ear.learn([mix])
        hands.set(("preamp", own), practice.start_preamp_db)

    def ring_out(self, mix, own):
        self.open_only(mix, own)
        cuts = {}
        most = 0 if self.practice.cuts_together else self.most_cuts()
        while True:
            ring = self.rise([mix], [("preamp", own)], PREAMP_HIGHEST_DB, fine=bool(cuts))
            if ring is None or not self.cut(ring, cuts, most):
                break
            if not self.practice.back_db and len(cuts) == most:
                return
        self.hands.keep_ceiling(mix)
        self.step_back(ring, lambda db: self.hands.add(("preamp", own), -db))

    def most_cuts(self):
        return self.practice.most_cuts or self.dice.randint(5, 7)

    def step_back(self, ring, lower):
        """So far that there is room for a voice; and further as long as it does not fall silent."""
        lower(self.practice.back_db)
        while ring and not self.ear.falls(ring, 1.0):
            lower(self.practice.step_db)
        if ring:
            self.ear.wait_until_gone(ring, 10)

    def rise(self, mixes, controls, highest_db, fine):
        """All of them up together in small steps until a mix rings; None where they end first, or were put to off by
        who could not silence a ring otherwise: there they would stay."""
        practice = self.practice
        step_db, every_s = ((practice.fine_step_db, practice.fine_every_s) if fine else
                            (practice.step_db, practice.every_s))
        while True:
            ring = self.ear.listen(mixes, every_s)
            if ring:
                self.rings.append(ring)
                self.react()
                return ring
            if not OFF < max(self.hands.get(control) for control in controls) < highest_db:
                return None
            for control in controls:
                self.hands.add(control, step_db)

    def may_be_cut_db(self, band, cuts):
        """How deep the band may go: the first ones to be cut deeper than the others."""
        place = list(cuts).index(band) if band in cuts else len(cuts)
        return self.practice.first_cut_db if place < self.practice.first_cuts else self.practice.further_cut_db

    def cut(self, ring, cuts, most):
        """As deep as silences it; False where the book has no cut left for it, so that it stays."""
        band = ring.band
        limit = self.may_be_cut_db(band, cuts)
        if band not in cuts and len(cuts) >= most or cuts.get(band, 0) >= limit:
            return False
        if self.practice.beside:
            self.turn_down(ring.mix, self.inside(band, self.practice.beside), self.practice.cut_at_once_db)
        while cuts.get(band, 0) < limit:
            cuts[band] = min(limit, cuts.get(band, 0) + self.practice.cut_at_once_db)
            self.turn_down(ring.mix, band, cuts[band])
            if self.practice.neighbour_too:
                self.turn_down(ring.mix, self.inside(band, 1), cuts[band])
            if self.ear.falls(ring, 1.0):
                self.ear.wait_until_gone(ring, 10)
                return True
        return False

    def inside(self, band, beside):
        """The band so many above, or below where there is none."""
        return band + beside if band + beside <= len(self.hands.bands) else band - beside

    def turn_down(self, mix, band, db):
        control = ("cut", mix, band)
        self.hands.set(control, min(self.hands.get(control), max(-db, CUT_DEEPEST_DB)))

    # ---- all of them ----

    def one_after_another(self, own):
        """own[mix] is the input of the mix's player."""
        for mix in self.hands.mixes:
            self.ring_out(mix, own[mix])

    def together(self):
        """Every microphone and mix of the stage, from 12 dB down to the first ring, and 6 dB back."""
        hands = self.hands
        for mix in hands.mixes:
            hands.set(("master", mix), -self.practice.masters_down_db)
        for i in hands.inputs:
            hands.set(("open", i), True)
        self.ear.learn(hands.mixes)
        masters = [("master", mix) for mix in hands.mixes]
        cuts, most = {mix: {} for mix in hands.mixes}, self.most_cuts()
        while True:
            ring = self.rise(hands.mixes, masters, MASTER_HIGHEST_DB, fine=True)
            if ring is None or not self.practice.cuts_together or not self.cut(ring, cuts[ring.mix], most):
                break
        hands.keep_ceiling(None)
        self.step_back(ring, self.lower_masters)

    def lower_masters(self, db):
        for mix in self.hands.mixes:
            self.hands.add(("master", mix), -db)

    def push(self, mix):
        """One mix to its ring with all else as it stands, and back to where it was; None where it did not ring."""
        master = ("master", mix)
        stood_db = self.hands.get(master)
        highest_db = min(stood_db + self.practice.push_most_db, MASTER_HIGHEST_DB)
        ring = self.rise(self.hands.mixes, [master], highest_db, fine=True)
        self.hands.keep_ceiling(None)
        self.hands.set(master, stood_db)
        self.hands.wait(3)
        return ring

    def ring_out_stage(self, own):
        self.one_after_another(own)
        if len(self.hands.inputs) > 1 or len(self.hands.mixes) > 1:
            self.together()
