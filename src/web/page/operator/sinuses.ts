/* sinuses.ts - the coronaries of the case and sinuses without one: a group of fields each, added and removed by name.
 *
 * Contents: 1. one sinus  2. adding  3. all of them
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import { sinusFields } from "./fields";
import type { FieldRow } from "./field_row";
import type { FormContext, Part } from "./form_context";
import { isObject, join } from "./pointer";
import { Section } from "./section";
import { capital } from "./words";

/* 1. One sinus */

function hasOstium(context: FormContext, side: string): boolean {
    return context.doc.get(`${join("/coronaries", side)}/ostium`) !== false;
}

const ALIKE = ["circle_mm", "stj_height", "leaflet_height"];

/* "As on the other side" for what two sides mostly have alike. */
function copyAlike(context: FormContext, from: string, to: string): void {
    context.doc.edit((object) => {
        const all = object["coronaries"];
        const source = isObject(all) ? all[from] : undefined, target = isObject(all) ? all[to] : undefined;
        if (!isObject(source) || !isObject(target))
            return;
        for (const key of ALIKE)
            if (source[key] !== undefined && target[key] === undefined)
                target[key] = structuredClone(source[key] ?? null);
    }, `as on the ${from}`);
}

function tools(context: FormContext, side: string, first: string | undefined): HTMLElement {
    const words = first !== undefined && first !== side ? `circle, junction and leaflet as on the ${first}` : "";
    return h("p", { class: "tools" }, words && button(words, () => copyAlike(context, first ?? "", side)),
             button(`take ${side} away`, () => context.doc.set(join("/coronaries", side), undefined, `remove ${side}`)));
}

function sinusSection(context: FormContext, side: string, first: string | undefined): Section {
    const ostium = hasOstium(context, side), title = ostium ? `${capital(side)} coronary` : `${capital(side)}: a sinus without a coronary`;
    return new Section(context, freshId("sinus"), title, sinusFields(side, ostium), `, ${side}`, tools(context, side, first));
}

/* 2. Adding */

function adder(context: FormContext): HTMLElement {
    const name = h("input", { id: freshId("add"), type: "text", placeholder: "third", autocomplete: "off" });
    const kind = h("select", { "aria-label": "kind of sinus" }, h("option", { value: "no" }, "without a coronary"), h("option", { value: "yes" }, "with a coronary"));
    const add = (): void => {
        const side = name.value.trim() || name.placeholder;
        if (context.doc.get(join("/coronaries", side)) === undefined)
            context.doc.set(join("/coronaries", side), kind.value === "no" ? { ostium: false } : {}, `add ${side}`);
    };
    return h("section", { class: "group adder", "aria-label": "Further sinuses" }, h("h2", {}, "Further sinuses"),
             h("p", { class: "row" }, h("label", { for: name.id }, "Name"), name, kind, button("add", add)));
}

/* 3. All of them */

export class Sinuses implements Part {
    readonly node = h("div", { class: "sinuses" });
    private sections: Section[] = [];
    private drawnFor = "";

    constructor(private readonly context: FormContext) {
        this.update();
    }

    get rows(): FieldRow[] {
        return this.sections.flatMap((s) => s.rows);
    }

    private sides(): string[] {
        const all = this.context.doc.get("/coronaries");
        return isObject(all) ? Object.keys(all) : [];
    }

    update(): void {
        const sides = this.sides(), key = JSON.stringify(sides.map((s) => [s, hasOstium(this.context, s)]));
        if (key !== this.drawnFor) {
            this.drawnFor = key;
            this.sections = sides.map((side) => sinusSection(this.context, side, sides[0]));
            fill(this.node, ...this.sections.map((s) => s.node), adder(this.context));
        }
        for (const section of this.sections)
            section.update();
    }
}
