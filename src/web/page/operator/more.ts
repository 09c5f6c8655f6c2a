/* more.ts - what is folded away at a field: what it is, where its default comes from, its spread, how it was read.
 *
 * Contents: 1. spread and measured  2. a reading  3. the panel
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { fill, freshId, h } from "../dom";
import type { Json, JsonObject } from "../types";
import type { Field } from "./fields";
import { READING_PARTS } from "./fields";
import type { FormContext } from "./form_context";
import { isObject, join } from "./pointer";
import { inWordsOfTheForm } from "./places";
import { middle, numberOf, shown } from "./value";

/* 1. Spread and measured */

function labelled(words: string, input: HTMLElement, unit = ""): HTMLElement {
    const id = freshId("part");
    input.id = id;
    return h("div", { class: "part" }, h("label", { for: id }, words), input, unit && h("span", { class: "unit" }, unit));
}

function inner(value: Json | undefined): Json | undefined {
    return isObject(value) && "measured" in value ? value["value"] : value;
}

function rewrap(before: Json | undefined, next: Json): Json {
    return isObject(before) && "measured" in before ? { ...before, value: next } : next;
}

function setSd(context: FormContext, pointer: string, typed: string): void {
    const before = context.doc.get(pointer), mean = middle(inner(before));
    if (mean === undefined)
        return;
    const sd = numberOf(typed), next: Json = typed.trim() === "" ? mean : { normal: { mean, sd: Number.isNaN(sd) ? typed : sd } };
    context.doc.set(pointer, rewrap(before, next), `${pointer} sd`);
}

function sdInput(context: FormContext, field: Field): HTMLElement {
    const value = inner(context.doc.get(field.pointer)), normal = isObject(value) ? value["normal"] : undefined;
    const input = h("input", { type: "text", inputmode: "decimal", value: isObject(normal) ? String(normal["sd"] ?? "") : "" });
    input.disabled = typeof value !== "number" && !isObject(normal);
    input.addEventListener("change", () => setSd(context, field.pointer, input.value));
    return labelled("± SD (empty: exact)", input);
}

function measuredInput(context: FormContext, field: Field): HTMLElement {
    const value = context.doc.get(field.pointer), on = isObject(value) && value["measured"] === true;
    const input = h("input", { type: "checkbox", checked: on });
    input.disabled = value === undefined;
    input.addEventListener("change", () => {
        const now = context.doc.get(field.pointer);
        context.doc.set(field.pointer, input.checked ? { value: now ?? null, measured: true } : inner(now), `${field.pointer} measured`);
    });
    return labelled("measured, no judgement", input);
}

/* 2. A reading */

/* A bare number in a coronary is one reading; what stands beside readings needs it written in full. */
export function inFull(value: Json | undefined): JsonObject {
    if (isObject(value))
        return value;
    return { readings_mm: { A: typeof value === "number" ? [value] : [] } };
}

function setPart(context: FormContext, pointer: string, key: string, value: Json | undefined): void {
    const full = { ...inFull(context.doc.get(pointer)) };
    if (value === undefined)
        delete full[key];
    else
        full[key] = value;
    context.doc.set(pointer, full, join(pointer, key));
}

const EDGES: [string, string][] = [
    ["", "default"], ["0", "no bright edge"], ["-1", "bright wall: reads short"], ["1", "1 edge, reads long"],
    ["-2", "2 bright edges, reads short"], ["2", "2 edges, reads long"],
];

function edgeInput(context: FormContext, field: Field): HTMLElement {
    const value = context.doc.get(field.pointer), now = isObject(value) ? value["bloom_edges"] : undefined;
    const select = h("select", {}, ...EDGES.map(([v, words]) => h("option", { value: v }, words)));
    if (now !== undefined && !EDGES.some(([v]) => v === String(now)))
        select.append(h("option", { value: String(now) }, `${String(now)} edges`));
    select.value = now === undefined ? "" : String(now);
    select.addEventListener("change", () => setPart(context, field.pointer, "bloom_edges", select.value === "" ? undefined : Number(select.value)));
    return labelled("Bright edges", select);
}

function partInput(context: FormContext, field: Field, part: Field): HTMLElement {
    const value = context.doc.get(field.pointer), now = isObject(value) ? value[part.pointer] : undefined;
    const at = join(field.pointer, part.pointer), truth = part.kind === "truth";
    const input = truth ? h("input", { type: "checkbox", checked: now === true })
                        : h("input", { type: "text", inputmode: "decimal", value: shown(now), placeholder: context.facts.taken(at) || "–" });
    input.addEventListener("change", () => {
        const typed = input.value.trim(), number = numberOf(typed);
        const next = truth ? (input.checked ? true : undefined) : typed === "" ? undefined : Number.isNaN(number) ? typed : number;
        setPart(context, field.pointer, part.pointer, next);
    });
    return labelled(part.label, input, truth ? "" : context.facts.key(at)?.unit ?? "");
}

function readingInputs(context: FormContext, field: Field): HTMLElement[] {
    const value = context.doc.get(field.pointer), inSinus = field.pointer.startsWith("/coronaries/");
    if (!(inSinus ? value !== undefined : isObject(value) && "readings_mm" in value))
        return [];
    return [edgeInput(context, field), ...READING_PARTS.map((part) => partInput(context, field, part))];
}

const HINTS: Record<string, string> = {
    spread: "May be typed as 4, 4 ± 1, 3 to 5, or 3 to 5 likely 4.",
    reading: "Several readings: 9.1; 9.4 — of several readers: A: 9.1; 9.4; B: 9.9 — or a spread: 22.3 ± 0.3.",
};

/* 3. The panel */

export class More {
    readonly node: HTMLElement;
    private readonly meaning = h("p", { class: "meaning" });
    private readonly from = h("p", { class: "small mute" });
    private readonly inputs = h("div", { class: "parts" });
    private drawnFor: Json | undefined = null;

    constructor(private readonly context: FormContext, private readonly field: Field, id: string) {
        this.node = h("div", { class: "more", id: `${id}-more`, hidden: true },
                      this.meaning, HINTS[field.kind] ? h("p", { class: "small" }, HINTS[field.kind]) : null, this.inputs, this.from);
    }

    toggle(): boolean {
        this.node.hidden = !this.node.hidden;
        this.drawnFor = null;
        this.update();
        return !this.node.hidden;
    }

    update(): void {
        if (this.node.hidden)
            return;
        this.meaning.textContent = inWordsOfTheForm(this.context.facts.key(this.field.pointer)?.explained ?? "");
        this.from.textContent = this.context.facts.origin(this.field.pointer);
        const value = this.context.doc.get(this.field.pointer);
        if (this.node.contains(document.activeElement) || (this.drawnFor !== null && JSON.stringify(value) === JSON.stringify(this.drawnFor)))
            return;
        this.drawnFor = value;
        const spread = this.field.kind === "spread" || (this.field.kind === "reading" && !this.field.pointer.startsWith("/coronaries/"));
        fill(this.inputs, spread && sdInput(this.context, this.field), this.field.judged && measuredInput(this.context, this.field),
             ...(this.field.kind === "reading" ? readingInputs(this.context, this.field) : []));
    }
}
