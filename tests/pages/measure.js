// SPDX-License-Identifier: MIT
// What a page shows at the width and in the colours it has now, as the browser laid it out. Runs inside the
// page and needs nothing there but the width of the screen and what part of its light it gives; gives
// [{rule, place, what}].
//
//   wide      the page can be scrolled sideways
//   overlap   text lies on other text
//   cut       text runs out of a box or drawing that hides what does not fit
//   tiny      text smaller than SMALLEST_PX, as drawings become that shrink with the page
//   covered   text with something painted over it
//   contrast  text too faint on what lies behind it: WCAG 2.2, success criterion 1.4.3, with its definitions of
//             contrast ratio and relative luminance. axe-core leaves out drawings and what lies over them. A screen
//             that gives less light does not lessen what it reflects, the 0.05 of that ratio
"use strict";

module.exports = ({ width, brightness }) => {
    const SMALLEST_PX = 9; // common practice, no source
    const SLACK_PX = 2;
    const problems = [];
    const tell = (rule, place, what) => problems.push({ rule, place, what });

    const short = (text) => {
        const plain = text.trim().replace(/\s+/g, " ");
        return `"${plain.length > 40 ? plain.slice(0, 40) + "..." : plain}"`;
    };
    const name = (element) => {
        const id = element.id ? "#" + element.id : "";
        const classes = [...element.classList].map((one) => "." + one).join("");
        return element.tagName.toLowerCase() + id + classes;
    };
    const parents = function* (element) {
        for (let at = element; at; at = at.parentElement) yield at;
    };
    const hides = (element) => {
        const style = getComputedStyle(element);
        return style.overflowX !== "visible" || style.overflowY !== "visible";
    };

    // ---- text: each piece with the boxes its lines take, and what of them can be seen ----

    const within = (a, b) => ({
        left: Math.max(a.left, b.left), right: Math.min(a.right, b.right),
        top: Math.max(a.top, b.top), bottom: Math.min(a.bottom, b.bottom),
    });
    const wide = (box) => box.right - box.left;
    const high = (box) => box.bottom - box.top;

    // Boxes that hide, from the inside out; the page itself is no box.
    const windows = (element) =>
        [...parents(element)].filter((one) => one !== document.documentElement && one !== document.body)
            .filter(hides).map((one) => ({ element: one, box: one.getBoundingClientRect() }));
    const forReadersOnly = (window) => wide(window.box) <= SLACK_PX || high(window.box) <= SLACK_PX;
    const scrolls = (style) => /auto|scroll/.test(style.overflowX + style.overflowY);

    const pieces = function* () {
        const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        while (walk.nextNode()) {
            const node = walk.currentNode;
            const element = node.parentElement;
            if (!node.data.trim() || !element.checkVisibility({ visibilityProperty: true, opacityProperty: true }))
                continue;
            const range = document.createRange();
            range.selectNodeContents(node);
            const around = windows(element);
            if (around.some(forReadersOnly)) continue;
            const boxes = [...range.getClientRects()].filter((box) => wide(box) > 0 && high(box) > 0);
            const seen = boxes.map((box) => around.reduce((part, one) => within(part, one.box), box))
                .filter((box) => wide(box) > SLACK_PX && high(box) > SLACK_PX);
            if (boxes.length) yield { node, element, text: short(node.data), around, boxes, seen };
        }
    };

    const size = (element) => {
        const px = parseFloat(getComputedStyle(element).fontSize);
        const matrix = element.getScreenCTM && element.getScreenCTM();
        return matrix ? px * Math.sqrt(Math.abs(matrix.a * matrix.d - matrix.b * matrix.c)) : px;
    };

    const lookForWide = () => {
        const reach = document.scrollingElement.scrollWidth;
        if (reach <= width) return;
        const past = [...document.body.querySelectorAll("*")]
            .filter((one) => one.getBoundingClientRect().right > width + 1)
            .filter((one) => !windows(one.parentElement).length);
        const furthest = past.sort((a, b) =>
            b.getBoundingClientRect().right - a.getBoundingClientRect().right)[0];
        tell("wide", furthest ? name(furthest) : "page", `${reach} px wide on a screen of ${width} px`);
    };

    const lookForTiny = (piece) => {
        const px = size(piece.element);
        if (px < SMALLEST_PX - 0.05) tell("tiny", piece.text, `${px.toFixed(1)} px, less than ${SMALLEST_PX} px`);
    };

    // Text that can be scrolled to, and text that says by an ellipsis that it goes on, is not cut.
    const lookForCut = (piece) => {
        for (const { element, box } of piece.around) {
            const style = getComputedStyle(element);
            if (scrolls(style) || style.textOverflow === "ellipsis") return;
            const lost = Math.max(...piece.boxes.map((one) => Math.max(box.left - one.left,
                one.right - box.right, box.top - one.top - high(one) / 4,
                one.bottom - box.bottom - high(one) / 4)));
            if (lost > SLACK_PX) {
                tell("cut", piece.text, `${lost.toFixed(0)} px of it run out of ${name(element)}`);
                return;
            }
        }
    };

    // Boxes of text are higher than its letters, so neighbouring lines share a little of theirs.
    const onEachOther = (a, b) => {
        const common = within(a, b);
        return wide(common) > SLACK_PX && high(common) > 0.35 * Math.min(high(a), high(b));
    };
    const lookForOverlaps = (all) => {
        const boxes = all.flatMap((piece) => piece.seen.map((box) => ({ piece, box })))
            .sort((a, b) => a.box.top - b.box.top);
        boxes.forEach((one, at) => {
            for (let next = at + 1; next < boxes.length && boxes[next].box.top < one.box.bottom; next++) {
                const other = boxes[next];
                if (other.piece !== one.piece && onEachOther(one.box, other.box))
                    tell("overlap", `${one.piece.text} and ${other.piece.text}`, "text lies on other text");
            }
        });
    };

    // ---- contrast ----

    const canvas = Object.assign(document.createElement("canvas"), { width: 1, height: 1 });
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    const known = new Map();
    const colour = (css) => { // [red, green, blue, opacity], each 0 to 1; null is no plain colour
        if (!css || css === "none" || css.startsWith("url")) return null;
        if (!known.has(css)) {
            pen.clearRect(0, 0, 1, 1);
            pen.fillStyle = css;
            pen.fillRect(0, 0, 1, 1);
            known.set(css, [...pen.getImageData(0, 0, 1, 1).data].map((one) => one / 255));
        }
        return known.get(css);
    };
    const opacity = (element) => [...parents(element)]
        .reduce((product, one) => product * parseFloat(getComputedStyle(one).opacity), 1);
    const over = (top, below) => [0, 1, 2].map((at) => top[at] * top[3] + below[at] * (1 - top[3]));

    const luminance = (rgb) => {
        const [red, green, blue] = rgb.map((one) =>
            one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
        return brightness * (0.2126 * red + 0.7152 * green + 0.0722 * blue);
    };
    const ratio = (one, other) => {
        const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
        return (light + 0.05) / (dark + 0.05);
    };

    const paper = () => {
        const probe = document.body.appendChild(document.createElement("div"));
        probe.style.background = "Canvas";
        const found = colour(getComputedStyle(probe).backgroundColor);
        probe.remove();
        return found;
    };
    const TEXTS = new Set(["text", "tspan", "textPath"]);
    // What an element paints behind text; lines without a fill are no ground to stand on.
    const ground = (element) => {
        const style = getComputedStyle(element);
        const shape = element instanceof SVGGeometryElement;
        const found = TEXTS.has(element.tagName) ? null : colour(shape ? style.fill : style.backgroundColor);
        const part = shape ? parseFloat(style.fillOpacity) : 1;
        return found && [...found.slice(0, 3), found[3] * part * opacity(element)];
    };
    const behind = (element, x, y, last) => {
        const stack = document.elementsFromPoint(x, y);
        const layers = stack.slice(stack.indexOf(element)).map(ground).filter(Boolean);
        return layers.reduceRight((below, layer) => over(layer, below), last);
    };
    const covered = (element, x, y) => {
        const stack = document.elementsFromPoint(x, y);
        const above = stack.slice(0, Math.max(stack.indexOf(element), 0)).map(ground);
        return above.some((layer) => layer && layer[3] > 0.5);
    };
    // A rim painted before the letters is what they stand on.
    const rim = (style) =>
        style.paintOrder.startsWith("stroke") && parseFloat(style.strokeWidth) >= 2 ? colour(style.stroke) : null;

    const neededRatio = (style, px) => { // large is 18 pt, or 14 pt and bold
        const bold = parseInt(style.fontWeight, 10) >= 700;
        return px >= 24 || (bold && px >= 18.66) ? 3 : 4.5;
    };
    const points = (piece) => piece.seen.flatMap((box) => [0.04, 0.5, 0.96].map((part) =>
        [box.left + part * wide(box), (box.top + box.bottom) / 2]));

    const lookAtInk = (piece, last) => {
        const style = getComputedStyle(piece.element);
        const drawn = piece.element instanceof SVGElement;
        const ink = colour(drawn ? style.fill : style.color);
        if (!ink) return;
        const needed = neededRatio(style, size(piece.element));
        const part = (drawn ? parseFloat(style.fillOpacity) : 1) * opacity(piece.element);
        const shown = [...ink.slice(0, 3), ink[3] * part];
        for (const [x, y] of points(piece)) {
            const below = rim(style) || behind(piece.element, x, y, last);
            const found = ratio(over(shown, below), below);
            if (covered(piece.element, x, y)) return tell("covered", piece.text, "something lies over text");
            if (found < needed - 0.005)
                return tell("contrast", piece.text, `${found.toFixed(2)} to 1, less than ${needed} to 1`);
        }
    };

    const all = [...pieces()];
    const last = paper();
    lookForWide();
    lookForOverlaps(all);
    for (const piece of all) {
        lookForTiny(piece);
        lookForCut(piece);
        lookAtInk(piece, last);
    }
    return problems;
};
