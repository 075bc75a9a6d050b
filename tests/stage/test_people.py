# SPDX-License-Identifier: MIT
"""People with habits of their own ring out by the book, on paper: what the program says at each moment is what they do, or
what they would do next, and it remarks nothing. (The figures of the book: engineer/book.py.)"""
import dataclasses
import random

from harness import SEED, rounds

from engineer import people
from followed import FURTHER, WHERE, follow, settings_of
from test_book import OWN, rings
from test_ring_out import ABOVE_DB

FAR_DB = 6  # so far above where they stood masters are remarked on, together
SHORT_S = 0.2  # nobody reads faster
SETTING_UP = ("make mix", "raise mix", "let a voice", "go on")
RAISING = ("raise mix", "once more", "cut until")

# What may be next, by its first words, while they do it; of what is raised before it is heard of, see meanwhile().
MAY_BE_NEXT = {
    "sets up": SETTING_UP,
    "raises": RAISING, "rang": RAISING, "cuts": (*RAISING, "step back"),
    "back": (*RAISING, "step back", "let a voice", "go on", "all masters 12"),
    "done": ("let a voice", "go on", "all masters 12"),
    "masters down": ("let a voice", "go on", "all masters", "masters stay"),
    "opens all": ("let a voice", "all masters", "masters stay"),
    "raises all": ("all masters, half", "step back"),
    "back all": ("all masters, half", "step back", "push"),
    "done all": ("push",), "pushes": ("push", "put"), "puts back": ("push", "put", "done"), "pushed": ("push", "done"),
    "all done": ("done",),
}


def evening(dice, set_up):
    post, habits = people.some_habits(dice, set_up)
    if set_up == "any order":  # else nothing tells a microphone that was left open from the one that is meant
        habits = dataclasses.replace(habits, named=True)
    hands = people.DeskHands(rings(dice), post)
    people.find_desk(hands, dice, habits, OWN)
    person = people.Person(hands, dice, habits, OWN)
    person.evening()
    named = {1: "Ada", 2: "Ben"} if habits.named else {}
    print(habits)
    return person, follow(hands, players=(named, named))


def check_proofs(hands, followed):
    for ceiling in followed.ceilings:
        settings = dict(hands.settings)
        hands.settings.update(settings_of(ceiling, WHERE | FURTHER))
        hands.beyond.clear()
        assert hands.left() >= -ABOVE_DB, (ceiling["ceiling"], ceiling["at"], hands.left())
        hands.settings.update(settings)
        hands.beyond.clear()


# ---- what they did ----

def rose(hands, since, until):
    return [move for move in hands.moves
            if since < move.at <= until and move.after > move.before and move.control[0] != "cut"]


def rings_of(person, mix):
    """As the moves show them: a band that rings on, or another one that is left as it is without another rise, is no ring
    of its own."""
    did = [deed for deed in person.did if deed.mix == mix and deed.what in ("rang", "back")]
    count, last = 0, None
    for deed, then in zip(did, did[1:]):
        new = not last or rose(person.hands, last.at, deed.at)
        count += bool(new) or (deed.band != last.band and then.what != "back")
        last = deed
    return count


def bands_of(hands, mix):
    return {move.control[2] for move in hands.moves if move.control[:2] == ("cut", mix)}


def at_of(person, what):
    return next(deed.at for deed in person.did if deed.what == what)


def check_what_is_told(person, followed):
    hands = person.hands
    assert [one["mix"] + 1 for one in followed.of("mix")] == [deed.mix for deed in person.did if deed.what == "sets up"]
    together, = followed.of("together")
    assert at_of(person, "masters down") - 0.001 <= together["at"] <= at_of(person, "raises all")
    for mix in hands.mixes:
        of = followed.of_mixes[mix]
        assert of["back"] and of["cuts"] == len(bands_of(hands, mix))
        if mix not in person.ended:  # nothing tells that the control's end was no ring
            assert of["rings"] == rings_of(person, mix)
    kept = {one["ceiling"] for one in followed.ceilings}
    assert -1 in kept and (not person.habits.shuts or kept == {-1, *(mix - 1 for mix in hands.mixes)})


def check_remarks(person, followed):
    said = {one["event"] for one in followed.events if one["weight"] != "seen"}
    far = any(move.control[0] == "master" and move.after > person.stood.get(move.control[1], move.after) + FAR_DB
              for move in person.hands.moves)
    assert said <= {"quieter", "four-deep", *(["pushed-far"] if far else [])}, followed.named()
    assert not followed.of("another-hand") and not followed.of("not-known") and not followed.of("gate")


# ---- what is next ----

def spans(person, followed):
    """(from, to, what they do, what is said) as long as neither changes."""
    marks = sorted([*((one.at, 1, one) for one in person.did), *((one["at"], 0, one) for one in followed.nexts)],
                   key=lambda mark: mark[:2])
    ends = [mark[0] for mark in marks[1:]] + [person.hands.now()]
    deed = said = None
    for (at, of_person, one), end in zip(marks, ends):
        deed, said = (one, said) if of_person else (deed, one)
        if deed and said and end > at + SHORT_S:
            yield at, end, deed, said


def meanwhile(person, end, deed, said):
    """Nothing was raised yet; or it stands below where the book begins, so that it is still set up."""
    first = rose(person.hands, deed.at - 0.001, end - SHORT_S)
    return deed.what == "raises" and (not first or said["next"].startswith("make mix"))


def check_next(person, followed):
    for at, end, deed, said in spans(person, followed):
        where = at, deed, said
        if meanwhile(person, end, deed, said):
            continue
        assert said["next"].startswith(MAY_BE_NEXT[deed.what]), where
        if deed.what in ("raises", "rang", "cuts", "back"):
            assert said["mix"] + 1 == deed.mix, where
    assert followed.nexts[-1]["next"] == "done"


# ---- evenings ----

def test_by_the_book_in_ways_of_their_own():
    dice = random.Random(f"people {SEED}")
    for _ in range(rounds(14, 300)):
        person, followed = evening(dice, "down first")
        check_proofs(person.hands, followed)
        check_remarks(person, followed)
        check_what_is_told(person, followed)
        check_next(person, followed)


def test_set_up_in_any_order():
    """The last microphone may be open yet while the next wedge comes up: that is loud, and may be remarked on."""
    dice = random.Random(f"any order {SEED}")
    for _ in range(rounds(14, 300)):
        person, followed = evening(dice, "any order")
        check_proofs(person.hands, followed)
        named = {one["event"] for one in followed.named()}
        assert named <= {"other-open", "own-send", "high-pass-off", "fast", "pushed-far"}, followed.named()
        assert len(followed.of("together")) == 1 and followed.nexts[-1]["next"] == "done"
        assert all(followed.of_mixes[mix]["cuts"] == len(bands_of(person.hands, mix)) for mix in person.hands.mixes)
