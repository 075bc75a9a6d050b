// SPDX-License-Identifier: MIT
// "Seen" and "Was meant": who pressed is asked once and kept on this tablet.

import { by, make, parts, put, show } from "./dom.js";
import { send } from "./stream.js";

const NAME = "gainwarden-name";
const CALM_MS = 700; // a second press is none while a finger still trembles; common practice, no source
const areas = new WeakMap(); // finding's element: { node, desk, id, busy, again, since }

const memory = {}; // where a browser keeps nothing
const kept = () => {
    try {
        return localStorage.getItem(NAME) ?? "";
    } catch {
        return memory.name ?? "";
    }
};
function keep(name) {
    memory.name = name;
    try {
        localStorage.setItem(NAME, name);
    } catch {
        // asked again after the next start
    }
}

// The name, or "" if nobody wants to give one.
export function askName() {
    const dialog = by("who");
    by("who-name").value = kept();
    dialog.returnValue = "";
    dialog.showModal();
    return new Promise((done) => dialog.addEventListener("close", () => {
        const name = by("who-name").value.trim();
        if (dialog.returnValue === "yes" && name) keep(name);
        sayName();
        done(dialog.returnValue === "yes" ? name : "");
    }, { once: true }));
}

export const sayName = () => put(by("name"), kept() ? `You are ${kept()}` : "Your name");

async function post(button, area) {
    const who = kept() || await askName();
    if (!who) return {};
    const body = { desk: area.desk, finding: area.id, who };
    if (button === "meant") body.again = area.again;
    const answer = await send(`/${button}`, body);
    return answer.ok ? {} : answer.json();
}

async function press(button, area) {
    if (area.busy || area.again && performance.now() - area.since < CALM_MS) return;
    const { answer } = parts(area.node);
    let told;
    put(answer, "");
    area.busy = true; // until it is answered: a slow network is no second press
    try {
        told = await post(button, area);
    } catch {
        told = { error: "The watch did not answer. Press again." };
    }
    put(answer, told.error ?? "");
    Object.assign(area, { busy: false, again: told.again === true, since: performance.now() });
    put(parts(area.node).meant, area.again ? "Press again: it was meant" : "Was meant");
}

function begin(node) {
    const area = { node: make("buttons"), busy: false, again: false, since: 0 };
    for (const button of ["seen", "meant"])
        parts(area.node)[button].addEventListener("click", () => press(button, area));
    areas.set(node, area);
    node.append(area.node);
    return area;
}

// Puts the buttons below a finding, if this board may press them.
export function offer(node, may, desk, finding) {
    const area = areas.get(node) ?? (may && begin(node));
    if (!area) return;
    Object.assign(area, { desk, id: finding.id });
    show(area.node, may);
    show(parts(area.node).seen, !finding.seen);
    for (const button of ["seen", "meant"])
        parts(area.node)[button].setAttribute("aria-label",
            `${parts(area.node)[button].textContent}: ${finding.where || finding.says}`);
}
