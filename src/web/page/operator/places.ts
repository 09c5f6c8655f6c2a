/* places.ts - a place of the case in the words of the form: "/coronaries/left/ostium_height" is "Ostium height, left".
 *
 * Contents: 1. fields and groups  2. a place  3. sentences of the engine that name keys
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Field } from "./fields";
import { READING_PARTS, SECTIONS, sinusFields } from "./fields";
import { parts } from "./pointer";
import { capital } from "./words";

/* 1. Fields and groups */

const GROUPS: Record<string, string> = {
    case: "Name of the case", note: "Note", profile: "Site profile", confirmed: "What was said to be right", format: "Format of the file",
    surgical_valve: "The old valve", implant: "The new valve", coronaries: "The coronaries", scan: "The scan", limits: "The limits",
    alternatives: "What might be done instead", looks: "Looks that could still be made", base_plane: "Base plane", population: "Gaps among patients",
};
const INNER: Record<string, string> = {
    cross_check: "second look", bloom_edges: "bright edges", name: "name", burden: "harm of doing it", readings_mm: "readings", lacerate: "lacerate", rescue: "rescue",
};
const LISTS: Record<string, string> = { alternatives: "alternative", looks: "look" };

const PLAIN: Field[] = SECTIONS.flatMap((s) => s.fields);

/* 2. A place */

/* What stands inside a field, or what the form does not know: a key in quotes. */
function inner(key: string): string {
    return READING_PARTS.find((f) => f.pointer === key)?.label ?? INNER[key] ?? GROUPS[key] ?? `“${key}”`;
}

/* The field at a pointer or around it, and the keys that are left. */
function around(pointer: string, fields: Field[]): [Field | undefined, string[]] {
    const field = fields.filter((f) => pointer === f.pointer || pointer.startsWith(`${f.pointer}/`))
        .sort((a, b) => b.pointer.length - a.pointer.length)[0];
    return [field, parts(pointer.slice(field?.pointer.length ?? 0))];
}

function inList(list: string, index: string, rest: string[]): string {
    const which = `${LISTS[list]} ${Number(index) + 1}`, inside = rest.length ? labelOf(`/${rest.join("/")}`) : "";
    return inside ? `${capital(inside)}, ${which}` : capital(which);
}

function inSinus(pointer: string, side: string, rest: string[]): string {
    if (!rest.length)
        return `${capital(side)} coronary`;
    const [field, left] = around(pointer, sinusFields(side, true));
    return [field?.label, ...(field ? left : rest).map(inner)].filter((x) => x !== undefined).join(", ") + `, ${side}`;
}

/* As the form labels it; "" is the case. */
export function labelOf(pointer: string): string {
    const [first, second, ...rest] = parts(pointer);
    if (first === undefined)
        return "The case";
    if (LISTS[first] !== undefined && second !== undefined)
        return inList(first, second, rest);
    if (first === "coronaries" && second !== undefined)
        return inSinus(pointer, second, rest);
    const [field, left] = around(pointer, PLAIN);
    return capital([field?.label, ...left.map(inner)].filter((x) => x !== undefined).join(", "));
}

/* 3. Sentences of the engine that name keys */

const EDGES: Record<string, string> = { "0": "no bright edge", "-1": "bright wall: reads short", "1": "1 edge, reads long" };

/* "State bloom_edges -1 if …" names what the form calls "Bright edges"; "+-" is how a terminal writes ±. */
export function inWordsOfTheForm(sentence: string): string {
    return sentence.replace(/\bbloom_edges (-?\d)\b/g, (_, n: string) => `“Bright edges: ${EDGES[n] ?? n}”`).replace(/\bbloom_edges\b/g, "“Bright edges”")
        .replace(/\+-/g, "±");
}

export interface Placed {
    pointer: string;
    label: string;
    words: string;
}

/* A warning that begins with its place, and there perhaps with the key that is meant, told in labels. */
export function placed(warning: string): Placed {
    const [, at = "", said = warning] = /^(\/[^\s:]*): ([^]*)$/.exec(warning) ?? [], [, key, rest] = /^([a-z_]+) (is not stated[^]*)$/.exec(said) ?? [];
    const pointer = key === undefined ? at : `${at}/${key}`;
    return { pointer, label: pointer ? labelOf(pointer) : "", words: inWordsOfTheForm(rest ?? said) };
}
