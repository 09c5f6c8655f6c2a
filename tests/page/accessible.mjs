// accessible.mjs - axe-core on a page. SPDX-License-Identifier: GPL-3.0-or-later
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

// The faults as words, one a rule; [] if there is none. What: a selector, or nothing for the whole page.
export async function axe(page, what) {
    await page.evaluate(source);
    const result = await page.evaluate((w) => window.axe.run(w ?? document, { resultTypes: ['violations'] }), what ?? null);
    return result.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.target.join(' ')).slice(0, 4).join(', ')}`);
}
