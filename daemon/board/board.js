// SPDX-License-Identifier: MIT
// The board: the facts of the running watch on a tablet. The page knows nothing but what the stream told last, shows
// that, and says STALE as soon as it may not be true any more.
//
//   stream.js   the way to the watch        fresh.js   whether it can still be true
//   desk.js     one desk, and all           ring.js    a ring-out
//   mix.js      an opened mix               press.js   the two buttons
//   dom.js      elements, written in place

import { by, lasted, lines, mark, put, show } from "./dom.js";
import { drawDesk, drawDesks, staleSince, worst } from "./desk.js";
import { drawRing } from "./ring.js";
import { mixChanged, openMix, tendMix } from "./mix.js";
import { askName, sayName } from "./press.js";
import { Stream } from "./stream.js";

const VERSION = 1;
const HEARD = "gainwarden-heard"; // when this page last heard something, over its reload
const DAY_S = 86400;
const PATIENT_MS = 30000; // for a desk to be read

let may = null;     // "look", "operate"
let facts = null;   // as told last
let atMs = 0;       // the watch's time of what came last
let heard = [];     // of each desk
let away = null;    // { atMs, boot, clock, back }: when the board went stale, and { atMs, clock } when it came back
let broken = "";    // why nothing can be shown
let known = null;   // ids of findings that were announced, by desk

// ---- words ----

// The watch's own clock at `ms`, from what it said when the facts were told.
function clock(ms) {
    const [h, m, s] = facts.clock.split(":").map(Number);
    const passed = Math.floor((ms - facts.at_ms) / 1000);
    const day = (((h * 60 + m) * 60 + s + passed) % DAY_S + DAY_S) % DAY_S;
    return [day / 3600, (day / 60) % 60, day % 60].map((part) => String(Math.floor(part)).padStart(2, "0")).join(":");
}

function heardAgo({ heard_ms: ms }) {
    if (ms === null) return "desk not heard yet";
    return ms < 60000 ? `desk heard ${(ms / 1000).toFixed(1)} s ago` : `desk heard ${lasted(ms / 1000)} ago`;
}

const linkSays = (desk, at) => `${heardAgo(heard[at])} · ${desk.link.says}`;

// ---- which desk ----

function chosen() {
    const asked = /^#desk-(\d+)$/.exec(location.hash);
    const at = asked ? Number(asked[1]) : 0;
    const one = facts.desks.length === 1 || asked;
    return one && at < facts.desks.length ? at : null;
}

function drawElsewhere(at) {
    const others = facts.desks.filter((_, other) => other !== at);
    const lost = facts.desks.filter((_, other) => other !== at && heard[other].lost);
    const stops = others.filter((desk) => worst(desk) === "stop");
    show(by("elsewhere"), others.length > 0);
    put(by("elsewhere-says"), [...stops.map((desk) => `STOP at ${desk.show}`),
        ...lost.map((desk) => `${desk.show} is not heard`)].join("; "));
}

// ---- stale ----

// What makes all that stands below untrue; "": nothing.
function staleness(at) {
    if (broken) return broken;
    if (facts && !stream.fresh) return `STALE since ${clock(atMs)}: this board does not hear the watch`;
    if (facts && at !== null && heard[at].lost)
        return `${staleSince(facts.desks[at].link.since)}: the watch does not hear the desk`;
    return "";
}

function drawStale(at) {
    const text = staleness(at);
    document.body.classList.toggle("is-stale", text !== "");
    for (const id of ["stale", "mix-stale"]) {
        if (document.visibilityState === "visible" || text === "") put(by(id), text);
        show(by(id), text !== "");
    }
    if (facts && !stream.freshness.fresh)
        away = { ...(away ?? { atMs, boot: facts.boot, clock: clock(atMs) }), back: null };
    return text !== "";
}

// ---- what was missed ----

function missed(since) {
    const several = facts.desks.length > 1;
    return facts.desks.flatMap((desk) => desk.told.filter((one) => one.at_ms > since)
        .map((one) => ({ at_ms: one.at_ms, says: `${one.at} ${several ? `${desk.show}: ` : ""}${one.says}` })))
        .sort((a, b) => b.at_ms - a.at_ms).map((one) => one.says);
}

function drawMissed() {
    const restarted = away.boot !== undefined && away.boot !== facts.boot;
    const texts = missed(away.atMs);
    const since = away.clock ? ` (${away.clock} to ${away.back.clock})` : "";
    away = null;
    if (!texts.length && !restarted) return;
    put(by("missed-title"), `Missed while this board was away${since}`);
    lines(by("missed-list"), [...texts, ...(restarted ? ["The watch was started again meanwhile."] : [])]);
    show(by("missed"), true);
}

// Of a desk that is being read nothing is told yet; but nobody waits for one that never comes.
const isRead = (desk) => desk.link.state === "steady" || desk.link.state === "lost";
function tendMissed() {
    away.back ??= { atMs, clock: facts.clock };
    if (facts.desks.every(isRead) || atMs - away.back.atMs > PATIENT_MS) drawMissed();
}

const remember = (ms) => {
    try {
        sessionStorage.setItem(HEARD, ms);
    } catch {
        // then a reload tells nothing of what was before
    }
};
function remembered() {
    try {
        return Number(sessionStorage.getItem(HEARD)) || null;
    } catch {
        return null;
    }
}

// ---- what is new, for those who listen to the page ----

function announce() {
    const now = facts.desks.flatMap((desk, at) => desk.now.map((one) => ({ ...one, key: `${at} ${one.id}` })));
    const fresh = known ? now.filter((one) => !known.has(one.key)) : [];
    for (const [id, loud] of [["alarm", true], ["news", false]]) {
        const texts = fresh.filter((one) => (one.weight === "stop") === loud).map((one) => one.says);
        if (texts.length) put(by(id), texts.join(" "));
    }
    known = new Set(now.map((one) => one.key));
}

// ---- all of it ----

function drawTop(desk, at) {
    put(by("clock"), clock(atMs));
    put(by("show"), desk ? desk.show : `${facts.desks.length} desks`);
    put(by("room"), desk ? [desk.room, desk.room_left].filter(Boolean).join(", ") : "");
    put(by("heard"), desk ? linkSays(desk, at) : "");
    by("heard").classList.toggle("late", at !== null && heard[at].lost);
    const stops = facts.desks.reduce((sum, one) => sum + one.open.stop, 0);
    put(document.querySelector("title"), `${stops ? `${stops} STOP, ` : ""}${desk ? desk.show : "gainwarden"}`);
}

function drawFacts() {
    const at = chosen();
    const desk = at === null ? null : facts.desks[at];
    const later = (atMs - facts.at_ms) / 1000;
    drawTop(desk, at);
    show(by("desks"), !desk);
    if (!desk) drawDesks(facts, facts.desks.map((one, other) => ({ lost: heard[other].lost, says: linkSays(one, other) })));
    const ring = drawRing(desk && facts.ring_out?.desk === at ? facts.ring_out : null);
    show(by("desk"), Boolean(desk) && !ring);
    if (!desk) return;
    drawElsewhere(at);
    if (!ring) drawDesk(desk, at, may === "operate", later);
}

function draw() {
    if (!facts) return drawStale(null);
    try {
        if (!broken) drawFacts();
    } catch (error) {
        broken = "STALE: this page cannot read what the watch says. Load it again";
        console.error(error);
    }
    return drawStale(broken ? null : chosen());
}

function take(kind, data) {
    if (kind === "beat" && !facts) return;
    if (kind === "facts") {
        if (data.version !== VERSION) broken = "STALE: the watch is another version. Load this page again";
        facts = data;
        heard = data.desks.map((desk) => ({ heard_ms: desk.link.heard_ms, lost: desk.link.lost }));
        mixChanged();
    } else if (data.heard.length === facts.desks.length) heard = data.heard;
    atMs = data.at_ms;
    if (away && (kind === "facts" || away.back)) tendMissed();
    if (kind === "facts") announce();
    remember(atMs);
    draw();
}

const stream = new Stream({
    entered(what) {
        may = what;
        put(by("gate"), "");
        for (const id of ["name", "may-operate"]) show(by(id), may === "operate");
    },
    waits(why) {
        if (!facts) put(by("gate"), `This board waits for the watch: ${why}.`);
    },
    refused() {
        facts = known = null;
        for (const id of ["desks", "desk", "ring", "missed"]) show(by(id), false);
        for (const id of ["clock", "room", "show", "heard"]) put(by(id), "");
        put(by("gate"), "This page shows nothing without its link. \"gainwarden board SHOW\" prints the link, and how to "
            + "open it here.");
        draw();
    },
    event: take,
    looked() {
        drawStale(facts && !broken ? chosen() : null);
        tendMix();
    },
});

// ---- hands ----

function light(is) {
    mark(document.documentElement, "data-light", is);
    mark(by("light"), "aria-pressed", is);
    try {
        localStorage.setItem("gainwarden-light", is);
    } catch {
        // dark after the next start
    }
}

by("tiles").addEventListener("click", (event) => {
    const tile = event.target.closest("[data-mix]");
    if (tile) openMix(chosen(), tile.dataset.mix, tile.querySelector(".tile-name").textContent);
});
by("light").addEventListener("click", () => light(document.documentElement.dataset.light !== "true"));
by("name").addEventListener("click", askName);
by("who-cancel").addEventListener("click", () => by("who").close());
by("missed-read").addEventListener("click", () => {
    show(by("missed"), false);
    by("title").focus();
});
document.addEventListener("redraw", draw);
addEventListener("hashchange", draw);
sayName();
try {
    light(localStorage.getItem("gainwarden-light") === "true");
} catch {
    light(false);
}
const before = remembered();
if (before) away = { atMs: before };
