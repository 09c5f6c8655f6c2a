/* picture_room.ts - the true room beside the left ostium on a millimetre ruler: where 95 of 100 lie, the middle, the limit,
 * and what the drawn circle shows.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import type { Spread } from "./answers";
import { mm } from "./frequency";
import { X, label, line, picture, ruler } from "./scale";
import type { Scale } from "./scale";

export interface Room {
    limit: number;
    /* null before the class has guessed: then the reading alone is shown. */
    room: Spread | null;
    circle: number;
    before: Spread | null;
    from: number;
    to: number;
}

const W = 640, H = 300, BAND = 96, TALL = 84, FLOOR = 228;

function sentence(r: Room): string {
    const known = r.room
        ? `The true room is ${mm(r.room.median)} in the middle, 95 of 100 between ${r.room.low95.toFixed(1)} and ${mm(r.room.high95)}. ` : "";
    return `${known}By the drawn circle ${mm(r.circle)}. The limit is ${mm(r.limit)}.`;
}

function band(k: Scale, at: Spread, limit: number): SVGElement {
    const a = X(k, at.low95), b = X(k, at.high95), cut = Math.min(Math.max(X(k, limit), a), b);
    return s("g", {}, s("rect", { x: a, y: BAND, width: b - a, height: TALL, class: "room-band" }),
             s("rect", { x: a, y: BAND, width: cut - a, height: TALL, class: "room-cross" }),
             s("rect", { x: a, y: BAND, width: cut - a, height: TALL, class: "mark-hatch" }),
             line(X(k, at.median), BAND - 8, X(k, at.median), BAND + TALL + 6, "firm"),
             label(X(k, at.median), BAND + TALL + 24, `middle ${at.median.toFixed(1)}`, "strong", "middle"));
}

function ends(k: Scale, at: Spread): SVGElement {
    return s("g", {}, label(X(k, at.low95), BAND + TALL + 24, at.low95.toFixed(1), "small", "middle"),
             label(X(k, at.high95), BAND + TALL + 24, at.high95.toFixed(1), "small", "middle"));
}

function formerly(k: Scale, at: Spread): SVGElement {
    return s("rect", { x: X(k, at.low95), y: BAND - 6, width: X(k, at.high95) - X(k, at.low95), height: TALL + 12, class: "room-before" });
}

function circle(k: Scale, at: number, alone: boolean): SVGElement {
    return s("g", {}, line(X(k, at), 44, X(k, at), BAND + TALL, "dashed"),
             label(X(k, at) + 7, 58, `${alone ? "as read" : "by the drawn circle"} ${at.toFixed(1)}`));
}

function limitLine(k: Scale, at: number): SVGElement {
    return s("g", {}, line(X(k, at), 24, X(k, at), FLOOR, "limit-line"), label(X(k, at) - 7, 30, `limit ${at.toFixed(1)}`, "", "end"));
}

export function roomPicture(r: Room): SVGElement {
    const px = (W - 70) / (r.to - r.from), k: Scale = { px, x0: 20 - r.from * px, y0: FLOOR };
    return picture(W, H, sentence(r), r.before && formerly(k, r.before), r.room && band(k, r.room, r.limit), r.room && ends(k, r.room),
                   circle(k, r.circle, !r.room), limitLine(k, r.limit), ruler(k, r.from, r.to, FLOOR, 2),
                   label(20, H - 8, r.room
                         ? "room beside the left ostium; the band holds 95 of 100 true rooms" : "room beside the left ostium, as read", "small"));
}
