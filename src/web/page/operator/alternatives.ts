/* alternatives.ts - what might be done instead: another device or depth, a leaflet lacerated, a side rescued.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import { addTo, Cards, outline, remover } from "./cards";
import type { Card } from "./cards";
import type { Field } from "./fields";
import { NEW_VALVE, OLD_VALVE } from "./fields";
import { FieldRow } from "./field_row";
import type { FormContext } from "./form_context";
import { isObject, join } from "./pointer";
import { unfinished } from "./unfinished";

/* What an alternative may say, beside its name and burden, by its place in it. */
function changes(context: FormContext): Field[] {
    const all = context.doc.get("/coronaries");
    const sides = isObject(all) ? Object.keys(all).filter((s) => context.doc.get(`${join("/coronaries", s)}/ostium`) !== false) : [];
    const patch = [...NEW_VALVE.fields, ...OLD_VALVE.fields].map((f) => ({ ...f, needed: false, seldom: false }));
    const acts = sides.flatMap((side): Field[] => [
        { pointer: join("/lacerate", side), label: `Lacerate the ${side} leaflet: succeeds`, kind: "number", unit: "of 1" },
        { pointer: join("/rescue", side), label: `Rescue the ${side}: succeeds`, kind: "number", unit: "of 1" },
    ]);
    return [...acts, ...patch];
}

function adder(context: FormContext, at: string, left: Field[]): HTMLElement {
    const select = h("select", { "aria-label": "what is done differently" }, h("option", { value: "" }, "something done differently …"),
                     ...left.map((f) => h("option", { value: f.pointer }, f.label)));
    select.addEventListener("change", () => {
        if (select.value)
            context.doc.set(at + select.value, null, "add a change");
    });
    return h("p", { class: "row" }, select);
}

const NOT_WEIGHED = "Not weighed yet: say what is done differently. All else is answered without it. Saving the case keeps it, "
    + "and whoever computes the saved file elsewhere is asked to finish it.";

function card(context: FormContext, index: number): Card {
    const at = `/alternatives/${index}`, known = changes(context);
    const used = known.filter((f) => context.doc.get(at + f.pointer) !== undefined);
    const fixed: Field[] = [{ pointer: "/name", label: "Name", kind: "text", needed: true },
                            { pointer: "/burden", label: "Harm of doing it", kind: "number" }];
    const rows = [...fixed, ...used].map((f) => new FieldRow(context, { ...f, pointer: at + f.pointer }, `, alternative ${index + 1}`));
    const note = h("p", { class: "note asked", hidden: true }, NOT_WEIGHED), update = (): void => { note.hidden = !unfinished(context.doc.get(at)); };
    return { rows, update, node: h("div", { class: "card" }, ...rows.map((r) => r.node), note, adder(context, at, known.filter((f) => !used.includes(f))), remover(context, at, "alternative")) };
}

export function alternatives(context: FormContext): Cards {
    const count = (): number => {
        const list = context.doc.get("/alternatives");
        return Array.isArray(list) ? list.length : 0;
    };
    const make = (): Card[] => Array.from({ length: count() }, (_, i) => card(context, i));
    const add = (): void => {
        cards.expect();
        addTo(context, "alternatives", { name: `alternative ${count() + 1}` }, "add an alternative");
    };
    const cards = new Cards(() => [outline(context.doc.get("/alternatives")), outline(context.doc.get("/coronaries"))], make, "alternatives", "What might be done instead",
                     h("p", {}, button("add an alternative", add)));
    return cards;
}
