# SPDX-License-Identifier: MIT
"""The board as others look at it: html-validate, Tidy, axe-core, the layout as Chromium made it, at the sizes of two
tablets and a phone, dark and light, with the screen's light turned down, and on desks whose labels mean harm."""
import html.parser
import re

import pytest

import pages
from board_rig import FOLDER, MIX, RING_OUT, TILES, Stub, desk, facts, finding, shown, shut_all, tile
from test_report_html import HOSTILE

DIM = 0.3  # of the screen's light

LOST = desk(show="Second yard", link={"state": "lost", "says": "lost", "heard_ms": 61000, "lost": True,
                                      "since": "21:36:07"})
CALM = desk(show="Third yard", now=[], open={"stop": 0, "fix": 0, "note": 0, "held_back": 0}, changed=[], held=[],
            tiles=[{**one, "weight": "none", "word": "right"} for one in TILES])


def many():
    kinds = (("stop", "STOP"), ("fix", "fix 12"), ("note", "note 3"), ("none", "right"), ("none", "not known"))
    return desk(tiles=[tile(number, f"Wedge of a long name {number}", weight=kinds[number % 5][0],
                            word=kinds[number % 5][1], lines=["master +6 since 21:36 (was 0)", "9 cuts"])
                       for number in range(1, 65)],
                now=[finding(number, weight, fresh=number < 1) for number, weight in enumerate(("stop", "fix", "note", "note"))])


NAMES = [*HOSTILE, "W" * 60, "\u202eright to left"]


def hostile():
    """Every text that can hold a label holds one that would break a page that takes it for more than text."""
    name = NAMES.__getitem__
    return desk(show=name(0), room=name(1)[:40],
                now=[finding(number, where=one, cure=one, says=one, hidden=one, seen={"by": one, "at": "21:37"})
                     for number, one in enumerate(NAMES[:3])],
                tiles=[tile(number + 1, one, player=one, margin=one, lines=[one, one], limiter="limiter not known")
                       for number, one in enumerate(NAMES)],
                changed=[{"at": "21:37:05", "arrow": "up", "what": one, "now": one} for one in NAMES],
                held=NAMES, not_known=NAMES, proved=NAMES, quieted=NAMES, approved=name(0),
                told=[{"at_ms": 1, "at": "21:37:05", "says": one} for one in NAMES])


OPEN = "for (const one of document.querySelectorAll('details')) one.open = true;"
ALONE = "document.querySelector('main').style.visibility = 'hidden';"  # a dialog lies over it on purpose
ALL, TWO = ("wide", "high", "phone"), ("wide", "phone")
LOOKS = {  # name: (facts, what is done on the tablet, screens)
    "evening": (facts(), OPEN, ALL),
    "light": (facts(), "document.getElementById('light').click();" + OPEN, TWO),
    "calm": (facts(CALM), "", ("high",)),
    "stale": (facts(LOST), "", TWO),
    "64 mixes": (facts(many()), "document.getElementById('now-more').click()", ("high",)),
    "three desks": (facts(desk(), LOST, CALM), "", TWO),
    "one of three": (facts(desk(), LOST, CALM), "location.hash = '#desk-0'", ("high",)),
    "ring-out": (facts(ring_out=RING_OUT), "", ALL),
    "urgent": (facts(ring_out={**RING_OUT, "urgent": True}), "document.getElementById('light').click()", TWO),
    "hostile": (facts(hostile()), OPEN, TWO),
    "hostile desks": (facts(hostile(), LOST), "", ("phone",)),
    "a mix": (facts(), ALONE + "document.querySelector('[data-mix]').click()", TWO),
    "who": (facts(), ALONE + "document.querySelector('[data-part=seen]').click()", TWO),
}


@pytest.fixture(name="stub")
def one_stub():
    stub = Stub(facts())
    stub.say(mix=MIX)
    yield stub
    shut_all()
    stub.kill()


TEMPLATE = re.compile(r'<template id="([\w-]+)">(.*?)</template>\n', re.S)
AROUND = {"<li": "<ul>{}</ul>", "<tr": "<table><tbody>{}</tbody></table>", "<di": "{}"}
BARE = '<!DOCTYPE html>\n<html lang="en">\n<head><title>A template</title></head>\n<body>{}</body>\n</html>\n'


def test_the_source_has_no_fault(tmp_path):
    """Tidy knows no templates: it sees each where it is used and with the texts it gets, and the page without them."""
    page = FOLDER / "board.html"
    found = pages.ask(200, do="source", files=[str(page)])
    assert [(one["rule"], one["what"], one["places"]) for one in found] == []
    templates = TEMPLATE.findall(page.read_text())
    assert len(templates) == page.read_text().count("<template") > 5
    (tmp_path / "page.html").write_text(TEMPLATE.sub("", page.read_text()))
    for name, inside in templates:
        filled = re.sub(r'(data-part="\w+")></', r"\1>text</", inside).replace('class="hatch" aria-hidden="true">', ">x")
        (tmp_path / f"{name}.html").write_text(BARE.format(AROUND[inside[:3]].format(filled)))
    assert [str(one) for file in sorted(tmp_path.iterdir()) for one in pages.tidy(file)] == []


@pytest.mark.limit(60)
@pytest.mark.parametrize("name", LOOKS)
def test_nobody_finds_fault(stub, name):
    """Contrast as WCAG 2.2 (1.4.3) has it, with all of the screen's light and with 30 % of it."""
    told, script, screens = LOOKS[name]
    stub.say(facts=told)
    for screen in screens:
        tablet = shown(stub, screen)
        tablet.run(script)
        if name == "a mix":
            tablet.until_text("#mix-equaliser", "315 Hz")
        found = tablet.faults() + tablet.faults(DIM)
        assert found == [] and tablet.errors() == [], (screen, name)


def test_borders_are_seen(stub):
    """WCAG 2.2, 1.4.11: what shows a state stands out 3 to 1, also with 30 % of the light."""
    tablet = shown(stub)
    for _ in ("dark", "light"):
        edges = tablet.run("""["1", "2", "3", "6", "8"].map((mix) => {
            const style = getComputedStyle(document.querySelector(`[data-mix="${mix}"]`));
            return [style.borderLeftColor, style.backgroundColor, getComputedStyle(document.body).backgroundColor]
                .map((one) => one.match(/[\\d.]+/g).map(Number)); })""")
        for edge, inside, outside in edges:
            assert contrast(edge, inside) >= 3 and contrast(edge, outside) >= 3, (edge, inside, outside)
        tablet.click("#light")


def luminance(colour):
    """WCAG 2.2, relative luminance."""
    red, green, blue = (one / 255 / 12.92 if one / 255 <= 0.04045 else ((one / 255 + 0.055) / 1.055) ** 2.4
                        for one in colour[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    dark, light = sorted(DIM * luminance(colour) for colour in (one, other))
    return (light + 0.05) / (dark + 0.05)


def test_hostile_labels_are_text_and_nothing_else(stub):
    stub.say(facts=facts(hostile()), mix={**MIX, "name": NAMES[0], "player": NAMES[1], "rings": NAMES, "stage": NAMES})
    tablet = shown(stub)
    tablet.run(OPEN)
    elements = tablet.run("[...new Set([...document.body.querySelectorAll('*')].map((one) => one.localName))].sort()")
    plain = shown(stub)
    stub.say(facts=facts())
    plain.until_text("#show", "Lantern Yard")
    assert elements == plain.run(
        "[...new Set([...document.body.querySelectorAll('*')].map((one) => one.localName))].sort()")
    stub.say(facts=facts(hostile()))
    tablet.until(f"document.querySelectorAll('.tile').length === {len(NAMES)}")
    assert tablet.run("[...document.querySelectorAll('.tile-name bdi')].map((one) => one.textContent)") == NAMES
    tablet.run("document.querySelector('[data-mix]').click()")
    tablet.until("document.querySelectorAll('#mix-rings li').length > 0")
    assert tablet.run("[...document.querySelectorAll('#mix-rings bdi')].map((one) => one.textContent)") == NAMES
    assert tablet.errors() == []
    assert {one.split("/")[3].split("?")[0] for one in tablet.asked()} == {
        "", "board.css", "board.js", "enter", "events", "mix"}


class Inside(html.parser.HTMLParser):
    """What a page holds that its policy refuses."""

    def __init__(self, text):
        super().__init__()
        self.refused = []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        names = dict(attributes)
        if tag == "style" or tag == "script" and "src" not in names:
            self.refused.append(tag)
        self.refused += [name for name in names if name == "style" or name.startswith("on")]
        self.refused += [names[name] for name in ("src", "href") if not (names.get(name) or "/").startswith(("/", "#", "data:,"))]


def test_the_page_has_neither_script_nor_style_inside():
    assert Inside('<p style="color:red" onclick="x()"><script>x()</script><a href="http://x/">x</a>').refused == [
        "style", "onclick", "script", "http://x/"]
    assert Inside((FOLDER / "board.html").read_text()).refused == []


def test_scripts_put_in_nothing_but_text():
    for file in FOLDER.glob("*.js"):
        text = file.read_text()
        for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", "srcdoc"):
            assert way not in text, (file.name, way)
