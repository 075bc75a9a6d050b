# SPDX-License-Identifier: MIT
"""What ring-outs proved, through an evening: the watch tells what is left of it, and whose hands took it."""
import json
import re
import signal

import pytest

import proving
from harness import MockChat, begin_watch, fader_wire, flat, notes, read_json, run, started, unix_connection, until, write_json
from test_proved import Evening, is_open, level
from test_record import lines_of, replay, same, summed

OTHERS = ("value-jumped", "protection-lost", "left-on", "moved-from-approved", "own-send-off-unity", "open-microphones")


class Watched(Evening):
    """That evening, watched: nothing but the margin is looked at where a test asks for no more."""

    def __init__(self, folder, **changes):
        super().__init__(folder)
        show = read_json(self.show)
        show["checks"] = {check: "off" for check in OTHERS}
        show.update(changes)
        write_json(self.show, show)
        self.folder, self.words = folder, ["--still-every", "0", "--keep", folder / "keep"]
        (folder / "keep").mkdir()

    def start(self, *words, env=None):
        self.watch, self.seen = begin_watch(self.desk, *self.words, *words, show=self.show, env=env)
        return self.watch

    def command(self, *words):
        return run(words[0], self.show, *words[1:], "--keep", self.folder / "keep")

    def open_input(self, mix):
        return next(i for i in range(17, 25) if is_open(self.saved, i, mix))

    def send(self, db, mix=2):
        """The send of that input, so much above where it was left."""
        i = self.open_input(mix)
        was = self.saved["values"]["send.level"]["values"][i - 1][mix - 1]
        self.desk.move(level(i, mix), "f", fader_wire(was + db))

    def expect(self, pattern):
        at, _, found = self.watch.expect(pattern, start=self.seen)
        self.seen = at + 1
        return found

    def told(self):
        """What was told so far of the margin: (edge, weight, mix)."""
        line = r"(raised|worse|cleared) (?:(stop|fix|note) )?\[margin-left\] mix (\d+)"
        return [found.groups() for found in (re.search(line, note) for note in notes(self.watch)) if found]

    def quiet_until(self, db, mix):
        """Something else that is surely told behind all that went before."""
        self.send(db, mix)
        self.expect(rf"\[margin-left\] mix {mix} ")


@pytest.fixture(name="evening")
def evening_fixture(tmp_path):
    return Watched(tmp_path)


def test_what_goes_past_what_was_proved_is_told(evening):
    evening.start()
    evening.send(7)
    found = evening.expect(r"raised fix \[margin-left\] mix (\d+)[^:]*: (.*)")

    assert found[1] == "2"
    assert found[2].startswith("1 dB past what the ring-out proved (6 dB right after it), through input ")
    assert "since its send rose by 7 dB" in found[2]
    evening.send(0)
    evening.expect(r"cleared \[margin-left\] mix 2")
    assert [(edge, mix) for edge, _, mix in evening.told()] == [("raised", "2"), ("cleared", "2")]


@pytest.mark.parametrize("db, weight", [(2.5, "note"), (3.5, "fix"), (4.5, "fix")])
def test_little_that_is_left_is_told_by_weight(evening, db, weight):
    evening.start()
    evening.send(db)
    assert evening.expect(r"raised (\w+) \[margin-left\] mix 2")[1] == weight


def test_half_a_decibel_is_no_news(evening):
    evening.start()
    evening.send(0.5)
    evening.send(1.5, mix=1)
    evening.quiet_until(8, mix=3)
    assert evening.told() == [("raised", "fix", "3")]


def test_other_proofs_count_from_a_reload_on(evening):
    evening.start()
    evening.send(3.5)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    proving.write(evening.file, evening.saved, [proving.ceiling(evening.saved, 15)])
    evening.watch.popen.send_signal(signal.SIGHUP)
    evening.expect(r"reloaded: profile unchanged, show file unchanged, proved anew; ")
    proving.write(evening.file, evening.saved, [proving.ceiling(evening.saved, 3)])
    assert "proved anew" in evening.command("reload").out
    evening.expect(r"worse fix \[margin-left\] mix 2.*: 0\.5 dB past what the ring-out proved \(3 dB right after it\)")


def test_what_is_forgotten_counts_no_more(evening):
    proving.write(evening.file, evening.saved, [proving.ceiling(evening.saved, 6), proving.ceiling(evening.saved, 15)])
    evening.start()
    evening.send(2.5)
    evening.quiet_until(7, mix=3)
    assert [mix for _, _, mix in evening.told()] == ["3"]
    assert evening.command("proved", "--forget=2").out.endswith("\nthe running watch took it over\n")
    evening.expect(r"raised note \[margin-left\] mix 2.*: 3\.5 dB left of what the ring-out proved \(6 dB right after it\)")


def test_a_broken_file_ends_no_running_watch(evening):
    evening.start()
    good = evening.file.read_text()
    evening.file.write_text(good.replace('"Mara"', '"Mary"', 1))
    evening.watch.popen.send_signal(signal.SIGHUP)
    evening.expect(r"show\.proved\.json: digest: does not fit the text")
    evening.expect(r"not reloaded: the watch goes on with what it has")
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2.*: 1 dB past")  # the last good one counts
    evening.file.write_text(good)
    evening.watch.popen.send_signal(signal.SIGHUP)
    evening.expect(r"reloaded: profile unchanged, show file unchanged; ")
    assert sum("digest" in line for line in notes(evening.watch)) == 1


def test_a_broken_file_hinders_no_start(evening):
    good = evening.file.read_text()
    evening.file.write_text(good.replace('"Mara"', '"Mary"', 1))
    evening.start()
    told = [line for line in notes(evening.watch) if line.startswith("what was proved is not known: ")]

    assert len(told) == 1
    assert "show.proved.json: digest: does not fit" in told[0] and told[0].endswith("; then `gainwarden reload`")
    evening.file.write_text(good)
    assert "proved anew" in evening.command("reload").out
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")


def test_it_comes_again_out_of_the_recording(evening):
    recording = evening.folder / "show.recording"
    evening.start("--record", recording)
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    proving.write(evening.file, evening.saved, [proving.ceiling(evening.saved, 12)])
    evening.watch.popen.send_signal(signal.SIGHUP)
    evening.expect(r"reloaded: .*proved anew")
    evening.send(14.5)
    evening.expect(r"worse fix \[margin-left\] mix 2.*: 2\.5 dB past what the ring-out proved \(12 dB")
    assert evening.watch.stop() == 0
    evening.file.unlink()
    head, *lines = lines_of(recording)

    assert json.loads(head["proved"])["proved_format"] == 1
    assert [json.loads(line["files"]["proved"])["ceilings"][0]["step_db"] for line in lines if "files" in line] == [0.5]
    same(evening.watch.out.texts(), replay(recording))


def test_a_recording_without_proofs_tells_nothing_of_them(evening):
    recording = evening.folder / "show.recording"
    evening.file.unlink()
    evening.start("--record", recording)
    evening.send(7)
    until(lambda: evening.watch.out.count() >= 1)
    assert evening.watch.stop() == 0
    again = replay(recording)

    assert "proved" not in lines_of(recording)[0]
    assert not [line for line in again if "margin-left" in line]
    same(evening.watch.out.texts(), again)


def test_a_restart_tells_nothing_twice(evening):
    evening.start()
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    kept = evening.folder / "keep"
    until(lambda: any("margin-left" in one.read_text() for one in kept.glob("*.kept")))
    evening.watch.kill()
    started.remove(evening.watch)
    evening.start()
    evening.quiet_until(8, mix=3)
    assert evening.told() == [("raised", "fix", "3")]
    evening.send(0, mix=3)  # not known while mix 2 stands above all that was proved
    evening.send(0)
    evening.expect(r"\[margin-left\] is over|cleared \[margin-left\]|over: .*margin-left")


# ---- where it is to be seen ----

STAGE = "; ring out again after the stage has moved"


def proved_of(text):
    """The lines of the list on a page of the screen, each flat."""
    return [flat(line) for line in re.findall(r"^\d [^\n]*(?:\n {4}[^\n]*)*", text.partition("\nProved (")[2], re.M)]


def test_the_screen_says_what_is_left_of_each_mix(evening):
    evening.start()
    evening.send(1.5)

    def lines():
        page = evening.command("watch", "--join")
        return proved_of(page.out) if "since its send rose" in page.out else None

    shown = until(lines)
    # what mix 1 was pushed to was proved with mix 2 where it stood
    assert re.match(r"1 Ld Vox wedge 6 dB proved left, through input \d+ \S.*; proved 2026-06-13 17:42, \d+ days ago"
                    rf"{STAGE}$",
                    shown[0])
    assert re.match(r"2 Gtr wedge 4\.5 dB proved left, through input 17 Tenor Sax, since its send rose by 1\.5 dB; "
                    rf"not pushed itself: up to 1 dB less \(since \d\d:\d\d\); proved 2026-06-13 17:42, \d+ days ago{STAGE}$", shown[1])
    assert not [line for line in shown if "IEM" in line]  # in-ear mixes have none


def test_what_another_mix_took_away_is_named_and_told_of_nobody_else(evening):
    evening.start()
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    page = evening.command("watch", "--join").out

    assert any(line.startswith("3 Keys wedge no proof since mix 2 Gtr wedge moved") for line in proved_of(page))
    assert any(line.startswith("2 Gtr wedge 1 dB past what was proved") for line in proved_of(page))
    assert evening.told() == [("raised", "fix", "2")]


def test_what_closed_makes_it_less_sure_and_raises_nothing(evening):
    evening.start()
    evening.desk.move("/in/18/open", "i", 0)
    shown = until(lambda: [line for line in evening.command("status").out.splitlines() if "less sure" in line])

    assert any("it is up to so much less sure since input 18" in line for line in shown)
    evening.quiet_until(8, mix=2)
    assert evening.told() == [("raised", "fix", "2")]


def test_single_proofs_are_called_alone(evening):
    single = proving.ceiling(evening.saved, 4.5, [1], mix=1)
    for mix in range(1, 8):
        single["desk"]["values"]["mix.mute"]["values"][mix] = True
    proving.write(evening.file, evening.saved, [single])
    evening.start()
    status = evening.command("status", "--format=json").json()
    line = next(line for line in status["proved"] if line.startswith("1 Ld Vox wedge"))

    assert "alone 4.5 dB" in line and "proved left" not in line and line.endswith(STAGE)
    assert not [one for one in status["findings"] if one["check"] == "margin-left"]
    assert "margin-left, mix 1 Ld Vox wedge: " in flat(evening.command("watch", "--join").out)


def test_a_broken_file_is_to_be_seen(evening):
    evening.file.write_text(evening.file.read_text().replace('"Mara"', '"Mary"', 1))
    evening.start()
    assert re.search(r"^proved: not known: .*show\.proved\.json: digest: ", evening.command("status").out, re.M)


def test_every_sink_is_told_of_a_slip_and_no_other_mix_is_named(tmp_path):
    chat, lines = MockChat(tmp_path / "hook.jsonl"), tmp_path / "lines.jsonl"
    tell = {"chat": {"url_env": "GW_TEST_HOOK"}, "lines": {"file": str(lines)},
            "heartbeat": {"file": str(tmp_path / "beat"), "every_s": 1}}
    evening = Watched(tmp_path, tell=tell)
    recording = tmp_path / "show.recording"
    evening.start("--record", recording, env={"GW_TEST_HOOK": chat.url})
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    texts = until(lambda: [text for text in chat.texts() if "margin-left" in text])
    edges = until(lambda: [one for one in lines_of(lines) if one.get("finding", {}).get("check") == "margin-left"])

    assert "mix 2 Gtr wedge" in texts[0] and "1 dB past what the ring-out proved" in texts[0]
    assert [(one["event"], one["finding"]["object"]) for one in edges] == [("raised", {"mix": 2})]
    assert edges[0]["finding"]["figures"]["past_db"] == pytest.approx(1, abs=0.1)
    status = evening.command("status", "--format=json").json()
    assert [one["object"] for one in status["findings"] if one["check"] == "margin-left"] == [{"mix": 2}]
    assert evening.watch.stop() == 0
    same(evening.watch.out.texts(), replay(recording))


# ---- a ring-out that is followed ----

def with_holds(recording, lines, folder, *requests):
    """The recording, in which somebody followed a ring-out from the first packet behind the page on."""
    at = next(i for i, line in enumerate(lines) if line.get("link") == "steady") + 1
    asked = [{"t": lines[at - 1]["t"], "asked": request, "more": True} for request in requests]
    held = folder / "held.recording"
    held.write_text(summed([*lines[:at], *asked, *lines[at:]]))
    return held


@pytest.mark.parametrize("request_, held", [({"do": "hold", "mix": 2}, True), ({"do": "hold"}, True),
                                            ({"do": "hold", "mix": 3}, False)], ids=["the mix", "all", "another"])
def test_a_recorded_ring_out_is_held_again(evening, request_, held):
    recording = evening.folder / "show.recording"
    evening.start("--record", recording)
    evening.send(7)
    evening.expect(r"raised fix \[margin-left\] mix 2")
    assert evening.watch.stop() == 0
    again = replay(with_holds(recording, lines_of(recording), evening.folder, request_))

    assert bool([line for line in again if "raised fix [margin-left] mix 2" in line]) != held


def test_nobody_can_ask_for_the_hold_alone(evening):
    evening.start()
    (path,) = (evening.folder / "keep").glob("*.socket")
    with unix_connection(path) as peer:
        peer.sendall(b'{"do":"hold","mix":2}\n')
        answer = json.loads(peer.makefile().readline())
    assert (answer["ok"], answer["error"]) == (False, "the watch knows no such request")


def test_the_audits_page_says_what_is_left(evening):
    evening.send(1.5)

    def html():
        return flat(run("audit", evening.show, "--desk", evening.desk.at, "--format=html").out)

    until(lambda: "since its send rose by" in html())
    page = html()

    assert "<h2>What ring-outs proved</h2>" in page
    assert ("<li><bdi>mix 2 Gtr wedge: 4.5 dB proved left, through input 17 Tenor Sax, since its send rose by 1.5 dB; not pushed itself: up "
            "to 1 dB less</bdi></li>") in page
    assert "Ring out again after the stage has moved." in page
    text = flat(run("audit", evening.show, "--desk", evening.desk.at).out)
    assert text.count("Left of what ring-outs proved mix 1 Ld Vox wedge 6 dB, mix 2 Gtr wedge 4.5 dB, mix 3 Keys wedge 6 dB") == 1
    assert ("`gainwarden proved SHOW` says through what. From the desk's numbers alone: it says nothing of "
            "what moved outside the desk.") in text
    evening.send(7)
    until(lambda: "mix 2 Gtr wedge 1 dB past it, mix 3 Keys wedge no proof" in flat(
        run("audit", evening.show, "--desk", evening.desk.at).out))
    evening.file.unlink()
    assert "ring-outs proved" not in flat(run("audit", evening.show, "--desk", evening.desk.at).out)
    assert "ring-outs proved" not in html()
