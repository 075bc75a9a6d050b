// SPDX-License-Identifier: MIT
// The page's elements are made once, from its templates, and then written into: what is read or held by somebody's
// finger stays where it is, and memory does not grow. Text goes in as text, never as HTML.

export const by = (id) => document.getElementById(id);

export function put(node, text) {
    if (node.textContent !== text) node.textContent = text;
}

export function mark(node, name, value) {
    if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value);
}

export const show = (node, is) => {
    if (node.hidden === is) node.hidden = !is;
};

const known = new WeakMap(); // element: its parts by name

export function parts(node) {
    if (!known.has(node))
        known.set(node, Object.fromEntries([...node.querySelectorAll("[data-part]")]
            .map((one) => [one.dataset.part, one])));
    return known.get(node);
}

// Each text into the part of its name; a part without text is not there, but for cells of a table.
export function write(node, texts) {
    const all = parts(node);
    for (const [name, text] of Object.entries(texts)) {
        put(all[name], text || text === 0 ? String(text) : "");
        show(all[name], all[name].textContent !== "" || all[name].localName === "td");
    }
}

export const make = (template) => by(template).content.firstElementChild.cloneNode(true);

const rows = new WeakMap(); // list: its elements by key

// Keys that occur twice are told apart by their turn.
function keyed(items, keyOf) {
    const seen = new Map();
    return items.map((item) => {
        const key = String(keyOf(item));
        const turn = seen.get(key) ?? 0;
        seen.set(key, turn + 1);
        return [`${turn} ${key}`, item];
    });
}

// Makes the list hold one element for each item, in their order; `fill` writes it. An element is moved only where the
// order changed, since moving takes the focus away, and keeps it then, too.
export function list(parent, items, template, keyOf, fill) {
    const before = rows.get(parent) ?? new Map();
    const after = new Map(keyed(items, keyOf).map(([key, item]) => [key, { item, node: before.get(key)?.node }]));
    for (const [key, { node }] of before) if (!after.has(key)) node.remove();
    let next = parent.firstElementChild;
    const focused = document.activeElement;
    for (const row of after.values()) {
        row.node ??= make(template);
        if (row.node === next) next = next.nextElementSibling;
        else parent.insertBefore(row.node, next);
        fill(row.node, row.item);
        row.item = null;
    }
    rows.set(parent, after);
    if (focused !== document.activeElement && parent.contains(focused)) focused.focus({ preventScroll: true });
}

export const lines = (parent, texts) =>
    list(parent, texts, "line", (text) => text, (node, text) => write(node, { text }));

const ARROWS = { up: "\u25b2", down: "\u25bc" };

export const arrow = (direction) => ({ arrow: ARROWS[direction], direction: ARROWS[direction] && direction });

export const change = (node, one) =>
    write(node, { at: one.at, what: one.what, now: one.now, ...arrow(one.arrow) });

export function lasted(seconds) {
    const s = Math.max(0, Math.floor(seconds));
    if (s < 60) return `${s} s`;
    return s < 3600 ? `${Math.floor(s / 60)} min` : `${Math.floor(s / 3600)} h ${Math.floor(s / 60) % 60} min`;
}
