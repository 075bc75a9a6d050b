# SPDX-License-Identifier: MIT
"""The language of profiles: each way in which a desk may answer, spoken by a small desk of the test's
own, and the figures that come out at the end.

A check's figures show what was understood: master-off-unity tells `master_db`, high-pass-low tells
`corner_hz`, unused-preamp-gain tells `preamp_db` and `loudest_send_db`, too-many-cuts counts bands.
"""
import math
import re

import pytest

import osc
from harness import OwnDesk, agreed_hash, audit, finding, findings, run, write_json


def profile_of(values, **more):
    return {"profile_format": 1, "desk": "Small desk", "link": {"transport": "udp", "port": 9100},
            "pace": {"answer_within_ms": 200, "tries": 2},
            "counts": {"input": 3, "mix": 2}, "values": values, **more}


SHOW = {"show_format": 1, "show": "Small show", "desk": {"profile": "profile.json", "role": "monitor"},
        "inputs": {"1": {"source": "vocal"}, "2": {"source": "vocal"}, "3": {"source": "vocal"}},
        "mixes": {"1": {"feeds": "wedge"}, "2": {"feeds": "wedge"}}}


def read(tmp_path, profile, answers, push=()):
    """The report of a desk that answers by a table of datagrams: {question: [answer, ...]}.

    Questions not in the table meet silence; `push` goes out on each /stay.
    """
    hash_of = agreed_hash(write_json(tmp_path / "profile.json", profile))
    show = write_json(tmp_path / "show.json", {**SHOW, "desk": {**SHOW["desk"], **hash_of}})

    waiting = dict(answers)  # each is given once: on a busy machine a question may come again before its answer

    def answer(desk, heard):
        desk.send(heard.peer, *(push if heard.address == "/stay" else waiting.pop(heard.data, ())))

    with OwnDesk(answer) as desk:
        report, result = audit(desk, show=show)
    assert result.err == ""
    return report


def master(report, mix):
    return finding(report, "master-off-unity", mix=mix)["figures"]["master_db"]


def masters(report):
    return [master(report, mix) for mix in (1, 2)]


def whole(report):
    assert report["link"]["never_came"] == 0
    assert report["link"]["rejected"] == {}
    return report


message = osc.message

# Each input into each mix at 0 dB: a filter is judged on the paths that it is in.
PATHS = {"send.level": 0, "send.tap": "pre-fader", "mix.fader": 0, "input.preamp_gain": 30, "input.comp.on": False}


# ---- where the answer comes from ----

def test_an_answer_at_the_address_of_the_question(tmp_path):
    report = read(tmp_path, profile_of([{"at": "/m/{mix}/f", "is": "mix.fader"}]), {
        message("/m/1/f"): [message("/m/1/f", "f", -3.5)],
        message("/m/2/f"): [message("/m/2/f", "f", 4.0)]})

    assert masters(whole(report)) == [-3.5, 4]


def test_an_answer_at_another_address(tmp_path):
    values = [{"ask": ["/q/m/{mix}/f"], "answer": ["/a/m/{mix}/f", {"is": "mix.fader"}]}]
    report = read(tmp_path, profile_of(values), {
        message("/q/m/1/f"): [message("/a/m/1/f", "f", -3.5)],
        message("/q/m/2/f"): [message("/a/m/2/f", "f", 4.0)]})

    assert masters(whole(report)) == [-3.5, 4]


def test_the_address_of_the_question_is_not_listened_to(tmp_path):
    """An echo of the question with a value would be somebody's move, not this desk's answer."""
    values = [{"ask": ["/q/m/{mix}/f"], "answer": ["/a/m/{mix}/f", {"is": "mix.fader"}]}]
    report = read(tmp_path, profile_of(values), {
        message("/q/m/1/f"): [message("/q/m/1/f", "f", -9.0), message("/a/m/1/f", "f", -3.0)],
        message("/q/m/2/f"): [message("/a/m/2/f", "f", -3.0)]})

    assert masters(report) == [-3, -3]
    assert report["link"]["rejected"] == {"unknown-address": 1}


@pytest.mark.parametrize("width, spelt", [(1, "7"), (2, "07"), (3, "007")])
def test_numbers_with_leading_zeros(tmp_path, width, spelt):
    """A desk of twelve mixes; the width is the least number of digits."""
    address = f"/m/{{mix:{width}}}/f"
    profile = profile_of([{"at": address, "is": "mix.fader"}], counts={"input": 1, "mix": 12})
    answers = {}
    for mix in range(1, 13):
        at = f"/m/{mix:0{width}}/f"
        answers[message(at)] = [message(at, "f", -float(mix))]
    write_json(tmp_path / "profile.json", profile)
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, *answers[heard.data])) as desk:
        report, _ = audit(desk, "--profile", tmp_path / "profile.json", show=None)

    assert f"/m/{spelt}/f" in desk.asked()
    assert [master(whole(report), mix) for mix in range(1, 13)] == [-mix for mix in range(1, 13)]


# ---- indexes as arguments ----

@pytest.mark.parametrize("first", [0, 1])
@pytest.mark.parametrize("where", ["entry", "profile"])
def test_indexes_as_arguments(tmp_path, first, where):
    entry = {"ask": ["/get", "{mix}"], "answer": ["/got", "{mix}", {"is": "mix.fader"}]}
    profile = profile_of([{**entry, "first": first}]) if where == "entry" else \
        profile_of([entry], first={"mix": first})
    report = read(tmp_path, profile, {
        message("/get", "i", first): [message("/got", "if", first, -3.5)],
        message("/get", "i", first + 1): [message("/got", "if", first + 1, 4.0)]})

    assert masters(whole(report)) == [-3.5, 4]


@pytest.mark.parametrize("index", [message("/got", "ff", 2.0, 4.0), message("/got", "hf", 2, 4.0),
                                   message("/got", "df", 2.0, 4.0), message("/got", "sf", "2", 4.0)],
                         ids=["f", "h", "d", "s"])
def test_an_index_may_come_in_any_kind_of_number(tmp_path, index):
    entry = {"ask": ["/get", "{mix}"], "answer": ["/got", "{mix}", {"is": "mix.fader"}]}
    report = read(tmp_path, profile_of([entry]), {
        message("/get", "i", 1): [message("/got", "if", 1, -3.5)],
        message("/get", "i", 2): [index]})

    assert masters(whole(report)) == [-3.5, 4]


@pytest.mark.parametrize("answer", [
    message("/got", "if", 0, -9.0), message("/got", "if", 3, -9.0), message("/got", "ff", 1.5, -9.0),
    message("/got", "if", -1, -9.0), message("/got", "sf", "one", -9.0), message("/got", "Tf", -9.0),
    message("/got", "f", -9.0), message("/got", "iff", 1, -9.0, -9.0)], ids=lambda data: data.hex())
def test_indexes_that_are_none(tmp_path, answer):
    entry = {"ask": ["/get", "{mix}"], "answer": ["/got", "{mix}", {"is": "mix.fader"}]}
    report = read(tmp_path, profile_of([entry]), {
        message("/get", "i", 1): [answer, message("/got", "if", 1, -3.0)],
        message("/get", "i", 2): [message("/got", "if", 2, -3.0)]})

    assert masters(report) == [-3, -3]
    assert report["link"]["rejected"] == {"other-arguments": 1}


def test_an_index_that_stands_twice_must_be_the_same(tmp_path):
    """In the address and among the arguments: one mix, not two."""
    values = [{"ask": ["/get", "{mix}"], "answer": ["/m/{mix}", "{mix}", {"is": "mix.fader"}]}]
    report = read(tmp_path, profile_of(values), {
        message("/get", "i", 1): [message("/m/1", "if", 2, -9.0), message("/m/1", "if", 1, -3.5)],
        message("/get", "i", 2): [message("/m/2", "if", 2, 4.0)]})

    assert masters(report) == [-3.5, 4]
    assert report["link"]["rejected"] == {"other-arguments": 1}
    assert report["link"]["asked_again"] == 0


def test_one_index_in_the_address_and_one_among_the_arguments(tmp_path):
    """Sends: the mix is asked for in the address, the input travels as a number from 0."""
    values = [{"ask": ["/mix/{mix}/send", "{input}"], "first": 0,
               "answer": ["/send/{mix}", "{input}", {"is": "send.level"}]}]
    profile = profile_of(values, fixed={
        "input.preamp_gain": 30, "input.mute": False, "send.tap": "pre-fader", "mix.fader": 0})
    level = {(mix, one): -7.0 - 10 * one - mix for mix in range(2) for one in range(3)}
    report = read(tmp_path, profile, {
        message(f"/mix/{mix}/send", "i", one): [message(f"/send/{mix}", "if", one, db)]
        for (mix, one), db in level.items()})

    whole(report)
    for one in range(3):
        figures = finding(report, "unused-preamp-gain", input=one + 1)["figures"]
        assert figures["loudest_send_db"] == max(level[0, one], level[1, one])
        assert finding(report, "unused-preamp-gain", input=one + 1)["shows_in_mix"] == 1


# ---- several values ----

ROW = [{"ask": ["/row", "{input}"],
          "answer": ["/row/now", "{input}", "*", {"is": "input.high_pass.on"},
                     {"is": "input.high_pass.freq"}, {"is": "input.high_pass.slope"},
                     {"is": "input.mute", "law": {"words": [["open", False], ["shut", True]]}}]}]


def row(number, corner, state="open", name="x"):
    return message("/row/now", "isTfis", number, name, corner, 12, state)


def test_several_values_in_one_answer(tmp_path):
    report = read(tmp_path, profile_of(ROW, fixed=PATHS), {
        message("/row", "i", 1): [row(1, 50.0)],
        message("/row", "i", 2): [row(2, 25.0)],
        message("/row", "i", 3): [row(3, 40.0, "shut", 5 * "long ")]})

    whole(report)
    first = finding(report, "high-pass-low", input=1)["figures"]
    assert first["corner_hz"] == 50
    # 12 dB per octave is a filter of order 2
    assert first["loss_at_63_hz_db"] == pytest.approx(10 * math.log10(1 + (50 / 63) ** 4), abs=0.001)
    assert finding(report, "high-pass-low", input=2)["figures"]["corner_hz"] == 25
    assert report["muted_or_sent_nowhere"]["high-pass-low"] == 1


def test_one_bad_value_does_not_spoil_the_others(tmp_path):
    """The corner is out of range; the switch and the mute beside it are taken."""
    report = read(tmp_path, profile_of(ROW, fixed=PATHS), {
        message("/row", "i", 1): [row(1, 50.0)],
        message("/row", "i", 2): [row(2, 1e6)],
        message("/row", "i", 3): [row(3, 50.0)]})
    unknown = {(one["check"], one["object"].get("input")): one["why"] for one in report["not_known"]}

    assert report["link"]["rejected"] == {"bad-value": 1}
    assert report["link"]["never_came"] == 0  # it did answer; asking again would not mend it
    assert unknown["high-pass-low", 2] == "input.high_pass.freq of input 2 was never heard"
    assert ("high-pass-missing", 2) not in unknown
    assert report["passed"]["high-pass-missing"] == 3


# ---- runs along an index ----

GRAPHIC = {"mix.graphic.on": True}


def graphic_profile(entry, bands=31):
    return profile_of([entry], counts={"input": 3, "mix": 2, "mix.graphic.band": bands}, fixed=GRAPHIC)


def run_of(cuts, bands=31):
    """A run of bands with some at -6 dB."""
    return [-6.0 if band in cuts else 0.0 for band in range(1, bands + 1)]


def test_a_run_along_the_bands(tmp_path):
    eight, seven = run_of(range(10, 25, 2)), run_of(range(18, 31, 2))
    report = read(tmp_path, graphic_profile(
        {"at": "/m/{mix}/geq", "each": "band", "is": "mix.graphic.band.gain", "range": [-15, 15]}), {
        message("/m/1/geq"): [message("/m/1/geq", "f" * 31, *eight)],
        message("/m/2/geq"): [message("/m/2/geq", "f" * 31, *seven)]})

    whole(report)
    assert finding(report, "too-many-cuts", mix=1)["figures"]["cuts_count"] == 8
    assert finding(report, "too-many-cuts", mix=2)["figures"]["cuts_count"] == 7
    # band 18 of a third-octave graphic from 20 Hz is 1 kHz: the run begins with band 1. Of cuts as
    # deep as each other the one that costs most speech goes first
    assert "1000 Hz (-6 dB)" in finding(report, "too-many-cuts", mix=2)["do"]


def test_a_run_behind_other_arguments_in_octaves(tmp_path):
    entry = {"ask": ["/geq", "{mix}"],
             "answer": ["/geq/all", "{mix}", "gains",
                        {"each": "band", "is": "mix.graphic.band.gain", "law": {"times": 0.1}}]}
    tenths = [int(db * 10) for db in run_of(range(2, 10), 10)]
    report = read(tmp_path, graphic_profile(entry, 10), {
        message("/geq", "i", mix): [message("/geq/all", "is" + "i" * 10, mix, "gains", *tenths)]
        for mix in (1, 2)})

    whole(report)
    assert finding(report, "too-many-cuts", mix=1)["figures"]["cuts_count"] == 8
    # one octave a band from 31.5 Hz: speech is strongest at 500 Hz, then at 250 Hz
    assert "500 Hz (-6 dB), 250 Hz (-6 dB)" in finding(report, "too-many-cuts", mix=1)["do"]


def test_a_run_along_the_mixes(tmp_path):
    """All masters of the desk in one message."""
    values = [{"ask": ["/masters"], "answer": ["/masters/are", {"each": "mix", "is": "mix.fader"}]}]
    report = read(tmp_path, profile_of(values), {
        message("/masters"): [message("/masters/are", "ff", -3.5, 4.0)]})

    assert masters(whole(report)) == [-3.5, 4]
    assert report["link"]["asked"] == 1


@pytest.mark.parametrize("bands", [30, 32])
def test_a_run_of_the_wrong_length(tmp_path, bands):
    """Taken as far as it goes, and told."""
    report = read(tmp_path, graphic_profile(
        {"at": "/m/{mix}/geq", "each": "band", "is": "mix.graphic.band.gain"}), {
        message(f"/m/{mix}/geq"): [message(f"/m/{mix}/geq", "f" * count, *run_of(range(8), count))]
        for mix, count in ((1, bands), (2, 31))})
    unknown = [one["object"]["mix"] for one in report["not_known"] if one["check"] == "too-many-cuts"]

    assert report["link"]["rejected"] == {"bad-value": 1}
    assert unknown == ([1] if bands == 30 else [])  # the last band of the short one is not known


# ---- numbers in texts ----

@pytest.mark.parametrize("text, number", [
    ("-12.5", -12.5), ("-12.5 dB", -12.5), ("-12.5dB", -12.5), ("+4 dB", 4), ("  -7", -7),
    ("1e1", 10), (".5e1 DB", 5), ("-7 ", -7)])
def test_numbers_in_texts(tmp_path, text, number):
    report = read(tmp_path, profile_of([{"at": "/m/{mix}", "is": "mix.fader"}]), {
        message(f"/m/{mix}"): [message(f"/m/{mix}", "s", text)] for mix in (1, 2)})

    assert masters(whole(report)) == [number, number]


@pytest.mark.parametrize("text", ["", "dB", "-", "0x10", "12 dBx", "1,5", "nan", "inf", "12 34",
                                  "off", "1e999", "--5"])
def test_texts_that_are_no_numbers(tmp_path, text):
    report = read(tmp_path, profile_of([{"at": "/m/{mix}", "is": "mix.fader"}]), {
        message("/m/1"): [message("/m/1", "s", text)],
        message("/m/2"): [message("/m/2", "s", "-3")]})
    unknown = [one["object"] for one in report["not_known"] if one["check"] == "master-off-unity"]

    assert master(report, 2) == -3
    assert report["link"]["rejected"] == {"bad-value": 1}
    assert unknown == [{"mix": 1}]


@pytest.mark.parametrize("text", ["-oo", "-inf", "-INF", "-oo dB", "-inf dB"])
def test_off_in_a_text(tmp_path, text):
    """A send that is off is no open send: of two, the other is the loudest."""
    values = [{"at": "/to/{mix}/{input}", "is": "send.level"}]
    profile = profile_of(values, fixed={
        "input.preamp_gain": 30, "input.mute": False, "send.tap": "pre-fader", "mix.fader": 0})
    answers = {message(f"/to/{mix}/{one}"): [message(f"/to/{mix}/{one}", "s", text)]
               for mix in (1, 2) for one in (1, 2, 3)}
    answers[message("/to/2/1")] = [message("/to/2/1", "s", "-9 dB")]
    report = whole(read(tmp_path, profile, answers))

    assert finding(report, "unused-preamp-gain", input=1)["figures"]["loudest_send_db"] == -9
    assert finding(report, "unused-preamp-gain", input=1)["shows_in_mix"] == 2
    assert report["muted_or_sent_nowhere"]["unused-preamp-gain"] == 2


@pytest.mark.parametrize("text, hertz", [("50 Hz", 50), ("50hz", 50), ("0.05 kHz", 50), ("50", 50)])
def test_frequencies_in_texts(tmp_path, text, hertz):
    report = read(tmp_path, profile_of(
        [{"at": "/i/{input}/hp", "is": "input.high_pass.freq"}],
        fixed={**PATHS, "input.mute": False, "input.high_pass.on": True, "input.high_pass.slope": 12}), {
        message(f"/i/{one}/hp"): [message(f"/i/{one}/hp", "s", text)] for one in (1, 2, 3)})

    assert finding(whole(report), "high-pass-low", input=2)["figures"]["corner_hz"] == hertz


# ---- kinds of arguments and laws ----

@pytest.mark.parametrize("answer", [
    ("i", -4), ("f", -4.0), ("d", -4.0), ("h", -4), ("s", "-4")], ids=lambda pair: pair[0])
def test_kinds_of_numbers(tmp_path, answer):
    report = read(tmp_path, profile_of([{"at": "/m/{mix}", "is": "mix.fader"}]), {
        message(f"/m/{mix}"): [message(f"/m/{mix}", *answer)] for mix in (1, 2)})

    assert masters(whole(report)) == [-4, -4]


@pytest.mark.parametrize("law, wire, value", [
    ({"line": [[0, "-inf"], [0.04, -70], [0.7, 0], [1, 10]]}, 0.7, 0),
    ({"line": [[0, "-inf"], [0.04, -70], [0.7, 0], [1, 10]]}, 0.56, -70 * 0.14 / 0.66),
    ({"line": [[0, 10], [1, -90]]}, 0.25, -15),  # a law may fall
    ({"times": 0.1}, -45.0, -4.5),
    ({"amplitude": True}, 0.5, 20 * math.log10(0.5)),
    ({"words": [[0, -12], [1, -6]]}, 1.0, -6),
    ({"words": [["low", -12], ["high", 3]]}, "high", 3),
])
@pytest.mark.parametrize("named", [False, True])
def test_laws(tmp_path, law, wire, value, named):
    entry = {"at": "/m/{mix}", "is": "mix.fader", "law": "own" if named else law}
    profile = profile_of([entry], **({"laws": {"own": law}} if named else {}))
    report = read(tmp_path, profile, {
        message(f"/m/{mix}"): [message(f"/m/{mix}", "s" if isinstance(wire, str) else "f", wire)]
        for mix in (1, 2)})

    whole(report)
    if value == 0:
        assert report["passed"]["master-off-unity"] == 2
    else:
        assert master(report, 1) == pytest.approx(value, abs=0.0006)  # told in thousandths


@pytest.mark.parametrize("wire, corner", [(0.0, 16), (0.25, 16 * 31.25 ** 0.25), (0.5, 16 * 31.25 ** 0.5)])
def test_a_law_of_equal_ratios(tmp_path, wire, corner):
    report = read(tmp_path, profile_of(
        [{"at": "/i/{input}/hp", "is": "input.high_pass.freq", "law": {"ratio": [[0, 16], [1, 500]]}}],
        fixed={**PATHS, "input.mute": False, "input.high_pass.on": True, "input.high_pass.slope": 12}), {
        message(f"/i/{one}/hp"): [message(f"/i/{one}/hp", "f", wire)] for one in (1, 2, 3)})

    whole(report)
    if corner > 100 / 2 ** 0.5:  # half an octave under a voice's usual corners is let pass
        assert report["passed"]["high-pass-low"] == 3
    else:
        assert finding(report, "high-pass-low", input=1)["figures"]["corner_hz"] == \
            pytest.approx(corner, abs=0.0006)


@pytest.mark.parametrize("wire", [-0.01, 1.01, float("nan"), float("-inf")])
def test_beyond_the_ends_of_a_law(tmp_path, wire):
    report = read(tmp_path, profile_of(
        [{"at": "/m/{mix}", "is": "mix.fader", "law": {"line": [[0, -60], [1, 10]]}}]), {
        message("/m/1"): [message("/m/1", "f", wire)],
        message("/m/2"): [message("/m/2", "f", 0.5)]})

    assert set(report["link"]["rejected"]) == {"bad-value"}  # once for each time it was asked
    assert master(report, 2) == -25


@pytest.mark.parametrize("wire", [-0.0005, 1.0005])
def test_a_thousandth_beyond_an_end_is_the_end(tmp_path, wire):
    """Desks compute in binary; the end of a fader is often not quite 1."""
    report = read(tmp_path, profile_of(
        [{"at": "/m/{mix}", "is": "mix.fader", "law": {"line": [[0, -60], [1, 10]]}}]), {
        message(f"/m/{mix}"): [message(f"/m/{mix}", "f", wire)] for mix in (1, 2)})

    assert masters(whole(report)) == ([-60, -60] if wire < 0 else [10, 10])


# ---- literals, wildcards, pushes ----

def test_literals_tell_answers_apart(tmp_path):
    """One address for all; what it is about stands among the arguments."""
    values = [
        {"ask": ["/get", "fader", "{mix}"], "this_only_asks": True, "answer": ["/val", "fader", "{mix}", {"is": "mix.fader"}]},
        {"ask": ["/get", "name", "{mix}"], "this_only_asks": True, "answer": ["/val", "name", "{mix}", {"is": "mix.name"}]},
        {"ask": ["/get", "gain", 3, "{input}"], "this_only_asks": True,
         "answer": ["/val", "gain", 3, "{input}", {"is": "input.preamp_gain"}]},
        {"ask": ["/get", "gain", 4, "{input}"], "this_only_asks": True,
         "answer": ["/val", "gain", 4, "{input}", {"is": "send.level", "each": "mix"}]},
    ]
    answers = {}
    for mix, (fader, name) in enumerate([(-3.5, "Left"), (4.0, "Right")], 1):
        answers[message("/get", "si", "fader", mix)] = [message("/val", "sif", "fader", mix, fader)]
        answers[message("/get", "si", "name", mix)] = [message("/val", "sis", "name", mix, name)]
    for one in (1, 2, 3):
        answers[message("/get", "sii", "gain", 3, one)] = [message("/val", "siif", "gain", 3, one, 40.0)]
        answers[message("/get", "sii", "gain", 4, one)] = [
            message("/val", "siiff", "gain", 4, one, -9.0, -20.0)]
    report = read(tmp_path, profile_of(
        values, fixed={"input.mute": False, "send.tap": "pre-fader"}), answers)

    assert masters(whole(report)) == [-3.5, 4]
    assert finding(report, "master-off-unity", mix=2)["labels"] == {"mix": "Right"}
    figures = finding(report, "unused-preamp-gain", input=3)["figures"]
    assert (figures["preamp_db"], figures["loudest_send_db"]) == (40, -9)
    assert figures["loudest_after_preamp_db"] == -12.5  # the master of mix 1 is behind it


@pytest.mark.parametrize("answer", [message("/val", "sif", "faders", 1, -9.0),
                                    message("/val", "iif", 1, 1, -9.0),
                                    message("/val", "Tif", 1, -9.0)], ids=lambda data: data.hex())
def test_another_literal_is_another_message(tmp_path, answer):
    values = [{"ask": ["/get", "{mix}"], "answer": ["/val", "fader", "{mix}", {"is": "mix.fader"}]}]
    report = read(tmp_path, profile_of(values), {
        message("/get", "i", 1): [answer, message("/val", "sif", "fader", 1, -3.0)],
        message("/get", "i", 2): [message("/val", "sif", "fader", 2, -3.0)]})

    assert masters(report) == [-3, -3]
    assert report["link"]["rejected"] == {"other-arguments": 1}


def gains(inputs):
    return [message(f"/in/{one}/head/gain", "f", 30.0 + one) for one in inputs]


WILD = {"ask": ["/in/*/head/gain"], "this_only_asks": True,
        "answer": ["/in/{input}/head/gain", {"is": "input.preamp_gain"}]}
WILD_FIXED = {"input.mute": False, "send.tap": "pre-fader", "send.level": -15, "mix.fader": 0}


def test_one_question_with_many_answers(tmp_path):
    report = read(tmp_path, profile_of([WILD], fixed=WILD_FIXED),
                  {message("/in/*/head/gain"): gains((3, 1, 2))})

    whole(report)
    assert (report["link"]["asked"], report["link"]["heard"]) == (1, 1)
    assert [finding(report, "unused-preamp-gain", input=one)["figures"]["preamp_db"]
            for one in (1, 2, 3)] == [31, 32, 33]


def test_one_question_whose_answers_are_not_complete(tmp_path):
    """Two of three came: those count, the question is asked again and then given up."""
    report = read(tmp_path, profile_of([WILD], fixed=WILD_FIXED),
                  {message("/in/*/head/gain"): gains((1, 3))})
    unknown = [one["why"] for one in report["not_known"] if one["object"] == {"input": 2}
               and one["check"] == "unused-preamp-gain"]

    assert report["link"]["never_came"] == report["link"]["asked_again"] == 1
    assert finding(report, "unused-preamp-gain", input=3)["figures"]["preamp_db"] == 33
    assert unknown == ["input.preamp_gain of input 2 was never heard"]


def test_a_question_asked_again_is_complete_with_what_came_before(tmp_path):
    """The first time two answers come, the second time the third."""
    waves = [gains((1, 3)), gains((2,))]
    write_json(tmp_path / "profile.json", profile_of([WILD], fixed=WILD_FIXED))
    show = write_json(tmp_path / "show.json", SHOW)
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, *waves.pop(0))) as desk:
        report, _ = audit(desk, show=show)

    whole(report)
    assert report["link"]["asked_again"] == 1


def test_values_that_are_only_pushed(tmp_path):
    values = [{"answer": ["/push/m", "{mix}", {"is": "mix.fader"}]},
              {"at": "/i/{input}/gain", "is": "input.preamp_gain"}]
    report = read(tmp_path, profile_of(values, renew=[{"send": ["/stay"], "every_s": 60}]),
                  {message(f"/i/{one}/gain"): [message(f"/i/{one}/gain", "f", 10.0)]
                   for one in (1, 2, 3)},
                  push=[message("/push/m", "if", 1, -3.5), message("/push/m", "if", 2, 4.0)])

    assert masters(whole(report)) == [-3.5, 4]
    assert report["link"]["asked"] == 3


@pytest.mark.parametrize("after", [0, 0.1])
def test_a_desk_that_only_pushes(tmp_path, after):
    """Nothing is asked at all; what comes on the renewal, a moment later, is heard all the same."""
    profile = profile_of([{"answer": ["/push/m", "{mix}", {"is": "mix.fader"}]}],
                         renew=[{"send": ["/stay"], "every_s": 60}])
    write_json(tmp_path / "profile.json", profile)
    show = write_json(tmp_path / "show.json", SHOW)

    def answer(desk, heard):
        for mix, level in ((1, -3.5), (2, 4.0)):
            desk.send_later(after, heard.peer, message("/push/m", "if", mix, level))

    with OwnDesk(answer) as desk:
        report, _ = audit(desk, show=show)

    assert masters(report) == [-3.5, 4]


def test_this_only_asks(tmp_path):
    """Question and answer share an address, and the index is an argument."""
    values = [{"ask": ["/mix", "{mix}"], "answer": ["/mix", "{mix}", {"is": "mix.fader"}],
               "this_only_asks": True}]
    report = read(tmp_path, profile_of(values), {
        message("/mix", "i", 1): [message("/mix", "if", 1, -3.5)],
        message("/mix", "i", 2): [message("/mix", "if", 2, 4.0)]})

    assert masters(whole(report)) == [-3.5, 4]


# ---- constants and what is left out ----

FULL = [{"at": "/i/{input}/gain", "is": "input.preamp_gain"},
        {"at": "/i/{input}/to/{mix}", "is": "send.level"}]


def full_answers():
    answers = {message(f"/i/{one}/gain"): [message(f"/i/{one}/gain", "f", 40.0)] for one in (1, 2, 3)}
    answers.update({message(f"/i/{one}/to/{mix}"): [message(f"/i/{one}/to/{mix}", "f", -9.0 - mix)]
                    for one in (1, 2, 3) for mix in (1, 2)})
    return answers


@pytest.mark.parametrize("tap, fader, master_db, loudest", [
    ("pre-fader", -20, 0, -10), ("post-fader", -20, 0, -30), ("pre-eq", -20, -5, -15)])
def test_constants(tmp_path, tap, fader, master_db, loudest):
    """`fixed` stands for what the desk does not publish, of each kind: number, switch and word."""
    report = read(tmp_path, profile_of(FULL, fixed={
        "input.mute": False, "send.tap": tap, "input.fader": fader, "mix.fader": master_db}),
        full_answers())

    figures = finding(whole(report), "unused-preamp-gain", input=1)["figures"]
    assert (figures["preamp_db"], figures["loudest_after_preamp_db"]) == (40, loudest)


def test_what_a_profile_leaves_out_is_not_known_or_absent(tmp_path):
    """No constant for the tap: not known, with the remedy. A trim has a value when it is absent, and
    the report lists it."""
    report = read(tmp_path, profile_of(FULL, fixed={"input.mute": False, "mix.fader": 0}),
                  full_answers())
    why = {one["why"] for one in report["not_known"] if one["check"] == "unused-preamp-gain"}

    assert findings(report) == []
    assert why == {'the profile does not name send.tap (add it, or a constant under "fixed")'}
    assert {"input.trim", "mix.trim", "send.on"} <= set(report["taken_as_absent"])
    assert "send.tap" not in report["taken_as_absent"]


def test_end_stops_are_not_invented(tmp_path):
    """Without a range or a law that has ends, what needs an end is left out and the report says so;
    with one, the same figures are there."""
    def ranged(*entries):
        return [dict(one, range=ends) if ends else one for one, ends in zip(FULL, entries)]

    fixed = {"input.mute": False, "send.tap": "pre-fader", "mix.fader": 0}
    resting = {"preamp_after_db", "headroom_regained_db", "lowest_preamp_db", "send_to_top_raises_db",
               "send_to_top_raises_after_db"}
    for entries, without, left_out in [
            ((None, None), ["input.preamp_gain", "send.level"], resting),
            (([-4, 56], None), ["send.level"], {one for one in resting if one.startswith("send_to_top")}),
            (([-4, 56], [-70, 10]), [], set())]:
        profile = profile_of(ranged(*entries), fixed=fixed)
        report = whole(read(tmp_path, profile, full_answers()))
        figures = finding(report, "unused-preamp-gain", input=1)["figures"]
        assert report["without_end_stops"] == without
        assert resting - set(figures) == left_out
        assert figures["surplus_db"] == 10


def test_inputs_that_share_a_preamp(tmp_path):
    """One head amp, two inputs: the louder one uses its gain, so nothing is unused."""
    values = FULL + [{"at": "/i/{input}/socket", "is": "input.preamp"}]
    answers = full_answers()
    for one, socket in ((1, 5), (2, 5), (3, 6)):
        answers[message(f"/i/{one}/socket")] = [message(f"/i/{one}/socket", "i", socket)]
    answers[message("/i/2/to/1")] = [message("/i/2/to/1", "f", 0.0)]
    report = read(tmp_path, profile_of(values, fixed={
        "input.mute": False, "send.tap": "pre-fader", "mix.fader": 0}), answers)

    told = [one["object"] for one in report["findings"] if one["check"] == "unused-preamp-gain"]
    assert told == [{"input": 3}]


def test_check_counts_the_questions_of_every_form(tmp_path):
    path = write_json(tmp_path / "profile.json", profile_of(
        [WILD, {"at": "/m/{mix}", "is": "mix.fader"}, {"answer": ["/n/{mix}", {"is": "mix.name"}]},
         {"ask": ["/t", "{input}", "{mix}"], "answer": ["/t/is", "{input}", "{mix}", {"is": "send.level"}]}]))
    result = run("check", path)

    told = result.out.split("  not given", 1)[0]
    assert told == (f"{path}: good profile for Small desk: 3 inputs, 2 mixes, 4 entries, "
                    "9 questions\n  sends, besides questions without arguments at the address of "
                    "their own answer, over UDP:\n"
                    "    /in/*/head/gain, asked as needed (the profile says: this only asks)\n"
                    "    /t {input} {mix}, input 1 to 3, mix 1 to 2, asked as needed\n"
                    '  agreed to by --yes, or in the show file by "desk": { "agreed": "' +
                    re.search('"agreed": "([0-9a-f]{64})"', result.out)[1] + '" }\n')
    assert result.status == 0
