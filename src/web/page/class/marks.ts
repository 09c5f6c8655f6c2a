/* marks.ts - the class's ruler: a hundred roots as marks, tens taller; those that cross are filled, the former answer is
 * dashed, the action line is a notch.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import { ofHundred } from "./frequency";

export interface Marks {
    now: number | null;
    ghost: number | null;
    ghostWords: string;
    line: number | null;
}

const PITCH = 12, MARK = 9, TALL = 78, SHORT = 60, TOP = 22, GAP = 5;
const W = 100 * PITCH + 9 * GAP, FLOOR = TOP + TALL;

function x(i: number): number {
    return i * PITCH + Math.floor(i / 10) * GAP;
}

/* The place of a share between two marks. */
function place(share: number): number {
    const t = Math.min(Math.max(100 * share, 0), 100), whole = Math.min(Math.floor(t + 1e-9), 99);
    return x(whole) + (t - whole) * PITCH - (PITCH - MARK) / 2;
}

/* The same in hundredths of the ruler's width. */
export function placeInWidth(share: number): number {
    return 100 * (place(share) + 2) / (W + 4);
}

function kind(i: number, m: Marks): string {
    const now = Math.round(100 * (m.now ?? 0)), ghost = m.ghost === null ? now : Math.round(100 * m.ghost);
    if (i < Math.min(now, ghost))
        return "mark-cross";
    return i < now ? "mark-cross mark-gained" : i < ghost ? "mark-ghost" : "mark-free";
}

function mark(i: number, m: Marks): SVGElement {
    const height = i % 10 === 0 ? TALL : SHORT, at = { x: x(i), y: FLOOR - height, width: MARK, height }, what = kind(i, m);
    return s("g", {}, s("rect", { ...at, class: what }), what.startsWith("mark-cross") && s("rect", { ...at, class: "mark-hatch" }));
}

function hatch(): SVGElement {
    return s("defs", {}, s("pattern", { id: "class-hatch", width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
                           s("line", { x1: 0, y1: 0, x2: 0, y2: 6, class: "hatch-line" })));
}

/* Where the former answer ends, if the marks have passed it. */
function passed(m: Marks): SVGElement | null {
    if (m.ghost === null || m.now === null || Math.round(100 * m.ghost) >= Math.round(100 * m.now))
        return null;
    return s("line", { x1: place(m.ghost), x2: place(m.ghost), y1: TOP - 4, y2: FLOOR + 4, class: "ghost-end" });
}

function notch(line: number): SVGElement {
    const at = place(line);
    return s("g", {}, s("line", { x1: at, x2: at, y1: 10, y2: FLOOR + 8, class: "notch" }),
             s("path", { d: `M${at - 8} 2h16l-8 12z`, class: "notch-head" }));
}

export function marksSentence(m: Marks): string {
    const line = m.line === null ? "" : ` The line: ${Math.round(100 * m.line)}.`;
    const now = m.now === null ? "Not yet shown." : `${ofHundred(m.now)} of 100.`;
    return `${now}${m.ghost === null ? "" : ` Dashed: ${ofHundred(m.ghost)} ${m.ghostWords}.`}${line}`;
}

export function marks(m: Marks): SVGElement {
    return s("svg", { viewBox: `-2 0 ${W + 4} ${FLOOR + 12}`, class: "marks", role: "img", "aria-label": marksSentence(m),
                      preserveAspectRatio: "none" },
             hatch(), ...Array.from({ length: 100 }, (_, i) => mark(i, m)), passed(m), m.line !== null && notch(m.line));
}
