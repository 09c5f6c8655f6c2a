/* rest.ts - what a case says that the form has no field for: kept, listed, and edited as text.
 *
 * Contents: 1. what is left  2. drawn
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, foreign, freshId, h } from "../dom";
import type { Json } from "../types";
import { READING_PARTS, SECTIONS, sinusFields } from "./fields";
import type { FormContext, Part } from "./form_context";
import { drawn, notesOf } from "./notes";
import { isObject, join, parts } from "./pointer";

/* 1. What is left */

const WHOLE = ["/format", "/case", "/note", "/profile", "/confirmed", "/alternatives", "/looks"];
const BESIDE = new Set([...READING_PARTS.map((f) => f.pointer), "readings_mm", "bloom_edges", "cross_check"]);
const FAMILIES = new Set(["constant", "normal", "uniform", "triangular", "lognormal", "half_normal", "student_t", "arcsine", "truncated_normal", "beta", "value", "measured"]);

/* Whether a field of the form shows what stands at this pointer, or all that is in it. */
function shownAt(pointer: string, fields: Set<string>): boolean {
    if (WHOLE.includes(pointer) || fields.has(pointer))
        return true;
    const at = parts(pointer), key = at[at.length - 1] ?? "";
    return /^\/coronaries\/[^/]+\/ostium$/.test(pointer) || (fields.has(pointer.slice(0, pointer.lastIndexOf("/"))) && (BESIDE.has(key) || FAMILIES.has(key)));
}

function left(value: Json, pointer: string, fields: Set<string>, out: string[]): void {
    if (pointer && fields.has(pointer) && isObject(value))
        for (const [key, v] of Object.entries(value))
            if (!shownAt(join(pointer, key), fields))
                left(v, join(pointer, key), fields, out);
    if (pointer && shownAt(pointer, fields))
        return;
    if (!isObject(value) || (pointer && !Object.keys(value).length))
        out.push(pointer);
    else
        for (const [key, v] of Object.entries(value))
            left(v, join(pointer, key), fields, out);
}

/* Pointers to all that no field shows. */
export function leftOver(value: Json): string[] {
    const all = isObject(value) && isObject(value["coronaries"]) ? Object.keys(value["coronaries"]) : [];
    const fields = new Set([...SECTIONS.flatMap((s) => s.fields), ...all.flatMap((side) => sinusFields(side, true))].map((f) => f.pointer));
    const out: string[] = [];
    left(value, "", fields, out);
    return out.filter((p) => p !== "" && !["/surgical_valve", "/implant", "/coronaries"].includes(p) && !/^\/coronaries\/[^/]+$/.test(p));
}

/* 2. Drawn */

function take(context: FormContext, pointer: string, typed: string): void {
    let value: Json = typed;
    try {
        value = JSON.parse(typed) as Json;
    } catch {
        /* kept as the text that it is; the engine says what it expects there */
    }
    context.doc.set(pointer, value, pointer);
}

/* A key that is unknown has a fault with the nearest known one. */
function renamer(context: FormContext, pointer: string, words: string): HTMLElement | null {
    const meant = /did you mean "([^"]+)"/.exec(words)?.[1];
    if (!meant)
        return null;
    const rename = (): void => {
        const value = context.doc.get(pointer) ?? null, above = pointer.slice(0, pointer.lastIndexOf("/"));
        context.doc.set(pointer, undefined, "rename");
        context.doc.set(join(above, meant), value, "rename");
    };
    return button(`make it “${meant}”`, rename);
}

function item(context: FormContext, pointer: string): HTMLElement {
    const id = freshId("rest"), text = JSON.stringify(context.doc.get(pointer) ?? null);
    const input = h("textarea", { id, rows: Math.min(1 + Math.floor(text.length / 50), 8), spellcheck: "false" }, text);
    input.addEventListener("change", () => take(context, pointer, input.value));
    const notes = notesOf(context.computing.known.read, pointer), renames = notes.faults.map((m) => renamer(context, pointer, m.words));
    return h("div", { class: "left-over" }, h("label", { for: id }, foreign(pointer.slice(1))), input,
             button("take away", () => context.doc.set(pointer, undefined, `remove ${pointer}`)), ...drawn(context, pointer, notes), ...renames);
}

export class Rest implements Part {
    readonly node = h("section", { class: "group", "aria-label": "Also in this case" });

    constructor(private readonly context: FormContext) {}

    update(): void {
        if (this.node.contains(document.activeElement) && document.activeElement instanceof HTMLTextAreaElement)
            return;
        const pointers = this.context.doc.object ? leftOver(this.context.doc.object) : [];
        this.node.hidden = pointers.length === 0;
        fill(this.node, h("h2", {}, "Also in this case"), h("p", { class: "small mute" }, "No field shows these; they are kept as they are and can be edited as text."),
             ...pointers.map((p) => item(this.context, p)));
    }
}
