// SPDX-License-Identifier: MIT
// Tablets that stay open between commands: what a board shows, how it is touched, and what befalls it.
//
//   {"do": "tablet", "url": U, "screen": [W, H]}       its number
//   {"do": "run", "tablet": N, "script": JS}           what the script gives
//   {"do": "reload", "tablet": N}
//   {"do": "click", "tablet": N, "on": SELECTOR}       as a finger: fails where something lies over it
//   {"do": "keys", "tablet": N, "keys": [KEY, ...]}
//   {"do": "wire", "tablet": N, "method": M, "params": P}  a message of Chromium's own protocol
//   {"do": "look", "tablet": N, "brightness": B}       [{page, by, rule, ...}] of what it shows now
//   {"do": "picture", "tablet": N, "to": F}
//   {"do": "told", "tablet": N}                        {errors, asked: addresses}
//   {"do": "shut", "tablet": N}
//   {"do": "source", "files": [F]}                     what html-validate finds in it
"use strict";

module.exports = ({ Findings, lookAt, makeRoom, validate, prepareAxe }) => {
    const tablets = new Map();
    let last = 0;

    async function open(browser, { url, screen: [width, height] }) {
        const context = await browser.newContext({ viewport: { width, height }, serviceWorkers: "block", hasTouch: true });
        const page = await context.newPage();
        const tablet = { context, page, screen: { viewport: { width, height } }, errors: [], asked: [] };
        page.on("request", (request) => tablet.asked.push(request.url()));
        page.on("pageerror", (error) => tablet.errors.push(String(error.stack)));
        page.on("console", (said) =>
            said.type() === "error" && tablet.errors.push(`${said.text()} ${said.location().url}`));
        tablet.wire = await context.newCDPSession(page);
        await page.goto(url);
        tablets.set(++last, tablet);
        return last;
    }

    // The page's whole height becomes the screen's while it is looked at.
    async function look({ page, screen, wire }, brightness) {
        const findings = new Findings(await page.title());
        const height = screen.viewport.height;
        await prepareAxe(wire);
        const undo = await makeRoom(page, screen);
        await lookAt(page, screen, "dark", findings, brightness);
        await undo();
        await page.setViewportSize({ width: screen.viewport.width, height });
        return findings.list();
    }

    async function source(files) {
        const found = [];
        for (const file of files) {
            const findings = new Findings(file);
            await validate(file, findings);
            found.push(...findings.list());
        }
        return found;
    }

    const of = (use) => (browser, command) => use(tablets.get(command.tablet), command);

    return {
        tablet: open,
        run: of(({ page }, { script }) => page.evaluate(script)),
        reload: of(async ({ page }) => {
            await page.reload();
        }),
        click: of(({ page }, { on }) => page.click(on)),
        keys: of(async ({ page }, { keys }) => {
            for (const key of keys) await page.keyboard.press(key);
        }),
        wire: of(({ wire }, { method, params }) => wire.send(method, params)),
        look: of((tablet, { brightness }) => look(tablet, brightness)),
        picture: of(({ page }, { to }) => page.screenshot({ path: to })),
        told: of(({ errors, asked }) => ({ errors, asked })),
        shut: of(async ({ context }, { tablet }) => {
            tablets.delete(tablet);
            await context.close();
        }),
        source: (browser, { files }) => source(files),
    };
};
