# SPDX-License-Identifier: MIT
"""Four desks that nobody planned for, each with the demo's evening set on it: made from scratch here, with
an encoder of their own, and described by a profile that uses only what the manual pages say. Through each,
the demo's faults are found.

- Ledger wants a log-in before it speaks, and answers in bundles in bundles.
- Courier is asked for many things in one question, and answers each in a message of its own.
- Letterbox has letters for inputs, knows its mixes by their labels, and speaks JSON inside of texts.
- Crier is asked nothing: while somebody stays it tells everything, in texts of labels.

The bytes follow the OSC 1.0 specification (M. Wright, 2002). Nothing here is shared with osc.py, the mocks or
the program.
"""
import json
import math
import string
import struct

import pytest

from harness import OwnDesk, audit, demo_audit, questions, read_json, renewals, write_json, SHOW, STATE

# ---- an encoder of our own ----


def padded(raw):
    return raw + bytes(4 - len(raw) % 4)


def osc(address, *values):
    """A message whose tags follow from the values: int, float, text, True and False."""
    tags, data = ",", b""
    for value in values:
        if isinstance(value, bool):
            tags += "T" if value else "F"
        elif isinstance(value, int):
            tags, data = tags + "i", data + struct.pack(">i", value)
        elif isinstance(value, float):
            tags, data = tags + "f", data + struct.pack(">f", value)
        else:
            tags, data = tags + "s", data + padded(value.encode())
    return padded(address.encode()) + padded(tags.encode()) + data


def together(messages, depth):
    """A bundle, in a bundle, ...: with the time tag of no time at all."""
    packet = b"".join(struct.pack(">i", len(one)) + one for one in messages)
    for _ in range(depth):
        packet = b"#bundle\0" + struct.pack(">Q", 1) + packet
        packet = struct.pack(">i", len(packet)) + packet
    return packet[4:]


def opened(data):
    """Address and values of a message that gainwarden sent."""
    def cut(at):
        end = data.index(b"\0", at)
        return data[at:end].decode(), (end // 4 + 1) * 4

    address, at = cut(0)
    tags, at = cut(at)
    values = []
    for tag in tags[1:]:
        if tag == "s":
            value, at = cut(at)
        else:
            value, = struct.unpack_from({"i": ">i", "f": ">f"}[tag], data, at)
            at += 4
        values.append(value)
    return address, values


# ---- the evening, in dB, Hz, on and off ----

STATED = read_json(STATE)
INPUTS, MIXES, GROUPS, BANDS = 24, 8, 4, 4
THIRDS = ("20 25 31.5 40 50 63 80 100 125 160 200 250 315 400 500 630 800 1000 1250 1600 2000 2500 3150 4000 "
          "5000 6300 8000 10000 12500 16000 20000").split()  # mocks/README.md
OFF = -math.inf


def level(value):
    return OFF if value == "-inf" else float(value)


def stated(scope, number, *way, otherwise):
    """What the state file says of an object, or of all such, or what a desk has that nobody touched."""
    for node in (STATED[{"input": "inputs", "mix": "mixes"}[scope]][number], STATED["defaults"][scope]):
        for key in way:
            node = node.get(key, {}) if isinstance(node, dict) else {}
        if node != {}:
            return node
    return otherwise


def bands(scope, number):
    listed = stated(scope, number, "eq", "bands", otherwise=[])
    return [{"on": True, "shape": "peak", "freq": 1000.0, "gain": 0.0, "q": 1.0,
             **{key: float(value) for key, value in (listed[i] if i < len(listed) else {}).items()}}
            for i in range(BANDS)]


def high_pass(scope, number):
    return {"on": stated(scope, number, "high_pass", "on", otherwise=False),
            "freq": float(stated(scope, number, "high_pass", "freq", otherwise=16)),
            "slope": float(stated(scope, number, "high_pass", "slope", otherwise=18))}


def an_input(i):
    of = lambda *way, otherwise: stated("input", i, *way, otherwise=otherwise)  # noqa: E731
    return {
        "name": of("name", otherwise=""), "gain": float(of("gain", otherwise=0)), "pad": 0.0,
        "phantom": of("phantom", otherwise=False), "head": i + 1, "trim": 0.0,
        "flip": of("inverted", otherwise=False), "mute": False, "fader": level(of("fader", otherwise=0)),
        "meter": float(of("level", otherwise=-120)), "hp": high_pass("input", i), "eq": True,
        "gate": of("gate", "on", otherwise=False), "gate_at": -20.0,
        "comp": of("comp", "on", otherwise=False), "comp_at": float(of("comp", "threshold", otherwise=-20)),
        "ratio": float(of("comp", "ratio", otherwise=3)), "makeup": 0.0, "bands": bands("input", i),
        "groups": [g + 1 in of("groups", otherwise=[]) for g in range(GROUPS)],
        "sends": [{"level": level(value), "on": True,
                   "tap": next((one["tap"] for one in of("sends", otherwise=[]) if one["mix"] == m + 1), "pre-fader")}
                  for m, value in enumerate(of("send_levels", otherwise=[]))]}


def a_mix(m):
    cuts = stated("mix", m, "graphic", "cuts", otherwise={})
    return {
        "name": stated("mix", m, "name", otherwise=""), "fader": level(stated("mix", m, "fader", otherwise=0)),
        "mute": False, "trim": 0.0, "meter": float(stated("mix", m, "level", otherwise=-120)), "geq": True,
        "geqs": [float(cuts.get(third, 0)) for third in THIRDS], "eq": True, "bands": bands("mix", m),
        "hp": high_pass("mix", m), "lim": stated("mix", m, "limiter", "on", otherwise=False),
        "lim_at": float(stated("mix", m, "limiter", "threshold", otherwise=-6)),
        "lim_ratio": float(stated("mix", m, "limiter", "ratio", otherwise=20))}


EVENING = [an_input(i) for i in range(INPUTS)]
AUXES = [a_mix(m) for m in range(MIXES)]
SCENE = STATED["desk"]["scene"]

# ---- what the desks call all that, and what it is ----

STRIP = {"name": "input.name", "gain": "input.preamp_gain", "pad": "input.pad", "phantom": "input.phantom",
         "head": "input.preamp", "trim": "input.trim", "flip": "input.polarity", "mute": "input.mute",
         "fader": "input.fader", "meter": "input.level", "eq": "input.eq.on", "gate": "input.gate.on",
         "gate_at": "input.gate.threshold", "comp": "input.comp.on", "comp_at": "input.comp.threshold",
         "ratio": "input.comp.ratio", "makeup": "input.comp.makeup"}
AUX = {"name": "mix.name", "fader": "mix.fader", "mute": "mix.mute", "trim": "mix.trim", "meter": "mix.level",
       "geq": "mix.graphic.on", "eq": "mix.eq.on", "lim": "mix.limiter.on", "lim_at": "mix.limiter.threshold",
       "lim_ratio": "mix.limiter.ratio"}
SEND = {"level": "send.level", "on": "send.on", "tap": "send.tap"}
BAND = ("on", "shape", "freq", "gain", "q")
FILTER = ("on", "freq", "slope")

RANGES = {"input.preamp_gain": [-4, 56], "input.trim": [-24, 24], "input.fader": [-70, 10], "send.level": [-70, 10],
          "mix.fader": [-70, 10], "group.fader": [-70, 10], "mix.graphic.band.gain": [-12, 9],
          "mix.eq.band.gain": [-21, 14], "input.high_pass.freq": [16, 500], "mix.high_pass.freq": [16, 500],
          "input.gate.threshold": [-75, 5], "input.comp.threshold": [-50, 10]}
SHAPES = ["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch"]
TAPS = ["pre-eq", "pre-fader", "post-fader"]
LAWS = {"shape": {"words": [[word, word] for word in SHAPES]}, "tap": {"words": [[word, word] for word in TAPS]}}
LEVELS = ("input.fader", "send.level", "mix.fader", "group.fader")


def value(parameter, **more):
    """A value of an answer, with its end stops and a law where its kind needs one."""
    entry = {"is": parameter, **more}
    if parameter in RANGES:
        entry["range"] = RANGES[parameter]
    if parameter.endswith((".shape", ".tap")):
        entry["law"] = parameter.rpartition(".")[2]
    if parameter in LEVELS:
        entry.setdefault("law", "level")
    return entry


def profile_of(desk, values, laws, **more):
    return {"profile_format": 1, "desk": desk, "link": {"transport": "udp", "port": 9100},
            "pace": {"in_flight": 16, "answer_within_ms": 2000},
            "counts": {"input": INPUTS, "mix": MIXES, "group": GROUPS, "input.eq.band": BANDS, "mix.eq.band": BANDS,
                       "mix.graphic.band": 31},
            "laws": {**LAWS, **laws}, "values": values, **more}


# ---- Ledger: a log-in, then bundles ----

class Ledger:
    """Numbers from 0; off is -999; a question is a number and its answer a bundle of single messages, of which
    the one called .../end comes last."""

    @staticmethod
    def profile():
        def told(address, parameter, **more):
            return {"answer": [address, value(parameter, **more)]}

        values = [
            {"ask": ["/read/strip", "{input}"], "answer": ["/strip/{input}/name", value("input.name")]},
            *(told(f"/strip/{{input}}/{key}", is_) for key, is_ in STRIP.items() if key != "name"),
            *(told(f"/strip/{{input}}/hp/{key}", f"input.high_pass.{key}") for key in FILTER),
            *(told(f"/strip/{{input}}/band/{{band}}/{key}", f"input.eq.band.{key}") for key in BAND),
            {"answer": ["/strip/{input}/groups", {"each": "group", "is": "input.group"}]},
            *(told(f"/strip/{{input}}/sends/{key}", is_, each="mix") for key, is_ in SEND.items()),
            {"ask": ["/read/aux", "{mix}"], "answer": ["/aux/{mix}/name", value("mix.name")]},
            *(told(f"/aux/{{mix}}/{key}", is_) for key, is_ in AUX.items() if key != "name"),
            *(told(f"/aux/{{mix}}/hp/{key}", f"mix.high_pass.{key}") for key in FILTER),
            *(told(f"/aux/{{mix}}/band/{{band}}/{key}", f"mix.eq.band.{key}") for key in BAND),
            told("/aux/{mix}/geqs", "mix.graphic.band.gain", each="band"),
            {"ask": ["/read/desk"], "answer": ["/desk/scene", value("desk.scene")]},
            told("/desk/talkback", "desk.talkback"), told("/desk/oscillator", "desk.oscillator"),
            *({"answer": [f"/group/{g}/fader", value("group.fader", group=g + 1)]} for g in range(GROUPS)),
            *({"answer": [f"/group/{g}/mute", value("group.mute", group=g + 1)]} for g in range(GROUPS))]
        return profile_of("Ledger", values, {"level": {"words": [[-999, "-inf"]], "times": 1}},
                          first={"input": 0, "mix": 0, "input.eq.band": 0, "mix.eq.band": 0},
                          renew=[{"send": ["/open", "monitors", 4711], "every_s": 5, "this_only_asks": True}])

    def __init__(self):
        self.known = set()

    @staticmethod
    def plain(one):
        return -999.0 if one == OFF else one

    def said(self, address, node):
        """A message for each leaf, or for each row of plain values."""
        if isinstance(node, dict):
            for key, inner in node.items():
                yield from self.said(f"{address}/{key}", inner)
        elif isinstance(node, list) and isinstance(node[0], dict) and "level" in node[0]:
            for key in SEND:
                yield osc(f"{address}/{key}", *(self.plain(one[key]) for one in node))
        elif isinstance(node, list) and isinstance(node[0], dict):
            for i, inner in enumerate(node):
                yield from self.said(f"{address[:-1]}/{i}", inner)
        else:
            yield osc(address, *(self.plain(one) for one in (node if isinstance(node, list) else [node])))

    def answer(self, address, values):
        if address == "/open":
            return []
        if address == "/read/desk":
            groups = [osc(f"/group/{g}/{key}", one) for g in range(GROUPS)
                      for key, one in (("fader", 0.0), ("mute", False))]
            return [together([*groups, osc("/desk/talkback", False), osc("/desk/oscillator", False),
                              osc("/desk/scene", SCENE)], 3)]
        kind, things = ("strip", EVENING) if address == "/read/strip" else ("aux", AUXES)
        thing = dict(things[values[0]])
        thing["name"] = thing.pop("name")  # last: what the question waits for
        return [together(list(self.said(f"/{kind}/{values[0]}", thing)), 2)]

    def hear(self, desk, heard):
        address, values = opened(heard.data)
        if address == "/open" and values == ["monitors", 4711]:
            self.known.add(heard.peer)
        if heard.peer in self.known:
            desk.send(heard.peer, *self.answer(address, values))


# ---- Courier: one question for many things ----

class Courier:
    """Asked by a list of paths, it sends a message for each: the path, then what stands there, as its screen
    shows it. A high-pass that is off reads "out"."""

    STRIP_PATHS = [*STRIP, "hp", "hp_slope", "groups", "levels", "ons", "taps"]
    AUX_PATHS = [*AUX, "hp", "hp_slope", "geqs"]

    @staticmethod
    def profile():
        def one(path, *elements):
            return {"answer": ["/one", path, *elements]}

        def filter_of(scope):
            return [{**value(f"{scope}.high_pass.on"), "law": "in"}, {**value(f"{scope}.high_pass.freq"), "law": "corner"}]

        def asking(paths, base, entry):
            return {"ask": ["/many", *(f"{base}.{path}" for path in paths)], "this_only_asks": True, **entry}

        def equaliser(index, scope):
            path = f"{scope}.{{{index}}}.band.{{band}}"
            return {"ask": ["/many", path], "this_only_asks": True,
                    **one(path, *(value(f"{scope}.eq.band.{key}") for key in BAND))}

        strip, aux = "input.{input}", "mix.{mix}"
        values = [
            *(one(f"{strip}.{key}", value(is_)) for key, is_ in STRIP.items()),
            one(f"{strip}.hp", filter_of("input")), one(f"{strip}.hp_slope", value("input.high_pass.slope")),
            one(f"{strip}.groups", value("input.group", each="group")),
            one(f"{strip}.levels", value("send.level", each="mix")), one(f"{strip}.ons", value("send.on", each="mix")),
            asking(Courier.STRIP_PATHS, strip, one(f"{strip}.taps", value("send.tap", each="mix"))),
            equaliser("input", "input"),
            *(one(f"{aux}.{key}", value(is_)) for key, is_ in AUX.items()),
            one(f"{aux}.hp", filter_of("mix")), one(f"{aux}.hp_slope", value("mix.high_pass.slope")),
            asking(Courier.AUX_PATHS, aux, one(f"{aux}.geqs", value("mix.graphic.band.gain", each="band"))),
            equaliser("mix", "mix"),
            asking(["fader", "mute"], "group.{group}", one("group.{group}.mute", value("group.mute"))),
            one("group.{group}.fader", value("group.fader")),
            {"ask": ["/many", "talkback", "oscillator", "scene"], "this_only_asks": True,
             **one("scene", value("desk.scene"))},
            one("talkback", value("desk.talkback")), one("oscillator", value("desk.oscillator"))]
        laws = {"level": {"words": [["silent", "-inf"]], "times": 1}, "corner": {"words": [["out", None]], "times": 1},
                "in": {"words": [["out", False]], "else": True}, "yes": {"words": [["yes", True], ["no", False]]}}
        for entry in values:  # whatever is on or off reads yes or no
            for element in entry["answer"][2:]:
                if isinstance(element, dict) and Courier.is_switch(element["is"]):
                    element["law"] = "yes"
        return profile_of("Courier", values, laws)

    @staticmethod
    def is_switch(parameter):
        return parameter.endswith((".on", ".mute", ".phantom", ".polarity", ".group", "talkback", "oscillator"))

    @staticmethod
    def shown(one):
        if isinstance(one, bool):
            return "yes" if one else "no"
        if isinstance(one, float):
            return "silent" if one == OFF else f"{one:.2f}"
        return one

    def look(self, path):
        """What stands at a path: a list of what the screen shows."""
        kind, _, rest = path.partition(".")
        if kind in ("talkback", "oscillator", "scene"):
            return [SCENE if kind == "scene" else "no"]
        number, _, key = rest.partition(".")
        if kind == "group":
            return [self.shown(0.0 if key == "fader" else False)]
        thing = (EVENING if kind == "input" else AUXES)[int(number) - 1]
        if key == "hp":
            return [f"{thing['hp']['freq']:.1f} Hz" if thing["hp"]["on"] else "out"]
        if key == "hp_slope":
            return [self.shown(thing["hp"]["slope"])]
        if key.startswith("band."):
            band = thing["bands"][int(key[5:]) - 1]
            return [self.shown(band[key]) for key in BAND]
        if key in ("levels", "ons", "taps"):
            return [self.shown(send[key[:-1]]) for send in thing["sends"]]
        node = thing[key]
        return [self.shown(one) for one in (node if isinstance(node, list) else [node])]

    def hear(self, desk, heard):
        address, paths = opened(heard.data)
        if address == "/many":
            desk.send(heard.peer, *(osc("/one", path, *self.look(path)) for path in paths))


# ---- Letterbox: letters, labels, JSON ----

class Letterbox:
    """Input A to X at addresses of their own; a mix is asked for by its label; every answer is JSON."""

    @staticmethod
    def profile():
        def strip(leaves, **more):
            return {"answer": ["/strip/{input}", {"json": leaves}], **more}

        def aux(leaves, **more):
            return {"answer": ["/aux", "{mix}", {"json": leaves}], **more}

        values = [
            strip({**{key: value(is_) for key, is_ in STRIP.items()},
                   **{f"hp/{key}": value(f"input.high_pass.{key}") for key in FILTER},
                   "groups": value("input.group", each="group")}, ask=["/strip/{input}"]),
            strip({f"sends/{{mix}}/{key}": value(is_) for key, is_ in SEND.items()}),
            strip({f"bands/{{band}}/{key}": value(f"input.eq.band.{key}") for key in BAND}),
            aux({**{key: value(is_) for key, is_ in AUX.items() if key != "name"},
                 **{f"hp/{key}": value(f"mix.high_pass.{key}") for key in FILTER},
                 "geqs": value("mix.graphic.band.gain", each="band")}, ask=["/aux", "{mix}"], this_only_asks=True),
            {"answer": ["/aux", "{mix}", {"json": {"label": value("mix.name")}}]},
            aux({f"bands/{{band}}/{key}": value(f"mix.eq.band.{key}") for key in BAND}),
            {"ask": ["/rest"], "answer": ["/rest", {"json": {
                "scene": value("desk.scene"), "talkback": value("desk.talkback"), "tone": value("desk.oscillator"),
                **{f"groups/{g}/{key}": value(is_, group=g + 1) for g in range(GROUPS)
                   for key, is_ in (("fader", "group.fader"), ("mute", "group.mute"))}}}]}]
        names = {"input": list(string.ascii_uppercase[:INPUTS]), "mix": [mix["name"] for mix in AUXES],
                 "input.eq.band": ["low", "low mid", "high mid", "high"],
                 "mix.eq.band": ["low", "low mid", "high mid", "high"]}
        return profile_of("Letterbox", values, {"level": {"words": [["off", "-inf"]], "times": 1}}, names=names)

    @staticmethod
    def plain(node):
        if isinstance(node, dict):
            return {key: Letterbox.plain(inner) for key, inner in node.items()}
        if isinstance(node, list):
            return [Letterbox.plain(inner) for inner in node]
        return "off" if node == OFF else node

    def text(self, thing):
        named = dict(thing)
        named["bands"] = dict(zip(("low", "low mid", "high mid", "high"), thing["bands"]))
        if "sends" in thing:
            named["sends"] = dict(zip((mix["name"] for mix in AUXES), thing["sends"]))
        else:
            named["label"] = named.pop("name")
        return json.dumps(self.plain(named))

    def hear(self, desk, heard):
        address, values = opened(heard.data)
        if address.startswith("/strip/"):
            desk.send(heard.peer, osc(address, self.text(EVENING[string.ascii_uppercase.index(address[7:])])))
        elif address == "/aux":
            mix = next(mix for mix in AUXES if mix["name"] == values[0])
            desk.send(heard.peer, osc("/aux", values[0], self.text(mix)))
        elif address == "/rest":
            groups = [{"fader": 0, "mute": False}] * GROUPS
            desk.send(heard.peer, osc("/rest", json.dumps({"scene": SCENE, "talkback": False, "tone": False,
                                                           "groups": groups})))


# ---- Crier: nothing is asked ----

class Crier:
    """Told to go on, it tells everything once: a text for each thing, fields in no order, some of no interest."""

    @staticmethod
    def profile():
        def line(address, labels):
            return {"answer": [address, {"text": "|", "label": ":", "labels": labels}]}

        values = [
            line("/in", {"no": "{input}", **{key: value(is_) for key, is_ in STRIP.items()},
                         **{f"hp {key}": value(f"input.high_pass.{key}") for key in FILTER}}),
            line("/send/{input}", {f"{key} to {{mix}}": value(is_) for key, is_ in SEND.items()}),
            line("/in/{input}/groups", {"group {group}": value("input.group")}),
            line("/in/{input}/eq", {f"{key} of {{band}}": value(f"input.eq.band.{key}") for key in BAND}),
            line("/out", {"no": "{mix}", **{key: value(is_) for key, is_ in AUX.items()},
                          **{f"hp {key}": value(f"mix.high_pass.{key}") for key in FILTER}}),
            line("/out/{mix}/eq", {f"{key} of {{band}}": value(f"mix.eq.band.{key}") for key in BAND}),
            line("/out/{mix}/geq", {"{band}": value("mix.graphic.band.gain")}),
            *(line(f"/group/{g}", {"fader": value("group.fader", group=g), "mute": value("group.mute", group=g)})
              for g in range(1, GROUPS + 1)),
            line("/all", {"scene": value("desk.scene"), "talkback": value("desk.talkback"),
                          "tone": value("desk.oscillator")})]
        laws = {"level": {"words": [["-", "-inf"]], "times": 1}, "yes": {"words": [["y", True], ["n", False]]}}
        for entry in values:
            for element in entry["answer"][1]["labels"].values():
                if isinstance(element, dict) and Courier.is_switch(element["is"]):
                    element["law"] = "yes"
        return profile_of("Crier", values, laws, renew=[{"send": ["/go-on"], "every_s": 2}])

    @staticmethod
    def line(pairs):
        def shown(one):
            if isinstance(one, bool):
                return "y" if one else "n"
            if isinstance(one, float):
                return "-" if one == OFF else f"{one:.3f}"
            return f'"{one}"' if isinstance(one, str) and "|" in one else str(one)

        return "|".join(f"{key}: {shown(one)}" for key, one in sorted(pairs.items(), key=lambda pair: pair[0][::-1]))

    def all(self):
        def flat_of(thing, number):
            kept = {key: one for key, one in thing.items() if not isinstance(one, (dict, list))}
            return {"no": number, "colour": "none", **kept, **{f"hp {key}": one for key, one in thing["hp"].items()}}

        def equaliser(thing):
            return {f"{key} of {i + 1}": one for i, band in enumerate(thing["bands"]) for key, one in band.items()}

        for i, strip in enumerate(EVENING, 1):
            yield "/in", flat_of(strip, i)
            yield f"/send/{i}", {f"{key} to {m}": one for m, send in enumerate(strip["sends"], 1)
                                 for key, one in send.items()}
            yield f"/in/{i}/groups", {f"group {g}": one for g, one in enumerate(strip["groups"], 1)}
            yield f"/in/{i}/eq", equaliser(strip)
        for m, mix in enumerate(AUXES, 1):
            yield "/out", flat_of(mix, m)
            yield f"/out/{m}/eq", equaliser(mix)
            yield f"/out/{m}/geq", {str(b): one for b, one in enumerate(mix["geqs"], 1)}
        for g in range(1, GROUPS + 1):
            yield f"/group/{g}", {"fader": 0.0, "mute": False}
        yield "/all", {"scene": SCENE, "talkback": False, "tone": False}

    def hear(self, desk, heard):
        if opened(heard.data) == ("/go-on", []):
            for at, (address, pairs) in enumerate(self.all()):
                desk.send_later(at / 2000, heard.peer, osc(address, self.line(pairs)))


# ---- the audits ----

DESKS = [Ledger, Courier, Letterbox, Crier]


def findings_of(report):
    return {(one["check"], tuple(one["object"].items())): one for one in report["findings"]}


@pytest.mark.parametrize("kind", DESKS, ids=lambda kind: kind.__name__)
def test_the_demos_faults_are_found(tmp_path, kind):
    profile = kind.profile()
    path = write_json(tmp_path / "profile.json", profile)
    with OwnDesk(kind().hear) as desk:
        report, result = audit(desk, "--yes", "--profile", path, show=SHOW)
    expected = findings_of(demo_audit()[0])
    found = findings_of(report)

    assert report["not_known"] == []
    assert report["link"]["never_came"] == 0 and report["link"]["rejected"] == {}
    assert len(found) > 10 and found.keys() == expected.keys()
    for name, one in found.items():  # what travels as text is rounded
        assert one["figures"] == pytest.approx(expected[name]["figures"], abs=0.11), name
    # and it was only asked what the profile says
    may = {*questions(profile), *renewals(profile)}
    assert {heard.data for heard in desk.heard} <= may
    assert desk.heard and (kind is Crier) == (not questions(profile))


def test_without_the_log_in_nothing_is_answered(tmp_path):
    """The log-in is what makes Ledger speak: without it the desk stays silent, and that is told."""
    profile = Ledger.profile()
    profile["renew"] = []
    profile["pace"] = {"answer_within_ms": 100, "tries": 1}
    with OwnDesk(Ledger().hear) as desk:
        report, _ = audit(desk, "--yes", "--profile", write_json(tmp_path / "profile.json", profile), show=SHOW)

    assert report["link"]["heard"] == 0 and report["not_known"]
