/* picture_bloom.ts - the ring and its bloomed image, and the wall beside, seen from the aorta and to scale, from the
 * numbers of the answer: blooming B in mm per edge, the ring's diameter, the drawn circle, the gap as read, and how many
 * bright edges move the reading (docs/model.md, 3.1: truth = reading - bloom_edges * B).
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import { mm } from "./frequency";
import { X, Y, label, line, picture, ruler } from "./scale";
import type { Scale } from "./scale";

export interface Bloom {
    blooming: number;
    ring: number;
    circle: number;
    gap: number;
    edges: number;
    /* Before the class has guessed the true wall is not drawn. */
    shown: boolean;
}

/* The part of the ring beyond its middle is cut off, so that half a millimetre is seen from the back of a room. */
const W = 640, H = 400, DRAWN = 310, BEYOND_MM = 3.5, SPAN_DEG = 38;

/* An arc of the wall about the centre; from its lower to its upper end. */
function arc(k: Scale, radius: number, kind: string): SVGElement {
    const a = SPAN_DEG * Math.PI / 180, x = X(k, radius * Math.cos(a)), y = radius * Math.sin(a), r = radius * k.px;
    return s("path", { d: `M${x} ${Y(k, -y)}A${r} ${r} 0 0 0 ${x} ${Y(k, y)}`, class: kind });
}

/* A bright edge shows as a band of B to either side of it; the darker the nearer. */
function halo(k: Scale, radius: number, blooming: number): SVGElement[] {
    return [1, 0.66, 0.33].map((part) => s("circle", { cx: k.x0, cy: k.y0, r: radius * k.px, class: "halo",
                                                       "stroke-width": 2 * part * blooming * k.px }));
}

function wallHalo(k: Scale, seen: number, truth: number): SVGElement | null {
    if (Math.abs(truth - seen) < 0.01)
        return null;
    const path = arc(k, (seen + truth) / 2, "halo");
    path.setAttribute("stroke-width", String(Math.abs(truth - seen) * k.px));
    return path;
}

function sentence(b: Bloom, truth: number): string {
    const moved = b.edges === 0 ? "The wall is not bright: blooming moves nothing here."
                                : b.shown ? `Corrected for ${b.blooming.toFixed(2)} mm of blooming it is ${mm(truth)} wide.` : "";
    return `Seen from the aorta, to scale. The ring is ${mm(b.ring)} wide inside. The gap reads ${mm(b.gap)} from the drawn circle. ${moved}`;
}

function dimension(k: Scale, from: number, to: number, at: number, kind: string, words: string, below: boolean): SVGElement {
    const y = Y(k, at), a = X(k, from), b = X(k, to);
    return s("g", {}, line(a, y, b, y, kind), line(a, y - 6, a, y + 6, "rule"), line(b, y - 6, b, y + 6, kind === "dashed" ? "rule" : "firm-deep"),
             label((a + b) / 2, y + (below ? 26 : -12), words, kind === "dashed" ? "" : "strong", "middle"));
}

function ring(k: Scale, b: Bloom): SVGElement {
    const r = b.ring / 2;
    return s("g", {}, ...(b.shown ? halo(k, r, b.blooming) : []), s("circle", { cx: k.x0, cy: k.y0, r: r * k.px, class: "ring" }),
             label(k.x0 - 12, Y(k, 0) - 6, `the ring, ${b.ring.toFixed(1)} inside`, "cross"),
             label(k.x0 - 12, Y(k, 0) + 20, b.shown ? "grey: what the scan shows" : "", "small"));
}

/* Where the gap truly starts and ends: of two bright edges each end has one; a single one is the wall's. */
function trueEdges(b: Bloom): { start: number; truth: number } {
    const from = b.circle / 2, atStart = Math.abs(b.edges) > 1 ? b.edges / 2 * b.blooming : 0;
    return { start: from + atStart, truth: from + b.gap - b.edges * b.blooming + atStart };
}

export function bloomPicture(b: Bloom): SVGElement {
    const from = b.circle / 2, seen = from + b.gap, { start, truth } = trueEdges(b), moved = b.shown && b.edges !== 0;
    const px = (W - 24) / (BEYOND_MM + Math.max(seen, truth) + 2.5), k: Scale = { px, x0: 12 + BEYOND_MM * px, y0: DRAWN / 2 };
    const gapScale: Scale = { ...k, x0: X(k, from) };
    return picture(W, H, sentence(b, truth - start), s("svg", { x: 0, y: 0, width: W, height: DRAWN }, ring(k, b),
                                                       b.shown && wallHalo(k, seen, truth),
                   arc(k, seen, moved ? "wall-seen" : "wall"), moved && arc(k, truth, "wall")),
                   dimension(k, from, seen, 1.2, "dashed", `as read ${b.gap.toFixed(1)}`, false),
                   moved && dimension(k, start, truth, -1.2, "firm-deep", `corrected ${(truth - start).toFixed(1)}`, true),
                   moved && label(W - 12, H - 6, `bright edges in this gap: ${Math.abs(b.edges)} \u00d7 ${b.blooming.toFixed(2)} mm`, "small", "end"),
                   ruler(gapScale, 0, Math.ceil(b.gap) + 2, H - 76, 1),
                       label(X(gapScale, 0) - 14, H - 46, "mm from the drawn circle", "small", "end"));
}
