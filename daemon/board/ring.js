// SPDX-License-Identifier: MIT
// A ring-out that is followed: what to do next, what was seen and what is left stand so large that they are read from
// two metres.

import { by, lines, put, show } from "./dom.js";

let away = false; // somebody wants to see the board while it goes on

for (const [button, is] of [["ring-away", true], ["ring-show", false]])
    by(button).addEventListener("click", () => {
        away = is;
        by(button).dispatchEvent(new Event("redraw", { bubbles: true }));
    });

function section(name, texts) {
    show(by(name).parentElement, texts.length > 0);
    lines(by(name), texts);
}

// Whether it is shown instead of the desk.
export function drawRing(ring) {
    if (!ring) away = false;
    const shown = ring !== null && !away;
    show(by("ring"), shown);
    show(by("ring-back"), ring !== null && away);
    if (!shown) return false;
    const [next, seen, figures] = ring.large;
    put(by("ring-title"), ring.title);
    put(by("ring-next"), next || ring.next);
    by("ring-next").classList.toggle("urgent", ring.urgent);
    for (const [name, text] of [["ring-seen-large", seen], ["ring-figures-large", figures]]) {
        put(by(name), text);
        show(by(name), text !== "");
    }
    lines(by("ring-care"), [...(next && next !== ring.next ? [ring.next] : []), ...ring.care]);
    section("ring-figures", ring.figures);
    section("ring-rings", ring.rings);
    section("ring-seen", ring.seen);
    return true;
}
