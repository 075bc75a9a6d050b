# SPDX-License-Identifier: MIT
"""A person at a desk who is asked to turn things by `gainwarden listen --turn`: reads what is asked, turns at the
desk, types. What that person knows is the desk, and nothing of OSC.
"""
import re
import signal
import subprocess

from harness import BUILD, PATIENCE, Lines, agreed, check_sanitizers, environment, started

# What is asked for, by the words of the question: the object, what of it, and what that is.
TASKS = {
    ("Input, send to mix", "the level"): "send.level",
    ("Input, send to mix", "the place where the send is taken from"): "send.tap",
    ("Input, send to mix", "the send"): "send.on",
    ("Input", "the label"): "input.name",
    ("Input", "the preamp gain"): "input.preamp_gain",
    ("Input", "the high-pass filter"): "input.high_pass.on",
    ("Input", "the corner of the high-pass filter"): "input.high_pass.freq",
    ("Input", "the slope of the high-pass filter"): "input.high_pass.slope",
    ("Input", "the mute"): "input.mute",
    ("Input", "the fader"): "input.fader",
    ("Input", "48 V"): "input.phantom",
    ("Input", "the pad"): "input.pad",
    ("Input", "the digital trim"): "input.trim",
    ("Mix", "the label"): "mix.name",
    ("Mix", "the fader"): "mix.fader",
    ("Mix", "the mute"): "mix.mute",
    ("Mix", "the limiter"): "mix.limiter.on",
    ("Mix", "the limiter's threshold"): "mix.limiter.threshold",
    ("Mix", "the limiter's ratio"): "mix.limiter.ratio",
    ("Mix, band", "the graphic equaliser's gain"): "mix.graphic.band.gain",
    ("Mix, band", "the equaliser's gain"): "mix.eq.band.gain",
    ("Mix, band", "the equaliser's frequency"): "mix.eq.band.freq",
    ("Mix, band", "the equaliser's width (Q)"): "mix.eq.band.q",
    ("Mix, band", "this band of the equaliser"): "mix.eq.band.on",
}

QUESTION = re.compile(r"^(Input|Mix|Group|The desk)(?: (\d+))?(?:, (send to mix|band|group) (\d+))?: (.*)$")
TO_TURN = re.compile(r"^(?:turn (.*) up and down again, slowly, and let go|switch (.*) on and off again, twice|"
                     r"change (.*?)(?:, and put it back)?)\.$")


class Turning:
    """The program under way, and how far its output was read."""

    def __init__(self, *words, agree=True):
        argv = [BUILD / "gainwarden", "listen", *words]
        self.argv = [str(word) for word in (agreed(argv) if agree else argv)]
        self.name = "gainwarden"
        self.popen = subprocess.Popen(self.argv, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                      env=environment(), process_group=0)
        started.append(self)
        self.out, self.err = Lines(self.popen.stdout), Lines(self.popen.stderr)
        self.at = 0

    def expect(self, pattern, timeout=10):
        at, _, match = self.out.wait(pattern, timeout, self.at)
        self.at = at + 1
        return match

    def type(self, line=""):
        self.popen.stdin.write(f"{line}\n".encode())
        self.popen.stdin.flush()

    def running(self):
        return self.popen.poll() is None

    def stop(self):
        return self.wait() if not self.running() else self.end(signal.SIGTERM)

    def kill(self):
        self.popen.kill()
        self.popen.wait(10 * PATIENCE)

    def end(self, number=None):
        """The exit status, after Ctrl-C or the end of what is typed."""
        if number is not None:
            self.popen.send_signal(number)
        else:
            self.popen.stdin.close()
        return self.wait()

    def wait(self, timeout=10):
        status = self.popen.wait(timeout * PATIENCE)
        if not self.popen.stdin.closed:
            self.popen.stdin.close()
        for lines in (self.out, self.err):
            lines.thread.join(timeout * PATIENCE)
        check_sanitizers(self.name, "\n".join(self.err.texts()))
        return status

    def text(self):
        return "\n".join(self.out.texts())

    def sentence(self, pattern):
        """The next line that matches, whole where it goes on below it."""
        whole = self.expect(pattern)[0]
        while not whole.endswith((".", "?")):
            whole += " " + self.expect(r"^ +\S.*")[0].strip()
        return whole


def tell_counts(turning, desk="Turned desk", **numbers):
    """Answers the questions at the beginning."""
    turning.expect(r"^What do you call the desk\?$")
    turning.type(desk)
    for what, word in (("inputs", "input"), ("mixes", "mix"), ("groups", "group"), ("bands in an input's", "input_band"),
                       ("bands in a mix's parametric", "mix_band"), ("bands in a mix's graphic", "graphic_band")):
        turning.expect(rf"^How many {what}")
        turning.type(numbers.get(word, 0))


class Control:
    """What a person can do with one: `move(numbers, position)` sets it on the object of these numbers, from 1.
    `to_and_fro`: positions by which it is turned up and down; `positions`: for each question of a position what is
    set and what the desk shows then, in the words of who types it; None: Enter alone."""

    def __init__(self, move, to_and_fro, positions=()):
        self.move, self.to_and_fro, self.positions = move, to_and_fro, list(positions)

    def turn(self, numbers):
        for position in self.to_and_fro:
            self.move(numbers, position)


def set_position(turning, control, numbers, rest):
    position = control.positions[rest]
    if position is None:
        turning.type()
        return
    value, shown = position
    before = turning.at
    control.move(numbers, value)
    turning.out.wait(r"^  it sends ", 10, before) if not isinstance(value, Still) else None
    turning.type(shown)


class Still:
    """A position in which the control is already, so that nothing is sent."""

    def __init__(self, value):
        self.value = value


def work_through(turning, hands):
    """Answers what is asked until it ends; the parameters that were asked for. What `hands` (parameter -> Control)
    does not have is skipped."""
    asked, control, number = [], None, 0
    while True:
        line = turning.sentence(r"^(Input|Mix|Group|The desk)\b.*|^\d+ controls? found\..*|^Nothing was found.*|^  That is no pair.*|"
                                r"^  No law.*|^  It cannot.*|^  No entry.*|^  Nothing moved.*")
        assert not line.startswith("  "), turning.text()
        found = QUESTION.match(line)
        if not found:
            return asked
        numbers = [int(n) for n in found.group(2, 4) if n]
        to_turn = TO_TURN.match(found[5])
        if to_turn:
            what = next(word for word in to_turn.groups() if word)
            param = TASKS.get((found[1] + (f", {found[3]}" if found[3] else ""), what))
            control, number = hands.get(param), 0
            if not control:
                turning.type("skip")
                continue
            asked.append((param, numbers))
            control.turn(numbers)
        else:
            set_position(turning, control, numbers, number)
            number += 1
