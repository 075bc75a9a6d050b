# SPDX-License-Identifier: MIT
"""Marks worked out again by another program: from the audit's report, the saved desk and the scheme's own file.

What was there to be judged is read from the saved desk here; which findings have one cause, from the audit's cards.
How each check on each object counts is the review's own list, which `disagreements()` holds against both.
"""
import collections
import json
import math

PREAMP = {"unused-preamp-gain": "gain", "input-hot": "gain", "input-faint": "gain", "phantom-mismatch": "phantom"}
PROTECTION = {"ears-unprotected", "phantom-mismatch"}
EQUALISERS = {"too-many-cuts", "boost-into-wedge"}
CORNERS = {"high-pass-low", "high-pass-high"}
CUT_DB = 1  # from where a band counts as cut: the preset of too-many-cuts
JUDGED = {"right", "wrong", "told_by_another", "accepted"}
SEVERITY = {"unused-preamp-gain": "surplus_db", "master-off-unity": "off_unity_db", "own-send-off-unity": "off_unity_db",
            "make-up-into-wedge": "makeup_db", "high-pass-low": "octaves_under", "too-many-cuts": "cuts_count",
            "boost-into-wedge": "boost_db", "open-microphones": "microphones_count"}


def tenths(marks):
    return round(marks * 10)


def half_up(number):
    return math.floor(number + 0.5)


# ---- what was there ----

def db(value):
    return -math.inf if value == "-inf" else value


class There:
    """Which inputs and mixes of a saved desk are open, and which equalisers do something."""

    def __init__(self, saved):
        self.values = {name: entry["values"] for name, entry in saved["values"].items()}
        self.counts = saved["counts"]
        open_pairs = [(i, m) for i in range(self.counts["input"]) for m in range(self.counts["mix"])
                      if not self.muted("input", i) and not self.muted("mix", m) and self.sent(i, m)]
        self.inputs = {i for i, _ in open_pairs}
        self.mixes = {m for _, m in open_pairs}

    def value(self, name, *where, absent=None):
        found = self.values.get(name)
        for at in where:
            found = found[at] if found is not None else None
        return absent if found is None else found

    def muted(self, kind, at):
        return self.value(f"{kind}.mute", at) is True

    def sent(self, i, m):
        """Not known counts as sent."""
        if self.value("send.on", i, m, absent=True) is False:
            return False
        level = self.value("send.level", i, m)
        if level is None:
            return True
        if db(level) == -math.inf or self.value("send.tap", i, m) != "post-fader":
            return db(level) > -math.inf
        groups = [g for g in range(self.counts.get("group", 0)) if self.value("input.group", i, g, absent=False)]
        faders = [self.value("input.fader", i), *(self.value("group.fader", g, absent=0) for g in groups)]
        off = any(self.value("group.mute", g, absent=False) for g in groups)
        return None in faders or (not off and all(db(fader) > -math.inf for fader in faders))

    def touched(self, kind, at):
        equalisers = {"input": [("input.eq", "input.eq.band")],
                      "mix": [("mix.graphic", "mix.graphic.band"), ("mix.eq", "mix.eq.band")]}[kind]
        return any(self.band(bands, at, band) for on, bands in equalisers
                   if self.value(f"{on}.on", at, absent=True) is not False
                   for band in range(self.counts.get(bands, 0)))

    def band(self, bands, at, band):
        if self.value(f"{bands}.on", at, band, absent=True) is False:
            return False
        shape = self.value(f"{bands}.shape", at, band, absent="peak")
        gain = self.value(f"{bands}.gain", at, band)
        return shape in ("low-pass", "high-pass", "notch") or gain is None or abs(gain) >= CUT_DB

    def open(self, where):
        return all(number - 1 in {"input": self.inputs, "mix": self.mixes}[kind] for kind, number in where.items())


def place(where):
    """{"input": 3} or {"mix": 2}, without the band."""
    return {kind: where[kind] for kind in ("input", "mix") if where.get(kind) is not None}


def disagreements(setup, report, saved):
    """What is wrong with the review's list of how each check on each object counts."""
    there = There(saved)
    counts = collections.defaultdict(collections.Counter)
    seen = set()
    closed_though_open, lists = collections.Counter(), collections.defaultdict(set)
    for one in setup["judged"]:
        check, where, word = one["check"], place(one), one["counts_as"]
        key = (check, json.dumps(where))
        if key in seen:
            yield f"twice: {one}"
        seen.add(key)
        counts[check][word] += 1
        lists[word].add(key)
        if word in ("right", "untouched") and not there.open(where):
            yield f"it is closed: {one}"
        if word == "wrong" and not there.open(where) and check not in PROTECTION:
            yield f"it is closed, and costs: {one}"
        if word == "closed" and there.open(where):
            closed_though_open[check] += 1
        if check in EQUALISERS and word in ("right", "untouched"):
            [(kind, number)] = where.items()
            if there.touched(kind, number - 1) != (word == "right"):
                yield f"the equaliser is not so: {one}"
    for words, found in ((["wrong"], setup["findings"]), (["accepted", "closed"], setup["accepted"])):
        listed = {(one["check"], json.dumps(place(one["object"]))) for one in found}
        if not listed <= set().union(*(lists[word] for word in words)):
            yield f"listed and not counted so: {words}"
    told = {(one["check"], json.dumps(place(one["object"]))) for one in report["findings"]}
    wishes = {(one["check"], json.dumps(place(one["object"]))) for one in setup["wishes"]}
    hidden = {key for key in told if key in lists["closed"]}
    if told != lists["wrong"] | wishes | hidden:
        yield f"findings: {told ^ (lists['wrong'] | wishes | hidden)}"
    if any(check in PROTECTION for check, _ in hidden):
        yield "a fault of protection is hidden by a mute"
    for check, count in report["passed"].items():
        its = counts[check]
        folded = report["told_by_another"][check]
        extra = its["told_by_another"] - folded if check in CORNERS else 0
        unasked = sum(key[0] == check for key in wishes)
        outcomes = (count + folded + report["muted_or_sent_nowhere"][check] +
                    sum(one["check"] == check for one in report["findings"] + report["accepted"] + report["not_known"]))
        if check == "boost-into-wedge":  # inputs whose equaliser nobody uses
            unasked = outcomes - sum(its.values())
            flat = sum(not there.touched("input", i) and i in there.inputs for i in range(there.counts["input"]))
            if not 0 <= unasked <= flat:
                yield f"{check}: {unasked} not asked of {flat} unused equalisers"
        if outcomes + extra != sum(its.values()) + unasked:
            yield f"{check}: {outcomes} outcomes, {dict(its)}, {unasked} not asked"
        if its["right"] > count or closed_though_open[check] > report["muted_or_sent_nowhere"][check]:
            yield f"{check}: {dict(its)}, but {count} passed"
        if its["not_known"] != sum(one["check"] == check for one in report["not_known"]):
            yield f"{check}: not known {its['not_known']}"


# ---- what it costs ----

def cost(rule, severity):
    if not isinstance(rule["costs"], list):
        return tenths(rule["costs"])
    least, top = map(tenths, rule["costs"])
    share = min(max((severity - rule["from"]) / (rule["to"] - rule["from"]), 0), 1)
    return least + half_up(share * (top - least))


def ears_grade(one):
    """From the figures: which of its faults it is (gainwarden-scheme(5))."""
    figures = one["figures"]
    both = 0.5 if figures.get("ears_count") == 2 else 0
    if "threshold_db" not in figures:
        return 10 + both
    if "other_threshold_db" in figures:
        return 5
    for figure, grade in (("above_mix_db", 4), ("attack_ms", 3), ("release_ms", 2)):
        if figure in figures:
            return grade + both
    if figures["taken_db"] < 1:
        return 9 + both
    if figures["taken_db"] < 3:
        return 8 + both
    return (7 if figures["ratio_to_1"] < 10 else 6) + both


def severity_of(one):
    figures = one["figures"]
    if one["check"] == "ears-unprotected":
        return ears_grade(one)
    if one["check"] == "high-pass-high":
        return figures.get("loss_at_lowest_note_db", figures.get("loss_at_usual_top_db"))
    if one["check"] == "own-send-off-unity" and "off_unity_db" not in figures:
        return 200  # the own send is off
    if one["check"] == "master-off-unity" and "off_unity_db" not in figures:
        return 200
    return figures.get(SEVERITY.get(one["check"]), 0)


def same_cause(one, other, there):
    if one["card"] is not None and one["card"] == other["card"]:
        return True
    control = PREAMP.get(one["check"])
    if control is None or control != PREAMP.get(other["check"]):
        return False
    inputs = [each["object"]["input"] for each in (one, other)]
    preamps = [there.value("input.preamp", number - 1) for number in inputs]
    return inputs[0] == inputs[1] or (preamps[0] is not None and preamps[0] == preamps[1])


def charged(findings, rules, there):
    """The findings that cost something by themselves: of one cause the dearest, the first of several."""
    alone = [cost(rules[one["check"]], severity_of(one)) for one in findings]
    return [one for at, one in enumerate(findings)
            if not any(i != at and (alone[i] > alone[at] or (alone[i] == alone[at] and i < at)) and
                       same_cause(one, other, there) for i, other in enumerate(findings))]


def marks(setup, report, saved, scheme):
    """{group: (earned, lost, not assessed)} in tenths."""
    there = There(saved)
    counts = collections.defaultdict(collections.Counter)
    wrong, accepted = set(), set()
    for one in setup["judged"]:
        counts[one["check"]][one["counts_as"]] += 1
        {"wrong": wrong, "accepted": accepted}.get(one["counts_as"], set()).add((one["check"], json.dumps(place(one))))
    rules = {check: rule for group in scheme["groups"] for check, rule in group["checks"].items()}

    def counted(found, words):
        return [one for one in found if one["check"] in rules and (
            one["check"], json.dumps(place(one["object"]))) in words]
    findings = counted(report["findings"], wrong)
    dear = charged(findings, rules, there)
    both = charged(findings + counted(report["accepted"], accepted), rules, there)
    lived_with = [one for one in both if one not in findings]
    result = {}
    for group in scheme["groups"]:
        share = whole = 0
        most = {check: tenths(rule.get("most", group["marks"])) for check, rule in group["checks"].items()}
        for check in group["checks"]:
            judged = sum(counts[check][word] for word in JUDGED)
            every = sum(counts[check].values())
            whole += most[check]
            share += most[check] * judged / every if every else 0
        assessed = half_up(tenths(group["marks"]) * share / whole) if whole else 0
        left, took = min(tenths(group.get("most", group["marks"])), assessed), [0, 0]
        for neither, one in [*((0, one) for one in dear), *((1, one) for one in lived_with)]:
            if one["check"] not in group["checks"]:
                continue
            taken = min(cost(rules[one["check"]], severity_of(one)), most[one["check"]], left)
            most[one["check"]] -= taken
            left -= taken
            took[neither] += taken
        result[group["group"]] = (assessed - sum(took), took[0], tenths(group["marks"]) - assessed + took[1])
    return result


def told(setup):
    return {one["group"]: (tenths(one["earned"]), tenths(one["lost"]), tenths(one["not_assessed"]))
            for one in setup["groups"]}
