# SPDX-License-Identifier: MIT
"""What a ring-out proved is kept beside the show, and what is left of it is told from the desk's numbers."""
import json
import os
import re

import pytest

import proving
from harness import STATE, MockDesk, demo_show, fader_wire, flat, read_json, run, write_json

CARE = "Ring out again after the stage has moved."


def proved(desk, show, *words, **options):
    return run("proved", show, "--desk", desk.at, *words, **options)


def proved_json(desk, show, *words, status=0):
    result = proved(desk, show, "--format=json", *words)
    assert result.status == status, result.err
    return result.json()


def mix_of(page, mix):
    return next(one for one in page["mixes"] if one["mix"] == mix)


def level(i, m):
    return f"/in/{i}/to/{m}/level"


def is_open(saved, i, m):
    values = {name: one["values"] for name, one in saved["values"].items()}
    return (values["send.level"][i - 1][m - 1] != "-inf" and values["send.on"][i - 1][m - 1]
            and not values["input.mute"][i - 1])


class Evening:
    """A desk that was rung out: all together 6 dB below the ceiling, then mix 1 pushed by 9 dB."""

    def __init__(self, folder):
        state = read_json(STATE)
        for one in state["inputs"]:  # behind a gate nothing is proved
            one.setdefault("gate", {})["on"] = False
        self.desk = MockDesk(state=write_json(folder / "state.json", state))
        self.show = demo_show(folder)
        saved = folder / "desk.json"
        assert run("audit", self.show, "--desk", self.desk.at, "--save", saved, "--within", 100).out
        self.saved = read_json(saved)
        self.file = folder / "show.proved.json"
        self.keep()

    def part(self, *forgotten):
        """The desk as it was, but without these values."""
        saved = json.loads(json.dumps(self.saved))
        for name, row, column in forgotten:
            one = saved["values"][name]
            one["values"][row][column] = None
            if isinstance(one["heard_s"], list):
                one["heard_s"][row][column] = None
        return proving.sign(self.file.with_name("part.json"), saved)

    def keep(self, **more):
        proving.write(self.file, self.saved,
                      [proving.ceiling(self.saved, 6), proving.ceiling(self.saved, 9, [1])],
                      rings=[{"hz": 2512, "mix": 1, "input": 18, "gain_db": 60}], **more)


@pytest.fixture(name="evening")
def evening_fixture(tmp_path):
    return Evening(tmp_path)


def test_right_after_the_ring_out(evening):
    page = proved_json(evening.desk, evening.show)

    assert mix_of(page, 1)["margin"]["db"] == pytest.approx(9, abs=0.1)
    assert mix_of(page, 1)["margin"]["ceiling"] == 2
    assert mix_of(page, 2)["margin"]["db"] == pytest.approx(6, abs=0.1)
    assert mix_of(page, 2)["margin"]["allowance_db"] == 0
    assert page["all"]["db"] == pytest.approx(6, abs=0.1)
    assert [one["number"] for one in page["ceilings"] + page["rings"]] == [1, 2, 3]
    assert page["left"]["by"] == "Mara"
    assert CARE in page["care"]
    # in-ear mixes have no margin
    assert not [one for one in page["mixes"] if "IEM" in one["label"]]


def test_a_send_that_rose(evening):
    input_, mix = next((i, 2) for i in range(1, 25) if is_open(evening.saved, i, 2) and i >= 17)
    was = evening.saved["values"]["send.level"]["values"][input_ - 1][mix - 1]
    evening.desk.move(level(input_, mix), "f", fader_wire(was + 2))
    page = proved_json(evening.desk, evening.show)

    assert mix_of(page, 2)["margin"]["db"] == pytest.approx(4, abs=0.1)
    assert mix_of(page, 2)["margin"]["input"] == input_
    assert mix_of(page, 2)["rose_db"] == pytest.approx(2, abs=0.1)
    text = flat(proved(evening.desk, evening.show).out)
    assert f"4 dB proved left, through input {input_}" in text
    assert "since its send rose by 2 dB" in text
    assert CARE in text


def test_as_text(evening):
    result = proved(evening.desk, evening.show)
    text = flat(result.out)

    assert result.status == 0
    assert text.startswith("Ostrel Barn, Saturday: Barn monitor desk at 127.0.0.1")
    assert "9 dB proved left, through input" in text
    assert "all: 6 dB proved left for everything together" in text
    assert "1 2026-06-13T17:42:05+02:00 did not ring: all together, in steps of 0.5 dB, by Mara: after line check" in text
    assert "rang at 2.51 kHz in mix 1 Ld Vox wedge through input 18 Ld Vox" in text
    assert f"What is kept (3), in {evening.file}" in text


def test_what_was_never_heard_is_not_known(evening):
    page = proved_json(evening.desk, evening.show, "--within=0.1", "--saved", evening.part(("send.level", 17, 1)), status=3)
    text = flat(mix_of(page, 2)["says"])

    assert [one["is"] for one in page["mixes"]] == ["not-known"] * len(page["mixes"])
    assert text == "not known: send.level of input 18, mix 2 was never heard"
    assert mix_of(page, 1)["says"] == "not known: a path into another mix is not"
    assert "all" not in page


def test_forgetting(evening):
    before = evening.file.read_bytes()
    result = proved(evening.desk, evening.show, "--forget=2")

    assert result.status == 0, result.err
    assert flat(result.out) == f"2 is forgotten; what was kept before is in {evening.file}.1"
    assert evening.file.with_name("show.proved.json.1").read_bytes() == before
    page = proved_json(evening.desk, evening.show)
    assert len(page["ceilings"]) == 1
    assert mix_of(page, 1)["margin"]["db"] == pytest.approx(6, abs=0.1)
    result = proved(evening.desk, evening.show, "--forget=7")
    assert (result.status, result.err) == (2, f"gainwarden: --forget=7: {evening.file} has 2\n")


def test_with_rings_alone(evening):
    for _ in range(2):
        assert proved(evening.desk, evening.show, "--forget=1").status == 0
    result = proved(evening.desk, evening.show)

    assert result.status == 0
    assert "Margin now not known: no ceiling is kept" in flat(result.out)


def test_nothing_is_kept(tmp_path):
    desk = MockDesk()
    result = proved(desk, demo_show(tmp_path))

    assert (result.status, result.out) == (3, "")
    assert result.err == "gainwarden: nothing is kept of a ring-out of this show\n"
    assert proved(desk, demo_show(tmp_path), "--forget=1").status == 2
    result = run("proved")
    assert (result.status, result.err) == (2, "gainwarden: which show: name its show file\n")


def test_in_the_watch_folder(evening, tmp_path):
    keep = tmp_path / "keep"
    keep.mkdir()
    digits = run("status", evening.show, "--keep", keep).err.split(keep.name + "/")[1].split(".socket")[0]
    elsewhere = keep / f"{digits}.proved.json"
    os.rename(evening.file, elsewhere)
    result = proved(evening.desk, evening.show, "--keep", keep, "--format=json")
    assert result.status == 0, result.err
    assert result.json()["file"] == str(elsewhere)
    # at both places nobody knows which counts
    evening.keep()
    result = proved(evening.desk, evening.show, "--keep", keep)
    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: {evening.file}: {elsewhere} is there too; look at both and remove one\n"


DAMAGE = [
    ('"Mara"', '"Mary"', "digest: does not fit the text: the file was damaged or edited since it was stored; put the "
                         "file back, or move it away and ring out again"),
    ('"proved_format": 1', '"proved_format": 2', "proved_format: is 2; this version reads format 1"),
    ('"step_db"', '"steps"', "ceilings[0].steps: unknown key"),
]


@pytest.mark.parametrize("part, by, told", DAMAGE, ids=["edited", "format", "key"])
def test_a_damaged_file_is_no_empty_one(evening, part, by, told):
    evening.file.write_text(evening.file.read_text().replace(part, by, 1))
    result = proved(evening.desk, evening.show)

    assert (result.status, result.out) == (2, "")
    assert f"gainwarden: {evening.file}: {told}" in result.err, result.err
    assert proved(evening.desk, evening.show, "--forget=1").status == 2


def test_of_another_desk(evening):
    value = json.loads(evening.file.read_text())
    value["rings"][0]["mix"] = 60
    proving.sign(evening.file, value)
    result = proved(evening.desk, evening.show)

    assert result.status == 2
    assert "rings[0].mix: is 60, but the profile has 8" in result.err


@pytest.mark.parametrize("key, here", [("desk", "Barn monitor desk"), ("show", "Ostrel Barn, Saturday")])
def test_what_was_proved_elsewhere_proves_nothing(evening, key, here):
    value = json.loads(evening.file.read_text())
    value[key] = "Elsewhere"
    proving.sign(evening.file, value)

    for command in ("proved", "audit", "retrim"):
        result = run(command, evening.show, "--desk", evening.desk.at)
        assert (result.status, result.out) == (2, "")
        assert result.err == (f'gainwarden: {evening.file}: {key}: is "Elsewhere", but this is "{here}": what was proved '
                              "elsewhere proves nothing here; put the name back, or move the file away and ring out "
                              "again\n")


# ---- in audit and compare ----

def margins(report):
    return [one for one in report["findings"] if one["check"] == "margin-left"]


def audit_json(evening, *words):
    return run("audit", evening.show, "--desk", evening.desk.at, "--format=json", *words).json()


def slip(evening, db, mix=2):
    """One send into the mix goes up; its input."""
    input_ = next(i for i in range(17, 25) if is_open(evening.saved, i, mix))
    was = evening.saved["values"]["send.level"]["values"][input_ - 1][mix - 1]
    evening.desk.move(level(input_, mix), "f", fader_wire(was + db))
    return input_


def test_the_audit_tells_the_mix_that_rose(evening):
    assert margins(audit_json(evening)) == []
    input_ = slip(evening, 4.5)
    found = margins(audit_json(evening, "--all"))

    assert [(one["object"], one["weight"]) for one in found] == [({"mix": 2}, "fix")]
    assert found[0]["figures"]["after_db"] == pytest.approx(6, abs=0.01)
    assert found[0]["figures"]["past_db"] == pytest.approx(-1.5, abs=0.1)
    assert found[0]["figures"]["through_input"] == input_
    text = flat(run("audit", evening.show, "--desk", evening.desk.at, "--all").out)
    assert "1.5 dB left of what the ring-out proved (6 dB right after it), through input" in text
    assert "since its send rose by 4.5 dB" in text


@pytest.mark.parametrize("name", ["input.gate.on", "input.polarity", "input.preamp"])
def test_what_a_ceiling_does_not_tell_is_not_known(evening, name):
    """It was kept before the profile named that: a gate may have been on, a path the other way round."""
    ceilings = [proving.ceiling(evening.saved, 6), proving.ceiling(evening.saved, 9, [1])]
    for one in ceilings:
        del one["desk"]["values"][name]
    proving.write(evening.file, evening.saved, ceilings)
    page = proved_json(evening.desk, evening.show)

    assert {(one["is"], one["why"]) for one in page["mixes"]} == {("none", "opened")}
    assert "all" not in page


def test_a_line_that_only_its_label_tells_hides_no_loss(evening):
    """Playback was closed while it was rung out, and the show file names no sources."""
    show = read_json(evening.show)
    show["inputs"] = {}
    write_json(evening.show, show)
    ceilings = [proving.ceiling(evening.saved, 6), proving.ceiling(evening.saved, 9, [1])]
    for one in ceilings:
        one["desk"]["values"]["input.mute"]["values"][20] = True
    proving.write(evening.file, evening.saved, ceilings)
    slip(evening, 4.5)

    assert [(one["object"], one["weight"]) for one in margins(audit_json(evening, "--all"))] == [({"mix": 2}, "fix")]


def test_filters_that_rose_are_named(evening):
    evening.desk.move("/mix/2/graphic/14", "f", 4.0)
    text = flat(run("audit", evening.show, "--desk", evening.desk.at, "--all").out)

    assert re.search(r"since its mix filters rose by [\d.]+ dB", text)


def test_its_card_puts_it_back(evening):
    input_ = slip(evening, 4.5)
    report = audit_json(evening, "--all")
    card = next(one for one in report["cards"] if one["number"] == margins(report)[0]["card"])

    assert card["kind"] == "put-back"
    assert [(one["parameter"], one["input"], one["mix"]) for one in card["moves"]] == [("send.level", input_, 2)]
    was = evening.saved["values"]["send.level"]["values"][input_ - 1][1]
    assert card["moves"][0]["set_to"] == pytest.approx(was, abs=0.01)


def test_the_cards_are_those_of_the_audit(evening):
    slip(evening, 4.5)
    cards = run("retrim", evening.show, "--desk", evening.desk.at, "--format=json").json()["cards"]

    assert cards == audit_json(evening)["cards"]
    assert cards[0]["kind"] == "put-back"


def test_the_comparison_tells_it_too(evening):
    assert run("approve", evening.show, "--desk", evening.desk.at, "--stop-too").status == 0
    slip(evening, 4.5)
    page = run("compare", evening.show, "--desk", evening.desk.at, "--format=json").json()

    assert [one["object"] for one in page["findings"]["new"] if one["check"] == "margin-left"] == [{"mix": 2}]


def test_a_broken_file_stops_the_audit(evening):
    evening.file.write_text(evening.file.read_text().replace('"Mara"', '"Mary"', 1))
    for command in ("audit", "compare"):
        if command == "compare":
            assert run("approve", evening.show, "--desk", evening.desk.at, "--stop-too").status == 0
        result = run(command, evening.show, "--desk", evening.desk.at)
        assert (result.status, result.out) == (2, "")
        assert "digest: does not fit the text" in result.err


def test_without_a_file_nothing_is_another(tmp_path):
    evening = Evening(tmp_path)
    evening.file.unlink()
    slip(evening, 9)
    report = audit_json(evening, "--all")

    assert margins(report) == []
    assert not [one for one in report["not_known"] if one["check"] == "margin-left"]
    assert report["passed"].get("margin-left", 0) == 0
