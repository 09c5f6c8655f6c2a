/* picture_curve.ts - how many of 100 cross a limit as one thing is turned: the points of `sweep`, the line, the case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import { ofHundred, shortOfHundred } from "./frequency";
import { label, line, picture } from "./scale";

export interface CurvePoint {
    at: number;
    p: number;
}

export interface Curve {
    points: CurvePoint[];
    line: number | null;
    asItIs: number;
    words: string;
}

const W = 960, H = 430, LEFT = 64, RIGHT = 30, TOP = 34, FLOOR = 350;

interface Axes {
    x(at: number): number;
    y(p: number): number;
    top: number;
}

function axesOf(c: Curve): Axes {
    const xs = c.points.map((q) => q.at), a = Math.min(...xs), b = Math.max(...xs);
    const top = Math.min(Math.ceil(Math.max(...c.points.map((q) => q.p), c.line ?? 0, c.asItIs) * 10 + 0.5) / 10, 1);
    return { top, x: (at) => LEFT + (at - a) / (b - a || 1) * (W - LEFT - RIGHT), y: (p) => FLOOR - p / top * (FLOOR - TOP) };
}

function point(a: Axes, q: CurvePoint, last: number): SVGElement {
    return s("g", {}, s("circle", { cx: a.x(q.at), cy: a.y(q.p), r: 7, class: "curve-dot" }),
             label(a.x(q.at) + (q.at === last ? -2 : 9), a.y(q.p) - 12, shortOfHundred(q.p), "strong", q.at === last ? "end" : "start"),
             line(a.x(q.at), FLOOR, a.x(q.at), FLOOR + 8, "rule"), label(a.x(q.at), FLOOR + 30, Number(q.at.toPrecision(4)), "tick", "middle"));
}

function grid(a: Axes): SVGElement[] {
    const step = a.top > 0.5 ? 0.2 : 0.1, n = Math.floor(a.top / step + 1e-9);
    return Array.from({ length: n + 1 }, (_, i) => s("g", {}, line(LEFT, a.y(i * step), W - RIGHT, a.y(i * step), "hair"),
                                                       label(LEFT - 10, a.y(i * step) + 6, Math.round(100 * i * step), "tick", "end")));
}

function sentence(c: Curve): string {
    const all = c.points.map((q) => `at ${Number(q.at.toPrecision(4))}, ${ofHundred(q.p)}`).join("; ");
    return `How many of 100 cross a limit, by ${c.words}: ${all}.`;
}

export function curvePicture(c: Curve): SVGElement {
    const a = axesOf(c), path = c.points.map((q, i) => `${i ? "L" : "M"}${a.x(q.at)} ${a.y(q.p)}`).join("");
    return picture(W, H, sentence(c), ...grid(a), c.line !== null && line(LEFT, a.y(c.line), W - RIGHT, a.y(c.line), "curve-line"),
                   c.line !== null && label(W - RIGHT, a.y(c.line) + (c.asItIs >= c.line ? 24 : -8), `the line: ${Math.round(100 * c.line)}`, "",
                                            "end"),
                   line(LEFT, a.y(c.asItIs), W - RIGHT, a.y(c.asItIs), "dashed"),
                       label(LEFT + 4, a.y(c.asItIs) + (c.line !== null && c.asItIs < c.line ? 24 : -8), `as it is: ${ofHundred(c.asItIs)}`, "cross"),
                   s("path", { d: path, class: "curve" }), ...c.points.map((q) => point(a, q, c.points[c.points.length - 1]?.at ?? NaN)),
                       label((W + LEFT) / 2, H - 10, c.words, "", "middle"), label(LEFT + 6, TOP - 8, "of 100", "tick"));
}
