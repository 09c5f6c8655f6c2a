/* notes.ts - what is said at a field: faults, numbers that are unusual, warnings; each with its likely mend.
 *
 * Contents: 1. which messages belong to a field  2. mends  3. drawn
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import type { Json, Message, ReadAnswer, Unusual } from "../types";
import type { CaseDoc } from "./case_doc";
import type { FormContext } from "./form_context";
import { isObject, set } from "./pointer";
import { confirmedName } from "./words";

/* 1. Which messages belong to a field */

/* Where a key is missing, the message stands at the object that lacks it. */
export function place(message: Message): string {
    const missing = /the key "([^"]+)" is missing/.exec(message.words)?.[1];
    return missing ? `${message.pointer ?? ""}/${missing}` : message.pointer ?? "";
}

export function isMissing(message: Message): boolean {
    return /the key "[^"]+" is missing/.test(message.words) || /found null/.test(message.words);
}

/* Whether the deepest field that a message belongs to is this one: it stands there, or inside. */
export function belongs(message: Message, pointer: string): boolean {
    const at = place(message);
    return at === pointer || at.startsWith(`${pointer}/`);
}

export interface FieldNotes {
    faults: Message[];
    warnings: Message[];
    unusual: Unusual[];
}

export function notesOf(read: ReadAnswer | null, pointer: string): FieldNotes {
    const here = (read?.messages ?? []).filter((m) => belongs(m, pointer) && !isMissing(m));
    return { faults: here.filter((m) => m.severity === "fault"), warnings: here.filter((m) => m.severity === "warning"),
             unusual: (read?.unusual ?? []).filter((u) => u.pointer === pointer || u.pointer.startsWith(`${pointer}/`)) };
}

/* 2. Mends */

function confirmedList(doc: CaseDoc): string[] {
    const list = doc.get("/confirmed");
    return Array.isArray(list) ? list.filter((x) => typeof x === "string") : [];
}

function confirm(doc: CaseDoc, name: string, yes: boolean): void {
    const rest = confirmedList(doc).filter((x) => x !== name);
    const next = yes ? [...rest, name] : rest;
    doc.set("/confirmed", next.length ? next : undefined, `confirm ${name}`);
}

/* A decimal comma is the likeliest slip where a text stands for a number. */
function commaMend(doc: CaseDoc, pointer: string): HTMLElement | null {
    const value = doc.get(pointer), mended = typeof value === "string" ? value.trim().replace(",", ".") : "";
    if (typeof value !== "string" || !value.includes(",") || !/^[-+]?\d+\.\d+$/.test(mended))
        return null;
    return button(`make it ${mended}`, () => doc.set(pointer, Number(mended), "mend"));
}

/* One value for the field, or several by pointer, as where two numbers were exchanged. */
function mend(doc: CaseDoc, pointer: string, value: Json): void {
    const several = isObject(value) && Object.keys(value).every((key) => key.startsWith("/")) ? value : { [pointer]: value };
    doc.edit((object) => {
        for (const [at, one] of Object.entries(several))
            set(object, at, one);
    }, "mend");
}

/* 3. Drawn */

function unusualNote(context: FormContext, u: Unusual): HTMLElement {
    const { doc } = context, name = u.name ?? confirmedName(u.pointer);
    if (u.confirmed)
        return h("p", { class: "note" }, `${u.words} You said that it is right. `, button("ask again", () => confirm(doc, name, false)));
    const mends = (u.mend ?? []).map((m) => button(m.words, () => mend(doc, u.pointer, m.value)));
    return h("p", { class: "note asked" }, u.words, " ", ...mends, button("it is right", () => confirm(doc, name, true)));
}

export function drawn(context: FormContext, pointer: string, notes: FieldNotes): HTMLElement[] {
    return [
        ...notes.faults.map((m) => h("p", { class: "note fault" }, h("b", {}, "To mend: "), m.words, " ", commaMend(context.doc, pointer))),
        ...notes.unusual.map((u) => unusualNote(context, u)),
        ...notes.warnings.map((m) => h("p", { class: "note" }, m.words)),
    ];
}
