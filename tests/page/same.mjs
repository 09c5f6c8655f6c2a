// same.mjs - the page gives what the program gives, to the byte: everything printed and every file written.
// SPDX-License-Identifier: GPL-3.0-or-later
import assert from 'node:assert/strict';
import { scenarios } from './native.mjs';

const trials = '50000';

// Where two texts part: the line of each.
function parting(page, program) {
    const a = page.split('\n'), b = program.split('\n'), at = a.findIndex((line, i) => line !== b[i]);
    const n = at < 0 ? a.length : at;
    return `line ${n + 1}\n  page:    ${a[n]?.slice(0, 300)}\n  program: ${b[n]?.slice(0, 300)}`;
}

function compare(page, program) {
    assert.equal(page.exit, program.exit, `exit ${page.exit}, not ${program.exit}: ${page.err}`);
    assert.deepEqual(Object.keys(page.files).sort(), Object.keys(program.files).sort(), 'the files written');
    for (const [name, mine, theirs] of [['out', page.out, program.out], ['err', page.err, program.err], ...Object.keys(page.files).map((f) => [f, page.files[f], program.files[f]])])
        assert.ok(mine === theirs, `${name} differs at ${parting(mine, theirs)}`);
}

async function both(page, context, words, files) {
    const [mine, theirs] = [await context.command(page, words, files), context.native.command(words, files)];
    assert.equal(theirs.exit !== null, true, 'the program ran');
    compare(mine, theirs);
    return theirs;
}

const reportWords = (name) => ['report', name, '-o', 'report.html', '--json', 'report.json', '--figures', 'figures', '--trials', trials];

// Both browsers run the same bytes: the second one is held to those that between them use every part of the engine.
const inBoth = ['demo.json', 'three-bridges.json', 'two-witnesses.json'];
const reports = scenarios.cases.map((name) => ({
    name: `the report of ${name} is the program's`,
    once: !inBoth.includes(name),
    async run(page, context) {
        const done = await both(page, context, reportWords(name), scenarios.filesOf(name));
        assert.ok(JSON.parse(done.files['report.json']).trials >= 1, 'a result');
        assert.ok(done.files['report.html'].length > 10000, 'a report');
    },
}));

// Where a browser has no vectors: the other build. The page asks validate which of the two it may take.
const scalar = {
    name: 'without SIMD the same',
    open: { before: () => { WebAssembly.validate = () => false; } },
    run: (page, context) => both(page, context, reportWords('demo.json'), scenarios.filesOf('demo.json')),
};

const study = 'readers/study.csv';
const commands = [
    ['assess', ['assess', 'demo.json'], 'demo.json'], ['assess, sharp points', ['assess', 'demo.json', '--points', 'sharp', '--json', 'a.json'], 'demo.json'],
    ['recheck', ['recheck', 'look-first.json', '--trials', trials, '--json', 'r.json'], 'look-first.json'], ['weigh', ['weigh', 'narrow-gate.json', '--trials', trials, '--json', 'w.json'], 'narrow-gate.json'],
    ['sweep', ['sweep', 'demo.json', '--vary', 'blooming=0.2:0.8', '--trials', trials, '--csv', 's.csv'], 'demo.json'], ['check', ['check', 'slack-tide.json'], 'slack-tide.json'],
    ['defaults', ['defaults', 'demo.json'], 'demo.json'], ['a case that is not there', ['assess', 'nowhere.json'], 'demo.json'], ['a wrong option', ['assess', '--sideways'], 'demo.json'],
].map(([name, words, file]) => ({ name: `command: ${name}`, run: (page, context) => both(page, context, words, scenarios.filesOf(file)) }));
commands.push({ name: 'command: learn', run: (page, context) => both(page, context, ['learn', study, '--json', 'study.json'], { [study]: scenarios.files[study] }) },
              { name: 'command: selfcheck', run: (page, context) => both(page, context, ['selfcheck'], {}) });

// A number of trials that no 32 bits hold, refused as by the program; and one that they just do not.
commands.push({ name: 'command: trials beyond 32 bits', run: async (page, context) => {
    const files = scenarios.filesOf('demo.json');
    const wrong = await both(page, context, ['assess', 'demo.json', '--trials', '4294967297000000'], files);
    assert.notEqual(wrong.exit, 0);
} });

export const tests = [...reports, scalar, ...commands];
