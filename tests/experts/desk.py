# SPDX-License-Identifier: MIT
"""A desk of the experts as the files that the program reads: a saved desk, a profile, a show file, a recording.

It is the stage of stage.json with what a case changes. A place is "parameter index index": numbers from 1, "1-4" a run,
"*" all; a list stands for the last index that was left out. Nothing here comes from the program's sources: the formats
are those of gainwarden-saved(5), gainwarden-profile(5) and gainwarden-show(5).
"""
import copy
import json
import pathlib

import osc

HERE = pathlib.Path(__file__).resolve().parent
STAGE = json.loads((HERE / "stage.json").read_text())
AT = "2026-06-12T18:30:00+02:00"
OFF = "-inf"
EVENING_BEGINS_S = 1781283000  # of a recording, as the clock of the wall has it

# What a case may name besides the stage's own.
OTHERS = {"mix.limiter.attack": {"unit": "ms", "values": None}, "mix.limiter.release": {"unit": "ms", "values": None},
          "mix.graphic.band.freq": {"unit": "Hz", "values": None}}
WORDS = {"input.eq.band.shape": ["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch"],
         "send.tap": ["pre-eq", "pre-fader", "post-fader"]}
WORDS["mix.eq.band.shape"] = WORDS["input.eq.band.shape"]


def indexes_of(name):
    """The kinds of index that a parameter has, as counts are called."""
    for start, kinds in (("input.eq.band.", ("input", "input.eq.band")), ("input.group", ("input", "group")),
                         ("input.", ("input",)), ("send.", ("input", "mix")),
                         ("mix.graphic.band.", ("mix", "mix.graphic.band")),
                         ("mix.eq.band.", ("mix", "mix.eq.band")), ("mix.", ("mix",)), ("group.", ("group",))):
        if name.startswith(start):
            return kinds
    return ()


def spread(entry, counts):
    """The values of a parameter as nested lists."""
    if not counts:
        return [entry["values"]]
    if "rows" in entry:
        return [list(entry["rows"]) for _ in range(counts[0])]
    values = entry["values"]
    if isinstance(values, list):
        return copy.deepcopy(values)
    return [[values] * counts[1] if len(counts) > 1 else values for _ in range(counts[0])]


def numbers(word, count):
    """The positions, from 0, that "3", "1-4" or "*" stand for."""
    if word == "*":
        return range(count)
    first, _, last = word.partition("-")
    found = range(int(first) - 1, int(last or first))
    assert found and 0 <= found[0] and found[-1] < count, f"{word} of {count}"
    return found


class Desk:
    """Every value of a desk, and what its profile tells of it."""

    def __init__(self, case):
        self.name = STAGE["desk"]
        self.counts = {**STAGE["counts"], **case.get("counts", {})}
        self.filters = {**STAGE["filters"], **case.get("filters", {})}
        self.entries = {name: dict(entry) for name, entry in STAGE["values"].items()}
        for name, ends in case.get("ranges", {}).items():
            self.entries[name]["range"] = ends
        self.values = {name: self.spread(name) for name in self.entries}

    def sizes(self, name):
        return [self.counts[kind] for kind in indexes_of(name)]

    def spread(self, name):
        return spread(self.entries[name], self.sizes(name))

    def put(self, changes):
        for place, value in changes.items():
            if place in STAGE["sets"]:
                self.put(STAGE["sets"][place])
            else:
                self.put_one(place.split(), value)
        return self

    def put_one(self, words, value):
        name, where = words[0], words[1:]
        if name not in self.entries:
            self.entries[name] = dict(OTHERS[name])
            self.values[name] = self.spread(name)
        sizes = self.sizes(name)
        assert len(sizes) - len(where) == isinstance(value, list), words
        rows = self.values[name]
        for row in numbers(where[0], sizes[0]) if where else [0]:
            if len(sizes) < 2:
                rows[row] = value
            elif len(where) < 2:
                assert len(value) == sizes[1], words
                rows[row] = list(value)
            else:
                for column in numbers(where[1], sizes[1]):
                    rows[row][column] = value

    def value(self, name, *where):
        """At positions from 1; None: not known, or the desk has no such control."""
        found = self.values.get(name)
        for number in where or [1]:
            found = found[number - 1] if found is not None else None
        return found

    def ends(self, name):
        """Least and most of the control in dB, None: not published."""
        ends = self.entries.get(name, {}).get("range")
        return ends and [-200 if ends[0] == OFF else ends[0], ends[1]]

    def copy(self):
        return copy.deepcopy(self)


def approved_desk(case):
    """As it was approved; None: nobody approved anything."""
    return Desk(case).put(case["approved"]) if "approved" in case else None


def desk_of(case):
    """As it stands: what was approved, or the stage, with the case's values."""
    return (approved_desk(case) or Desk(case)).put(case.get("values", {}))


# ---- saved desks ----

def fnv(text, start=14695981039346656037):
    for byte in text.encode():
        start = (start ^ byte) * 1099511628211 % 2**64
    return start


def parameter(desk, name):
    entry = {"unit": desk.entries[name]["unit"], "supplied": "heard"}
    for key in ("range", "step"):
        if desk.entries[name].get(key) is not None:
            entry[key] = desk.entries[name][key]
    return {**entry, "values": desk.values[name], "heard_s": 0}


def saved_text(desk, approved=False):
    root = {"saved_format": 1, "digest": "0" * 16, "desk": desk.name, "show": STAGE["show"]["show"], "at": AT}
    if approved:
        root["approved"] = {"at": AT, "by": "monitor engineer", "note": "after sound check"}
    root.update(filters=desk.filters, counts=desk.counts,
                values={name: parameter(desk, name) for name in desk.values})
    text = json.dumps(root)
    return text.replace("0" * 16, f"{fnv(text):016x}", 1)


# ---- profile and show file ----

def address(name):
    """An address of our own: the parameter's name, with each index behind its kind."""
    kinds = indexes_of(name)
    band = len(kinds) == 2 and kinds[1].endswith(".band")
    rest = name[len(kinds[1]) if band else len(name.split(".")[0]):].strip(".").replace(".", "/")
    start = "/".join(f"{kind.split('.')[0]}/{{{kind}}}" for kind in kinds[:1] if kinds) or "desk"
    second = f"/{kinds[1].replace('.', '-')}/{{{'band' if band else kinds[1]}}}" if len(kinds) > 1 else ""
    return f"/{start}{second}/{rest}"


def law(desk, name):
    """How a value travels: as it is; off, where the control's lower end is off, as 10 below the lowest number."""
    ends = desk.entries[name].get("range")
    if name in WORDS:
        return {"law": {"words": [[word, word] for word in WORDS[name]]}}
    if ends and ends[0] == OFF:
        return {"law": {"line": [[-110, OFF], [-100, -100], [ends[1], ends[1]]]}}
    return {"range": ends} if ends else {}


def value_entry(desk, name):
    entry = {"at": address(name), "is": name, **law(desk, name)}
    if desk.entries[name].get("step"):
        entry["step"] = desk.entries[name]["step"]
    return entry


def profile_of(desk):
    return {"profile_format": 1, "desk": desk.name, "link": {"transport": "udp", "port": 9100},
            "counts": {kind: count for kind, count in desk.counts.items() if count}, "filters": desk.filters,
            "values": [value_entry(desk, name) for name in desk.entries]}


def merged(target, patch):
    """JSON Merge Patch (RFC 7396): null takes a key away."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            result.pop(key, None)
        else:
            result[key] = merged(result.get(key), value)
    return result


def show_of(case):
    show = merged(STAGE["show"], case.get("show", {}))
    show = merged(show, {"desk": {"profile": "profile.json", "host": "127.0.0.1"}})
    if "evening" in case:
        show["room"] = {"begin": case["evening"]["room"]}
    return show


# ---- what travels ----

def message(desk, name, where, value):
    """The message by which the desk tells a value."""
    kinds = indexes_of(name)
    to = address(name)
    for kind, number in zip(kinds, where):
        to = to.replace("{band}" if kind.endswith(".band") else f"{{{kind}}}", str(number))
    if isinstance(value, bool):
        return osc.message(to, "T" if value else "F")
    if isinstance(value, str) and value != OFF:
        return osc.message(to, "s", value)
    if value == OFF and "law" not in law(desk, name):
        return osc.message(to, "s", OFF)
    return osc.message(to, "f", -110.0 if value == OFF else float(value))


def messages(desk):
    """Each question's answer, by its address: what is not known is not answered."""
    answers = {}
    for name in desk.values:
        for row, values in enumerate(desk.values[name]):
            for column, value in enumerate(values if isinstance(values, list) else [values]):
                where = [row + 1, column + 1][:len(indexes_of(name))]
                if value is not None:
                    data = message(desk, name, where, value)
                    answers[osc.parse(data)[0]] = data
    return answers


# ---- recordings ----

def recording(case):
    """An evening as a watch would have written it down: the desk read, then each move as the desk tells it."""
    desk, evening = desk_of(case), case["evening"]
    count = len(messages(desk))
    reading = {"questions": count, "asked": count, "heard": count, "asked_again": 0, "never_came": 0, "took_ms": 100}
    head = {"recording_format": 1, "version": "0", "at_s": EVENING_BEGINS_S, "offset_s": 0, "host": "127.0.0.1",
            "port": 9100, "profile": profile_of(desk), "show": show_of(case), "desk": saved_text(desk),
            "link": "steady", "reading": reading}
    approved = approved_desk(case)
    if approved:
        head["approved"] = saved_text(approved, approved=True)
    lines = [head]
    for at_s, place, value in evening["moves"]:
        name, *where = place.split()
        lines.append({"t": round(at_s * 1000), "in": [message(desk, name, where, value).hex()]})
    lines.append({"t": evening["lasts_s"] * 1000, "lasted_ms": evening["lasts_s"] * 1000})
    return summed(lines)


def summed(lines):
    total, text = 14695981039346656037, ""
    for line in lines:
        own = json.dumps(line, separators=(",", ":"))[:-1]
        total = fnv(own, total)
        text += f'{own},"sum":"{total:016x}"}}\n'
    return text
