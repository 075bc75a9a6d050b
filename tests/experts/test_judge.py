# SPDX-License-Identifier: MIT
"""What judges the program is judged first: planted faults must be seen, and what is right must not."""
import cards
import judge
from desk import Desk

HOT = {"hot lead vocal": True}


def move(parameter, now, set_to, number=None, mix=None, band=None):
    return {"parameter": parameter, "input": number, "mix": mix, "band": band, "now": now, "set_to": set_to}


def card(*moves, number=1, rests_on=None):
    return {"number": number, "kind": "any", "moves": list(moves), "louder_db": 0, "gives_db": 14, "rests_on": rests_on}


def give_back(db, preamp_first=True, thresholds=()):
    """The lead vocal's preamp down and its sends up."""
    down = [move("input.preamp_gain", 46, 46 - db, number=10), *thresholds]
    up = [move("send.level", now, now + db, number=10, mix=mix) for mix, now in
          enumerate((-14, -20, -20, -17, -22, -24), start=1)]
    return card(*(down + up if preamp_first else up + down))


def harm(changes, *list_of_cards, approved=None):
    return cards.harm(Desk({}).put(changes), None if approved is None else Desk({}).put(approved), list(list_of_cards))


def test_the_right_order_harms_nobody():
    assert harm(HOT, give_back(14)) == []


def test_sends_first_are_louder_meanwhile():
    found = harm(HOT, give_back(14, preamp_first=False))
    assert found and "14.0 dB louder after moving ('send.level', 10, 1)" in found[0]


def test_more_than_was_there_ends_louder():
    moves = give_back(14)["moves"]
    moves[0]["set_to"] = 34
    assert any("ends 2.0 dB louder" in one for one in harm(HOT, card(*moves)))


def test_a_threshold_left_behind_lets_go():
    compressed = {**HOT, "input.comp.on 10": True, "input.comp.threshold 10": -20}
    assert any("ends" in one and "louder" in one for one in harm(compressed, give_back(14)))
    assert harm(compressed, give_back(14, thresholds=[move("input.comp.threshold", -20, -34, number=10)])) == []


def test_a_gate_left_behind_only_closes():
    gated = {**HOT, "input.gate.on 10": True, "input.gate.threshold 10": -50}
    assert harm(gated, give_back(14)) == []
    opened = card(move("input.gate.threshold", -50, -70, number=10))
    assert any("louder" in one for one in harm(gated, opened))


def test_end_stops_and_moves_that_are_none():
    assert any("ends at [-200, 10]" in one for one in harm({"mix.fader 3": 10}, card(move("mix.fader", 10, 12, mix=3))))
    assert any("stays where it is" in one for one in harm({}, card(move("mix.fader", 0, 0, mix=3))))


def test_what_a_card_says_of_now():
    wrong = card(move("mix.fader", 3, -3, mix=3))
    assert any("now" in one for one in harm({}, wrong))
    assert harm({}, card(move("mix.fader", 3, -3, mix=3), rests_on=7)) == []  # skipped, as a person does


def test_two_cards_that_collide():
    """Both bring the same send up for what another control lost: one after the other is too much."""
    low = {"mix.fader 3": -8, "send.level 10 3": -14}
    one = card(move("input.preamp_gain", 32, 24, number=10), move("send.level", -14, -6, number=10, mix=3))
    two = card(move("send.level", -6, 2, number=10, mix=3), number=2, rests_on=1)
    assert harm(low, one) == []
    assert any(found.startswith("card 2:") and "8.0 dB louder" in found for found in harm(low, one, two))


def test_only_a_put_back_ends_louder():
    back = card(move("send.level", -26, 0, number=6, mix=2))
    assert any("ends 26.0 dB louder" in one for one in harm({"send.level 6 2": -26}, back))
    assert harm({"send.level 6 2": -26}, back, approved={}) == []
    assert harm({"send.level 6 2": -26}, back, approved={"send.level 6 2": -1})


def test_a_cut_taken_out():
    cut = {"mix.graphic.band.gain 1 22": -9, "mix.fader 1": 6}
    out = move("mix.graphic.band.gain", -9, -3, mix=1, band=22)
    down = move("mix.fader", 6, 0, mix=1)
    assert harm(cut, card(down, out)) == []
    assert any("louder after moving ('mix.graphic.band.gain', 1, 22)" in one for one in harm(cut, card(out, down)))


# ---- findings ----

def finding(check, weight="note", says="a thing", figures=None, **where):
    return {"check": check, "weight": weight, "object": where, "figures": figures or {}, "says": says, "do": "mend it"}


def kinds(case, *told, trouble=judge.finding_troubles):
    return [one.kind for one in trouble(case, {"findings": list(told)})]


def test_misses_and_false_alarms():
    case = {"finds": ["input-hot input 3: fix"], "silent": "everything else"}
    assert kinds(case, finding("input-hot", "fix", input=3)) == []
    assert kinds(case) == ["miss"]
    assert kinds(case, finding("input-hot", "note", input=3)) == ["miss"]
    assert kinds(case, finding("input-hot", "stop", input=3)) == ["false alarm"]
    assert kinds(case, finding("input-hot", "fix", input=4)) == ["miss", "false alarm"]
    assert kinds({"silent": ["input-hot *"]}, finding("input-faint", input=4)) == []
    assert kinds({"silent": ["input-hot *"]}, finding("input-hot", input=4)) == ["false alarm"]


def test_words_and_figures():
    case = {"finds": [{"finding": "input-hot|input-faint *", "words": "pad", "figures": [9.5]}]}
    assert kinds(case, finding("input-faint", says="the pad", figures={"a": 9.48}, input=3)) == []
    assert kinds(case, finding("input-faint", says="the pad", figures={"a": 9.1}, input=3)) == ["miss"]
    assert kinds(case, finding("input-faint", figures={"a": 9.5}, input=3)) == ["miss"]


def test_what_may_be_told_must_be_right():
    case = {"may": [{"finding": "input-hot *", "figures": [3]}], "silent": ["input-hot *"]}
    assert kinds(case) == [] and kinds(case, finding("input-hot", figures={"n": 3}, input=1)) == []
    assert kinds(case, finding("input-hot", figures={"n": 4}, input=1)) == ["miss"]


def card_kinds(expect, *list_of_cards):
    return [one.kind for one in judge.card_troubles(expect, list(list_of_cards))]


def test_cards_that_are_asked_for():
    back, other = card(move("mix.fader", 10, 0, mix=3)), card(move("send.level", 0, 8, number=10, mix=3))
    assert card_kinds({"only": [["mix.fader mix 3 to 0"]], "count": 1, "never": ["raises *"]}, back) == []
    assert card_kinds({"only": [["mix.fader mix 3 to 0"]]}, back, other) == ["false alarm"]
    assert card_kinds({"only": [["mix.fader mix 3 to 0"]]}, other) == ["miss", "false alarm"]
    assert card_kinds({"never": ["raises send.level input 10"]}, other) == ["false alarm"]
    assert card_kinds({"never": ["moves mix.* mix 3 below -3"]}, back) == []
    assert card_kinds({"must": ["mix.fader mix 3 to -1"], "rest_on": True}, back) == ["miss", "miss"]
    assert card_kinds({"count": 0}, back) == ["false alarm"]


def test_what_a_watch_told():
    text = ("20:00:11 raised fix [value-jumped] mix 3 Keys wedge (keys): the master; do: back\n"
            "20:00:13 cleared [value-jumped] mix 3 Keys wedge after 2 s\n"
            "20:00:14 worse stop [left-on]: talk\n")
    told = judge.told_of(text, 20 * 3600)
    assert told == [(11, "fix", "value-jumped", {"mix": 3}), (14, "stop", "left-on", {})]

    def told_kinds(case):
        return [one.kind for one in judge.told_troubles(case, told)]
    assert told_kinds({"told": ["* mix 3: fix|stop"], "told_by_s": 12}) == []
    assert told_kinds({"told": ["* mix 3: note"], "told_by_s": 10}) == ["false alarm", "miss"]
    assert told_kinds({"told": ["* mix 4"], "once": True, "not_told": ["left-on"]}) == ["miss", *["false alarm"] * 2]
