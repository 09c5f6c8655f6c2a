/* study_told.ts - the words of `learn --plain`, taken apart: slips, sentences of each quantity, what the intervals mean.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { inWords, sentences } from "./ask";

export interface Told {
    slips: string[];
    quantities: { title: string; sentences: string[] }[];
    remarks: string[];
}

const HEADING = /^(.+: \d+ cases?, \d+ readers?, \d+ readings?)$/;

function between(lines: string[], from: RegExp, to: RegExp): string {
    const a = lines.findIndex((x) => from.test(x)), rest = a < 0 ? [] : lines.slice(a), b = rest.findIndex((x, i) => i > 0 && to.test(x));
    return rest.slice(0, b < 0 ? rest.length : b).join(" ");
}

/* Each heading stands twice: first with the sentences, later with the tables, which are drawn from the numbers instead. */
function quantities(lines: string[]): Told["quantities"] {
    const seen = new Map<string, string[]>();
    let now: string[] | null = null;
    for (const line of lines) {
        const title = HEADING.exec(line)?.[1];
        if (title && seen.has(title))
            break;
        if (title)
            seen.set(title, now = []);
        else
            now?.push(line);
    }
    return [...seen].map(([title, told]) => ({ title, sentences: sentences(told.join(" ")) }));
}

/* The title ends in a question; a name of a file follows. */
function slipsOf(text: string): string[] {
    const [title, ...rest] = text.split("typed wrong? ");
    return title && rest.length > 0 ? [`${title}typed wrong?`, ...sentences(rest.join("typed wrong? "))] : sentences(text);
}

export function toldOf(out: string): Told {
    const lines = out.split("\n").map((x) => x.trim());
    return { slips: slipsOf(inWords(between(lines, /^Look first at /, HEADING))), quantities: quantities(lines),
             remarks: sentences(between(lines, /^The 95 % intervals of the SDs/, /^Before you act/)).map((x) => x.replace(" (docs/learn.md)", "")) };
}
