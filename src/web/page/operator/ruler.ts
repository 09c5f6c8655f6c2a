/* ruler.ts - one hundred roots as the marks of a ruler, tens taller: those that cross are filled, the action line is a
 * notch, and a bracket below says what the settings give.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";

export interface RulerNumbers {
    share: number | null; /* filled; null: nothing known */
    line: number | null;
    lineWords: string;
    range: { low: number; high: number } | null;
    stale: boolean;
}

const TALL = 30, SHORT = 23, TOP = 17;

interface Scale {
    width: number;
    gap: number;
    pitch: number;
    mark: number;
}

function scaleOf(width: number): Scale {
    const gap = width > 500 ? 5 : 1.5, pitch = (width - 2 - 9 * gap) / 100;
    return { width, gap, pitch, mark: pitch * (width > 500 ? 0.76 : 0.68) };
}

/* The place of a share of 1, between two marks; at a ten, the middle of the gap. */
function place(r: Scale, share: number): number {
    const t = Math.min(Math.max(100 * share, 0), 100), tens = Math.floor(t / 10 + 1e-9);
    const x = 1 + t * r.pitch - (r.pitch - r.mark) / 2;
    const atTen = Math.abs(t - 10 * tens) < 1e-9 && t > 0 && t < 100;
    return x + (atTen ? tens - 0.5 : Math.min(tens, 9)) * r.gap;
}

function hatch(): SVGElement {
    return s("defs", {}, s("pattern", { id: "ruler-hatch", width: 5, height: 5, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
                           s("rect", { width: 5, height: 5, class: "f-cross" }), s("line", { x1: 0, y1: 0, x2: 0, y2: 5, class: "l-hatch" })));
}

function marks(r: Scale, share: number | null): SVGElement[] {
    return Array.from({ length: 100 }, (_, i) => {
        const height = i % 10 === 0 ? TALL : SHORT, filled = share === null ? 0 : Math.min(Math.max(100 * share - i, 0), 1);
        const at = { x: 1 + i * r.pitch + Math.floor(i / 10) * r.gap, y: TOP + TALL - height, height };
        return s("g", {}, s("rect", { ...at, width: r.mark, class: "mark" }),
                 filled > 0 && s("rect", { ...at, width: r.mark * filled, class: "mark-cross" }));
    });
}

function tens(r: Scale): SVGElement[] {
    const step = r.width > 420 ? 10 : 50;
    const shown = Array.from({ length: 100 / step + 1 }, (_, i) => i * step);
    return shown.map((t) => s("text", { x: t === 100 ? r.width : t === 0 ? 0 : place(r, t / 100), y: TOP + TALL + 14, class: "tick",
                                        "text-anchor": t === 100 ? "end" : t === 0 ? "start" : "middle" }, t));
}

function notch(r: Scale, line: number, words: string): SVGElement {
    const x = place(r, line), right = line > 0.6;
    return s("g", {}, s("line", { x1: x, y1: 4, x2: x, y2: TOP + TALL + 3, class: "notch" }),
             s("path", { d: `M${x - 5} 1h10l-5 8z`, class: "f-ink" }),
             s("text", { x: x + (right ? -9 : 9), y: 11, class: "line-words", "text-anchor": right ? "end" : "start" }, words));
}

function bracket(r: Scale, low: number, high: number): SVGElement {
    const y = TOP + TALL + 27, a = place(r, low), b = place(r, high);
    return s("path", { d: `M${a} ${y - 6}V${y}H${Math.max(b, a + 1)}V${y - 6}`, class: "bracket" });
}

/* In pixels of a page whose letters have their usual size; larger with larger letters. */
export function ruler(width: number, n: RulerNumbers, words: string): SVGElement {
    const larger = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1;
    const r = scaleOf(Math.max(width / larger, 240)), height = TOP + TALL + (n.range ? 30 : 17);
    return s("svg", { viewBox: `0 0 ${r.width} ${height}`, width: r.width * larger, height: height * larger, class: n.stale ? "ruler stale" : "ruler", role: "img", "aria-label": words },
             hatch(), ...marks(r, n.share), ...tens(r), n.range && bracket(r, n.range.low, n.range.high),
             n.line !== null && notch(r, n.line, n.lineWords));
}
