// panels.mjs - what stands beside and at the form says what it means, in the words of the form; nothing that the strip says is lost
// on a low screen. SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';

// 1. Hands and eyes

const text = (page, selector) => page.evaluate((s) => document.querySelector(s)?.textContent ?? '', selector);
const standing = (page) => text(page, '.strip .standing');
const at = (pointer) => `[data-pointer="${pointer}"]`;
const notes = (page, pointer) => text(page, `${at(pointer)} .notes`);
const scenario = (page, name) => page.select('.case-menu select', name);
const current = (page, context) => context.poll('the answer is current', async () => /^(Current|Of 65,536 roots)/.test(await standing(page)), 120000);
const panel = (page, title) => page.evaluate((t) => [...document.querySelectorAll('.panel')].find((p) => p.querySelector('h2')?.textContent === t)?.innerText ?? '', title);
const caseOf = async (page) => JSON.parse(await page.evaluate(() => {
    const view = document.querySelector('.text-view');
    view.open = true;
    return new Promise((done) => setTimeout(() => done(view.querySelector('textarea').value), 60));
}));

const press = (page, words, within = 'body') => page.evaluate((w, inside) => {
    const found = [...document.querySelectorAll(`${inside} button`)].find((b) => b.textContent.trim() === w && b.offsetParent !== null);
    if (!found)
        throw new Error(`no button "${w}"`);
    found.click();
}, words, within);

async function enter(page, pointer, words) {
    const field = await page.$(`${at(pointer)} > input`);
    await field.focus();
    await field.evaluate((e) => e.select());
    await page.keyboard.press('Backspace');
    await page.keyboard.type(words);
}

async function paste(page, value) {
    await press(page, 'paste');
    await page.evaluate((t) => { document.querySelector('.paste textarea').value = t; }, JSON.stringify(value));
    await press(page, 'use it');
}

// A scenario without its profile, changed.
function changed(context, name, change) {
    const value = JSON.parse(context.scenarios.files[name]);
    delete value.profile;
    change(value);
    return value;
}

const decision = (context, value, trials) => JSON.parse(context.native.command(['assess', 'c.json', '--trials', String(trials), '--json', 'r.json'], { 'c.json': JSON.stringify(value) }).files['r.json']).decision;

// 2. The tests

const inSight = (page, selector) => page.evaluate((s) => {
    const e = document.querySelector(s), box = e.getBoundingClientRect();
    return e.textContent !== '' && box.height > 8 && box.bottom <= innerHeight + scrollY && getComputedStyle(e).visibility === 'visible';
}, selector);

export const tests = [{
    name: 'panels: on a low screen the caution and the range of settings stay, and the strip leaves room',
    open: { width: 640, height: 450 },
    async run(page, context) {
        await scenario(page, 'demo.json');
        await current(page, context);
        assert.ok(await inSight(page, '.strip .lead b'), 'the caution is not in sight');
        assert.match(await text(page, '.strip .lead b'), /does not mean that the artery will be obstructed/);
        assert.ok(await inSight(page, '.strip .range'), 'the range is not in sight');
        assert.match(await text(page, '.strip .range'), /In 90 of 100 settings/);
        await context.shot(page, 'panels-640-450', {});
        await page.evaluate(() => document.querySelector('.form').scrollIntoView());
        assert.ok(await page.evaluate(() => document.querySelector('.strip').getBoundingClientRect().bottom < innerHeight / 2), 'the strip covers half of a low screen');
    },
}, {
    name: 'panels: on a phone strip and menu leave the first field in sight, and no button stands alone',
    open: { width: 390, height: 800 },
    async run(page, context) {
        await scenario(page, 'demo.json');
        await current(page, context);
        const seen = await page.evaluate(() => {
            const box = (e) => e.getBoundingClientRect(), tops = [...document.querySelectorAll('.case-menu button')].filter((b) => b.offsetParent !== null).map((b) => Math.round(box(b).top));
            return { above: box(document.querySelector('.strip')).height + box(document.querySelector('.case-menu')).height, tops };
        });
        await context.shot(page, 'panels-390', {});
        assert.ok(seen.above <= 420, `strip and menu take ${seen.above} px`);
        for (const top of seen.tops)
            assert.ok(seen.tops.filter((t) => Math.abs(t - top) < 9).length > 1, `a button stands alone: ${seen.tops.join()}`);
    },
}, {
    name: 'panels: without a line no call can turn, and the largest swing is named',
    once: true,
    async run(page, context) {
        const value = changed(context, 'demo.json', (v) => { delete v.action_line; });
        await paste(page, value);
        await context.poll('the whole answer', async () => /^Current/.test(await standing(page)), 120000);
        const words = await panel(page, 'It hangs on');
        assert.match(words, /Without a line of yours no call can turn/);
        assert.doesNotMatch(words, /known to turn the call/);
        const moves = (x) => Math.max(...[x.low, x.high].map((e) => Math.abs(e?.difference.value ?? 0)));
        const most = decision(context, value, 1000000).swings.sort((a, b) => moves(b) - moves(a))[0], ends = [most.low, most.high].filter((x) => x !== null);
        assert.ok(words.includes(`${ends.map((x) => Math.round(100 * x.probability)).join(' to ')} of 100`), words);
        assert.ok(words.includes(`at ${ends.map((x) => x.value).join(' to ')}`), words);
    },
}, {
    name: 'panels: what a call hangs on is named as in the strip: opposed looks, judged values together',
    once: true,
    async run(page, context) {
        await scenario(page, 'two-witnesses.json');
        await current(page, context);
        assert.match(await text(page, '#call'), /^Open, two looks are opposed/);
        assert.match(await panel(page, 'It hangs on'), /Two looks at the left gap .* are opposed: CT says 4\.5 mm.*fluoroscopy says 9\.7 mm/);
        await scenario(page, 'demo.json');
        await context.poll('the demo', async () => /the judged values together and the limit/.test(await text(page, '#call')), 120000);
        await current(page, context);
        const range = /In 90 of 100 settings of the judged values: (\d+ to \d+ of 100)/.exec(await text(page, '.strip .range'))[1], words = await panel(page, 'It hangs on');
        assert.match(words, /The judged values together/);
        assert.ok(words.includes(range), words);
        assert.match(words, /Limit: clearance/);
        assert.match(await text(page, '.strip .range'), /\(±\d+\)/);
        assert.doesNotMatch(await page.evaluate(() => document.body.innerText), /\+-/);
    },
}, {
    name: 'panels: places are told as the form labels them, warnings one by one',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        await enter(page, '/surgical_valve/ring_height_mm', 'high');
        await context.poll('it is to be mended', async () => /To be mended/.test(await text(page, '.needs')));
        assert.match(await text(page, '.needs'), /To be mended: Top of the ring above the base/);
        assert.match(await standing(page), /^Top of the ring above the base: /);
        await paste(page, changed(context, 'demo.json', (v) => { v.coronaries.left.ostium_height = 'low'; }));
        await context.poll('it is named with its side', async () => /^Ostium height, left: /.test(await standing(page)));
        const bare = changed(context, 'demo.json', (v) => {
            for (const side of ['left', 'right'])
                delete v.coronaries[side].azimuth_deg;
        });
        await paste(page, bare);
        await current(page, context);
        const warned = JSON.parse(context.native.command(['assess', 'c.json', '--trials', '4096', '--json', 'r.json'], { 'c.json': JSON.stringify(bare) }).files['r.json']).warnings;
        assert.ok(warned.length > 1);
        const shown = () => page.evaluate(() => [...document.querySelectorAll('.warnings li')].map((e) => e.textContent));
        assert.match((await shown())[0], /^Direction, from above, left: is not stated .* state it$/);
        await press(page, warned.length === 2 ? '1 more warning' : `${warned.length - 1} more warnings`, '.warnings');
        assert.equal((await shown()).length, warned.length);
        assert.doesNotMatch(await page.evaluate(() => document.body.innerText), /--whole|\/coronaries|azimuth_deg/);
        await press(page, '⋯', at('/coronaries/left/ostium_gap'));
        assert.match(await text(page, `${at('/coronaries/left/ostium_gap')} .meaning`), /State “Bright edges: bright wall: reads short” if it ends on/);
    },
}, {
    name: 'panels: a comma, and a blank between readings, are offered mended',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        const gap = '/coronaries/left/ostium_gap', height = '/coronaries/left/ostium_height', offered = (pointer, words) => context.poll(`${words} is offered`, async () => (await notes(page, pointer)).includes(`make it ${words}`));
        await enter(page, '/implant/implant_depth_mm', '4,5 +- 1,2');
        await offered('/implant/implant_depth_mm', '4.5 +- 1.2');
        await press(page, 'make it 4.5 +- 1.2');
        assert.deepEqual((await caseOf(page)).implant.implant_depth_mm, { normal: { mean: 4.5, sd: 1.2 } });
        await enter(page, '/implant/nominal_diameter_mm', '24,5');
        await offered('/implant/nominal_diameter_mm', '24.5');
        await press(page, 'make it 24.5');
        assert.equal((await caseOf(page)).implant.nominal_diameter_mm, 24.5);
        await enter(page, gap, '4.2 4,6');
        await offered(gap, '4.2; 4.6');
        await offered(gap, 'A: 4.2; B: 4.6');
        await press(page, 'make it A: 4.2; B: 4.6');
        assert.deepEqual((await caseOf(page)).coronaries.left.ostium_gap.readings_mm, { A: [4.2], B: [4.6] });
        await enter(page, height, 'about 9');
        await context.poll('it is refused', async () => /To mend/.test(await notes(page, height)));
        assert.doesNotMatch(await notes(page, height), /make it/);
    },
}, {
    name: 'panels: a fresh alternative leaves the answer, says that it is not weighed, and is weighed once it does something',
    once: true,
    async run(page, context) {
        await scenario(page, 'demo.json');
        await current(page, context);
        const call = await text(page, '#call'), note = () => page.evaluate(() => [...document.querySelectorAll('.card .note')].filter((n) => !n.hidden && /Not weighed yet/.test(n.textContent)).length);
        await press(page, 'add an alternative');
        assert.equal(await note(), 1);
        await new Promise((done) => setTimeout(done, 400));
        await current(page, context);
        assert.equal(await text(page, '#call'), call);
        const value = await caseOf(page);
        assert.deepEqual(value.alternatives.at(-1), { name: `alternative ${value.alternatives.length}` });
        // One before the others: what is found stands at the right one.
        value.alternatives.unshift(value.alternatives.pop());
        value.alternatives[2].burden = 'much';
        delete value.profile;
        await paste(page, value);
        await context.poll('the third is to be mended', async () => /^Harm of doing it, alternative 3: /.test(await standing(page)));
        assert.match(await notes(page, '/alternatives/2/burden'), /To mend/);
        value.alternatives[2].burden = 0.1;
        value.alternatives[0].implant = { implant_depth_mm: 6 };
        value.alternatives[0].burden = 0.02;
        await paste(page, value);
        await current(page, context);
        assert.equal(await note(), 0);
        assert.match(await panel(page, 'What might be done instead'), /Alternative 4/);
    },
}, {
    name: 'panels: a case name that is refused is offered mended, and no patient is named',
    once: true,
    async run(page, context) {
        await scenario(page, 'meadow.json');
        await enter(page, '/case', 'J\u00fcrg "Lake" 7');
        await context.poll('a mend', async () => /make it Jurg-Lake-7/.test(await notes(page, '/case')));
        assert.match(await notes(page, '/case'), /Never a patient's name/);
        await press(page, 'make it Jurg-Lake-7');
        await current(page, context);
        assert.equal((await caseOf(page)).case, 'Jurg-Lake-7');
    },
}, {
    name: 'panels: characters that turn the writing are shown, and names do not run across the drawing',
    async run(page, context) {
        await paste(page, changed(context, 'meadow.json', (v) => {
            v.case = 'a\u202egpj';
            v['\u202eedoc'] = 1;
            v.coronaries.left.ostium_gap = { readings_mm: { 'a-reader-with-a-very-long-name-indeed': [4.2], B: [4.6] } };
        }));
        await context.poll('it is refused', async () => /^No answer/.test(await text(page, '#call')));
        assert.equal(await page.evaluate(() => document.querySelector('.case-menu b bdi').textContent), 'a⟨202E⟩gpj');
        const raw = await page.evaluate(() => [...document.querySelectorAll('.strip, .case-menu, .needs, .left-over label, .entered, .note')].filter((e) => e.textContent.includes('\u202e')).map((e) => e.className));
        assert.deepEqual(raw, []);
        const drawn = await page.evaluate(() => [...document.querySelectorAll('.entered text.strong')].map((e) => e.textContent));
        assert.ok(drawn.includes('4.2; 4.6'), drawn.join());
        assert.ok(drawn.every((w) => w.length <= 16), drawn.join());
    },
}];
