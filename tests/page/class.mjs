// class.mjs - the room for a class: it asks before it shows, its numbers are the program's, its pictures are to scale, keys
// and remote turn its pages, each lesson prints on one. SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const slide = '.room-class .slide';
const text = (page, what) => page.$eval(what, (e) => e.textContent);
const go = (page, hash) => page.evaluate((h) => { location.hash = h; }, hash);
const head = (page) => text(page, `${slide} h1`);
const counted = (page, context) => context.poll('the slide is counted', () => page.evaluate(() => !!document.querySelector('.room-class .mark-free') && document.querySelector('.room-class .sub').textContent !== 'Counting \u2026'));
const shown = (page, context) => context.poll('the answer is shown', () => page.evaluate(() => /^now /.test(document.querySelector('.room-class .marks-words')?.textContent ?? '')));
const marks = (page, what) => page.$$eval(`.room-class .slide .marks rect.${what}`, (all) => all.length);

// 100 times the share that the program gives for a lesson, with this many trials, as the slides have it.
function program(context, name, ...options) {
    const done = context.native.command(['assess', name, '--trials', '100000', '--json', 'r.json', ...options], { [name]: context.scenarios.files[name] });
    return JSON.parse(done.files['r.json']).patient;
}

async function setSlider(page, words, value) {
    await page.evaluate((w, v) => {
        const label = [...document.querySelectorAll('.room-class label')].find((l) => l.textContent === w), input = document.getElementById(label.htmlFor);
        input.value = String(v);
        input.dispatchEvent(new Event('input', { bubbles: true }));
    }, words, value);
}

const press = async (page, context, key, wanted) => {
    await page.keyboard.press(key);
    await context.poll(`${key} leads to ${wanted}`, () => page.evaluate((w) => decodeURIComponent(location.hash) === w, wanted), 3000);
};

async function pages(page, hash, context) {
    await go(page, hash);
    await context.poll(`the hand-out of ${hash}`, () => page.evaluate(() => !!document.querySelector('.sheet footer')), 60000);
    const folder = mkdtempSync(join(tmpdir(), 'sheet-')), file = join(folder, 'sheet.pdf');
    writeFileSync(file, await page.pdf({ preferCSSPageSize: true, printBackground: true }));
    const info = execFileSync('pdfinfo', [file], { encoding: 'utf8' }), words = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
    rmSync(folder, { recursive: true });
    return { count: Number(/Pages:\s+(\d+)/.exec(info)[1]), a4: /A4/.test(info), words: words.replace(/\s+/g, ' ') };
}

const asks = {
    name: 'class: nothing of the answer is there before the class has guessed',
    open: { hash: '#class/1/1' },
    async run(page, context) {
        await counted(page, context);
        const answer = String(Math.round(100 * program(context, 'lessons/one-reading.json').event.probability));
        assert.match(await head(page), /5\.2 mm/);
        assert.equal(await marks(page, 'mark-cross'), 0);
        assert.ok(!(await text(page, slide)).includes(`${answer} of 100`), 'the answer is told too early');
        assert.equal(await page.$('.room-class .slide .room-band'), null);
        await context.shot(page, 'class-guess', {});
    },
};

const numbers = {
    name: 'class: the numbers, and the ghost, are the program\'s',
    open: { hash: '#class/2/2' },
    async run(page, context) {
        await shown(page, context);
        const { event, event_without_blooming_correction: without } = program(context, 'lessons/blooming.json');
        const [now, ghost] = [event, without].map((e) => Math.round(100 * e.probability));
        assert.equal(await text(page, '.room-class .marks-words'), `now ${now} of 100, dashed: ${ghost} before correctionthe line: 20 of 100`);
        assert.deepEqual([await marks(page, 'mark-cross'), await marks(page, 'mark-ghost')], [now, ghost - now]);
        assert.match(await text(page, '.room-class .sub'), new RegExp(`${ghost - now} fewer of 100`));
        const apart = await page.evaluate(() => document.querySelector('.room-class .line-at').getBoundingClientRect().left - document.querySelector('.room-class .notch').getBoundingClientRect().left);
        assert.ok(Math.abs(apart) < 12, `the line is named ${apart} px from its notch`);
        await context.shot(page, 'class-blooming', {});
    },
};

const sliders = {
    name: 'class: a slider gives what sweep gives, and its picture keeps to scale',
    open: { hash: '#class/2/2' },
    async run(page, context) {
        await shown(page, context);
        const file = 'lessons/blooming.json', swept = context.native.command(['sweep', file, '--vary', 'blooming=0.2:0.4:2', '--trials', '100000', '--json', 's.json'], { [file]: context.scenarios.files[file] });
        for (const { values: [at], event } of JSON.parse(swept.files['s.json']).sweep.points) {
            await setSlider(page, 'blooming, each edge', at);
            await context.poll(`the answer at ${at}`, async () => (await marks(page, 'mark-cross')) === Math.round(100 * event.probability), 8000);
            assert.match(await head(page), new RegExp(`${at.toFixed(2)} mm`));
            // Both dimension lines start at the drawn circle; the ruler has a tick each mm.
            const drawn = await page.evaluate(() => {
                const svg = document.querySelector('.room-class .picture'), x = (l, end) => Number(l.getAttribute(end));
                const read = svg.querySelector('line.dashed'), fixed = svg.querySelector('line.firm-deep'), ticks = [...svg.querySelectorAll('line.rule')].filter((l) => x(l, 'x1') === x(l, 'x2') && x(l, 'y1') > 310).map((l) => x(l, 'x1'));
                return { px: ticks[1] - ticks[0], read: x(read, 'x2') - x(read, 'x1'), fixed: x(fixed, 'x2') - x(fixed, 'x1') };
            });
            assert.ok(Math.abs(drawn.read / drawn.px - 4.9) < 0.01, `the gap is drawn as ${drawn.read / drawn.px} mm`);
            assert.ok(Math.abs(drawn.fixed / drawn.px - 4.9 - at) < 0.01, `corrected it is drawn as ${drawn.fixed / drawn.px} mm`);
        }
    },
};

const mounting = {
    name: 'class: mounted inside and outside as the program has them',
    open: { hash: '#class/4/2' },
    async run(page, context) {
        await shown(page, context);
        const [inside, out] = ['lessons/inside.json', 'lessons/outside.json'].map((f) => Math.round(100 * program(context, f).event.probability));
        assert.equal(await marks(page, 'mark-cross'), out);
        assert.match(await text(page, '.room-class .marks-words'), new RegExp(`now ${out} of 100, dashed: ${inside} `));
        await page.evaluate(() => [...document.querySelectorAll('.room-class .choice')].find((b) => b.textContent === 'inside').click());
        await context.poll('inside', async () => (await marks(page, 'mark-cross')) === inside);
        assert.match(await head(page), /Mounted inside/);
    },
};

const limit = {
    name: 'class: every screw of the last idea turns, the limit too',
    open: { hash: '#class/6/1' },
    async run(page, context) {
        await shown(page, context);
        for (const [words, value] of [['blooming, each edge', 0.7], ['tilt of the plane (SD)', 5], ['spread of the readers', 1.5], ['over-expansion', 0.04], ['the limit at the ostium', 3]]) {
            const before = await page.$eval('.room-class .picture', (e) => e.outerHTML);
            await setSlider(page, words, value);
            await context.poll(`${words} moves the picture`, () => page.$eval('.room-class .picture', (e, b) => e.outerHTML !== b, before), 8000);
        }
        await page.evaluate(() => document.querySelector('.room-class .reset').click());
        const start = JSON.parse(context.scenarios.files['demo.json']);
        delete start.profile;
        const done = context.native.command(['assess', 'c.json', '--trials', '100000', '--json', 'r.json'], { 'c.json': JSON.stringify(start) });
        await context.poll('back to the start', async () => (await marks(page, 'mark-cross')) === Math.round(100 * JSON.parse(done.files['r.json']).patient.event.probability));
    },
};

const keys = {
    name: 'class: keyboard and remote turn the pages, and a slider keeps its arrows',
    open: { hash: '#class' },
    async run(page, context) {
        await context.poll('the list', async () => (await page.$$('.room-class .idea')).length === 6);
        await press(page, context, 'PageDown', '#class/1/1');
        await counted(page, context);
        await press(page, context, ' ', '#class/1/2');
        await shown(page, context);
        await page.focus('.room-class input[type=range]');
        const before = await text(page, '.room-class output');
        await page.keyboard.press('ArrowRight');
        await context.poll('the slider moved', async () => (await text(page, '.room-class output')) !== before);
        assert.equal(await page.evaluate(() => decodeURIComponent(location.hash)), '#class/1/2');
        await press(page, context, 'PageDown', '#class/1/3');
        await press(page, context, 'PageUp', '#class/1/2');
        await press(page, context, 'ArrowLeft', '#class/1/1');
        await press(page, context, 'Escape', '#class');
        const focus = await page.evaluate(() => document.activeElement.className);
        assert.equal(focus, 'slide');
    },
};

const hands = {
    name: 'class: raised hands are counted, and the answer stands among them',
    open: { hash: '#class/1/1' },
    async run(page, context) {
        await counted(page, context);
        const fields = await page.$$('.room-class .ten input');
        assert.equal(fields.length, 10);
        for (const [i, n] of [[0, 3], [1, 7], [2, 5]]) {
            await fields[i].focus();
            await page.keyboard.type(String(n));
        }
        await page.evaluate(() => document.querySelectorAll('.room-class .one-more')[2].click());
        assert.equal(await text(page, '.room-class .hands-said'), '16 hands counted.');
        await press(page, context, 'PageDown', '#class/1/2');
        await shown(page, context);
        assert.equal(await text(page, '.room-class .guessed figcaption'), 'What you guessed: 16 hands, 6 of them at 20\u201330, where the answer lies.');
        const [x, width] = await page.$eval('.room-class .guessed svg', (e) => [Number(e.querySelector('.hand-truth').getAttribute('x1')), e.viewBox.baseVal.width]);
        assert.ok(Math.abs(x / width - program(context, 'lessons/one-reading.json').event.probability) < 1e-6, 'the answer stands elsewhere');
    },
};

const sentences = {
    name: 'class: curves and worths say the program\'s sentences',
    once: true,
    open: { hash: '#class/5/4' },
    async run(page, context) {
        const say = (words, file) => context.native.command([...words, '--trials', '100000', '--quiet', '--plain', '--json', 'r.json'], { 'case.json': JSON.stringify(JSON.parse(context.scenarios.files[file])) }).out.replace(/\s+/g, ' ');
        const waitFor = async (words) => context.poll(words, async () => words.startsWith((await head(page)) || 'nothing'), 60000);
        await waitFor(say(['recheck', 'case.json'], 'lessons/no-use.json'));
        await go(page, '#class/2/3');
        await waitFor(say(['sweep', 'case.json', '--vary', 'blooming=0:0.8:9'], 'lessons/blooming.json'));
        assert.equal((await page.$$('.room-class .curve-dot')).length, 9);
        // A reading is claimed to a tenth; the program's sentence is quoted.
        await go(page, '#class/1/3');
        const exact = /^(.*? read above )(\d+\.\d+) mm\./.exec(say(['sweep', 'case.json', '--vary', 'left.ostium_gap=4:8:9'], 'lessons/one-reading.json'));
        await context.poll('to a tenth', async () => (await head(page)) === `${exact[1]}${Number(exact[2]).toFixed(1)} mm.`, 60000);
        assert.equal(await text(page, '.room-class .right q'), `${exact[0]}`);
        assert.doesNotMatch(await text(page, '.room-class .right'), /\+-/);
    },
};

const sheets = {
    name: 'class: each lesson prints on one page of A4, with answer and caution',
    browsers: ['chromium'],
    async run(page, context) {
        for (let i = 1; i <= 6; i++) {
            const made = await pages(page, `class/${i}/1`, context);
            assert.deepEqual([made.count, made.a4], [1, true], `lesson ${i}`);
            assert.match(made.words, /does not mean that the artery will be obstructed/);
            assert.match(made.words, /\d+ of 100/);
        }
    },
};

async function fits(page, context, hash, width) {
    const seen = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(seen[0] <= seen[1], `${hash} at ${width}: ${seen[0]} wide`);
}

const access = {
    name: 'class: accessible, in the dark and from 360 px to 4K',
    async run(_, context) {
        for (const width of [360, 1280, 3840]) {
            const page = await context.open({ hash: '#class', width, height: width > 2000 ? 2160 : 800 });
            if (context.browser === 'chromium')
                await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: width === 1280 ? 'dark' : 'light' }]);
            assert.deepEqual(await context.axe(page), [], `the list at ${width}`);
            for (const hash of ['class/1/1', 'class/2/2', 'class/3/2', 'class/4/2', 'class/6/1']) {
                await go(page, hash);
                await context.poll(`${hash} is counted`, () => page.evaluate(() => !!document.querySelector('.room-class .picture') && document.querySelector('.room-class .sub').textContent !== 'Counting \u2026'));
                await fits(page, context, hash, width);
                if (context.whole || width === 360)
                    assert.deepEqual(await context.axe(page), [], `${hash} at ${width}`);
            }
            await context.shot(page, `class-${width}`, {});
        }
    },
};

export const tests = [asks, numbers, sliders, mounting, limit, keys, hands, sentences, sheets, access];
