# SPDX-License-Identifier: MIT
"""What the program writes, looked at by others: html-validate, Tidy, axe-core and Chromium, at phone and desk widths,
light and dark, and printed on A4."""
import shutil

import pytest

import pages
from harness import PLAN, PROFILE, SHOW, STATE, MockDesk, read_json, run, write_json
from test_audit_demo import mended
from test_report_html import HOSTILE, Page


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
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
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
               "ready": audit(folder / "ready.html", SHOW, "--saved",
                              saved(folder / "ready.json", write_json(folder / "ready-state.json", mended())),
                              statuses=(0,)),
               "silent": audit(folder / "silent.html", SHOW, "--desk", "127.0.0.1:9", "--within", "0.5",
                               statuses=(3,))}
    result = run("retrim", SHOW, "--saved", demo, "--format", "html")
    assert result.status == 1, result.err
    (folder / "retrim.html").write_text(result.out)
    written["retrim"] = folder / "retrim.html"
    for name, file, desk in (("stage", SHOW, demo), ("stage of a hostile desk", show, odd)):
        result = run("stage", file, "--saved", desk, "--format", "html")
        assert result.status in (0, 3), result.err
        written[name] = folder / f"{name.replace(' ', '-')}.html"
        written[name].write_text(result.out)
    result = run("compare", SHOW, "--saved", odd, "--reference", folder / "ready.json", "--format", "html")
    assert result.status == 1, result.err
    (folder / "compare.html").write_text(result.out)
    written["compare"] = folder / "compare.html"
    for number, name in enumerate(("ana", "ben", "<i>eve & co", "\u05e9\u05dc\u05d5\u05dd")):
        shutil.copy((demo, odd)[number % 2], folder / f"{name}.json")
    setups = [folder / f"{name}.json" for name in ("ana", "ben", "<i>eve & co", "\u05e9\u05dc\u05d5\u05dd")]
    result = run("review", *setups, "--show", SHOW, "--to", folder / "class")
    assert result.status == 1, result.err
    written["overview"] = folder / "class" / "overview.html"
    written["sheet"] = folder / "class" / "sheet-1-ana.html"
    written["sheet of a hostile desk"] = folder / "class" / "sheet-2-ben.html"
    return written


@pytest.mark.limit(240)
@pytest.mark.parametrize("names", [("demo", "ready", "silent", "overview", "retrim", "compare"),
                                   ("hostile", "sheet", "sheet of a hostile desk"),
                                   ("stage", "stage of a hostile desk"), ("large",)], ids=" ".join)
def test_nobody_finds_fault_with(written, names):
    assert [str(one) for one in pages.check([written[name] for name in names])] == []


def test_a_page_fits_on_a_stick_and_through_a_chat(written):
    assert written["demo"].stat().st_size <= 250_000


@pytest.mark.limit(60)
def test_the_worst_and_its_action_are_on_the_first_screen_of_a_phone(written):
    for name in ("demo", "hostile"):
        spots = dict(zip(("title", "badges", "first"), pages.places(written[name], ["h1", ".badges", ".first"])))
        assert all(0 <= top < bottom <= 600 for top, bottom in spots.values()), (name, spots)
    (title, _), (mixes, _) = pages.places(written["demo"], ["h1", "#mixes"])
    assert title < 100 and mixes < 600


LEGIBLE_PT, CARD_PT, PICTURE_PT, ROUNDED_PT = 11, 14, 8, 0.34  # common practice, no source


def sizes_on(paper, words):
    """The sizes of all text from the heading on to the end of its sheet."""
    page = next(page for page, _, text in paper.fonts if text.strip() == words)
    return page, [size for at, size, _ in paper.fonts if at == page]


@pytest.mark.limit(60)
def test_the_demo_prints_what_to_do_then_the_cards_then_the_pictures(written):
    paper = pages.pdf(written["demo"])
    assert paper.all_a4() and paper.pages <= 8
    at = [paper.text.index(words) for words in ("Not ready", "The mixes", "Do this, in this order", "The cards",
                                                "Where preamp gain goes", "Equalisers of the mixes")]
    assert at == sorted(at)
    assert "damage hearing" in paper.text and "Player by player" not in paper.text
    cards, in_cards = sizes_on(paper, "The cards")
    preamps, _ = sizes_on(paper, "Where preamp gain goes")
    assert min(size for page, size, _ in paper.fonts if page < cards) >= LEGIBLE_PT - ROUNDED_PT
    assert min(size for page, size, _ in paper.fonts if cards <= page < preamps) >= CARD_PT - ROUNDED_PT
    assert min(size for page, size, _ in paper.fonts if page >= preamps) >= PICTURE_PT - ROUNDED_PT
    assert preamps - cards == 2  # seven cards on two sheets
    titles = [text for page, _, text in paper.fonts if cards <= page < preamps and text.startswith("Card ")]
    assert len([text for text in titles if text[5].isdigit()]) == 7


@pytest.mark.limit(120)
@pytest.mark.parametrize("name", ["large", "hostile"])
def test_no_desk_is_too_wide_for_paper(written, name):
    """What is too wide would make a browser shrink all of it."""
    paper = pages.pdf(written[name])
    cards, _ = sizes_on(paper, "The cards")
    preamps, _ = sizes_on(paper, "Where preamp gain goes")
    assert paper.all_a4()
    assert min(size for page, size, _ in paper.fonts if page < cards) >= LEGIBLE_PT - ROUNDED_PT
    assert min(size for page, size, _ in paper.fonts if cards <= page < preamps) >= CARD_PT - ROUNDED_PT
    assert min(size for page, size, _ in paper.fonts if page >= preamps) >= PICTURE_PT - ROUNDED_PT
    # a table that goes on has its head again: the sends of 48 inputs
    heads = [page for page, _, text in paper.fonts if text.strip() == "input"]
    assert name == "hostile" or len(set(heads)) >= 3, heads


@pytest.mark.limit(60)
def test_the_cards_alone_print_large(written):
    paper = pages.pdf(written["retrim"])
    text = " ".join(paper.text.split())
    assert paper.all_a4() and paper.pages <= 3 and all(f"Card {number}:" in text for number in range(1, 8))
    assert min(size for _, size, _ in paper.fonts) >= LEGIBLE_PT - ROUNDED_PT
    moves = [size for _, size, text in paper.fonts if text.strip() in ("preamp", "42", "28", "high-pass", "on")]
    assert len(moves) >= 8 and min(moves) >= CARD_PT - ROUNDED_PT


@pytest.mark.limit(120)
def test_a_players_sheet_is_complete_by_itself(written):
    root = Page(written["demo"].read_text()).root
    for player in root.all("section", "player"):
        paper = pages.pdf(written["demo"], at=player.attributes["id"])
        text = " ".join(paper.text.split())
        assert paper.all_a4() and paper.pages <= 2
        for words in (player.one("h3").text(), player.one("p", "reading").text(), "damage hearing"):
            assert words in text, (player.attributes["id"], words)
        assert "Not ready" not in text and "The mixes" not in text
        for row in (row for table in player.all("table", "card") for row in table.one("tbody").all("tr")):
            assert all(cell.text() in text for cell in row.all("td"))
        assert min(size for _, size, _ in paper.fonts) >= LEGIBLE_PT - ROUNDED_PT
