// SPDX-License-Identifier: MIT
// One desk: what is to be told now, a tile a mix, what changed, what is held back.

import { arrow, by, change, lasted, lines, list, mark, parts, put, show, write } from "./dom.js";
import { offer } from "./press.js";

const FIRST = innerWidth < 640 ? 2 : 3; // so many are shown; the rest is one press away
const WORDS = { stop: "STOP", fix: "fix", note: "note" };
let all = false; // the rest is shown, too

by("now-more").addEventListener("click", () => {
    all = !all;
    by("now-more").dispatchEvent(new Event("redraw", { bubbles: true }));
});

// ---- now ----

const besides = (finding) => [
    finding.stale && "what this rests on is not known now",
    finding.closed && "its input is muted or sent nowhere now",
    finding.hidden,
    finding.seen && `seen by ${finding.seen.by} at ${finding.seen.at}`,
].filter(Boolean).join("; ");

// `inFull`: with how it is done, for somebody who has the time to read it.
export function fillFinding(node, finding, later, inFull) {
    const ago = `${lasted(finding.age_s + later)} ago.`;
    mark(node, "data-weight", finding.weight);
    mark(node, "data-fresh", finding.fresh);
    write(node, {
        figure: finding.figure, where: finding.where || finding.says, ...arrow(finding.arrow),
        word: WORDS[finding.weight], age: finding.fresh ? `just now, ${ago}` : ago,
        cure: finding.cure, says: finding.where ? finding.says : "", do: inFull ? finding.do : "",
        besides: besides(finding),
    });
}

// Why nothing is listed: of a desk that is not read nothing is known, which is not good news.
function quiet({ link, quiet: { for_s, by_hand }, not_known_count }, later) {
    if (link.state === "lost") return "Nothing can be told: the desk is not heard";
    if (link.state !== "steady") return "Nothing can be told yet: the desk is not read";
    const levels = by_hand === 1 ? "1 level" : `${by_hand || "no"} levels`;
    const unknown = not_known_count ? `; ${not_known_count} not known` : "";
    return `Nothing to tell for ${lasted(for_s + later)}; ${levels} moved by hand${unknown}`;
}

function more(rest, unlisted) {
    const counts = Object.entries(WORDS)
        .map(([weight, word]) => [rest.filter((one) => one.weight === weight).length, word])
        .filter(([count]) => count).map(([count, word]) => `${count} ${word}`);
    if (all) return unlisted ? `Show less; ${unlisted} more are not listed here` : "Show less";
    return `${rest.length + unlisted} more: ${[...counts, unlisted && `${unlisted} not listed here`]
        .filter(Boolean).join(", ")}`;
}

function drawNow(desk, at, may, later) {
    const focused = by("now").contains(document.activeElement);
    list(by("now"), all ? desk.now : desk.now.slice(0, FIRST), "finding", (one) => one.id, (node, one) => {
        fillFinding(node, one, later, false);
        offer(node, may, at, one);
    });
    if (focused && document.activeElement === document.body)
        (by("now").querySelector("button:not([hidden])") ?? by("now-title")).focus();
    show(by("quiet"), !desk.now.length);
    put(by("quiet"), desk.now.length ? "" : quiet(desk, later));
    show(by("now-more"), desk.now.length > FIRST);
    if (desk.now.length > FIRST) put(by("now-more"), more(desk.now.slice(FIRST), desk.now_more));
    mark(by("now-more"), "aria-expanded", all);
    mark(by("now"), "data-brief", desk.now.length > FIRST && !all);
}

// ---- tiles ----

// One element a line, made when a tile first has so many.
function tileLines(box, texts) {
    while (box.children.length < texts.length) box.append(document.createElement("bdi"));
    [...box.children].forEach((line, at) => {
        put(line, texts[at] ?? "");
        show(line, at < texts.length);
    });
}

// Which mixes are in use a watch only knows when it has read the desk. Until then those that were shown keep their
// places, so that no other stands where a hand goes, and nothing is said of them.
const places = new Map(); // by desk: its show, and its tiles as shown last

const unread = (tile) => ({
    ...tile, weight: "none", word: "not known", arrow: "", margin: "", lines: [],
    limiter: tile.limiter && "limiter not known",
});

function inPlace({ show: name, link, tiles }, at) {
    const before = link.state !== "steady" && places.get(at)?.name === name ? places.get(at).tiles : [];
    const now = new Set(tiles.map((one) => one.mix));
    const placed = [...tiles, ...before.filter((one) => !now.has(one.mix)).map(unread)].sort((a, b) => a.mix - b.mix);
    places.set(at, { name, tiles: placed });
    return placed;
}

function fillTile(node, tile) {
    const button = node.firstElementChild;
    mark(button, "data-mix", tile.mix);
    mark(button, "data-weight", tile.weight);
    mark(button, "data-word", tile.word);
    write(button, {
        number: tile.mix, name: tile.name, word: tile.word, ...arrow(tile.arrow),
        limiter: tile.limiter, margin: tile.margin,
    });
    mark(parts(button).limiter, "data-limiter", tile.limiter ?? "");
    tileLines(parts(button).lines, tile.lines);
}

// ---- the rest ----

function box(name, title, texts) {
    show(by(`${name}-box`), texts.length > 0);
    put(by(`${name}-title`), `${title} (${texts.length})`);
    lines(by(name), texts);
}

function drawChanged({ approved, changed }) {
    put(by("changed-title"), `What changed since approval (${approved})`);
    put(by("changed-none"), "Nothing changed.");
    show(by("changed-none"), !changed.length);
    show(by("changed-table"), changed.length > 0);
    list(by("changed"), changed, "change", (one) => `${one.at} ${one.what}`, change);
}

// `later`: seconds since the facts were true; `at`: the desk's place among all.
export function drawDesk(desk, at, may, later) {
    const tiles = inPlace(desk, at);
    drawNow(desk, at, may, later);
    list(by("tiles"), tiles, "tile", (one) => one.mix, fillTile);
    mark(by("tiles"), "data-many", tiles.length > 16);
    drawChanged(desk);
    lines(by("held"), desk.held);
    show(by("held-none"), !desk.held.length);
    box("quieted", "Quieted", desk.quieted);
    box("proved", "What ring-outs proved", desk.proved);
    box("not-known", "Not known", desk.not_known);
    box("told", "What was told", desk.told.map((one) => `${one.at} ${one.says}`));
}

// ---- all desks, a row each ----

export const staleSince = (time) => (time ? `STALE since ${time}` : "STALE"); // "": since ever

const counts = (open) => ["stop", "fix", "note"].filter((weight) => open[weight])
    .map((weight) => `${open[weight]} ${WORDS[weight]}`).join(", ") || "nothing open";

export const worst = ({ open }) => ["stop", "fix", "note"].find((weight) => open[weight]) ?? "none";

const first = ({ now: [one] }) => (one ? [one.figure, one.where || one.says].filter(Boolean).join(" ") : "");

export function drawDesks(facts, heard) {
    const rows = facts.desks.map((desk, at) => ({ desk, at, heard: heard[at] }));
    list(by("desk-list"), rows, "desk-row", (row) => row.at, (node, { desk, at, heard: link }) => {
        const row = node.firstElementChild;
        mark(row, "href", `#desk-${at}`);
        mark(row, "data-weight", worst(desk));
        mark(row, "data-stale", link.lost);
        write(row, {
            show: desk.show, room: [desk.room, desk.room_left].filter(Boolean).join(", "),
            stale: link.lost && staleSince(desk.link.since), open: counts(desk.open),
            ring: facts.ring_out?.desk === at && "A ring-out goes on here", first: first(desk), link: link.says,
        });
    });
}
