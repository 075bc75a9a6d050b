# SPDX-License-Identifier: MIT
"""What the scripted engineer does, on paper: each band's ring is known, so it is known what a hand ought to do."""
import random

import pytest
from harness import SEED

from engineer import book, mistakes, traces
from engineer.hands import before_the_ring_out
from engineer.paper import PaperHands

OWN = {1: 1, 2: 2}


def rings(dice):
    """Two microphones and wedges: bands that ring from somewhere above 20 dB on, the neighbours' paths 8 dB later."""
    stage = {}
    for m, own in OWN.items():
        bands = {band: 20 + dice.uniform(0, 10) for band in dice.sample(range(8, 27), 14)}
        for i in OWN.values():
            stage[i, m] = {band: onset + (0 if i == own else 8) for band, onset in bands.items()}
    return stage


def evening(practice, dice):
    hands = PaperHands(rings(dice))
    before_the_ring_out(hands)
    somebody = book.Engineer(hands, dice, practice)
    somebody.ring_out_stage(OWN)
    return traces.Evening(hands, OWN, somebody.rings)


def dice_for(what):
    return random.Random(f"{what} {SEED}")


def deepest(after):
    """Each cut band's depth, in the order in which the bands were first cut, by mix."""
    depths = {}
    for move in after.cuts():
        depths.setdefault(move.control[1], {})[move.control[2]] = -move.after
    return depths


def test_by_the_book():
    dice = dice_for("book")
    for _ in range(20):
        after = evening(mistakes.BOOK, dice)
        assert 5 <= after.hands.left() <= 6
        assert not traces.found(after)
        for depths in deepest(after).values():
            assert len(depths) <= 7
            assert max(list(depths.values())[:3], default=0) <= 6 and max(list(depths.values())[3:], default=0) <= 3


def test_only_what_rings_is_cut():
    dice = dice_for("cuts")
    for _ in range(5):
        after = evening(mistakes.BOOK, dice)
        assert all(move.control[2] in after.hands.rings[OWN[move.control[1]], move.control[1]] for move in after.cuts())


def test_a_ring_is_heard_at_20_db_and_answered_in_time():
    dice = dice_for("heard")
    hands = PaperHands({(1, 1): {17: 30}})
    before_the_ring_out(hands)
    somebody = book.Engineer(hands, dice)
    somebody.ring_out_stage({1: 1})
    first = somebody.rings[0]
    assert first.band == 17 and 20 <= first.db < 40
    answered = next(move.at for move in hands.moves if move.control == ("cut", 1, 17))
    assert 0.3 <= answered - first.at <= 1.52


@pytest.mark.parametrize("mistake", mistakes.MISTAKES)
def test_a_mistake_leaves_its_trace(mistake):
    dice = dice_for(mistake)
    for _ in range(5):
        assert mistake in traces.found(evening(mistakes.practice(mistake), dice))


def test_who_does_not_step_back_has_nothing_left():
    dice = dice_for("back")
    for _ in range(5):
        after = evening(mistakes.practice("never steps back"), dice)
        assert after.hands.left() < 2
