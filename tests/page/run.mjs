// run.mjs - the page in Debian's two browsers, from a file, with the network cut. Prints "N passed, N failed".
// Usage: node run.mjs PROGRAM PAGE.html LOOKS_FOLDER [WORDS]      WORDS: only tests whose name has them.
//
// Every other *.mjs here that exports `tests` is run: a list of { name, run(page, context), browsers?, once? }. Each test gets the page freshly
// opened; it fails by throwing, and by any request, message or error of the page. What context offers stands at makeContext. `once`: what it
// shows is the page's own doing, whatever the browser, so that it runs in Chromium alone; with SM_LONG=1 in both.
// SPDX-License-Identifier: GPL-3.0-or-later
import { mkdirSync, readdirSync, rmSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import puppeteer from 'puppeteer-core';
import { axe } from './accessible.mjs';
import { Native, scenarios } from './native.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const [program, file, looks] = process.argv.slice(2, 5).map((p) => resolve(p));
const only = process.argv[5] ?? '';
const address = pathToFileURL(file).href;

// 1. Browsers that reach nothing: names lead nowhere, and so does the proxy.

const browsers = {
    chromium: { executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--host-resolver-rules=MAP * ~NOTFOUND', '--proxy-server=127.0.0.1:9', '--disable-background-networking'] },
    firefox: {
        browser: 'firefox', executablePath: '/usr/bin/firefox-esr',
        extraPrefsFirefox: { 'network.proxy.type': 1, 'network.proxy.http': '127.0.0.1', 'network.proxy.http_port': 9, 'network.proxy.ssl': '127.0.0.1', 'network.proxy.ssl_port': 9, 'network.dns.disabled': true },
    },
};

const launch = (name) => puppeteer.launch({ headless: true, protocolTimeout: 180000, ...browsers[name] });

// What a page asks of the outside and what it complains of; blobs and data are its own.
function listen(page, own) {
    const told = [];
    page.on('request', (q) => { if (q.url().split('#')[0] !== own && !/^(blob|data):/.test(q.url())) told.push(`request: ${q.url().slice(0, 200)}`); });
    page.on('console', (m) => { if (['error', 'warn', 'warning'].includes(m.type())) told.push(`console: ${m.text()}`); });
    page.on('pageerror', (e) => told.push(`error: ${e.message}`));
    return told;
}

// 2. What a test is given

const asksAll = (name) => name === 'chromium' || !!process.env.SM_LONG;

// The page's policy forbids what waitForFunction does, so it is asked again and again.
async function poll(what, wanted, ms = 20000) {
    const until = Date.now() + ms;
    for (;;) {
        const late = Date.now() > until, value = await wanted(); // asked once more where this process was held up
        if (value)
            return value;
        if (late)
            throw new Error(`${what}: not within ${ms} ms`);
        await new Promise((done) => setTimeout(done, 25));
    }
}

// whole: whether this browser is asked what both would answer alike; call: an answer of the engine in the page; command: a whole command
// there; native: the same by the program; shot: a picture in LOOKS_FOLDER; axe: faults of accessibility; open: a further page, at this hash
// and width; told: what it must not have said.
function makeContext(browser, name, native) {
    const opened = [];
    const context = {
        browser: name, whole: asksAll(name), scenarios, native, poll, opened,
        async open({ hash = '', width = 1280, height = 900, before } = {}) {
            const page = await browser.newPage();
            const told = listen(page, address);
            opened.push({ page, told });
            await page.setViewport({ width, height });
            if (before)
                await page.evaluateOnNewDocument(before);
            await page.goto(address + hash);
            await poll('the page offers its engine', () => page.evaluate(() => typeof window.slimmargin?.call === 'function'));
            return page;
        },
        call: (page, request) => page.evaluate((r) => window.slimmargin.call(r), request),
        command: (page, words, files) => context.call(page, { do: 'command', words, files }),
        shot: (page, what, options = { fullPage: true }) => page.screenshot({ path: join(looks, `${what}-${name}.png`), ...options }),
        axe,
    };
    return context;
}

// 3. One test

let passed = 0, failed = 0;

function report(name, faults, ms) {
    if (faults.length === 0) {
        passed++;
        console.log(`ok      ${name} (${(ms / 1000).toFixed(1)} s)`);
        return;
    }
    failed++;
    console.log(`FAILED  ${name}`);
    for (const f of faults.slice(0, 12))
        console.log(`        ${f}`);
}

async function runTest(browser, name, native, test) {
    const context = makeContext(browser, name, native), faults = [], start = Date.now();
    try {
        await test.run(await context.open(test.open), context);
    } catch (error) {
        faults.push(...String(error.stack ?? error).split('\n').slice(0, 12));
    }
    for (const { page, told } of context.opened) {
        faults.push(...told);
        await page.close().catch(() => undefined);
    }
    report(`${name}: ${test.name}`, faults, Date.now() - start);
}

// The ears themselves: a page that does ask for something, complains and fails must be heard.
async function checkListening(browser, name) {
    const page = await browser.newPage();
    const told = listen(page, 'about:blank');
    await page.goto('data:text/html,<img src="http://slimmargin.invalid/planted.png"><script>console.error("planted words");setTimeout(()=>{throw new Error("planted error")},0)</script>');
    const missing = () => ['request: http://slimmargin.invalid/planted.png', 'console: planted words', 'planted error'].filter((w) => !told.some((t) => t.includes(w)));
    await poll('', () => missing().length === 0, 3000).catch(() => undefined);
    report(`${name}: requests, messages and errors are noticed`, missing().map((w) => `not noticed: ${w}`), 0);
    await page.close();
}

// 4. All, the browsers side by side: Chromium twice, as it is asked more

const takers = ['chromium', 'chromium', 'firefox'];

async function gather() {
    const tests = [];
    for (const f of readdirSync(here).filter((n) => n.endsWith('.mjs') && n !== 'run.mjs').sort())
        tests.push(...((await import(join(here, f))).tests ?? []));
    return tests.filter((t) => t.name.includes(only));
}

const runsIn = (test, name) => (test.browsers ?? [name]).includes(name) && (!test.once || asksAll(name));

// Takes its tests off the queue of its kind until that is empty.
async function inBrowser(name, queue, native) {
    const browser = await launch(name);
    try {
        await checkListening(browser, name);
        for (let test = queue.shift(); test !== undefined; test = queue.shift())
            await runTest(browser, name, native, test);
    } finally {
        await browser.close();
    }
}

rmSync(looks, { recursive: true, force: true });
mkdirSync(looks, { recursive: true });
const tests = await gather(), native = new Native(program);
if (tests.length === 0)
    throw new Error(`no test${only ? ` named "${only}"` : ''}`);
const queues = Object.fromEntries(Object.keys(browsers).map((name) => [name, tests.filter((t) => runsIn(t, name))]));
await Promise.all(takers.map((name) => inBrowser(name, queues[name], native)));
native.end();
console.log(`Pictures: ${looks}`);
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
