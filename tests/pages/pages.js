// SPDX-License-Identifier: MIT
// Looks at HTML pages in one start of a headless Chromium. Nothing is fetched: every request but that for the
// page itself is stopped and told.
//
//   node pages.js    one JSON command a line on standard input, one JSON answer a line; ends with its input
//
//   {"do": "check", "files": [...]}                     [{page, by, rule, what, looks, places}]
//   {"do": "screenshots", "file": F, "folder": D}       the pictures' paths: each width, light and dark
//   {"do": "print", "file": F, "to": PDF, "at": ID}     A4, with the page's own styles for print; ID: the link
//                                                       that was followed before, null: none was
//   {"do": "places", "file": F, "of": [SELECTOR, ...]}  [top, bottom] of the first such element on a phone, px
//
// tablets.js has the commands for pages that a server sends.
//
// What is seen in pictures and print is the page without its scripts. An answer {"error": ...} is about that
// command alone.
"use strict";

const fs = require("fs");
const path = require("path");
const readline = require("readline");
const { pathToFileURL } = require("url");
const { chromium } = require("playwright-core");
const { HtmlValidate, StaticConfigLoader } = require("html-validate");
const measure = require("./measure.js");
const tablets = require("./tablets.js");

const CHROMIUM = "/usr/bin/chromium";
const SCREENS = [
    { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true },
    { viewport: { width: 820, height: 1180 } },
    { viewport: { width: 1280, height: 800 } },
];
const SCHEMES = ["light", "dark"];
const WAIT_MS = 200000; // ends what hangs, and nothing else
const PICTURE_PX = 4000; // a higher page becomes several pictures

const AXE = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const AXE_OPTIONS = {
    runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
    resultTypes: ["violations"],
};

// `reasons` in .htmlvalidate.json is ours: why each rule is off that is off.
function validator() {
    const text = fs.readFileSync(path.join(__dirname, ".htmlvalidate.json"), "utf8");
    const { reasons, ...config } = JSON.parse(text);
    for (const [rule, level] of Object.entries(config.rules))
        if (/^(off|0)/.test([level].flat()[0]) && !reasons[rule])
            throw new Error(`.htmlvalidate.json: ${rule} is off without a reason`);
    return new HtmlValidate(new StaticConfigLoader(config));
}
const VALIDATOR = validator();

// ---- what was found: one entry for each rule, with where and in which looks ----

class Findings {
    constructor(page) {
        this.page = page;
        this.rules = new Map();
    }

    of(by, rule, what) {
        const key = by + " " + rule;
        if (!this.rules.has(key))
            this.rules.set(key, { page: this.page, by, rule, what, looks: new Set(), places: new Set() });
        return this.rules.get(key);
    }

    add(by, rule, what, look, place) {
        const found = this.of(by, rule, what);
        found.looks.add(look);
        found.places.add(place);
    }

    take(others) {
        for (const one of others.rules.values()) {
            const found = this.of(one.by, one.rule, one.what);
            one.looks.forEach((look) => found.looks.add(look));
            one.places.forEach((place) => found.places.add(place));
        }
    }

    list() {
        return [...this.rules.values()].map((one) =>
            ({ ...one, looks: [...one.looks], places: [...one.places] }));
    }
}

// ---- a window, which shows one page after the other ----

const look = (screen, scheme) => `${screen.viewport.width} ${scheme}`;
const SCRIPT_ERROR = "an error in a script of the page";

class Window {
    static async open(browser, options) {
        const context = await browser.newContext({ ...options, offline: true, serviceWorkers: "block" });
        context.setDefaultTimeout(WAIT_MS);
        const page = await context.newPage();
        const wire = await context.newCDPSession(page);
        const window = new Window();
        Object.assign(window, { context, options, page, wire, asked: new Set(), address: "about:blank" });
        await window.watch();
        return window;
    }

    // Stops and tells what a page asks for, and tells what goes wrong in it.
    async watch() {
        const width = String(this.options.viewport.width);
        const outside = (address) => {
            this.asked.add(address);
            this.findings.add("outside", "request", "the page asks for something besides itself", width, address);
        };
        const wrong = (text) => this.findings.add("console", "error", SCRIPT_ERROR, width, text);
        await this.page.route("**", (route) => {
            const address = route.request().url();
            if (address === this.address || address.startsWith("data:")) return route.continue();
            outside(address);
            return route.abort();
        });
        this.page.on("websocket", (socket) => outside(socket.url()));
        this.page.on("pageerror", (error) => wrong(String(error.message)));
        this.page.on("console", (message) => {
            if (message.type() === "error" && !this.asked.has(message.location().url)) wrong(message.text());
        });
    }

    async show(file, findings) {
        // what the page before it may still say is said before the next is there
        await this.page.goto("about:blank");
        await this.page.setViewportSize(this.options.viewport);
        Object.assign(this, { findings, address: pathToFileURL(file).href });
        await this.page.goto(this.address);
        return this.page;
    }
}

async function withWindows(browser, all, use) {
    const windows = [];
    try {
        for (const options of all) windows.push(await Window.open(browser, options));
        return await use(windows);
    } finally {
        for (const window of windows) await window.context.close();
    }
}

// ---- checks ----

// Every address in the page that a browser might fetch, now or later: on paper, under a pointer, by a click on
// nothing. Links that a person follows are none.
function addresses() {
    const FETCHED = ["src", "srcset", "poster", "data", "background", "ping", "manifest"];
    const inside = (text) => /^\s*(#|data:|$)/.test(text);
    const found = [];
    for (const element of document.querySelectorAll("*")) {
        for (const { name, value } of element.attributes) {
            const link = /^(xlink:)?href$/.test(name) && !/^(a|area)$/i.test(element.tagName);
            if ((link || FETCHED.includes(name)) && !inside(value)) found.push(value);
        }
    }
    const styles = [...document.querySelectorAll("style")].map((one) => one.textContent)
        .concat([...document.querySelectorAll("*")].flatMap((one) =>
            [...one.attributes].map((attribute) => attribute.value).filter((text) => /url\(/i.test(text))));
    for (const text of styles) {
        for (const [, address] of text.matchAll(/url\(\s*["']?([^"')]*)/gi))
            if (!inside(address)) found.push(address);
        found.push(...(text.match(/@import[^;]*/gi) || []));
    }
    return found;
}

async function validate(file, findings) {
    const report = await VALIDATOR.validateFile(file);
    for (const result of report.results)
        for (const one of result.messages)
            findings.add("html-validate", one.ruleId, one.message, "source", `line ${one.line}`);
}

async function lookAt(page, screen, scheme, findings, brightness = 1) {
    const when = look(screen, scheme);
    await page.emulateMedia({ colorScheme: scheme });
    for (const one of await page.evaluate(measure, { width: screen.viewport.width, brightness }))
        findings.add("layout", one.rule, one.what, when, one.place);
    if (brightness !== 1) return; // the rest is the same
    const { violations } = await page.evaluate((options) => window.axe.run(document, options), AXE_OPTIONS);
    for (const one of violations)
        for (const node of one.nodes) findings.add("axe", one.id, one.help, when, node.target.join(" "));
}

// Points of a page can only be asked for while they are on the screen, and where a pointer could be. Gives what undoes it.
async function makeRoom(page, screen) {
    const height = await page.evaluate("document.documentElement.scrollHeight");
    await page.setViewportSize({ width: screen.viewport.width, height: Math.max(height, 1) });
    await page.evaluate(() => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync("* { pointer-events: visiblePainted !important }");
        document.adoptedStyleSheets.push(sheet);
    });
    return () => page.evaluate(() => document.adoptedStyleSheets.pop());
}

const prepareAxe = (wire) => wire.send("Runtime.evaluate", { expression: AXE }); // half the time of page.evaluate

async function checkWindow(window, file, findings) {
    const page = await window.show(file, findings);
    for (const address of await page.evaluate(addresses))
        findings.add("outside", "address", "the page names something besides itself", "source", address);
    const text = await words(page);
    await prepareAxe(window.wire);
    await makeRoom(page, window.options);
    for (const scheme of SCHEMES) await lookAt(page, window.options, scheme, findings);
    return text;
}

const words = (page) => page.evaluate("document.body.innerText");
const bare = (screen) => ({ ...screen, javaScriptEnabled: false });

async function check(windows, withoutScripts, file) {
    const parts = windows.map(() => new Findings(file));
    const texts = await Promise.all(windows.map((window, at) => checkWindow(window, file, parts[at])));
    const findings = new Findings(file);
    await validate(file, findings);
    parts.forEach((part) => findings.take(part));
    const page = await withoutScripts.show(file, new Findings(file));
    if (await words(page) !== texts[texts.length - 1])
        findings.add("script", "needed", "the page reads otherwise without its scripts", "no scripts", "body");
    return findings.list();
}

const checkAll = (browser, files) =>
    withWindows(browser, [...SCREENS, bare(SCREENS[SCREENS.length - 1])], async (windows) => {
        const withoutScripts = windows.pop();
        const found = [];
        for (const file of files) found.push(...await check(windows, withoutScripts, file));
        return found;
    });

// ---- pictures and print ----

async function picture(page, screen, stem) {
    const { width } = screen.viewport;
    const height = await page.evaluate("document.documentElement.scrollHeight");
    const files = [];
    for (let top = 0; top < height; top += PICTURE_PX) {
        const file = height > PICTURE_PX ? `${stem}-${files.length + 1}.png` : `${stem}.png`;
        const clip = { x: 0, y: top, width, height: Math.min(PICTURE_PX, height - top) };
        await page.screenshot({ path: file, fullPage: true, clip });
        files.push(file);
    }
    return files;
}

const screenshots = (browser, file, folder) => withWindows(browser, SCREENS.map(bare), async (windows) => {
    const stem = path.join(folder, path.basename(file, path.extname(file)));
    const files = [];
    for (const window of windows) {
        const { options } = window;
        const page = await window.show(file, new Findings(file));
        for (const scheme of SCHEMES) {
            await page.emulateMedia({ colorScheme: scheme });
            files.push(...await picture(page, options, `${stem}-${options.viewport.width}-${scheme}`));
        }
    }
    return files;
});

// As a browser prints by itself: the page's own margins if it has any, no background colours.
const print = (browser, file, to, at) => withWindows(browser, [bare(SCREENS[SCREENS.length - 1])], async ([window]) => {
    const page = await window.show(file, new Findings(file));
    if (at) await page.evaluate((id) => { location.hash = id; }, at);
    await page.pdf({ path: to, format: "A4", preferCSSPageSize: true });
    return to;
});

const places = (browser, file, of) => withWindows(browser, [bare(SCREENS[0])], async ([window]) => {
    const page = await window.show(file, new Findings(file));
    return page.evaluate((selectors) => selectors.map((one) => {
        const box = document.querySelector(one).getBoundingClientRect();
        return [box.top + scrollY, box.bottom + scrollY];
    }), of);
});

// ---- commands ----

const COMMANDS = {
    check: (browser, { files }) => checkAll(browser, files),
    screenshots: (browser, { file, folder }) => screenshots(browser, file, folder),
    print: (browser, { file, to, at }) => print(browser, file, to, at),
    places: (browser, { file, of }) => places(browser, file, of),
    ...tablets({ Findings, lookAt, makeRoom, validate, prepareAxe }),
};

async function answer(browser, line) {
    try {
        const command = JSON.parse(line);
        for (const file of [command.files ?? command.file ?? []].flat())
            if (!fs.existsSync(file)) throw new Error(`${file}: no such page`);
        return { answer: await COMMANDS[command.do](browser, command) ?? null };
    } catch (error) {
        return { error: String(error.message) };
    }
}

async function main() {
    const browser = await chromium.launch({
        executablePath: CHROMIUM,
        timeout: WAIT_MS,
        chromiumSandbox: process.getuid() !== 0, // Chromium's sandbox refuses root
        args: ["--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"],
    });
    browser.on("disconnected", () => process.exit(1)); // close() below takes this away first
    for await (const line of readline.createInterface({ input: process.stdin })) {
        const found = await answer(browser, line);
        if (!browser.isConnected()) process.exit(1); // whatever it found has the browser's end in it
        process.stdout.write(JSON.stringify(found) + "\n");
    }
    browser.removeAllListeners("disconnected");
    await browser.close();
}

main().catch((error) => {
    console.error(error);
    process.exit(1);
});
