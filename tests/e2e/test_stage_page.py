# SPDX-License-Identifier: MIT
"""The stage as a page, beside the same reading as JSON: the picture to scale, its tables, and nothing without a
plan."""
import math
import re

import pytest

from harness import DEMO, PLAN, SHOW, MockDesk, demo_show, read_json, run, write_json
from test_report_html import Page

DESK = {"profile": str(DEMO / "barn-desk.json"), "host": "127.0.0.1", "role": "monitor"}
SHORT = {"pairs": [{"input": 18, "mix": 1, "metres": 1.4, "microphone_sees_it_at": 150, "wedge_sees_it_at": 10}]}


@pytest.fixture(name="saved", scope="module")
def saved_desk(tmp_path_factory):
    path = tmp_path_factory.mktemp("stage") / "saved.json"
    desk = MockDesk()
    assert run("audit", SHOW, "--desk", desk.at, "--save", path).status in (0, 1)
    desk.stop()
    return path


def page_of(show, saved, command="stage"):
    result = run(command, show, "--saved", saved, "--format", "html")
    assert result.err == "" and result.status in (0, 1)
    return result.out


def with_plan(folder, plan):
    write_json(folder / "plan.json", plan)
    return demo_show(folder, desk={**DESK, "stage": "plan.json"})


def picture(page):
    return re.search(r'<svg class="stage".*?</svg>', page, re.S)[0]


def numbers(text):
    return [float(number) for number in re.findall(r"-?[\d.]+", text)]


def printed(db):
    """As html.c prints one decimal."""
    text = f"{db:.1f}".removesuffix(".0").replace("-", "\u2212")
    return "0" if text in ("0", "\u22120") else text


def near(one, other):
    return all(abs(a - b) <= 0.011 for a, b in zip(one, other, strict=True))


class Above:
    """The picture's own scale, as it tells it."""

    def __init__(self, page):
        self.svg = picture(page)
        self.metre, = numbers(re.search(r'data-metre="([^"]*)"', self.svg)[1])
        self.zero = numbers(re.search(r'data-origin="([^"]*)"', self.svg)[1])

    def place(self, at):
        return [self.zero[0] + at[0] * self.metre, self.zero[1] - at[1] * self.metre]


def test_everything_stands_where_the_plan_has_it(saved):
    above, plan = Above(page_of(SHOW, saved)), read_json(PLAN)
    capsules = [numbers(one) for one in re.findall(r'"capsule" cx="([^"]*" cy="[^"]*)"', above.svg)]
    boxes = [numbers(one) for one in re.findall(r'"box" x="([^"]*" y="[^"]*)"', above.svg)]
    ears = [numbers(one) for one in re.findall(r'"ears" cx="([^"]*" cy="[^"]*)"', above.svg)]

    assert near([n for at in capsules for n in at],
                [n for one in plan["microphones"] for n in above.place(one["at"])])
    assert near([n + 4 for at in boxes for n in at],
                [n for one in plan["loudspeakers"] for n in above.place(one["at"])])
    assert near([n for at in ears for n in at], [n for one in plan["ears"] for n in above.place(one["at"])])


# At 0, 90, 180 degrees in the formula |a + (1 - a) cos|: references as in tests/reference/stage.h; a floor of -18 dB.
CUTS = {"omnidirectional": (1, 1, 1), "cardioid": (1, 0.5, 10 ** (-18 / 20)), "figure-of-eight": (1, 10 ** (-18 / 20), 1),
        "hypercardioid": (1, 0.25, 0.5)}


@pytest.mark.parametrize("pattern", CUTS)
def test_a_pattern_is_drawn_as_it_hears(tmp_path, saved, pattern):
    plan = {"microphones": [{"inputs": [18], "at": [0, 0, 1], "faces": [1, 0, 1], "pattern": pattern}],
            "loudspeakers": [{"mixes": [1], "at": [0, -2, 1]}]}
    above = Above(page_of(with_plan(tmp_path, plan), saved))
    ring = numbers(re.search(r'"pattern" d="([^"]*)"', above.svg)[1])
    middle = above.place([0, 0])
    far = [math.dist(ring[i:i + 2], middle) / above.metre for i in range(0, len(ring), 2)]

    assert len(far) == 36
    for turn, part in zip((0, 9, 18), CUTS[pattern]):
        assert far[turn] == pytest.approx(0.45 * part, abs=0.001), (pattern, turn)


def test_the_lines_are_the_paths_that_lead(saved):
    page, report = page_of(SHOW, saved), run("stage", SHOW, "--saved", saved, "--format", "json").json()
    above, plan = Above(page), read_json(PLAN)
    lines = re.findall(r'class="loop( leads)?" d="([^"]*)"', above.svg)
    paths = report["paths"][:5]

    assert [bool(leads) for leads, _ in lines] == [False] * 4 + [True]  # drawn last, on top
    for (_, ends), path in zip(lines, paths[::-1], strict=True):
        microphone = next(one for one in plan["microphones"] if path["input"] in one["inputs"])
        begins = [above.place(one["at"]) for one in plan["loudspeakers"] if path["mix"] in one.get("mixes", [])]
        assert any(near(numbers(ends), [*begin, *above.place(microphone["at"])]) for begin in begins)
    told = re.findall(r'class="db"[^>]*>([^<]*) dB<', above.svg)
    ranked = {f"{rank}: {path['margin_db']:.1f}".removesuffix(".0") for rank, path in enumerate(paths, 1)}
    assert told and set(told) <= ranked


def test_the_table_says_what_the_picture_shows(saved):
    root = Page(page_of(SHOW, saved)).root
    report = run("stage", SHOW, "--saved", saved, "--format", "json").json()
    rows = [[cell.text() for cell in row.all("td")] for row in next(root.all("table", "paths")).all("tr")][1:]

    assert len(rows) == len(report["paths"]) == 10
    for (margin, give, hz), path in zip(rows, report["paths"]):
        assert (margin, give, float(hz)) == (printed(path["margin_db"]), printed(path["give_or_take_db"]),
                                                         path["hz"])


def test_no_word_stands_over_another(saved):
    """Labels that found no room are left out; the tables have them."""
    boxes = [(*numbers(x + " " + y), len(words)) for x, y, words in re.findall(
        r'<text class="(?:input|mix|db)" x="([^"]*)" y="([^"]*)">([^<]*)<', picture(page_of(SHOW, saved)))]

    assert len(boxes) > 15
    for i, (x, y, length) in enumerate(boxes):
        for other_x, other_y, other_length in boxes[:i]:
            assert (abs(y - other_y) >= 11.9 or x >= other_x + 6.9 * other_length or other_x >= x + 6.9 * length)


def test_beams_are_drawn_where_it_rings(tmp_path, saved):
    """A quarter of its amplitude, 12.04 dB, is left at 90 degrees at that frequency, which is told."""
    plan = {"microphones": [{"inputs": [18], "at": [0, 2, 1], "faces": [0, 1, 1]}],
            "loudspeakers": [{"mixes": [1], "at": [0, 0, 1], "faces": [1, 0, 1], "off_axis": [
                {"hz": 20, "degrees": [0, 90, 180], "db": [0, -12.0412, -12.0412]}]}]}
    show = with_plan(tmp_path, plan)
    page = page_of(show, saved)
    hz = run("stage", show, "--saved", saved, "--format", "json").json()["random_phases"]["hz"]
    above = Above(page)
    ring = numbers(re.search(r'"beam" d="([^"]*)"', above.svg)[1])
    far = [math.dist(ring[i:i + 2], above.place([0, 0])) / above.metre for i in range(0, len(ring), 2)]

    assert far[9] / far[0] == pytest.approx(0.25, abs=0.002)
    assert f"beam at {hz} Hz, near which the first ring may be" in page


def test_differences_alone_where_no_margin_can_be_told(tmp_path, saved):
    page = page_of(with_plan(tmp_path, SHORT), saved)

    assert "<svg" not in page and "The plan tells no places, so there is no picture." in page
    assert "How far it is from ringing cannot be said" in page and "against the first, dB" in page
    assert "give or take</th>" not in page and "Estimated for" not in page


def test_the_cautions_stand_there(saved):
    assert "loud stages damage hearing" in page_of(SHOW, saved)


def test_the_audit_has_the_picture_and_nothing_of_it_without_a_plan(tmp_path, saved):
    with_one, without = page_of(SHOW, saved, "audit"), page_of(demo_show(tmp_path, desk=DESK), saved, "audit")

    assert picture(with_one) == picture(page_of(SHOW, saved))
    assert '<a href="#stage">' in with_one and 'id="stage"' in with_one
    without = re.sub(r"<style>.*?</style>", "", without, flags=re.S)
    for words in ("#stage", 'id="stage"', 'class="stage"', "stage plan", "desk.stage"):
        assert words not in without
