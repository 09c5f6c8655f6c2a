/* worth.ts - what could be looked at again, as a list of work: a bar with its number of untreated events spared.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { h } from "../dom";
import type { Look } from "./told";

/* Bars of a case in which nothing is worth much stay short. */
const LEAST_SCALE = 0.02;

function perThousand(x: number): string {
    const n = Math.round(1000 * x);
    return n < 1 ? "fewer than 1" : String(n);
}

function row(look: Look, most: number): HTMLElement {
    const tens = Math.round(10 * look.call_change.value);
    return h("li", {}, h("span", { class: "look-words" }, look.look), h("b", {}, perThousand(look.value.value)),
             h("span", { class: "worth-bar", "aria-hidden": "true" },
               h("span", { style: `inline-size: ${Math.max(100 * look.value.value / most, 0)}%` })),
             h("span", { class: "mute look-turns" }, `would change the call ${tens === 0 ? "hardly ever" : `in ${tens} of 10`}`));
}

export function worthList(looks: Look[], most: number): HTMLElement {
    const top = Math.max(...looks.map((x) => x.value.value), LEAST_SCALE);
    return h("section", { class: "worth", "aria-label": "What looking again is worth" },
             h("p", { class: "mute" }, "Untreated events spared in 1,000 cases that read like this, when one acts on what the look shows:"),
             h("ol", {}, ...looks.slice(0, most).map((x) => row(x, top))));
}

/* By name, so that the order tells nothing. */
export function lookNames(looks: Look[]): HTMLElement {
    const names = looks.map((x) => x.look).sort();
    return h("ul", { class: "look-names" }, ...names.map((x) => h("li", {}, x)));
}
