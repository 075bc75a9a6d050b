# SPDX-License-Identifier: MIT
"""What an expert expects of a desk beside what the program says of it: misses and false alarms.

    "check|check input 10: note|fix"    a finding: checks, object ("*": any), weights (none: any)
    "raises send.level input 10 mix 1"  a move of a card: raises, lowers, moves; ".* " and so on as in a shell
    "send.level input 10 mix 1 to 0"    a move to this value
"""
import fnmatch
import re
from typing import NamedTuple

import cards as carried

WEIGHTS = ("note", "fix", "stop")
KEYS = {"name", "row", "twin", "verdict", "source", "command", "options", "status", "counts", "ranges", "filters",
        "show", "approved", "values", "evening", "finds", "may", "silent", "unsure", "passed", "cards", "says",
        "never_says", "told", "not_told", "told_by_s", "once", "kept", "before_kept", "stored", "first_moved",
        "weighed"}
CARD_KEYS = {"count", "must", "only", "never", "louder_db", "gives_db", "rest_on"}


class Trouble(NamedTuple):
    kind: str  # "miss" or "false alarm"
    text: str


def miss(text):
    return Trouble("miss", text)


def alarm(text):
    return Trouble("false alarm", text)


# ---- findings ----

class Wanted(NamedTuple):
    text: str
    checks: list
    object: dict  # None: any
    weights: list
    words: str
    figures: list


def wanted(entry):
    entry = {"finding": entry} if isinstance(entry, str) else entry
    text, _, weights = entry["finding"].partition(": ")
    checks, _, what = text.partition(" ")
    kind, _, number = what.partition(" ")
    return Wanted(entry["finding"], checks.split("|"), None if what == "*" else {kind: int(number)},
                  weights.split("|") if weights else list(WEIGHTS), entry.get("words"), entry.get("figures", []))


def is_about(want, check, where):
    return ("*" in want.checks or check in want.checks) and (
        want.object is None or all(where.get(kind) == number for kind, number in want.object.items()))


def weight_trouble(want, weight):
    if weight in want.weights:
        return None
    heavy = WEIGHTS.index(weight) > max(map(WEIGHTS.index, want.weights))
    return (alarm if heavy else miss)(f"{want.text}: its weight is {weight}")


def near(figure, wish):
    return isinstance(figure, (int, float)) and abs(abs(figure) - wish) < max(0.051, 0.02 * wish)


def found_troubles(want, finding):
    yield weight_trouble(want, finding["weight"])
    said = f"{finding['says']} {finding['do']}"
    if want.words and not re.search(want.words, said):
        yield miss(f"{want.text}: its words lack /{want.words}/: {said}")
    for wish in want.figures:
        if not any(near(figure, wish) for figure in finding["figures"].values()):
            yield miss(f"{want.text}: no figure is {wish}: {finding['figures']}")


def finding_troubles(case, report):
    """Also counts: how many were rightly found, and rightly not."""
    told = report["findings"]
    for entry in case.get("finds", []):
        want = wanted(entry)
        fitting = [one for one in told if is_about(want, one["check"], one["object"])]
        if not fitting:
            yield miss(f"{want.text}: not found")
        else:  # of several the one that fits best
            yield from min(([*filter(None, found_troubles(want, one))] for one in fitting), key=len)
    allowed = [wanted(entry) for entry in case.get("finds", []) + case.get("may", [])]
    silent = case.get("silent", [])
    for one in told:
        if any(is_about(want, one["check"], one["object"]) for want in allowed):
            continue
        if silent == "everything else" or any(is_about(wanted(entry), one["check"], one["object"]) for entry in silent):
            yield alarm(f"{one['check']} {one['object']} {one['weight']}: {one['says']}")
    for entry in case.get("may", []):
        want = wanted(entry)
        for one in told:
            if is_about(want, one["check"], one["object"]):
                yield from filter(None, found_troubles(want, one))


def unknown_troubles(case, report):
    for entry in case.get("unsure", []):
        want = wanted(entry)
        if not any(is_about(want, one["check"], one["object"]) for one in report["not_known"]):
            yield miss(f"{want.text}: is not said to be not known")
    for check in case.get("passed", []):
        if report["passed"].get(check, 0) == 0:
            yield miss(f"{check}: nothing passed")


# ---- cards ----

def object_words(words):
    """"input 10 mix 1" as a dictionary."""
    return {kind: int(number) for kind, number in zip(words[::2], words[1::2]) if kind != "*"}


def fits_place(move, parameter, where):
    return fnmatch.fnmatch(move["parameter"], parameter) and all(move.get(kind) == number
                                                                for kind, number in where.items())


def is_to(move, text):
    """Whether the move is this one, to this value."""
    words, value = text.rsplit(" to ", 1)[0].split(), text.rsplit(" to ", 1)[1]
    return fits_place(move, words[0], object_words(words[1:])) and carried.same(
        move["set_to"], float(value) if value.lstrip("-").replace(".", "").isdigit() else value)


def is_never(move, text):
    text, _, least = text.partition(" below ")
    verb, parameter, *where = text.split()
    now, then = carried.db(move["now"]), carried.db(move["set_to"])
    way = verb == "moves" or carried.is_number(now) and (then > now if verb == "raises" else then < now)
    return way and fits_place(move, parameter, object_words(where)) and (not least or then < float(least))


def is_card(card, texts):
    return len(card["moves"]) == len(texts) and all(any(is_to(move, text) for move in card["moves"]) for text in texts)


def only_troubles(only, cards):
    for texts in only:
        if not any(is_card(card, texts) for card in cards):
            yield miss(f"no card is: {'; '.join(texts)}")
    for card in cards:
        if not any(is_card(card, texts) for texts in only):
            yield alarm(f"a card beside it: {moves_text(card)}")


def moves_text(card):
    return "; ".join(f"{carried.place(move)} {move['now']} -> {move['set_to']}" for move in card["moves"])


def card_troubles(expect, cards):
    moves = [move for card in cards for move in card["moves"]]
    if "count" in expect and len(cards) != expect["count"]:
        more = len(cards) > expect["count"]
        yield (alarm if more else miss)(f"{len(cards)} cards: {' | '.join(map(moves_text, cards))}")
    for text in expect.get("must", []):
        if not any(is_to(move, text) for move in moves):
            yield miss(f"no card moves {text}")
    if "only" in expect:
        yield from only_troubles(expect["only"], cards)
    for text in expect.get("never", []):
        for move in moves:
            if is_never(move, text):
                yield alarm(f"a card {text}: {carried.place(move)} {move['now']} -> {move['set_to']}")
    for key in ("louder_db", "gives_db"):
        if key in expect and not any(near(card.get(key) or 0, expect[key]) for card in cards):
            yield miss(f"no card's {key} is {expect[key]}")
    if "rest_on" in expect and any(card["rests_on"] for card in cards) != expect["rest_on"]:
        yield miss(f"a card rests on an earlier one: {not expect['rest_on']}, should be {expect['rest_on']}")


def all_card_troubles(case, report, desk, approved):
    if "cards" not in report:
        if "cards" in case:
            yield miss("there are no cards")
        return
    cards = [carried.of_report(card) for card in report["cards"]]
    yield from card_troubles(case.get("cards", {}), cards)
    yield from map(alarm, carried.harm(desk, approved, cards))


# ---- texts ----

def text_troubles(case, text):
    for pattern in case.get("says", []):
        if not re.search(pattern, text):
            yield miss(f"nothing says /{pattern}/")
    for pattern in case.get("never_says", []):
        found = re.search(pattern, text)
        if found:
            yield alarm(f"it says /{pattern}/: ...{text[max(0, found.start() - 60):found.end() + 60]}...")


# ---- compare ----

def compare_troubles(case, report):
    moved = report["moved"]
    if "first_moved" in case:
        name, *where = case["first_moved"].split()
        first = moved[0] if moved else {}
        if (first.get("parameter"), first.get("input")) != (name, int(where[0])):
            yield miss(f"the first that moved is {first.get('parameter')} {first.get('input')}")
    if case.get("weighed") and not all(one.get("weight") in WEIGHTS for one in moved):
        yield miss("a move without a weight")


# ---- evenings ----

TOLD = re.compile(r"^(\d\d):(\d\d):(\d\d) (?:raised|worse) (note|fix|stop) \[([a-z-]+)\](?: (input|mix) (\d+))?", re.M)


def told_of(text, begin_s):
    """(seconds since the beginning, weight, check, object) of each line that raises something."""
    return [((int(hours) * 3600 + int(minutes) * 60 + int(seconds) - begin_s) % 86400, weight, check,
             {kind: int(number)} if kind else {})
            for hours, minutes, seconds, weight, check, kind, number in TOLD.findall(text)]


def told_troubles(case, told):
    allowed = [wanted(entry) for entry in case.get("told", [])]
    for want in allowed:
        fitting = [one for one in told if is_about(want, one[2], one[3])]
        if not fitting:
            yield miss(f"{want.text}: not told")
            continue
        yield from filter(None, [weight_trouble(want, fitting[0][1])])
        if fitting[0][0] > case.get("told_by_s", 86400):
            yield miss(f"{want.text}: told after {fitting[0][0]} s")
    if case.get("once") and len(told) > 1:
        yield alarm(f"told {len(told)} times: {told}")
    for entry in case.get("not_told", []):
        want = wanted(entry if " " in entry else f"{entry} *")
        for at_s, weight, check, where in told:
            if is_about(want, check, where):
                yield alarm(f"told after {at_s} s: {weight} {check} {where}")
