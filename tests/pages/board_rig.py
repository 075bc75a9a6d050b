# SPDX-License-Identifier: MIT
"""What tests of the board need: tablets in Chromium (tablets.js), a stub of the watch (board_stub.py), a cable that can
be pulled, and facts of an invented evening."""
import json
import pathlib
import selectors
import signal
import socket
import subprocess
import sys
import threading

import pages
from harness import BUILD, PATIENCE, until

HERE = pathlib.Path(__file__).resolve().parent
FOLDER = HERE.parents[1] / "daemon" / "board"
TOKEN = "a-token-of-the-stub"
SCREENS = {"wide": (1180, 820), "high": (820, 1180), "phone": (390, 844)}

STALE = "document.body.classList.contains('is-stale')"
SAYS_STALE = "document.getElementById('stale').textContent"


# ---- tablets ----

class Tablet:
    """One that shows `url`, until shut_all()."""

    def __init__(self, url, screen="wide"):
        self.number = pages.ask(200, do="tablet", url=url, screen=SCREENS[screen])
        tablets.append(self)

    def ask(self, what, **words):
        return pages.ask(200, do=what, tablet=self.number, **words)

    def run(self, script):
        return self.ask("run", script=script)

    def text(self, selector):
        """What can be seen of the first such element; None: there is none, or it is hidden."""
        return self.run(f"(() => {{ const one = document.querySelector({json.dumps(selector)});"
                        " return one && one.checkVisibility() ? one.innerText : null; })()")

    def texts(self, selector):
        return self.run(f"[...document.querySelectorAll({json.dumps(selector)})]"
                        ".filter((one) => one.checkVisibility()).map((one) => one.innerText)")

    def click(self, selector):
        self.ask("click", on=selector)

    def keys(self, *keys):
        self.ask("keys", keys=list(keys))

    def wire(self, method, **params):
        return self.ask("wire", method=method, params=params)

    def until(self, script, timeout=10):
        until(lambda: self.run(script), timeout, what=script)

    def until_text(self, selector, part, timeout=10):
        until(lambda: part in (self.text(selector) or ""), timeout, what=f"{part!r} in {selector}")

    def heap(self):
        """Bytes in use after a collection."""
        self.wire("HeapProfiler.collectGarbage")
        return self.wire("Runtime.getHeapUsage")["usedSize"]

    def faults(self, brightness=1):
        """With less than all of the screen's light only what its colours are about."""
        return [(one["by"], one["rule"], tuple(one["places"]), one["what"])
                for one in self.ask("look", brightness=brightness)]

    def errors(self):
        return self.ask("told")["errors"]

    def asked(self):
        return self.ask("told")["asked"]

    def reload(self):
        self.ask("reload")


tablets = []


def shut_all():
    while tablets:
        tablets.pop().ask("shut")


# ---- the watch's stand-in ----

class Stub:
    def __init__(self, facts, port=0):
        self.popen = subprocess.Popen([sys.executable, str(HERE / "board_stub.py"), str(FOLDER),
                                       str(BUILD / "board.js"), str(port)],
                                      stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        self.port = int(self.line())
        self.say(facts=facts)

    @property
    def url(self):
        return f"http://127.0.0.1:{self.port}/#{TOKEN}"

    def line(self):
        with selectors.DefaultSelector() as waiting:
            waiting.register(self.popen.stdout, selectors.EVENT_READ)
            assert waiting.select(10 * PATIENCE), "the stub does not answer"
        return self.popen.stdout.readline()

    def say(self, **command):
        self.popen.stdin.write(json.dumps(command) + "\n")
        self.popen.stdin.flush()
        return json.loads(self.line())

    def pressed(self):
        return self.say(pressed=True)

    def signal(self, number):
        self.popen.send_signal(number)

    def kill(self):
        self.popen.kill()
        self.popen.wait(10 * PATIENCE)
        self.popen.stdin.close()
        self.popen.stdout.close()


class Cable:
    """Carries connections to a port, from an address, until it is pulled; who is connected then hears nothing, not
    even an end."""

    def __init__(self, port, address="127.0.0.1"):
        self.to, self.address, self.whole, self.ends = port, address, threading.Event(), []
        self.whole.set()
        self.listening = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port = self.listening.getsockname()[1]
        threading.Thread(target=self.accept, daemon=True).start()

    def accept(self):
        while True:
            try:
                near, _ = self.listening.accept()
            except OSError:
                return
            try:
                far = socket.create_connection(("127.0.0.1", self.to), source_address=(self.address, 0))
            except OSError:  # nobody is there
                near.close()
                continue
            self.ends += [near, far]
            for one, other in ((near, far), (far, near)):
                threading.Thread(target=self.carry, args=(one, other), daemon=True).start()

    def carry(self, source, sink):
        try:
            while data := source.recv(1 << 16):
                self.whole.wait()
                sink.sendall(data)
            sink.shutdown(socket.SHUT_WR)
        except OSError:
            pass

    def pull(self):
        self.whole.clear()

    def plug(self):
        self.whole.set()

    def close(self):
        for end in [self.listening, *self.ends]:
            end.close()


# ---- an invented evening ----

def finding(number=1, weight="stop", **changes):
    return {"id": f"finding-{number}", "weight": weight, "figure": "+23 dB", "arrow": "up",
            "where": "Ld Vox into 1 Ld Vox wedge", "cure": "Put it back to -13, hand on master 1.",
            "says": "Ld Vox: its send into mix 1 Ld Vox wedge leapt from -13 to +10 dB.", "check": "value-jumped",
            "do": "If nobody did it on purpose, take it back to -13 dB, slowly, with a hand on the master.",
            "player": "lead vocal", "mix": 1, "age_s": 3, "fresh": True, "stale": False, "closed": False, "hidden": "", "seen": None,
            **changes}


def tile(mix, name, **changes):
    return {"mix": mix, "name": name, "kind": "wedge", "player": "", "weight": "none", "word": "right", "arrow": "",
            "limiter": None, "margin": "", "lines": ["master 0"], **changes}


TILES = [
    tile(1, "Ld Vox wedge", weight="stop", word="JUMP", arrow="up", player="lead vocal",
         margin="4.5 dB left, proved", lines=["Ld Vox send +10 (was -13)", "5 cuts"]),
    tile(2, "Gtr wedge", weight="fix", word="fix 2", lines=["master 0", "9 cuts, -3.5 dB speech"], player="guitar"),
    tile(3, "Keys wedge", weight="note", word="note 1", lines=["master -8 since 21:33 (was 0)", "4 cuts"]),
    tile(4, "Horns wedge", weight="fix", word="fix 1", arrow="up", lines=["master +6 since 21:36 (was 0)", "7 cuts"]),
    tile(5, "Side-fill", kind="fill", margin="6.0 dB left, proved", lines=["master +1.5 accepted", "5 cuts"]),
    tile(6, "Drum-fill", kind="fill", word="not known", lines=["master not known"]),
    tile(7, "Bass IEM", kind="ears", limiter="limiter on", margin="alone", lines=["nothing moved"]),
    tile(8, "Drums IEM", kind="ears", limiter="NO LIMITER", weight="stop", word="STOP", lines=["since doors, 41 min"]),
]

CHANGED = [
    {"at": "21:37:05", "arrow": "up", "what": "Ld Vox send into 1: -13 to +10", "now": "open, put back to -13"},
    {"at": "21:36:40", "arrow": "up", "what": "master 4 Horns wedge: 0 to +6", "now": "open, put back to 0"},
    {"at": "21:33:45", "arrow": "down", "what": "master 3 Keys wedge: 0 to -8", "now": ""},
    {"at": "21:31:40", "arrow": "", "what": "master 5 Side-fill: +1.5 to -6", "now": "ended after 41 s"},
]


def desk(**changes):
    return {"show": "Lantern Yard, Saturday", "room": "show", "room_left": "",
            "link": {"state": "steady", "says": "steady; 2155 values known, 0 stale", "heard_ms": 400, "lost": False,
                     "since": ""},
            "now": [finding(), finding(2, figure="", arrow="", where="mix 8 Drums IEM", age_s=2460, fresh=False, mix=8,
                                       check="ears-unprotected", player="drums",
                                       cure="Turn the packs down first. Then the limiter on.",
                                       says="mix 8 Drums IEM: an in-ear mix without a limiter")],
            "now_more": 0, "quiet": {"for_s": 720, "by_hand": 14}, "open": {"stop": 2, "fix": 3, "note": 5, "held_back": 4},
            "tiles": TILES, "changed": CHANGED, "approved": "approved 18:02 by Mo",
            "held": ["4 notes by the room (show) until 22:00"],
            "not_known_count": 0, "not_known": ["mix 6 Drum-fill: master not heard yet"],
            "proved": ["mix 1 Ld Vox wedge: 4.5 dB left of 8 proved at 17:20"],
            "quieted": ["too-many-cuts of mix 2 by Mo since 19:30: they like it"],
            "told": [{"at_ms": 1, "at": "21:37:05", "says": "stop: Ld Vox into 1 Ld Vox wedge +23 dB"}], **changes}


def facts(*desks, **changes):
    return {"version": 1, "at_ms": 0, "clock": "21:37:08", "boot": "first", "desks": list(desks) or [desk()],
            "ring_out": None, **changes}


RING_OUT = {
    "desk": 0, "title": "Ring-out of mix 1 Ld Vox wedge", "link": "steady", "lost": False,
    "next": "Bring up master 1 slowly, until it rings", "urgent": False,
    "figures": ["master 1 at -6 dB", "2 rings found, 4.5 dB won"], "care": ["Ears protected? In-ears out."],
    "rings": ["315 Hz at -8 dB, cut by 6 dB", "2.5 kHz at -5 dB, cut by 3 dB"], "seen": ["21:37:01 master 1 -8 to -6"],
    "large": ["Bring up master 1 slowly", "master 1 at -6 dB", "4.5 dB won"],
}

MIX = {
    "mix": 1, "name": "Ld Vox wedge", "player": "lead vocal", "kind": "wedge", "limiter": None,
    "margin": "4.5 dB left, proved",
    "equaliser": [{"what": "band 1", "hz": "315 Hz", "gain": "-6 dB", "width": "1/3 octave", "is_cut": True},
                  {"what": "band 2", "hz": "2.5 kHz", "gain": "+2 dB", "width": "1 octave", "is_cut": False}],
    "sends": [{"input": 1, "name": "Kick In", "level": "off", "to_own": "", "closed": True},
              {"input": 18, "name": "Ld Vox", "level": "+10 dB", "to_own": "own", "closed": False},
              {"input": 19, "name": "Gtr Vox", "level": "-8 dB", "to_own": "-18 dB", "closed": False}],
    "changed": CHANGED[:1], "rings": ["315 Hz, cut by 6 dB"], "stage": ["2.1 m from its microphone"],
    "findings": [finding()],
}


# ---- for tests ----

def shown(stub, screen="wide"):
    """A tablet that was let in and shows the facts."""
    tablet = Tablet(stub.url, screen)
    tablet.until("document.getElementById('clock').textContent !== ''")
    return tablet
