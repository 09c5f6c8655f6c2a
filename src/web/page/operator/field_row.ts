/* field_row.ts - one field of the form: label, input, unit, what is usual, what is taken if it is empty, notes, and more.
 *
 * Contents: 1. the input  2. beside it  3. the row
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import type { Field } from "./fields";
import type { FormContext, Part } from "./form_context";
import { drawn, notesOf } from "./notes";
import { More } from "./more";
import { parts } from "./pointer";
import { shown, typedValue } from "./value";
import { choicesOf, said } from "./words";

type Input = HTMLInputElement | HTMLSelectElement;

/* 1. The input */

function option(value: string, words: string): HTMLOptionElement {
    return h("option", { value }, words);
}

function select(context: FormContext, field: Field, id: string): HTMLSelectElement {
    const key = parts(field.pointer).pop() ?? "";
    const choices = field.choices ?? (field.kind === "truth" ? ["true", "false"] : choicesOf(key, context.facts.key(field.pointer)));
    return h("select", { id }, option("", ""), ...choices.map((c) => option(c, said(c))));
}

function input(context: FormContext, field: Field, id: string): Input {
    if (field.kind === "word" || field.kind === "truth")
        return select(context, field, id);
    return h("input", { id, type: "text", autocomplete: "off", spellcheck: "false", inputmode: field.kind === "number" ? "decimal" : "text" });
}

/* 2. Beside it */

function unitWords(context: FormContext, field: Field): string {
    const unit = field.unit || context.facts.key(field.pointer)?.unit || context.facts.assumption(field.pointer)?.unit || "";
    return unit === "degrees" ? "°" : unit === "probability" ? "of 1" : unit === "untreated events" ? "events" : unit;
}

/* 3. The row */

export class FieldRow implements Part {
    readonly node: HTMLElement;
    private readonly input: Input;
    private readonly id = freshId("field");
    private readonly unit = h("span", { class: "unit" });
    private readonly usual = h("span", { class: "usual", id: `${this.id}-usual` });
    private readonly notes = h("div", { class: "notes", id: `${this.id}-notes` });
    private readonly more: More;
    private readonly moreButton: HTMLButtonElement;
    private own: string | undefined = "";
    private heard = "";

    readonly label: string;

    constructor(private readonly context: FormContext, readonly field: Field, sideWords = "") {
        this.label = `${field.label}${sideWords}`;
        this.input = input(context, field, this.id);
        this.more = new More(context, field, this.id);
        this.moreButton = button("⋯", () => this.unfold(), { class: "more-button", "aria-expanded": "false",
            "aria-label": `More on: ${field.label}${sideWords}`, title: "more" });
        this.input.setAttribute("aria-describedby", `${this.usual.id} ${this.notes.id}`);
        if (sideWords)
            this.input.setAttribute("aria-label", `${field.label}${sideWords}`);
        this.node = h("div", { class: `field kind-${field.kind}`, "data-pointer": field.pointer },
            h("label", { for: this.id }, field.label), this.input, this.unit, this.usual, this.moreButton, this.notes, this.more.node);
        this.listen();
        this.update();
    }

    private listen(): void {
        this.input.addEventListener("input", () => this.typed());
        this.input.addEventListener("change", () => this.update());
        this.input.addEventListener("focus", () => this.context.light(this.field.pointer));
        this.input.addEventListener("blur", () => this.context.light(""));
    }

    /* Whether it was made and nothing stands in it yet. */
    get blank(): boolean {
        return this.context.doc.get(this.field.pointer) === null;
    }

    focus(): void {
        this.input.focus();
        this.input.scrollIntoView({ block: "center" });
    }

    private typed(): void {
        const { doc } = this.context, { pointer, kind } = this.field, words = this.input.value.trim();
        const value = words === "" ? undefined : typedValue(words, kind, doc.get(pointer));
        this.own = JSON.stringify(value);
        doc.set(pointer, value, pointer);
    }

    private unfold(): void {
        const open = this.more.toggle();
        this.moreButton.setAttribute("aria-expanded", String(open));
    }

    /* While someone types "4." it is not made "4"; but what undo or a mend puts there is shown. */
    private get beingTyped(): boolean {
        return document.activeElement === this.input && this.own === JSON.stringify(this.context.doc.get(this.field.pointer));
    }

    update(): void {
        const { context, field } = this, value = shown(context.doc.get(field.pointer));
        if (!this.beingTyped || this.input instanceof HTMLSelectElement)
            this.input.value = value;
        this.node.classList.toggle("long", value.length > 11 && this.input instanceof HTMLInputElement);
        this.input.disabled = context.doc.object === null;
        this.unit.textContent = unitWords(context, field);
        this.usual.textContent = context.facts.usual(field.pointer);
        this.placeholder();
        const notes = notesOf(context.computing.known.read, field.pointer);
        this.input.setAttribute("aria-invalid", String(notes.faults.length > 0));
        fill(this.notes, ...drawn(context, field.pointer, notes, field.kind));
        this.speak();
        this.more.update();
    }

    /* What comes up at the field that someone is in is told to those who hear the page. */
    private speak(): void {
        const words = this.notes.textContent ?? "";
        if (words && words !== this.heard && document.activeElement === this.input)
            this.context.page.announce(`${this.label}: ${words}`);
        this.heard = words;
    }

    /* What an empty field means stands in it: what is taken, or that it is needed. */
    private placeholder(): void {
        const taken = this.context.facts.taken(this.field.pointer);
        const words = this.field.needed ? "needed" : taken ? said(taken) : "–";
        this.node.classList.toggle("empty", this.input.value === "");
        if (this.input instanceof HTMLSelectElement && this.input.options[0])
            this.input.options[0].text = words === "needed" ? "choose …" : taken ? `${words} (default)` : "not stated";
        else
            this.input.setAttribute("placeholder", words);
    }
}
