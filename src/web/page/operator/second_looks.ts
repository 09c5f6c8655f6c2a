/* second_looks.ts - the same length seen a second time: a gap on angiography or echo, a height or a diameter directly.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import type { Json } from "../types";
import { Cards, remover } from "./cards";
import type { Card } from "./cards";
import type { Field } from "./fields";
import { sinusFields } from "./fields";
import { FieldRow } from "./field_row";
import type { FormContext } from "./form_context";
import { inFull } from "./more";
import { isObject } from "./pointer";

interface Place {
    pointer: string;
    words: string;
    gap: boolean;
}

const OF_VALVE: Place[] = [
    { pointer: "/surgical_valve/inner_diameter_mm", words: "inner diameter of the ring", gap: false },
    { pointer: "/surgical_valve/leaflet_thickness_mm", words: "thickness of the leaflets", gap: false },
];

function places(context: FormContext): Place[] {
    const all = context.doc.get("/coronaries"), sides = isObject(all) ? Object.keys(all) : [];
    const ofSide = (side: string): Place[] => sinusFields(side, true).filter((f) => f.gap || f.direct)
        .map((f) => ({ pointer: f.pointer, words: `${side}: ${f.label.toLowerCase()}`, gap: f.gap === true }));
    return [...sides.flatMap(ofSide), ...OF_VALVE];
}

const look = (context: FormContext, p: Place): Json | undefined => context.doc.get(`${p.pointer}/cross_check`);

function fields(p: Place): Field[] {
    const at = `${p.pointer}/cross_check`;
    return [
        { pointer: `${at}/modality`, label: "Seen on", kind: "word", needed: true, choices: p.gap ? ["fluoroscopy", "echo"] : ["bench", "echo", "ct"] },
        { pointer: `${at}/readings_mm`, label: "Reads", kind: "readings", needed: true },
        { pointer: `${at}/reader_sd_mm`, label: "SD of its reader", kind: "number", needed: !p.gap },
        ...(p.gap ? [{ pointer: `${at}/magnification_sd`, label: "Scale, relative SD", kind: "number" as const },
                     { pointer: `${at}/view_error_sd_deg`, label: "View misses the plane, SD", kind: "number" as const }] : []),
        { pointer: `${at}/spoiled`, label: "About something else", kind: "number" },
    ];
}

function card(context: FormContext, p: Place): Card {
    const rows = fields(p).map((f) => new FieldRow(context, f, `, second look at ${p.words}`));
    return { rows, node: h("div", { class: "card" }, h("h3", {}, p.words), ...rows.map((r) => r.node), remover(context, `${p.pointer}/cross_check`, "look")) };
}

function add(context: FormContext, p: Place): void {
    const value = context.doc.get(p.pointer);
    context.doc.set(p.pointer, { ...inFull(value), cross_check: { modality: p.gap ? "fluoroscopy" : "echo" } }, "second look");
}

/* What is exact in the valve, or not stated, has no second look; the engine says so as well. */
function possible(context: FormContext, p: Place): boolean {
    const value = context.doc.get(p.pointer);
    return value !== undefined && look(context, p) === undefined && (p.pointer.startsWith("/coronaries") || isObject(value));
}

export function secondLooks(context: FormContext): Cards {
    const select = h("select", { "aria-label": "second look at" });
    const list = (): Place[] => places(context).filter((p) => look(context, p) !== undefined);
    const offer = (): void => {
        select.replaceChildren(h("option", { value: "" }, "choose what was seen twice …"),
                               ...places(context).filter((p) => possible(context, p)).map((p) => h("option", { value: p.pointer }, p.words)));
    };
    const go = (): void => {
        const chosen = places(context).find((p) => p.pointer === select.value);
        if (!chosen)
            return;
        cards.expect();
        add(context, chosen);
    };
    select.addEventListener("focus", offer);
    offer();
    const cards = new Cards(() => list().map((p) => p.pointer), () => list().map((p) => card(context, p)), "second-looks", "Second looks",
                     h("p", { class: "row" }, select, button("add", go)));
    return cards;
}
