// SPDX-License-Identifier: MIT
// One mix, opened by a tap on its tile: asked for when it is opened, and again when something changed.

import { by, change, lines, list, mark, put, show, write } from "./dom.js";
import { fillFinding } from "./desk.js";

const AGAIN_MS = 500; // an open mix asks no more often
let shown = null;     // { desk, mix }
let asking = false;
let askedAt = -Infinity;
let news = false;

const dialog = by("mix");
by("mix-close").addEventListener("click", () => dialog.close());
dialog.addEventListener("close", () => { shown = null; });
dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close(); // beside it
});

function section(name, items, fill) {
    show(by(`${name}-box`), items.length > 0);
    fill(by(name), items);
}

const rows = (template, key, fill) => (parent, items) => list(parent, items, template, key, fill);

const changes = rows("change", (one) => `${one.at} ${one.what}`, change);

const bands = rows("band", (one) => one.what, (node, one) => {
    mark(node, "data-cut", one.is_cut);
    write(node, { what: one.what, hz: one.hz, gain: one.gain, width: one.width });
});

const sends = rows("send", (one) => one.input, (node, one) => {
    mark(node, "data-closed", one.closed);
    mark(node, "data-own", one.to_own === "own");
    write(node, { input: one.input, name: one.name, level: one.level,
        to_own: [one.to_own, one.closed && "closed"].filter(Boolean).join(", ") });
});

function fill(mix) {
    put(by("mix-title"), `${mix.mix} ${mix.name}`);
    put(by("mix-facts"), [mix.player, mix.kind, mix.limiter, mix.margin].filter(Boolean).join(" · "));
    list(by("mix-findings"), mix.findings, "finding", (one) => one.id, (node, one) => fillFinding(node, one, 0, true));
    section("mix-changed", mix.changed, changes);
    section("mix-equaliser", mix.equaliser, bands);
    section("mix-rings", mix.rings, lines);
    section("mix-stage", mix.stage, lines);
    section("mix-sends", mix.sends, sends);
}

async function ask() {
    const { desk, mix } = shown;
    const answer = await fetch(`/mix?desk=${desk}&mix=${mix}`, { signal: AbortSignal.timeout(4000) });
    if (!answer.ok) return "There is no such mix any more.";
    const facts = await answer.json();
    if (shown?.desk === desk && shown.mix === mix) fill(facts);
    return "";
}

async function refresh() {
    asking = true;
    news = false;
    askedAt = performance.now();
    let trouble;
    try {
        trouble = await ask();
    } catch {
        trouble = "The watch does not answer: this is how the mix was.";
    }
    put(by("mix-trouble"), trouble);
    asking = false;
}

export function openMix(desk, mix, title) {
    shown = { desk, mix };
    put(by("mix-title"), title);
    put(by("mix-facts"), "");
    put(by("mix-trouble"), "");
    for (const name of ["changed", "equaliser", "rings", "stage", "sends"]) show(by(`mix-${name}-box`), false);
    list(by("mix-findings"), [], "finding");
    dialog.showModal();
    refresh();
}

export const mixChanged = () => { news = true; };

// Called often; asks if somebody looks and something is new.
export function tendMix() {
    if (shown && news && !asking && performance.now() - askedAt > AGAIN_MS) refresh();
}
