# SPDX-License-Identifier: MIT
"""What the board shows and does, in Chromium, before a stub of the watch: it is told facts of an invented evening."""
import time

import pytest

from board_rig import CHANGED, MIX, RING_OUT, TILES, Stub, Tablet, desk, facts, finding, shown, shut_all, tile
from harness import until


@pytest.fixture(name="stub")
def one_stub():
    stub = Stub(facts())
    stub.say(mix=MIX)
    yield stub
    shut_all()
    stub.kill()


# ---- the way in ----

def test_the_token_is_changed_for_a_cookie_and_gone_from_the_address(stub):
    tablet = shown(stub)
    assert tablet.run("location.href") == f"http://127.0.0.1:{stub.port}/"
    assert tablet.run("document.cookie") == ""  # none that a script could read
    tablet.reload()
    tablet.until_text("#show", "Lantern Yard")
    assert tablet.errors() == []
    outside = [one for one in tablet.asked() if not one.startswith(f"http://127.0.0.1:{stub.port}/")]
    assert outside == []
    assert not any("favicon" in one or "a-token" in one.partition("#")[0] for one in tablet.asked())


def test_without_a_link_the_page_shows_nothing_and_says_how(stub):
    tablet = Tablet(f"http://127.0.0.1:{stub.port}/")
    tablet.until_text("#gate", "gainwarden board SHOW")
    assert tablet.text("#desk") is None and tablet.text("#clock") in ("", None)


def test_a_link_that_is_none_is_refused_and_a_good_one_then_taken(stub):
    tablet = Tablet(f"http://127.0.0.1:{stub.port}/#another-token")
    tablet.until_text("#gate", "gainwarden board SHOW")
    assert tablet.run("location.hash") == ""
    tablet.run(f"location.href = '{stub.url}'")
    tablet.until_text("#show", "Lantern Yard")
    assert tablet.text("#gate") in ("", None)


def test_a_link_that_ends_takes_the_board_away(stub):
    tablet = shown(stub)
    stub.say(may=None)
    tablet.reload()
    tablet.until_text("#gate", "gainwarden board SHOW")
    assert tablet.text("#show") in ("", None) and tablet.texts(".tile") == []


# ---- one desk ----

def test_the_top_line(stub):
    tablet = shown(stub)
    assert tablet.text("#clock").startswith("21:37:") and tablet.text("#room").lower() == "show"
    assert tablet.text("#show") == "Lantern Yard, Saturday"
    assert tablet.text("#heard") == "desk heard 0.4 s ago \u00b7 steady; 2155 values known, 0 stale"
    until(lambda: tablet.text("#clock") > "21:37:08", what="the clock to go on with the watch's beats")
    stub.say(facts=facts(desk(room="changeover", room_left="ends in 12 min")))
    tablet.until_text("#room", "ends in 12 min".upper())


def test_now_says_the_number_first_and_what_to_put_back(stub):
    tablet = shown(stub)
    first = tablet.texts("#now .first")
    assert [" ".join(one.split()) for one in first] == ["\u25b2 up +23 dB Ld Vox into 1 Ld Vox wedge", "mix 8 Drums IEM"]
    assert tablet.run("getComputedStyle(document.querySelector('#now .first')).fontSize") == "36px"
    second = tablet.texts("#now .second")
    assert second[0].startswith("STOP just now, ") and second[0].endswith(" ago. Put it back to -13, hand on master 1.")
    assert second[1].startswith("STOP 41 min ago. Turn the packs down first.")
    stub.say(facts=facts(desk(now=[finding(stale=True, closed=True, hidden="held back by the room show",
                                           seen={"by": "Mo", "at": "21:37"})])))
    tablet.until_text("#now", "what this rests on is not known now; its input is muted or sent nowhere now; "
                              "held back by the room show; seen by Mo at 21:37")


@pytest.mark.parametrize("quiet, says", [
    ({"for_s": 720, "by_hand": 14}, "Nothing to tell for 12 min; 14 levels moved by hand"),
    ({"for_s": 3900, "by_hand": 1}, "Nothing to tell for 1 h 5 min; 1 level moved by hand"),
    ({"for_s": 7200, "by_hand": 0}, "Nothing to tell for 2 h 0 min; no levels moved by hand")])
def test_an_empty_now_says_since_when(stub, quiet, says):
    stub.say(facts=facts(desk(now=[], quiet=quiet)))
    assert shown(stub).text("#quiet") == says


def test_an_empty_now_says_how_much_is_not_known(stub):
    stub.say(facts=facts(desk(now=[], not_known_count=140)))
    assert shown(stub).text("#quiet") == "Nothing to tell for 12 min; 14 levels moved by hand; 140 not known"


@pytest.mark.parametrize("link, says", [
    ({"state": "resolving", "says": "resolving, never heard", "heard_ms": None},
     "Nothing can be told yet: the desk is not read"),
    ({"state": "reading", "says": "reading; 30 values known, 0 stale"}, "Nothing can be told yet: the desk is not read"),
    ({"state": "lost", "says": "LOST: all STALE", "lost": True, "since": "21:37:03"},
     "Nothing can be told: the desk is not heard")])
def test_an_empty_now_of_a_desk_that_is_not_read_is_no_good_news(stub, link, says):
    stub.say(facts=facts(desk(now=[], link={"heard_ms": 400, "lost": False, "since": "", **link})))
    assert shown(stub).text("#quiet") == says


def test_more_than_three_wait_behind_a_button(stub):
    weights = ("stop", "stop", "fix", "fix", "stop", "note", "note")
    stub.say(facts=facts(desk(now=[finding(number, weight) for number, weight in enumerate(weights)], now_more=2)))
    tablet = shown(stub)
    assert len(tablet.texts("#now .finding")) == 3
    assert tablet.text("#now-more") == "6 more: 1 STOP, 1 fix, 2 note, 2 not listed here"
    tablet.click("#now-more")
    assert len(tablet.texts("#now .finding")) == 7
    assert tablet.text("#now-more") == "Show less; 2 more are not listed here"


def test_tiles_stand_in_the_desks_order_whatever_befalls_them(stub):
    tablet = shown(stub)
    numbers = "[...document.querySelectorAll('.tile')].map((one) => one.dataset.mix)"
    assert tablet.run(numbers) == [str(one) for one in range(1, 9)]
    worse = [{**one, "weight": "stop", "word": "STOP"} if one["mix"] in (3, 7) else one for one in TILES]
    stub.say(facts=facts(desk(tiles=worse)))
    tablet.until("document.querySelectorAll('.tile[data-word=STOP]').length === 3")
    assert tablet.run(numbers) == [str(one) for one in range(1, 9)]


def test_tiles_keep_their_places_while_the_desk_is_read_anew(stub):
    """A watch that was started again knows of few mixes yet that they are in use."""
    tablet = shown(stub)
    tablet.run("window.held = [...document.querySelectorAll('.tile')]")
    link = {**desk()["link"], "state": "resolving"}
    few = [{**one, "lines": ["read anew"]} for one in TILES if one["mix"] in (2, 5)]
    stub.say(facts=facts(desk(tiles=few, link=link), boot="second"))
    tablet.until_text("[data-mix='5']", "read anew")
    assert tablet.run("window.held.every((one, at) => one === document.querySelectorAll('.tile')[at])")
    assert "not known" in tablet.text("[data-mix='1'] .word") and "JUMP" not in tablet.text("#tiles")
    assert "limiter not known" in tablet.text("[data-mix='7']") and "NO LIMITER" not in tablet.text("#tiles")
    stub.say(facts=facts(desk(tiles=TILES[:7]), boot="second"))
    tablet.until("document.querySelectorAll('.tile').length === 7")
    assert tablet.run("window.held.slice(0, 7).every((one, at) => one === document.querySelectorAll('.tile')[at])")
    stub.say(facts=facts(desk(show="Another", tiles=few, link=link), boot="third"))
    tablet.until("document.querySelectorAll('.tile').length === 2")


def test_a_tile_says_its_state_by_word_arrow_and_border(stub):
    tablet = shown(stub)
    words = tablet.texts(".tile .word")
    assert [" ".join(one.split()) for one in words] == [
        "\u25b2 up JUMP", "fix 2", "note 1", "\u25b2 up fix 1", "right", "not known", "right", "STOP"]
    border = ("[...document.querySelectorAll('.tile')].map((one) => { const s = getComputedStyle(one);"
              " return [s.borderLeftStyle, s.borderLeftWidth, s.borderTopStyle, s.borderTopWidth].join(' '); })")
    jump, fix, note, fix_too, right, unknown, right_too, stop = tablet.run(border)
    assert fix == fix_too and right == right_too and len({jump, fix, note, right, unknown, stop}) == 6


def test_ears_always_say_their_limiter(stub):
    for says in ("limiter on", "NO LIMITER", "limiter not known"):
        stub.say(facts=facts(desk(tiles=[tile(7, "Bass IEM", kind="ears", limiter=says)])))
        assert says in shown(stub).text(".tile")


def test_what_changed_and_what_is_held_back(stub):
    tablet = shown(stub)
    assert tablet.text("#changed-title") == "What changed since approval (approved 18:02 by Mo)"
    rows = [" ".join(one.split()) for one in tablet.texts("#changed tr")]
    assert rows[0] == "21:37:05 \u25b2 up Ld Vox send into 1: -13 to +10 open, put back to -13"
    assert rows[2] == "21:33:45 \u25bc down master 3 Keys wedge: 0 to -8" and len(rows) == len(CHANGED)
    assert tablet.texts("#held li") == ["4 notes by the room (show) until 22:00"]
    for name in ("quieted", "proved", "not-known", "told"):
        tablet.click(f"#{name}-title")
        assert len(tablet.texts(f"#{name} li")) == 1
    stub.say(facts=facts(desk(changed=[], held=[], approved="not approved")))
    tablet.until_text("#changed-none", "Nothing changed.")
    assert tablet.text("#held-none") == "Nothing is held back."


def test_a_tap_opens_the_mix_and_it_follows(stub):
    tablet = shown(stub)
    tablet.click("[data-mix='1']")
    tablet.until_text("#mix-equaliser", "315 Hz")
    assert tablet.text("#mix-title") == "1 Ld Vox wedge"
    assert tablet.text("#mix-facts") == "lead vocal \u00b7 wedge \u00b7 4.5 dB left, proved"
    sends = [" ".join(one.split()) for one in tablet.texts("#mix-sends tr")]
    assert sends == ["1 Kick In off closed", "18 Ld Vox +10 dB own", "19 Gtr Vox -8 dB -18 dB"]
    assert "put back to -13" in tablet.text("#mix-changed") and "cut by 6 dB" in tablet.text("#mix-rings")
    assert "2.1 m" in tablet.text("#mix-stage") and "take it back to -13 dB, slowly" in tablet.text("#mix-findings")
    stub.say(mix={**MIX, "margin": "1.0 dB left, proved"})
    stub.say(facts=facts())
    tablet.until_text("#mix-facts", "1.0 dB left")
    tablet.keys("Escape")
    assert tablet.text("#mix") is None
    assert tablet.run("document.activeElement.dataset.mix") == "1"
    stub.say(mix=None)
    tablet.click("[data-mix='2']")
    tablet.until_text("#mix-trouble", "There is no such mix any more.")
    assert tablet.text("#mix-sends") is None  # nothing of the mix before it


# ---- buttons ----

def test_a_look_link_has_no_buttons(stub):
    stub.say(may="look")
    tablet = shown(stub)
    assert tablet.texts(".press button") == [] and tablet.text("#name") is None


def test_buttons_are_large_enough_for_a_finger(stub):
    for screen in ("wide", "phone"):
        tablet = shown(stub, screen)
        sizes = tablet.run("[...document.querySelectorAll('button, a, summary, input')].filter((one) => "
                           "one.checkVisibility()).map((one) => one.getBoundingClientRect())"
                           ".map((box) => Math.min(box.width, box.height))")
        assert len(sizes) > 10 and min(sizes) >= 48, sizes


def test_the_first_press_asks_for_a_name_which_is_kept(stub):
    tablet = shown(stub)
    tablet.click("#now .press button")
    tablet.until("document.getElementById('who').open")
    assert stub.pressed() == []
    tablet.click("#who-cancel")
    assert stub.pressed() == []
    tablet.click("#now .press button")
    tablet.keys(*"Mo", "Enter")
    until(lambda: stub.pressed() == [["/seen", {"desk": 0, "finding": "finding-1", "who": "Mo"}]], what="the press")
    tablet.reload()
    tablet.until_text("#name", "You are Mo")
    tablet.click("#now li:nth-child(2) .press button")
    until(lambda: stub.pressed()[1:] == [["/seen", {"desk": 0, "finding": "finding-2", "who": "Mo"}]], what="the press")


def test_what_was_meant_is_pressed_twice_where_the_watch_wants_it(stub):
    tablet = shown(stub)
    tablet.run("localStorage.setItem('gainwarden-name', 'Mo')")
    stub.say(refuse={"error": "It can hurt somebody: press again to say it was meant.", "again": True})
    meant = "#now li:first-child [data-part=meant]"
    tablet.run(f"for (const _ of [1, 2, 3]) document.querySelector('{meant}').click()")  # a finger that trembles
    tablet.until_text("#now li:first-child .answer", "press again")
    assert tablet.text(meant) == "Press again: it was meant"
    assert [one[1]["again"] for one in stub.pressed()] == [False]
    time.sleep(1)  # longer than a finger trembles
    tablet.click(meant)
    until(lambda: len(stub.pressed()) == 2, what="the second press")
    assert [one[1]["again"] for one in stub.pressed()] == [False, True]
    tablet.until(f"document.querySelector('{meant}').textContent === 'Was meant'")


def test_a_press_that_is_refused_says_why(stub):
    tablet = shown(stub)
    tablet.run("localStorage.setItem('gainwarden-name', 'Mo')")
    stub.say(refuse={"error": "That finding is over."})
    tablet.click("#now .press button")
    tablet.until_text("#now .answer", "That finding is over.")


# ---- hands, eyes and ears ----

def test_everything_is_reached_by_keyboard(stub):
    tablet = shown(stub)
    reached = []
    for _ in range(40):
        tablet.keys("Tab")
        reached.append(tablet.run("document.activeElement.textContent.trim().split('\\n')[0].trim()"))
        assert tablet.run("document.activeElement === document.body || "
                          "getComputedStyle(document.activeElement).outlineStyle === 'solid'")
    assert reached[:4] == ["Seen", "Was meant", "Seen", "Was meant"] and reached[4].startswith("1 Ld Vox wedge")
    assert "Light" in reached and "Your name" in reached
    tablet.run("document.querySelector('[data-mix=\"3\"]').focus()")
    tablet.keys("Enter")
    tablet.until("document.getElementById('mix').open")


def test_focus_stays_while_facts_come_and_goes_on_where_its_finding_goes(stub):
    tablet = shown(stub)
    tablet.run("document.querySelector('#now li:nth-child(2) button').focus(); window.held = document.activeElement")
    stub.say(facts=facts(desk(now=[finding(9), *desk()["now"]])))
    tablet.until("document.querySelectorAll('#now .finding').length === 3")
    stub.say(facts=facts(desk(now=desk()["now"][::-1])))
    tablet.until("document.querySelectorAll('#now .finding').length === 2")
    assert tablet.run("document.activeElement === window.held")
    stub.say(facts=facts(desk(now=[finding()])))
    tablet.until("document.querySelectorAll('#now .finding').length === 1")
    assert tablet.run("document.activeElement.closest('#now .finding') !== null")


def test_a_screen_reader_hears_only_what_is_new(stub):
    tablet = shown(stub)
    assert tablet.run("document.getElementById('alarm').textContent + document.getElementById('news').textContent") == ""
    tablet.run("window.said = []; for (const id of ['alarm', 'news']) new MutationObserver(() => window.said.push("
               "document.getElementById(id).textContent)).observe(document.getElementById(id), {childList: true})")
    stub.say(facts=facts(desk(now=[finding(7, says="Leap."), finding(8, "note", says="Draught."), *desk()["now"]])))
    tablet.until("window.said.length === 2")
    stub.say(facts=facts(desk(room="doors")))
    tablet.until_text("#room", "DOORS")
    assert tablet.run("window.said") == ["Leap.", "Draught."]
    loud = "[...document.querySelectorAll('[aria-live], [role=alert], [role=status]')].map((one) => one.id || one.className)"
    assert set(tablet.run(loud)) == {"stale", "news", "alarm", "gate", "mix-trouble", "answer"}


def test_light_is_on_request_and_kept(stub):
    tablet = shown(stub)
    ground = "getComputedStyle(document.body).backgroundColor"
    assert tablet.run(ground) == "rgb(10, 13, 17)"
    tablet.click("#light")
    assert tablet.run(ground) == "rgb(255, 255, 255)"
    tablet.reload()
    tablet.until_text("#show", "Lantern Yard")
    assert tablet.run(ground) == "rgb(255, 255, 255)"


def test_nothing_moves(stub):
    """WCAG 2.2, 2.3.1 and 2.3.3: no flash, no motion, whatever was asked for."""
    tablet = shown(stub)
    assert tablet.run("document.getAnimations().length") == 0
    moving = ("[...document.querySelectorAll('*')].map((one) => getComputedStyle(one))"
              ".filter((one) => one.animationName !== 'none' || parseFloat(one.transitionDuration) > 0).length")
    assert tablet.run(moving) == 0


def test_cautions_and_what_it_cannot_do(stub):
    text = shown(stub).text("footer")
    for words in ("damage hearing", "Local noise rules", "does not hear the room", "set the tablet never to sleep",
                  "can listen", "only reads the desk"):
        assert words in " ".join(text.split()), words


# ---- several desks, a ring-out ----

def test_several_desks_are_a_row_each(stub):
    lost = desk(show="Second yard", link={"state": "lost", "says": "lost", "heard_ms": 61000, "lost": True,
                                          "since": "21:36:07"})
    stub.say(facts=facts(desk(), lost, desk(show="Third yard", now=[], open={"stop": 0, "fix": 0, "note": 1})))
    tablet = shown(stub)
    rows = [" ".join(one.split()) for one in tablet.texts(".desk-row")]
    assert rows[0] == ("Lantern Yard, Saturday show 2 STOP, 3 fix, 5 note +23 dB Ld Vox into 1 Ld Vox wedge "
                       "desk heard 0.4 s ago \u00b7 steady; 2155 values known, 0 stale")
    assert "STALE since 21:36:07" in rows[1] and "desk heard 1 min ago" in rows[1] and "1 note" in rows[2]
    tablet.until("!document.body.classList.contains('is-stale')")
    tablet.click(".desk-row[href='#desk-2']")
    tablet.until_text("#show", "Third yard")
    assert tablet.text("#elsewhere-says") == "STOP at Lantern Yard, Saturday; STOP at Second yard; Second yard is not heard"
    tablet.run("history.back()")
    tablet.until("document.querySelectorAll('.desk-row').length === 3 && !document.getElementById('desks').hidden")
    tablet.click(".desk-row[href='#desk-1']")
    tablet.until_text("#stale", "STALE since 21:36:07: the watch does not hear the desk")
    tablet.reload()
    tablet.until_text("#show", "Second yard")
    assert tablet.asked().count(f"http://127.0.0.1:{stub.port}/enter") == 1  # its address is no token


# A tablet's 132 px an inch: what stands 11.6 mm high is seen under 20 minutes of arc from two metres. Both figures
# from memory (ISO 9241-303 prefers 20 to 22), and that capitals have 0.7 of the size of their font.
FAR_PX = 11.6 / 25.4 * 132 / 0.7


def test_a_ring_out_has_a_view_to_be_read_from_two_metres(stub):
    tablet = shown(stub)
    stub.say(facts=facts(ring_out=RING_OUT))
    tablet.until_text("#ring-next", "Bring up master 1 slowly")
    assert tablet.text("#desk") is None
    assert float(tablet.run("getComputedStyle(document.getElementById('ring-next')).fontSize")[:-2]) >= FAR_PX
    # what is read from afar needs no scrolling, but where a slow machine has the board say that it is late
    tablet.until("document.getElementById('ring-figures-large').getBoundingClientRect().bottom <= 820")
    assert "Ears protected?" in tablet.text("#ring-care") and "315 Hz" in tablet.text("#ring-rings")
    tablet.click("#ring-away")
    assert tablet.text("#tiles") is not None and tablet.text("#ring") is None
    tablet.click("#ring-show")
    assert tablet.text("#ring") is not None
    stub.say(facts=facts())
    tablet.until("document.getElementById('ring').hidden && !document.getElementById('desk').hidden")
    assert tablet.text("#ring-show") is None


# ---- as long as it runs ----

def test_elements_stay_the_same_while_facts_come(stub):
    tablet = shown(stub)
    tablet.run("window.held = [...document.querySelectorAll('#tiles > li, #now > li, #changed > tr')]")
    tablet.click("#told-title")
    stub.say(facts=facts(desk(tiles=[{**one, "lines": ["moved"]} for one in TILES])))
    tablet.until_text("#tiles", "moved")
    assert tablet.run("window.held.length === 14 && window.held.every((one) => one.isConnected)")
    assert tablet.texts("#told li")


def test_three_tablets_and_a_phone_show_the_same(stub):
    tablets = [shown(stub, screen) for screen in ("wide", "high", "wide", "phone")]
    stub.say(facts=facts(desk(show="All of them")))
    for tablet in tablets:
        tablet.until_text("#show", "All of them")
        assert len(tablet.texts(".tile")) == 8 and tablet.errors() == []
