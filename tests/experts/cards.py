# SPDX-License-Identifier: MIT
"""Cards carried out on a desk of the experts, and what that does to its paths.

Path gains are summed up here anew: preamp, pad, trim, gate, compressor, make-up, send, fader and groups where the send
follows them, master, and each equaliser band at its own place. Softer first (design): after every single move no path
is louder than before the card or than after it, whichever is more, by more than 0.1 dB; only a put-back ends louder.
"""
import itertools
import math

MARGIN_DB = 0.1 + 1e-9
PLAYED_DB = (-60, -40, -20, -6)  # how loud the input's meter reads before a card
SUBSETS = 6                      # up to so many cards every choice of them is tried


def db(value):
    return -math.inf if value == "-inf" else value


def of_report(card):
    """A card as a report has it: a level that is off is null there."""
    off = {key: "-inf" for key in ("now", "set_to")}
    return {**card, "moves": [{**move, **{key: off[key] for key in off if move[key] is None}} for move in card["moves"]]}


def place(move):
    """The parameter and its indexes."""
    return (move["parameter"], *(move[kind] for kind in ("input", "mix", "band") if move.get(kind) is not None))


def known(desk, name, *where, absent=0):
    value = desk.value(name, *where)
    return absent if value is None else value


def behind_dynamics(desk, number, level):
    """What gate and compressor make of a level at the converter."""
    if known(desk, "input.gate.on", number) and level < db(known(desk, "input.gate.threshold", number)):
        return -math.inf
    if not known(desk, "input.comp.on", number):
        return level
    over = max(0, level - db(known(desk, "input.comp.threshold", number)))
    return level - over * (1 - 1 / known(desk, "input.comp.ratio", number, absent=1)) + known(
        desk, "input.comp.makeup", number)


def head(desk, number):
    return known(desk, "input.preamp_gain", number) - known(desk, "input.pad", number) + known(
        desk, "input.trim", number)


def groups(desk, number):
    """Gain of the groups that the input belongs to."""
    own = [group for group in range(1, desk.counts["group"] + 1) if known(desk, "input.group", number, group)]
    return sum(-math.inf if known(desk, "group.mute", group) else db(known(desk, "group.fader", group))
               for group in own)


def path(desk, number, mix, signal):
    """Level at the mix's output of what arrives at the socket with this level."""
    if known(desk, "input.mute", number) or known(desk, "mix.mute", mix) or not known(desk, "send.on", number, mix,
                                                                                      absent=True):
        return -math.inf
    level = behind_dynamics(desk, number, signal + head(desk, number)) + db(known(desk, "send.level", number, mix))
    if desk.value("send.tap", number, mix) == "post-fader":
        level += db(known(desk, "input.fader", number)) + groups(desk, number)
    return level + db(known(desk, "mix.fader", mix)) + known(desk, "mix.trim", mix)


def bands(desk, moves, number, mix):
    """What a path has besides at the place of each band that the card moves."""
    yield 0
    for name, *where in {place(move) for move in moves}:
        if name.endswith(".band.gain") and where[0] == (mix if name.startswith("mix.") else number):
            yield known(desk, name, *where)


def paths(desk, moves, signals):
    """Every path's level for each signal, at each place."""
    return [path(desk, number, mix, signal) + band
            for number, signal in signals for mix in range(1, desk.counts["mix"] + 1)
            for band in bands(desk, moves, number, mix)]


def signals_of(desk):
    return [(number, played - head(desk, number)) for number in range(1, desk.counts["input"] + 1)
            for played in PLAYED_DB]


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def same(one, other):
    """Whether a control reads the other value as well, to what a person can tell apart."""
    return abs(one - other) < 0.051 if is_number(one) and is_number(other) else one == other


def fits(desk, card):
    """A person stops where a control does not read "now"."""
    return all(same(desk.value(*place(move)), move["now"]) for move in card["moves"])


def puts_back(desk, card, approved):
    """Whether it leads to values that were approved, or to paths no louder than those were."""
    if approved is None:
        return False
    after, signals = moved(desk, card), signals_of(approved)
    return (all(same(approved.value(*place(move)), move["set_to"]) for move in card["moves"])
            or louder(paths(after, card["moves"], signals), paths(approved, card["moves"], signals)) <= MARGIN_DB)


def louder(levels, than):
    return max((level - most for level, most in zip(levels, than) if level > -math.inf), default=-math.inf)


def moved(desk, card):
    after = desk.copy()
    for move in card["moves"]:
        after.put({" ".join(map(str, place(move))): move["set_to"]})
    return after


def carry_out(desk, card, may_end_louder):
    """Moves the desk by the card, move by move. Yields what is against softer first."""
    signals, after = signals_of(desk), moved(desk, card)
    begin, end = paths(desk, card["moves"], signals), paths(after, card["moves"], signals)
    most = [max(pair) for pair in zip(begin, end)]
    for move in card["moves"]:
        desk.put({" ".join(map(str, place(move))): move["set_to"]})
        over = louder(paths(desk, card["moves"], signals), most)
        if over > MARGIN_DB:
            yield f"card {card['number']}: a path is {over:.1f} dB louder after moving {place(move)}"
    over = louder(end, begin)
    if over > MARGIN_DB and not may_end_louder:
        yield f"card {card['number']}: a path ends {over:.1f} dB louder"


def beyond(desk, cards):
    for card in cards:
        for move in card["moves"]:
            ends = desk.ends(move["parameter"])
            if ends and not ends[0] - 1e-9 <= max(db(move["set_to"]), -200) <= ends[1] + 1e-9:
                yield f"card {card['number']}: {place(move)} to {move['set_to']}, which ends at {ends}"
            if move["now"] == move["set_to"] and not card.get("rests_on"):  # else an earlier card brings it there
                yield f"card {card['number']}: {place(move)} stays where it is"


def choices(cards):
    if len(cards) > SUBSETS:
        return [cards]
    return [list(chosen) for count in range(1, len(cards) + 1) for chosen in itertools.combinations(cards, count)]


def harm(desk, approved, cards):
    """Whatever is wrong with the cards of a desk, whichever of them are carried out."""
    found = list(beyond(desk, cards))
    for card in cards:
        if not card.get("rests_on") and not fits(desk, card):
            found.append(f"card {card['number']}: it rests on no other, and \"now\" is not what the desk shows")
    for chosen in choices(cards):
        state = desk.copy()
        for card in chosen:
            if fits(state, card):
                found += carry_out(state, card, puts_back(state, card, approved))
    return list(dict.fromkeys(found))
