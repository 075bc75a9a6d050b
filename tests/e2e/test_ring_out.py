# SPDX-License-Identifier: MIT
"""A ring-out that is followed: what is told, what is kept and where, over the desk or over the watch that speaks to it
already; and whatever goes wrong on the way leaves no wrong proof and takes away none that was there.
"""
import json
import os
import pathlib
import pty
import random
import re
import shutil
import signal
import subprocess
import time

import pytest

from harness import (BUILD, PROFILE, SHOW, STATE, MockDesk, Process, begin_watch, demo_show, fader_wire, head_wire,
                     read_json, run, show_at_once, started, until, write_json)
from test_read_only import only_reads
from test_screen import terminals  # pylint: disable=unused-import
from test_sinks import fill, in_own_mounts

STANDS_S = 4.5  # so long a state must stand
CARE = "Ringing out damages hearing"


def rung_out_state(folder):
    """The demo's desk as one rings it out: no gates, and the singer's preamp at its lowest."""
    state = read_json(STATE)
    for one in state["inputs"]:
        one.setdefault("gate", {})["on"] = False
    state["inputs"][17]["gain"] = 10
    return write_json(folder / "state.json", state)


def make_ready(desk):
    """Mix 1 through input 18, by the book."""
    for i in range(1, 25):
        desk.move(f"/in/{i}/open", "i", int(i == 18))
    desk.move("/in/18/head/gain", "f", head_wire(-4))
    desk.move("/in/18/to/1/level", "f", fader_wire(0))


class RingOut:
    """Somebody rings mix 1 out through input 18, and gainwarden follows."""

    def __init__(self, folder, *words, show=None, desk=None, mix=1, gain=10, over=None):
        self.desk = desk or MockDesk(state=rung_out_state(folder), log=folder / "log")
        self.show = show or demo_show(folder)
        self.file = folder / "show.proved.json"
        where = ["--desk", self.desk.at] if over is None else []
        self.process = Process(*(over or []), BUILD / "gainwarden", "ring-out", self.show, "--format=json", "--mix", mix,
                               *where, *words)
        self.process.name = "gainwarden"  # whatever ran it
        self.seen = 0
        self.wait("next")
        self.gain = gain
        self.up()
        self.rise = self.wait("rise")

    def events(self, kind=None):
        found = [json.loads(line) for line in self.process.out.texts()]
        return [one for one in found if kind in (None, one["event"])]

    def wait(self, kind):
        """The next of that kind."""
        self.seen, _, _ = self.process.expect(f'"event":"{kind}"', start=self.seen)
        self.seen += 1
        return json.loads(self.process.out.texts()[self.seen - 1])

    def up(self, db=1):
        self.gain += db
        self.desk.move("/in/18/head/gain", "f", head_wire(self.gain))

    def prove(self):
        """Steps up, each after a state that stood: one that stood long enough is a ceiling, also where the machine
        takes its time."""
        before = len(self.events("proved"))
        for _ in range(10):
            self.up()
            time.sleep(STANDS_S)
            if len(self.events("proved")) > before:
                break
        return self.wait("proved")

    def cut(self, band=20, db=-6.0):
        self.desk.move(f"/mix/1/graphic/{band}", "f", db)

    def back(self):
        self.up(-7)

    def end(self, number=signal.SIGINT):
        status = self.process.stop(number)
        return status, self.events()[-1]

    def kept(self):
        return read_json(self.file)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_from_the_cautions_to_what_is_kept(tmp_path, number):
    ring_out = RingOut(tmp_path, "--by", "Mara", "--note", "after line check")
    told = ring_out.events()
    assert CARE in told[0]["says"] and told[0]["event"] == "caution"
    assert [one["event"] for one in told[:5]] == ["caution"] * 5
    items = {one["item"]: one["says"] for one in ring_out.events("not-ready")}
    assert "its equaliser is not flat" in items["equaliser-not-flat"]
    assert ring_out.rise["input"] == 18
    assert ring_out.prove()["mix"] == 1
    assert "; 1 dB past what was proved (in steps of 1 dB)" in ring_out.wait("figures")["says"]
    until(ring_out.file.exists)
    time.sleep(STANDS_S)
    ring_out.cut()
    ring = ring_out.wait("ring")
    assert ring["db"] == pytest.approx(6, abs=0.1) or ring["db"] == pytest.approx(-6, abs=0.1)
    ring_out.up()
    ring_out.back()
    ring_out.wait("step-back")
    status, last = ring_out.end(number)
    assert status == 0
    assert last["says"] == f"kept in {ring_out.file}: `gainwarden proved` lists it"
    ceilings = ring_out.kept()["ceilings"]
    assert ceilings and {(one["by"], one["note"]) for one in ceilings} == {("Mara", "after line check")}
    left = ring_out.kept()["left"]["desk"]["values"]["input.preamp_gain"]["values"][17]
    assert left == pytest.approx(ring_out.gain, abs=0.1)
    page = run("proved", ring_out.show, "--desk", ring_out.desk.at, "--format=json").json()
    assert len(page["ceilings"]) == len(ceilings)
    # nothing was said twice but how it stands
    names = [one["event"] for one in ring_out.events() if one["weight"] in ("mistake", "warning", "advice")]
    once = [name for name in names if name not in ("caution", "next", "not-ready")]
    assert len(once) == len(set(once))
    # and the desk was only read
    only_reads([data for _, _, data in ring_out.desk.heard()])


def test_a_fader_that_is_dragged_down_is_one_ring(tmp_path):
    ring_out = RingOut(tmp_path)
    for step in range(1, 31):
        ring_out.cut(db=-0.2 * step)
        time.sleep(0.02)
    until(lambda: sum(one["db"] for one in ring_out.events("ring")) > 5.99)
    assert len(ring_out.events("ring")) < 10  # on a machine that stops now and then
    assert ring_out.end()[0] == 0


def test_a_cut_that_was_seen_is_told_though_it_ends(tmp_path):
    ring_out = RingOut(tmp_path)
    ring_out.cut()
    until(lambda: any("cut until it is silent" in one["says"] for one in ring_out.events("next")))
    assert ring_out.end()[0] == 0
    assert [one["db"] for one in ring_out.events("ring")] == [6]


def test_lines_where_there_is_no_terminal(tmp_path):
    desk = MockDesk(state=rung_out_state(tmp_path))
    process = Process(BUILD / "gainwarden", "ring-out", demo_show(tmp_path), "--desk", desk.at, "--mix=1")
    process.expect("not ready: more than one microphone is open into it")  # the singer's guitar is the other
    process.expect("next: make mix 1 Ld Vox wedge ready")
    make_ready(desk)
    process.expect("next: raise mix 1 Ld Vox wedge 1 dB at a time, to the first ring")
    assert process.stop(signal.SIGINT) == 0
    lines = process.out.texts()
    assert re.fullmatch(rf"\d\d:\d\d:\d\d {CARE}.*", lines[0])
    assert lines[-1][9:] == "nothing was proved, and nothing is kept"
    assert not (tmp_path / "show.proved.json").exists()


def test_every_wedge_where_none_is_named(tmp_path):
    desk = MockDesk(state=rung_out_state(tmp_path))
    process = Process(BUILD / "gainwarden", "ring-out", demo_show(tmp_path), "--desk", desk.at)
    process.expect("next: ")
    assert process.stop(signal.SIGINT) == 0
    assert not [line for line in process.out.texts() if "IEM" in line]


@pytest.mark.parametrize("words, told", [
    (["--mix=8"], "--mix: that mix feeds ears, which nobody rings out"),
    (["--mix=40"], "--mix: the desk has no such mix"),
    (["--note", "x" * 2000], "--note: is longer than "),
    (["--format=html"], "--format=html: allowed are text and json"),
])
def test_what_cannot_be_followed_is_told(tmp_path, words, told):
    desk = MockDesk(state=rung_out_state(tmp_path))
    result = run("ring-out", demo_show(tmp_path), "--desk", desk.at, *words)
    assert result.status == 2 and f"gainwarden: {told}" in result.err
    assert not (tmp_path / "show.proved.json").exists()


def test_more_wedges_than_can_be_kept(tmp_path):
    """Each mix alone and pushed, and all together: 31 mixes fit into 64 ceilings."""
    state, profile, show = read_json(STATE), read_json(PROFILE), read_json(SHOW)
    state["counts"]["mixes"] = profile["counts"]["mix"] = 32
    state["mixes"] = [{"name": f"Wedge {mix}"} for mix in range(1, 33)]
    for one in state["inputs"]:
        one.pop("send_levels", None)
    write_json(tmp_path / "barn-desk.json", profile)
    show["mixes"], show["accept"] = {str(mix): {"feeds": "wedge"} for mix in range(1, 33)}, []
    show["desk"].pop("stage")
    desk, path = MockDesk(state=write_json(tmp_path / "state.json", state)), write_json(tmp_path / "show.json", show)
    result = run("ring-out", path, "--desk", desk.at, "--plain", "--yes")
    assert result.status == 2
    assert "gainwarden: too many mixes feed loudspeakers to follow all of them: --mix=N follows one" in result.err
    process = Process(BUILD / "gainwarden", "ring-out", path, "--desk", desk.at, "--plain", "--yes", "--mix=32")
    process.expect("next: ")
    assert process.stop(signal.SIGINT) == 0


def test_which_show():
    assert run("ring-out").err == "gainwarden: which show: name its show file\n"


# ---- what happens on the way ----

def test_a_lost_desk_proves_nothing(tmp_path):
    ring_out = RingOut(tmp_path)
    ring_out.prove()
    kept = until(ring_out.file.exists) and len(ring_out.kept()["ceilings"])
    port = ring_out.desk.port
    ring_out.desk.stop()
    assert ring_out.wait("link-lost")["weight"] == "warning"
    assert "do not push" in ring_out.wait("next")["says"]
    state = read_json(tmp_path / "state.json")
    state["inputs"][17]["gain"] = 30  # meanwhile somebody pushed it
    ring_out.desk = MockDesk(state=write_json(tmp_path / "other.json", state), port=port)
    ring_out.wait("link-back")
    time.sleep(STANDS_S)
    status, _ = ring_out.end()
    assert status == 0
    gains = [one["desk"]["values"]["input.preamp_gain"]["values"][17] for one in ring_out.kept()["ceilings"]]
    assert len(gains) == kept and max(gains) < 29


def test_a_recall_is_named_and_proves_nothing(tmp_path):
    ring_out = RingOut(tmp_path)
    time.sleep(2)
    for i in range(1, 17):
        ring_out.desk.move(f"/in/{i}/head/gain", "f", head_wire(40))
        ring_out.desk.move(f"/in/{i}/to/1/level", "f", fader_wire(-3))
        ring_out.desk.move(f"/in/{i}/gate/threshold", "f", -41.0)
    assert ring_out.wait("recall")["weight"] == "warning"
    time.sleep(STANDS_S + 2.5)
    status, last = ring_out.end()
    assert status == 0 and last["says"] == "nothing was proved, and nothing is kept"


def test_all_masters_by_one_hand_are_no_recall(tmp_path):
    ring_out = RingOut(tmp_path)
    for i in range(1, 25):
        ring_out.desk.move(f"/in/{i}/head/gain", "f", head_wire(12))
    time.sleep(3)
    assert not ring_out.events("recall")
    ring_out.end()


# ---- over the watch ----

def watched_show(folder, desk, **changes):
    """A show file that says where the desk is, so that the watch and the ring-out need no --desk."""
    show = show_at_once(folder, **changes)
    value = read_json(show)
    value["desk"].update(host=desk.host, port=desk.port)
    return write_json(show, value)


class Watched:
    """The same, while a watch of the show runs."""

    def __init__(self, folder):
        self.desk = MockDesk(state=rung_out_state(folder), log=folder / "log")
        self.show = watched_show(folder, self.desk, checks={"value-jumped": {}})
        self.keep = folder / "keep"
        self.watch, self.seen = begin_watch(self.desk, "--keep", self.keep, show=self.show)
        self.ring_out = RingOut(folder, "--keep", self.keep, show=self.show, desk=self.desk, over=[])


def test_over_the_watch(tmp_path):
    """One conversation with the desk; what is pushed on purpose is not told; and what was proved counts at once."""
    watched = Watched(tmp_path)
    ring_out = watched.ring_out
    assert ring_out.events("begun")[0]["says"].startswith("following over the running watch;")
    asked = {source for _, source, _ in watched.desk.heard()}
    assert len(asked) == 1
    ring_out.prove()
    watched.desk.move("/in/18/to/1/level", "f", fader_wire(10))
    until(lambda: "held back by ring-out of mix 1" in run("status", watched.show, "--keep", watched.keep).out)
    watched.desk.move("/in/18/to/1/level", "f", fader_wire(-14))
    status, last = ring_out.end()
    assert status == 0 and str(ring_out.file) in last["says"]
    assert ring_out.process.err.texts()[-1] == "the running watch took it over"
    until(lambda: "ring-out of mix" not in run("status", watched.show, "--keep", watched.keep).out)
    assert {source for _, source, _ in watched.desk.heard()} == asked
    assert watched.watch.stop() == 0


def test_the_watch_takes_what_a_killed_ring_out_kept(tmp_path):
    watched = Watched(tmp_path)
    watched.ring_out.prove()
    until(watched.ring_out.file.exists)
    status = ["status", watched.show, "--keep", watched.keep]
    assert "proved: " not in run(*status).out
    watched.ring_out.process.kill()
    started.remove(watched.ring_out.process)  # it did not end well, and was not to
    until(lambda: "proved: 1 Ld Vox wedge" in run(*status).out)
    watched.watch.expect("proved anew", start=watched.seen)
    assert "ring-out of mix" not in run(*status).out
    assert watched.watch.stop() == 0


def test_a_watch_that_ends_is_followed_by_the_desk(tmp_path):
    watched = Watched(tmp_path)
    ring_out = watched.ring_out
    assert watched.watch.stop() == 0
    ring_out.wait("link-lost")
    ring_out.wait("link-back")
    ring_out.up()
    ring_out.prove()
    assert len({source for _, source, _ in watched.desk.heard()}) == 2
    assert ring_out.end()[0] == 0
    only_reads([data for _, _, data in watched.desk.heard()])


def stop_for(process, seconds):
    """As Ctrl-Z and fg do, or a computer that sleeps."""
    process.popen.send_signal(signal.SIGSTOP)
    time.sleep(seconds)
    process.popen.send_signal(signal.SIGCONT)


@pytest.mark.limit(60)
@pytest.mark.parametrize("seconds", [2, 8])
def test_one_that_was_stopped_goes_on(tmp_path, seconds):
    """What came meanwhile is read first: nothing was lost."""
    watched = Watched(tmp_path)
    stop_for(watched.ring_out.process, seconds)
    watched.ring_out.prove()
    assert not watched.ring_out.events("link-lost")
    assert watched.ring_out.end()[0] == 0
    assert watched.watch.stop() == 0


def proves_no_more_than_stands(ring_out):
    """What stood before the last step did not stand long enough; a slow machine may prove what stands now."""
    time.sleep(1)
    assert ring_out.end()[0] == 0
    kept = ring_out.kept()["ceilings"] if ring_out.file.exists() else []
    gains = [one["desk"]["values"]["input.preamp_gain"]["values"][17] for one in kept]
    assert all(gain > ring_out.gain - 1 for gain in gains), gains


def test_what_moved_while_it_was_stopped_did_not_stand(tmp_path):
    """It is read before what stood is judged: else what stood for two seconds and then howled would be proved."""
    ring_out = RingOut(tmp_path)
    ring_out.up()
    time.sleep(1)
    ring_out.process.popen.send_signal(signal.SIGSTOP)
    time.sleep(1)
    ring_out.up(6)
    time.sleep(STANDS_S + 2)
    ring_out.process.popen.send_signal(signal.SIGCONT)
    proves_no_more_than_stands(ring_out)


@pytest.mark.limit(60)
@pytest.mark.parametrize("over_the_watch", [False, True])
def test_what_moved_while_the_desk_was_silent_did_not_stand(tmp_path, over_the_watch):
    """Packets that were held up for less than makes a desk lost: nobody knows when what they tell of moved."""
    ring_out = Watched(tmp_path).ring_out if over_the_watch else RingOut(tmp_path)
    ring_out.up()
    time.sleep(1)
    ring_out.desk.popen.send_signal(signal.SIGSTOP)
    time.sleep(1)
    ring_out.up(6)
    time.sleep(STANDS_S - 1.5)
    ring_out.desk.popen.send_signal(signal.SIGCONT)
    proves_no_more_than_stands(ring_out)


@pytest.mark.limit(80)
def test_a_watch_that_was_stopped_is_followed_again(tmp_path):
    """Whoever called it meanwhile and left is not the one that is followed."""
    watched = Watched(tmp_path)
    stop_for(watched.watch, 18)
    watched.ring_out.wait("link-lost")
    watched.ring_out.wait("link-back")
    watched.ring_out.up()
    watched.ring_out.prove()
    assert watched.ring_out.end()[0] == 0
    assert watched.watch.stop() == 0


def test_a_second_ring_out_is_refused_over_the_watch(tmp_path):
    watched = Watched(tmp_path)
    result = run("ring-out", watched.show, "--keep", watched.keep)
    assert result.status == 2
    assert f"{watched.show}: another ring-out of this show is being followed already; end that first" in result.err
    assert watched.ring_out.end()[0] == 0


def test_a_second_ring_out_is_refused_over_the_desk(tmp_path):
    """The two would prove the same in the same second, and each take the other's for its own."""
    ring_out = RingOut(tmp_path)
    result = run("ring-out", ring_out.show, "--desk", ring_out.desk.at, "--mix=1")
    assert result.status == 2
    assert f"{ring_out.show}: another ring-out of this show is being followed already; end that first" in result.err
    ring_out.prove()
    assert ring_out.end()[0] == 0
    assert ring_out.kept()["ceilings"]


# ---- what is kept ----

def test_killed_at_any_moment(tmp_path):
    """What was proved before is still there, and what is there is whole."""
    dice = random.Random(os.environ.get("GW_SEED"))
    first = RingOut(tmp_path)
    first.prove()
    until(first.file.exists)
    assert first.end()[0] == 0
    before = {one["at"] for one in first.kept()["ceilings"]}
    gain = first.gain
    for _ in range(3):
        again = RingOut(tmp_path, show=first.show, desk=first.desk, gain=gain)
        end = time.monotonic() + dice.uniform(0.5, 3 * STANDS_S)
        while time.monotonic() < end:
            again.up(0.5)
            time.sleep(min(STANDS_S, max(0, end - time.monotonic())))
        again.process.kill()
        started.remove(again.process)  # it did not end well, and was not to
        gain = again.gain
        result = run("proved", first.show, "--desk", first.desk.at, "--format=json")
        assert result.status == 0, result.err
        assert before <= {one["at"] for one in result.json()["ceilings"]}


def test_what_was_kept_before_stays_beside(tmp_path):
    ring_out = RingOut(tmp_path)
    ring_out.prove()
    assert ring_out.end()[0] == 0
    before = ring_out.file.read_bytes()
    again = RingOut(tmp_path, show=ring_out.show, desk=ring_out.desk, gain=ring_out.gain)
    again.prove()
    assert again.end()[0] == 0
    assert (tmp_path / "show.proved.json.1").read_bytes() == before
    count = len(json.loads(before)["ceilings"])
    assert [one["at"] for one in again.kept()["ceilings"]][:count] == [one["at"] for one in json.loads(before)["ceilings"]]
    assert len(again.kept()["ceilings"]) > count


def test_a_damaged_file_is_told_before_it_begins(tmp_path):
    show = demo_show(tmp_path)
    (tmp_path / "show.proved.json").write_text('{"proved_format": 1}')
    result = run("ring-out", show, "--desk", "127.0.0.1:9")
    assert result.status == 2 and "digest" in result.err
    assert (tmp_path / "show.proved.json").read_text() == '{"proved_format": 1}'


def test_the_cure_of_a_renamed_show(tmp_path):
    """What stands in the way is not written over, and moved away it stands in nobody's way."""
    ring_out = RingOut(tmp_path)
    ring_out.prove()
    assert ring_out.end()[0] == 0
    write_json(ring_out.show, {**read_json(ring_out.show), "show": "Ostrel Barn, Sunday"})
    result = run("ring-out", ring_out.show, "--desk", ring_out.desk.at, "--mix=1")
    assert result.status == 2 and "or move the file away and ring out again" in result.err
    ring_out.file.rename(tmp_path / "before.json")
    again = RingOut(tmp_path, show=ring_out.show, desk=ring_out.desk, gain=ring_out.gain)
    again.prove()
    assert again.end()[0] == 0
    assert again.kept()["show"] == "Ostrel Barn, Sunday"


@pytest.fixture(name="mounts")
def mounts_fixture():
    return in_own_mounts() or pytest.skip("namespaces are refused here")


def test_beside_a_show_in_a_folder_nobody_may_write_to(tmp_path, mounts):
    folder, keep, desk = tmp_path / "shows", tmp_path / "keep", MockDesk(state=rung_out_state(tmp_path))
    folder.mkdir()
    show = demo_show(folder)
    read_only = [*mounts, "sh", "-c", f'mount --bind {folder} {folder} && mount -o remount,ro,bind {folder} && exec "$@"',
                 "sh"]
    ring_out = RingOut(tmp_path, "--keep", keep, "--desk", desk.at, show=show, desk=desk, over=read_only)
    ring_out.prove()
    status, last = ring_out.end()
    (file,) = keep.glob("*.proved.json")
    assert status == 0 and str(file) in last["says"]
    assert run("proved", show, "--keep", keep, "--desk", desk.at).status == 0


def test_a_full_disk(tmp_path, mounts):
    """It is told once and tried again: nothing is lost while it runs, and there it is once there is room."""
    disk, show, desk = tmp_path / "disk", demo_show(tmp_path), MockDesk(state=rung_out_state(tmp_path))
    disk.mkdir()
    own = [*mounts, "sh", "-c", f'mount -t tmpfs -o size=2m tmpfs {disk} && cp {show} {disk}/show.json && exec "$@"', "sh"]
    ring_out = RingOut(tmp_path, "--desk", desk.at, show=disk / "show.json", desk=desk, over=own)
    inside = pathlib.Path(f"/proc/{ring_out.process.popen.pid}/root{disk}")
    fill(inside / "filler")
    ring_out.prove()
    assert re.search(r"No space left on device; tried again every 5 s$", ring_out.wait("not-kept")["says"])
    time.sleep(6)
    assert len(ring_out.events("not-kept")) == 1
    assert sorted(os.listdir(inside)) == ["filler", "show.json"]
    (inside / "filler").unlink()
    assert ring_out.wait("kept")["says"] == "kept now"
    assert len(read_json(inside / "show.proved.json")["ceilings"]) == 1
    assert ring_out.end()[0] == 0


def test_a_disk_that_stays_full(tmp_path, mounts):
    disk, show, desk = tmp_path / "disk", demo_show(tmp_path), MockDesk(state=rung_out_state(tmp_path))
    disk.mkdir()
    own = [*mounts, "sh", "-c", f'mount -t tmpfs -o size=2m tmpfs {disk} && cp {show} {disk}/show.json && exec "$@"', "sh"]
    ring_out = RingOut(tmp_path, "--desk", desk.at, show=disk / "show.json", desk=desk, over=own)
    fill(pathlib.Path(f"/proc/{ring_out.process.popen.pid}/root{disk}") / "filler")
    ring_out.prove()
    status, last = ring_out.end()
    assert (status, last["weight"]) == (2, "warning")
    assert last["says"] == f"what was proved is NOT kept: {disk}/show.proved.json cannot be written"


# ---- where it is told ----

def test_a_terminal_that_vanishes(tmp_path):
    """A terminal keeps nothing back: what could not be written is gone when the last line is."""
    ours, terminal = pty.openpty()
    desk, show = MockDesk(state=rung_out_state(tmp_path)), demo_show(tmp_path)
    words = [BUILD / "gainwarden", "ring-out", show, "--desk", desk.at, "--mix=1", "--plain"]
    with subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=terminal, stderr=subprocess.PIPE, text=True,
                          start_new_session=True) as process:
        os.close(terminal)
        assert os.read(ours, 1)
        os.close(ours)
        desk.move("/in/18/head/gain", "f", head_wire(20))
        assert process.communicate(timeout=60)[1].splitlines() == [
            "gainwarden: cannot write to standard output: Input/output error"]
        assert process.returncode == 2


# ---- the screen ----

@pytest.mark.skipif(not shutil.which("tmux"), reason="no tmux here")
def test_the_screen(tmp_path, terminals):
    desk = MockDesk(state=rung_out_state(tmp_path))
    show, terminal = demo_show(tmp_path), terminals()
    terminal.type(f"{BUILD.resolve()}/gainwarden ring-out {show} --desk {desk.at} --mix 1; echo status $?", "Enter")
    terminal.until("^next: make mix 1 Ld Vox wedge ready")
    terminal.until(CARE)
    terminal.until("^not ready: more than one microphone is open into it")
    terminal.until("^not ready: its equaliser is not flat")
    make_ready(desk)
    terminal.until("^next: raise mix 1 Ld Vox wedge 1 dB at a time")
    assert "more than one microphone" not in "\n".join(terminal.lines())
    assert re.fullmatch(r"\d\d:\d\d:\d\d  Ostrel Barn, Saturday: ring-out", terminal.lines()[0])
    terminal.type("l")
    terminal.until("^\u2588  \u2588 \u2588{3} +\u2588 +")  # UP 1
    desk.move("/in/18/head/gain", "f", head_wire(-3))
    terminal.type("l")
    terminal.until(r"up: mix 1 Ld Vox wedge")
    assert CARE not in "\n".join(terminal.lines())
    terminal.type("q")
    terminal.until(r"nothing was proved, and nothing is kept\nstatus 0$")


def replaced(file):
    """As an editor saves: another file under the same name."""
    beside = file.with_suffix(".saved")
    beside.write_bytes(file.read_bytes())
    beside.rename(file)


def test_a_second_ring_out_is_refused_where_an_editor_put_another_show_file(tmp_path):
    keep = tmp_path / "keep"
    ring_out = RingOut(tmp_path, "--keep", keep)
    replaced(ring_out.show)
    for _ in range(2):  # who is refused takes nothing away
        result = run("ring-out", ring_out.show, "--desk", ring_out.desk.at, "--mix=1", "--keep", keep)
        assert result.status == 2
        assert f"{ring_out.show}: another ring-out of this show is being followed already; end that first" in result.err
    assert [one.suffix for one in keep.iterdir()] == [".ring-out"]
    assert ring_out.end()[0] == 0
    assert not list(keep.iterdir())


def test_what_a_crash_leaves_of_a_ring_out_locks_nobody_out(tmp_path):
    keep = tmp_path / "keep"
    first = RingOut(tmp_path, "--keep", keep)
    first.process.kill()
    started.remove(first.process)  # it did not end well, and was not to
    assert list(keep.iterdir())
    replaced(first.show)
    second = RingOut(tmp_path, "--keep", keep, show=first.show, desk=first.desk, gain=first.gain)
    assert second.end()[0] == 0
