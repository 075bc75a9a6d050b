// SPDX-License-Identifier: MIT
// Whether what the board shows can still be true.
//
// It can while the stream was heard within LIMIT_MS by both clocks: the steady one stands still in a machine that
// sleeps, the wall's is set by people. What was late once may have waited somewhere with more behind it, so from then
// on only what comes on a new stream is believed.
//
//   begin()      a new stream was asked for; what comes first on it is new
//   heard(atMs)  an event came, sent at that time by the watch's clock; false: it is not to be believed
//   look()       false: not heard for too long

export const LIMIT_MS = 3000;

const CLOCKS = { wall: () => Date.now(), steady: () => performance.now() };

export class Freshness {
    constructor(clocks = CLOCKS) {
        Object.assign(this, { clocks, fresh: false, beginning: false, last: null, quickest: Infinity });
    }

    age() {
        const { wall, steady } = this.clocks;
        return this.last ? Math.max(wall() - this.last.wall, steady() - this.last.steady) : Infinity;
    }

    begin() {
        this.beginning = true;
    }

    heard(atMs) {
        const wall = this.clocks.wall();
        const delay = wall - atMs; // the difference of two clocks, too: only its growth says something
        if (this.beginning) this.quickest = delay;
        else if (!this.look() || delay - this.quickest > LIMIT_MS) return (this.fresh = false);
        this.quickest = Math.min(this.quickest, delay);
        this.beginning = false;
        this.last = { wall, steady: this.clocks.steady() };
        return (this.fresh = true);
    }

    look() {
        if (this.age() > LIMIT_MS) this.fresh = false;
        return this.fresh;
    }
}
