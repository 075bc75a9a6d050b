// SPDX-License-Identifier: MIT
// The page's way to the watch: let in by the link's token or by the cookie it was changed for, then a stream of events,
// again and again until the page is closed.
//
//   entered(may)   let in: "look" or "operate"
//   refused()      the link is none, or none any more
//   waits(why)     not let in yet, or not now; tried again
//   event(kind, data)  "facts" or "beat", to be believed
//   looked()       LOOK_MS are over, or the page was shown again: it may be stale by now

import { Freshness } from "./fresh.js";

const LOOK_MS = 250;
const AGAIN_MS = 1000;  // after a refused or broken connection
const ANSWER_MS = 4000; // how long a connection has for its first event
const DESK = /^#desks?(-\d+)?$/; // what of an address is no token

export class Stream {
    constructor(tell) {
        Object.assign(this, { tell, freshness: new Freshness(), source: null, tried: -Infinity, trying: false });
        const look = () => this.look();
        for (const [where, what] of [[document, "visibilitychange"], [document, "resume"], [window, "pageshow"],
            [window, "focus"], [window, "hashchange"]]) where.addEventListener(what, look);
        setInterval(look, LOOK_MS);
        this.open();
    }

    get fresh() {
        return this.freshness.fresh && document.visibilityState === "visible";
    }

    look() {
        const waited = performance.now() - this.tried;
        const deaf = this.source ? !this.freshness.look() && waited > ANSWER_MS : waited > AGAIN_MS;
        if (!this.trying && (deaf || isToken(location.hash))) this.open();
        this.freshness.look();
        this.tell.looked();
    }

    close() {
        if (this.source) this.source.close();
        this.source = null;
    }

    async open() {
        this.close();
        this.trying = true;
        try {
            const may = await admit();
            if (may) this.listen();
            (may ? this.tell.entered : this.tell.refused)(may);
        } catch (error) {
            this.tell.waits(error.said ?? "it does not answer"); // look() tries again
        }
        this.trying = false;
        this.tried = performance.now();
    }

    listen() {
        const source = new EventSource("/events");
        this.source = source;
        this.freshness.begin();
        for (const kind of ["facts", "beat"])
            source.addEventListener(kind, (event) => source === this.source && this.take(kind, event.data));
        source.addEventListener("error", () => source === this.source && this.close());
    }

    take(kind, text) {
        const data = JSON.parse(text);
        if (this.freshness.heard(data.at_ms)) this.tell.event(kind, data);
        else this.open();
    }
}

const isToken = (hash) => hash.length > 1 && !DESK.test(hash);

// "look", "operate" or null: refused. Throws where there is no answer.
async function admit() {
    const token = isToken(location.hash) ? location.hash.slice(1) : null;
    const answer = await (token ? send("/enter", { token }) : fetch("/me", { signal: AbortSignal.timeout(ANSWER_MS) }));
    if (token && (answer.ok || answer.status === 403)) history.replaceState(null, "", location.pathname);
    if (answer.status === 403) return null;
    if (!answer.ok) throw Object.assign(new Error("not now"), { said: (await answer.json()).error });
    return (await answer.json()).may;
}

export const send = (path, body) => fetch(path, {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
    signal: AbortSignal.timeout(ANSWER_MS),
});
