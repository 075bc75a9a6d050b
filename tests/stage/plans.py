# SPDX-License-Identifier: MIT
"""Random stages with a desk before them, the plan that a careful user would write of each, what the program estimates
from plan and desk, and the truth from the simulator's impulse responses.

Everything of a plan is given: places, directions, patterns and floors, sensitivities, low ends, amplifier, calibration,
volume and reverberation time (W. C. Sabine's from the walls' absorption), and each loudspeaker's off-axis table as
somebody would measure it in the open. Ripple and single reflections are nobody's to know: those are the allowance's part.

Ears are extra microphones of the scene, omnidirectional, plugged into sockets that the desk sends nowhere: their rows of
the responses say what a player hears.
"""
import copy
import dataclasses
import functools
import math
import pathlib

import numpy
from harness import DEMO, MockDesk, read_json, run, write_json

import nyquist
from simulator import RATE, Stage

PATTERNS = {"omnidirectional": 1, "subcardioid": 0.7, "cardioid": 0.5, "supercardioid": 0.37, "hypercardioid": 0.25,
            "figure-of-eight": 0}
TABLE_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000]
TABLE_DEGREES = [0, 15, 30, 45, 60, 75, 90, 105, 120, 150, 180]
BANDS = 31


@dataclasses.dataclass
class Setting:
    """One stage and the desk before it: `scene` is a stage file's content, `state` a state file's."""
    scene: dict
    state: dict
    microphones: int  # of players; the ears' come behind them
    mixes: int

    def copy(self):
        return copy.deepcopy(self)

    def microphone(self, number):
        return self.scene["microphones"][number - 1]

    def loudspeaker(self, mix):
        return self.scene["loudspeakers"][mix - 1]

    def ears(self, mix):
        """Of the player in front of that mix; None: it is a fill that is nobody's own."""
        place = self.microphones + mix - 1
        return self.scene["microphones"][place]["position"] if mix <= self.microphones else None


# ---- drawing ----

def drawn_input(dice, mixes, own):
    sends = [{"mix": mix, "level": dice.uniform(-4, 0) if mix == own else dice.uniform(-25, -8),
              "tap": dice.choice(["pre-fader", "pre-fader", "post-fader"])}
             for mix in range(1, mixes + 1) if mix == own or dice.random() < 0.7]
    bands = [{"on": True, "shape": "peak", "freq": 100 * 60 ** dice.random(), "gain": dice.uniform(-6, 3),
              "q": dice.uniform(0.7, 3)} for _ in range(2)]
    return {"gain": dice.uniform(0, 20), "fader": dice.uniform(-5, 3), "sends": sends,
            "high_pass": {"on": dice.random() < 0.8, "freq": dice.uniform(70, 140), "slope": dice.choice([12, 18])},
            "eq": {"on": dice.random() < 0.7, "bands": bands}}


def drawn_state(dice, inputs, microphones, mixes):
    cuts = [[dice.choice([0, 0, 0, 0, -3, -6]) for _ in range(BANDS)] for _ in range(mixes)]
    return {"desk_state": 1,
            "counts": {"inputs": inputs, "mixes": mixes, "input_eq_bands": 4, "graphic_bands": BANDS,
                       "mix_eq_bands": 4, "groups": 1},
            "inputs": [drawn_input(dice, mixes, (i - 1) % mixes + 1) for i in range(1, microphones + 1)],
            "mixes": [{"fader": dice.uniform(-6, 0), "graphic": {"on": dice.random() < 0.5, "bands": row}}
                      for row in cuts]}


FIT, TEST = 0, 1  # the halves of all stages: allowances are fitted on one and tried on the other


def draw(dice, folder, size, half, pattern=None):
    """A stage of the simulator's own drawing, in a room or, one in six, in the open; all microphones of that pattern."""
    microphones, mixes = size
    with Stage(f"random:{2 * dice.randrange(500_000) + half}:{microphones}x{mixes}") as stage:
        stage.save(folder / "drawn.json")
    scene = read_json(folder / "drawn.json")
    if dice.random() < 1 / 6:
        del scene["space"]["box"], scene["space"]["absorption"]
        scene["space"]["floor"] = dice.uniform(0.05, 0.5)
    for one in scene["microphones"]:
        if pattern:
            one["pattern"] = PATTERNS[pattern]
    ears = scene.pop("ears")[:mixes]
    for number, one in enumerate(ears, microphones + 1):
        scene["microphones"].append({"socket": number, "position": one["position"], "faces": one["faces"],
                                     "pattern": "omnidirectional"})
    return Setting(scene, drawn_state(dice, len(scene["microphones"]), microphones, mixes), microphones, mixes)


# ---- the plan ----

def beam_db(one, degrees, hz):
    """Against the axis: what its bands, which first-order filters part, make together at that angle."""
    turn = numpy.exp(-2j * math.pi * hz / RATE)
    rest, whole = 1, 0
    for band, (centre, width) in enumerate(one["beam"]):
        factor = 10 ** (max(-6 * (degrees / (width / 2)) ** 2, one["back_db"]) / 20)
        if band + 1 < len(one["beam"]):
            share = 1 - math.exp(-2 * math.pi * math.sqrt(centre * one["beam"][band + 1][0]) / RATE)
            low = rest * share / (1 - (1 - share) * turn)
        else:
            low = rest
        whole, rest = whole + factor * low, rest - low
    return 20 * math.log10(abs(whole))


def table(one):
    return [{"hz": hz, "degrees": TABLE_DEGREES, "db": [round(beam_db(one, degrees, hz), 2) for degrees in TABLE_DEGREES]}
            for hz in TABLE_HZ]


def room(space):
    """Volume, and T60 = 0.161 V / A with A the walls' area by their absorption (W. C. Sabine; 0.161 from memory)."""
    if "box" not in space:
        return {"open_air": True}
    x, y, z = (there - here for here, there in zip(space["box"]["from"], space["box"]["to"]))
    areas = [y * z, y * z, x * z, x * z, x * y, x * y]
    absorption = sum(area * share for area, share in zip(areas, space["absorption"]))
    return {"cubic_metres": x * y * z, "reverberation_s": 0.161 * x * y * z / absorption}


def name_of(pattern):
    return next(name for name, a in PATTERNS.items() if a == pattern)


def plan_of(setting):
    scene = setting.scene
    return {
        "stage_format": 1, "calibration_db": scene["desk"]["output_dbu"] - scene["desk"]["input_dbu"],
        "space": room(scene["space"]),
        "microphones": [{"inputs": [one["socket"]], "at": one["position"], "faces": one["faces"],
                         "pattern": name_of(one["pattern"]), "floor_db": one["floor_db"], "mv_per_pa": one["mv_per_pa"],
                         "mouth_metres": one["mouth_m"]} for one in scene["microphones"][:setting.microphones]],
        "loudspeakers": [{"mixes": [one["mix"]], "at": one["position"], "faces": one["faces"],
                          "db_at_1_metre": one["sensitivity_db"], "amplifier_db": one["amplifier_db"],
                          "from_hz": one["low_hz"], "off_axis": table(one)} for one in scene["loudspeakers"]],
        "ears": [{"mix": mix, "at": setting.ears(mix)} for mix in range(1, setting.mixes + 1) if setting.ears(mix)],
    }


# Standard deviations of what a careful person writes: metres of each coordinate, degrees, dB, parts; common practice,
# no source.
OFF_M, OFF_DEGREES, OFF_FLOOR_DB, OFF_SHEET_DB, OFF_LINE_DB, OFF_ROOM_DB, OFF_BEAM, OFF_HZ = 0.06, 10, 3, 1, 0.5, 1.6, 0.2, 8


def aimed_off(dice, at, faces, degrees):
    """A point a metre away from `at`, somewhat beside where `faces` is seen from there."""
    way = numpy.subtract(faces, at)
    way = way / numpy.linalg.norm(way)
    across = numpy.cross(way, [dice.gauss(0, 1) for _ in range(3)])
    across = across / numpy.linalg.norm(across)
    angle = math.radians(dice.gauss(0, degrees))
    return (numpy.array(at) + way * math.cos(angle) + across * math.sin(angle)).tolist()


def measured(plan, dice):
    """The plan as it is when each figure is a little off: tape, eye, data sheets."""
    plan = copy.deepcopy(plan)
    plan["calibration_db"] += dice.gauss(0, OFF_LINE_DB)
    if "reverberation_s" in plan["space"]:
        plan["space"]["reverberation_s"] *= 10 ** (dice.gauss(0, OFF_ROOM_DB) / 10)
    for one in plan["microphones"]:
        one["floor_db"] = max(-60, min(0, one["floor_db"] + dice.gauss(0, OFF_FLOOR_DB)))
        one["mv_per_pa"] *= 10 ** (dice.gauss(0, OFF_SHEET_DB) / 20)
    for one in plan["loudspeakers"]:
        one["db_at_1_metre"] += dice.gauss(0, OFF_SHEET_DB)
        one["amplifier_db"] += dice.gauss(0, OFF_LINE_DB)
        one["from_hz"] += dice.gauss(0, OFF_HZ)
        factor = 1 + dice.gauss(0, OFF_BEAM)
        one["off_axis"] = [row | {"db": [max(-60, min(20, db * factor)) for db in row["db"]]} for row in one["off_axis"]]
    for one in plan["microphones"] + plan["loudspeakers"]:
        one["faces"] = aimed_off(dice, one["at"], one["faces"], OFF_DEGREES)
        one["at"] = [part + dice.gauss(0, OFF_M) for part in one["at"]]
    return plan


# ---- what the program says ----

def estimate(setting, folder, plan=None):
    """The report of `gainwarden stage`, which asks a mock desk in that state."""
    counts = setting.state["counts"]
    profile = read_json(DEMO / "barn-desk.json")
    profile["counts"] |= {"input": counts["inputs"], "mix": counts["mixes"], "group": counts["groups"]}
    write_json(folder / "profile.json", profile)
    write_json(folder / "plan.json", plan or plan_of(setting))
    show = {"show_format": 1, "show": "Drawn", "desk": {"profile": "profile.json", "host": "127.0.0.1", "role": "monitor",
                                                        "stage": "plan.json"}}
    write_json(folder / "show.json", show)
    desk = MockDesk(state=write_json(folder / "state.json", setting.state))
    result = run("stage", folder / "show.json", "--desk", desk.at, "--format", "json", "--yes")
    desk.stop()
    assert result.status == 0, result.err
    return result.json()


# ---- the truth ----

@dataclasses.dataclass
class Truth:
    """Responses of one setting: `a` [microphone, mix, sample] without the ears, who are in `ears` by mix."""
    a: numpy.ndarray
    g: numpy.ndarray  # [mix, microphone, sample]
    ears: dict

    @functools.cached_property
    def onset(self):
        return nyquist.onset(self.a, self.g, RATE)

    def onset_of(self, microphones, mixes):
        """Of these alone, numbers from 1."""
        rows, columns = [i - 1 for i in microphones], [m - 1 for m in mixes]
        return nyquist.onset(self.a[rows][:, columns], self.g[columns][:, rows], RATE)


def truth(setting, folder):
    folder = pathlib.Path(folder)
    with Stage(setting.scene, folder, write_json(folder / "state.json", setting.state)) as stage:
        a, g = stage.acoustic(), stage.electric()
    count = setting.microphones
    return Truth(a[:count], g[:, :count], {mix: a[count + mix - 1, mix - 1] for mix in range(1, setting.mixes + 1)
                                           if setting.ears(mix)})
