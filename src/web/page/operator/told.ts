/* told.ts - what the engine said of a case, taken apart: its sentences (so that numbers are rounded as it rounds them),
 * and beside them, for the drawings, the numbers of its result.
 *
 * Contents: 1. the result  2. sentences  3. together
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Probability } from "../types";
import type { Assumption } from "./facts";
import { placed } from "./places";
import type { Placed } from "./places";

/* 1. The result (docs/schema/result.schema.json), as far as it is drawn */

export interface Alternative {
    name: string;
    burden?: number;
    burden_stated?: boolean;
    event: Probability;
    expected_cost: { value: number } | null;
}

interface SwingEnd {
    value: number;
    probability: number;
    difference: { value: number };
}

/* One assumption moved over its range, all else as taken. */
export interface Swing {
    path: string;
    moved: string; /* of a spread: its middle, its upper end … */
    own: number; /* what is taken */
    low: SwingEnd | null;
    high: SwingEnd | null;
}

export interface Result {
    complete: boolean;
    trials: number;
    patient: { event: Probability };
    decision: {
        action_line: number | null;
        call: string | null;
        settings: { low90: number; high90: number } | null;
        hangs_on: ("settings" | "limits" | "walls")[];
        swings: Swing[];
    };
    alternatives?: Alternative[];
    choice?: { cheapest: string; settled: boolean } | null;
    assumptions: Assumption[];
    warnings: string[];
}

/* 2. Sentences */

/* Paragraphs of a plain text with their lines joined; a paragraph of several items keeps them apart where a line ends one. */
function paragraphs(text: string): string[][] {
    return text.trim().split(/\n\s*\n/).map((block) => {
        const items: string[] = [];
        for (const line of block.split("\n")) {
            const open = items.length > 0 && !/[.:?]$|: (about )?[\d,]+$/.test(items[items.length - 1] ?? "");
            if (open)
                items[items.length - 1] += ` ${line.trim()}`;
            else
                items.push(line.trim());
        }
        return items;
    });
}

const sentences = (items: string[]): string[] =>
    items.join(" ").split(/(?<=[.?])\s+(?=["A-Z])/).filter((x) => x !== "");

export interface Look {
    words: string;
    spares: number;
    turns: string;
}

function look(item: string): Look | null {
    const m = /^(.*): spares ([\d,.]+) of 1,000, turns the call in (.*?)\.?$/.exec(item);
    return m ? { words: m[1] ?? "", spares: Number((m[2] ?? "").replace(/,/g, "")), turns: m[3] ?? "" } : null;
}

/* The last number of "…: 7" and what stands before it. */
export interface Turn {
    words: string;
    then: string;
}

function turn(item: string): Turn {
    const m = /^(.*): ([^:]+)$/.exec(item);
    return m ? { words: m[1] ?? "", then: m[2] ?? "" } : { words: item, then: "" };
}

/* 3. Together */

export interface Told {
    result: Result;
    json: string;
    text: string;
    before: string[]; /* what is asked about before the answer */
    warnings: Placed[]; /* all of them, where the sentences name the first alone */
    opposed: string[]; /* which looks are opposed */
    readBack: string;
    headline: string;
    lead: string[];
    settings: string; /* the sentence of the settings' range */
    stays: string;
    turnsIntro: string;
    turns: Turn[];
    otherLimits: string;
    looks: Look[];
    harm: Map<string, string>; /* per 1,000, by alternative */
    harmWords: string;
}

function harmOf(sentence: string): Map<string, string> {
    const list = /:\s+(.*?)\.?$/.exec(sentence)?.[1] ?? "";
    const found = [...list.matchAll(/(?:"((?:[^"])*)"|(as planned)) ([^,]*(?:,\d{3})*)(?:, |$)/g)];
    return new Map(found.map((m) => [m[1] ?? m[2] ?? "", m[3] ?? ""]));
}

const TURN = /^It would turn if/;
const OTHER = /^By the other published limits/;

function turnsOf(paragraph: string[]): Pick<Told, "turnsIntro" | "turns" | "otherLimits"> {
    const other = paragraph.findIndex((x) => OTHER.test(x));
    const items = paragraph.slice(1, other < 0 ? undefined : other);
    return { turnsIntro: paragraph[0] ?? "", turns: items.filter((x) => /\d$/.test(x)).map(turn),
             otherLimits: other < 0 ? "" : paragraph.slice(other).join(" ") };
}

const NO_TURNS = { turnsIntro: "", turns: [], otherLimits: "" };

function find(list: string[], pattern: RegExp): string {
    return list.find((x) => pattern.test(x)) ?? "";
}

function answerOf(said: string[]): Pick<Told, "headline" | "lead" | "settings" | "stays"> {
    const settings = find(said, /^In 90 of 100 settings/), stays = find(said, /^The call stays/);
    const apart = [settings, stays, find(said, /^By the limits that/), find(said, /^Least and most/)];
    return { headline: said[0] ?? "", lead: said.slice(1).filter((x) => !apart.includes(x)), settings, stays };
}

/* The answer is the paragraph that counts the roots; what stands before it (but for what was read back) is to be read first. */
function parted(all: string[][]): Pick<Told, "before" | "readBack" | "headline" | "lead" | "settings" | "stays"> {
    const read = all.findIndex((p) => /^Read as:/.test(p[0] ?? ""));
    const answer = all.findIndex((p) => /roots read like this/.test(p.join(" ")));
    const before = all.filter((_, i) => i < answer && i !== read).map((p) => p.join(" "));
    return { before, readBack: (all[read] ?? []).join(" "), ...answerOf(sentences(all[answer] ?? [])) };
}

/* The paragraph of the warnings ends in an option of the command line; the result has them all. */
function notWarning(warnings: string[]): (words: string) => boolean {
    const starts = warnings.map((w) => w.slice(0, 40));
    return (words) => !/\d+ more warnings?: --whole/.test(words) && !starts.some((s) => words.replace(/^! /, "").startsWith(s));
}

export function told(text: string, json: string): Told {
    const result = JSON.parse(json) as Result;
    const all = paragraphs(text.replace(/\+-/g, "±")).slice(1), last = all[all.length - 1] ?? [];
    const turns = all.find((p) => TURN.test(p[0] ?? ""));
    const otherAlone = find(all.flatMap((p) => sentences(p)), OTHER);
    const harmWords = find(sentences(last), /^Harm per 1,000/), answer = parted(all);
    return {
        result, json, text, ...answer, before: answer.before.filter(notWarning(result.warnings)), warnings: result.warnings.map(placed),
        opposed: answer.lead.filter((x) => /^Two looks at .* are opposed/.test(x)), ...(turns ? turnsOf(turns) : { ...NO_TURNS, otherLimits: otherAlone }),
        looks: all.flatMap((p) => p.map(look)).filter((l) => l !== null), harmWords, harm: harmOf(harmWords),
    };
}
