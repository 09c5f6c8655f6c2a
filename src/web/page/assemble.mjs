// assemble.mjs - one HTML file of the page's scripts and styles, the engine in both builds, the scenarios and the licences.
// Usage: node assemble.mjs BUILD_FOLDER OUT.html      The slots that it fills are those of page.html.
// SPDX-License-Identifier: GPL-3.0-or-later
import { existsSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { buildSync } from 'esbuild';

const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, '../../..');
const [build, out] = process.argv.slice(2).map((p) => resolve(p));
const read = (...path) => readFileSync(join(...path), 'utf8');
const below = (folder, pattern) => readdirSync(folder, { recursive: true }).filter((f) => !f.includes('node_modules') && pattern.test(f)).sort();

// 1. Scripts and styles

function bundled(file) {
    const made = buildSync({ entryPoints: [join(here, file)], bundle: true, write: false, minify: true, format: 'iife', target: 'es2022', charset: 'utf8', legalComments: 'none' });
    return made.outputFiles[0].text.trim();
}

// What all rooms share comes first.
function styles() {
    const files = ['style.css', ...below(here, /\/.*\.css$/)];
    return buildSync({ stdin: { contents: files.map((f) => read(here, f)).join('\n'), loader: 'css' }, write: false, minify: true, charset: 'utf8' }).outputFiles[0].text.trim();
}

// 2. Data

const packed = (file) => gzipSync(readFileSync(join(build, file)), { level: 9 }).toString('base64');

// Invented cases, the lessons and a reader study, each by its path below scenarios/.
function scenarios() {
    const folder = join(root, 'scenarios');
    return below(folder, /\.(json|csv)$/).map((name) => ({ name: name.replaceAll('\\', '/'), text: read(folder, name) }));
}

const foreign = [['GSL', 'libgsl-dev'], ['cJSON', 'libcjson-dev'], ['SHA-256 of nettle', 'nettle-dev'], ['Random123', 'librandom123-dev'], ['C library', 'wasi-libc'],
                 ['Arithmetic of the compiler', 'libclang-rt-dev-wasm32']];

function licences() {
    const notices = foreign.map(([what, name]) => {
        const file = `/usr/share/doc/${name}/copyright`;
        if (!existsSync(file))
            throw new Error(`the licence of ${name} is not there: ${file}`);
        return `== ${what} (Debian package ${name}) ==\n\n${read(file)}`;
    });
    return ['slimmargin is free software under the GNU General Public License, version 3 or later; its text stands last. The engine in this file was',
            'compiled from slimmargin and, in parts, from the following. Their sources are Debian\'s source packages; slimmargin\'s .ci/sources fetches them.\n',
            ...notices, '== GNU General Public License ==\n', read(root, 'LICENSE')].join('\n');
}

// 3. The file

// A script ends at the first "</script", and "<!--" changes how a browser looks for it.
function inScript(words, text) {
    if (/<\/script|<!--/i.test(text))
        throw new Error(`${words} holds "</script" or "<!--", which would end it early`);
    return text;
}

const block = (id, type, text) => `<script type="${type}" id="${id}">${inScript(id, text)}</script>`;

function fill(page, slot, text) {
    const parts = page.split(slot);
    if (parts.length !== 2)
        throw new Error(`page.html has ${parts.length - 1} times ${slot}, not once`);
    return parts.join(text);
}

const data = [block('wasm-simd', 'text/plain', packed('simd.wasm')), block('wasm-scalar', 'text/plain', packed('scalar.wasm')), block('worker-code', 'text/plain', bundled('worker.ts')),
              block('scenarios', 'application/json', JSON.stringify(scenarios()).replaceAll('<', '\\u003c')),
              block('licences', 'text/plain', licences().replaceAll('</script', '< /script'))];
let page = read(here, 'page.html');
page = fill(page, '/*@style*/', styles());
page = fill(page, '/*@script*/', inScript('main.ts', bundled('main.ts')));
page = fill(page, '<!--@data-->', data.join('\n'));
page = fill(page, '<head>', '<head>\n<!-- slimmargin, GPL-3.0-or-later; with parts of GSL (GPL), cJSON (MIT), nettle (LGPL), Random123 (BSD) and a C library (MIT): see "licences" below. -->');
writeFileSync(out, page);
console.log(`  ${out.slice(root.length + 1)}: ${(Buffer.byteLength(page) / 1e6).toFixed(2)} MB (engine ${data.slice(0, 2).map((d) => `${(d.length / 1e6).toFixed(2)} MB`).join(' with SIMD, ')} without). Open it in a browser.`);
