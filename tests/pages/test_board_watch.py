# SPDX-License-Identifier: MIT
"""The board of the real watch in Chromium, beside a mock desk: what moves on the wire, what hands press, what breaks."""
import re
import signal

import pytest

from board_rig import STALE, Cable, Tablet, shut_all
from harness import MockDesk, begin_watch, demo_show, fader_wire, own_port, read_json, run, started, until, write_json, STATE
from test_report_html import HOSTILE

SEND, LIMITER = "/in/18/to/1/level", "/mix/7/limit/on"


class Evening:
    def __init__(self, folder, state=STATE, show=None):
        self.desk = MockDesk(state=state)
        self.keep = folder / "keep"
        self.show = show or demo_show(folder)
        self.port, self.cables = own_port(), []
        self.begin()

    def begin(self):
        """On the port it had before."""
        self.watch, _ = begin_watch(self.desk, "--keep", self.keep, f"--board=127.0.0.1:{self.port}", show=self.show)
        self.watch.expect(rf"the board is at http://127\.0\.0\.1:{self.port}/")
        links = run("board", self.show, "--keep", self.keep)
        self.look, self.operate = re.findall(r"http://\S+", links.out)

    def tablet(self, screen="wide", link=None):
        """With an address of its own."""
        self.cables.append(Cable(self.port, f"127.0.0.{2 + len(self.cables)}"))
        tablet = Tablet((link or self.operate).replace(f":{self.port}/", f":{self.cables[-1].port}/"), screen)
        tablet.until("document.querySelectorAll('.tile').length === 8")
        return tablet

    def end(self):
        shut_all()
        for cable in self.cables:
            cable.close()

    def move(self, db, address=SEND):
        self.desk.move(address, "f", fader_wire(db))

    def switch(self, is_on, address=LIMITER):
        self.desk.move(address, "i", is_on)


@pytest.fixture(name="evening")
def one_evening(tmp_path):
    evening = Evening(tmp_path)
    yield evening
    evening.end()


def entry(tablet, *words):
    """A script: the first entry of Now with all these words; for other scripts to go on with."""
    tests = " && ".join(f"one.textContent.includes({word!r})" for word in words)
    return f"[...document.querySelectorAll('#now .finding')].find((one) => {tests})"


def press(tablet, button, *words):
    tablet.until(entry(tablet, *words))
    tablet.run(f"({entry(tablet, *words)}).id = 'pressed'")
    tablet.click(f"#pressed [data-part={button}]")
    tablet.run("document.getElementById('pressed')?.removeAttribute('id')")


def all_shown(tablet):
    """All of Now, not only what stands in large letters."""
    tablet.until("!document.getElementById('now-more').hidden")
    if not tablet.text("#now-more").startswith("Show less"):
        tablet.click("#now-more")


@pytest.mark.limit(60)
def test_a_scripted_evening(evening):
    first, second = evening.tablet(), evening.tablet("phone")
    for tablet in (first, second):
        tablet.run("localStorage.setItem('gainwarden-name', 'Mo')")
        all_shown(tablet)
    assert first.text("[data-mix='8'] .word").strip() == "STOP" and "NO LIMITER" in first.text("[data-mix='8']")
    assert "limiter on" in first.text("[data-mix='7']")
    # a leap: number and cure on every tablet, the tile, the list of what changed
    evening.move(10)
    for tablet in (first, second):
        tablet.until(entry(tablet, "+24 dB", "Ld Vox", "Put it back to -14"))
        tablet.until_text("[data-mix='1'] .word", "JUMP")
    first.until_text("#changed", "-14")
    # seen on one is seen on all
    press(first, "seen", "+24 dB", "Ld Vox")
    second.until(entry(second, "+24 dB", "seen by Mo at "))
    # put back: over
    evening.move(-14)
    for tablet in (first, second):
        tablet.until(f"!({entry(tablet, '+24 dB', 'Ld Vox')})")
    first.until_text("#changed", "ended after")
    # ears lose their limiter: a stop, which was meant only when that is pressed twice
    evening.switch(0)
    first.until_text("[data-mix='7']", "NO LIMITER")
    first.until_text("[data-mix='7'] .word", "STOP")
    press(first, "meant", "mix 7 Bass IEM")
    first.until(entry(first, "mix 7 Bass IEM", "Press again: it was meant"))
    again = f"({entry(first, 'mix 7 Bass IEM', 'Press again')})?.querySelector('[data-part=meant]').click()"
    until(lambda: first.run(again) or first.text("#quieted-box"), what="the second press")  # one too soon is none
    first.click("#quieted-title")
    second.until("document.getElementById('quieted').textContent.includes('Mo')")
    assert "NO LIMITER" in first.text("[data-mix='7']")  # it is still true
    evening.switch(1)
    first.until_text("[data-mix='7']", "limiter on")
    # the room, a mix, the desk
    assert run("room", evening.show, "show", "--keep", evening.keep).status == 0
    first.until_text("#room", "SHOW")
    first.run("document.querySelector(\"[data-mix='2']\").click()")
    first.until_text("#mix-equaliser", "-12 dB")
    first.until("document.querySelectorAll('#mix-sends tr').length > 3")
    first.keys("Escape")
    port = evening.desk.port
    evening.desk.stop()
    first.until_text("#stale", "the watch does not hear the desk", timeout=30)
    evening.desk = MockDesk(port=port)
    first.until(f"!({STALE})", timeout=30)
    assert [one for one in first.errors() if "409 (Conflict)" not in one] + second.errors() == []


@pytest.mark.limit(60)
def test_a_restart_keeps_the_order_and_tells_what_was_missed(evening):
    tablet = evening.tablet()
    tablet.run("localStorage.setItem('gainwarden-name', 'Mo')")
    all_shown(tablet)
    press(tablet, "seen", "mix 8 Drums IEM")
    tablet.until(f"!({entry(tablet, 'mix 8 Drums IEM')})")  # it is no news, and seen
    tablet.run("window.held = [...document.querySelectorAll('.tile')]")
    evening.watch.kill()
    started.remove(evening.watch)  # it did not end well, and was not to
    tablet.until(STALE)
    assert tablet.text("#stale").startswith("STALE since ")
    evening.switch(0)
    evening.begin()
    tablet.until(f"!({STALE})")
    tablet.until_text("#missed", "The watch was started again meanwhile.")
    assert tablet.run("window.held.every((one, at) => one === document.querySelectorAll('.tile')[at])")
    tablet.until_text("[data-mix='7']", "NO LIMITER")
    again = evening.tablet("high")
    all_shown(again)
    again.until(entry(again, "mix 2 Gtr wedge"))
    again.until(f"!({entry(again, 'mix 8 Drums IEM')}) || {entry(again, 'mix 8 Drums IEM', 'seen by Mo at ')}")


def test_a_watch_that_is_suspended(evening):
    tablet = evening.tablet()
    evening.watch.popen.send_signal(signal.SIGSTOP)
    tablet.until(STALE)
    assert tablet.text("#stale").endswith("this board does not hear the watch")
    evening.watch.popen.send_signal(signal.SIGCONT)
    tablet.until(f"!({STALE})")


def test_a_cable_that_is_pulled(evening):
    tablet = evening.tablet()
    evening.cables[0].pull()
    tablet.until(STALE)
    evening.switch(0)
    evening.cables[0].plug()
    tablet.until_text("[data-mix='7']", "NO LIMITER")
    tablet.until(f"!({STALE})")


@pytest.mark.limit(60)
def test_three_tablets_and_a_phone_at_once(evening):
    tablets = [evening.tablet(screen) for screen in ("wide", "high", "wide", "phone")]
    evening.switch(0)
    for tablet in tablets:
        tablet.until_text("[data-mix='7']", "NO LIMITER")
    evening.switch(1)
    for tablet in tablets:
        tablet.until_text("[data-mix='7']", "limiter on")
        tablet.until(f"!({STALE})")  # a machine that stands still makes a board that does for a moment
        assert tablet.errors() == []


def test_a_look_link_presses_nothing(evening):
    tablet = evening.tablet(link=evening.look)
    assert tablet.texts(".press button") == []
    status = tablet.run("""fetch("/seen", { method: "POST", headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ desk: 0, finding: "x", who: "Mo" }) }).then((answer) => answer.status)""")
    assert status == 403


@pytest.mark.limit(60)
def test_nobody_finds_fault(evening):
    tablet = evening.tablet()
    evening.move(10)
    all_shown(tablet)
    tablet.until(entry(tablet, "+24 dB", "Ld Vox"))
    assert tablet.faults() == [] and tablet.faults(0.3) == []
    phone = evening.tablet("phone")
    assert phone.faults() == []
    addresses = {one.split("/")[2] for one in tablet.asked()}
    assert addresses == {f"127.0.0.1:{evening.cables[0].port}"} and tablet.errors() == []


def test_hostile_labels_come_through_as_text(tmp_path):
    state = read_json(STATE)
    names = [name for name in HOSTILE if name.strip()]
    for number, mix in enumerate(state["mixes"]):
        mix["name"] = names[number % len(names)]
    for number, one in enumerate(state["inputs"]):
        one["name"] = names[number % len(names)]
    evening = Evening(tmp_path, state=write_json(tmp_path / "state.json", state))
    try:
        tablet = evening.tablet()
        tablet.run("document.querySelector(\"[data-mix='1']\").click()")
        tablet.until("document.querySelectorAll('#mix-sends tr').length > 5")
        assert "<script>" in tablet.run("document.body.textContent")
        inside = "[...new Set([...document.body.querySelectorAll('*')].map((one) => one.localName))]"
        assert not set(tablet.run(inside)) & {"script", "img", "iframe", "svg", "style", "object", "link", "meta", "base"}
        assert tablet.errors() == []
    finally:
        evening.end()
