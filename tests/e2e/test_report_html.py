# SPDX-License-Identifier: MIT
"""The page: what its pictures say, read back out of the file and worked out again from the saved desk.

Curves: SciPy, as in tests/cross/test_filters_scipy.py, with band centres from IEC 61260-1:2014 (base ten) and
widths from R. Bristow-Johnson's Audio EQ Cookbook (BW form). Ladders and matrix: sums of the saved desk's own values.
Losses at the lowest note: 10 log10(1 + (corner / f)^(2 n)), with SciPy's analogue Butterworth.
"""
import html.parser
import math
import re
import select
import socket
import sys
import threading

import numpy
import pytest
from scipy import signal

import osc
from harness import PROFILE, ROOT, SHOW, STATE, MockDesk, read_json, run, write_json

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

    VOID = {"meta", "br", "hr"}

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


def test_the_curves_are_those_of_scipy(demo):
    root, _, state = demo
    curves = list(root.all("svg"))
    curves = [svg for svg in curves if "data-hz" in svg.attributes and "data-mix" in svg.attributes]
    assert [int(svg.attributes["data-mix"]) for svg in curves] == list(range(1, 9))
    deepest = 0
    for svg in curves:
        hz, db = reader(svg, "hz", "x", logarithmic=True), reader(svg, "db", "y")
        places = [(hz(x), db(y)) for x, y in points(svg.one("polyline", "curve"))]
        assert len(places) >= 121 and places[0][0] == pytest.approx(20, rel=1e-3)
        assert places[-1][0] == pytest.approx(20000, rel=1e-3)
        expected = reference(state, int(svg.attributes["data-mix"]) - 1, [one for one, _ in places])
        foot = pair(svg, "db")[0]
        for (place, drawn), wanted in zip(places, expected):
            # a hundredth of a unit is 0.013 % of a frequency and 0.003 dB; the steepest slope here is a 12 dB cut
            assert drawn == pytest.approx(max(wanted, foot), abs=0.03), (svg.attributes["aria-label"], place)
        deepest = min(deepest, min(expected))
    assert deepest < -12


def test_the_line_of_the_loss_stands_where_the_audit_says(demo):
    """The loss by the standard speech spectrum is checked against its table in tests/unit/sound/cuts_level.c."""
    root, _, state = demo
    told = {}
    for item in (item for listed in root.all("ol", "findings") for item in listed.children):
        match = re.search(r"mix (\d+) .*turned the mix down by ([\d.]+) dB for speech", item.text())
        if match:
            told[int(match[1])] = -float(match[2])
    assert set(told) == {2, 4}
    for svg in root.all("svg"):
        mix = int(svg.attributes.get("data-mix", 0))
        if "data-hz" in svg.attributes and mix in told:
            y = float(re.match(r"M\S+ (\S+)H", svg.one("path", "loss").attributes["d"])[1])
            assert reader(svg, "db", "y")(y) == pytest.approx(told[mix], abs=0.055)
            cuts = [gain for gain in values(state, "mix.graphic.band.gain")[mix - 1] if gain < 0]
            assert len(list(svg.all("path", "cut"))) == len(cuts)


# ---- ladders ----

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


def test_the_ladders_climb_as_the_desk_is_set(demo):
    root, _, state = demo
    ladders = [svg for svg in root.all("svg") if "data-input" in svg.attributes]
    assert len(ladders) == 24
    tops = set()
    for svg in ladders:
        number, mix = int(svg.attributes["data-input"]) - 1, int(svg.attributes["data-mix"]) - 1
        paths = [path_parts(state, number, other) for other in range(8)]
        loudest = max(sum(path) for path in paths if path)
        assert sum(paths[mix]) == pytest.approx(loudest)
        expected = numpy.cumsum([0, *paths[mix]])
        read = reader(svg, "db", "y")
        corners = [read(y) for _, y in points(svg.one("polyline", "level"))]
        assert corners[::2] == pytest.approx(expected, abs=0.01)
        assert corners[1::2] == pytest.approx(expected, abs=0.01)
        unity = float(re.match(r"M\S+ (\S+)H", svg.one("path", "unity").attributes["d"])[1])
        assert read(unity) == pytest.approx(expected[1], abs=0.01)
        for box in svg.all("rect", "away"):
            assert float(box.attributes["height"]) > 0
        given = expected[1] - expected[4]
        boxes = list(svg.all("rect", "away"))
        assert bool(boxes) == any(level < expected[1] - 0.001 for level in expected[2:])
        if given > 0.05:
            assert f"{given:g} dB given away" in svg.attributes["aria-label"]
        tops.add(tuple(pair(svg, "db")))
    assert len(tops) == 1  # all to one scale


def test_the_matrix_holds_every_path_gain(demo):
    root, _, state = demo
    players = read_json(SHOW)
    rows = list(root.one("table", "matrix").one("tbody").all("tr"))
    assert len(rows) == 24
    own = 0
    for number, row in enumerate(rows):
        cells = list(row.all("td"))
        assert len(cells) == 8
        for mix, cell in enumerate(cells):
            path = path_parts(state, number, mix)
            text = cell.text().replace("\u2212", "-")
            mine = (players["inputs"][str(number + 1)].get("player") is not None and
                    players["inputs"][str(number + 1)]["player"] == players["mixes"][str(mix + 1)].get("player"))
            assert ("own" in cell.attributes["class"].split()) == mine == text.endswith(" own send")
            own += mine
            text = text.removesuffix(" own send")
            if path is OFF:
                assert text == "off"
            else:
                assert float(text) == pytest.approx(sum(path), abs=0.0501)
    assert own > 10


# ---- high-passes ----

def test_the_losses_at_the_lowest_notes(demo):
    root, _, state = demo
    rows = [row for row in root.all("g") if "data-input" in row.attributes]
    assert len(rows) == 24
    compared = 0
    for row in rows:
        number = int(row.attributes["data-input"]) - 1
        title = row.one("title").text()
        assert ("high-pass off" in title) == (not values(state, "input.high_pass.on")[number])
        match = re.search(r"high-pass at ([\d.]+) Hz, (?:lowest note|body) ([\d.]+) Hz, ([\d.]+) dB off it", title)
        if not match:
            continue
        corner, lowest, loss = map(float, match.groups())
        assert corner == pytest.approx(values(state, "input.high_pass.freq")[number], abs=0.051)
        order = round(values(state, "input.high_pass.slope")[number] / 6)
        b, a = signal.butter(order, 2 * math.pi * values(state, "input.high_pass.freq")[number], "highpass",
                             analog=True)
        _, h = signal.freqs(b, a, [2 * math.pi * lowest])
        # the lowest note is printed to a tenth of a Hz
        assert loss == pytest.approx(-20 * math.log10(abs(h[0])), abs=0.2)
        compared += 1
    assert compared > 8


# ---- order, words, hostile names ----

def test_findings_first_then_the_unknown_then_what_is_right(demo):
    root, text, _ = demo
    order = [node.attributes["id"] for node in root.all("section") if "id" in node.attributes]
    assert order[:5] == ["findings", "cards", "accepted", "not-known", "right"]
    assert re.findall(r"<h3 class=\"(\w+)\">", text) == ["stop", "fix", "note"]
    assert "hearing" in text and "qualified person" in text


def test_the_same_findings_as_the_other_forms(demo):
    root, _, _ = demo
    desk = MockDesk()
    report = run("audit", SHOW, "--desk", desk.at, "--format", "json").json()
    listed = [item for ol in root.all("ol", "findings") for item in ol.children]
    assert len(listed) == len(report["findings"])
    page = root.text()
    for one in report["findings"]:
        assert one["says"] in page and one["do"] in page


def test_a_players_page_has_its_instructions_in_order(demo):
    root, _, _ = demo
    players = {one.one("h3").text(): one for one in root.all("section", "player")}
    assert list(players)[0] == "drums"  # the stop comes first
    steps = [item.text() for item in players["keys"].one("ol").all("li")]
    assert len(steps) == 2 and steps[0].startswith("mix 3 Keys wedge: ") and "input 20" in steps[1]
    assert "Listens to mix 2 Gtr wedge" in players["guitar"].text()
    ids = {node.attributes["id"] for tag in ("section", "figure") for node in root.all(tag)
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
    show["desk"]["profile"] = str(PROFILE)
    for number, name in enumerate(HOSTILE):
        state["inputs"][number]["name"] = name
        show["inputs"][str(number + 1)]["player"] = name[:40].strip() or "p"
        state["mixes"][number % 8]["name"] = name
    for mix in show["mixes"].values():
        mix.pop("player", None)
    root, text, _ = page_of(tmp_path, write_json(tmp_path / "state.json", state),
                            (write_json(tmp_path / "show.json", show),))
    assert not list(root.all("script")) and not list(root.all("b", "x"))
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
    assert len(list(root.one("table", "matrix").one("tbody").all("tr"))) == 24
    # where there is no room, a label is cut and says so
    rows = [row for row in root.all("g") if "data-input" in row.attributes]
    assert all(next(row.all("text")).text().endswith("x\u2026") for row in rows)


def test_a_silent_desk_is_a_page_that_says_so(tmp_path):
    result = run("audit", SHOW, "--desk", "127.0.0.1:9", "--within", "1", "--format", "html")
    assert result.status == 3
    root = Page(result.out).root
    assert "The desk was never heard" in root.text()
    assert len(list(root.one("table", "matrix").one("tbody").all("tr"))) == 24
    assert not list(root.all("polyline"))
    assert "Not known (" in root.text()


def test_what_the_profile_lacks_and_what_was_turned_down(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if one.get("is") not in ("input.pad", "mix.trim")]
    desk = MockDesk(garbage="0.2")
    page = run("audit", "--profile", write_json(tmp_path / "p.json", profile), "--desk", desk.at, "--format",
               "html").out
    text = Page(page).root.text()
    assert "Taken as absent, because the profile does not name them: input.pad, mix.trim." in text
    assert re.search(r"Refused: ([a-z-]+ \d+(, )?)+\.", text)


def test_html_is_for_the_audit(tmp_path):
    result = run("retrim", SHOW, "--format", "html")
    assert (result.status, result.err) == (2, "gainwarden: --format=html: allowed are text and json\n")
