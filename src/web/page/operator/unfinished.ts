/* unfinished.ts - an alternative that does nothing yet: the engine refuses the whole case for it, so it stays out of what is
 * weighed until it says what is done differently. The case keeps it.
 *
 * Contents: 1. which are unfinished  2. what is sent  3. places in what was sent
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Json, JsonObject, Message, Unusual } from "../types";
import { isObject } from "./pointer";

/* 1. Which are unfinished */

const ACTS = ["implant", "surgical_valve", "lacerate", "rescue"], KNOWN = new Set([...ACTS, "name", "burden"]);

function hollow(value: Json | undefined): boolean {
    return value === null || (isObject(value) && (Object.keys(value).length === 0 || Object.values(value).some(hollow)));
}

/* Nothing done, or something whose value is still to be typed. One with a key that nobody knows is for the engine to refuse. */
export function unfinished(alternative: Json | undefined): boolean {
    if (!isObject(alternative) || !Object.keys(alternative).every((key) => KNOWN.has(key)))
        return false;
    const done = ACTS.map((act) => alternative[act]).filter((x) => x !== undefined);
    return done.length === 0 || done.some(hollow);
}

function listOf(object: JsonObject | null): Json[] {
    const list = object?.["alternatives"];
    return Array.isArray(list) ? list : [];
}

/* 2. What is sent */

/* The case without them, or null where it is sent as it is. */
export function withoutUnfinished(object: JsonObject | null): JsonObject | null {
    const list = listOf(object), kept = list.filter((a) => !unfinished(a));
    if (!object || kept.length === list.length)
        return null;
    const { alternatives: _, ...rest } = object;
    return kept.length ? { ...rest, alternatives: kept } : rest;
}

/* 3. Places in what was sent: "/alternatives/1" may be the third of the case */

export function placeInCase(object: JsonObject | null, pointer: string): string {
    const kept = listOf(object).flatMap((a, i) => (unfinished(a) ? [] : [i]));
    return pointer.replace(/^\/alternatives\/(\d+)/, (whole, n: string) => (kept[Number(n)] === undefined ? whole : `/alternatives/${kept[Number(n)]}`));
}

/* What was found, by its place in the case. Its lines are of the text that was sent, and fall away where that was another. */
export function foundInCase<T extends { messages: Message[]; unusual?: Unusual[] }>(object: JsonObject | null, answer: T): T {
    if (!withoutUnfinished(object))
        return answer;
    const messages = answer.messages.map((m) => ({ ...m, line: 0, pointer: m.pointer === null ? null : placeInCase(object, m.pointer) }));
    return { ...answer, messages, unusual: answer.unusual?.map((u) => ({ ...u, at: placeInCase(object, u.at) })) };
}
