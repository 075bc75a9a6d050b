# SPDX-License-Identifier: MIT
"""mock-desk with a stage behind it: it publishes what desks publish, tells its truth on a port of its own, and
turns down stage files that are wrong. What the acoustics are worth is tested in tests/unit/mocks.

Time goes on as asked, so no verdict depends on how fast the machine is.
"""
import json
import math
import random
import re
import socket
import struct
import subprocess
import wave

import pytest

import osc
from harness import BUILD, PATIENCE, PROFILE, SEED, STATE, Process, rounds, run

SAMPLE_RATE = 48000
ONE = {  # one microphone and one wedge
    "stage": 1,
    "space": {"box": {"from": [-5, -4, 0], "to": [5, 5, 4]}},
    "microphones": [{"socket": 18, "position": [0, 2, 1.5], "faces": [0, 2.1, 1.6]}],
    "loudspeakers": [{"mix": 1, "position": [0, 1, 0.2], "faces": [0, 2.1, 1.6]}],
    "ears": [{"position": [0, 2.2, 1.65], "faces": [0, 0, 1.6]}],
}


def parse(datagram):
    """(address, arguments); a blob is bytes."""
    def text(at):
        end = datagram.index(b"\0", at)
        return datagram[at:end].decode(), (end + 4) // 4 * 4
    address, at = text(0)
    tags, at = text(at)
    arguments = []
    for tag in tags[1:]:
        if tag == "b":
            size, = struct.unpack_from(">i", datagram, at)
            arguments.append(datagram[at + 4:at + 4 + size])
            at += 4 + (size + 3) // 4 * 4
        else:
            form = {"i": ">i", "f": ">f", "d": ">d"}[tag]
            arguments += struct.unpack_from(form, datagram, at)
            at += struct.calcsize(form)
    return address, arguments


class Stage(Process):
    """A mock desk with a stage; `ask` and `truth` speak to its two ports."""

    def __init__(self, stage, *words):
        super().__init__(BUILD / "mock-desk", "--state", STATE, "--stage", stage, "--clock", "asked", *words)
        self.truth_port = int(self.expect(r"^mock-desk: truth on 127\.0\.0\.1:(\d+)$")[2].group(1))
        self.port = int(self.expect(r"^mock-desk: listening on 127\.0\.0\.1:(\d+)$")[2].group(1))
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
        self.socket.bind(("127.0.0.1", 0))
        self.socket.settimeout(10 * PATIENCE)  # an onset takes seconds

    def say(self, port, *message):
        self.socket.sendto(osc.message(*message), ("127.0.0.1", port))

    def hear(self):
        return parse(self.socket.recvfrom(65536)[0])

    def ask(self, *question):
        self.say(self.port, *question)
        return self.hear()

    def truth(self, *question):
        self.say(self.truth_port, *question)
        return self.hear()

    def turn(self, address, tag, value):
        """A move, known to have arrived: the two ports are not read in the order they were written to."""
        self.say(self.port, address, tag, value)
        self.ask("/desk/talkback")

    def run(self, seconds):
        """Everything told meanwhile; the answer that time went on comes last."""
        self.say(self.truth_port, "/truth/run", "f", float(seconds))
        heard = []
        while not heard or heard[-1][0] != "/truth/time":
            heard.append(self.hear())
        return heard[:-1]

    def stop(self, *words, **options):
        self.socket.close()
        return super().stop(*words, **options)


@pytest.fixture
def stage_file(tmp_path):
    def write(stage):
        path = tmp_path / "stage.json"
        path.write_text(stage if isinstance(stage, str) else json.dumps(stage))
        return path
    return write


def levels(blob):
    return [value / 250 for value, in struct.iter_unpack(">h", blob)]


def silent_desk(desk):
    """Only input 18 into mix 1 is open, flat, from its lowest gain."""
    for number in range(1, 25):
        if number != 18:
            desk.turn(f"/in/{number}/open", "i", 0)
    for address, tag, value in (("/in/18/head/gain", "f", 0.0), ("/in/18/to/1/level", "f", 0.7),
                                ("/mix/1/fader", "f", 0.7), ("/mix/1/graphic/on", "i", 0),
                                ("/mix/1/eq/on", "i", 0), ("/in/18/eq/on", "i", 0)):
        desk.turn(address, tag, value)


def test_a_ring_grows_holds_and_is_told(stage_file):
    desk = Stage(stage_file(ONE))
    silent_desk(desk)
    desk.run(1)
    address, (margin, hz, time) = desk.truth("/truth/onset")
    assert address == "/truth/onset" and 20 < margin < 80 and 60 < hz < 16000 and time == pytest.approx(1)
    assert desk.truth("/truth/rings") == ("/truth/rings", [0])
    calm = desk.ask("/mix/1/level")[1][0]

    desk.say(desk.truth_port, "/truth/stay")
    gain = -4 + margin + 0.4
    assert gain < 56
    desk.turn("/in/18/head/gain", "f", (gain + 4) / 60)
    told = [arguments for address, arguments in desk.run(12) if address == "/truth/ring"]
    mix, heard_hz, growth, _, began, heard, _ = told[0]
    assert mix == 1 and heard_hz == pytest.approx(hz, rel=0.02)
    assert 5 < growth < 300 and began == pytest.approx(1, abs=0.7) and heard < 13
    desk.say(desk.truth_port, "/truth/rings")
    rings = [desk.hear()]
    while rings[-1][0] == "/truth/ring":
        rings.append(desk.hear())
    assert rings[-1] == ("/truth/rings", [len(rings) - 1]) and len(rings) > 1
    assert rings[0][1][6] == 1  # it holds at a converter
    assert calm < -60 and desk.ask("/mix/1/level")[1][0] == pytest.approx(0, abs=0.1)

    band = round(10 * math.log10(hz / 1000)) + 17
    spectrum = levels(desk.ask("/mix/1/spectrum")[1][0])
    assert len(spectrum) == 31 and spectrum.index(max(spectrum)) == band and max(spectrum) > -10
    assert len(levels(desk.ask("/in/18/fine-spectrum")[1][0])) == 100

    desk.turn("/in/18/head/gain", "f", 0.0)
    desk.run(3)
    assert desk.truth("/truth/rings") == ("/truth/rings", [0])
    assert desk.truth("/truth/onset")[1][0] == pytest.approx(margin, abs=0.02)
    assert desk.stop() == 0


def test_meters_and_spectra_are_pushed_to_who_stays(stage_file):
    desk = Stage(stage_file(ONE))
    silent_desk(desk)
    assert desk.run(1) == []  # nobody stayed
    desk.say(desk.port, "/stay")
    desk.say(desk.port, "/stay/spectra")
    desk.ask("/desk/talkback")
    desk.say(desk.truth_port, "/truth/talk", "if", 1, 90.0)
    assert desk.hear() == ("/truth/talk", [1, 90])
    heard = desk.run(2)
    counts = {address: sum(other == address for other, _ in heard) for address, _ in heard}
    assert {address: counts[address] for address in counts if "spectrum" in address} == {
        f"/{signal}/{kind}": 40 for signal in ("in/18", "mix/1") for kind in ("spectrum", "fine-spectrum")}
    assert 2 <= counts["/in/18/level"] <= 20 and 2 <= counts["/mix/1/level"] <= 20
    assert set(counts) == {"/in/18/level", "/mix/1/level", "/in/18/spectrum", "/in/18/fine-spectrum", "/mix/1/spectrum",
                           "/mix/1/fine-spectrum"}
    assert desk.stop() == 0


@pytest.mark.parametrize("dialect, question, address", [
    ("get-answer", ("/ask/mix/1/spectrum",), "/tell/mix/1/spectrum"),
    ("indexes", ("/get/mix/spectrum", "i", 0), "/mix/spectrum"),
    ("blobs", ("/mix/1/spectrum",), "/mix/1/spectrum"),
])
def test_spectra_in_other_dialects(stage_file, dialect, question, address):
    desk = Stage(stage_file(ONE), "--speak", dialect)
    desk.run(0.2)
    heard, arguments = desk.ask(*question)
    assert heard == address and len(levels(arguments[-1])) == 31
    assert arguments[:-1] == ([0] if dialect == "indexes" else [])
    assert desk.stop() == 0


def test_without_a_stage_there_are_no_spectra():
    desk = Process(BUILD / "mock-desk", "--state", STATE)
    port = int(desk.expect(r"^mock-desk: listening on 127\.0\.0\.1:(\d+)$")[2].group(1))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ours:
        ours.settimeout(10 * PATIENCE)
        for question in ("/mix/1/spectrum", "/stay/spectra", "/mix/1/level"):
            ours.sendto(osc.message(question), ("127.0.0.1", port))
        assert parse(ours.recv(4096))[0] == "/mix/1/level"
    assert desk.stop() == 0


def test_the_program_reads_such_a_desk_like_any_other(stage_file):
    desk = Stage(stage_file(ONE))
    desk.run(1)
    result = run("audit", "--profile", PROFILE, "--desk", f"127.0.0.1:{desk.port}")
    assert "1403 of 1403 questions answered" in result.err + result.out
    assert desk.stop() == 0


def test_what_is_heard_does_no_harm(stage_file, tmp_path):
    file = tmp_path / "ring.wav"
    desk = Stage(stage_file(ONE), "--hear", file)
    silent_desk(desk)
    desk.turn("/in/18/head/gain", "f", 1.0)  # 56 dB: it rings at full scale
    desk.run(3)
    assert desk.stop() == 0
    with wave.open(str(file)) as sound:
        assert (sound.getnchannels(), sound.getframerate(), sound.getnframes()) == (2, SAMPLE_RATE, 3 * SAMPLE_RATE)
        samples = struct.unpack(f"<{6 * SAMPLE_RATE}h", sound.readframes(3 * SAMPLE_RATE))
    peak = max(map(abs, samples[-SAMPLE_RATE:])) / 32768
    assert 0.05 < peak <= 0.1 + 1 / 32768  # -20 dBFS and never more


# ---- what is turned down ----

def changed(**changes):
    """The stage with other parts, in free field: then nothing stands outside a box."""
    return {key: ONE[key] for key in ONE if key != "space"} | changes


MICROPHONE, BOX = ONE["microphones"][0], ONE["loudspeakers"][0]
WRONG = [
    ("{", "line 1 column 2: not JSON from here on"),
    ("[]", "top: must be an object"),
    ({"stage": 1}, 'top: "microphones" is missing'),
    (changed(stage=2), "stage: must be 1"),
    (changed(lights=[]), "lights: is not a key known here"),
    ('{"stage": 1, "stage": 1, "microphones": [], "loudspeakers": []}', "stage: stands here twice"),
    (changed(desk={"latency_ms": 0.9}), "desk.latency_ms: 0.9 is outside 1 to 200"),
    (changed(desk=[]), "desk: must be an object"),
    (changed(space={"box": {"from": [0, 0, 0]}}), 'space.box: "to" is missing'),
    (changed(space={"box": {"from": [0, 0, 0], "to": [5, 5, 0.5]}}),
     'space.box: must be at least 1 m from "from" to "to" in each direction'),
    (changed(space={"box": {"from": [5, 0, 0], "to": [9, 9, 4]}}), "microphones[0]: stands outside the box"),
    (changed(space={"floor": 0.1, "absorption": 0.3}),
     'space: "absorption" belongs to a box; an open floor has its own number'),
    (changed(space={"absorption": [0.1, 0.2]}), "space.absorption: must be a list of 6"),
    (changed(space={"absorption": 1.5}), "space.absorption: 1.5 is outside 0 to 1"),
    (changed(space={"paths": 2.5}), "space.paths: 2.5 is not a whole number"),
    (changed(space={"tail": {"level_db": 3}}), 'space.tail: "t60" is missing'),
    (changed(space={"noise_spl": "loud"}), "space.noise_spl: must be a number"),
    (changed(microphones=[MICROPHONE, MICROPHONE]), "microphones[1]: socket 18 has a microphone already"),
    (changed(microphones=[MICROPHONE | {"socket": 99}]), "microphones[0].socket: no input is patched to 99"),
    (changed(microphones=[MICROPHONE | {"pattern": "shotgun"}]),
     'microphones[0].pattern: "shotgun" is not a pattern known here'),
    (changed(microphones=[MICROPHONE | {"pattern": "\x85\n\x1b[2J"}]),
     'microphones[0].pattern: "\\xc2\\x85\\x0a\\x1b[2J" is not a pattern known here'),
    (changed(**{"li\nghts\x1c": []}), "li\\x0aghts\\x1c: is not a key known here"),
    (changed(microphones=[MICROPHONE | {"position": [0, 1]}]), "microphones[0].position: must be a list of 3"),
    (changed(microphones=[MICROPHONE | {"position": [0, 1, "up"]}]), "microphones[0].position[2]: must be a number"),
    (changed(microphones=[MICROPHONE | {"position": [0, 1e9, 0]}]), "microphones[0].position[1]: 1e+09 is outside -200 to 200"),
    (changed(microphones=[MICROPHONE] * 33), "microphones: must be a list of 0 to 32"),
    (changed(loudspeakers=[BOX | {"mix": 9}]), "loudspeakers[0].mix: the desk has 8 mixes"),
    (changed(loudspeakers=[BOX | {"beam": [[100, 90]]}]), "loudspeakers[0].beam: must be a list of 4"),
    (changed(loudspeakers=[BOX | {"beam": [[100, 90], [90, 90], [200, 90], [300, 90]]}]),
     "loudspeakers[0].beam[1]: 90 Hz does not lie above 100 Hz"),
    (changed(loudspeakers=[BOX | {"ripple": [[100, 99, 1]]}]), "loudspeakers[0].ripple[0][1]: 99 is outside -15 to 15"),
    (changed(talkers=[{"microphone": 2}]), "top: a talker stands at microphone 2, which there is not"),
]


@pytest.mark.parametrize("stage, complaint", WRONG)
def test_wrong_stage_files(stage_file, stage, complaint):
    path = stage_file(stage)
    done = subprocess.run([BUILD / "mock-desk", "--state", STATE, "--stage", path], text=True, capture_output=True,
                          timeout=10 * PATIENCE)
    assert done.returncode == 2 and f"mock-desk: {path}: {complaint}\n" in done.stderr


NUMBERS = ["0", "-1", "1e308", "-1e308", "1e-320", "999999999999", "0.5", "200", "-200", "null", "[]", "{}", '"x"',
           "true"]


def damage(text, dice):
    """A stage file with bytes changed, cut out or doubled, or numbers put in place of others."""
    for _ in range(dice.choice([1, 1, 2, 5])):
        at = dice.randrange(len(text))
        kind = dice.random()
        if kind < 0.3:
            text = text[:at] + chr(dice.randrange(1, 256)) + text[at + 1:]
        elif kind < 0.5:
            text = text[:at] + text[at + dice.randrange(1, 20):]
        elif kind < 0.6:
            text = text[:at] + text[at:at + dice.randrange(1, 40)] + text[at:]
        else:
            number = dice.choice(list(re.finditer(r"-?\d+(\.\d+)?", text)) or [re.match("", text)])
            text = text[:number.start()] + dice.choice(NUMBERS) + text[number.end():]
    return text


def test_damaged_stage_files(stage_file):
    """Each is read whole or turned down with a reason: the pair of ears is never there, so nothing begins to run."""
    dice = random.Random(SEED)
    space = ONE["space"] | {"absorption": [0.1, 0.2, 0.3, 0.4, 0.5, 0.6], "noise_spl": "-inf",
                            "tail": {"t60": 0.05, "per_second": 100}}
    whole = json.dumps(ONE | {"talkers": [{"microphone": 1}], "desk": {"latency_ms": 3, "input_dbu": 20},
                              "space": space})
    for _ in range(rounds(40, 2000)):
        path = stage_file(damage(whole, dice))
        done = subprocess.run([BUILD / "mock-desk", "--state", STATE, "--stage", path, "--hear", "none.wav",
                               "--ears", "9"], text=True, capture_output=True, timeout=10 * PATIENCE)
        assert done.returncode == 2, (path.read_text(), done.stderr)
        assert done.stderr and all(line.startswith("mock-desk: ") for line in done.stderr.splitlines()), done.stderr


EXTREMES = [
    {"microphones": [{"socket": 18, "position": [0, 0, 0], "faces": [0, 0, 0], "mv_per_pa": 100, "mouth_m": 0.01}],
     "loudspeakers": [{"mix": 1, "position": [0, 0, 0], "faces": [0, 0, 0], "sensitivity_db": 130, "amplifier_db": 60}],
     "talkers": [{"microphone": 1, "spl": 120}]},
    {"desk": {"latency_ms": 200}, "space": {"box": {"from": [-200, -200, -200], "to": [200, 200, 200]}, "order": 12,
                                            "absorption": 0, "paths": 400}},
    {"desk": {"latency_ms": 1}, "space": {"tail": {"t60": 5, "per_second": 20000, "level_db": 40}}},
    {"space": {"noise_spl": 120, "absorption": 1, "box": {"from": [-3, 0, 0], "to": [3, 3, 3]}}},
]


@pytest.mark.parametrize("stage", EXTREMES)
def test_extremes_run(stage_file, stage):
    desk = Stage(stage_file(ONE | {"space": {}} | stage))
    silent_desk(desk)
    desk.turn("/in/18/head/gain", "f", 1.0)
    desk.run(0.1)
    assert all(-120 <= desk.ask(f"/{signal}/level")[1][0] <= 0 for signal in ("in/18", "mix/1"))
    assert desk.stop() == 0


@pytest.mark.parametrize("words, complaint", [
    (["--stage", "random:1:4"], "random:1:4: stage: must be random:SEED:MICROPHONESxLOUDSPEAKERS"),
    (["--stage", "random:-1:4x4"], "random:-1:4x4: stage: must be random:SEED:MICROPHONESxLOUDSPEAKERS"),
    (["--stage", "random:1:0x4"], "random:1:0x4: stage: 1 to 32 microphones and 1 to 32 loudspeakers"),
    (["--stage", "none.json"], "none.json: file: No such file or directory"),
    (["--hear", "a.wav"], "--hear and --clock asked need a --stage"),
    (["--stage", "random:1:1x1", "--clock", "sun"], '--clock: "sun" is neither wall nor asked'),
    (["--stage", "random:1:1x1", "--hear", "a.wav", "--ears", "9"], "--ears: the stage has no pair of ears number 9"),
    (["--stage", "random:1:1x1", "--hear", "/none/a.wav"], "/none/a.wav: hear: System error"),
])
def test_wrong_words(words, complaint):
    done = subprocess.run([BUILD / "mock-desk", "--state", STATE, *words], text=True, capture_output=True, timeout=10 * PATIENCE)
    assert done.returncode == 2 and f"mock-desk: {complaint}" in done.stderr
