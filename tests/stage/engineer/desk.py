# SPDX-License-Identifier: MIT
"""Hands on a mock-desk with a stage behind it, over OSC: in real time, or with its clock asked to go on."""
import re
import socket
import struct
import time

import osc
from harness import PATIENCE, fader_wire, head_wire

from .hands import OFF, THIRDS, Hands

STEPS_PER_DB = 250  # of a spectrum's numbers: mocks/README.md

ADDRESSES = {"preamp": "/in/{}/head/gain", "send": "/in/{}/to/{}/level", "master": "/mix/{}/fader",
             "open": "/in/{}/open", "high-pass": "/in/{}/hp/on", "cut": "/mix/{}/graphic/{}"}
LAWS = {"preamp": head_wire, "send": lambda db: fader_wire("-inf" if db == OFF else db), "cut": float}
LAWS["master"] = LAWS["send"]


def state(inputs, mixes):
    """A state file's content for so many players."""
    sends = [[0 if (i - 1) % mixes + 1 == m else -12 for m in range(1, mixes + 1)] for i in range(1, inputs + 1)]
    return {"desk_state": 1,
            "counts": {"inputs": inputs, "mixes": mixes, "graphic_bands": len(THIRDS)},
            "inputs": [{"name": f"Singer {i}", "gain": 10, "send_levels": row, "high_pass": {"on": False, "freq": 100}}
                       for i, row in enumerate(sends, 1)],
            "mixes": [{"name": f"Wedge {m}", "fader": 0} for m in range(1, mixes + 1)]}


def settings(content):
    """The controls of such a state."""
    found = {}
    for i, one in enumerate(content["inputs"], 1):
        found.update({("preamp", i): one["gain"], ("open", i): True, ("high-pass", i): False})
        found.update({("send", i, m): db for m, db in enumerate(one["send_levels"], 1)})
    for m, one in enumerate(content["mixes"], 1):
        found[("master", m)] = one["fader"]
        found.update({("cut", m, b): 0 for b in range(1, len(THIRDS) + 1)})
    return found


class DeskHands(Hands):
    """`desk` is a harness.MockDesk that was started with `content` as its state and a truth port."""

    def __init__(self, desk, content, asked=False):
        counts = content["counts"]
        super().__init__(settings(content), range(1, counts["inputs"] + 1), range(1, counts["mixes"] + 1))
        self.desk, self.asked = desk, asked
        host, port = re.search(r"mock-desk: truth on (\S+):(\d+)", desk.text()).groups()
        self.clock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.clock.connect((host, int(port)))
        self.clock.settimeout(5 * PATIENCE)

    def ask_truth(self, address, tags="", *values):
        self.clock.send(osc.message(address, tags, *values))
        return osc.parse(self.clock.recv(65536))[1]

    def now(self):
        return self.ask_truth("/truth/time")[0]

    def wait(self, seconds):
        if self.asked:
            self.ask_truth("/truth/run", "f", seconds)
        else:
            time.sleep(seconds)

    def spectrum(self, mix):
        blob = self.desk.ask(f"/mix/{mix}/spectrum")[0]
        return [step / STEPS_PER_DB for step in struct.unpack(f">{len(blob) // 2}h", blob)]

    def turn(self, control, value):
        kind, *where = control
        address = ADDRESSES[kind].format(*where)
        if kind in LAWS:
            self.desk.move(address, "f", LAWS[kind](value))
        else:
            self.desk.move(address, "i", int(value))
        self.desk.ask("/desk/talkback")  # once that is answered the move was heard
