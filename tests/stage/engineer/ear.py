# SPDX-License-Identifier: MIT
"""Hears a ring in what the desk publishes: a band that stands 20 dB over the noise.

The noise of a mix is learnt while it is far from ringing, and rises and falls with the gain into it from then on:
a ring is what stands out beyond that. People hear one once it stands 20 to 40 dB over the noise, and act 0.3 to 1.5 s
later (common practice, no source).
"""
import dataclasses

STANDS_OUT_DB = 20
GONE_DB = 10
FRAME_S = 0.05
LEARN_S = 1.0


@dataclasses.dataclass
class Ring:
    at: float  # s
    mix: int
    band: int
    db: float


class Ear:
    def __init__(self, hands):
        self.hands = hands
        self.noise = {}  # of a mix: its bands in dB, and the gain at which they were learnt

    def learn(self, mixes):
        """The greatest level of each band over a while: noise in a narrow band is never still."""
        most = {mix: None for mix in mixes}
        for _ in range(round(LEARN_S / FRAME_S)):
            self.hands.wait(FRAME_S)
            for mix in mixes:
                levels = self.hands.spectrum(mix)
                most[mix] = levels if most[mix] is None else list(map(max, most[mix], levels))
        for mix in mixes:
            self.noise[mix] = most[mix], self.hands.loudest_db(mix)

    def over_noise(self, mix):
        """By how much each band stands over the noise."""
        learnt, gain_db = self.noise[mix]
        risen = max(0, self.hands.loudest_db(mix) - gain_db)
        return [level - noise - risen for level, noise in zip(self.hands.spectrum(mix), learnt)]

    def ring(self, mixes):
        """The band that stands out most, if any does by enough."""
        found = [Ring(self.hands.now(), mix, band, db)
                 for mix in mixes for band, db in enumerate(self.over_noise(mix), 1) if db >= STANDS_OUT_DB]
        return max(found, key=lambda ring: ring.db, default=None)

    def listen(self, mixes, seconds):
        """The first ring within so many seconds, or None."""
        end = self.hands.now() + seconds
        while self.hands.now() < end:
            self.hands.wait(FRAME_S)
            ring = self.ring(mixes)
            if ring:
                return ring
            if self.hands.nothing_grows():
                self.hands.wait(max(0, end - self.hands.now()))
        return None

    def stands(self, ring):
        """By how much the ring's band stands over the noise now."""
        return self.over_noise(ring.mix)[ring.band - 1]

    def falls(self, ring, seconds):
        """Whether it dies away: after so long it is gone, or lower than it was."""
        before = self.stands(ring)
        self.hands.wait(seconds)
        after = self.stands(ring)
        return after < GONE_DB or after < before - 2

    def wait_until_gone(self, ring, seconds):
        end = self.hands.now() + seconds
        while self.stands(ring) >= GONE_DB and self.hands.now() < end:
            self.hands.wait(FRAME_S)
