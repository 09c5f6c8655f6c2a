// readers.mjs - the room of those who lead the reading: studies, profiles, points, tables and lists of work are the
// program's, faults are named and mended where they stand. SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const study = (context) => context.scenarios.files['readers/study.csv'];
const flat = (text) => text.replace(/\s+/g, ' ').trim();
const seen = (page, what) => page.$$eval(what, (all) => all.map((e) => e.textContent));
const there = (page, context, what, ms = 15000) => context.poll(`${what} is there`, () => page.$(what), ms);

async function press(page, words) {
    const found = await page.evaluate((w) => {
        const button = [...document.querySelectorAll('.room-readers button')].find((b) => b.offsetParent && b.textContent.startsWith(w) && !b.disabled);
        button?.click();
        return !!button;
    }, words);
    assert.ok(found, `no button "${words}"`);
}

// Pastes a file where the task takes it.
async function paste(page, text) {
    await page.evaluate((t) => {
        document.querySelector('.intake details').open = true;
        document.querySelector('.intake textarea').value = t;
    }, text);
    await press(page, 'Take what is written here');
}

const changed = (text, line, to) => text.split('\n').map((x, i) => (i === line - 1 ? to : x)).join('\n');

const sentences = {
    name: 'readers: a study is told in the program\'s sentences, and drawn from its numbers',
    open: { hash: '#readers/study' },
    async run(page, context) {
        await press(page, 'Take the invented study');
        await there(page, context, '.quantity figure');
        const done = context.native.command(['learn', 'study.csv', '--json', 'result.json', '--plain'], { 'study.csv': study(context) }), all = Object.values(JSON.parse(done.files['result.json']).quantities);
        const told = await page.$$eval('.quantity', (qs) => qs.map((q) => [q.querySelector('h2').textContent, ...[...q.querySelectorAll('.pair > div:first-child p')].map((p) => p.textContent)].join(' ')));
        assert.equal(told.length, all.length);
        for (const words of told)
            assert.ok(flat(done.out).includes(words), `the program does not say: ${words}`);
        // Each reader's dot lies where its number says, on the ruler of its figure.
        const drawn = await page.$$eval('.quantity', (qs) => qs.map((q) => {
            const svg = q.querySelector('svg.rows'), ticks = [...svg.querySelectorAll('text.row-tick')].filter((t) => t.textContent !== 'mm').map((t) => [Number(t.textContent.replace('\u2212', '-')), Number(t.getAttribute('x'))]);
            const [[a, xa], [b, xb]] = [ticks[0], ticks[ticks.length - 1]];
            return [...svg.querySelectorAll('.dot')].map((d) => a + (Number(d.getAttribute('cx')) - xa) / (xb - xa) * (b - a));
        }));
        all.forEach((q, i) => Object.values(q.offsets_mm).forEach((o, j) => assert.ok(Math.abs(drawn[i][j] - o.value) < 0.001, `quantity ${i}, reader ${j}: drawn at ${drawn[i][j]}, not ${o.value}`)));
        const numbers = await page.$eval('.quantity', (q) => [...q.querySelectorAll('.numbers td')].map((x) => x.textContent));
        assert.ok(numbers.includes(all[0].one_reading_sd_mm.toFixed(2)), 'the SD of one reading is not in the table');
        await context.shot(page, 'readers-study');
    },
};

const faults = {
    name: 'readers: faults are named by file and line, and corrected where they stand',
    open: { hash: '#readers/study' },
    async run(page, context) {
        await paste(page, changed(changed(study(context), 11, '01,ostium_height,C,x,9.2'), 13, '01;ff'));
        await there(page, context, '.found-faults li');
        const rows = await seen(page, '.found-faults li');
        assert.equal(rows.length, 2);
        assert.match(rows[0], /^pasted\.csv, line 11: repeat "x" is not a whole number/);
        assert.match(rows[1], /^pasted\.csv, line 13: .*01;ff/);
        assert.equal(await page.$('.quantity'), null);
        await press(page, 'Correct it here');
        const marked = await page.$eval('.intake textarea', (a) => a.value.slice(a.selectionStart, a.selectionEnd));
        assert.equal(marked, '01,ostium_height,C,x,9.2');
        await page.$eval('.intake textarea', (a, t) => { a.value = t; }, study(context));
        await press(page, 'Take what is written here');
        await there(page, context, '.quantity');
        assert.equal(await page.$('.found-faults'), null);
    },
};

async function makeProfile(page, context, plane) {
    await page.evaluate((v) => document.querySelector(`.profile input[value=${v}]`).click(), plane);
    await press(page, 'Make the profile');
    await context.poll('the profile or why there is none', () => page.evaluate(() => document.querySelector('.profile .result').childElementCount > 0));
}

const slips = {
    name: 'readers: a slip comes first; no profile with it before it is said to be right',
    open: { hash: '#readers/study' },
    async run(page, context) {
        const text = changed(study(context), 6, '01,ostium_height,C,1,16.9');
        await paste(page, text);
        await there(page, context, '.quantity');
        assert.equal(await page.$eval('.found > *', (e) => e.querySelector('h2').textContent), 'Look first at this reading: typed wrong?');
        assert.match((await seen(page, '.found-faults'))[0], /pasted\.csv, line 6: reader C read the ostium height of case 01 as 16\.9 mm[\s\S]*01,ostium_height,C,1,16\.9/);
        assert.equal(await page.$eval('.profile button.main', (b) => b.disabled), true, 'the plane must be said');
        await makeProfile(page, context, 'replaced');
        assert.equal(await page.$('.profile pre'), null);
        assert.ok(!(await seen(page, '.profile')).join().includes('--'), 'an option of the command line is named');
        await page.evaluate(() => document.querySelector('.profile .tick-line:not([hidden]) input').click());
        await makeProfile(page, context, 'replaced');
        const program = context.native.command(['learn', 'pasted.csv', '--profile', 'site.json', '--plane', 'replaced', '--accept'], { 'pasted.csv': text });
        assert.equal(await page.$eval('.profile pre', (p) => p.textContent), program.files['site.json']);
    },
};

const profile = {
    name: 'readers: a profile is the program\'s, and goes to the open case',
    open: { hash: '#operator' },
    async run(page, context) {
        await page.evaluate(() => { location.hash = '#readers/study'; });
        await there(page, context, '.room-readers .intake');
        await press(page, 'Take the invented study');
        await there(page, context, '.profile');
        await makeProfile(page, context, 'fixed');
        const program = context.native.command(['learn', 'study.csv', '--profile', 'site.json', '--plane', 'fixed'], { 'study.csv': study(context) });
        assert.equal(await page.$eval('.profile pre', (p) => p.textContent), program.files['site.json']);
        await press(page, 'Use this profile with the open case');
        await context.poll('the case is shown', () => page.evaluate(() => location.hash === '#operator'));
        await context.poll('the case names the profile', () => page.evaluate(() => document.querySelector('.room-operator').textContent.includes('site.json')));
    },
};

const points = {
    name: 'readers: picked points become a case, opened for the operator; wrong axes none',
    open: { hash: '#readers/points' },
    async run(page, context) {
        await press(page, 'Take the invented points');
        assert.equal((await page.$$('.files li')).length, 1);
        await press(page, 'Make the case');
        await there(page, context, '.found table');
        const rows = (await seen(page, '.found tbody tr')).join('\n');
        assert.match(rows, /Leftostium gap5\.69 by A/);
        assert.match(rows, /Rightostium height12\.2 by A/);
        assert.ok(!(await seen(page, '.found')).join().includes('slimmargin '), 'a command line is shown');
        await press(page, 'Open it for the operator');
        await context.poll('the case is open', () => page.evaluate(() => location.hash === '#operator' && [...document.querySelectorAll('.room-operator input')].some((i) => i.value.includes('5.69'))));
        await page.evaluate(() => { location.hash = '#readers/points'; });
        await there(page, context, '.room-readers .intake');
        await page.select('.room-readers select', 'ras');
        await press(page, 'Make the case');
        await there(page, context, '.found-faults');
        assert.match((await seen(page, '.found-faults')).join(), /LPS|lps/);
    },
};

const table = {
    name: 'readers: a table becomes cases; a fault in it, none',
    open: { hash: '#readers/table' },
    async run(page, context) {
        await press(page, 'Take the invented table');
        await there(page, context, '.found tbody tr');
        await context.poll('both are counted', async () => (await seen(page, '.found tbody td:nth-child(2)')).every((x) => /\d/.test(x)));
        assert.deepEqual(await seen(page, '.found tbody th'), ['row-1', 'row-2']);
        const [, example] = /```csv\n(case,surgical[\s\S]*?)```/.exec(readFileSync(new URL('../../docs/new.md', import.meta.url), 'utf8'));
        await paste(page, example.replace('external', 'sideways'));
        await there(page, context, '.found-faults li');
        assert.match((await seen(page, '.found-faults li'))[0], /pasted\.csv, line 2: .*sideways/);
        assert.equal(await page.$('.found tbody'), null);
    },
};

const again = {
    name: 'readers: the list of what to look at again is the program\'s, and prints on one page',
    once: true,
    open: { hash: '#readers/again' },
    async run(page, context) {
        await press(page, 'Find out');
        await there(page, context, '.work-sheet', 90000);
        const name = 'demo.json', done = context.native.command(['recheck', name, '--json', 'result.json', '--plain', '--trials', '262144'], context.scenarios.filesOf(name));
        const worth = JSON.parse(done.files['result.json']).worth.filter((x) => Math.round(1000 * x.value.value) >= 1);
        assert.deepEqual(await seen(page, '.to-do b'), worth.map((x) => x.look));
        const rows = await seen(page, '.to-do .small');
        worth.forEach((x, i) => assert.match(rows[i], new RegExp(`^Spares ${Math.round(1000 * x.value.value)} of 1,000;`)));
        for (const words of [(await seen(page, '.work-sheet h2'))[0], ...await seen(page, '.known li')])
            assert.ok(flat(done.out).includes(words), `the program does not say: ${words}`);
        if (context.browser !== 'chromium')
            return;
        const folder = mkdtempSync(join(tmpdir(), 'again-')), file = join(folder, 'a.pdf');
        writeFileSync(file, await page.pdf({ preferCSSPageSize: true, printBackground: true }));
        const info = execFileSync('pdfinfo', [file], { encoding: 'utf8' });
        rmSync(folder, { recursive: true });
        assert.match(info, /Pages:\s+1\n/);
    },
};

const access = {
    name: 'readers: accessible, in the dark and from 360 px to 4K',
    async run(_, context) {
        for (const width of [360, 1280, 3840]) {
            const page = await context.open({ hash: '#readers/study', width, height: 900 });
            if (context.browser === 'chromium')
                await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: width === 1280 ? 'dark' : 'light' }]);
            await press(page, 'Take the invented study');
            await there(page, context, '.profile');
            await page.$$eval('.numbers', (all) => all.forEach((d) => { d.open = true; }));
            for (const hash of ['study', 'points', 'table', 'again']) {
                await page.evaluate((h) => { location.hash = `readers/${h}`; }, hash);
                await context.poll(hash, () => page.evaluate((h) => document.querySelector(`.task-nav a[href="#readers/${h}"]`).getAttribute('aria-current') === 'page', hash));
                const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
                assert.ok(wide <= room, `${hash} at ${width}: ${wide} wide`);
                if (context.whole || width === 360)
                    assert.deepEqual(await context.axe(page), [], `${hash} at ${width}`);
            }
        }
    },
};

export const tests = [sentences, faults, slips, profile, points, table, again, access];
