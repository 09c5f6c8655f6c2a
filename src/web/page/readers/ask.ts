/* ask.ts - a command of the program on files in memory, and its words as this page can say them.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Page } from "../room";
import type { CommandAnswer, NamedText } from "../types";

export function command(page: Page, words: string[], files: NamedText[], progress?: (share: number) => void): Promise<CommandAnswer> {
    const named: Record<string, string> = {};
    for (const file of files)
        named[file.name] = file.text;
    const options = progress ? { progress: (p: { share: number }): void => progress(p.share) } : {};
    return page.engine.whole<CommandAnswer>({ do: "command", words, files: named }, options);
}

/* Options of the command line have other names here. */
const HERE: [RegExp, string][] = [
    [/,? or add --accept if it is right/, ", or tick \u201cthese readings are right\u201d"],
    [/ A site profile is written with such readings only with --accept\./, ""],
    [/Add --replace if it shall go all the same/, "Tick \u201creplace the larger study\u201d if it shall go all the same"],
    [/--axes/g, "the question about the axes"], [/--circle/g, "the circle above"], [/--onto/g, "the case it is put onto"],
        [/--reader/g, "the readers' names"],
    [/; nothing was written$/, ""],
];

export function inWords(text: string): string {
    return HERE.reduce((t, [from, to]) => t.replace(from, to), text);
}

/* A text of 80 columns as paragraphs; what tells a terminal's user to type something is left out. */
export function paragraphs(out: string): string[] {
    const parts = out.split(/\n\s*\n/).map((p) => p.replace(/\s+/g, " ").trim());
    return parts.filter((p) => p && !p.startsWith("Now: slimmargin")).map(inWords);
}

export function sentences(text: string): string[] {
    const flat = text.replace(/\s+/g, " ").trim();
    return flat ? flat.split(/(?<=[.!?]) (?=[A-Z])/) : [];
}
