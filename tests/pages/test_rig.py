# SPDX-License-Identifier: MIT
"""The rig itself: good pages pass, and each planted fault is found by exactly the checks that are for it."""
import contextlib
import os
import pathlib
import signal
import socket
import struct
from typing import NamedTuple

import pytest

import pages
from harness import until

HERE = pathlib.Path(__file__).resolve().parent
GOOD = HERE / "good.html"
ODD = HERE / "odd.html"  # what might be taken for a fault, and is none

SOURCE = ("source",)
PHONE = ("390 light", "390 dark")
DARK = ("390 dark", "820 dark", "1280 dark")
EVERY = ("390 light", "390 dark", "820 light", "820 dark", "1280 light", "1280 dark")
LOADED = ("390", "820", "1280")


class Fault(NamedTuple):
    old: str  # what it takes the place of in the good page
    new: str
    found: set  # {(by, rule, looks)}


IMAGE = "data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA="
QUIET = '<p class="quiet">Written by hand, for the rig that looks at pages.</p>'

FAULTS = {
    "no-alt": Fault("<td>off</td>", f'<td><img width="1" height="1" src="{IMAGE}"></td>', {
        ("axe", "image-alt", EVERY), ("html-validate", "wcag/h37", SOURCE),
        ("tidy", '<img> lacks "alt" attribute', SOURCE)}),
    "drawing-without-words": Fault(
        '<title id="ladder-title">Input 1 has 30 dB of preamp gain, input 2 has 42 dB</title>', "", {
            ("axe", "svg-img-alt", EVERY)}),
    "faint-when-dark": Fault("--quiet: #aaa", "--quiet: #444", {
        ("axe", "color-contrast", DARK), ("layout", "contrast", DARK)}),
    "faint-drawing-when-dark": Fault(
        "svg rect {", "@media (prefers-color-scheme: dark) { svg text { fill: #555; } }\nsvg rect {", {
            ("layout", "contrast", DARK)}),
    "faint-on-its-own-ground": Fault("td, th {", "p.quiet { background: #777; color: #888; }\ntd, th {", {
        ("axe", "color-contrast", EVERY), ("layout", "contrast", EVERY)}),
    "figure-on-its-bar": Fault('x="210" y="28"', 'x="150" y="28"', {("layout", "contrast", EVERY)}),
    "bar-over-its-figure": Fault(
        '<text x="258" y="68">42 dB</text>',
        '<text x="258" y="68">42 dB</text>\n<rect x="250" y="50" width="60" height="24"></rect>', {
            ("layout", "covered", EVERY)}),
    "wide-on-the-phone": Fault(
        "td, th {", "table { width: 500px; }\n.narrow { overflow-x: visible; }\ntd, th {", {
            ("layout", "wide", PHONE)}),
    "no-viewport": Fault(
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n', "", {
            ("layout", "wide", PHONE)}),
    "text-on-text": Fault('x="210" y="28"', 'x="30" y="28"', {("layout", "overlap", EVERY)}),
    "text-cut": Fault('x="258" y="68"', 'x="300" y="68"', {("layout", "cut", EVERY)}),
    "tiny-on-the-phone": Fault(
        'width="320" height="90" viewBox="0 0 320 90"', 'width="600" height="90" viewBox="0 0 600 90"', {
            ("layout", "tiny", PHONE)}),
    "image-from-outside": Fault(
        "<td>off</td>", '<td><img width="1" height="1" alt="off" src="http://SERVER/off.png"></td>', {
            ("outside", "request", LOADED), ("outside", "address", SOURCE)}),
    "paper-from-outside": Fault(
        "@media print {", "@media print { body { background: url(http://SERVER/paper.png); }", {
            ("outside", "address", SOURCE)}),
    "broken-nesting": Fault(QUIET, "<p>Written by hand<div>for the rig</div></p>", {
        ("html-validate", "no-implicit-close", SOURCE), ("html-validate", "close-order", SOURCE),
        ("tidy", "inserting implicit <p>", SOURCE), ("tidy", "trimming empty <p>", SOURCE)}),
    "no-such-element": Fault(QUIET, "<p><quiet>Written by hand.</quiet></p>", {
        ("html-validate", "element-name", SOURCE), ("tidy", "<quiet> is not recognized!", SOURCE),
        ("tidy", "discarding unexpected <quiet>", SOURCE),
        ("tidy", "discarding unexpected </quiet>", SOURCE)}),
    "same-id-twice": Fault("<h1>", '<h1 id="sends">', {
        ("html-validate", "no-dup-id", SOURCE),
        ("tidy", '<h2> anchor "sends" already defined', SOURCE)}),
    "script-error": Fault("</main>", "</main>\n<script>nothing.there();</script>", {
        ("console", "error", LOADED)}),
    "script-needed": Fault(
        "</main>", '</main>\n<script>document.querySelector("h1").textContent = "Three";</script>', {
            ("script", "needed", ("no scripts",))}),
}


def changed(path, old, new, page=GOOD):
    text = page.read_text()
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new))
    return path


# ---- checks ----

@pytest.fixture(scope="module")
def server():
    """Where a page might fetch something; nobody may come."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.setblocking(False)
        yield listening


@pytest.fixture(scope="module")
def found(server, tmp_path_factory):
    """{name: problems} of the good pages and of each fault's, all in one call."""
    folder = tmp_path_factory.mktemp("faults")
    address = "{}:{}".format(*server.getsockname())
    paths = {name: changed(folder / f"{name}.html", fault.old, fault.new.replace("SERVER", address))
             for name, fault in FAULTS.items()}
    long = changed(folder / "long.html", "LONG", 10000 * "W", page=ODD)
    every = [GOOD, ODD, long, *paths.values()]
    problems = pages.check(every)
    return {path.stem: [one for one in problems if one.page == str(path)] for path in every}


@pytest.mark.parametrize("name", ["good", "odd", "long"])
def test_a_good_page_has_no_problem(found, name):
    assert found[name] == []


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_found(found, name):
    told = "\n".join(map(str, found[name]))
    assert {(one.by, one.rule, one.looks) for one in found[name]} == FAULTS[name].found, told
    assert all(one.places and f"{name}.html: {one.by} {one.rule} (" in str(one) for one in found[name])


def test_places_are_told(found):
    places = {name: found[name][0].places for name in ("wide-on-the-phone", "text-on-text", "figure-on-its-bar")}
    assert places == {"wide-on-the-phone": ("table",), "text-on-text": ('"input 1" and "30 dB"',),
                      "figure-on-its-bar": ('"30 dB"',)}


def test_nothing_is_fetched(found, server):
    asked = [place for one in found["image-from-outside"] for place in one.places]
    assert asked == ["http://{}:{}/off.png".format(*server.getsockname())] * 2
    with pytest.raises(BlockingIOError):
        server.accept()


# ---- pictures and print ----

def size_of(picture):
    """Width and height, from the head of a PNG file (RFC 2083, 4.1.1)."""
    head = picture.read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n" and head[12:16] == b"IHDR"
    return struct.unpack(">II", head[16:24])


def test_pictures(tmp_path):
    made = {path.name: path for path in pages.screenshots(GOOD, tmp_path / "new")}
    looks = [f"good-{width}-{scheme}.png" for width in (390, 820, 1280) for scheme in ("light", "dark")]
    assert list(made) == looks + ["good-print-1.png", "good-print-2.png"]
    assert [size_of(made[name])[0] for name in looks] == [390, 390, 820, 820, 1280, 1280]
    for light, dark in zip(looks[::2], looks[1::2]):
        assert made[light].read_bytes() != made[dark].read_bytes()


def test_a_high_page_becomes_several_pictures(tmp_path):
    path = changed(tmp_path / "high.html", "</style>", "main { height: 9000px; }\n</style>")
    sizes = [size_of(one) for one in pages.screenshots(path, tmp_path) if "-390-dark-" in one.name]
    assert [height for _, height in sizes[:2]] == [4000, 4000] and 1000 <= sizes[2][1] < 1200
    assert len(sizes) == 3


def test_print():
    printed = pages.pdf(GOOD)
    assert printed.pages == 2 and printed.all_a4()
    first, second = printed.text.split("\f")[:2]
    assert "42 dB" in first and "Lead vocal" in second and "Lead vocal" not in first


def test_other_paper_is_told(tmp_path):
    path = changed(tmp_path / "a3.html", "size: A4", "size: A3")
    printed = pages.pdf(path)
    assert printed.sizes == ((297, 420),) * 2 and not printed.all_a4()


def test_print_is_without_scripts(tmp_path):
    fault = FAULTS["script-needed"]
    text = pages.pdf(changed(tmp_path / "script.html", fault.old, fault.new)).text
    assert "Two inputs" in text and "Three" not in text


# ---- ends, good and bad ----

def test_a_page_that_is_not_there(tmp_path):
    with pytest.raises(pages.Trouble, match="nowhere.html: no such page"):
        pages.check([tmp_path / "nowhere.html"])
    assert pages.pdf(GOOD).pages == 2


def test_a_page_that_never_comes_to_rest(tmp_path):
    path = changed(tmp_path / "endless.html", "</main>", "</main>\n<script>for (;;) { }</script>")
    assert pages.pdf(GOOD).pages == 2
    browser = pages.current
    assert browser.left()
    with pytest.raises(pages.Trouble, match="did not answer within 2 s"):
        pages.check([path], limit_s=2)
    assert browser.left() == [] and not os.path.exists(browser.folder.name)
    assert pages.pdf(GOOD).pages == 2 and pages.current is not browser


def test_a_browser_that_is_gone():
    assert pages.pdf(GOOD).pages == 2
    browser = pages.current
    for pid in browser.left():
        if pid != browser.popen.pid:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
    with pytest.raises(pages.Trouble, match="has ended"):
        pages.pdf(GOOD)
    assert browser.left() == [] and pages.pdf(GOOD).pages == 2


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGKILL])
def test_a_driver_that_is_ended_takes_its_browser_along(number):
    assert pages.pdf(GOOD).pages == 2
    browser = pages.current
    assert len(browser.left()) > 2
    browser.popen.send_signal(number)
    until(lambda: browser.popen.poll() is not None and not browser.left(), what="the browser's end")
    with pytest.raises(pages.Trouble, match="has ended"):
        pages.pdf(GOOD)
    assert browser.left() == [] and not os.path.exists(browser.folder.name)


def test_nothing_stays_after_the_end():
    assert pages.pdf(GOOD).pages == 2
    browser = pages.current
    pages.close()
    assert browser.popen.returncode == 0
    assert browser.left() == [] and not os.path.exists(browser.folder.name)
