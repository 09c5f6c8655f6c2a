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
    name: 'panels: without a line no call can turn, and the largest swing is named',
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
}];
