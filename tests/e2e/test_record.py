# SPDX-License-Identifier: MIT
"""A watch that is recorded and run once more: the same lines at the same times, out of the recording alone."""
import collections
import itertools
import json
import pathlib
import re
import signal
import socket
import time

import pytest

import osc
from harness import (BUILD, PROFILE, QUESTIONS, SHOW, STATE, MockChat, MockDesk, OwnDesk, Process, begin_watch,
                     below_heading, demo_show, fader_wire, goal, head_wire, notes, read_json, run, show_at_once, started, told_lines,
                     write_json)
from test_hostile import TcpDesk
from test_tcp import FRAME, PACKETS, masters
from test_watch import LEAPING, scene, traffic, up

REFERENCE = pathlib.Path(__file__).resolve().parents[1] / "reference"
DRUM_FILL = "/mix/6/fader"


def protected(folder):
    """The demo's desk with a limiter on both in-ear mixes."""
    state = read_json(STATE)
    state["mixes"][7]["limiter"]["on"] = True
    return write_json(folder / "state.json", state)


def real_show(folder, **changes):
    """With all checks, and with holds."""
    show = show_at_once(folder, watch={"raise_after_s": 1, "clear_after_s": 1}, **changes)
    content = read_json(show)
    content["checks"] = {}
    return write_json(show, content)


def split(line):
    """Seconds of the day (of a page: when it was read), how long it lasted, and the rest; None for what a line does not say."""
    at = re.match(r"(\d\d):(\d\d):(\d\d) ", line) or re.search(r"\d{4}-\d\d-\d\dT(\d\d):(\d\d):(\d\d)\S+", line)
    lasted = re.search(r" after (\d+\.\d) s$", line)
    hours, minutes, seconds = map(int, at.groups()) if at else (None, None, None)
    return (hours * 3600 + minutes * 60 + seconds if at else None, float(lasted.group(1)) if lasted else None,
            line[:at.start() if at else 0] + line[at.end() if at else 0:lasted.start() if lasted else None])


def same(live, again):
    """Word for word; what fell into the last or first ms of a second, or of a tenth, may have been told in the other."""
    live, again = told_lines(live), told_lines(again)
    assert [split(line)[2] for line in again] == [split(line)[2] for line in live]
    for one, other in zip(live, again):
        (at, lasted, _), (at_again, lasted_again, _) = split(one), split(other)
        assert (at is None) == (at_again is None) and (lasted is None) == (lasted_again is None), (one, other)
        assert at is None or (at - at_again + 1) % 86400 <= 2, (one, other)
        assert lasted is None or abs(lasted - lasted_again) < 0.11, (one, other)


def lines_of(path):
    return [json.loads(line) for line in path.read_text().splitlines()]


def replay(recording, *words, err=""):
    result = run("replay", recording, *words)
    assert result.status == 0, result.err
    assert re.fullmatch(err, result.err), result.err
    return result.out.splitlines()


def killed(process):
    process.kill()
    started.remove(process)


# ---- the same once more ----

@pytest.mark.limit(60)
def test_a_show_comes_again_as_it_was(tmp_path):
    """A limiter off, a leap, a recall, quieting, the room, other files, and a desk that is lost."""
    state, recording, keep = protected(tmp_path), tmp_path / "show.recording", ["--keep", tmp_path / "keep"]
    show = real_show(tmp_path)
    desk = MockDesk(state=state)
    watch, _ = begin_watch(desk, "--record", recording, "--still-every", "5", *keep, show=show)

    def then(pattern, *moves):
        start = watch.out.count()
        for move in moves:
            desk.move(*move)
        watch.expect(pattern, start=start)

    time.sleep(1)
    then(r"raised stop \[ears-unprotected\]", ("/mix/8/limit/on", "i", 0))
    then(r"\[value-jumped\]", ("/in/18/head/gain", "f", head_wire(55)))
    assert run("quiet", show, *keep, "--mix", 6, "--for", "8s", "--why", "another amplifier", "--now").status == 0
    then("quieted until now", (DRUM_FILL, "f", fader_wire(-9)))
    assert run("room", show, "show", *keep).status == 0
    assert run("room", show, "doors", *keep).status == 0
    then("recall|many", *[(f"/in/{n}/head/gain", "f", head_wire(20)) for n in range(1, 25)])
    content = read_json(show)
    content["checks"] = {"master-off-unity": "off"}
    write_json(show, content)
    start = watch.out.count()
    watch.popen.send_signal(signal.SIGHUP)
    watch.expect("reloaded: .*checks", start=start)
    time.sleep(1)
    write_json(show, {**content, "sh0w": 1})
    watch.popen.send_signal(signal.SIGHUP)
    watch.expect("not reloaded", start=start)
    desk.stop()
    watch.expect("lost the desk", timeout=15)
    desk = MockDesk(state=state, port=desk.port)
    watch.expect("^.{9}now: ", timeout=15)
    time.sleep(1.5)
    assert watch.stop() == 0
    desk.stop()

    begun = time.monotonic()
    again = replay(recording)
    goal(time.monotonic() - begun, 5)
    same(watch.out.texts(), again)
    assert sum("raised" in line for line in again) >= 3 and any("still watching" in line for line in again)


@pytest.mark.limit(60)
def test_a_flood_is_counted_and_not_stored(tmp_path):
    """A desk that says two strange things beside each answer, and then nothing else for a while: both kinds of
    rejects are in the recording by number, and the replay tells the same, with the page's counts."""
    recording, show = tmp_path / "flood.recording", real_show(tmp_path)
    mock, peers = MockDesk(), []
    strange = [osc.message("/meter/of/nobody", "b", b"x" * 900), b"no OSC at all" * 60]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as relay:
        relay.connect((mock.host, mock.port))
        relay.settimeout(50)

        def answer(desk, heard):
            peers[:] = [heard.peer]
            if heard.address != "/stay":
                relay.send(heard.data)
                desk.send(heard.peer, relay.recv(65536), *(strange if not desk.ending.is_set() else []))

        with OwnDesk(answer) as desk:
            watcher, start = begin_watch(desk, "--record", recording, "--still-every", "2", show=show)
            grown = recording.stat().st_size
            for _ in range(200):
                desk.send(peers[0], *(50 * strange[:1]))
                time.sleep(0.005)
            mock.move(DRUM_FILL, "f", fader_wire(-9))
            desk.send(peers[0], osc.message(DRUM_FILL, "f", fader_wire(-9)))
            watcher.expect(r"raised .*\[master-off-unity\] mix 6", start=start)
            watcher.expect("still watching", start=start)
            grown = recording.stat().st_size - grown
            assert watcher.stop() == 0
    counts, answers = collections.Counter(), []
    for line in lines_of(recording):
        counts.update(line.get("rejected", {}))
        answers += line.get("in", [])
    page = re.search(r"Refused: (\S+) (\d+), unknown-address (\d+)", "\n".join(watcher.out.texts()))

    assert set(counts) == {page[1], "unknown-address"}
    assert counts["unknown-address"] > 8000 + int(page[3]) / 2 and counts[page[1]] >= int(page[2]) > 1000
    # and not some 18 million: beside what was asked for, however long it took
    assert grown < 100_000 + 3 * sum(map(len, answers[QUESTIONS:]))
    assert strange[0].hex() not in recording.read_text()
    same(watcher.out.texts(), replay(recording))


@pytest.mark.limit(60)
def test_traffic_and_recalls_come_again(tmp_path):
    """What is a recall and what is none, and what is told of it and when, is found anew from the packets."""
    recording, desk = tmp_path / "busy.recording", MockDesk(state=protected(tmp_path))
    desk.turns = 0
    watch, seen = begin_watch(desk, "--record", recording, "--still-every", "0", show=real_show(tmp_path))
    begun = time.monotonic()
    traffic(desk, 40, lambda: time.monotonic() > begun + 2)
    desk.move("/mix/8/limit/on", "i", 0)
    traffic(desk, 40, lambda: time.monotonic() > begun + 4)
    desk.move("/mix/8/limit/on", "i", 1)
    time.sleep(3)
    desk.send(osc.bundle(*scene()))
    time.sleep(1.5)
    desk.move("/mix/7/limit/on", "i", 0)
    watch.expect("the recall has settled", start=seen)
    desk.send(osc.bundle(*up(5, *LEAPING)))
    watch.expect("leaps upwards", start=seen)
    desk.rig("silent", 1)
    watch.expect("lost the desk", start=seen)
    desk.rig("silent", 0)
    watch.expect("now: ", start=seen)
    assert watch.stop() == 0

    again = replay(recording)
    same(watch.out.texts(), again)
    assert sum("a recall changed" in line for line in again) == 2
    assert sum("raised stop [ears-unprotected]" in line for line in again) >= 2


@pytest.mark.parametrize("framing", FRAME)
def test_a_desk_over_tcp_comes_again(tmp_path, framing):
    """The recording holds packets, without their frames."""
    recording = tmp_path / "tcp.recording"
    count = itertools.count()

    def serve(connection, number):
        for packet in PACKETS[framing](connection):
            answer = osc.message(osc.parse(packet)[0], "f", -9.0 if next(count) > 12 else 0.0)
            connection.sendall(FRAME[framing](answer))

    with TcpDesk(serve) as desk:
        watch, seen = begin_watch(desk, "--profile", masters(tmp_path, framing), "--record", recording, show=None)
        watch.expect("raised fix .*master-off-unity", timeout=15, start=seen)
        time.sleep(0.5)
        assert watch.stop() == 0
    same(watch.out.texts(), replay(recording))


def test_the_recorded_fault_in_the_repository():
    """What an earlier version recorded, and what the watch told then; times and zone are the recording's."""
    told = (REFERENCE / "fault.told").read_text()
    for zone in ("UTC", "Asia/Kolkata"):
        result = run("replay", REFERENCE / "fault.recording", env={"TZ": zone})
        assert (result.status, result.err) == (0, "")
        assert told_lines(result.out.splitlines()) == told_lines(told.splitlines())
    assert "raised stop [ears-unprotected]" in told and "lost the desk" in told


def test_a_watch_with_a_past_comes_again(tmp_path):
    """What an earlier watch told, quieted and took for set up is in the recording too."""
    recording, keep = tmp_path / "second.recording", ["--keep", tmp_path / "keep"]
    show = real_show(tmp_path)
    desk = MockDesk(state=protected(tmp_path))
    first, seen = begin_watch(desk, *keep, show=show)
    desk.move(DRUM_FILL, "f", fader_wire(-9))
    first.expect("raised fix", start=seen)
    run("quiet", show, *keep, "--mix", 7, "--for", "1h", "--why", "being mended", "--now")
    killed(first)
    desk.move(DRUM_FILL, "f", fader_wire(0))
    desk.move("/mix/7/limit/on", "i", 0)
    second, seen = begin_watch(desk, *keep, "--record", recording, show=show)
    desk.move("/mix/7/limit/on", "i", 0)
    time.sleep(2)
    assert second.stop() == 0
    assert any("cleared [master-off-unity] mix 6" in line for line in second.out.texts())
    same(second.out.texts(), replay(recording))


def test_an_approved_desk_comes_again(tmp_path):
    recording = tmp_path / "approved.recording"
    show = real_show(tmp_path)
    desk = MockDesk(state=protected(tmp_path))
    assert run("approve", show, "--desk", desk.at, "--by", "monitor engineer").status == 0
    watch, seen = begin_watch(desk, "--record", recording, show=show)
    desk.move("/in/5/pad/on", "i", 1)
    desk.move("/in/5/head/gain", "f", head_wire(12))
    watch.expect(r"\[moved-from-approved\]", start=seen)
    assert watch.stop() == 0
    (tmp_path / "show.approved.json").unlink()
    same(watch.out.texts(), replay(recording))


def test_a_stage_plan_comes_again(tmp_path):
    """It is in the recording, also as it was reloaded; the file is not asked for."""
    recording, plan = tmp_path / "stage.recording", tmp_path / "plan.json"
    pair = {"input": 18, "mix": 1, "metres": 1.4, "microphone_sees_it_at": 150, "wedge_sees_it_at": 10}
    show = demo_show(tmp_path, desk={"profile": str(PROFILE), "host": "127.0.0.1", "stage": "plan.json"})
    write_json(plan, {"pairs": [pair]})
    watch, seen = begin_watch(MockDesk(), "--record", recording, show=show)
    write_json(plan, {"pairs": [{**pair, "metres": 2}]})
    watch.popen.send_signal(signal.SIGHUP)
    watch.expect("reloaded: .*stage plan changed; configuration", start=seen)
    assert watch.stop() == 0
    plan.unlink()
    head, *lines = (json.loads(line) for line in recording.read_text().splitlines())
    told = [head["stage"], *(line["files"]["stage"] for line in lines if "files" in line)]
    assert [one["pairs"][0]["metres"] for one in told] == [1.4, 2]
    same(watch.out.texts(), replay(recording))


# ---- the file ----

@pytest.mark.limit(40)
def test_a_full_recording_begins_anew_with_the_desk_as_it_stands(tmp_path):
    recording = tmp_path / "long.recording"
    desk = MockDesk(state=protected(tmp_path))
    watch, seen = begin_watch(desk, "--record", recording, "--record-limit", "0.2", show=real_show(tmp_path))
    desk.move(DRUM_FILL, "f", fader_wire(-9))
    watch.expect("raised fix", start=seen)
    old = tmp_path / "long.recording.1"
    for number in itertools.count():
        desk.send(*[osc.message("/in/21/name", "s", f"name {number} " + 400 * "x")] * 8)
        time.sleep(0.01)
        if old.exists() and recording.stat().st_size > 150_000:
            break
    time.sleep(0.3)
    start = watch.out.count()
    desk.move("/mix/8/limit/on", "i", 0)
    watch.expect("raised stop", start=start)
    assert watch.stop() == 0
    sizes = recording.stat().st_size, old.stat().st_size
    assert max(sizes) < 0.2 * 1024 * 1024 * 9 / 8 + 100_000, sizes

    tail = replay(recording)
    begins = next(i for i, line in enumerate(tail) if " watching: " in line)
    assert " fix, " in tail[begins]
    same([line for line in watch.out.texts(start) if "raised" in line or "stopped" in line],
         [line for line in tail[begins:] if "raised" in line or "stopped" in line][-2:])
    # what stood is on the page again, and is not raised a second time
    assert any("[master-off-unity]" in line for line in tail[:begins]) or \
        any("mix 6" in line for line in tail[:begins])
    assert not any("raised" in line and "mix 6" in line for line in tail)
    assert "ends before the watch was stopped" in run("replay", old).err


def test_a_torn_last_line_is_told_and_left_out(tmp_path):
    whole = (REFERENCE / "fault.recording").read_bytes()
    told = told_lines((REFERENCE / "fault.told").read_text().splitlines())
    recording = tmp_path / "torn.recording"
    lines = whole.count(b"\n")
    for cut in (1, 20, 300):
        recording.write_bytes(whole[:-cut])
        number = whole[:-cut].count(b"\n") + 1
        again = told_lines(replay(recording, err=rf"gainwarden: {re.escape(str(recording))}:{number}: the last "
                                                 r"line is torn: replayed up to it\n"))
        assert again == told[:len(again)] and len(told) - 6 < len(again) < len(told) and number <= lines
    recording.write_bytes(b"".join(whole.splitlines(keepends=True)[:-1]))
    replay(recording, err=r"gainwarden: .*: ends before the watch was stopped\n")


@pytest.mark.parametrize("damage, words", [
    (lambda lines: [*lines[:7], lines[7].replace(b'"2f', b'"2e', 1), *lines[8:]], ":8: the line is not as it was"),
    (lambda lines: [*lines[:7], *lines[8:]], ":8: the line is not as it was recorded"),
    (lambda lines: [*lines[:3], lines[5], lines[4], *lines[6:]], ":4: the line is not as it was recorded"),
    (lambda lines: [*lines[:3], b"\n", *lines[3:]], ":4: the line is not as it was recorded"),
    (lambda lines: [lines[0].replace(b"Barn", b"Born", 1), *lines[1:]], ":1: the line is not as it was recorded"),
    (lambda lines: [lines[0].replace(b'format":1', b'format":2', 1), *lines[1:]],
     ":1: recording_format is 2; this version reads 1"),
    (lambda lines: [lines[0][:500]], ":1: the first line is torn: nothing can be replayed"),
    (lambda lines: lines[1:], ":1: is no recording of a watch"),
    (lambda lines: [b'{"show_format":1}\n'], ":1: is no recording of a watch"),
    (lambda lines: [b"\0\xff"], ":1: is no recording of a watch"),
    (lambda lines: [], ":1: is no recording of a watch"),
])
def test_what_is_no_whole_recording_is_an_error_with_its_place(tmp_path, damage, words):
    recording, saved = tmp_path / "wrong.recording", tmp_path / "saved.json"
    recording.write_bytes(b"".join(damage((REFERENCE / "fault.recording").read_bytes().splitlines(True))))
    result = run("replay", recording, "--save", saved)

    assert (result.status, result.out) == (2, "")
    assert str(recording) + words in result.err
    assert not saved.exists()


def test_a_file_that_is_no_recording_is_not_overwritten(tmp_path):
    precious = tmp_path / "precious.json"
    precious.write_text('{"show_format": 1}')
    result = run("watch", SHOW, "--desk", "127.0.0.1:9", "--record", precious)

    assert result.status == 2 and "is there already, and is no recording of a watch" in result.err
    assert precious.read_text() == '{"show_format": 1}' and len(list(tmp_path.iterdir())) == 1
    older = tmp_path / "precious.json.1"  # nor where an older recording would go
    precious.rename(older)
    result = run("watch", SHOW, "--desk", "127.0.0.1:9", "--record", precious)
    assert result.status == 2 and f"{older}: is there already, and is no recording of a watch" in result.err
    assert older.read_text() == '{"show_format": 1}' and len(list(tmp_path.iterdir())) == 1
    several = run("watch", SHOW, SHOW, "--record", tmp_path / "both.recording")
    assert several.status == 2 and "--record is for one desk" in several.err
    folder = run("watch", SHOW, "--desk", "127.0.0.1:9", "--record", tmp_path)
    assert folder.status == 2 and "is no regular file" in folder.err
    none = run("replay", tmp_path / "none")
    assert none.status == 2 and "none: cannot be read: No such file" in none.err
    assert "replay needs a recording" in run("replay").err


def test_an_older_recording_is_kept_and_one_under_way_left_alone(tmp_path):
    recording = tmp_path / "a.recording"
    recording.write_bytes((REFERENCE / "fault.recording").read_bytes())
    desk = MockDesk()
    watch, _ = begin_watch(desk, "--record", recording)
    second = run("watch", SHOW, "--desk", desk.at, "--record", recording)

    assert second.status == 2 and "another watch records into it" in second.err
    assert (tmp_path / "a.recording.1").read_bytes() == (REFERENCE / "fault.recording").read_bytes()
    assert recording.stat().st_mode & 0o777 == 0o600
    assert watch.stop() == 0
    same(watch.out.texts(), replay(recording))


def test_a_full_disk_ends_the_recording_and_not_the_watch(tmp_path):
    recording = tmp_path / "full.recording"
    desk = MockDesk()
    watch = Process("prlimit", "--fsize=150000", BUILD / "gainwarden", "watch", show_at_once(tmp_path), "--desk",
                    desk.at, "--record", recording)
    watch.expect("watching: ")
    for number in itertools.count():
        desk.send(*[osc.message(f"/in/{n}/name", "s", f"name {number} " + 40 * "x") for n in range(1, 25)])
        time.sleep(0.01)
        if any("recording" in line for line in notes(watch)):
            break
    start = watch.out.count()
    desk.move("/mix/6/fader", "f", fader_wire(-7))
    watch.expect("raised fix", start=start)
    said = [line for line in notes(watch) if "recording" in line]

    assert said == [f"the recording {recording} cannot be written (File too large): it ends here"]
    assert watch.stop() == 0
    assert recording.read_bytes().endswith(b"\n")
    replay(recording, err=r"gainwarden: .*: ends before the watch was stopped\n")


@pytest.mark.parametrize("put, why", [(None, "No such file or directory"), ("precious", "File exists")])
def test_a_recording_taken_away_ends_and_nothing_else_is_touched(tmp_path, put, why):
    recording = tmp_path / "a.recording"
    desk = MockDesk()
    watch, _ = begin_watch(desk, "--record", recording, "--record-limit", "0.2")
    recording.rename(tmp_path / "elsewhere") if put else recording.unlink()
    if put:
        recording.write_text(put)
    for number in range(400):
        desk.send(*[osc.message("/in/21/name", "s", f"name {number} " + 400 * "x")] * 8)
        time.sleep(0.005)
        if any("recording" in line for line in notes(watch)):
            break
    said = [line for line in notes(watch) if "recording" in line]
    assert said == [f"the recording {recording} cannot be written ({why}): it ends here"]
    assert watch.stop() == 0
    assert not (tmp_path / "a.recording.1").exists()
    assert recording.read_text() == put if put else not recording.exists()


@pytest.mark.limit(40)
def test_a_kill_leaves_a_recording(tmp_path):
    for number in range(5):
        recording = tmp_path / f"{number}.recording"
        desk = MockDesk()
        watch, seen = begin_watch(desk, "--record", recording)
        desk.move(DRUM_FILL, "f", fader_wire(-7))
        watch.expect("raised fix", start=seen)
        killed(watch)
        desk.stop()
        again = replay(recording, err="gainwarden: .*(ends before the watch was stopped|the last line is torn.*)\n")
        same(watch.out.texts(), again)


def test_no_secret_and_no_destination_is_recorded(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl")
    recording = tmp_path / "secret.recording"
    show = show_at_once(tmp_path, tell={"chat": {"url_env": "GAINWARDEN_TEST_HOOK"},
                                        "lines": {"file": str(tmp_path / "told.jsonl")}})
    desk = MockDesk()
    watch, seen = begin_watch(desk, "--record", recording, show=show, env={"GAINWARDEN_TEST_HOOK": hook.url})
    desk.move(DRUM_FILL, "f", fader_wire(-7))
    watch.expect("raised fix", start=seen)
    hook.wait_for(2)
    assert watch.stop() == 0
    told = (tmp_path / "told.jsonl").read_text()

    text = recording.read_text()
    for word in (MockChat.SECRET, "GAINWARDEN_TEST_HOOK", "told.jsonl", '"tell"'):
        assert word not in text
    posted = len(hook.records())
    same(watch.out.texts(), replay(recording))
    assert (tmp_path / "told.jsonl").read_text() == told and len(hook.records()) == posted


# ---- lines that another program wrote ----

def summed(lines):
    """The lines as they would be in a file: FNV-1a of 64 bits over all text so far, but the sums."""
    total, out = 14695981039346656037, []
    for line in lines:
        text = json.dumps({key: value for key, value in line.items() if key != "sum"}, separators=(",", ":"),
                          ensure_ascii=False)[:-1]
        for byte in text.encode():
            total = (total ^ byte) * 1099511628211 % (1 << 64)
        out.append(f'{text},"sum":"{total:016x}"}}\n')
    return "".join(out)


def with_line(tmp_path, line, t=5000):
    """The recording in the repository with another line in it, at the first end of a wake-up behind t."""
    lines = lines_of(REFERENCE / "fault.recording")
    at = next(i for i, one in enumerate(lines) if one.get("t", 0) > t and not lines[i - 1].get("more"))
    recording = tmp_path / "other.recording"
    recording.write_text(summed([*lines[:at], {"t": lines[at]["t"], **line}, *lines[at:]]))
    return recording, at + 1


def test_the_sums_are_what_the_documents_say():
    text = (REFERENCE / "fault.recording").read_text()
    assert summed(lines_of(REFERENCE / "fault.recording")) == text


def test_a_clock_that_was_set_sets_the_times(tmp_path):
    lines = lines_of(REFERENCE / "fault.recording")
    recording, _ = with_line(tmp_path, {"at_s": lines[0]["at_s"] + 3600})
    told = told_lines((REFERENCE / "fault.told").read_text().splitlines())
    again = told_lines(replay(recording))

    assert [split(line)[1:] for line in again] == [split(line)[1:] for line in told]
    moved = [(split(new)[0] - split(old)[0]) % 86400 for old, new in zip(told, again) if split(old)[0]]
    assert set(moved) <= {0, *range(3590, 3601)} and moved[0] == 0 and moved[-1] > 3000


@pytest.mark.parametrize("line, words", [
    ({"weather": "fine"}, "weather: is not known here; the recording may be of a newer version"),
    ({"wake": True, "still": True}, "still: is not known here"),
    ({"in": ["2f6"]}, "in[0]: must be the bytes of a packet in hexadecimal"),
    ({"in": "2f"}, "in: must be an array"),
    ({"in": ["2G"]}, "in[0]: must be the bytes"),
    ({"rejected": {"unknown-address": "many"}}, "rejected.unknown-address: is a string, must be a number"),
    ({"rejected": {"unknown-address": -1}}, "rejected.unknown-address: must be from 1 to"),
    ({"link": "asleep", "why": ""}, '"asleep" is no link state'),
    ({"link": "lost"}, "why: is missing"),
    ({"day": -5}, "day: must be from 0 to"),
    ({"t": -1, "wake": True}, "t: must be from 0 to"),
    ({"t": "soon", "wake": True}, "t: is a string, must be a number"),
    ({"files": {"said": ""}}, "profile: is missing"),
])
def test_a_line_that_says_what_none_can_is_an_error_with_its_place(tmp_path, line, words):
    recording, number = with_line(tmp_path, line)
    result = run("replay", recording)

    assert (result.status, result.out) == (2, "")
    assert f"{recording}:{number}: " in result.err and words in result.err


@pytest.mark.parametrize("line, words", [
    ({"asked": {"do": "reload"}}, "asked: is no request that a recording holds"),
    ({"rejected": {"mood": 3}}, "rejected.mood: is no reason to turn anything down"),
    ({"files": {"profile": {"profile_format": 9}, "said": ""}}, "profile_format: is 9"),
])
def test_what_cannot_be_done_once_more_ends_the_replay(tmp_path, line, words):
    recording, number = with_line(tmp_path, line)
    saved = tmp_path / "saved.json"
    result = run("replay", recording, "--save", saved)

    assert result.status == 2 and f"{recording}:{number}: " in result.err and words in result.err
    assert not saved.exists()


@pytest.mark.parametrize("changes, words", [
    ({"profile": {"profile_format": 1}}, "counts: is missing"),
    ({"show": {"show_format": 1, "desk": {"profile": "p"}, "inputs": {"99": {}}}}, "inputs.99: "),
    ({"approved": "{}"}, "saved_format: is missing"),
    ({"proved": "{}"}, "proved_format: is missing"),
    ({"at_s": 1e30}, "at_s: must be from 0 to"),
    ({"desk": "{}", "link": "asleep", "reading": {"questions": 0, "asked": 0, "heard": 0, "asked_again": 0,
                                                  "never_came": 0, "took_ms": 0}}, '"asleep" is no link state'),
    ({"extra": 1}, "extra: unknown key"),
])
def test_a_first_line_that_says_what_none_can(tmp_path, changes, words):
    lines = lines_of(REFERENCE / "fault.recording")
    recording = tmp_path / "head.recording"
    recording.write_text(summed([{**lines[0], **changes}, *lines[1:]]))
    result = run("replay", recording)

    assert (result.status, result.out) == (2, "")
    assert f"{recording}:1: " in result.err and words in result.err


def test_output_that_cannot_be_written_is_an_error(tmp_path):
    with open("/dev/full", "wb") as full:
        result = run("replay", REFERENCE / "fault.recording", "--save", tmp_path / "saved.json", stdout=full)
    assert result.status == 2 and "standard output" in result.err and not (tmp_path / "saved.json").exists()


# ---- a saved desk out of it ----

def test_every_command_runs_over_a_desk_saved_from_it(tmp_path):
    recording, show = tmp_path / "some.recording", real_show(tmp_path)
    desk = MockDesk(state=protected(tmp_path))
    before = run("audit", show, "--desk", desk.at, "--all")
    watch, seen = begin_watch(desk, "--record", recording, show=show)
    time.sleep(2.1)
    desk.move("/mix/8/limit/on", "i", 0)
    watch.expect("raised stop", start=seen)
    at, _, _ = watch.out.wait("raised stop", 5, seen)
    time.sleep(1.1)
    assert watch.stop() == 0
    after = run("audit", show, "--desk", desk.at, "--all")
    moves = run("retrim", show, "--desk", desk.at)
    early, late, then = (tmp_path / f"{name}.json" for name in ("early", "late", "then"))

    quick = replay(recording, "--at", "2", "--save", early)
    assert not any("raised" in line for line in quick)
    replay(recording, "--save", late)
    when = replay(recording, "--at", watch.out.texts()[at][:8], "--save", then)
    assert any("raised stop" in line for line in when) and not any("stopped watching" in line for line in when)
    for saved, live in ((early, before), (late, after), (then, after)):
        again = run("audit", show, "--saved", saved, "--all")
        assert again.status == live.status
        assert below_heading(again.out) == below_heading(live.out)
    assert below_heading(run("retrim", show, "--saved", late).out) == below_heading(moves.out)


def test_a_time_behind_the_end_saves_nothing(tmp_path):
    saved = tmp_path / "saved.json"
    late = run("replay", REFERENCE / "fault.recording", "--at", "3600", "--save", saved)
    assert late.status == 2 and "--at=3600 lies behind its end" in late.err
    for at in ("noon", "25:00:00", "-1", "1x", "nan"):
        wrong = run("replay", REFERENCE / "fault.recording", f"--at={at}", "--save", saved)
        assert (wrong.status, wrong.out) == (2, "") and f"--at={at}: must be a time of day" in wrong.err
    unwritable = run("replay", REFERENCE / "fault.recording", "--save", tmp_path / "no" / "saved.json")
    assert unwritable.status == 2 and "cannot write" in unwritable.err
    assert not saved.exists()
