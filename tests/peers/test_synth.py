# SPDX-License-Identifier: MIT
"""A real OSC program that nobody here wrote: Debian's zynaddsubfx, headless, with neither sound nor MIDI.

It answers a question without arguments at the address asked, unknown addresses meet silence. synth.json
takes a part of its parameters as a desk's: parts are inputs, system effects are mixes. The laws of sends
and masters are this test's own, one step is 1 dB; nobody mixes with it.
"""
import math
import socket

import pytest

import osc
from harness import PATIENCE, audit, besides_list, finding, findings, notes, read_json, until, watch, write_json
from peers import HERE, Peer, known, oscsend

PROFILE = HERE / "synth.json"
INPUTS, MIXES = 8, 4
QUESTIONS = 5 * INPUTS + INPUTS * MIXES + MIXES
UNITY = 97  # the step that synth.json takes for 0 dB
REVERB = 1  # an effect that has a volume

NAMES = ["Kick", "Snare", "Bass", "Guitar", "Keys", "Ld Vox", "BV 1", "BV 2"]
FADERS = [0, 0, -7.5, 0, 3.25, 0, 0, -40]
FILTER = "/part{}/kit0/adpars/GlobalPar/GlobalFilter/"
LOW_PASS, HIGH_PASS = 2, 3


def moves():
    """What oscsend sets, and what it must be read as: (address, tags, value, place, value read)."""
    for part, name in enumerate(NAMES):
        row, muted, on = part + 1, part == 7, part != 6
        yield f"/part{part}/Pname", "s", name, ("input.name", row, 1), name
        yield f"/part{part}/Penabled", "F" if muted else "T", None, ("input.mute", row, 1), float(muted)
        yield f"/part{part}/Volume", "f", FADERS[part], ("input.fader", row, 1), FADERS[part]
        yield (FILTER.format(part) + "Ptype", "i", HIGH_PASS if on else LOW_PASS,
               ("input.high_pass.on", row, 1), float(on))
        corner = 60 + 10 * part
        yield FILTER.format(part) + "basefreq", "f", corner, ("input.high_pass.freq", row, 1), corner
        for mix in range(MIXES):
            step = (part * 37 + mix * 11) % 60 + 40 if part != mix else 0
            yield (f"/Psysefxvol{mix}/part{part}", "i", step, ("send.level", row, mix + 1),
                   step - UNITY if step else -math.inf)
    for mix, db in enumerate((0, 0, -8, 0)):
        yield f"/sysefx{mix}/Pvolume", "i", UNITY + db, ("mix.fader", mix + 1, 1), db


class Synth(Peer):
    def __init__(self, home):
        super().__init__("/usr/bin/zynaddsubfx", "--no-gui", "--output", "null", "--input", "null",
                         "--preferred-port", 0, env={"HOME": str(home)})
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.connect((self.host, self.port))
        self.socket.settimeout(5 * PATIENCE)

    def ask(self, address):
        self.socket.send(osc.message(address))
        while True:
            answered, values = osc.parse(self.socket.recv(65536))
            if answered == address:
                return values

    def stop(self, *words, **options):
        self.socket.close()
        return super().stop(*words, **options)


@pytest.fixture
def synth(tmp_path):
    """Playing nothing, set up by another client."""
    synth = Synth(tmp_path)
    for mix in range(MIXES):
        oscsend(synth, f"/sysefx{mix}/efftype", "i", REVERB)
        until(lambda: synth.ask(f"/sysefx{mix}/efftype") == [REVERB])
    for address, tags, value, _, _ in moves():
        oscsend(synth, address, tags, *([] if value is None else [value]))
    last = f"/sysefx{MIXES - 1}/Pvolume"
    until(lambda: synth.ask(last) == [UNITY])
    return synth


def test_every_value(synth):
    read = known(PROFILE, synth)

    assert len(read) == QUESTIONS
    assert read == {place: value for *_, place, value in moves()}


def test_audit(synth):
    report, result = audit(synth, "--profile", PROFILE, show=None)

    assert besides_list(result.err) == ""
    assert report["link"]["asked"] == report["link"]["heard"] == QUESTIONS
    assert report["link"]["never_came"] == 0 and report["link"]["rejected"] == {}
    assert finding(report, "master-off-unity", mix=3)["figures"]["master_db"] == -8
    # eight parts into four effects, but for the four sends that are off
    assert finding(report, "send-follows-fader")["figures"]["sends_count"] == INPUTS * MIXES - 4
    assert findings(report) == [("master-off-unity", "fix", {"mix": 3}), ("send-follows-fader", "note", {})]


def test_unknown_addresses_meet_silence(synth, tmp_path):
    profile = read_json(PROFILE)
    profile["values"].append({"at": "/part{input}/no-such-thing", "is": "input.trim"})
    profile["pace"].update(tries=2)
    report, _ = audit(synth, "--profile", write_json(tmp_path / "profile.json", profile), show=None)

    assert report["link"]["heard"] == QUESTIONS
    assert report["link"]["never_came"] == INPUTS


@pytest.mark.limit(40)
def test_watch_sees_the_moves_of_another_client(synth):
    """It tells a move to everybody who has asked before; the profile's slow reading, once a second, would
    find it too. A finding is raised once it held for 3 s, and cleared once it stayed away for 10 s."""
    watcher = watch(synth, "--profile", PROFILE, "--still-every", "0", show=None)
    at, _, _ = watcher.expect(r"^\d\d:\d\d:\d\d watching: ")
    oscsend(synth, "/sysefx1/Pvolume", "i", UNITY - 7)
    watcher.expect(r"raised fix \[master-off-unity\] mix 2.*: the master stands at -7 dB", 8, at + 1)
    oscsend(synth, "/sysefx1/Pvolume", "i", UNITY)
    watcher.expect(r"cleared \[master-off-unity\] mix 2 after", 15, at + 1)

    assert len(notes(watcher, at + 1)) == 2
    assert watcher.stop() == 0
