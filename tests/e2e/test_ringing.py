# SPDX-License-Identifier: MIT
"""Rings in a desk's own spectra, told by a watch out of recordings with times of their own: how fast the machine is
changes nothing. Bands are nominal thirds of an octave (IEC 61260-1), 20 Hz to 20 kHz."""
import contextlib
import json
import math
import random
import re
import socket
import struct
import time

import osc
from harness import (AT_ONCE, BUILD, PATIENCE, SEED, MockChat, OwnDesk, Process, fader_wire, rounds, run,
                     unix_connection, write_json)
from test_record import summed

NOMINAL = [20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500,
           3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000]
FRAME_MS, STEADY_MS, LASTS_MS = 50, 1000, 45000
PUSHED_MS, GROWS_MS, HELD_MS = 24000, 24500, 5000
FLOOR_DB, NEAR_DB, FULL_DB = -66, -18, -3

PROFILE = {
    "profile_format": 1, "desk": "Barn monitor desk", "link": {"transport": "udp", "port": 9100},
    "counts": {"input": 2, "mix": 2}, "fixed": {"send.tap": "post-fader"},
    "laws": {"shut": {"words": [[0, True], [1, False]]},
             "fader": {"line": [[0, "-inf"], [0.04, -70], [0.35, -25], [0.7, 0], [1, 10]]}},
    "values": [{"at": "/in/{input}/name", "is": "input.name"},
               {"at": "/in/{input}/gain", "is": "input.preamp_gain"},
               {"at": "/in/{input}/open", "is": "input.mute", "law": "shut"},
               {"at": "/in/{input}/fader", "is": "input.fader", "law": "fader"},
               {"at": "/in/{input}/to/{mix}/level", "is": "send.level", "law": "fader"},
               {"at": "/mix/{mix}/name", "is": "mix.name"},
               {"at": "/mix/{mix}/fader", "is": "mix.fader", "law": "fader"}]}
SPECTRA = {"answer": ["/mix/{mix}/spectrum", {"blob": "int16be", "each": "band", "is": "mix.spectrum.band.level",
                                              "law": {"times": 0.004}}]}
SHOW = {"show_format": 1, "show": "Ostrel Barn, Saturday",
        "desk": {"profile": "profile.json", "host": "127.0.0.1", "role": "monitor"},
        "inputs": {"1": {"source": "vocal", "player": "lead vocal"}, "2": {"source": "vocal", "player": "guitar"}},
        "mixes": {"1": {"feeds": "wedge", "player": "lead vocal"}, "2": {"feeds": "wedge", "player": "guitar"}}}


def profile(spectra):
    if not spectra:
        return PROFILE
    return {**PROFILE, "counts": {**PROFILE["counts"], "mix.spectrum.band": len(NOMINAL)},
            "values": [*PROFILE["values"], SPECTRA]}


def values():
    """The whole desk, as it answers."""
    return [osc.message("/in/1/name", "s", "Ld Vox"), osc.message("/in/2/name", "s", "Gtr Vox"),
            osc.message("/mix/1/name", "s", "Ld Vox wedge"), osc.message("/mix/2/name", "s", "Gtr wedge"),
            *(osc.message(f"/in/{n}/gain", "f", 30) for n in (1, 2)),
            *(osc.message(f"/in/{n}/open", "i", 1) for n in (1, 2)),
            *(osc.message(f"/in/{n}/fader", "f", fader_wire(0)) for n in (1, 2)),
            *(osc.message(f"/mix/{n}/fader", "f", fader_wire(0)) for n in (1, 2)),
            *(osc.message(f"/in/{n}/to/{mix}/level", "f", fader_wire(-10)) for n in (1, 2) for mix in (1, 2))]


def frame(mix, levels):
    numbers = [round(level / 0.004) for level in levels]
    return osc.message(f"/mix/{mix}/spectrum", "b", struct.pack(f">{len(numbers)}h", *numbers))


def sound(dice, t, ring):
    """Programme that wanders by some dB; `ring`: (band, dB/s), a tone that grows through it until it clips."""
    levels = [FLOOR_DB + dice.uniform(-3, 3) for _ in NOMINAL]
    if ring and GROWS_MS <= t < GROWS_MS + (FULL_DB - FLOOR_DB) / ring[1] * 1000 + HELD_MS:
        tone = min(FLOOR_DB + ring[1] * (t - GROWS_MS) / 1000, FULL_DB)
        for band in range(max(ring[0] - 1, 0), min(ring[0] + 2, len(NOMINAL))):
            levels[band] = max(levels[band], tone + (0 if band == ring[0] else NEAR_DB))
    return levels


def lines(dice, spectra=True, frames=True, pushes=(), ring=None):
    """Read at once, then frames of both mixes until the end. `pushes`: (ms, dB) of input 1 into mix 1, where the ring is."""
    head = {"recording_format": 1, "version": "0", "at_s": 1795921200, "offset_s": 0, "host": "127.0.0.1", "port": 9100,
            "profile": profile(spectra), "show": SHOW}
    count, pushes = len(values()), dict(pushes)
    yield from [head, {"t": 7, "link": "reading", "why": "the address is known"},
                {"t": 10, "in": [value.hex() for value in values()]},
                {"t": STEADY_MS, "link": "steady", "why": "the whole desk was asked",
                 "reading": {"questions": count, "asked": count, "heard": count, "asked_again": 0, "never_came": 0,
                             "took_ms": 40}}]
    for t in range(STEADY_MS + FRAME_MS, LASTS_MS, FRAME_MS):
        packets = [frame(1, sound(dice, t, ring)), frame(2, sound(dice, t, None))] if frames else []
        if t in pushes:
            packets.append(osc.message("/in/1/to/1/level", "f", fader_wire(pushes[t])))
        if packets:
            yield {"t": t, "in": [packet.hex() for packet in packets]}
    yield {"t": LASTS_MS, "lasted_ms": LASTS_MS}


def told(folder, dice, **evening):
    """The lines of the watch, without the page before them."""
    recording = folder / "evening.recording"
    recording.write_text(summed(lines(dice, **evening)))
    result = run("replay", recording)
    assert result.status == 0, result.err
    said = re.findall(r"^\d\d:\d\d:\d\d .*$", result.out, re.M)
    assert "watching:" in said[0] and "stopped watching" in said[-1]
    return said


def raised(said):
    return [line for line in said if " raised " in line and "[mix-ringing]" in line]


def assert_in_band(line, band):
    """A third is four semitones wide."""
    number, kilo = re.search(r" at ([\d.,]+) (k?)Hz", line).groups()
    hz = float(number.replace(",", "")) * (1000 if kilo else 1)
    assert 12 * abs(math.log2(hz / NOMINAL[band])) <= 2, line


def some_ring(dice):
    """A band in which a voice is, and how fast it grows, dB/s."""
    return dice.randrange(6, 24), dice.uniform(6, 35)


def test_a_push_past_the_ceiling_is_told_with_its_band_and_what_rose(tmp_path):
    dice = random.Random(SEED)
    for _ in range(rounds(10, 100)):
        ring, push = some_ring(dice), dice.choice([-7, -5, -2, 0])
        said = told(tmp_path, dice, pushes=[(PUSHED_MS, push)], ring=ring)
        assert len(raised(said)) == 1, (ring, push, said)
        line = raised(said)[0]
        assert re.search(rf"raised fix .* mix 1 Ld Vox wedge .*: rings, by all signs, .* after the path of input 1 Ld Vox "
                         rf"rose by {push + 10} dB \(send\)", line), line
        assert f"put back: send of input 1 Ld Vox {push} -> -10 dB" in line.replace("−", "-")
        assert_in_band(line, ring[0])
        assert sum("cleared [mix-ringing]" in one for one in said) == 1


def test_where_no_path_rose_it_is_a_note(tmp_path):
    dice = random.Random(SEED)
    for pushes in [], [(PUSHED_MS, -14)], [(PUSHED_MS - 12000, -2)]:
        ring = some_ring(dice)
        said = told(tmp_path, dice, pushes=pushes, ring=ring)
        assert len(raised(said)) == 1, (ring, pushes, said)
        assert re.search(r"raised note .* mix 1 Ld Vox wedge .*: may be ringing at ", raised(said)[0])
        assert_in_band(raised(said)[0], ring[0])


def test_without_a_ring_and_without_spectra_a_watch_says_the_same(tmp_path):
    """Sends are ridden: what is told of them is the same with spectra, without frames, and without the entry."""
    dice = random.Random(SEED)
    rides = [*((t, dice.randrange(4, 9)) for t in range(3000, 18000, 2500)), (20000, -10)]
    without = told(tmp_path, dice, spectra=False, frames=False, pushes=rides)
    for what in "raised fix [value-jumped] input 1 ", "raised note [unused-preamp-gain] input 1 ":
        assert any(what in line for line in without), without
    for evening in {"frames": True}, {"frames": False}:
        assert told(tmp_path, dice, pushes=rides, **evening) == without


# ---- a desk that rings ----

VARIABLE, CYCLE_MS, BEFORE_MS = "GAINWARDEN_CHAT_URL", 15000, 3000


def play(desk, peer, dice, done):
    """Frames of both mixes until done(), at most for as long as a test may wait. A ring grows in mix 1 every 15 s."""
    begun = time.monotonic()
    while not done():
        lasted_ms = (time.monotonic() - begun) * 1000
        assert lasted_ms < 20000 * PATIENCE, "no ring was told"
        at = GROWS_MS - BEFORE_MS + lasted_ms % CYCLE_MS
        desk.send(peer, frame(1, sound(dice, at, (12, 20))), frame(2, sound(dice, at, None)))
        time.sleep(FRAME_MS / 1000)


def test_a_ring_out_over_the_watch_gets_what_rings_and_no_frames(tmp_path):
    """Of the mix that is rung out, at most four times a second: nothing swells by what a desk publishes."""
    answers = {osc.parse(value)[0]: value for value in values()}
    write_json(tmp_path / "profile.json", profile(True))
    show = write_json(tmp_path / "show.json", SHOW)
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, answers[heard.address])) as desk:
        watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
        watch.expect(r"^\d\d:\d\d:\d\d watching: ")
        (path,) = (tmp_path / "keep").glob("*.socket")
        with unix_connection(path) as control:
            control.sendall(b'{"do": "ring-out", "mix": 1}\n')
            begun, heard = time.monotonic(), b""

            def rings():
                nonlocal heard
                with contextlib.suppress(BlockingIOError):
                    heard += control.recv(1 << 20, socket.MSG_DONTWAIT)
                told = [json.loads(line)["ring_out"].get("rings", []) for line in heard.split(b"\n")[:-1]]
                return [one for one in told if one]

            play(desk, desk.heard[0].peer, random.Random(SEED), lambda: len(rings()) >= 8)
            told = rings()
            assert len(told) <= 4 * (time.monotonic() - begun) + 1
        for mix, third, hz, level_db, age_ms, rose_ms in sum(told, []):
            assert (mix, third) == (1, 12 + 1) and 280 < hz < 360 and -80 <= level_db <= 0
            assert 0 <= age_ms < 1000 * PATIENCE and age_ms <= rose_ms
        assert watch.stop() == 0


def test_a_suspicion_alone_is_never_in_chat(tmp_path):
    """Not even where notes are wanted there, as another note shows that comes behind it."""
    answers = {osc.parse(value)[0]: value for value in values()}
    write_json(tmp_path / "profile.json", profile(True))
    hook = MockChat(tmp_path / "chat.jsonl")
    show = write_json(tmp_path / "show.json", {
        **SHOW, **AT_ONCE, "tell": {"chat": {"url_env": VARIABLE, "from_weight": "note"}}})
    with OwnDesk(lambda desk, heard: desk.send(heard.peer, answers[heard.address])) as desk:
        watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--still-every", "0", "--keep",
                        tmp_path / "keep", env={VARIABLE: hook.url})
        watch.expect(r"^\d\d:\d\d:\d\d watching: ")
        peer = desk.heard[0].peer
        play(desk, peer, random.Random(SEED),
             lambda: any("raised note [mix-ringing] mix 1" in line for line in watch.out.texts()))
        answers["/mix/2/fader"] = osc.message("/mix/2/fader", "f", fader_wire(-2))
        desk.send(peer, answers["/mix/2/fader"])
        watch.expect(r"raised note .*\[master-off-unity\] mix 2")
        assert watch.stop() == 0
    texts = hook.texts()
    assert any("[master-off-unity]" in text for text in texts) and "stopped watching" in texts[-1]
    assert not any("ring" in text for text in texts), texts
