/* notes.ts - what is said at a field: faults, numbers that are unusual, warnings; each with its likely mend.
 *
 * Contents: 1. which messages belong to a field  2. answering  3. drawn
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, foreign, h } from "../dom";
import type { Message, ReadAnswer, Unusual } from "../types";
import type { CaseDoc } from "./case_doc";
import type { FormContext } from "./form_context";
import { mendsOf, question } from "./mends";
import { inWordsOfTheForm } from "./places";
import { likelyMeant, typedValue } from "./value";
import type { Kind } from "./value";

/* 1. Which messages belong to a field */

/* Where a key is missing, the message stands at the object that lacks it. */
export function place(message: Message): string {
    const missing = /the key "([^"]+)" is missing/.exec(message.words)?.[1];
    return missing ? `${message.pointer ?? ""}/${missing}` : message.pointer ?? "";
}

export function isMissing(message: Message): boolean {
    return /the key "[^"]+" is missing/.test(message.words) || /found null/.test(message.words);
}

function within(at: string, pointer: string): boolean {
    return at === pointer || at.startsWith(`${pointer}/`);
}

export interface FieldNotes {
    faults: Message[];
    warnings: Message[];
    unusual: Unusual[];
}

export function notesOf(read: ReadAnswer | null, pointer: string): FieldNotes {
    const here = (read?.messages ?? []).filter((m) => within(place(m), pointer) && !isMissing(m));
    return { faults: here.filter((m) => m.severity === "fault"), warnings: here.filter((m) => m.severity === "warning"),
             unusual: (read?.unusual ?? []).filter((u) => within(u.at, pointer)) };
}

/* 2. Answering */

function confirm(doc: CaseDoc, name: string, yes: boolean): void {
    const list = doc.get("/confirmed"), rest = Array.isArray(list) ? list.filter((x) => x !== name) : [];
    const next = yes ? [...rest, name] : rest;
    doc.set("/confirmed", next.length ? next : undefined, `confirm ${name}`);
}

function makeIt(context: FormContext, pointer: string, value: number): HTMLElement {
    return button(`make it ${value}`, () => context.doc.set(pointer, value, "mend"));
}

/* A decimal comma is the likeliest slip where a text stands for a number, and a blank where one stands for several. */
function textMends(context: FormContext, pointer: string, kind: Kind): HTMLElement[] {
    const value = context.doc.get(pointer);
    if (typeof value !== "string")
        return [];
    return likelyMeant(value, kind).map((words) => button(`make it ${words}`, () => context.doc.set(pointer, typedValue(words, kind, undefined), "mend")));
}

/* As the engine wants a name, and nothing in it that the form could not say. */
function nameMend(context: FormContext, pointer: string): HTMLElement | null {
    const value = context.doc.get(pointer);
    if (pointer !== "/case" || typeof value !== "string")
        return null;
    const mended = value.normalize("NFKD").replace(/\p{M}/gu, "").replace(/[^A-Za-z0-9._-]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 64);
    return h("span", {}, mended && mended !== value && button(`make it ${mended}`, () => context.doc.set(pointer, mended, "mend")), " ", h("b", {}, NO_NAMES));
}

/* Centimetres, or a point left out, where that makes an impossible number a usual one. */
function unitMend(context: FormContext, pointer: string): HTMLElement | null {
    const value = context.doc.get(pointer), usual = context.facts.usualRange(pointer);
    if (typeof value !== "number" || !usual)
        return null;
    const mended = [value * 10, value / 10].map((x) => Number(x.toPrecision(10))).find((x) => x >= usual.low && x <= usual.high);
    return mended === undefined ? null : makeIt(context, pointer, mended);
}

const NO_NAMES = "Never a patient's name or number: reports and file names carry it on.";

/* 3. Drawn */

function unusualNote(doc: CaseDoc, u: Unusual): HTMLElement {
    if (u.confirmed)
        return h("p", { class: "note" }, `${question(u)} You said that it is right. `, button("ask again", () => confirm(doc, u.name, false)));
    const mends = mendsOf(doc, u).map((m) => button(m.words, m.make));
    return h("p", { class: "note asked" }, question(u), " ", ...mends, button("it is right", () => confirm(doc, u.name, true)));
}

export function drawn(context: FormContext, pointer: string, notes: FieldNotes, kind: Kind = "text"): HTMLElement[] {
    const mends = notes.faults.length ? [...textMends(context, pointer, kind), nameMend(context, pointer), unitMend(context, pointer)] : [];
    return [
        ...notes.faults.map((m, i) => h("p", { class: "note fault" }, h("b", {}, "To mend: "), foreign(inWordsOfTheForm(m.words)), " ", ...(i === 0 ? mends : []))),
        ...notes.unusual.map((u) => unusualNote(context.doc, u)),
        ...notes.warnings.map((m) => h("p", { class: "note" }, inWordsOfTheForm(m.words))),
    ];
}
