/* section.ts - a group of fields under a title, those that are seldom needed folded away.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { h } from "../dom";
import { FieldRow } from "./field_row";
import type { Field } from "./fields";
import type { FormContext, Part } from "./form_context";
import { notesOf } from "./notes";

export class Section implements Part {
    readonly node: HTMLElement;
    readonly rows: FieldRow[];
    private readonly folded: HTMLDetailsElement | null;

    constructor(private readonly context: FormContext, id: string, title: string, fields: Field[], sideWords = "", ...extra: HTMLElement[]) {
        this.rows = fields.map((f) => new FieldRow(context, f, sideWords));
        const open = this.rows.filter((r) => !r.field.seldom), seldom = this.rows.filter((r) => r.field.seldom);
        this.folded = seldom.length ? h("details", { class: "seldom" }, h("summary", {}, "Seldom changed"), ...seldom.map((r) => r.node)) : null;
        this.node = h("section", { class: "group", id: `group-${id}`, "aria-labelledby": `title-${id}` },
                      h("h2", { id: `title-${id}` }, title), ...open.map((r) => r.node), this.folded, ...extra);
    }

    update(): void {
        for (const row of this.rows)
            row.update();
        const { read } = this.context.computing.known;
        if (this.folded && this.rows.some((r) => r.field.seldom && notesOf(read, r.field.pointer).faults.length > 0))
            this.folded.open = true;
    }
}
