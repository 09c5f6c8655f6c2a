/* scale.ts - drawings to scale in mm: where a length lies, and the ruler beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import type { Child } from "../dom";

export interface Scale {
    /* Pixels of a mm, and where 0 mm lies. */
    px: number;
    x0: number;
    y0: number;
}

export const X = (k: Scale, mm: number): number => k.x0 + mm * k.px;
export const Y = (k: Scale, mm: number): number => k.y0 - mm * k.px;

export function label(x: number, y: number, words: string | number, kind = "", anchor = "start"): SVGElement {
    return s("text", { x, y, class: `label ${kind}`, "text-anchor": anchor }, words);
}

export function line(x1: number, y1: number, x2: number, y2: number, kind: string): SVGElement {
    return s("line", { x1, y1, x2, y2, class: kind });
}

function tick(k: Scale, y: number, t: number, every: number): SVGElement {
    const tall = t % 5 === 0, x = X(k, t);
    return s("g", {}, line(x, y, x, y + (tall ? 12 : 7), "rule"), t % every === 0 && label(x, y + 30, t, "tick", "middle"));
}

/* A millimetre ruler from one whole mm to another, numbers every so many. */
export function ruler(k: Scale, from: number, to: number, y: number, every: number): SVGElement {
    const ticks = Array.from({ length: to - from + 1 }, (_, i) => tick(k, y, from + i, every));
    return s("g", {}, line(X(k, from), y, X(k, to), y, "rule"), ...ticks, label(X(k, to) + (to > 9 ? 14 : 10), y + 30, "mm", "tick"));
}

export function picture(width: number, height: number, sentence: string, ...children: Child[]): SVGElement {
    return s("svg", { viewBox: `0 0 ${width} ${height}`, class: "picture", role: "img", "aria-label": sentence }, ...children);
}
