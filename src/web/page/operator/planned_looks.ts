/* planned_looks.ts - looks that could be made before anyone acts; without a list the standard set is taken.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import type { Json, JsonObject } from "../types";
import { addTo, Cards, outline, remover } from "./cards";
import type { Card } from "./cards";
import type { Field } from "./fields";
import { FieldRow } from "./field_row";
import type { FormContext } from "./form_context";

const NUMBER = "number" as const;

/* What each kind of look may say, after its name. */
const KINDS: Record<string, { words: string; start: JsonObject; fields: Field[] }> = {
    again: { words: "read again", start: { again: "all" }, fields: [
        { pointer: "again", label: "Readings: all, or by name", kind: "names", needed: true },
        { pointer: "plane", label: "Plane placed anew", kind: "truth" }] },
    rescan: { words: "another scan", start: { rescan: {} }, fields: [
        { pointer: "rescan/detector", label: "Detector", kind: "word" }, { pointer: "rescan/kernel", label: "Kernel", kind: "word" }] },
    project: { words: "angiography or echo of a gap", start: { project: "left.ostium_gap" }, fields: [
        { pointer: "project", label: "Gap, such as left.ostium_gap", kind: "text", needed: true },
        { pointer: "reader_sd_mm", label: "SD of its reader", kind: NUMBER }, { pointer: "magnification_sd", label: "Scale, relative SD", kind: NUMBER },
        { pointer: "view_error_sd_deg", label: "View misses the plane, SD", kind: NUMBER }] },
    direct: { words: "a direct measurement", start: { direct: "inner_diameter_mm" }, fields: [
        { pointer: "direct", label: "Of, such as inner_diameter_mm", kind: "text", needed: true },
        { pointer: "sd_mm", label: "SD", kind: NUMBER, needed: true }] },
    bundle: { words: "several of the above together", start: { bundle: [] }, fields: [
        { pointer: "bundle", label: "Names of looks above", kind: "names", needed: true }] },
};

const COMMON: Field[] = [
    { pointer: "readers", label: "Readers", kind: NUMBER }, { pointer: "burden", label: "Harm of looking", kind: NUMBER }, { pointer: "minutes", label: "Minutes", kind: NUMBER },
];

function card(context: FormContext, index: number): Card {
    const at = `/looks/${index}`, kind = Object.keys(KINDS).find((k) => context.doc.get(`${at}/${k}`) !== undefined);
    const fields: Field[] = [{ pointer: "name", label: "Name", kind: "text", needed: true }, ...(kind ? KINDS[kind]?.fields ?? [] : []), ...COMMON];
    const rows = fields.map((f) => new FieldRow(context, { ...f, pointer: `${at}/${f.pointer}` }, `, look ${index + 1}`));
    return { rows, node: h("div", { class: "card" }, h("h3", {}, kind ? KINDS[kind]?.words : "a look"), ...rows.map((r) => r.node), remover(context, at, "look")) };
}

export function plannedLooks(context: FormContext): Cards {
    const count = (): number => {
        const list = context.doc.get("/looks");
        return Array.isArray(list) ? list.length : 0;
    };
    const select = h("select", { "aria-label": "kind of look" }, ...Object.entries(KINDS).map(([k, v]) => h("option", { value: k }, v.words)));
    const add = (): void => {
        const start: Json = { name: `look ${count() + 1}`, ...KINDS[select.value]?.start };
        cards.expect();
        addTo(context, "looks", start, "add a look");
    };
    const cards = new Cards(() => outline(context.doc.get("/looks")), () => Array.from({ length: count() }, (_, i) => card(context, i)), "planned-looks", "Looks that could still be made",
                     h("p", { class: "small mute" }, "Without a list a standard set is weighed: another reader, another scan, an angiogram of each gap, a bench value."),
                     h("p", { class: "row" }, select, button("add", add)));
    return cards;
}
