#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Writes the seeds of every fuzz target into a folder: make_corpus.py FOLDER

Seeds that are text stand in corpus/TARGET/ and are copied. Binary ones are made here, because in
a list with a word on each, a person can see what is there and what is missing, and a change of
one shows as text. Files that are there already, such as those a run has found, are kept.
"""
import json
import pathlib
import shutil
import struct
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "e2e"))
sys.dont_write_bytecode = True

from osc import bundle, message, text  # noqa: E402

INF, NAN = float("inf"), float("nan")
EMPTY = bytes.fromhex("2362756e646c65000000000000000001")  # a bundle's head, time tag "at once"


def nested(depth, inside=b""):
    for _ in range(depth):
        inside = bundle(inside) if inside else EMPTY
    return inside


def raw(hexadecimal):
    return bytes.fromhex(hexadecimal)


DATAGRAMS = {
    # read past their end by liblo 0.31
    "blob-tag-without-blob": raw("2f6100002c620000"),
    "last-element-of-no-bytes": raw("2362756e646c6500000000000000000100000000"),
    # costs a server that matches patterns seconds
    "slashes": message("/" * 163),
    "slashes-without-types": b"/" * 167 + b"\0",
    "stars": message("/*" * 40),
    # the specification's examples
    "example-1": raw("2f6f7363696c6c61746f722f342f6672657175656e6379002c66000043dc0000"),
    "example-2": raw("2f666f6f000000002c69697366660000000003e8ffffffff68656c6c6f000000"
                     "3f9df3b640b5b22d"),
    # every type tag
    "i": message("/a", "i", -1), "f": message("/a", "f", 0.5), "s": message("/a", "s", "abc"),
    "b": message("/a", "b", b"\1\2\3\4\5"), "b-empty": message("/a", "b", b""),
    "h": message("/a", "h", -2**63), "d": message("/a", "d", 1e308),
    "t": raw("2f6100002c74000083aa7e8000000000"), "S": raw("2f6100002c53000061626300"),
    "c": raw("2f6100002c63000000000041"), "r": raw("2f6100002c720000ff00ff00"),
    "m": raw("2f6100002c6d000000903c7f"), "TFNI": message("/a", "TFNI"),
    "array": raw("2f7600002c5b66665d0000003f80000040000000"),
    "every-tag": message("/a", "ifsbhdTFNIcrmt", 1, 2.0, "x", b"yz", 3, 4.0, 65, 0xff8040ff, 0x903c7f, 1),
    "letters": message("/seat/001/cut", "c", 65), "letter-no-ascii": message("/seat/001/cut", "c", 200),
    "array-in-array": message("/to/0/levels", "[f[ff]]", 0.0, 0.75, 1.0), "array-empty": message("/desk/talk", "[]i[]", 1),
    "array-open": text("/desk/talk") + text(",[i") + raw("00000001"),
    "array-closed-twice": text("/desk/talk") + text(",[i]]") + raw("00000001"),
    "array-crossed": text("/desk/talk") + text(",]i[") + raw("00000001"),
    "unknown-tag": raw("2f6100002c780000"),
    # wrong sizes
    "nothing": b"", "one-byte": b"/", "not-a-multiple": raw("2f610000 2c0000"),
    "no-end": raw("2f6162632c666666"), "padding-not-0": raw("2f6100012c000000"),
    "short": raw("2f6100002c690000"), "long": raw("2f6100002c00000000000000"),
    "blob-past-end": raw("2f6100002c6200000000000501020304"),
    "blob-negative": raw("2f6100002c620000ffffffff01020304"),
    "blob-largest": raw("2f6100002c6200007fffffff01020304"),
    "arguments-300": message("/mix/0/graphic", "T" * 300),
    # bundles
    "bundle-empty": EMPTY, "bundle-short": EMPTY[:8],
    "bundle": bundle(message("/mix/0/fader", "f", 0.5), message("/desk/talk", "T")),
    "bundle-in-bundle": bundle(message("/desk/talk", "F"), bundle(message("/desk/talk", "T"))),
    "nested-8": nested(8), "nested-9": nested(9), "nested-60": nested(60),
    "nested-8-message": nested(7, bundle(message("/desk/talk", "i", 1))),
    "element-negative": EMPTY + raw("fffffffc2f6100002c000000"),
    "element-past-end": EMPTY + raw("0000000c2f6100002c000000"),
    "element-of-6": EMPTY + raw("000000062f6100002c000000"),
    "element-half-size": EMPTY + raw("0000"),
    "bundle-future": text("#bundle") + raw("ffffffffffffffff"),
    "elements-100": bundle(*[message("/mix/1/fader", "f", i / 100) for i in range(100)]),
    # a bad element among good ones
    "bad-among-good": bundle(message("/desk/talk", "T"), text("/odd") + text(",z"), message("/desk/talk", "F")),
    "short-among-good": bundle(message("/desk/talk", "T"), text("/mix/0/fader") + text(",f"), message("/desk/talk", "F")),
    "empty-among-good": bundle(message("/desk/talk", "T"), b"", message("/desk/talk", "F")),
    "odd-size-among-good": bundle(message("/desk/talk", "T"), b"/a\0\0,\0", message("/desk/talk", "F"), b"/a"),
    "zeros-behind": bundle(message("/desk/talk", "T")) + bytes(64),
    "bad-bundle-among-good": bundle(message("/desk/talk", "T"), EMPTY + raw("00000040"), message("/desk/talk", "F")),
    # addresses that do not begin with a slash, messages without types
    "no-slash": message("in.1.trim", "f", 1.5), "no-types": text("/seat/001/trim") + raw("3f800000"),
    "address-alone": text("/seat/001/trim"),
    # labels, JSON, texts with indexes, numbers that come back
    "labels": message("/line", "s", 'name="a;b"; ch=2; fader=off; x=1'),
    "labels-many": message("/lines", "s", "in1.1:-3 in3.2:4 in4.1:0 in1.x:0"),
    "json": message("/json", "s", '{"of": "mix 1", "levels": [0, "-inf", null]}'),
    "json-many": message("/json", "s", '{"in":{"1":{"hp":{"on":true,"freq":80}},"3":{"hp":{"on":false}}}}'),
    "json-deep": message("/json", "s", "[" * 40 + "]" * 40), "json-cut": message("/json", "s", '{"in":{"1":'),
    "json-wide": message("/json", "s", "[" + ",".join(map(str, range(700))) + "]"),
    "reply": message("/reply", "iT", 2), "reply-to-nobody": message("/reply", "iT", 3),
    "path": message("/tell", "sf", "mix/1/in/3", -6.0), "path-else": message("/tell", "sf", "mix/1/in/33", -6.0),
    "one-object": message("/main", "f", 0.5),
    # the small desk: good values, ends, and beyond
    "name": message("/seat/001/name", "s", "Ld Vox"),
    "name-long": message("/seat/002/name", "s", "Übung " * 20),
    "name-controls": message("/seat/003/name", "s", "\x1b[2J\u202e\x7f"),
    "name-not-utf-8": text("/seat/003/name") + text(",s") + raw("c0aff5808000ed00a08000" "00"),
    "name-number": message("/seat/001/name", "d", NAN),
    "gain": message("/seat/001/gain", "f", 0.7), "gain-top": message("/seat/003/gain", "d", 1.001),
    "gain-nan": message("/seat/001/gain", "f", NAN), "gain-inf": message("/seat/001/gain", "d", INF),
    "gain-minus-inf": message("/seat/001/gain", "f", -INF),
    "gain-signalling-nan": text("/seat/001/gain") + text(",f") + raw("7f800001"),
    "pad": message("/seat/001/pad", "T"), "feed": message("/seat/001/feed", "i", 1),
    "head-shared": bundle(message("/seat/001/head", "i", 2), message("/seat/002/head", "h", 2)),
    "trim": message("/seat/001/trim", "f", 24.01), "cut": message("/seat/002/cut", "s", "shut"),
    "fader-text": message("/seat/001/fader", "s", "-inf"),
    "level-text": message("/seat/001/level", "s", "0.25"), "level-0": message("/seat/001/level", "i", 0),
    "hp": message("/hp/1", "siffi", "hp", 1, 0.5, NAN, 3),
    "eq": message("/eq", "iiTsfff", 0, 1, "low-shelf", 250.0, 6.0, 0.7),
    "eq-text-index": message("/eq", "ssisddd", "2", "1", 1, "notch", 1e3, -6.0, 1000.0),
    "eq-index-outside": message("/eq", "iiTsfff", 3, 0, "peak", 250.0, 6.0, 0.7),
    "comp": message("/comp", "iTiff", 1, 1, -20.0, 3.0),
    "comp-answer": message("/comp", "TTfff", -20.0, 3.0, 6.0),
    "belongs": message("/belongs", "iTFi", 1, 1), "belongs-short": message("/belongs", "iT", 1),
    "levels": message("/to/0/levels", "fff", 0.0, 0.75, 1.0),
    "levels-text": message("/to/1/levels", "sss", "-inf dB", "-oo", "-12.5 dB"),
    "send-on": message("/seat/003/to/1/on", "i", 0), "tap": message("/seat/003/to/1/tap", "s", "post"),
    "graphic": message("/mix/0/graphic", "fffff", 0.0, -12.0, -3.0, -6.0, 9.1),
    "graphic-bands": message("/mix/1/bands", "iiiii", 63, 125, 1000, 8000, 48000),
    "mix-eq": message("/mix-eq", "iiisfff", 1, 2, 1, "high-pass", 80.0, 0.0, 0.5),
    "limit": message("/limit/0", "iTff", 1, 30.0, 9.0),
    "group": message("/group/2/fader", "i", -20000), "scene": message("/desk/scene", "s", ""),
    # lines, blobs, arguments without types
    "line": message("/row", "is", 2, "pol 1 x 0"),
    "line-blanks": message("/row", "is", 1, " pol  1\tx   1 "),
    "line-quotes": message("/row", "is", 3, '"pol" "1" "x y" "0"'),
    "line-open-quote": message("/row", "is", 3, 'pol 1 "x'),
    "line-short": message("/row", "is", 1, "pol 1"), "line-nothing": message("/row", "is", 1, ""),
    "line-run": message("/muted", "s", "1;0"), "line-run-long": message("/muted", "s", "1;" * 600),
    "line-no-text": message("/muted", "i", 1), "line-separators": message("/muted", "s", ";;"),
    "blob-int16": message("/needles", "b", raw("000000000000 8ad0 ffff 7fff")),
    "blob-short": message("/needles", "b", raw("000000000000 8000")),
    "blob-skip": message("/needles", "b", raw("0000")),
    "blob-odd": message("/needles", "b", raw("000000000000 8000ff")),
    "blob-no-blob": message("/needles", "i", 1),
    "blob-float32": message("/graphics/0", "b", struct.pack("<5f", 0, -12, 6.5, NAN, INF)),
    "blob-577-numbers": message("/needles", "b", bytes(6 + 2 * 577)),
    "blob-8000-numbers": message("/needles", "b", bytes(6 + 2 * 8000)),
    "spectrum": message("/spectrum/1", "b", struct.pack(">31h", *range(-15000, -14969))),
    "spectrum-short": message("/spectrum/1", "b", struct.pack(">30h", *range(30))),
    "spectrum-long": message("/spectrum/0", "b", bytes(2 * 577)),
    "spectrum-too-loud": message("/spectrum/1", "b", b"\x7f\xff" * 31),
    "spectrum-no-blob": message("/spectrum/1", "i", -40),
    "untyped-blob": text("groups") + raw("00000001") + text("any") + raw("00000008 01000000 00000000"),
    "untyped-blob-past-end": text("groups") + raw("00000001") + text("any") + raw("00000010 01000000"),
    "untyped-whole": text("in.1.gate") + raw("0000000000000001"),
    "untyped-short": text("in.1.gate") + raw("00000001"),
    "untyped-run": text("mix.levels") + struct.pack(">2f", -18, -3),
    "untyped-run-long": text("mix.levels") + struct.pack(">9f", *range(9)),
    "untyped-line": text("mix.lines") + text("on=1=0"),
    "untyped-line-no-end": text("mix.lines") + b"on=1",
    "typed-though-untyped": message("in.1.gate", "i", 1),
    "blob-is-a-number": message("/graphics/1", "i", 20),
    "untyped-run-600": text("mix.levels") + struct.pack(">600f", *range(600)),
    "wedge": bundle(message("/mix/0/name", "s", "Ld Vox wedge"), message("/mix/0/cut", "F"),
                    message("/mix/0/fader", "f", 0.3), message("/seat/001/name", "s", "Ld Vox"),
                    message("/seat/001/cut", "s", "open"), message("/seat/001/gain", "f", 0.9),
                    message("/to/0/levels", "fff", 0.4, 0.3, 0.0),
                    message("/mix/0/graphic", "fffff", -12.0, -6.0, -6.0, -3.0, -3.0)),
    "in-ear": bundle(message("/mix/1/name", "s", "Drums IEM"),
                     message("/limit/1", "iFff", 1, 0.0, 0.0)),
}

SLIP, SIZE = b"\1", b"\0"  # the first byte; bit 1: many times over
ONE = message("/desk/talk", "i", 1)
MIXED = DATAGRAMS["bad-among-good"]
ODD = message("/b", "b", raw("c0dbdcdd"))

STREAMS = {
    "size-one": SIZE + struct.pack(">i", len(ONE)) + ONE,
    "size-two": SIZE + (struct.pack(">i", len(ONE)) + ONE) * 2,
    "size-many": b"\2" + struct.pack(">i", len(ONE)) + ONE,
    "size-0": SIZE + raw("00000000") + struct.pack(">i", len(ONE)) + ONE,
    "size-negative": SIZE + raw("fffffffc") + ONE, "size-lowest": SIZE + raw("80000000") + ONE,
    "size-largest": SIZE + raw("7ffffffc") + ONE, "size-64-ki": b"\2" + raw("00010000") + ONE,
    "size-over-64-ki": b"\2" + raw("0001fffc") + ONE * 90,
    "size-not-a-multiple": SIZE + raw("00000006") + ONE, "size-cut": SIZE + raw("000000"),
    "size-example": SIZE + raw("00000020") + DATAGRAMS["example-1"],
    "size-bundle": SIZE + struct.pack(">i", len(MIXED)) + MIXED, "slip-bundle": SLIP + b"\xc0" + MIXED + b"\xc0",
    "slip-one": SLIP + b"\xc0" + ONE + b"\xc0", "slip-shared-end": SLIP + b"\xc0" + (ONE + b"\xc0") * 3,
    "slip-many": b"\3\xc0" + ONE + b"\xc0", "slip-long": b"\3" + b"/abc" * 500,
    "slip-ends": SLIP + b"\xc0" * 9, "slip-nothing-after": SLIP + ONE,
    "slip-escapes": SLIP + raw("c02f6200002c62000000000004dbdcdbdddcddc0"),
    "slip-example": SLIP + b"\xc0" + DATAGRAMS["example-1"] + b"\xc0",
    "slip-bad-escape": SLIP + raw("c0db41c0") + ONE + b"\xc0",
    "slip-escape-end": SLIP + raw("c02fdbc0") + ONE + b"\xc0", "slip-escape-last": SLIP + raw("c0db"),
    "slip-escape-escape": SLIP + raw("c0dbdbc0"), "frame-escapes": SLIP + ODD,
    "frame-all-ends": SLIP + b"\xc0" * 64, "frame-all-escapes": SLIP + b"\xdb" * 64,
}

# laws met by numbers: the text of a law, a NUL, then doubles of this machine
LAWS = {
    "numbers": ("line-off-below", [0.0, 0.02, 0.04, 0.7, 1.0, 1.0009, 1.002, NAN, INF, -INF]),
    "numbers-large": ("times", [1e308, -1e308, 5e-324, 2.0**53]),
    "numbers-small": ("amplitude", [5e-324, 1e-300, -0.0, 1.0]),
}


def small_recording(*lines, **head):
    """A desk of one input and one mix; the target puts the sums right."""
    profile = {"profile_format": 1, "desk": "Small", "link": {"transport": "udp", "port": 9100},
               "counts": {"input": 1, "mix": 1},
               "values": [{"at": "/mix/{mix}/fader", "is": "mix.fader"}, {"at": "/in/{input}/gain", "is": "input.preamp_gain"},
                          {"at": "/limit", "is": "mix.limiter.on"}]}
    head = {"recording_format": 1, "version": "0", "at_s": 1.8e9, "offset_s": 3600, "host": "desk", "port": 9100,
            "profile": profile, **head}
    return "".join(json.dumps({**line, "sum": "0" * 16}, separators=(",", ":")) + "\n"
                   for line in (head, *lines)).encode()


def recordings():
    said = {"questions": 2, "asked": 2, "heard": 2, "asked_again": 0, "never_came": 0, "took_ms": 4}
    begun = [{"t": 1, "link": "reading", "why": ""},
             {"t": 5, "in": [message("/mix/1/fader", "f", 0.0).hex(), message("/in/1/gain", "f", 30.0).hex()],
              "more": True},
             {"t": 6, "rejected": {"unknown-address": 3, "no-address": 2}, "more": True},
             {"t": 6, "link": "steady", "why": "", "reading": said, "until": 9}]
    show = {"show_format": 1, "show": "One", "mixes": {"1": {"feeds": "in-ear"}},
            "watch": {"raise_after_s": 0, "clear_after_s": 0}, "desk": {"profile": "p"}}
    fault = [{"t": 900, "in": [message("/limit", "i", 0).hex()]}, {"t": 950, "wake": True},
             {"t": 990, "in": [message("/mix/1/fader", "f", -20.0).hex()]}]
    ends = [{"t": 9000, "link": "lost", "why": "no answer"}, {"t": 9500, "lasted_ms": 9500}]
    return {
        "whole": small_recording(*begun, *fault, *ends, show=show),
        "no-show": small_recording(*begun, *fault),
        "asked": small_recording(*begun, {"t": 20, "asked": {"do": "room", "to": "show"}},
                                 {"t": 30, "asked": {"do": "quiet", "mix": 1, "for_s": 5, "why": "w", "now": True}},
                                 *fault, {"t": 2000, "asked": {"do": "quiet-end", "number": 1}}, show=show),
        "others": small_recording(*begun, {"t": 10, "said": "a line"}, {"t": 11, "still": True},
                                  {"t": 12, "day": 20300101}, {"t": 13, "at_s": 1.9e9}, {"t": 14, "stale_before": 10},
                                  {"t": 15, "read": True}, {"t": 16}, show=show),
        "kept": small_recording(*begun, *fault, show=show, kept={
            "told": [{"check": "ears-unprotected", "mix": 1, "weight": "stop", "severity": 1, "since_s": 1.79e9}],
            "room": {"is": "show", "until_s": 1.81e9}, "at_s": 1.8e9,
            "quiets": [{"number": 1, "mix": 1, "player": "", "stop_too": True, "why": "w", "by": "", "left_s": 60,
                        "until_s": 1.9e9}]}),
        "committed": (HERE.parent / "reference/fault.recording").read_bytes(),
    }


TOLD = {"check": "master-off-unity", "mix": 1, "weight": "fix", "severity": 8, "since_s": 1.79e9,
        "says": "it stands at -8 dB", "do": "to 0 dB"}
LEAPT = {"is": "input.preamp_gain", "row": 1, "column": 1, "from": -12, "to": 0, "gap_s": 0.1, "ago_s": 3}
QUIET = {"number": 1, "check": "left-on", "input": 1, "mix": 1, "player": "p", "stop_too": False, "meant": 8, "why": "w",
         "by": "b", "until_s": 1.9e9, "left_s": 480}
KEPT = [
    {"told": [TOLD, {**TOLD, "check": "value-jumped", "input": 1, "mix": -1}], "jumps": [LEAPT, {**LEAPT, "row": 2}],
     "messages": [{"id": "a", "weight": "stop", "text": "t"}], "at_s": 1.8e9},
    {"room": {"is": "changeover", "before": "show", "until_s": 1.9e9, "left_s": 880}, "quiets": [QUIET, QUIET],
     "untold": [{"check": "value-jumped", "input": 1}], "ended": ["a"], "stopped": True, "at_s": 1.8e9 + 10},
]
REQUESTS = [
    {"do": "room", "to": "changeover", "for_s": 5}, {"do": "room"}, {"do": "status"}, {"do": "deliver"},
    {"do": "quiet", "mix": 1, "check": "master-off-unity", "input": 1, "player": "p", "for_s": 60, "why": "w", "by": "b",
     "now": True, "stop_too": True, "meant": 3},
    {"do": "quiet", "mix": 1, "for_s": 2, "why": "w"}, {"do": "quiet-list"}, {"do": "quiet-end", "number": 1},
    {"do": "reload"}, {"do": "screen"},
]
FOUND = {"weight": "fix", "fresh": True, "stale": False, "closed": False, "player": "keys", "figure": "-8 dB",
         "brief": "mix 3 Keys: master back to 0, slowly", "says": "mix 3 Keys: the master stands at -8 dB",
         "since": "46 s", "hidden": ""}
STOOD = {**FOUND, "weight": "stop", "fresh": False, "stale": True, "closed": True, "figure": "", "hidden": "room show"}
STAGE = {"show": "Ostrel Barn", "room": "show", "link": "desk steady", "lost": False, "findings": [FOUND, STOOD],
         "unlisted": {"stop": 0, "fix": 1, "note": 2, "held_back": 1}, "unknown": ["loop-margin, mix 5: nobody measured"],
         "not_known": 3, "proved": ["1 Ld Vox wedge  4.5 dB proved left"], "quieted": ["quieting 1, input 24"], "last": ["21:36:19 raised fix -8 dB  mix 3 Keys"]}
SCREENS = {"one": {"version": 1, "chosen": 0, "desks": [STAGE]},
           "two": {"version": 1, "chosen": 1, "desks": [STAGE, {**STAGE, "lost": True, "findings": []}]},
           "newer": {"version": 2}}


HEARD = {"ok": True, "ring_out": {
    "values": [["send.level", 1, 1, -5.5, 40], ["send.level", 2, 2, "-inf", 0], ["input.name", 1, 1, "Ld Vox", 3000],
               ["input.preamp_gain", 3, 1, 12, 1], ["mix.graphic.band.gain", 2, 5, -6, 9], ["input.mute", 2, 1, 1, 5],
               ["send.tap", 1, 2, 1, 7], ["mix.fader", 2, 1, 0, 1e9]],
    "stale": [["mix.fader", 1, 1], ["send.level", 1, 1]], "link": "steady"}}
RELAYED = {
    "whole": [HEARD, {**HEARD, "ring_out": {"values": [], "stale": [], "link": "lost"}}],
    "part": [{"ok": True, "ring_out": {"values": HEARD["ring_out"]["values"][:2], "stale": []}}, HEARD],
    "refused": [{"ok": False, "error": "another ring-out of this desk is being followed already", "lines": []}],
    "ended": [HEARD, {"ok": True, "ended": True}, HEARD], "other": [{"ok": True}, {"ok": True, "ring_out": 7}],
    "nowhere": [{"ok": True, "ring_out": {"values": [["send.level", 99, 0, 1, 1]], "stale": [["x"]], "link": "x"}}]}


def proved():
    """Files of proved ceilings, made of the saved desk that is a seed itself."""
    saved = json.loads((HERE / "corpus/saved/small.json").read_text())
    desk = {key: saved[key] for key in ("filters", "counts", "values")}
    made = {"at": saved["at"], "by": "b", "note": "n"}
    head = {"proved_format": 1, "digest": "0" * 16, "desk": "d", "show": "s"}
    ceiling, ring = {**made, "step_db": 0.5, "desk": desk}, {**made, "hz": 2500, "mix": 1}
    return {"all": {**head, "ceilings": [ceiling, {**ceiling, "mix": 1}],
                    "rings": [ring, {**ring, "input": 2, "gain_db": 30.5}], "left": {**made, "desk": desk}},
            "one": {**head, "ceilings": [ceiling], "rings": []}, "none": {**head, "ceilings": [], "rings": [ring]},
            "newer": {"proved_format": 2}}


def write_all(folder, target, seeds):
    (folder / target).mkdir(parents=True, exist_ok=True)
    for name, content in seeds.items():
        (folder / target / name).write_bytes(content)


def main(folder):
    demo = HERE.parent.parent / "contrib" / "demo"
    write_all(folder, "datagram", DATAGRAMS)
    write_all(folder, "stream", STREAMS)
    for path in sorted(HERE.glob("corpus/*/*")):
        write_all(folder, path.parent.name, {path.stem: path.read_bytes()})
    write_all(folder, "law", {
        name: (HERE / "corpus/law" / f"{law}.txt").read_bytes() + b"\0"
        + struct.pack(f"={len(numbers)}d", *numbers) for name, (law, numbers) in LAWS.items()})
    write_all(folder, "recording", recordings())
    write_all(folder, "kept", {
        "records": json.dumps(KEPT).encode(), "one": json.dumps(KEPT[0]).encode(),
        "file": b"".join(json.dumps(one).encode() + b"\n" for one in ({"keep_format": 1}, *KEPT)),
        "newer": b'{"keep_format":2}\n', "torn": b'{"keep_format":1}\n{"told":[', "nothing": b""})
    write_all(folder, "proved", {name: json.dumps(one).encode() for name, one in proved().items()})
    write_all(folder, "relay", {name: b"".join(json.dumps(one).encode() + b"\n" for one in lines)
                                for name, lines in RELAYED.items()})
    write_all(folder, "screen", {name: json.dumps(one).encode() for name, one in SCREENS.items()})
    write_all(folder, "control", {
        **{f"{i}": json.dumps(one).encode() for i, one in enumerate(REQUESTS)},
        "all": b"\n".join(json.dumps(one).encode() for one in REQUESTS),
        "no-request": b'7\n{"do":7}\n{"do":"x"}\n{'})
    for target, path in [("profile", HERE / "small-desk.json"), ("profile", demo / "barn-desk.json"),
                         ("show", demo / "ostrel-barn.json"), ("stage", demo / "ostrel-barn-stage.json"),
                         ("scheme", HERE.parent.parent / "contrib" / "scheme" / "monitor-setup.json")]:
        (folder / target).mkdir(parents=True, exist_ok=True)
        shutil.copy(path, folder / target / path.stem)


if len(sys.argv) != 2:
    sys.exit(__doc__.splitlines()[0])
main(pathlib.Path(sys.argv[1]))
