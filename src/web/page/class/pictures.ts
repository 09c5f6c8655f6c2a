/* pictures.ts - the picture of a slide, from the numbers of its bench.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Bench } from "./bench";
import type { Picture } from "./lesson";
import { LIMIT } from "./lessons";
import { bloomPicture } from "./picture_bloom";
import { planePicture } from "./picture_plane";
import { roomPicture } from "./picture_room";

function room(bench: Bench, shown: boolean): SVGElement {
    const { held, now } = bench.view(), left = now.coronaries["left"], start = bench.stand.start.coronaries["left"];
    const limit = held[LIMIT] ?? now.decision.limits[0]?.ostium_clearance_mm ?? 0;
    const circle = shown ? left?.conventional_ostium_mm.median ?? 0 : held["left.ostium_gap"] ?? 0;
    const lows = [0, start?.ostium_clearance_mm.low95 ?? 0, bench.shade.room?.low95 ?? 0],
        highs = [start?.ostium_clearance_mm.high95 ?? 8, bench.shade.room?.high95 ?? 0, limit, circle];
    return roomPicture({ limit, circle, room: shown ? left?.ostium_clearance_mm ?? null : null,
                         before: shown && bench.ghost !== null ? bench.shade.room : null,
                         from: Math.floor(Math.min(...lows)), to: Math.ceil(Math.max(...highs)) + 2 });
}

function bloom(bench: Bench, shown: boolean): SVGElement {
    const { held } = bench.view(), circle = bench.number("/coronaries/left/circle_mm") ?? 0;
    return bloomPicture({ blooming: held["blooming"] ?? 0, ring: held["inner_diameter"] ?? circle, circle, gap: held["left.ostium_gap"] ?? 0,
                          edges: bench.number("/coronaries/left/ostium_gap/bloom_edges") ?? 0, shown });
}

function plane(bench: Bench): SVGElement {
    const { held } = bench.view(), circle = bench.number("/coronaries/left/circle_mm") ?? 0;
    return planePicture({ tiltDeg: held["tilt"] ?? 0, radius: bench.number("/scan/base_plane/radius_mm") ?? circle / 2, circle,
                          height: held["left.ostium_height"] ?? 0, gap: held["left.ostium_gap"] ?? 0 });
}

/* Before the class has guessed, nothing of the answer is drawn. */
export function pictureOf(bench: Bench, what: Picture, shown: boolean): SVGElement {
    return what === "bloom" ? bloom(bench, shown) : what === "plane" ? plane(bench) : room(bench, shown);
}
