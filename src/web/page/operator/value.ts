/* value.ts - a value of a case as it is typed and shown: "5.7", "4 ± 1", "3 to 5 likely 4", "A: 9.1; 9.4; B: 9.9".
 *
 * What cannot be understood stays as the text that was typed: the engine then says at that place what it expects.
 *
 * Contents: 1. shown  2. typed  3. what was likely meant  4. the middle of it, to draw
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Json, JsonObject } from "../types";
import { isObject } from "./pointer";

export type Kind = "number" | "spread" | "reading" | "readings" | "names" | "word" | "text" | "truth";

/* 1. Shown */

function family(value: JsonObject): [string, JsonObject] | null {
    const [name, of] = Object.entries(value).find(([key]) => key !== "cross_check") ?? [];
    return name !== undefined && isObject(of) ? [name, of] : null;
}

const FAMILIES: Record<string, (d: JsonObject) => string> = {
    constant: (d) => `${d["value"]}`,
    normal: (d) => `${d["mean"]} ± ${d["sd"]}`,
    uniform: (d) => `${d["min"]} to ${d["max"]}`,
    triangular: (d) => `${d["min"]} to ${d["max"]} likely ${d["mode"]}`,
};

function readingsShown(readings: Json | undefined): string | null {
    if (!isObject(readings))
        return null;
    const readers = Object.entries(readings);
    const listed = ([name, list]: [string, Json]): string =>
        (readers.length === 1 && name === "A" ? "" : `${name}: `) + (Array.isArray(list) ? list.join("; ") : String(list));
    return readers.map(listed).join("; ");
}

/* Other families and what the page does not know, as compact JSON. */
export function shown(value: Json | undefined): string {
    if (value === undefined || value === null)
        return "";
    if (Array.isArray(value) && value.every((x) => typeof x === "string"))
        return value.join("; ");
    if (!isObject(value))
        return typeof value === "object" ? JSON.stringify(value) : String(value);
    if ("value" in value && "measured" in value)
        return shown(value["value"]);
    const bare = Object.values(value).every((x) => Array.isArray(x)) && Object.keys(value).length > 0;
    const readings = readingsShown(bare ? value : value["readings_mm"]);
    if (readings !== null)
        return readings;
    const [name, of] = family(value) ?? ["", {}];
    return FAMILIES[name]?.(of) ?? JSON.stringify(value);
}

/* 2. Typed */

const NUMBER = "[-+\u2212]?(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][-+]?\\d+)?";
const only = (pattern: string): RegExp => new RegExp(`^\\s*${pattern}\\s*$`);
const ONE = only(`(${NUMBER})`);
const NORMAL = only(`(${NUMBER})\\s*(?:\\+-|\\+/-|±)\\s*(${NUMBER})`);
const RANGE = only(`(${NUMBER})\\s*(?:to|\u2013)\\s*(${NUMBER})(?:\\s*,?\\s*(?:most )?likely\\s*(${NUMBER}))?`);

export function numberOf(typed: string): number {
    return Number(typed.replace("\u2212", "-"));
}

function spreadOf(typed: string): Json | undefined {
    const n = NORMAL.exec(typed);
    if (n)
        return { normal: { mean: numberOf(n[1] ?? ""), sd: numberOf(n[2] ?? "") } };
    const r = RANGE.exec(typed);
    if (!r)
        return undefined;
    const min = numberOf(r[1] ?? ""), max = numberOf(r[2] ?? "");
    return r[3] === undefined ? { uniform: { min, max } } : { triangular: { min, mode: numberOf(r[3]), max } };
}

/* "9.1; 9.4; B: 9.9" by reader, undefined if it is no list of readings. */
export function readingsOf(typed: string): JsonObject | undefined {
    const readers: Record<string, Json[]> = {};
    let reader = "A";
    for (const piece of typed.split(";")) {
        const named = /^\s*([A-Za-z0-9_-]+)\s*:\s*(.*)$/.exec(piece);
        reader = named?.[1] ?? reader;
        const one = ONE.exec(named?.[2] ?? piece);
        if (!one)
            return undefined;
        (readers[reader] ??= []).push(numberOf(one[1] ?? ""));
    }
    return readers;
}

/* What stood beside readings (errors, bright edges, a second look) stays when they are typed anew. */
function readingTyped(typed: string, before: Json | undefined): Json | undefined {
    const readings = readingsOf(typed);
    if (!readings)
        return undefined;
    if (isObject(before) && "readings_mm" in before)
        return { ...before, readings_mm: readings };
    return { readings_mm: readings };
}

function jsonOf(typed: string): Json | undefined {
    try {
        return /^\s*[[{]/.test(typed) ? (JSON.parse(typed) as Json) : undefined;
    } catch {
        return undefined;
    }
}

function plain(typed: string, kind: Kind, before: Json | undefined): Json | undefined {
    const one = ONE.exec(typed);
    const wrapped = isObject(before) && "readings_mm" in before;
    if (one && !wrapped)
        return numberOf(one[1] ?? "");
    if (kind === "number")
        return undefined;
    return spreadOf(typed) ?? (kind === "reading" ? readingTyped(typed, before) : undefined);
}

/* Kinds that are no lengths. */
const BY_KIND: Partial<Record<Kind, (typed: string) => Json>> = {
    text: (typed) => typed, word: (typed) => typed, truth: (typed) => typed === "true",
    readings: (typed) => readingsOf(typed) ?? typed,
    names: (typed) => (typed === "all" ? "all" : typed.split(";").map((x) => x.trim()).filter((x) => x !== "")),
};

/* The value that was typed; `before` is what stood there. */
export function typedValue(typed: string, kind: Kind, before: Json | undefined): Json {
    const other = BY_KIND[kind];
    if (other)
        return other(typed);
    if (isObject(before) && before["measured"] === true)
        return { value: typedValue(typed, kind, before["value"]), measured: true };
    const value = plain(typed, kind, before) ?? jsonOf(typed);
    const look = isObject(before) && "cross_check" in before && isObject(value) ? { cross_check: before["cross_check"] ?? null } : {};
    return value === undefined ? typed.trim() : isObject(value) ? { ...look, ...value } : value;
}

/* 3. What was likely meant */

const understood = (typed: string, kind: Kind): boolean => typeof typedValue(typed, kind, undefined) !== "string";

/* "1,5" with a point; "4.2 4.6" as two readings of one reader and as one each of two. Only what can be read so. */
export function likelyMeant(typed: string, kind: Kind): string[] {
    if (!/^[^a-z]*$/i.test(typed.replace(/to|likely|most|\b[A-Z]:/g, "")) || typed.length > 60)
        return [];
    const pointed = typed.trim().replace(/(\d),(\d)/g, "$1.$2"), list = pointed.split(/[\s,;/]+/).filter((x) => x !== "");
    const several = list.length > 1 && list.length <= 6 && list.every((x) => ONE.test(x))
        ? [list.join("; "), list.map((x, i) => `${"ABCDEF"[i]}: ${x}`).join("; ")] : [];
    return [...new Set([pointed, ...several])].filter((x) => x !== typed.trim() && understood(x, kind)).slice(0, 2);
}

/* 4. The middle of it, to draw, and its numbers as typed */

/* Without names of readers; of many the least and the largest; "" where there is no number. */
export function numbersTyped(value: Json | undefined): string {
    const list = [...shown(value).replace(/[\p{L}\p{N}_-]+:/gu, "").matchAll(/-?\d+(?:\.\d+)?/g)].map((m) => m[0]);
    if (middle(value) === undefined || !list.length)
        return "";
    const whole = isObject(value) && "readings_mm" in value ? list.join("; ") : shown(value), by = [...list].sort((a, b) => Number(a) - Number(b));
    return whole.length <= 12 ? whole : list.length > 1 ? `${by[0]?.slice(0, 6)} to ${by[by.length - 1]?.slice(0, 6)}` : (list[0] ?? "").slice(0, 8);
}

function mean(list: number[]): number | undefined {
    return list.length ? list.reduce((a, b) => a + b, 0) / list.length : undefined;
}

function middleOfReadings(readings: JsonObject): number | undefined {
    const readers = Object.values(readings).map((r) => (Array.isArray(r) ? mean(r.filter((x) => typeof x === "number")) : undefined));
    return mean(readers.filter((x) => x !== undefined));
}

/* Where a landmark is drawn: no number that is told. */
export function middle(value: Json | undefined): number | undefined {
    if (typeof value === "number")
        return Number.isFinite(value) ? value : undefined;
    if (!isObject(value))
        return undefined;
    if (isObject(value["readings_mm"]))
        return middleOfReadings(value["readings_mm"]);
    if ("value" in value)
        return middle(value["value"]);
    const [, of] = family(value) ?? ["", {}];
    const at = of["mean"] ?? of["mode"] ?? of["median"];
    if (typeof at === "number")
        return at;
    const min = of["min"], max = of["max"];
    return typeof min === "number" && typeof max === "number" ? (min + max) / 2 : undefined;
}
