# SPDX-License-Identifier: MIT
"""What the program writes, looked at by others: html-validate, Tidy, axe-core and Chromium, at phone and desk widths,
light and dark, and printed on A4."""
import shutil

import pytest

import pages
from harness import PROFILE, SHOW, STATE, MockDesk, read_json, run, write_json
from test_report_html import HOSTILE


def audit(path, *words, statuses=(1,)):
    result = run("audit", *words, "--format", "html")
    assert result.status in statuses, result.err
    path.write_text(result.out)
    return path


def saved(path, state=STATE, words=(SHOW,)):
    desk = MockDesk(state=state)
    assert run("audit", *words, "--desk", desk.at, "--save", path).status in (0, 1, 3)
    desk.stop()
    return path


def hostile(folder):
    """The demo with names that would break a page, on the desk and in the show file."""
    state, show = read_json(STATE), read_json(SHOW)
    show["desk"]["profile"] = str(PROFILE)
    for number, name in enumerate(HOSTILE):
        state["inputs"][number]["name"] = name
        state["mixes"][number % 8]["name"] = name
        show["inputs"][str(number + 1)]["player"] = name[:40].strip() or "p"
    show["show"] = HOSTILE[0]
    for mix in show["mixes"].values():
        mix.pop("player", None)
    show["accept"][0]["why"] = HOSTILE[4] + HOSTILE[1]
    show = write_json(folder / "hostile-show.json", show)
    return show, saved(folder / "hostile.json", write_json(folder / "hostile-state.json", state), (show,))


def large(folder):
    """48 inputs into 24 mixes."""
    state, profile = read_json(STATE), read_json(PROFILE)
    state["counts"].update(inputs=48, mixes=24)
    state["inputs"] = [dict(one, send_levels=one["send_levels"] * 3) for one in state["inputs"] * 2]
    state["mixes"] *= 3
    profile["counts"].update({"input": 48, "mix": 24})
    profile["pace"]["per_second"] = 20000
    profile = write_json(folder / "large-profile.json", profile)
    return profile, saved(folder / "large.json", write_json(folder / "large-state.json", state),
                          ("--profile", profile))


@pytest.fixture(scope="module", name="written")
def all_pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    demo = saved(folder / "demo.json")
    show, odd = hostile(folder)
    profile, wide = large(folder)
    written = {"demo": audit(folder / "demo.html", SHOW, "--saved", demo),
               "hostile": audit(folder / "hostile.html", show, "--saved", odd),
               "large": audit(folder / "large.html", "--profile", profile, "--saved", wide),
               "silent": audit(folder / "silent.html", SHOW, "--desk", "127.0.0.1:9", "--within", "0.5",
                               statuses=(3,))}
    for number, name in enumerate(("ana", "ben", "<i>eve & co", "\u05e9\u05dc\u05d5\u05dd")):
        shutil.copy((demo, odd)[number % 2], folder / f"{name}.json")
    setups = [folder / f"{name}.json" for name in ("ana", "ben", "<i>eve & co", "\u05e9\u05dc\u05d5\u05dd")]
    result = run("review", *setups, "--show", SHOW, "--to", folder / "class")
    assert result.status == 1, result.err
    written["overview"] = folder / "class" / "overview.html"
    written["sheet"] = folder / "class" / "sheet-1-ana.html"
    written["sheet of a hostile desk"] = folder / "class" / "sheet-2-ben.html"
    return written


@pytest.mark.limit(120)
@pytest.mark.parametrize("names", [("demo", "silent", "overview"), ("hostile", "sheet", "sheet of a hostile desk"),
                                   ("large",)], ids=" ".join)
def test_nobody_finds_fault_with(written, names):
    assert [str(one) for one in pages.check([written[name] for name in names])] == []


@pytest.mark.limit(60)
def test_the_demo_prints_what_to_do_then_the_cards_then_the_pictures(written):
    paper = pages.pdf(written["demo"])
    assert paper.all_a4()
    at = [paper.text.index(words) for words in ("Not ready", "The mixes", "Do this, in this order", "The cards",
                                                "Equalisers of the mixes")]
    assert at == sorted(at)
    assert "damage hearing" in paper.text and "Player by player" not in paper.text
