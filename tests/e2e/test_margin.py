# SPDX-License-Identifier: MIT
"""What ring-outs proved, through an evening: the watch tells what is left of it, and whose hands took it."""
import json
import re
import signal

import pytest

import proving
from harness import begin_watch, fader_wire, notes, read_json, run, started, until, write_json
from test_proved import Evening, is_open, level
from test_record import lines_of, replay, same

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

    def start(self, *words):
        self.watch, self.seen = begin_watch(self.desk, *self.words, *words, show=self.show)
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
