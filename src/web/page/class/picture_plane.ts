/* picture_plane.ts - the base plane and its axis in profile, to scale: how far both lean at one SD, and where the ostium is.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import { mm } from "./frequency";
import { X, Y, label, line, picture, ruler } from "./scale";
import type { Scale } from "./scale";

export interface Plane {
    tiltDeg: number;
    radius: number;
    circle: number;
    height: number;
    gap: number;
}

const W = 640, H = 400;

/* The points between a line through the origin leaning one way and the other: two triangles. */
function wedge(k: Scale, lean: number, x: number, y: number): SVGElement {
    const turn = (a: number): string => `${X(k, x * Math.cos(a) + y * Math.sin(a))} ${Y(k, y * Math.cos(a) - x * Math.sin(a))}`;
    return s("path", { d: `M${X(k, 0)} ${Y(k, 0)}L${turn(lean)}L${turn(-lean)}Z`, class: "lean" });
}

function sentence(p: Plane): string {
    return `In profile, to scale. The plane and its axis lean by ${p.tiltDeg.toFixed(1)} degrees (SD per axis). The left ostium is read ${mm(p.height)} above the plane, ${mm(p.gap)} from the drawn circle.`;
}

function ostium(k: Scale, p: Plane): SVGElement {
    const x = p.circle / 2 + p.gap, from = p.circle / 2;
    return s("g", {}, line(X(k, x), Y(k, p.height - 3), X(k, x), Y(k, p.height), "wall"),
             line(X(k, x), Y(k, p.height), X(k, x + 2), Y(k, p.height + 0.4), "wall"),
             line(X(k, from), Y(k, p.height), X(k, x), Y(k, p.height), "dashed"),
             label((X(k, from) + X(k, x)) / 2, Y(k, p.height) - 10, `as read ${p.gap.toFixed(1)}`, "", "middle"),
             label(X(k, x) + 12, Y(k, p.height) + 24, "left ostium"));
}

function axis(k: Scale, p: Plane): SVGElement {
    const top = p.height + 3, lean = p.tiltDeg * Math.PI / 180;
    return s("g", {}, wedge(k, lean, 0, top), wedge(k, lean, p.radius, 0), wedge(k, lean, -p.radius, 0),
             line(X(k, 0), Y(k, 0), X(k, 0), Y(k, top), "firm-deep"),
             line(X(k, -p.radius), Y(k, 0), X(k, p.radius), Y(k, 0), "firm"),
                 line(X(k, p.circle / 2), Y(k, -1), X(k, p.circle / 2), Y(k, top), "circle-edge"),
             label(X(k, p.circle / 2) + 7, Y(k, 1.4), "drawn circle", "small"), label(X(k, -p.radius), Y(k, 0) + 26, "base plane"),
             label(X(k, -top * Math.sin(lean)) - 10, Y(k, top) + 14, `axis: leans ${p.tiltDeg.toFixed(1)}\u00b0 (SD)`, "strong", "end"));
}

function heights(k: Scale, to: number, x: number): SVGElement {
    const ticks = Array.from({ length: to + 1 }, (_, t) => s("g", {}, line(x, Y(k, t), x - (t % 5 ? 6 : 11), Y(k, t), "rule"),
                                                             t % 5 === 0 && label(x - 15, Y(k, t) + 5, t, "tick", "end")));
    return s("g", {}, line(x, Y(k, 0), x, Y(k, to), "rule"), ...ticks);
}

export function planePicture(p: Plane): SVGElement {
    const right = p.circle / 2 + p.gap + 6, left = p.radius + 2, px = Math.min((W - 60) / (left + right), (H - 90) / (p.height + 4));
    const k: Scale = { px, x0: 48 + left * px, y0: H - 66 };
    const gapScale: Scale = { ...k, x0: X(k, p.circle / 2) };
    return picture(W, H, sentence(p), axis(k, p), ostium(k, p), heights(k, Math.ceil(p.height) + 2, 42),
                   label(8, Y(k, p.height + 4) - 2, "mm", "tick"),
                   ruler(gapScale, 0, Math.ceil(p.gap) + 2, H - 42, 2));
}
