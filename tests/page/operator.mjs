// operator.mjs - the room of the operator, as someone at a keyboard uses it; what it shows is what the program says.
// SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

// 1. Hands and eyes

const standing = (page) => page.evaluate(() => document.querySelector('.strip .standing').textContent);
const call = (page) => page.evaluate(() => document.querySelector('#call').textContent);
const at = (pointer) => `[data-pointer="${pointer}"]`;
const notes = (page, pointer) => page.evaluate((s) => document.querySelector(`${s} .notes`).textContent, at(pointer));

// Types into a field as a hand does, or chooses of a list.
async function enter(page, pointer, words) {
    const field = await page.$(`${at(pointer)} > input, ${at(pointer)} > select`);
    if (await field.evaluate((e) => e.tagName === 'SELECT'))
        return field.select(words);
    await field.focus();
    await field.evaluate((e) => e.select());
    await page.keyboard.press('Backspace');
    return page.keyboard.type(words);
}

// Presses the button of these words that can be seen.
const press = (page, words, within = 'body') => page.evaluate((w, inside) => {
    const found = [...document.querySelectorAll(`${inside} button, ${inside} summary`)].find((b) => b.textContent.trim() === w && b.offsetParent !== null);
    if (!found)
        throw new Error(`no button "${w}"`);
    found.click();
}, words, within);

const current = (page, context) => context.poll('the answer is current', async () => /^Current/.test(await standing(page)), 120000);
const entirely = (page, context) => context.poll('the report is there', async () => (await standing(page)) === 'Current.', 120000);

async function paste(page, text) {
    await press(page, 'paste');
    await page.evaluate((t) => { document.querySelector('.paste textarea').value = t; }, text);
    await press(page, 'use it');
}

const scenario = (page, name) => page.select('.case-menu select', name);

// What is saved goes into window.saved, by name, and not to the disc.
const catchSaves = () => {
    window.saved = {};
    const blobs = new Map(), make = URL.createObjectURL.bind(URL);
    URL.createObjectURL = (blob) => { const url = make(blob); blobs.set(url, blob); return url; };
    HTMLAnchorElement.prototype.click = function () { void blobs.get(this.href)?.text().then((t) => { window.saved[this.download] = t; }); };
};

async function saved(page, context, name, words, within) {
    await page.evaluate(catchSaves);
    await press(page, words, within);
    return context.poll(`${name} is saved`, () => page.evaluate((n) => window.saved[n], name));
}

const caseText = async (page) => {
    const folded = await page.evaluate(() => !document.querySelector('.text-view').open);
    if (folded)
        await press(page, 'The whole case as text');
    return page.evaluate(() => new Promise((done) => setTimeout(() => done(document.querySelector('.text-view textarea').value), 50)));
};

// What a sheet of A4 shows of this page: its words, and each of them with its place, page by page.
async function onPaper(page, options = {}) {
    const folder = mkdtempSync(join(tmpdir(), 'page-paper-')), file = join(folder, 'page.pdf');
    await page.pdf({ path: file, format: 'a4', printBackground: true, ...options });
    const text = (...words) => execFileSync('pdftotext', [...words, file, '-'], { encoding: 'utf8' });
    const sheets = text('-bbox').split('<page ').slice(1).map((sheet) => [...sheet.matchAll(/xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)"[^>]*>([^<]*)</g)]
        .map((m) => ({ left: Number(m[1]), top: Number(m[2]), right: Number(m[3]), word: m[4] })));
    const words = joined(text('-layout'));
    rmSync(folder, { recursive: true });
    return { words, sheets };
}

const joined = (text) => text.replace(/\s+/g, ' ');

// Width, height and scheme. Firefox cannot be told the scheme: there the wide one stands once.
const looksOf = (context) => [[1360, 1000, 'light'], [390, 844, 'light'], [1360, 1000, 'dark'], [360, 740, 'dark']].filter((look) => context.browser === 'chromium' || look.join() !== '1360,1000,dark');

async function lookAs(page, context, [width, height, scheme]) {
    await page.setViewport({ width, height });
    if (context.browser === 'chromium')
        await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: scheme }]);
}

const ENTRIES = {
    '/surgical_valve/leaflet_mount': 'external', '/surgical_valve/inner_diameter_mm': '22.3 +- 0.3', '/implant/expansion': 'balloon', '/implant/nominal_diameter_mm': '24.5',
    '/implant/implant_depth_mm': '4 +- 1', '/implant/frame_height_mm': '19', '/implant/skirt_height_mm': '9',
    '/coronaries/left/azimuth_deg': '35', '/coronaries/left/ostium_height': 'A: 9.1; 9.4; B: 9.9', '/coronaries/left/ostium_gap': '5.7', '/coronaries/left/stj_height': '18',
    '/coronaries/left/stj_gap': '2.7', '/coronaries/left/leaflet_height': '14.8', '/coronaries/left/circle_mm': '22.4',
    '/coronaries/right/azimuth_deg': '160', '/coronaries/right/ostium_height': '12.2', '/coronaries/right/ostium_gap': '7.2', '/coronaries/right/stj_height': '18.6',
    '/coronaries/right/stj_gap': '3.2', '/coronaries/right/leaflet_height': '14.8', '/coronaries/right/circle_mm': '22.4', '/action_line': '0.2',
};

// 2. The tests

export const tests = [{
    name: 'operator: a case typed into the empty form says what the program says of it',
    async run(page, context) {
        await context.poll('what is needed is told', async () => /values are still needed/.test(await call(page)));
        for (const [pointer, words] of Object.entries(ENTRIES))
            await enter(page, pointer, words);
        await current(page, context);
        const text = await caseText(page), value = JSON.parse(text);
        assert.deepEqual(value.coronaries.left.ostium_height, { readings_mm: { A: [9.1, 9.4], B: [9.9] } });
        assert.deepEqual(value.implant.implant_depth_mm, { normal: { mean: 4, sd: 1 } });
        assert.equal(value.coronaries.right.ostium_gap, 7.2);
        const said = joined(context.native.command(['assess', 'case-1.json', '--plain'], { 'case-1.json': text }).out).replaceAll('+-', '\u00b1');
        assert.ok(said.includes(await call(page)), `the program does not say "${await call(page)}"`);
        for (const words of await page.evaluate(() => [...document.querySelectorAll('.strip .lead .rest, .strip .range')].map((e) => e.textContent)))
            for (const sentence of words.split(/(?<=\.)\s+(?=[A-Z])/))
                assert.ok(said.includes(sentence.trim()), `the program does not say "${sentence}"`);
    },
}, {
    name: 'operator: what is of before is never shown as current',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        await current(page, context);
        const before = await call(page), marks = () => page.evaluate(() => [...document.querySelectorAll('.ruler .mark-cross')].reduce((n, m) => n + Number(m.getAttribute('width')), 0));
        const filled = await marks();
        await enter(page, '/coronaries/left/ostium_gap', '9.5');
        assert.doesNotMatch(await standing(page), /^Current/);
        assert.ok(await page.evaluate(() => document.querySelector('.strip').classList.contains('old')) || /^Quick count of/.test(await call(page)));
        await context.poll('the marks follow', async () => (await marks()) < filled - 5, 15000);
        await context.poll('a quick count says so', async () => /^(Quick count of 20,480 roots: about \d+ of [\d,]+ roots read like this truly cross a limit; what it hangs on is still being computed\.|Below)/.test(await call(page)), 15000);
        await current(page, context);
        assert.notEqual(await call(page), before);
        assert.ok(await page.evaluate(() => !document.querySelector('.strip').classList.contains('old') && !document.querySelector('.panels .work').closest('.panel').classList.contains('old')));
    },
}, {
    name: 'operator: a slip is answered at its field, with its mend, and can be right',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        await enter(page, '/coronaries/left/ostium_height', '0.91');
        await context.poll('a fault at the field', async () => /found 0\.91, expected a number from 1 to 60/.test(await notes(page, '/coronaries/left/ostium_height')));
        await press(page, 'make it 9.1');
        await context.poll('the fault is gone', async () => (await notes(page, '/coronaries/left/ostium_height')) === '');
        await enter(page, '/coronaries/right/ostium_height', '1.22');
        await context.poll('it is asked about', async () => /usual are 2\.5 to 25\. In centimetres\?/.test(await notes(page, '/coronaries/right/ostium_height')));
        await context.poll('it is asked before the answer', () => page.evaluate(() => /^! Right, ostium height: 1\.22 mm; usual are/.test(document.querySelector('.strip').firstElementChild.textContent)));
        await press(page, 'it is right');
        await context.poll('it is confirmed', async () => /You said that it is right/.test(await notes(page, '/coronaries/right/ostium_height')));
        assert.deepEqual(JSON.parse(await caseText(page)).confirmed, ['right.ostium_height']);
        assert.equal(await page.evaluate(() => document.querySelector('.strip').firstElementChild.textContent), '');
        await press(page, 'ask again');
        await context.poll('it is asked again', async () => /In centimetres\? make it 12\.2/.test(await notes(page, '/coronaries/right/ostium_height')));
        await press(page, 'make it 12.2');
        await context.poll('nothing is asked', async () => (await notes(page, '/coronaries/right/ostium_height')) === '');
        await enter(page, '/coronaries/right/stj_gap', '3,2');
        await context.poll('a comma is no point', async () => /make it 3\.2/.test(await notes(page, '/coronaries/right/stj_gap')));
        await press(page, 'make it 3.2');
        assert.equal(JSON.parse(await caseText(page)).coronaries.right.stj_gap, 3.2);
    },
}, {
    name: 'operator: nothing of a case is lost, and an unchanged one is saved as the same bytes',
    async run(page, context) {
        const value = JSON.parse(context.scenarios.files['demo.json']);
        delete value.profile;
        value.note = 'ends in ":5, and a \\ too';
        value.gantry = { rao_deg: 80 };
        value.surgical_valve.leaflet_thickness_mm = { truncated_normal: { mean: 0.7, sd: 0.2, min: 0.1, max: 2 } };
        value.coronaries.third = { ostium: false, azimuth_deg: 280, circle_mm: 22.4, stj_height: 18.2, stj_gap: 3.0, leaflet_height: 14.5 };
        const text = JSON.stringify(value, null, 3);
        await paste(page, text);
        assert.equal(await saved(page, context, 'harbour-07.json', 'save case'), text);
        await enter(page, '/implant/nominal_diameter_mm', '25');
        value.implant.nominal_diameter_mm = 25;
        assert.deepEqual(JSON.parse(await saved(page, context, 'harbour-07.json', 'save case')), value);
        assert.match(await page.evaluate(() => document.querySelector('[aria-label="Also in this case"]').innerText), /gantry/);
        await current(page, context);
    },
}, {
    name: 'operator: undo and redo, in a field too',
    async run(page, context) {
        await scenario(page, 'meadow.json');
        const text = await caseText(page);
        await enter(page, '/implant/nominal_diameter_mm', '26');
        assert.equal(JSON.parse(await caseText(page)).implant.nominal_diameter_mm, 26);
        await current(page, context);
        await page.focus(`${at('/implant/nominal_diameter_mm')} > input`);
        await page.keyboard.down('Control');
        await page.keyboard.press('z');
        await page.keyboard.up('Control');
        assert.equal(await caseText(page), text);
        assert.equal(await page.evaluate((s) => document.querySelector(s).value, `${at('/implant/nominal_diameter_mm')} > input`), '23.5');
        await press(page, 'redo');
        assert.equal(JSON.parse(await caseText(page)).implant.nominal_diameter_mm, 26);
        await current(page, context);
    },
}, {
    name: 'operator: the report in place and saved is the program\'s file',
    async run(page, context) {
        await scenario(page, 'demo.json');
        await entirely(page, context);
        await press(page, 'whole report');
        await context.poll('the report is shown', () => page.evaluate(() => document.querySelector('.report iframe').contentDocument?.title === 'slimmargin: case harbour-07'));
        const native = context.native.command(['report', 'demo.json', '-o', 'r.html'], context.scenarios.filesOf('demo.json')).files['r.html'];
        assert.equal(await page.evaluate(() => document.querySelector('.report iframe').srcdoc), native);
        assert.doesNotMatch(await page.evaluate(() => document.querySelector('.report iframe').getAttribute('sandbox')), /allow-scripts/);
        assert.equal(await saved(page, context, 'demo.html', 'save it', '.report'), native);
    },
}, {
    name: 'operator: a profile that a case names is asked for by name, or gone on without',
    once: true,
    async run(page, context) {
        await paste(page, context.scenarios.files['demo.json']);
        await context.poll('it is asked for', async () => /names a site profile, site\.json/.test(await call(page)));
        await press(page, 'go on without it');
        await current(page, context);
        const text = await caseText(page);
        assert.equal(JSON.parse(text).profile, undefined);
        assert.ok(joined(context.native.command(['assess', 'harbour-07.json', '--plain'], { 'harbour-07.json': text }).out).includes(await call(page)));
        await press(page, 'undo');
        await context.poll('it is asked for again', async () => /names a site profile/.test(await call(page)));
    },
}, {
    name: 'operator: every command says here what the program says',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        const files = context.scenarios.filesOf('demo.json'), trials = '65536';
        const roots = await page.$('.results .option input');
        await roots.evaluate((e) => { e.value = ''; });
        await roots.type(trials);
        const shown = async (name, words) => {
            await page.select('.results select', name);
            if (name === 'sweep')
                await page.select('.ask select', 'blooming');
            await press(page, 'compute');
            await context.poll(`${name} is done`, () => page.evaluate(() => /^(Done|Ended)/.test(document.querySelector('.results .standing').textContent)), 120000);
            const out = await page.evaluate(() => document.querySelector('.out pre:not(.messages)').textContent);
            const native = context.native.command([name, 'demo.json', ...words, ...(name === 'check' ? [] : ['--trials', trials])], files);
            assert.equal(out, native.out.trimEnd(), name);
        };
        await current(page, context);
        await shown('check', []);
        await shown('assess', ['--whole']);
        await shown('recheck', []);
        await shown('weigh', []);
        await shown('sweep', ['--vary', 'blooming=0.3:0.8']);
        assert.match(await page.evaluate(() => document.querySelector('.saves').textContent), /demo-sweep\.json.*demo-sweep\.csv.*demo-sweep\.html/);
    },
}, {
    name: 'operator: what a command said of before is marked, also where the case changed while it was computed',
    once: true,
    async run(page, context) {
        const state = () => page.evaluate(() => document.querySelector('.results .standing').textContent);
        const old = () => page.evaluate(() => document.querySelector('.results .out').classList.contains('old'));
        await scenario(page, 'demo.json');
        await page.select('.results select', 'assess');
        await press(page, 'compute', '.results');
        assert.match(await state(), /^Computing/);
        await enter(page, '/implant/nominal_diameter_mm', '26');
        await context.poll('it ends as of before', async () => (await state()) === 'The case has changed: what stands here is of before.', 120000);
        assert.ok(await old());
        assert.match(await page.evaluate(() => document.querySelector('.out pre:not(.messages)').textContent), /24\.5/);
        await press(page, 'undo');
        assert.equal(await state(), 'Done.');
        assert.ok(!(await old()));
        await press(page, 'compute', '.results');
        await scenario(page, 'meadow.json');
        await context.poll('that of another case too', async () => /^The case has changed/.test(await state()), 120000);
        assert.match(await page.evaluate(() => document.querySelector('.saves').textContent), /^Save: demo-assess\.txt/);
    },
}, {
    name: 'operator: a file is named after its case where nobody named it, and keeps a name that it was opened with',
    async run(page, context) {
        await enter(page, '/case', 'case-7');
        assert.equal(JSON.parse(await saved(page, context, 'case-7.json', 'save case')).case, 'case-7');
        await enter(page, '/case', '../old root');
        assert.equal(JSON.parse(await saved(page, context, 'old-root.json', 'save case')).case, '../old root');
        await paste(page, context.scenarios.files['meadow.json']);
        const name = JSON.parse(context.scenarios.files['meadow.json']).case;
        assert.equal(await saved(page, context, `${name}.json`, 'save case'), context.scenarios.files['meadow.json']);
        await scenario(page, 'demo.json');
        await enter(page, '/case', 'case-8');
        assert.equal(JSON.parse(await saved(page, context, 'demo.json', 'save case')).case, 'case-8');
    },
}, {
    name: 'operator: what is no case opens nothing, and says where it goes wrong',
    async run(page, context) {
        await scenario(page, 'meadow.json');
        await current(page, context);
        const before = await call(page), said = () => page.evaluate(() => document.querySelector('.paste').innerText);
        for (const [text, where] of [['[1, 2]', /expected/], ['NaN', /line 1/i], ['{"case": "a",\n "note": }', /line 2/i]]) {
            await paste(page, text);
            await context.poll(`"${text}" is told`, async () => where.test(await said()), 60000);
            assert.match(await said(), /This text is no case\.[^]*The open case stays as it is\./);
            assert.equal(await page.evaluate(() => document.querySelector('.paste textarea').value), text);
            assert.equal(await caseText(page), context.scenarios.files['meadow.json']);
            assert.equal(await call(page), before);
            await press(page, 'never mind');
            assert.ok(await page.evaluate(() => document.querySelector('.paste').hidden));
        }
        await page.evaluate(() => { const a = document.querySelector('.text-view textarea'); a.value = '[]'; a.dispatchEvent(new Event('input')); });
        await context.poll('the headline says it', async () => (await call(page)) === 'No answer: this text is no case.');
    },
}, {
    name: 'operator: a report of before is neither saved nor printed',
    once: true,
    async run(page, context) {
        const off = () => page.evaluate(() => [...document.querySelectorAll('.report .tools button')].filter((b) => b.disabled).map((b) => b.textContent));
        await scenario(page, 'demo.json');
        await press(page, 'whole report');
        assert.deepEqual(await off(), ['print it', 'save it']);
        await entirely(page, context);
        assert.deepEqual(await off(), []);
        await enter(page, '/implant/nominal_diameter_mm', '26');
        assert.deepEqual(await off(), ['print it', 'save it']);
        assert.match(await page.evaluate(() => document.querySelector('.report .standing').textContent), /^This report is of an earlier state of the case\./);
        await entirely(page, context);
        assert.deepEqual(await off(), []);
    },
}, {
    name: 'operator: on paper the ruler is whole, the report is left to its own print, and what is of before says so',
    browsers: ['chromium'],
    async run(page, context) {
        await scenario(page, 'demo.json');
        await press(page, 'whole report');
        await entirely(page, context);
        for (const landscape of [false, true]) {
            const { words, sheets } = await onPaper(page, { landscape }), [first] = sheets;
            const last = first.find((w, i) => w.word === '100' && first[i - 1]?.word === '90'), edge = landscape ? 842 : 595;
            assert.ok(last && last.right < edge - 10 && last.right > edge * 0.85, `the ruler ends at ${last?.right} of ${edge}`);
            assert.ok(landscape || sheets.length <= 3, `${sheets.length} sheets`);
            assert.match(words, /The whole report is not on this sheet/);
            assert.match(words, /harbour-07/);
            assert.match(words, /It hangs on/);
            assert.match(words, /What might be done instead/);
            assert.doesNotMatch(words, /Current\.|SHA-256/);
        }
        assert.ok(await page.evaluate(() => { const r = document.querySelector('.ruler').getBoundingClientRect(); return Math.abs(r.width - document.querySelector('.ruler-box').clientWidth) < 1; }), 'the ruler of the screen is back');
        await enter(page, '/implant/nominal_diameter_mm', '');
        await context.poll('no answer', async () => /^No answer/.test(await call(page)));
        assert.match((await onPaper(page)).words, /What is shown below is of before/);
    },
}, {
    name: 'operator: two cases are compared, the second chosen as a file',
    browsers: ['chromium'],
    async run(page, context) {
        const folder = mkdtempSync(join(tmpdir(), 'page-compare-')), name = join(folder, 'second.json');
        writeFileSync(name, context.scenarios.files['harbour-fine.json']);
        await scenario(page, 'demo.json');
        await current(page, context);
        await page.select('.results select', 'compare');
        const [chooser] = await Promise.all([page.waitForFileChooser(), press(page, 'choose the second case (and its profile)')]);
        await chooser.accept([name]);
        await context.poll('it is named', () => page.evaluate(() => /second\.json/.test(document.querySelector('.ask:not([hidden])').textContent)));
        await press(page, 'compute');
        await context.poll('compare is done', () => page.evaluate(() => /^(Done|Ended)/.test(document.querySelector('.results .standing').textContent)), 120000);
        const files = { ...context.scenarios.filesOf('demo.json'), 'second/second.json': context.scenarios.files['harbour-fine.json'], 'second/site.json': context.scenarios.files['site.json'] };
        const native = context.native.command(['compare', 'demo.json', 'second/second.json'], files);
        assert.equal(await page.evaluate(() => document.querySelector('.out pre:not(.messages)').textContent), native.out.trimEnd());
        writeFileSync(name, context.scenarios.files['meadow.json']);
        const [again] = await Promise.all([page.waitForFileChooser(), press(page, 'choose the second case (and its profile)')]);
        await again.accept([name]);
        await context.poll('with another second case it is of before', () => page.evaluate(() => document.querySelector('.results .standing').textContent === 'A case has changed: what stands here is of before.'));
        rmSync(folder, { recursive: true });
    },
}, {
    name: 'operator: a field lights its landmark, and a landmark leads to its field',
    async run(page, context) {
        await scenario(page, 'demo.json');
        await page.focus(`${at('/coronaries/left/ostium_gap')} > input`);
        assert.match(await page.evaluate(() => document.querySelector('.entered .lit title').textContent), /^left ostium: gap 5\.7 mm/);
        await page.evaluate(() => [...document.querySelectorAll('.entered .landmark')].find((g) => /^right junction/.test(g.querySelector('title').textContent)).dispatchEvent(new MouseEvent('click')));
        assert.equal(await page.evaluate(() => document.activeElement.closest('.field').dataset.pointer), '/coronaries/right/stj_gap');
        assert.match(await page.evaluate(() => document.querySelector('.entered').getAttribute('aria-label')), /right: ostium 12\.2 high, 7\.2 from the circle/);
        await current(page, context);
    },
}, {
    name: 'operator: alternatives, second looks and planned looks by forms',
    async run(page, context) {
        await scenario(page, 'meadow.json');
        await press(page, 'add an alternative');
        await page.keyboard.type(' deeper');
        const change = await page.$('select[aria-label="what is done differently"]');
        await change.focus();
        await change.select('/implant/implant_depth_mm');
        await page.keyboard.type('6');
        await page.focus('select[aria-label="second look at"]');
        await page.select('select[aria-label="second look at"]', '/coronaries/left/ostium_gap');
        await press(page, 'add', '[aria-labelledby="title-second-looks"]');
        await enter(page, '/coronaries/left/ostium_gap/cross_check/readings_mm', '6.6; B: 6.9');
        await page.select('select[aria-label="kind of look"]', 'project');
        await press(page, 'add', '[aria-labelledby="title-planned-looks"]');
        await enter(page, '/looks/0/reader_sd_mm', '1.2');
        await current(page, context);
        const value = JSON.parse(await caseText(page));
        assert.equal(value.alternatives.at(-1).name, 'alternative 1 deeper');
        assert.deepEqual(value.alternatives.at(-1).implant, { implant_depth_mm: 6 });
        assert.deepEqual(value.coronaries.left.ostium_gap, { readings_mm: { A: [7] }, cross_check: { modality: 'fluoroscopy', readings_mm: { A: [6.6], B: [6.9] } } });
        assert.deepEqual(value.looks, [{ name: 'look 1', project: 'left.ostium_gap', reader_sd_mm: 1.2 }]);
        await press(page, 'take this look away', '[aria-labelledby="title-planned-looks"]');
        assert.equal(JSON.parse(await caseText(page)).looks, undefined);
    },
}, {
    name: 'operator: the case as text, with faults by line, and what is no JSON is kept',
    once: true,
    async run(page, context) {
        const text = context.scenarios.files['meadow.json'].replace('"circle_mm"', '"circle_mn"');
        await paste(page, text);
        await caseText(page);
        await context.poll('a fault with its line', () => page.evaluate(() => /line \d+.*unknown key "circle_mn"/.test(document.querySelector('.faults').textContent)));
        await press(page, 'make it “circle_mm”');
        await current(page, context);
        await page.evaluate(() => { const a = document.querySelector('.text-view textarea'); a.value = a.value.replace('{', '{,'); a.dispatchEvent(new Event('input')); });
        await context.poll('no answer', async () => /^No answer/.test(await call(page)));
        assert.ok(await page.evaluate((s) => document.querySelector(s).disabled, `${at('/implant/nominal_diameter_mm')} > input`));
        assert.match(await caseText(page), /^\{,/);
        await press(page, 'undo');
        await current(page, context);
    },
}, {
    name: 'operator: text of a case never becomes markup',
    once: true,
    async run(page, context) {
        const hostile = '<img src=x onerror="window.hit=1"><script>window.hit=1</script>', value = JSON.parse(context.scenarios.files['meadow.json']);
        value.note = hostile;
        value.alternatives = [{ name: hostile.slice(0, 60), implant: { nominal_diameter_mm: 22.5 }, burden: 0.01 }];
        value[hostile] = 1;
        await paste(page, JSON.stringify(value));
        await context.poll('it is refused', async () => /^No answer/.test(await call(page)));
        delete value[hostile];
        await paste(page, JSON.stringify(value));
        await entirely(page, context);
        await press(page, 'whole report');
        assert.equal(await page.evaluate(() => document.querySelectorAll('img[src=x], .form script, .panels script, .results script').length), 0);
        assert.equal(await page.evaluate(() => window.hit ?? null), null);
    },
}, {
    name: 'operator: axe finds nothing, wide, narrow, light and dark; nothing runs over the edge',
    async run(page, context) {
        const field = '/coronaries/left/ostium_height';
        await scenario(page, 'demo.json');
        await entirely(page, context);
        for (const look of looksOf(context)) {
            await lookAs(page, context, look);
            assert.deepEqual(await context.axe(page), [], look.join());
            assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `runs over the edge: ${look.join()}`);
            await context.shot(page, `operator-${look[0]}-${look[2]}`, {});
        }
        for (const [i, look] of looksOf(context).entries()) {
            await lookAs(page, context, look);
            await enter(page, field, `1.2${i + 1}`);
            await context.poll('asked about, and old', async () => new RegExp(`1\\.2${i + 1} mm.*In centimetres`).test(await notes(page, field)));
            assert.deepEqual(await context.axe(page), [], `${look.join()}, old`);
        }
    },
}, {
    name: 'operator: what can be pressed is large enough',
    async run(page, context) {
        await page.setViewport({ width: 390, height: 844 });
        await scenario(page, 'demo.json');
        await current(page, context);
        const small = await page.evaluate(() => [...document.querySelectorAll('button, input:not([type=checkbox]):not(.unseen), select, summary')].filter((e) => e.offsetParent !== null && e.id !== 'skip')
            .map((e) => ({ what: e.textContent.slice(0, 30) || e.getAttribute('aria-label') || e.id, height: e.getBoundingClientRect().height })).filter((e) => e.height < 43.9));
        assert.deepEqual(small, []);
    },
}];
