// native.mjs - the program itself on the scenarios, to compare the page with. SPDX-License-Identifier: GPL-3.0-or-later
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const folder = resolve(dirname(fileURLToPath(import.meta.url)), '../../scenarios');

// Every file below scenarios/, by its path there.
const files = Object.fromEntries(readdirSync(folder, { recursive: true }).filter((f) => /\.(json|csv)$/.test(f)).sort().map((f) => [f, readFileSync(join(folder, f), 'utf8')]));

// The cases of scenarios/, and the files that one of them is read with.
export const scenarios = {
    files,
    cases: Object.keys(files).filter((f) => /^[^/]*\.json$/.test(f) && JSON.parse(files[f]).implant !== undefined),
    filesOf(name) {
        const profile = JSON.parse(files[name]).profile;
        return { [name]: files[name], ...(profile ? { [profile]: files[profile] } : {}) };
    },
};

// Runs a command on files in a folder of their own; the same command only once.
export class Native {
    constructor(program) {
        this.program = program;
        this.known = new Map();
        this.folder = mkdtempSync(join(tmpdir(), 'page-'));
    }

    command(words, given) {
        const key = JSON.stringify([words, given]);
        if (!this.known.has(key))
            this.known.set(key, this.run(words, given, join(this.folder, String(this.known.size))));
        return this.known.get(key);
    }

    // As the page answers: exit, out, err, and the files that were written.
    run(words, given, place) {
        for (const [name, text] of Object.entries(given)) {
            mkdirSync(dirname(join(place, name)), { recursive: true });
            writeFileSync(join(place, name), text);
        }
        mkdirSync(place, { recursive: true });
        const done = spawnSync(this.program, words, { cwd: place, encoding: 'utf8', maxBuffer: 1 << 26 });
        const written = readdirSync(place, { recursive: true, withFileTypes: true }).filter((e) => e.isFile()).map((e) => join(e.parentPath ?? e.path, e.name).slice(place.length + 1));
        return { exit: done.status, out: done.stdout, err: done.stderr, files: Object.fromEntries(written.filter((f) => !(f in given)).sort().map((f) => [f, readFileSync(join(place, f), 'utf8')])) };
    }

    end() {
        rmSync(this.folder, { recursive: true, force: true });
    }
}
