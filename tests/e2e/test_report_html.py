# SPDX-License-Identifier: MIT
"""The page: what its pictures say, read back out of the file and worked out again from the saved desk.

Curves: SciPy, as in tests/cross/test_filters_scipy.py, with band centres from IEC 61260-1:2014 (base ten) and
widths from R. Bristow-Johnson's Audio EQ Cookbook (BW form). Preamps and sends: sums of the saved desk's own values.
Losses at the lowest note: 10 log10(1 + (corner / f)^(2 n)), with SciPy's analogue Butterworth.
"""
import html.parser
import math
import re
import select
import socket
import sys
import threading

import pytest
from scipy import signal

import osc
from test_audit_demo import mended, mended_stage
from harness import PLAN, PROFILE, ROOT, SHOW, STATE, MockDesk, read_json, run, write_json

sys.path.insert(0, str(ROOT / "tests" / "cross"))
import test_filters_scipy as scipy_filters  # noqa: E402

OFF = None


class Node:
    def __init__(self, tag, attributes, parent):
        self.tag, self.attributes, self.parent = tag, dict(attributes), parent
        self.children, self.words = [], []

    def all(self, tag, kind=None):
        for child in self.children:
            if child.tag == tag and (kind is None or kind in child.attributes.get("class", "").split()):
                yield child
            yield from child.all(tag, kind)

    def one(self, tag, kind=None):
        found = list(self.all(tag, kind))
        assert len(found) == 1, (tag, kind, len(found))
        return found[0]

    def text(self):
        return "".join(one if isinstance(one, str) else one.text() for one in self.words)


class Page(html.parser.HTMLParser):
    """The file as a tree; every element closes in its own place."""

    VOID = {"meta", "br", "hr", "input"}

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.root = self.at = Node("", [], None)
        self.feed(text)
        self.close()
        assert self.at is self.root, self.at.tag

    def handle_starttag(self, tag, attributes):
        node = Node(tag, attributes, self.at)
        self.at.children.append(node)
        self.at.words.append(node)
        if tag not in self.VOID:
            self.at = node

    def handle_startendtag(self, tag, attributes):
        self.handle_starttag(tag, attributes)
        self.at = self.root if self.at is None else self.at.parent

    def handle_endtag(self, tag):
        assert self.at.tag == tag, (tag, self.at.tag)
        self.at = self.at.parent

    def handle_data(self, text):
        self.at.words.append(text)


def page_of(folder, state=STATE, words=(SHOW,)):
    """(page, text, saved desk) of a desk."""
    desk = MockDesk(state=state)
    saved = folder / "saved.json"
    result = run("audit", *words, "--desk", desk.at, "--save", saved)
    assert result.status in (0, 1, 3), result.err
    result = run("audit", *words, "--saved", saved, "--format", "html")
    desk.stop()
    assert result.err == ""
    return Page(result.out).root, result.out, read_json(saved)


@pytest.fixture(scope="module", name="demo")
def demo_page(tmp_path_factory):
    return page_of(tmp_path_factory.mktemp("demo"))


def values(state, name):
    return state["values"][name]["values"]


def pair(node, name):
    return [float(word) for word in node.attributes["data-" + name].split()]


def points(line):
    return [tuple(float(number) for number in pair_.split(",")) for pair_ in line.attributes["points"].split()]


def reader(svg, name_from, name_to, logarithmic=False):
    """What a place in the picture stands for."""
    (low, high), (begin, end) = pair(svg, name_from), pair(svg, name_to)

    def read(place):
        share = (place - begin) / (end - begin)
        return low * (high / low) ** share if logarithmic else low + (high - low) * share
    return read


# ---- curves ----

def width_q(hz, octaves, rate):
    w0 = 2 * math.pi * hz / rate
    return 1 / (2 * math.sinh(math.log(2) / 2 * octaves * w0 / math.sin(w0)))


def reference(state, mix, places):
    rate = state["filters"]["rate_hz"]
    response = scipy_filters.Reference(rate, places)
    for band, gain in enumerate(values(state, "mix.graphic.band.gain")[mix]):
        centre = 1000 * 10 ** ((band - 17) / 10)
        if gain != 0 and values(state, "mix.graphic.on")[mix]:
            response.add("peak", centre, gain, width_q(centre, 1 / 3, rate))
    for band in range(state["counts"]["mix.eq.band"]):
        gain = values(state, "mix.eq.band.gain")[mix][band]
        if gain != 0 and values(state, "mix.eq.on")[mix]:
            response.add("peak", values(state, "mix.eq.band.freq")[mix][band], gain,
                         values(state, "mix.eq.band.q")[mix][band])
    if values(state, "mix.high_pass.on")[mix]:
        order = round(values(state, "mix.high_pass.slope")[mix] / 6)
        response.add_high_pass(order, values(state, "mix.high_pass.freq")[mix])
    return response.db


def equalisers(root):
    return {int(svg.attributes["data-mix"]) - 1: svg for svg in root.all("svg") if "data-mix" in svg.attributes}


def scales(svg):
    return reader(svg, "hz", "x", logarithmic=True), reader(svg, "db", "y")


def on_the_scale(db):
    """What lies beyond the one scale of all pictures stands at its edge."""
    return min(max(db, -18), 12)


def test_the_curves_are_those_of_scipy(demo):
    root, _, state = demo
    curves = equalisers(root)
    assert list(curves) == [0, 1, 2, 3, 4, 5]
    deepest = 0
    for mix, svg in curves.items():
        assert pair(svg, "db") == [-18, 12]
        hz, db = scales(svg)
        places = [(hz(x), db(y)) for x, y in points(svg.one("polyline", "curve"))]
        assert len(places) >= 121 and places[0][0] == pytest.approx(20, rel=1e-3)
        assert places[-1][0] == pytest.approx(20000, rel=1e-3)
        expected = reference(state, mix, [one for one, _ in places])
        for (place, drawn), wanted in zip(places, expected):
            # a hundredth of a unit is 0.013 % of a frequency and 0.003 dB; the steepest slope here is a 12 dB cut
            assert drawn == pytest.approx(on_the_scale(wanted), abs=0.03), (svg.attributes["aria-label"], place)
        deepest = min(deepest, min(expected))
    assert deepest < -12
    flat = [one for one in root.all("bdi") if one.attributes.get("id", "").startswith("mix-")]
    assert [one.text() for one in flat] == ["7 Bass IEM", "8 Drums IEM"]


def test_a_stem_is_a_band_as_it_is_set(demo):
    root, _, state = demo
    count = 0
    for mix, svg in equalisers(root).items():
        hz, db = scales(svg)
        stems = []
        for path in svg.all("path", "stem"):
            x, zero, top = map(float, re.fullmatch(r"M(\S+) (\S+)V(\S+)", path.attributes["d"]).groups())
            assert db(zero) == pytest.approx(0, abs=0.01)
            stems.append((hz(x), db(top)))
        gains = values(state, "mix.graphic.band.gain")[mix] if values(state, "mix.graphic.on")[mix] else []
        wanted = [(1000 * 10 ** ((band - 17) / 10), gain) for band, gain in enumerate(gains) if gain != 0]
        if values(state, "mix.eq.on")[mix]:
            wanted += [(values(state, "mix.eq.band.freq")[mix][band], gain)
                       for band, gain in enumerate(values(state, "mix.eq.band.gain")[mix]) if gain != 0]
        assert len(stems) == len(wanted)
        for (place, drawn), (centre, gain) in zip(stems, wanted):
            assert place == pytest.approx(centre, rel=1e-3) and drawn == pytest.approx(on_the_scale(gain), abs=0.01)
        figures = [one.text() for one in root.all("li") if any(svg is found for found in one.all("svg"))][0]
        for _, gain in wanted:
            assert f"Hz {gain:g}".replace("-", "\u2212") in figures
        count += len(stems)
    assert count > 30


def test_what_the_high_pass_takes_is_grey(demo):
    root, _, state = demo
    grounds = 0
    for mix, svg in equalisers(root).items():
        ground = list(svg.all("polygon", "ground"))
        assert bool(ground) == values(state, "mix.high_pass.on")[mix]
        if not ground:
            continue
        hz, db = scales(svg)
        (_, top), *places = [(hz(x), db(y)) for x, y in points(ground[0])]
        assert top == pytest.approx(0, abs=0.01)
        response = scipy_filters.Reference(state["filters"]["rate_hz"], [one for one, _ in places])
        response.add_high_pass(round(values(state, "mix.high_pass.slope")[mix] / 6),
                               values(state, "mix.high_pass.freq")[mix])
        for (place, drawn), wanted in zip(places, response.db):
            assert drawn == pytest.approx(on_the_scale(wanted), abs=0.03), place
        assert places[-1][1] > -0.15
        grounds += 1
    assert grounds >= 3


def told_losses(root):
    """{mix: dB for speech} of the findings that say so."""
    told = {}
    for item in root.all("li"):
        match = re.search(r"[mM]ix (\d+) .*turned the mix down by ([\d.]+) dB for speech", item.text().replace("\n", " "))
        if match:
            told[int(match[1])] = -float(match[2])
    return told


# ---- where preamp gain goes ----

def path_parts(state, number, mix):
    """[preamp, fader, send, master] of a path, or None when it is off."""
    send = values(state, "send.level")[number][mix]
    on = values(state, "send.on")[number][mix] if "send.on" in state["values"] else True
    master = values(state, "mix.fader")[mix]
    if not on or "-inf" in (send, master):
        return OFF
    fader = 0
    tap = values(state, "send.tap")[number][mix]
    if tap == "post-fader":
        fader = values(state, "input.fader")[number]
        groups = values(state, "input.group")[number]
        fader += sum(values(state, "group.fader")[at] for at, member in enumerate(groups) if member)
    if tap != "pre-eq" and values(state, "input.comp.on")[number]:
        fader += values(state, "input.comp.makeup")[number]
    preamp = (values(state, "input.preamp_gain")[number] - values(state, "input.pad")[number]
              + values(state, "input.trim")[number])
    trim = values(state, "mix.trim")[mix] if "mix.trim" in state["values"] else 0
    return [preamp, fader, send, master + trim]


def unused(state, number):
    """What every open path takes away again, and the preamp can give back above its lower end of -4 dB."""
    gain, pad = values(state, "input.preamp_gain")[number], values(state, "input.pad")[number]
    behind = [sum(path) - gain + pad for mix in range(8) if (path := path_parts(state, number, mix))]
    return max(0, min(-max(behind), gain + 4))


def own_of(state, show, number):
    """The mix of the input's player, or None."""
    player = show["inputs"][str(number + 1)].get("player")
    mixes = [mix for mix in range(8) if player and show["mixes"][str(mix + 1)].get("player") == player]
    assert len(mixes) <= 1
    return mixes[0] if mixes else None


def test_where_preamp_gain_goes(demo):
    root, _, state = demo
    show, shown, folded = read_json(SHOW), *root.all("table", "preamps")
    rows = [row for table in (shown, folded) for row in table.one("tbody").all("tr")]
    assert len(rows) == 24
    given = []
    for row in rows:
        bar, passes = row.all("svg")
        number, read = int(bar.attributes["data-input"]) - 1, reader(bar, "db", "x")
        gain, spare = values(state, "input.preamp_gain")[number], unused(state, number)
        cells = [cell.text() for cell in row.children]
        assert cells[0] == f"{number + 1} {values(state, 'input.name')[number]}"
        assert float(cells[2]) == pytest.approx(spare, abs=0.051) and float(cells[3]) == pytest.approx(gain, abs=0.051)
        used = bar.one("rect", "used")
        ends = [float(used.attributes["x"]), float(used.attributes["x"]) + float(used.attributes["width"])]
        assert [read(end) for end in ends] == pytest.approx([0, gain - spare], abs=0.01)
        hatched = list(bar.all("rect", "unused"))
        assert bool(hatched) == (spare >= 0.05) == bool(list(bar.all("path", "hatch")))
        for box in hatched:
            begin, width = float(box.attributes["x"]), float(box.attributes["width"])
            assert [read(begin), read(begin + width)] == pytest.approx([gain - spare, gain], abs=0.01)
            strokes = [float(x) for x in re.findall(r"[ML]([\d.]+) ", bar.one("path", "hatch").attributes["d"])]
            assert all(begin - 0.01 <= x <= begin + width + 0.01 for x in strokes)
        own = own_of(state, show, number)
        if own is None:
            assert cells[4] == "\u2013"
        else:
            send, mix = cells[4].rstrip(")").split(" (")
            assert int(mix) == own + 1
            assert number_of(send) == pytest.approx(values(state, "send.level")[number][own], abs=0.051)
        check_high_pass(state, number, passes, cells[6])
        given.append(spare)
    assert given == sorted(given, reverse=True)
    count = len(list(shown.one("tbody").all("tr")))
    assert given[count - 1] >= 2 > given[count] and count == 6
    assert len({tuple(pair(next(row.all("svg")), "db")) for row in rows}) == 1


def check_high_pass(state, number, svg, words):
    """The thick line at the corner, and what it takes off the lowest note by SciPy's analogue Butterworth."""
    on, corner = values(state, "input.high_pass.on")[number], values(state, "input.high_pass.freq")[number]
    lines = list(svg.all("path", "corner"))
    assert bool(lines) == on and words.startswith("off") != on
    if not on:
        return
    x = float(re.match(r"M(\S+) 0V", lines[0].attributes["d"])[1])
    assert reader(svg, "hz", "x", logarithmic=True)(x) == pytest.approx(corner, rel=1e-3)
    assert float(words.split(" ")[0]) == pytest.approx(corner, abs=0.051)
    match = re.search(r"lowest note ([\d.]+) Hz, ([\d.]+) dB off it", words)
    if not match:
        return
    lowest, loss = map(float, match.groups())
    order = round(values(state, "input.high_pass.slope")[number] / 6)
    b, a = signal.butter(order, 2 * math.pi * corner, "highpass", analog=True)
    _, h = signal.freqs(b, a, [2 * math.pi * lowest])
    # the lowest note is printed to a tenth of a Hz
    assert loss == pytest.approx(-20 * math.log10(abs(h[0])), abs=0.2)


def test_the_usual_corners_stand_behind_the_corner(demo):
    """About 500 Hz at most for a hi-hat, 150 for an acoustic guitar: Using high-pass filters, prosoundweb.com."""
    root, _, _ = demo
    found = {}
    for row in (row for table in root.all("table", "preamps") for row in table.one("tbody").all("tr")):
        _, svg = row.all("svg")
        read = reader(svg, "hz", "x", logarithmic=True)
        for box in svg.all("rect", "usual"):
            x = float(box.attributes["x"])
            found[row.children[0].text()] = (read(x), read(x + float(box.attributes["width"])))
    assert found["5 Hat"] == pytest.approx((150, 500), rel=2e-3)
    assert found["15 Acoustic"] == pytest.approx((80, 150), rel=2e-3)
    assert "1 Kick In" not in found and len(found) == 16


# ---- sends ----

def test_the_sends_stand_against_the_players_own(demo):
    root, _, state = demo
    show, counted = read_json(SHOW), 0
    relative, absolute = (rows_of(root, kind) for kind in ("sends", "gains"))
    assert len(relative) == len(absolute) == 24
    for number, (row, gains) in enumerate(zip(relative, absolute)):
        paths = [path_parts(state, number, mix) for mix in range(8)]
        sums = [sum(path) if path else OFF for path in paths]
        own = own_of(state, show, number)
        measure = own if own is not None else max((mix for mix in range(8) if sums[mix] is not OFF),
                                                  key=lambda mix: sums[mix])
        for mix, (cell, gain) in enumerate(zip(row.all("td"), gains.all("td"))):
            kinds, text = cell.attributes["class"].split(), cell.text()
            if sums[mix] is OFF:
                assert text == gain.text() == "off"
                continue
            assert number_of(gain.text()) == pytest.approx(sums[mix], abs=0.051)
            if mix == measure:
                assert text == ("0 own send" if own is not None else "0 loudest")
                assert ("own" in kinds) == (own is not None)
                continue
            off = sums[mix] - sums[measure]
            assert number_of(text) == pytest.approx(off, abs=0.051) and (off < 0.05 or text[0] == "+")
            step = min(3, math.ceil(abs(off) / 6 - 0.01))
            assert [one for one in kinds if re.match("up|down", one)] == (
                [f"{'up' if off > 0 else 'down'}-{step}"] if step else []), (number, mix, off)
            counted += 1
    assert counted > 60


# ---- the head ----

def head_of(root):
    header = root.one("header")
    return header.one("h1").text(), [one.text() for one in header.all("span", "badge")], header.text()


def test_the_title_says_what_is_worst(demo):
    root, _, state = demo
    title, badges, header = head_of(root)
    assert title == "Not ready: mix 8 Drums IEM has no limiter."
    assert badges == ["1 stop", "5 to fix before doors", "10 to know"]
    count = sum(known(one["values"]) for one in state["values"].values() if one["supplied"] != "absent")
    assert f"Ostrel Barn, Saturday \u00b7 Barn monitor desk \u00b7 {state['at'][:16].replace('T', ' ')} \u00b7 " \
           f"everything heard ({count} values)" in header
    assert "Do first: mix 8 Drums IEM: packs down, then the limiter on" in header
    classes = [one.attributes["class"] for one in root.one("header").all("span", "badge")]
    assert classes == ["badge stop", "badge fix", "badge note"]


def known(stored):
    return sum(map(known, stored)) if isinstance(stored, list) else 1


def test_a_desk_where_all_is_right_is_ready(tmp_path):
    root, _, _ = page_of(tmp_path, write_json(tmp_path / "state.json", mended()), [mended_stage(tmp_path)])
    title, badges, header = head_of(root)
    assert title == "Ready: nothing to stop or fix." and badges == ["no findings"]
    assert "Do first" not in header and not list(root.all("li", "step"))
    assert {row.children[1].text() for row in rows_of(root, "mixes")} == {"right"}
    check_links(root)
    assert "No findings." in root.text()


def test_a_note_hurries_nobody(tmp_path):
    state = mended()
    state["inputs"][15]["send_levels"][3] = 4
    root, _, _ = page_of(tmp_path, write_json(tmp_path / "state.json", state), [mended_stage(tmp_path)])
    title, badges, header = head_of(root)
    assert title == "Ready: nothing to stop or fix." and badges == ["1 to know"] and "Do first" not in header
    assert rows_of(root, "mixes")[3].children[1].text() == "right"


def bare(inputs, mixes):
    for mix in mixes[6:]:
        mix["limiter"]["on"] = False


WORST = [  # what is done to a desk where all is right, and what its title says then
    (lambda inputs, mixes: mixes[7]["limiter"].update(on=False), "mix 8 Drums IEM has no limiter"),
    (bare, "mix 7 Bass IEM has no limiter, and 1 more to stop"),
    (lambda inputs, mixes: mixes[0].update(fader=-9), "mix 1 Ld Vox wedge has its master at \u22129 dB"),
    (lambda inputs, mixes: mixes[0].update(fader=3.5), "mix 1 Ld Vox wedge has its master at +3.5 dB"),
    (lambda inputs, mixes: inputs[4]["high_pass"].update(on=False), "input 5 Hat has no high-pass"),
]


@pytest.mark.parametrize("break_it, says", WORST, ids=[says for _, says in WORST])
def test_the_title_of_each_kind(tmp_path, break_it, says):
    state = mended()
    break_it(state["inputs"], state["mixes"])
    root, _, _ = page_of(tmp_path, write_json(tmp_path / "state.json", state))
    assert head_of(root)[0] == f"Not ready: {says}."


# ---- the mixes ----

def rows_of(root, kind):
    return list(root.one("table", kind).one("tbody").all("tr"))


def number_of(text):
    return float(text.replace("\u2212", "-").replace(" dB", ""))


LINES = {"bass", "keys", "playback"}  # of the demo's sources: no microphones


def open_sends(state, show, mix):
    """The sends of the open microphones, dB, as open-microphones explains it."""
    sends = []
    for at in range(state["counts"]["input"]):
        send = values(state, "send.level")[at][mix]
        if values(state, "input.mute")[at] or not values(state, "send.on")[at][mix] or send == "-inf":
            continue
        if values(state, "send.tap")[at][mix] == "post-fader":
            send += values(state, "input.fader")[at]
        if send > -40 and show["inputs"][str(at + 1)]["source"] not in LINES:
            sends.append(send)
    return sends


def test_the_mixes_are_those_of_the_desk(demo):
    root, _, state = demo
    show, told = read_json(SHOW), told_losses(root)
    rows = rows_of(root, "mixes")
    assert len(rows) == 8
    for mix, row in enumerate(rows):
        cells = [cell.text() for cell in row.children]
        feeds = show["mixes"][str(mix + 1)]["feeds"]
        assert cells[0] == f"{mix + 1} {values(state, 'mix.name')[mix]}"
        assert cells[3] == ("ears" if feeds == "in-ear" else feeds)
        assert number_of(cells[4].split(" ")[0]) == pytest.approx(values(state, "mix.fader")[mix], abs=0.051)
        gains = values(state, "mix.graphic.band.gain")[mix]
        cuts = [gain for below, gain in zip([0, *gains], gains) if gain < 0 <= below]  # neighbours make one dip
        assert cells[5] == (str(len(cuts)) if cuts else "\u2013")
        bar = row.one("svg", "bar")
        taken = [float(rect.attributes["width"]) for rect in bar.all("rect", "taken")]
        assert bool(taken) == bool(cuts) == bool(cells[7])
        if cuts:
            assert reader(bar, "db", "x")(taken[0]) == pytest.approx(-number_of(cells[7]), abs=0.08)
        if mix + 1 in told:
            assert number_of(cells[7]) == pytest.approx(told[mix + 1], abs=0.051)
        if feeds == "in-ear":
            assert cells[8] == ""
            continue
        sends = open_sends(state, show, mix)
        count, sum_db = re.fullmatch(r"(\d+) \(([+\d.]+)\)", cells[8]).groups()
        assert int(count) == len(sends)
        power = sum(10 ** ((send - max(sends)) / 10) for send in sends)
        assert float(sum_db) == pytest.approx(10 * math.log10(power), abs=0.051)
    assert [row.children[1].text() for row in rows] == [
        "1 note", "1 fix", "1 fix", "1 note", "2 note", "right", "right", "1 stop"]
    assert [row.children[2].text() for row in rows] == [""] * 6 + ["limiter on", "NO LIMITER"]
    assert rows[4].children[4].text() == "+1.5 \u2713 accepted" and rows[2].children[4].one("b").text() == "\u22128"


# ---- order, words, hostile names ----

def test_the_verdict_first_then_the_mixes_then_what_to_do(demo):
    root, text, _ = demo
    order = [node.attributes["id"] for node in root.all("section") if "id" in node.attributes]
    assert order[:11] == ["mixes", "do", "to-know", "preamps", "sends", "equalisers", "stage", "cards", "right",
                         "not-known", "accepted"]
    assert "hearing" in text and "qualified person" in text


def test_the_same_findings_as_the_other_forms(demo):
    root, _, _ = demo
    desk = MockDesk()
    report = run("audit", SHOW, "--desk", desk.at, "--format", "json").json()
    listed = [*root.all("div", "finding"), *root.all("li", "finding")]
    assert len(listed) == len(report["findings"])
    page = root.one("section", "players").text() + "".join(one.text() for one in listed)
    for one in report["findings"]:
        assert one["says"] in page and (one["card"] or one["do"] in page)


def test_what_to_do_stands_in_order(demo):
    root, _, _ = demo
    steps = list(root.all("li", "step"))
    assert [step.one("b", "act").text() for step in steps] == [
        "mix 8 Drums IEM: packs down, then the limiter on",
        "input 18 Ld Vox: preamp 42 \u2192 28, compressor threshold \u221216 \u2192 \u221230, 7 sends up 14 dB",
        "input 5 Hat: high-pass ON",
        "input 20 BV 2: high-pass ON",
        "mix 2 Gtr wedge: preamps down, then shallow cuts out",
        "mix 3 Keys wedge: put the master back",
        "input 15 Acoustic: preamp 36 \u2192 28, 6 sends up 8 dB",
        "input 16 Trumpet: 5 sends down 5 dB, preamp 22 \u2192 27",
        "input 19 BV 1: high-pass corner 40 Hz \u2192 100 Hz",
        "mix 1 Ld Vox wedge: 2 sends down 5 dB, 2 taps post-fader \u2192 pre-fader"]
    weights = [step.attributes["class"].split("at-")[1] for step in steps]
    assert weights == ["stop"] + ["fix"] * 5 + ["note"] * 4
    assert all(step.one("label").one("input").attributes["type"] == "checkbox" for step in steps)
    # whoever does the first one reads all of it there: packs before the limiter
    assert "turn the packs down first. Then the limiter on" in steps[0].one("p", "how").text()


def test_the_cards_are_those_of_the_other_forms(demo):
    root, _, _ = demo
    desk = MockDesk()
    report = run("retrim", SHOW, "--desk", desk.at, "--format", "json").json()
    cards = list(root.one("ul", "cards").children)
    assert len(cards) == len(report["cards"]) == 7
    for shown, card in zip(cards, report["cards"]):
        rows = list(shown.one("tbody").all("tr"))
        assert len(rows) == len(card["moves"]) == len(list(shown.all("input")))
        for row, move in zip(rows, card["moves"]):
            now, to = (cell.text() for cell in row.all("td"))
            for text, value in ((now, move["now"]), (to, move["set_to"])):
                if isinstance(value, (int, float)) and not isinstance(value, bool):
                    assert number_of(text.removesuffix(" Hz")) == pytest.approx(value, abs=0.051)
                else:
                    assert text == {True: "on", False: "off"}.get(value, value)


def test_a_players_page_has_its_instructions_in_order(demo):
    root, _, _ = demo
    players = {one.one("h3").text(): one for one in root.all("section", "player")}
    assert list(players)[0] == "drums"  # the stop comes first
    steps = [item.text() for item in players["keys"].one("ol").all("li")]
    assert len(steps) == 2 and steps[0].startswith("mix 3 Keys wedge: ") and "input 20" in steps[1]
    assert "Listens to mix 2 Gtr wedge" in players["guitar"].text()
    # whole in itself: whose sheet it is, when it was read, and what a card sets
    reading = root.one("header").one("p", "reading").text()
    for name, player in players.items():
        assert player.one("p", "reading").text() == reading, name
    assert "preamp4228" in players["lead vocal"].text() and "href=\"#card" not in players["lead vocal"].text()
    check_links(root)


def check_links(root):
    ids = {node.attributes["id"] for tag in ("section", "figure", "li", "tr", "bdi") for node in root.all(tag)
           if "id" in node.attributes}
    for link in root.all("a"):
        assert link.attributes["href"][1:] in ids, link.attributes


def test_nothing_is_fetched_and_nothing_runs(demo):
    _, text, _ = demo
    assert not re.search(r"<script|<link|<img|<iframe|url\(|@import|javascript:|https?:|\son\w+=", text)


HOSTILE = ["<script>alert(1)</script>", "\"><svg onload=x>", "it's & <b>", "\u202ereversed\u202c",
           "\u05e9\u05dc\u05d5\u05dd \u05e2\u05d5\u05dc\u05dd", "\U0001f3a4\U0001f3b8\U0001f941", "a\u0301" * 20,
           "x" * 63, "\u4e2d\u6587" * 10, "]]>--><!--", "&amp;&#60;", " "]


def test_hostile_names_come_out_as_text(tmp_path):
    state = read_json(STATE)
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    for number, name in enumerate(HOSTILE):
        state["inputs"][number]["name"] = name
        show["inputs"][str(number + 1)]["player"] = name[:40].strip() or "p"
        state["mixes"][number % 8]["name"] = name
    for mix in show["mixes"].values():
        mix.pop("player", None)
    root, text, _ = page_of(tmp_path, write_json(tmp_path / "state.json", state),
                            (write_json(tmp_path / "show.json", show),))
    assert not list(root.all("script")) and "<b>" not in [one.text() for one in root.all("b")]
    for node in root.all("svg"):
        assert "onload" not in node.attributes
    assert "<script>alert(1)</script>" in root.text()
    assert "\u202e" not in text and "\u05e9\u05dc\u05d5\u05dd" in text and "\U0001f3a4" in text


class LongNames(threading.Thread):
    """Stands between the desk and who asks it; every label it passes on is 10,000 letters long."""

    def __init__(self, desk):
        super().__init__(daemon=True)
        self.front = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.front.bind(("127.0.0.1", 0))
        self.back = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.back.connect((desk.host, desk.port))
        self.at = "127.0.0.1:%d" % self.front.getsockname()[1]
        self.passed = 0
        self.start()

    def run(self):
        asker = None
        while True:
            ready, _, _ = select.select([self.front, self.back], [], [], 5)
            if not ready:
                return
            for end in ready:
                data, source = end.recvfrom(65536)
                if end is self.front:
                    asker = source
                    self.back.send(data)
                    continue
                address = data.split(b"\0")[0].decode()
                if address.endswith("/name"):
                    data = osc.message(address, "s", "x" * 10000)
                    self.passed += 1
                self.front.sendto(data, asker)


def test_names_of_ten_thousand_letters(tmp_path):
    relay = LongNames(MockDesk())
    result = run("audit", SHOW, "--desk", relay.at, "--format", "html")
    assert relay.passed >= 32 and result.status == 1
    root = Page(result.out).root
    assert "x" * 63 in result.out and "x" * 64 not in result.out
    assert len(rows_of(root, "sends")) == 24


def test_a_silent_desk_is_a_page_that_says_so(tmp_path):
    result = run("audit", SHOW, "--desk", "127.0.0.1:9", "--within", "1", "--format", "html")
    assert result.status == 3
    root = Page(result.out).root
    assert "The desk was never heard" in root.text()
    assert len(rows_of(root, "sends")) == 24
    assert not list(root.all("polyline"))
    assert "Not known (" in root.text()
    title, badges, _ = head_of(root)
    unheard = re.fullmatch(r"Not judged: (\d+) of (\d+) values were not heard\.", title)
    assert unheard[1] == unheard[2] and int(unheard[1]) > 1403 and badges[0].endswith(" not known")
    assert all(row.children[1].text() == "not known" for row in rows_of(root, "mixes"))
    assert "Not known: 1, 2, 3, 4, 5, 6, 7, 8." in root.text()
    check_links(root)


def test_sends_are_compared_whatever_is_known_of_the_preamps(tmp_path):
    """What lies before the sends is the same for all of them; the path from the socket is not known then."""
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if one.get("is") != "input.preamp_gain"]
    show = read_json(SHOW)
    show["desk"].update(profile=str(write_json(tmp_path / "profile.json", profile)), stage=str(PLAN))
    root, _, state = page_of(tmp_path, words=(write_json(tmp_path / "show.json", show),))
    assert "input.preamp_gain" not in state["values"]
    relative, absolute = (rows_of(root, kind)[17] for kind in ("sends", "gains"))
    assert [cell.text() for cell in relative.all("td")] == [
        "0 own send", "\u22126", "\u221214", "\u22126", "\u22120.5", "off", "\u22124", "\u22124"]
    assert [cell.text() for cell in absolute.all("td")] == ["?"] * 5 + ["off"] + ["?"] * 2


def test_what_the_profile_lacks_and_what_was_turned_down(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if one.get("is") not in ("input.pad", "mix.trim")]
    desk = MockDesk(garbage="0.2")
    page = run("audit", "--profile", write_json(tmp_path / "p.json", profile), "--desk", desk.at, "--format",
               "html").out
    text = Page(page).root.text()
    assert "Taken as absent, because the profile does not name them: input.pad, input.delay, mix.trim, mix.delay." in text
    assert re.search(r"Refused: ([a-z-]+ \d+( \([^()]+\))?(, )?)+\.", text)


def test_a_retrim_is_its_cards_alone(demo):
    root, _, _ = demo
    desk = MockDesk()
    result = run("retrim", SHOW, "--desk", desk.at, "--format", "html")
    assert (result.status, result.err) == (1, "")
    alone = Page(result.out).root
    assert alone.one("h1").text() == "7 cards to set."
    assert [one.attributes["id"] for one in alone.all("section")] == ["cards"]
    cards = [one for one in root.all("section") if one.attributes.get("id") == "cards"]
    assert alone.one("section").text() == cards[0].text()
    assert "damage hearing" in alone.text()
    nothing = run("retrim", SHOW, "--desk", "127.0.0.1:9", "--within", "0.5", "--format", "html")
    assert nothing.status == 3 and "The desk was never heard" in nothing.out
    assert re.fullmatch(r"Not judged: (\d+) of \1 values were not heard\.", Page(nothing.out).root.one("h1").text())


def test_what_was_checked_and_right(demo):
    root, text, _ = demo
    desk = MockDesk()
    report = run("audit", SHOW, "--desk", desk.at, "--format", "json").json()
    said = {one.text() for one in root.one("ul", "checked").all("li")}
    # the demo: hi-hat and BV 2 have no high-pass; mixes 3 (a finding) and 5 (accepted) are off 0 dB; mix 8 is bare
    assert {"High-pass on: 14 of 16 inputs that want one", "Master at 0 dB: 6 of 8 mixes",
            "A limiter that protects: 1 of 2 in-ear mixes"} <= said
    # ids stand in what is folded alone
    ids = {one["check"] for one in report["findings"]}
    seen = text[text.index("<main>"):]
    while "<details" in seen:
        seen = seen[:seen.index("<details")] + seen[seen.index("</details>") + len("</details>"):]
    assert ids and not [one for one in ids if one in seen]
