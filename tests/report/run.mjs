// run.mjs - looks at the report as a reader's browser shows it, and at the files beside it. Prints "N passed, N failed".
// Usage: node run.mjs PROGRAM WORK_FOLDER [--golden]      --golden: write the golden text anew instead of comparing.
// SPDX-License-Identifier: GPL-3.0-or-later
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { HtmlValidate } from 'html-validate';
import { chromium } from 'playwright-core';
import { hostile, manySides } from './cases.mjs';
import { measure } from './measure.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, '../..');
const [program, work] = process.argv.slice(2, 4).map((p) => resolve(p));
const renew = process.argv.includes('--golden');
const golden = join(here, 'golden/demo.txt');
let passed = 0, failed = 0;

function check(name, faults) {
    const list = [faults].flat().filter((f) => f !== true && f !== null && f !== undefined && f !== '');
    if (list.length === 0) {
        passed++;
        console.log(`ok      ${name}`);
    } else {
        failed++;
        console.log(`FAILED  ${name}`);
        for (const f of list.slice(0, 12))
            console.log(`        ${f === false ? 'not so' : f}`);
    }
}

const must = (condition, words) => (condition ? null : words);
const contains = (text, part) => must(text.includes(part), `"${part}" is not there`);

// 1. Reports to look at

function report(name, casePath, trials) {
    const base = join(work, name);
    execFileSync(program, ['report', casePath, '-o', `${base}.html`, '--json', `${base}.json`, '--figures', base, '--trials', String(trials)]);
    return { name, html: `${base}.html`, figures: base, text: readFileSync(`${base}.html`, 'utf8'), json: JSON.parse(readFileSync(`${base}.json`, 'utf8')) };
}

function writeCase(name, value) {
    const path = join(work, `${name}-case.json`);
    writeFileSync(path, JSON.stringify(value, null, 1));
    return path;
}

function allReports() {
    const demo = JSON.parse(readFileSync(join(root, 'scenarios/demo.json'), 'utf8'));
    delete demo.profile;
    return [report('demo', join(root, 'scenarios/demo.json'), 1e6),
            report('slack-tide', join(root, 'scenarios/slack-tide.json'), 1e6),
            report('two-witnesses', join(root, 'scenarios/two-witnesses.json'), 1e5),
            report('hostile', writeCase('hostile', hostile(demo)), 1e5),
            report('many-sides', writeCase('many-sides', manySides(demo)), 1e5)];
}

// 2. The page as text

async function checkMarkup(r) {
    const validate = new HtmlValidate({ extends: ['html-validate:standard'], rules: { 'no-inline-style': 'error', 'long-title': 'off', 'no-raw-characters': 'error' } });
    const result = await validate.validateFile(r.html);
    check(`${r.name}: valid HTML`, result.results.flatMap((f) => f.messages.map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`)));
    check(`${r.name}: nothing but one file`, [must(!/<script|<link|<img|<iframe|url\((?!#)|@import|https?:(?!\/\/www\.w3\.org)/.test(r.text), 'it refers to something outside'),
        contains(r.text, "default-src 'none'"), contains(r.text, '<html lang="en">')]);
}

// 3. The page in a browser

const widths = [1280, 400];

async function open(browser, r, width) {
    const context = await browser.newContext({ viewport: { width, height: 900 } });
    const page = await context.newPage();
    const told = [];
    page.on('console', (m) => told.push(`console: ${m.text()}`));
    page.on('pageerror', (e) => told.push(`error: ${e.message}`));
    page.on('request', (q) => { if (q.url() !== pathToFileURL(r.html).href) told.push(`request: ${q.url()}`); });
    await page.goto(pathToFileURL(r.html).href);
    return { page, told, close: () => context.close() };
}

async function checkLayout(browser, r) {
    for (const width of widths) {
        const { page, told, close } = await open(browser, r, width);
        const seen = await page.evaluate(measure);
        await page.screenshot({ path: join(work, `${r.name}-${width}.png`), fullPage: true });
        check(`${r.name} at ${width}: no message, no request`, told);
        check(`${r.name} at ${width}: no text over text, none outside its picture`, seen.collisions);
        check(`${r.name} at ${width}: no part wider than the page`, seen.wide);
        check(`${r.name} at ${width}: contrast at least 4.5`, seen.pale);
        check(`${r.name} at ${width}: headings in order, header cells, words for every picture`, seen.structure);
        await close();
    }
}

// 4. The same numbers everywhere

const ofHundred = (p) => {
    const width = 100 * (p.ci95[1] - p.ci95[0]);
    const rarer = 100 * Math.min(p.probability, 1 - p.probability);
    const ofUse = rarer > 0 ? Math.max(1, 1 - Math.floor(Math.log10(rarer))) : 7; // as sm_words_decimals has it
    const decimals = width > 0 ? Math.min(7, Math.max(0, Math.min(ofUse, Math.ceil(-Math.log10(width))))) : 1;
    return (100 * p.probability).toFixed(decimals);
};

async function checkNumbers(browser, r) {
    const { page, close } = await open(browser, r, 1280);
    const words = await page.evaluate(() => document.body.textContent.replace(/\s+/g, ' '));
    await close();
    const wanted = [`SHA-256 ${r.json.case_sha256}`, `seed ${r.json.seed}`, `${r.json.trials.toLocaleString('en-US')} trials`, `${ofHundred(r.json.patient.event)} of 100`];
    for (const side of Object.values(r.json.coronaries)) {
        wanted.push(ofHundred(side.event), ofHundred(side.crowded), `${side.ostium_clearance_mm.median.toFixed(1)} mm`);
        if (side.guarded?.ostium_gap_mm)
            wanted.push(`turns at ${(Math.ceil(10 * side.guarded.ostium_gap_mm - 1e-6) / 10).toFixed(1)}`);
    }
    for (const a of r.json.alternatives ?? [])
        wanted.push((1000 * a.expected_cost.value).toFixed(0));
    for (const k of (r.json.recheck ?? []).filter((x) => x.reducible && x.value?.value >= 0.001))
        wanted.push(`spares ${(1000 * k.value.value).toFixed(0)} untreated events`);
    for (const w of r.json.warnings)
        wanted.push(w.replace(/\s+/g, ' '));
    check(`${r.name}: the page says the numbers of the JSON`, wanted.map((w) => contains(words, w)));
    const named = r.json.assumptions.filter((a) => a.source && a.origin === 'profile').map((a) => a.source);
    check(`${r.name}: the page names every source of the profile`, named.map((w) => contains(words, w)));
}

function checkTerminal(r, casePath) {
    const text = execFileSync(program, ['assess', casePath, '--whole', '--plain'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
    const wanted = [r.json.patient.event, ...Object.values(r.json.coronaries).flatMap((s) => [s.event, s.crowded, s.sealed])].map(ofHundred);
    check(`${r.name}: the terminal says the same numbers`, wanted.map((w) => contains(text, `${w} of 100`)));
}

// What was published stands on the page in the words of weigh, every sentence of it.
async function checkContext(browser, r, casePath) {
    const { page, close } = await open(browser, r, 1280);
    const words = await page.evaluate(() => document.body.textContent.replace(/\s+/g, ' '));
    await close();
    const text = execFileSync(program, ['weigh', casePath, '--plain', '--trials', '10000'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
    const context = /For comparison only (.*?) What this rests on/.exec(text)?.[1] ?? '';
    const sentences = context.split(/(?<=\.) (?=[A-Z])/);
    check(`${r.name}: what was published, in the words of weigh`, [must(sentences.length > 10, `${sentences.length} sentences`), ...sentences.map((s) => contains(words, s))]);
    const paper = execFileSync('pdftotext', [join(work, `${r.name}.pdf`), '-'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
    check(`${r.name}: on paper with its cautions`, ['For comparison only', 'None of this enters the numbers above.', 'The distances come from chosen patients', 'the two need not agree'].map((s) => contains(paper, s)));
}

// 5. On paper

async function checkPrint(browser, r, pages) {
    const { page, close } = await open(browser, r, 1280);
    const pdf = join(work, `${r.name}.pdf`);
    await page.pdf({ path: pdf, preferCSSPageSize: true, printBackground: true });
    await close();
    const info = execFileSync('pdfinfo', [pdf], { encoding: 'utf8' });
    const n = Number(/^Pages:\s+(\d+)/m.exec(info)[1]);
    check(`${r.name}: A4${pages ? `, ${pages} pages` : ''}`, [contains(info, 'A4'), must(!pages || n === pages, `${n} pages`)]);
    const faults = [];
    for (let i = 1; i <= n; i++) {
        const text = execFileSync('pdftotext', ['-layout', '-f', i, '-l', i, pdf, '-'], { encoding: 'utf8' });
        for (const part of [r.json.case, `SHA-256 ${r.json.case_sha256.slice(0, 12)}`, 'local identifier'])
            faults.push(must(text.includes(part), `page ${i}: "${part}" is not there`));
    }
    check(`${r.name}: case, SHA-256 and a line for the local identifier on every page`, faults);
    if (r.json.alternatives)
        check(`${r.name}: the alternatives stand on the page of their heading`, togetherOnPaper(pdf, n, r.json.alternatives.map((a) => a.name)));
}

function togetherOnPaper(pdf, pages, names) {
    for (let i = 1; i <= pages; i++) {
        const text = execFileSync('pdftotext', ['-f', i, '-l', i, pdf, '-'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
        const at = text.indexOf('What might be done instead');
        if (at >= 0)
            return names.map((name) => contains(text.slice(at), name.slice(0, 20)));
    }
    return 'no heading';
}

// 6. Figures as files

async function checkFigures(browser, r) {
    const files = readdirSync(r.figures).sort();
    const faults = files.filter((f) => f.endsWith('.svg')).map((f) => must(files.includes(f.replace('.svg', '.csv')), `${f} has no CSV beside it`));
    const page = await browser.newPage();
    for (const f of files.filter((x) => x.endsWith('.svg'))) {
        const text = readFileSync(join(r.figures, f), 'utf8');
        const fault = await page.evaluate((t) => new DOMParser().parseFromString(t, 'image/svg+xml').querySelector('parsererror')?.textContent ?? null, text);
        faults.push(fault && `${f}: ${fault}`);
    }
    for (const f of files.filter((x) => x.endsWith('.csv'))) {
        const rows = readFileSync(join(r.figures, f), 'utf8').trimEnd().split('\n');
        const columns = (row) => row.replace(/"(?:[^"]|"")*"/g, 'q').split(',').length;
        faults.push(must(rows.length > 1, `${f}: no row`), must(rows.every((row) => columns(row) === columns(rows[0])), `${f}: rows of unequal length`));
    }
    await page.close();
    check(`${r.name}: figures are well-formed, each with its data`, faults);
    const ruler = readFileSync(join(r.figures, 'ruler.csv'), 'utf8').split('\n')[1].split(',').map(Number);
    check(`${r.name}: the ruler's data are the JSON's`, [must(Math.abs(ruler[0] - r.json.patient.event.probability) < 1e-8, ruler[0])]);
}

// 7. Golden text: headings and the words of every picture

async function checkGolden(browser, r) {
    const { page, close } = await open(browser, r, 1280);
    const words = await page.evaluate(() => [...document.querySelectorAll('h1,h2,h3,svg title,svg desc')].filter((e) => !e.closest('.narrow'))
        .map((e) => `${e.tagName.toLowerCase()}: ${e.textContent}`).join('\n') + '\n');
    await close();
    if (renew) {
        mkdirSync(dirname(golden), { recursive: true });
        writeFileSync(golden, words);
    }
    const kept = readFileSync(golden, 'utf8').split('\n');
    check('demo: the golden text', words.split('\n').map((line, i) => must(line === kept[i], `line ${i + 1}: "${line}" was "${kept[i]}"`)));
}

// 8. The whole

rmSync(work, { recursive: true, force: true });
mkdirSync(work, { recursive: true });
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', headless: true,
    args: ['--no-sandbox', '--headless', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });
const reports = allReports();
for (const r of reports) {
    await checkMarkup(r);
    await checkLayout(browser, r);
    await checkNumbers(browser, r);
    await checkPrint(browser, r, ['demo', 'slack-tide'].includes(r.name) ? 2 : 0);
    await checkFigures(browser, r);
}
checkTerminal(reports[0], join(root, 'scenarios/demo.json'));
await checkContext(browser, reports[0], join(root, 'scenarios/demo.json'));
const wild = reports.find((r) => r.name === 'hostile');
check('hostile: names stand as text', [contains(wild.text, '&lt;b&gt;&quot;wire&quot; &amp; &#39;stent&#39;'), contains(wild.text, '試験'), must(!/<b>"wire"/.test(wild.text), 'a name became markup')]);
await checkGolden(browser, reports[0]);
await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
