# SPDX-License-Identifier: MIT
"""What is looked at on a stage that was rung out, gathered stage by stage, as many do not fit into memory together: how
it is right after the ring-out, after moves of each kind and after twenty mixed ones; what is found after a slip and in
quiet evenings."""
import dataclasses
import math
import random

import moves
from proved import Proved
from rung_out import random_stages

TRUE_DB = 0.3  # right after the ring-out
MOVES = 20
SLIPS_DB = 0.5, 7, 9


@dataclasses.dataclass
class Row:
    stage: str
    together: bool
    several: bool
    kind: str
    truth_db: float
    db: float
    bare_db: float  # without its allowance
    moves: tuple


def rows_of(rung_out, proved, kind):
    """What is said of each mix as the desk stands, where that is a number, beside the truth. A desk that stands past
    onset by no more than a ceiling may has no truth for its mixes, be they ever so far from ringing: there what is said
    of all of it counts."""
    matrices = rung_out.matrices()
    truths, _ = rung_out.loops.margins(matrices)
    figures, whole = proved.ask()
    pairs = [(truth, figure) for truth, figure in zip(truths, figures)
             if figure.state == "left" and math.isfinite(truth)]
    if min(truths) < 0:
        desk_db = rung_out.loops.modes(matrices)[0].db
        if desk_db > -TRUE_DB:
            pairs = [(desk_db, whole)] if math.isfinite(whole.db) else []
    return [Row(rung_out.name, rung_out.together, rung_out.several, kind,
                truth, figure.db, figure.bare_db, figure.moves) for truth, figure in pairs]


def begun(rung_out):
    """What is proved, following the console."""
    proved = Proved(rung_out.console.inputs, rung_out.console.mixes)
    rung_out.console.put(rung_out.left)
    proved.keep(rung_out.ceilings, rung_out.left)
    rung_out.console.told = proved.set
    return proved


def each_kind(rung_out, proved, dice):
    """One to four moves of each kind, and all is put back."""
    for kind, move in moves.KINDS.items():
        for _ in range(dice.randint(1, 4)):
            move(rung_out.console, dice)
        yield from rows_of(rung_out, proved, kind)
        rung_out.console.put(rung_out.left)


def mixed(rung_out, proved, dice):
    """Twenty moves; looked at half-way and at the end."""
    for at in range(1, MOVES + 1):
        moves.make(rung_out.console, dice, moves.MIXED)
        if at % (MOVES // 2) == 0:
            yield from rows_of(rung_out, proved, "mixed")
    rung_out.console.put(rung_out.left)


def findings_after(rung_out, proved, dice, steps):
    """All that is found in an evening of mutes, sends down and cuts."""
    found = []
    for _ in range(steps):
        moves.make(rung_out.console, dice, moves.QUIET)
        found += [figure.finding for figure in proved.ask()[0] if figure.finding != "-"]
    rung_out.console.put(rung_out.left)
    return found


def findings_of_slip(rung_out, proved, dice, mix, db):
    """The mixes that are found when one send of this one slips, or its trim."""
    input_ = dice.randrange(rung_out.console.inputs)
    moves.add(rung_out.console, dice.choice([("send.level", input_, mix), ("mix.trim", mix, 0)]), db)
    found = {at: figure.finding for at, figure in enumerate(proved.ask()[0]) if figure.finding != "-"}
    rung_out.console.put(rung_out.left)
    return found


def without_pushes(rung_out, truths):
    """What is said of each mix where its own push is not kept, less the truth."""
    told = rung_out.console.told
    for mix, truth in enumerate(truths):
        kept = [one for one in rung_out.ceilings if not is_push(one, rung_out.left, mix)]
        if len(kept) == len(rung_out.ceilings) or not math.isfinite(truth):
            continue
        with begun(dataclasses.replace(rung_out, ceilings=kept)) as proved:
            figure = proved.ask()[0][mix]
        if figure.state == "left":
            yield rung_out.name, figure.db - truth
    rung_out.console.told = told


def is_push(ceiling, left, mix):
    """That mix alone stood higher."""
    alone, settings = ceiling
    higher = [place for place, value in left.items() if settings[place] != value]
    return alone is None and higher == [("mix.fader", mix, 0)]


class Tally:
    def __init__(self, seed, stages, folder):
        dice = random.Random(seed)
        self.left, self.rows, self.quiet, self.slips, self.wholes, self.unpushed = [], [], [], [], [], []
        for at, rung_out in enumerate(random_stages(dice, stages, folder)):
            with begun(rung_out) as proved:
                self.take(rung_out, proved, dice, at)

    def take(self, rung_out, proved, dice, at):
        truths, _ = rung_out.loops.margins(rung_out.matrices())
        figures, whole = proved.ask()
        self.left += [(rung_out.name, *one) for one in zip(truths, figures, rung_out.rang)]
        self.wholes.append((rung_out.name, rung_out.loops.modes(rung_out.matrices())[0].db, whole.db))
        self.unpushed += without_pushes(rung_out, truths)
        self.rows += [*each_kind(rung_out, proved, dice), *mixed(rung_out, proved, dice)]
        if at % 2 == 0:
            self.quiet.append((rung_out.name, findings_after(rung_out, proved, dice, MOVES)))
        elif at % 4 == 1:
            mix = dice.randrange(rung_out.console.mixes)
            self.slips += [(rung_out.name, mix, db, findings_of_slip(rung_out, proved, dice, mix, db))
                           for db in SLIPS_DB]
