# SPDX-License-Identifier: MIT
"""`gainwarden compare` says of each mix what is left of the margin that ring-outs proved, as it was approved and now."""
import re

import pytest

from harness import fader_wire, flat, run, until
from test_proved import CARE, Evening, level

TITLE = "Left of what ring-outs proved, as approved -> now"
SAX = 17  # into mix 2


@pytest.fixture(name="evening")
def evening_fixture(tmp_path):
    """Approved as the ring-out left it."""
    evening = Evening(tmp_path)
    assert run("approve", evening.show, "--desk", evening.desk.at, "--stop-too").status == 0
    return evening


def sax(evening, db):
    was = evening.saved["values"]["send.level"]["values"][SAX - 1][1]
    evening.desk.move(level(SAX, 2), "f", fader_wire(was + db))


def compared(evening, *words):
    return run("compare", evening.show, "--desk", evening.desk.at, *words)


def block(evening, *words, title=TITLE):
    """What stands in text under the title."""
    text = compared(evening, *words).out
    return flat(text.partition(title)[2].partition("\n\n")[0])


def margin_of(evening, mix):
    return next(one for one in compared(evening, "--format=json").json()["margins"] if one["mix"] == mix)


def test_what_is_as_it_was_is_one_line(evening):
    assert block(evening).startswith("the same: mix 1 Ld Vox wedge 9 dB, mix 2 Gtr wedge 6 dB, mix 3 Keys wedge 6 dB")
    assert CARE in block(evening)
    assert "IEM" not in block(evening).partition("From the desk's")[0]
    page = compared(evening, "--format=json").json()
    assert CARE in page["margins_care"]
    assert margin_of(evening, 2)["then"] == margin_of(evening, 2)["now"]


def test_a_send_that_rose(evening):
    sax(evening, 1.5)
    until(lambda: "->" in block(evening))
    text = block(evening)

    # what mix 1 was pushed to was proved with mix 2 where it stood
    assert re.match(r"mix 1 Ld Vox wedge: 9 dB -> 6 dB proved left, through [^;]*; 3 dB less since mix 2 Gtr wedge moved ", text)
    assert (" mix 2 Gtr wedge: 6 dB -> 4.5 dB proved left, through input 17 Tenor Sax, since its send rose by 1.5 dB; "
            "not pushed itself: up to 1 dB less the same: mix 3 Keys wedge 6 dB") in text
    assert margin_of(evening, 2)["then"]["db"] == pytest.approx(6, abs=0.1)
    assert margin_of(evening, 2)["now"]["db"] == pytest.approx(4.5, abs=0.1)
    assert margin_of(evening, 2)["says"] in text
    html = flat(compared(evening, "--format=html").out)
    assert f"<h2>{TITLE.replace('>', '&gt;')}</h2>" in html
    assert "<li><bdi>mix 2 Gtr wedge: 6 dB -&gt; 4.5 dB proved left, through input 17" in html


def test_past_what_was_proved(evening):
    sax(evening, 7)
    until(lambda: "past what was proved" in block(evening))

    assert re.search(r"mix 2 Gtr wedge: 6 dB -> 1 dB past what was proved, through input 17", block(evening))
    assert "mix 3 Keys wedge: 6 dB -> no proof since mix 2 Gtr wedge moved" in block(evening)
    assert margin_of(evening, 3)["now"]["is"] == "none" and "db" not in margin_of(evening, 3)["now"]


def test_a_mix_that_is_closed_now(evening):
    evening.desk.move("/mix/3/open", "i", 0)
    until(lambda: "closed" in block(evening))

    assert "mix 3 Keys wedge: 6 dB -> closed: no microphone is open into it" in block(evening)
    assert margin_of(evening, 3)["now"] == {"is": "closed"}


def test_beside_a_reference(evening):
    sax(evening, 1.5)
    title = "Left of what ring-outs proved, in the reference -> now"
    reference = evening.file.with_name("desk.json")
    until(lambda: "->" in block(evening, "--reference", reference, title=title))

    assert "mix 2 Gtr wedge: 6 dB -> 4.5 dB proved left" in block(evening, "--reference", reference, title=title)


def test_nothing_where_nothing_is_kept(evening):
    evening.file.unlink()

    assert "ring-outs proved" not in compared(evening).out
    assert "ring-outs proved" not in compared(evening, "--format=html").out
    page = compared(evening, "--format=json").json()
    assert page["margins"] == [] and "margins_care" not in page
