# SPDX-License-Identifier: MIT
"""A profile by turning knobs: a script in the place of a person at the demo's desk, in several of its dialects. What
comes of it must find what the demo's own profile finds.
"""
import math
import signal
import time

import pytest

import osc
from harness import PROFILE, SHOW, MockDesk, OwnDesk, fader_wire, flat, head_wire, read_json, run, until, write_json
from turning import Control, Still, Turning, tell_counts, work_through

COUNTS = {"input": 24, "mix": 8, "graphic_band": 31}
ABOUT = 0.02  # seconds between two moves of a hand


# ---- the hands of somebody who knows the demo's desk ----

def mover(desk, address, tags="f", wire=lambda value: value):
    def move(numbers, position):
        desk.move(address.format(*numbers), tags, wire(position))
        time.sleep(ABOUT)
    return move


def corner_wire(hz):
    return math.log(hz / 16) / math.log(500 / 16)


FADER = [("-inf", "off"), (-70, "-70"), (-25, "-25"), (-10, "-10"), (0, "0"), (10, "10")]
UP_AND_DOWN = [-20, -15, -10, -15, -22]


def fader(desk, address, positions=(None,)):
    return Control(mover(desk, address, wire=fader_wire), UP_AND_DOWN, positions)


def switch(desk, address, on=1):
    return Control(mover(desk, address, "i"), [1 - on, on, 1 - on, on, 1 - on], [(on, ""), (1 - on, "")])


def hands(desk):
    """What a control is set to is what the desk shows."""
    return {
        "send.level": fader(desk, "/in/{}/to/{}/level", FADER),
        "mix.fader": fader(desk, "/mix/{}/fader"),
        "input.name": Control(mover(desk, "/in/{}/name", "s"), ["Other"]),
        "mix.name": Control(mover(desk, "/mix/{}/name", "s"), ["Other"]),
        "input.preamp_gain": Control(mover(desk, "/in/{}/head/gain", wire=head_wire), [10, 20, 30, 20, 11],
                                     [(-4, "-4.0"), (26, "26.0"), (56, "56.0")]),
        "mix.limiter.on": switch(desk, "/mix/{}/limit/on"),
        "input.high_pass.on": switch(desk, "/in/{}/hp/on"),
        "input.high_pass.freq": Control(mover(desk, "/in/{}/hp/freq", wire=corner_wire), [30, 40, 50, 40, 35],
                                        [(16, "16 Hz"), (89.44, "89.4 Hz"), (500, "500 Hz")]),
        "input.high_pass.slope": Control(mover(desk, "/in/{}/hp/slope", "i"), [12, 18, 24, 18, 12],
                                         [(6, "6"), None, (24, "24")]),
        "send.tap": Control(mover(desk, "/in/{}/to/{}/tap", "i"), [0, 1, 0, 2, 1], [(0, ""), (1, ""), (2, "")]),
        "input.mute": switch(desk, "/in/{}/open", on=0),
        "input.fader": fader(desk, "/in/{}/fader"),
        "mix.graphic.band.gain": Control(mover(desk, "/mix/{}/graphic/{}"), [-3, -6, -3, -1],
                                         [(-12, "-12"), None, (9, "9")]),
        "mix.limiter.threshold": Control(mover(desk, "/mix/{}/limit/threshold"), [-10, -8, -6, -8, -9],
                                         [(-30, "-30"), (-10, "-10"), (0, "0")]),
        "mix.limiter.ratio": Control(mover(desk, "/mix/{}/limit/ratio"), [2, 3, 4, 3, 2],
                                     [(1, "1"), (10, "10"), (20, "20")]),
        "mix.mute": switch(desk, "/mix/{}/open", on=0),
    }


def session(folder, desk, *words):
    """A session that goes from its beginning to its end; the path of the profile."""
    path = folder / "turned.json"
    turning = Turning("--desk", desk.at, "--ask=/stay", "--yes", "--turn", path, *words)
    tell_counts(turning, **COUNTS)
    asked = work_through(turning, hands(desk))
    assert turning.wait() == 1, turning.text()  # what the person skipped remains
    assert {name for name, _ in asked} == hands(desk).keys()
    checked = run("check", path)
    assert checked.status == 0, checked.err
    return path


def found_by(report):
    return {(one["check"], one["weight"], tuple(one["object"].items())) for one in report["findings"]}


def audit(desk, *words):
    return run("audit", SHOW, "--desk", desk.at, "--format", "json", *words).json()


def same_as_by_the_demos(path):
    """Through either profile the same is found, but for what rests on the parameters that were not turned."""
    fresh = MockDesk()
    turned, demo = audit(fresh, "--profile", path), audit(fresh, "--profile", PROFILE)
    names = {"ears-unprotected", "unused-preamp-gain", "too-many-cuts", "high-pass-missing", "high-pass-low",
             "master-off-unity", "send-follows-fader", "own-send-off-unity"}

    assert {one for one in found_by(demo) if one[0] in names} == {one for one in found_by(turned) if one[0] in names}
    assert len({one[0] for one in found_by(turned)} & names) >= 6
    assert turned["link"]["rejected"] == {}


@pytest.mark.limit(60)
def test_the_demo_by_its_knobs(tmp_path):
    """The desk answers where it was asked, so the profile asks."""
    path = session(tmp_path, MockDesk(), "--ask")
    profile = read_json(path)

    assert profile["desk"] == "Turned desk"
    assert all("at" in entry for entry in profile["values"])
    assert profile["laws"]["send.level"] == {
        "line": [[0, "-inf"], [0.04, -70], [0.35, -25], [0.56, -10], [0.7, 0], [1, 10]]}
    assert profile["laws"]["input.preamp_gain"] == {"line": [[0, -4], [1, 56]]}
    assert profile["laws"]["input.high_pass.freq"] == {"ratio": [[0, 16], [1, 500]]}
    assert profile["laws"]["input.mute"] == {"words": [[0, True], [1, False]]}
    same_as_by_the_demos(path)


@pytest.mark.limit(60)
def test_a_desk_that_only_tells(tmp_path):
    """It tells everything after the message, and answers nothing: the profile asks nothing."""
    desk = MockDesk(**{"speak": "pushes"})
    path = session(tmp_path, desk, "--ask")
    profile = read_json(path)

    assert all("answer" in entry and "ask" not in entry for entry in profile["values"])
    fresh = MockDesk(**{"speak": "pushes"})
    turned, demo = audit(fresh, "--profile", path, "--yes"), audit(MockDesk(), "--profile", PROFILE)
    assert {one for one in found_by(demo) if one[0] in ("ears-unprotected", "unused-preamp-gain", "master-off-unity")} == {
        one for one in found_by(turned) if one[0] in ("ears-unprotected", "unused-preamp-gain", "master-off-unity")}


def begin(folder, desk, *words, counts=None):
    turning = Turning("--desk", desk.at, "--ask=/stay", "--yes", "--turn", folder / "turned.json", *words)
    tell_counts(turning, **(counts or {"input": 24, "mix": 8}))
    turning.expect(r"^Hands off")
    return turning


def test_texts_with_units_need_no_law(tmp_path):
    desk = MockDesk(**{"speak": "units"})
    turning = begin(tmp_path, desk)
    work_through(turning, {"mix.fader": fader(desk, "/mix/{}/fader", FADER),
                           "mix.limiter.on": switch(desk, "/mix/{}/limit/on"),
                           "send.tap": hands(desk)["send.tap"]})
    turning.wait()
    assert "equaliser on and off" not in flat(turning.text())  # of which the desk has no bands
    profile = read_json(tmp_path / "turned.json")
    entries = {entry["answer"][1]["is"]: entry["answer"][1] for entry in profile["values"]}

    assert entries["mix.fader"] == {"is": "mix.fader", "range": [-70, 10]}
    assert profile["laws"]["mix.limiter.on"] == {"words": [["yes", True], ["no", False]]}
    assert profile["laws"]["send.tap"]["words"][1] == ["pre-fader", "pre-fader"]


def test_numbers_among_the_arguments(tmp_path):
    """Counted from 0; and several values of one message become one entry."""
    desk = MockDesk(**{"speak": "indexes"})

    def band(field):
        def move(numbers, position):
            values = [numbers[0], numbers[1], 1, "peak", 400.0, 0.0, 1.0]
            values[field] = position
            desk.move("/set/mix-eq", "iiisfff", *values)
            time.sleep(ABOUT)
        return move

    turning = begin(tmp_path, desk, counts={"input": 24, "mix": 8, "mix_band": 4})
    work_through(turning, {
        "send.level": fader(desk, "/in/{}/to/{}/level", FADER),
        "mix.eq.band.gain": Control(band(5), [-3.0, -6.0, -3.0, -1.0], [(-21.0, "-21"), None, (14.0, "14")]),
        "mix.eq.band.freq": Control(band(4), [100.0, 200.0, 300.0, 200.0, 150.0],
                                    [(20.0, "20 Hz"), None, (20000.0, "20 kHz")]),
        "mix.eq.band.on": Control(band(2), [0, 1, 0, 1, 0], [(1, ""), (0, "")])})
    turning.wait()
    profile = read_json(tmp_path / "turned.json")
    entries = {entry["answer"][0]: entry for entry in profile["values"]}

    assert entries["/in/to/level"] == {
        "answer": ["/in/to/level", "{input}", "{mix}", {"is": "send.level", "law": "send.level"}], "first": 0}
    assert entries["/mix-eq"]["answer"] == [
        "/mix-eq", "{mix}", "{band}", {"is": "mix.eq.band.on", "law": "mix.eq.band.on"}, "*",
        {"is": "mix.eq.band.freq", "range": [20, 20000]}, {"is": "mix.eq.band.gain", "range": [-21, 14]}, "*"]
    assert entries["/mix-eq"]["first"] == 0
    assert len(profile["values"]) == 2


# ---- meters, strangers and mistakes ----

class Stage(OwnDesk):
    """Two mixes, a clock, meters that never stand still, and a hand that the test moves."""

    def __init__(self, chatter=True):
        super().__init__(self.answer)
        self.chatter, self.peer, self.count, self.flood = chatter, None, 0, 0

    def answer(self, desk, heard):
        self.peer = heard.peer

    def flush(self):
        super().flush()
        if not self.peer or not self.chatter:
            return
        self.count += 1
        self.send(self.peer, osc.bundle(osc.message("/clock", "i", self.count), *[
            osc.message(f"/mix/{mix}/meter", "f", -20.0 - self.count * mix % 7) for mix in (1, 2, 3)]))

    def put(self, address, value, tags="f"):
        until(lambda: self.peer, what="the first message")
        self.send(self.peer, osc.message(address, tags, value))
        time.sleep(ABOUT)

    def turn(self, address, *values):
        for value in values or (0.3, 0.5, 0.7, 0.5, 0.31):
            self.put(address, value)


def test_meters_and_clocks_are_told_from_a_hand(tmp_path):
    with Stage() as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        turning.expect(r"^  4 values move by themselves; they are left out\.$")
        work_to(turning, "Mix 1: turn the fader")
        desk.turn("/mix/1/fader")
        turning.expect(r"^  moved: /mix/1/fader went from 0\.3 to 0\.7$")
        turning.expect(r"^Mix 3: turn the fader")
        desk.turn("/mix/3/fader")
        turning.expect(r"^  So it is /mix/\{mix\}/fader, counted from 1\.$")
        turning.type("done")
        turning.wait()


def work_to(turning, pattern):
    """Skips what is asked before."""
    while True:
        line = turning.sentence(r"^(Input|Mix|Group|The desk)\b.*")
        if line.startswith(pattern):
            return
        turning.type("skip")


def test_the_wrong_knob_is_told_and_asked_for_again(tmp_path):
    with Stage(chatter=False) as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        work_to(turning, "Mix 1: turn the fader")
        desk.put("/mix/1/fader", 0.3)
        turning.type("again")
        work_to(turning, "Mix 1: turn the fader")
        turning.type()
        turning.expect(r"^  Nothing moved that had stood still before\.")
        desk.turn("/mix/1/fader")
        turning.expect(r"^Mix 3: turn the fader")
        desk.turn("/mix/2/fader")
        turning.expect(r"^  That is no pair: a number goes from 1 to 2, and")
        desk.turn("/mix/3/fader")
        turning.expect(r"^  So it is /mix/\{mix\}/fader")
        turning.type("again")
        turning.expect(r"^Hands off")
        work_to(turning, "Mix 1: turn the fader")
        turning.type("?")
        turning.expect(r"^  Enter: I turned it\. skip: ")
        turning.type("nonsense")
        turning.expect(r"^  Enter: I turned it\.")
        turning.type("done")
        assert turning.wait() == 1
    assert not (tmp_path / "turned.json").exists()
    assert "Nothing was found, and nothing written." in turning.text()


def one_fader(desk, turning):
    """Finds the fader of the mix, up to its law."""
    work_to(turning, "Mix 1: turn the fader")
    desk.turn("/mix/1/fader")
    turning.expect(r"^Mix 3: turn the fader")
    desk.turn("/mix/3/fader")
    for value, shown in ((0.0, "off"), (0.2, "-40"), (0.4, "-20"), (0.5, "-10"), (0.7, "0"), (1.0, "10")):
        turning.expect(r"^Mix 3: ")
        desk.put("/mix/3/fader", value)
        turning.expect(r"^  it sends ")
        turning.type(shown)
    turning.expect(r"^  Kept: mix.fader is /mix/\{mix\}/fader")


@pytest.mark.parametrize("how", ["Ctrl-C", "the end of what is typed", "a signal", "done"])
def test_however_it_ends_what_was_found_is_kept(tmp_path, how):
    with Stage(chatter=False) as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        one_fader(desk, turning)
        if how == "done":
            turning.type("done")
            status = turning.wait()
        else:
            status = turning.end({"Ctrl-C": signal.SIGINT, "a signal": signal.SIGTERM}.get(how))
    assert status == 1
    assert "1 control found. The profile is in" in flat(turning.text())
    assert read_json(tmp_path / "turned.json")["laws"]["mix.fader"]["line"][-1] == [1, 10]
    assert run("check", tmp_path / "turned.json").status == 0


def test_it_goes_on_where_it_ended(tmp_path):
    """Counts, renewals and what was found are in the file: none of it is asked for again."""
    path = tmp_path / "turned.json"
    with Stage(chatter=False) as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        one_fader(desk, turning)
        assert turning.end() == 1
        second = Turning("--desk", desk.at, "--yes", "--turn", path)
        second.expect(r"^Hands off")
        work_to(second, "Mix 1: change the label.")
        desk.put("/mix/1/name", "Ann", "s")
        second.expect(r"^Mix 3: change the label\.")
        desk.put("/mix/3/name", "Bob", "s")
        second.expect(r"^  Kept: mix.name is /mix/\{mix\}/name")
        second.end()
    assert "How many" not in second.text()
    assert "the fader" not in second.text().partition("Input 1: turn the fader")[0]
    assert [entry["answer"][1]["is"] for entry in read_json(path)["values"]] == ["mix.fader", "mix.name"]


def test_a_law_that_was_to_be_found_is_found(tmp_path):
    """The profile to start from of plain listening has the address; turning gives the law."""
    path = tmp_path / "turned.json"
    with Stage(chatter=False) as desk:
        listener = Turning("--desk", desk.at, "--ask=/stay", "--yes", "--save", path, "--for", "1.5")
        for mix in (1, 2, 3):
            desk.put(f"/mix/{mix}/fader", 0.5)
        listener.wait()
        assert read_json(path)["values"][0]["answer"][1]["law"] == "to be found: mix.fader"
        turning = Turning("--desk", desk.at, "--yes", "--turn", path)
        for _ in range(4):
            turning.expect(r"^How many (groups|bands)")
            turning.type(0)
        one_fader(desk, turning)
        turning.end()
    profile = read_json(path)
    assert [entry["answer"][1] for entry in profile["values"]] == [{"is": "mix.fader", "law": "mix.fader"}]


def test_a_law_that_is_none_leaves_the_value_not_known(tmp_path):
    with Stage(chatter=False) as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        work_to(turning, "Mix 1: turn the fader")
        desk.turn("/mix/1/fader")
        turning.expect(r"^Mix 3: turn the fader")
        desk.turn("/mix/3/fader")
        turning.expect(r"^Mix 3: turn it all the way down")
        turning.type("very low")
        turning.expect(r"^  A number as the desk shows it")
        turning.type("-60")
        turning.type("skip")
        turning.expect(r"^  No law: two positions that differ are needed\. ")
        turning.expect(r"^  Kept: mix.fader")
        turning.end()
    assert "A law is still to be found, and the value not known until then: mix.fader." in flat(turning.text())
    assert run("check", tmp_path / "turned.json").status == 0


def test_nothing_is_asked_without_ask(tmp_path):
    """What is sent is the message that was agreed to, and with --ask the addresses that were found, without arguments."""
    for words, allowed in ((), {osc.message("/stay")}), (("--ask",), {osc.message("/stay"), osc.message("/mix/1/fader")}):
        folder = tmp_path / str(len(words))
        folder.mkdir()
        with Stage(chatter=False) as desk:
            turning = begin(folder, desk, *words, counts={"input": 1, "mix": 3})
            one_fader(desk, turning)
            turning.end()
            assert {heard.data for heard in desk.heard} == allowed
        assert ("was not tried" in flat(turning.text())) == (not words)


def test_a_desk_that_says_nothing(tmp_path):
    with OwnDesk(lambda desk, heard: None) as desk:
        turning = begin(tmp_path, desk, counts={"input": 1, "mix": 1})
        turning.expect(r"^Input 1, send to mix 1: ")
        turning.type()
        turning.expect(r"^  The desk says nothing at all, so nothing can be found\.")
        turning.end()


def test_what_is_typed_may_be_anything(tmp_path):
    with Stage(chatter=False) as desk:
        turning = Turning("--desk", desk.at, "--ask=/stay", "--yes", "--turn", tmp_path / "turned.json")
        turning.expect(r"^What do you call the desk\?$")
        turning.type("\x1b[2J\u202e" + "x" * 5000)
        for wrong in ("many", "-1", "0", "513", "1e2", ""):
            turning.expect(r"^How many inputs")
            turning.type(wrong)
        turning.expect(r"^  A whole number from 1 to 512, please\.")
        turning.end()
        one = begin(tmp_path, desk, counts={"input": 1, "mix": 3})
        one_fader(desk, one)
        one.end()
    assert "\x1b" not in turning.text()


def test_what_it_cannot_describe_is_said(tmp_path):
    """A text of several fields, a blob, a desk that tells only the channel in hand, letters: each in words."""
    with Stage(chatter=False) as desk:
        turning = begin(tmp_path, desk, counts={"input": 3, "mix": 3})
        work_to(turning, "Input 1, send to mix 1: turn the level")
        for at in ("/to/1/1", "/to/3/2"):
            for level in ("ch=1 lv=-3", "ch=1 lv=-2", "ch=1 lv=-1"):
                desk.put(at, level, "s")
            turning.type()
        turning.expect(r"^  No law can be found: it comes in a text that is more than a number\.")
        work_to(turning, "Mix 1: turn the fader")
        for at in ("/mix/1/all", "/mix/3/all"):
            for byte in (b"abcd", b"abce", b"abcf"):
                desk.put(at, byte, "b")
            turning.type()
        turning.expect(r"^  No law can be found: it comes in a blob\.")
        work_to(turning, "Input 1: turn the preamp gain")
        desk.turn("/selected/gain")
        work_to(turning, "Input 3: turn the preamp gain")
        desk.turn("/selected/gain")
        turning.expect(r"^  That is no pair: nothing in what came says which input it is\.")
        turning.type("skip")
        work_to(turning, "Mix 1: switch the limiter")
        desk.turn("/mix/A/limit", 0, 1, 0, 1)
        work_to(turning, "Mix 3: switch the limiter")
        desk.turn("/mix/C/limit", 0, 1, 0, 1)
        turning.expect(r"^  That is no pair: /mix/A/limit and /mix/C/limit differ in more than")
        turning.end()


@pytest.mark.parametrize("words, told", [
    (("--turn", "x", SHOW), "--turn takes --desk, and no show file"),
    (("--turn", PROFILE, "--profile", PROFILE), "goes on with its FILE"),
    (("--turn", "x", "--save", "y"), "--turn keeps its own"),
])
def test_wrong_words(words, told):
    result = run("listen", "--desk", "127.0.0.1:9", *words, agree=False)

    assert result.status == 2 and told in flat(result.err)
