/* notes.ts - what is said at a field: faults, numbers that are unusual, warnings; each with its likely mend.
 *
 * Contents: 1. which messages belong to a field  2. answering  3. drawn
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import type { Message, ReadAnswer, Unusual } from "../types";
import type { CaseDoc } from "./case_doc";
import type { FormContext } from "./form_context";
import { mendsOf, question } from "./mends";
import { inWordsOfTheForm } from "./places";

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

/* A decimal comma is the likeliest slip where a text stands for a number. */
function commaMend(context: FormContext, pointer: string): HTMLElement | null {
    const value = context.doc.get(pointer), mended = typeof value === "string" ? value.trim().replace(",", ".") : "";
    return mended !== value && /^[-+]?\d+\.\d+$/.test(mended) ? makeIt(context, pointer, Number(mended)) : null;
}

/* Centimetres, or a point left out, where that makes an impossible number a usual one. */
function unitMend(context: FormContext, pointer: string): HTMLElement | null {
    const value = context.doc.get(pointer), usual = context.facts.usualRange(pointer);
    if (typeof value !== "number" || !usual)
        return null;
    const mended = [value * 10, value / 10].map((x) => Number(x.toPrecision(10))).find((x) => x >= usual.low && x <= usual.high);
    return mended === undefined ? null : makeIt(context, pointer, mended);
}

/* 3. Drawn */

function unusualNote(doc: CaseDoc, u: Unusual): HTMLElement {
    if (u.confirmed)
        return h("p", { class: "note" }, `${question(u)} You said that it is right. `, button("ask again", () => confirm(doc, u.name, false)));
    const mends = mendsOf(doc, u).map((m) => button(m.words, m.make));
    return h("p", { class: "note asked" }, question(u), " ", ...mends, button("it is right", () => confirm(doc, u.name, true)));
}

export function drawn(context: FormContext, pointer: string, notes: FieldNotes): HTMLElement[] {
    return [
        ...notes.faults.map((m) => h("p", { class: "note fault" }, h("b", {}, "To mend: "), m.words, " ", commaMend(context, pointer) ?? unitMend(context, pointer))),
        ...notes.unusual.map((u) => unusualNote(context.doc, u)),
        ...notes.warnings.map((m) => h("p", { class: "note" }, inWordsOfTheForm(m.words))),
    ];
}
