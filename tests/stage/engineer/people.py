# SPDX-License-Identifier: MIT
"""People who ring out by the book with habits of their own: what they raise, how they close what is not at work, in
which order they set up, how their hands move a control, when they rest. `did` is what they know of it themselves.

Their desk has more than the book needs: faders behind the microphones, trims, switches of sends and mixes, and a group
for each microphone.
"""
import dataclasses

from .book import Engineer, Practice
from .hands import OFF, PREAMP_LOWEST_DB
from .paper import PaperHands

DRAG_DB, DRAG_S = 0.2, 0.02
CLICK_DB, CLICK_S = 1, 0.12
FADER_LOWEST_DB = -60


class DeskHands(PaperHands):
    """A group of its own for each microphone; `post`: sends are taken behind the fader."""

    def __init__(self, rings, post):
        super().__init__(rings)
        self.post, self.groups = post, self.inputs
        for i in self.inputs:
            self.settings.update({("open", i): True, ("high-pass", i): False, ("fader", i): 0, ("trim", i): 0, ("group", i): 0, ("group-open", i): True})
            self.settings.update({("member", i, group): group == i for group in self.groups})
            for m in self.mixes:
                self.settings.update({("post", i, m): post, ("sent", i, m): True})
        self.settings.update({("mix-open", m): True for m in self.mixes})

    def path_db(self, i, m):
        get = self.get
        open_ = get(("open", i)) and get(("sent", i, m)) and get(("mix-open", m))
        if not open_ or self.post and not get(("group-open", i)):
            return OFF
        behind_db = get(("fader", i)) + get(("group", i)) if self.post else 0
        return get(("preamp", i)) + get(("trim", i)) + get(("send", i, m)) + get(("master", m)) + behind_db


@dataclasses.dataclass(frozen=True)
class Habits:
    raises: str = "preamp"  # send, master, trim, fader
    closes: str = "open"  # a microphone: send, sent, fader, group, group-open
    shuts: str = "master"  # a mix that is not at work: mix-open, or None, it stays up
    moves: str = "at once"  # drags, clicks
    set_up: str = "down first"  # any order
    found: str = "down"  # the desk as the last show left it: as loud
    back_in_two: bool = False
    cuts_rest_s: float = 0  # at most so long behind each cut
    rests_s: float = 0  # here and there
    pushes: str = "master"  # with all open: send
    named: bool = True


def some_habits(dice, set_up):
    post = dice.random() < 0.4
    behind = ["fader", "group", "group-open"] if post else []
    return post, Habits(
        raises=dice.choice(["preamp", "preamp", "send", "master", "trim"] + behind[:1]),
        closes=dice.choice(["open", "open", "send", "sent"] + behind),
        shuts=dice.choice(["master", "mix-open", None]),
        moves=dice.choice(["at once", "drags", "clicks"]),
        set_up=set_up,
        found=dice.choice(["down", "as loud"]),
        back_in_two=dice.random() < 0.3, cuts_rest_s=dice.choice([0, 0, 4, 12]), rests_s=dice.choice([0, 0, 90]),
        pushes=dice.choice(["master", "master", "send"]), named=dice.random() < 0.6)


@dataclasses.dataclass
class Did:
    at: float
    what: str  # sets up, raises, rang, cuts, back, together, ...
    mix: int
    band: int = 0


class Person(Engineer):
    def __init__(self, hands, dice, habits, own, practice=Practice()):
        super().__init__(hands, dice, practice)
        self.habits, self.own, self.did, self.kept = habits, own, [], {}
        self.ended = set()  # mixes in which nothing rang up to the control's end

    def note(self, what, mix=0, band=0):
        self.did.append(Did(self.hands.now(), what, mix, band))

    # ---- how a hand moves ----

    def turn(self, control, value):
        """A fader is dragged, an encoder clicks, or it is typed; switches are pressed."""
        hands, moves = self.hands, self.habits.moves
        if isinstance(value, bool) or moves == "at once" or value == hands.get(control):
            hands.set(control, value)
            return
        step_db, every_s = (DRAG_DB, DRAG_S) if moves == "drags" else (CLICK_DB, CLICK_S)
        now = hands.get(control)
        if now == OFF and value > FADER_LOWEST_DB:
            now = FADER_LOWEST_DB
            hands.set(control, now)
        end = max(value, FADER_LOWEST_DB)
        while abs(end - now) > step_db:
            now = round(now + (step_db if end > now else -step_db), 6)
            hands.wait(every_s)
            hands.set(control, now)
        hands.wait(every_s)
        hands.set(control, value)

    def rest(self):
        if self.habits.rests_s and self.dice.random() < 0.2:
            self.hands.wait(self.habits.rests_s)
        self.hands.wait(self.dice.uniform(0.2, 2))

    # ---- set-up ----

    def closer(self, i, m):
        """What closes a microphone into a mix: the control, and how it stands closed."""
        kind = self.habits.closes
        control = (kind, i, m) if kind in ("send", "sent") else (kind, i)
        return control, OFF if kind in ("send", "fader", "group") else False

    def close(self, i, m):
        control, closed = self.closer(i, m)
        if self.hands.get(control) != closed:
            self.kept[control] = self.hands.get(control)
            self.turn(control, closed)

    def open(self, i, m):
        control, closed = self.closer(i, m)
        if self.hands.get(control) == closed:
            self.turn(control, self.kept.get(control, 0 if closed == OFF else True))

    def shut(self, m):
        kind = self.habits.shuts
        if kind:
            self.turn((kind, m), OFF if kind == "master" else False)

    def raised(self, mix, own):
        kind = self.habits.raises
        return {"send": (kind, own, mix), "master": (kind, mix)}.get(kind, (kind, own))

    def start_db(self, control):
        """What is raised begins far below; it ends where the path is right, not where it is written."""
        return PREAMP_LOWEST_DB if control[0] == "preamp" else -30

    def open_only(self, mix, own):
        hands, habits = self.hands, self.habits
        self.note("sets up", mix)
        control = self.raised(mix, own)
        downs, ups, others = [], [], []
        for i in hands.inputs:
            if i != own:
                others.append(lambda i=i: self.close(i, mix))
        for m in hands.mixes:
            if m != mix:
                others.append(lambda m=m: self.shut(m))
        marks = {("send", own, mix): 0, ("master", mix): 0, ("trim", own): 0, ("fader", own): 0}
        marks[control] = self.start_db(control)
        for what, db in marks.items():
            if what[0] == "fader" and not hands.post:
                continue
            (downs if db < hands.get(what) or what == control else ups).append(
                lambda what=what, db=db: self.turn(what, db))
        switches = [lambda: self.turn(("mix-open", mix), True)]
        opens = [lambda: self.open(own, mix)]
        self.dice.shuffle(downs)
        self.dice.shuffle(ups)
        rest = ups + switches + opens
        if habits.set_up == "any order":
            rest += others
            others = []
        self.dice.shuffle(others)
        self.dice.shuffle(rest)
        self.turn(("high-pass", own), True)
        for do in downs + others + rest:
            do()
            if self.dice.random() < 0.5:
                self.rest()
        self.ear.learn([mix])

    # ---- one mix ----

    def ring_out(self, mix, own):
        self.open_only(mix, own)
        cuts, most, control = {}, self.most_cuts(), self.raised(mix, own)
        while True:
            self.note("raises", mix)
            ring = self.climb([mix], [control], fine=bool(cuts))
            if ring is None:
                self.ended.add(mix)
                break
            self.note("rang", mix, ring.band)
            if not self.cut(ring, cuts, most):
                break
            self.rest()
        self.note("back", mix)
        self.step_back(ring, lambda db: self.down([control], db))
        self.note("done", mix)
        self.rest()

    def climb(self, mixes, controls, fine):
        """rise() of the book, by this hand."""
        practice = self.practice
        step_db, every_s = ((practice.fine_step_db, practice.fine_every_s) if fine else
                            (practice.step_db, practice.every_s))
        ends = {"master": 10, "send": 10, "fader": 10, "trim": 18, "preamp": 56, "group": 10}
        while True:
            ring = self.ear.listen(mixes, every_s)
            if ring:
                self.rings.append(ring)
                self.react()
                return ring
            if any(self.hands.get(control) + step_db > ends[control[0]] for control in controls):
                return None
            if self.dice.random() < 0.02 and self.habits.rests_s:
                self.hands.wait(self.habits.rests_s)
            for control in controls:
                self.turn(control, round(self.hands.get(control) + step_db, 6))
                if len(controls) > 1:
                    self.hands.wait(self.dice.uniform(0.1, 0.6))

    def down(self, controls, db):
        parts = [db / 2, db / 2] if self.habits.back_in_two and db > 3 else [db]
        for at, part in enumerate(parts):
            if at:
                self.hands.wait(self.dice.uniform(0.5, 4))
            for control in controls:
                self.turn(control, round(self.hands.get(control) - part, 6))

    def turn_down(self, mix, band, db):
        control = ("cut", mix, band)
        self.note("cuts", mix, band)
        self.turn(control, min(self.hands.get(control), max(-db, -12)))
        if self.habits.cuts_rest_s:
            self.hands.wait(self.habits.cuts_rest_s * self.dice.random())

    # ---- all ----

    def together(self):
        hands = self.hands
        self.note("masters down")
        for mix in sorted(self.dice.sample([*hands.mixes], len(hands.mixes)), key=lambda m: -hands.loudest_db(m)):
            self.turn(("master", mix), self.stood[mix] - self.practice.masters_down_db)
            self.rest()
        self.note("opens all")
        opens = [lambda i=i, m=m: self.open(i, m) for i in hands.inputs for m in hands.mixes]
        opens += [lambda m=m: self.turn(("mix-open", m), True) for m in hands.mixes]
        self.dice.shuffle(opens)
        for do in opens:
            do()
            if self.dice.random() < 0.3:
                self.rest()
        self.ear.learn(hands.mixes)
        self.note("raises all")
        masters = [("master", mix) for mix in hands.mixes]
        ring = self.climb(hands.mixes, masters, fine=True)
        self.note("back all")
        self.step_back(ring, lambda db: self.down(masters, db))
        self.note("done all")
        self.rest()

    def push(self, mix):
        hands = self.hands
        control = ("master", mix) if self.habits.pushes == "master" else ("send", self.own[mix], mix)
        stood_db = hands.get(control)
        self.note("pushes", mix)
        ring = None
        while ring is None and hands.get(control) + 0.5 <= min(stood_db + 10, 10):
            self.turn(control, round(hands.get(control) + 0.5, 6))
            ring = self.ear.listen(hands.mixes, 3)
        self.note("puts back", mix)
        if self.habits.back_in_two:
            self.turn(control, round((hands.get(control) + stood_db) / 2, 6))
            hands.wait(self.dice.uniform(0.5, 4))
        self.turn(control, stood_db)
        hands.wait(3)
        self.note("pushed", mix)

    def evening(self):
        self.stood = {}
        for mix in self.dice.sample([*self.hands.mixes], len(self.hands.mixes)):
            self.ring_out(mix, self.own[mix])
            self.stood[mix] = self.hands.get(("master", mix))
        self.together()
        for mix in self.dice.sample([*self.hands.mixes], len(self.hands.mixes)):
            self.push(mix)
        self.note("all done")


def find_desk(hands, dice, habits, own):
    """As the last show left it, or with all masters and preamps down."""
    checked_db = PREAMP_LOWEST_DB if habits.raises == "preamp" else 20  # where the line check left them
    for i in hands.inputs:
        hands.set(("preamp", i), checked_db)
        for m in hands.mixes:
            hands.set(("send", i, m), 0 if i == own[m] else -14)
    if habits.found == "down":
        for m in hands.mixes:
            hands.set(("master", m), OFF)
    else:
        for i in hands.inputs:
            hands.set(("preamp", i), PREAMP_LOWEST_DB + dice.randint(12, 18) if habits.raises == "preamp" else 16)
            for m in hands.mixes:
                hands.set(("send", i, m), dice.choice([-3, -6, 0]) if i == own[m] else -20)
        for m in hands.mixes:
            hands.set(("master", m), dice.choice([0, 0, -5]))
    hands.moves.clear()
