/* form.ts - the form of a case, in the order of a CT report.
 *
 * Contents: 1. the case itself  2. the form  3. what is still needed
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import { alternatives } from "./alternatives";
import type { Field } from "./fields";
import { LIMITS, NEW_VALVE, OLD_VALVE, SCAN } from "./fields";
import type { FieldRow } from "./field_row";
import type { FormContext, Part } from "./form_context";
import { isMissing, place } from "./notes";
import { labelOf } from "./places";
import { plannedLooks } from "./planned_looks";
import { Rest } from "./rest";
import { secondLooks } from "./second_looks";
import { Section } from "./section";
import type { Section as Titled } from "./fields";
import { Sinuses } from "./sinuses";
import { TextView } from "./text_view";

/* 1. The case itself */

const CASE: Field[] = [
    { pointer: "/case", label: "Name of the case", kind: "text", needed: true },
    { pointer: "/note", label: "Note", kind: "text", seldom: true },
    { pointer: "/profile", label: "Site profile, a file", kind: "text" },
];

function section(context: FormContext, s: Titled): Section {
    return new Section(context, s.id, s.title, s.fields);
}

/* 2. The form */

export class Form implements Part {
    readonly node = h("form", { class: "form", "aria-label": "The case", autocomplete: "off" });
    private readonly needs = h("div", { class: "needs" });
    private readonly sections: Section[];
    private readonly sinuses: Sinuses;
    private readonly cards;
    private readonly rest: Rest;
    readonly text: TextView;

    constructor(private readonly context: FormContext) {
        this.sections = [new Section(context, "case", "The case", CASE), ...[OLD_VALVE, NEW_VALVE, SCAN, LIMITS].map((s) => section(context, s))];
        this.sinuses = new Sinuses(context);
        this.cards = [secondLooks(context), alternatives(context), plannedLooks(context)];
        this.rest = new Rest(context);
        this.text = new TextView(context);
        const [own, old, fresh, scan, limits] = this.sections.map((s) => s.node);
        this.node.append(this.needs, ...[own, old, fresh, this.sinuses.node, scan, limits].filter((n) => n !== undefined),
                         ...this.cards.map((c) => c.node), this.rest.node, this.text.node);
        this.node.addEventListener("submit", (event) => event.preventDefault());
    }

    private get rows(): FieldRow[] {
        return [...this.sections.flatMap((s) => s.rows), ...this.sinuses.rows, ...this.cards.flatMap((c) => c.rows)];
    }

    row(pointer: string): FieldRow | undefined {
        return this.rows.find((r) => r.field.pointer === pointer);
    }

    update(): void {
        for (const part of [...this.sections, this.sinuses, ...this.cards, this.rest, this.text])
            part.update();
        this.sayNeeds();
    }

    /* 3. What is still needed */

    /* Fields without which nothing can be computed, and that are empty; those the engine misses come along. */
    needed(): FieldRow[] {
        const { doc, computing } = this.context;
        const missed = new Set((computing.known.read?.messages ?? []).filter((m) => m.severity === "fault" && isMissing(m)).map(place));
        const empty = (r: FieldRow): boolean => (doc.get(r.field.pointer) ?? null) === null;
        return this.rows.filter((r) => empty(r) && (r.field.needed || missed.has(r.field.pointer)));
    }

    private sayNeeds(): void {
        const rows = this.needed(), read = this.context.computing.known.read;
        const faults = (read?.messages ?? []).filter((m) => m.severity === "fault" && !isMissing(m));
        const links = rows.slice(0, 12).map((r) => button(r.label, () => r.focus()));
        const more = rows.length > 12 ? ` and ${rows.length - 12} more.` : "";
        const mends = faults.map((m) => button(m.pointer ? labelOf(m.pointer) : `line ${m.line}`, () => this.goTo(place(m))));
        const { ofProfile } = this.context.computing.known;
        this.needs.hidden = rows.length + faults.length + ofProfile.length === 0;
        fill(this.needs, rows.length > 0 && h("p", {}, h("b", {}, "Still needed: "), ...links, more),
             faults.length > 0 && h("p", {}, h("b", {}, "To be mended: "), ...mends),
             ...ofProfile.map((m) => h("p", { class: m.severity === "fault" ? "note fault" : "note" }, `${m.file}, line ${m.line}: ${m.words}`)));
    }

    /* To the field that shows this place; to the text if none does. */
    goTo(pointer: string): void {
        const row = this.rows.find((r) => pointer === r.field.pointer || pointer.startsWith(`${r.field.pointer}/`));
        if (row)
            row.focus();
        else
            this.text.show();
    }
}
