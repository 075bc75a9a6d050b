# SPDX-License-Identifier: MIT
"""How often the rule for rings in spectra is wrong where nothing rings, and how many rings it finds, on sounds through the
simulated stage. tests/long/ringing names a folder of music and speech that had no part in choosing the rule's constants
(GW_CORPUS); without one, a few minutes are made out of dice.

The figures asked for are those of the study that the rule comes from (tests/reference/ringing/README.md).
"""
import bisect
import math
import random

import numpy
import pytest
from harness import SEED

import own_sounds
import spectra
from simulator import RATE
from spectra import CORPUS

PER_HOUR, PER_HOUR_AFTER_A_RISE, BEFORE_CLIP = 2.5, 0.2, 0.5
RISE_EVERY_S, AFTER_S = 120, 10  # common practice, no source: a fader of a running show goes up every other minute
OWN_S, OWN_PIECES, OWN_MOST = 90, 2, 3  # of each kind; how many false alarms in them still are chance
RINGS = 150 if CORPUS else 12
PAST_DB = 0.1, 1.5
DRAWN = "corpus" if CORPUS else SEED  # of a fixed corpus always the same stages


def pieces(dice, kind):
    if not CORPUS:
        make = {"music": own_sounds.music, "speech": own_sounds.speech}[kind]
        yield from (make(dice, OWN_S) for _ in range(OWN_PIECES))
        return
    for path in sorted((CORPUS / kind).glob("*.wav")):
        yield spectra.recorded(path)


def share_after_a_rise(dice, alarms, seconds):
    """Of alarms those which fall behind a rise, on average over many evenings of rises."""
    hits, evenings = 0, 500
    for _ in range(evenings):
        rises, at = [], 0
        while at < seconds:
            at += dice.expovariate(1 / RISE_EVERY_S)
            rises.append(at)
        for alarm in alarms:
            before = bisect.bisect(rises, alarm) - 1
            hits += before >= 0 and alarm - rises[before] <= AFTER_S
    return hits / evenings


def no_rings(dice, kind):
    """(seconds, false alarms, of them behind a rise)."""
    seconds = count = behind = 0
    for samples in pieces(dice, kind):
        alarms = [at for at, _ in spectra.false_alarms(dice, samples)]
        lasted = len(samples) / RATE
        print(f"{kind}: {lasted:.0f} s, false alarms at {alarms}", flush=True)
        seconds, count = seconds + lasted, count + len(alarms)
        behind += share_after_a_rise(dice, alarms, lasted)
    return seconds, count, behind


@pytest.mark.limit(7200 if CORPUS else 300)
def test_what_does_not_ring_is_seldom_told():
    dice = random.Random(f"rates {DRAWN}")
    rows = [no_rings(dice, kind) for kind in ("music", "speech")]
    seconds, count, behind = map(sum, zip(*rows))
    hours = seconds / 3600
    print(f"{hours:.2f} h, {count} false alarms, {count / hours:.2f} an hour; behind a rise {behind / hours:.2f} an hour")
    assert seconds >= (3600 if CORPUS else 2 * OWN_PIECES * OWN_S)
    if CORPUS:
        assert count / hours <= PER_HOUR and behind / hours <= PER_HOUR_AFTER_A_RISE
    else:
        assert count <= OWN_MOST


def programmes(dice):
    """Pieces long enough for a ring, from anywhere in what there is."""
    count = spectra.RING_S * RATE
    cut = [samples[at:at + count] for kind in ("music", "speech") for samples in pieces(dice, kind)
           for at in range(0, len(samples) - count + 1, count)]
    loud = [one for one in cut if numpy.max(numpy.abs(one)) > 0.01]
    return dice.sample(loud, min(len(loud), RINGS)) if len(loud) >= RINGS else dice.choices(loud, k=RINGS)


@pytest.mark.limit(7200 if CORPUS else 300)
def test_half_of_the_rings_are_found_before_they_clip():
    dice, rung = random.Random(f"rings {DRAWN}"), []
    for samples in programmes(dice):
        past_db = math.exp(dice.uniform(*map(math.log, PAST_DB)))
        one = spectra.ring(dice, samples, past_db)
        if one:
            rung.append(one)
    before, found = sum(one.before_clip for one in rung), sum(one.found for one in rung)
    for least, most in (0, 5), (5, 15), (15, 40), (40, 100), (100, math.inf):
        of = [one for one in rung if least <= one.db_s < most]
        print(f"{least} to {most} dB/s: {len(of)}, found {sum(one.found for one in of)}, "
              f"before clip {sum(one.before_clip for one in of)}")
    print(f"{len(rung)} rings, found {found}, before they clipped {before}")
    assert len(rung) >= 0.8 * RINGS
    assert before >= (BEFORE_CLIP * len(rung) if CORPUS else 2)
