/* drawing.ts - the root in profile, to scale, as far as it was entered: it grows with the entries. Left and right of the
 * axis the first two sinuses; every landmark lights with its field and leads to it.
 *
 * It shows what was typed, at its middle, and tells no number that was not typed.
 *
 * Contents: 1. what is drawn  2. scale  3. landmarks  4. the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s, visible } from "../dom";
import type { CaseDoc } from "./case_doc";
import { isObject, join } from "./pointer";
import { middle, numbersTyped, shown } from "./value";

/* 1. What is drawn, in mm; undefined where nothing was entered */

type Mm = number | undefined;

interface Side {
    name: string;
    at: string;
    circle: Mm;
    ostium: { height: Mm; gap: Mm } | null;
    junction: { height: Mm; gap: Mm };
    leaflet: Mm;
}

interface Root {
    ring: Mm;
    ringHeight: Mm;
    nominal: Mm;
    depth: Mm;
    frame: Mm;
    skirt: Mm;
    sides: Side[];
}

function sideOf(doc: CaseDoc, name: string): Side {
    const at = join("/coronaries", name), mm = (key: string): Mm => middle(doc.get(`${at}/${key}`));
    return { name, at, circle: mm("circle_mm"), ostium: doc.get(`${at}/ostium`) === false ? null : { height: mm("ostium_height"), gap: mm("ostium_gap") },
             junction: { height: mm("stj_height"), gap: mm("stj_gap") }, leaflet: mm("leaflet_height") };
}

function rootOf(doc: CaseDoc): Root {
    const all = doc.get("/coronaries"), mm = (pointer: string): Mm => middle(doc.get(pointer));
    return { ring: mm("/surgical_valve/inner_diameter_mm"), ringHeight: mm("/surgical_valve/ring_height_mm"), nominal: mm("/implant/nominal_diameter_mm"),
             depth: mm("/implant/implant_depth_mm"), frame: mm("/implant/frame_height_mm"), skirt: mm("/implant/skirt_height_mm"),
             sides: (isObject(all) ? Object.keys(all) : []).slice(0, 2).map((name) => sideOf(doc, name)) };
}

/* 2. Scale: mm above the base and from the axis to points of the picture */

const WIDTH = 400, LEFT = 34, AXIS = 217, TOP_PAD = 22, BOTTOM_PAD = 26;

interface Scale {
    k: number;
    low: number;
    high: number;
    height: number;
    y(mm: number): number;
    x(mm: number, sign: number): number;
}

function known(list: Mm[]): number[] {
    return list.filter((v) => v !== undefined).filter((v) => Math.abs(v) < 80);
}

function scaleOf(root: Root): Scale {
    const heights = known([20, ...root.sides.flatMap((d) => [d.junction.height, d.leaflet, d.ostium?.height])]);
    const radii = known([15, ...root.sides.flatMap((d) => [radius(d, d.ostium?.gap), radius(d, d.junction.gap)])]);
    const high = Math.max(...heights) + 4, low = Math.min(-2, ...known([root.depth]).map((d) => -d - 1.5));
    const k = Math.min((WIDTH - AXIS - 14) / (Math.max(...radii) + 3), 300 / (high - low));
    return { k, low, high, height: TOP_PAD + BOTTOM_PAD + k * (high - low), y: (mm) => TOP_PAD + k * (high - mm), x: (mm, sign) => AXIS + sign * k * mm };
}

function radius(side: Side, gap: Mm): Mm {
    return side.circle === undefined || gap === undefined ? undefined : side.circle / 2 + gap;
}

/* 3. Landmarks */

export interface Touch {
    lit: string;
    go(pointer: string): void;
}

/* A part of the picture that belongs to fields: it lights with them, and a click leads to the first. */
function landmark(touch: Touch, pointers: string[], title: string, ...children: (SVGElement | false | null)[]): SVGElement {
    const lit = pointers.includes(touch.lit);
    return s("g", { class: lit ? "landmark lit" : "landmark", onclick: () => touch.go(pointers[0] ?? "") }, s("title", {}, visible(title)), ...children);
}

function label(x: number, y: number, words: string, anchor: string, strong = false): SVGElement {
    return s("text", { x, y, "text-anchor": anchor, class: strong ? "strong" : "" }, visible(words));
}

function ticks(c: Scale): SVGElement[] {
    const from = Math.ceil(c.low), list = Array.from({ length: Math.floor(c.high) - from + 1 }, (_, i) => from + i);
    return list.flatMap((mm) => {
        const five = mm % 5 === 0, y = c.y(mm);
        return [s("line", { x1: LEFT - (five ? 7 : 4), x2: LEFT, y1: y, y2: y, class: "tick" }),
                ...(five ? [s("line", { x1: LEFT, x2: WIDTH, y1: y, y2: y, class: "hair" }), label(LEFT - 10, y + 4, String(mm), "end")] : [])];
    });
}

function ring(root: Root, c: Scale, touch: Touch): SVGElement | false {
    const d = root.ring, height = root.ringHeight ?? 2;
    return d !== undefined && landmark(touch, ["/surgical_valve/inner_diameter_mm", "/surgical_valve/ring_height_mm"], `ring, inner diameter ${d} mm`,
        ...[-1, 1].map((sign) => s("rect", { x: c.x(d / 2, sign) - (sign < 0 ? 7 : 0), y: c.y(height), width: 7, height: c.k * height, class: "ring" })));
}

/* The new valve as a straight cylinder of its frame: what it does in the ring is for the engine to say. */
function frame(root: Root, c: Scale, touch: Touch): SVGElement | false {
    const { nominal, depth, frame: height } = root;
    if (nominal === undefined || depth === undefined)
        return false;
    const top = c.y(height === undefined ? c.high - 1 : Math.min(height - depth, c.high)), pointers = ["/implant/nominal_diameter_mm", "/implant/implant_depth_mm", "/implant/frame_height_mm"];
    const skirt = root.skirt === undefined ? [] : [s("rect", { x: c.x(nominal / 2, -1), y: c.y(root.skirt - depth), width: c.k * nominal, height: c.k * root.skirt, class: "skirt" })];
    return landmark(touch, [...pointers, "/implant/skirt_height_mm"], `new valve, nominal ${nominal} mm, ${depth} mm deep`,
        s("rect", { x: c.x(nominal / 2, -1), y: top, width: c.k * nominal, height: c.y(-depth) - top, class: "frame" }), ...skirt);
}

function tube(side: Side, sign: number, c: Scale, touch: Touch): SVGElement | false {
    const { circle, leaflet } = side;
    if (circle === undefined)
        return false;
    const x = c.x(circle / 2, sign), top = leaflet === undefined ? c.y(3) : c.y(leaflet);
    return landmark(touch, [leaflet === undefined ? `${side.at}/circle_mm` : `${side.at}/leaflet_height`, `${side.at}/circle_mm`], `${side.name}: circle drawn ${circle} mm, leaflet`,
        s("line", { x1: x, x2: x, y1: c.y(0), y2: top, class: leaflet === undefined ? "tube open" : "tube" }),
        leaflet !== undefined && s("line", { x1: x - 6, x2: x + 6, y1: top, y2: top, class: "rim" }));
}

interface GapPlace {
    what: string;
    keys: [string, string];
    height: Mm;
    gap: Mm;
}

/* The room from circle to wall as a ruler's stroke with the number as typed. */
function gapMark(doc: CaseDoc, side: Side, sign: number, g: GapPlace, c: Scale, touch: Touch): SVGElement | false {
    const r = radius(side, g.gap), { circle } = side;
    if (g.height === undefined)
        return false;
    const pointers = [`${side.at}/${g.keys[1]}`, `${side.at}/${g.keys[0]}`], y = c.y(g.height);
    if (r === undefined || circle === undefined)
        return landmark(touch, [...pointers].reverse(), `${side.name} ${g.what}, height`, s("line", { x1: c.x(11, sign), x2: c.x(17, sign), y1: y, y2: y, class: "height" }));
    const a = c.x(circle / 2, sign), b = c.x(r, sign), words = numbersTyped(doc.get(pointers[0] ?? ""));
    return landmark(touch, pointers, `${side.name} ${g.what}: gap ${shown(doc.get(pointers[0] ?? ""))} mm, height ${shown(doc.get(pointers[1] ?? ""))} mm`,
        s("rect", { x: Math.min(a, b) - 4, y: y - 13, width: Math.abs(b - a) + 8, height: 22, class: "hit" }),
        s("line", { x1: a, x2: b, y1: y, y2: y, class: "gap" }), s("line", { x1: a, x2: a, y1: y - 5, y2: y + 5, class: "gap" }), s("line", { x1: b, x2: b, y1: y - 5, y2: y + 5, class: "gap" }),
        label(a - sign * 8, y + 4, words, sign < 0 ? "start" : "end", true));
}

/* The wall through what was measured; between, a sketch. */
function wall(root: Root, side: Side, sign: number, c: Scale): SVGElement | false {
    const o = side.ostium, oR = o ? radius(side, o.gap) : undefined, jR = radius(side, side.junction.gap), jH = side.junction.height;
    if (jR === undefined || jH === undefined)
        return false;
    const base = (root.ring ?? side.circle ?? 20) / 2 + 1.5, belly = oR !== undefined && o?.height !== undefined && o.height < jH ? { r: oR, h: o.height } : { r: jR + 2, h: jH / 2 };
    const p = (r: number, mm: number): string => `${c.x(r, sign).toFixed(1)} ${c.y(mm).toFixed(1)}`, third = (jH - belly.h) / 3;
    return s("path", { class: "wall", d: `M${p(base, 0)}C${p(base + 2, belly.h * 0.15)} ${p(belly.r, belly.h * 0.4)} ${p(belly.r, belly.h)}`
        + `C${p(belly.r, belly.h + third)} ${p(jR, jH - third)} ${p(jR, jH)}L${p(jR, c.high)}` });
}

/* 4. The picture */

function sideMarks(doc: CaseDoc, root: Root, side: Side, sign: number, c: Scale, touch: Touch): (SVGElement | false)[] {
    const ostium: GapPlace | null = side.ostium && { what: "ostium", keys: ["ostium_height", "ostium_gap"], ...side.ostium };
    return [wall(root, side, sign, c), tube(side, sign, c, touch), ostium ? gapMark(doc, side, sign, ostium, c, touch) : false,
            gapMark(doc, side, sign, { what: "junction", keys: ["stj_height", "stj_gap"], ...side.junction }, c, touch),
            label(c.x(11, sign), c.height - 8, side.name.length > 16 ? `${side.name.slice(0, 15)}…` : side.name, "middle", true)];
}

export function drawing(doc: CaseDoc, touch: Touch): SVGElement {
    const root = rootOf(doc), c = scaleOf(root);
    const sides = root.sides.flatMap((side, i) => sideMarks(doc, root, side, i === 0 ? -1 : 1, c, touch));
    return s("svg", { viewBox: `0 0 ${WIDTH} ${c.height.toFixed(0)}`, class: "entered", role: "img", "aria-label": visible(sentence(doc, root)) }, ...ticks(c),
             s("line", { x1: LEFT, x2: LEFT, y1: c.y(c.low), y2: c.y(c.high), class: "axis" }), label(0, 11, "mm above the base plane, as entered", "start"),
             s("line", { x1: AXIS, x2: AXIS, y1: TOP_PAD, y2: c.y(c.low), class: "centre" }), frame(root, c, touch), ring(root, c, touch), ...sides);
}

/* In words as typed. */
function sentence(doc: CaseDoc, root: Root): string {
    const typed = (side: Side, key: string): string => shown(doc.get(`${side.at}/${key}`));
    const at = (side: Side, what: string, height: string, gap: string): string => {
        const h = typed(side, height), g = typed(side, gap);
        return h && `${what} ${h} high${g && `, ${g} from the circle`}`;
    };
    const told = root.sides.map((d) => {
        const leaflet = typed(d, "leaflet_height");
        const list = [d.ostium ? at(d, "ostium", "ostium_height", "ostium_gap") : "no coronary", at(d, "junction", "stj_height", "stj_gap"), leaflet && `leaflet to ${leaflet}`];
        return `${d.name}: ${list.filter((x) => x).join("; ") || "nothing entered"}`;
    });
    return `The root in profile as entered, mm above the base plane. ${told.join(". ")}.`;
}
