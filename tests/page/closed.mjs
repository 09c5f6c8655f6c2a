// closed.mjs - one file that asks for nothing: its policy holds, and nothing stays behind. SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';

export const tests = [{
    name: 'the policy lets nothing out',
    async run(page, context) {
        const outcome = await page.evaluate(async () => {
            const broken = [];
            document.addEventListener('securitypolicyviolation', (e) => broken.push(e.effectiveDirective));
            const asked = await fetch('http://127.0.0.1:9/x').then(() => 'answered', () => 'refused');
            const image = await new Promise((done) => { const i = new Image(); i.onload = () => done('loaded'); i.onerror = () => done('refused'); i.src = 'http://127.0.0.1:9/x.png'; });
            await new Promise((done) => setTimeout(done, 50));
            return { asked, image, broken: [...new Set(broken)].sort() };
        });
        assert.deepEqual(outcome, { asked: 'refused', image: 'refused', broken: ['connect-src', 'img-src'] });
        // The browsers complain of both in the console, as they should.
        for (const { told } of context.opened)
            told.splice(0, told.length, ...told.filter((t) => !/Content[- ]Security[- ]Policy|violates the following|fetch API cannot load|request: http:\/\/127\.0\.0\.1:9\/x/i.test(t)));
    },
}, {
    name: 'nothing is kept in the browser',
    async run(page, context) {
        await context.command(page, ['check', 'demo.json'], context.scenarios.filesOf('demo.json'));
        const kept = await page.evaluate(async () => ({
            local: localStorage.length, session: sessionStorage.length, cookie: document.cookie,
            databases: indexedDB.databases ? (await indexedDB.databases().catch(() => [])).length : 0,
        }));
        assert.deepEqual(kept, { local: 0, session: 0, cookie: '', databases: 0 });
    },
}, {
    name: 'it opens, says what it is, and what carries the licences is there',
    async run(page, context) {
        const text = await page.evaluate(() => document.body.innerText);
        assert.match(text, /Not a medical device/);
        assert.match(text, /heart team/);
        assert.match(await page.evaluate(() => document.getElementById('licences').textContent), /GNU GENERAL PUBLIC LICENSE[\s\S]*Version 3/);
        await context.shot(page, 'first');
    },
}];
