/* mends.ts - the likely mend of a number that is unusual, from the slip that the engine names. It is offered, never made
 * unasked.
 *
 * Contents: 1. one number  2. exchanged numbers  3. of a slip
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Json, JsonObject, Unusual } from "../types";
import type { CaseDoc } from "./case_doc";
import { get, isObject, set } from "./pointer";

export interface Mend {
    words: string;
    make(): void;
}

/* 1. One number */

const FACTORS: [RegExp, (x: number) => number][] = [
    [/in centimetres/, (x) => x * 10], [/a decimal point left out/, (x) => x / 10], [/a digit too many\?/, (x) => x - 10],
];

/* Each number of a value that is the one asked about. */
function replaced(value: Json, from: number, to: number): Json {
    if (value === from)
        return to;
    if (Array.isArray(value))
        return value.map((v) => replaced(v, from, to));
    return isObject(value) ? Object.fromEntries(Object.entries(value).map(([k, v]) => [k, replaced(v, from, to)])) : value;
}

function oneNumber(doc: CaseDoc, u: Unusual): Mend[] {
    const factor = FACTORS.find(([slip]) => slip.test(u.slip))?.[1], value = doc.get(u.at);
    if (!factor || value === undefined)
        return [];
    const to = Number(factor(u.value).toPrecision(10)), mended = replaced(value, u.value, to);
    if (JSON.stringify(mended) === JSON.stringify(value))
        return [];
    return [{ words: `make it ${to}`, make: () => doc.set(u.at, mended, "mend") }];
}

/* 2. Exchanged numbers */

function exchange(object: JsonObject, a: string, b: string): void {
    const x = get(object, a), y = get(object, b);
    if (x === undefined || y === undefined)
        return;
    set(object, a, structuredClone(y));
    set(object, b, structuredClone(x));
}

function exchanged(doc: CaseDoc, words: string, pairs: [string, string][]): Mend[] {
    const known = pairs.every((p) => p.every((at) => doc.get(at) !== undefined));
    return known ? [{ words, make: () => doc.edit((object) => pairs.forEach(([a, b]) => exchange(object, a, b)), "mend") }] : [];
}

function exchanges(doc: CaseDoc, u: Unusual): Mend[] {
    const m = /^(\/coronaries\/[^/]+)\/(ostium|stj)_/.exec(u.at), side = m?.[1] ?? "", landmark = m?.[2] ?? "";
    if (/^height and gap exchanged/.test(u.slip) && m)
        return exchanged(doc, "exchange height and gap", [[`${side}/${landmark}_height`, `${side}/${landmark}_gap`]]);
    if (/ostium and STJ exchanged/.test(u.slip) && m)
        return exchanged(doc, "exchange ostium and junction", [[`${side}/ostium_height`, `${side}/stj_height`], [`${side}/ostium_gap`, `${side}/stj_gap`]]);
    if (/left and right exchanged/.test(u.slip))
        return exchanged(doc, "exchange left and right", [["/coronaries/left", "/coronaries/right"]]);
    return [];
}

/* 3. Of a slip */

export function mendsOf(doc: CaseDoc, u: Unusual): Mend[] {
    return [...oneNumber(doc, u), ...exchanges(doc, u)];
}

/* As the program asks: "Left, ostium height: 1.3 mm; usual are 2.5 to 20. In centimetres?" */
export function question(u: Unusual): string {
    const up = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);
    const number = (x: number): string => (String(x).length <= 7 ? String(x) : String(Number(x.toPrecision(4))));
    return `${up(u.what)}: ${number(u.value)}${u.unit ? ` ${u.unit}` : ""}; usual are ${u.usual.map(number).join(" to ")}. ${up(u.slip)}`;
}
