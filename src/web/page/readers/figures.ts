/* figures.ts - how far readers lie apart, on millimetre rulers of one scale: each reader against the mean of all, each pair,
 * and the spread between readers and within one. Every number is of the study's JSON.
 *
 * Contents: 1. rows on a ruler  2. readers and pairs  3. spread
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { s } from "../dom";
import type { Interval, Quantity } from "./answers";

/* 1. Rows on a ruler */

const W = 640, LABEL = 150, VALUE = 96, ROW = 30, TOP = 10;

export interface Span {
    from: number;
    to: number;
}

interface Row {
    label: string;
    value: number;
    whisker: Interval;
    band: Span | null;
    words: string;
    kind: string;
}

const two = (x: number): string => (Math.abs(x) < 0.005 ? "0.00" : x.toFixed(2).replace("-", "\u2212"));

function x(span: Span, mm: number): number {
    const t = (Math.min(Math.max(mm, span.from), span.to) - span.from) / (span.to - span.from || 1);
    return LABEL + t * (W - LABEL - VALUE);
}

function whisker(span: Span, y: number, at: Interval): SVGElement | null {
    if (!at || at[0] === null || at[1] === null)
        return null;
    const cut = at[1] > span.to;
    return s("g", {}, s("line", { x1: x(span, at[0]), x2: x(span, at[1]), y1: y, y2: y, class: "whisker" }),
             cut && s("path", { d: `M${x(span, span.to) - 7} ${y - 5}l8 5l-8 5`, class: "whisker" }));
}

function row(span: Span, r: Row, i: number): SVGElement {
    const y = TOP + i * ROW + ROW / 2;
    return s("g", {}, s("text", { x: LABEL - 14, y: y + 5, "text-anchor": "end", class: "row-label" }, r.label),
             r.band && s("rect", { x: x(span, r.band.from), y: y - 7, width: x(span, r.band.to) - x(span, r.band.from), height: 14, class: "band" }),
                 whisker(span, y, r.whisker),
             r.kind === "dot" ? s("circle", { cx: x(span, r.value), cy: y, r: 6, class: "dot" }) : s("line",
                     { x1: x(span, r.value), x2: x(span, r.value), y1: y - 9, y2: y + 9, class: "tick-firm" }),
             s("text", { x: W, y: y + 5, "text-anchor": "end", class: "row-value" }, r.words));
}

function ruler(span: Span, rows: number): SVGElement {
    const y = TOP + rows * ROW + 6, count = Math.round((span.to - span.from) * 2);
    const every = span.to - span.from > 7 ? 2 : 1;
    const ticks = Array.from({ length: count + 1 }, (_, i) => {
        const mm = span.from + i / 2, whole = Math.abs(mm - Math.round(mm)) < 1e-9;
        return s("g", {}, s("line", { x1: x(span, mm), x2: x(span, mm), y1: y, y2: y + (whole ? 9 : 5), class: "rule" }),
                 whole && Math.round(mm) % every === 0 && s("text", { x: x(span, mm), y: y + 25, "text-anchor": "middle", class: "row-tick" },
                                                            String(Math.round(mm)).replace("-", "\u2212")));
    });
    return s("g", {}, s("line", { x1: x(span, span.from), x2: x(span, span.to), y1: y, y2: y, class: "rule" }), ...ticks,
             s("text", { x: W - VALUE + 16, y: y + 25, class: "row-tick" }, "mm"));
}

function drawing(span: Span, rows: Row[], sentence: string): SVGElement {
    const zero = x(span, 0), floor = TOP + rows.length * ROW + 6;
    return s("svg", { viewBox: `0 0 ${W} ${floor + 32}`, class: "rows", role: "img", "aria-label": sentence },
             s("line", { x1: zero, x2: zero, y1: TOP - 6, y2: floor, class: "zero" }), ...rows.map((r, i) => row(span, r, i)),
                 ruler(span, rows.length));
}

/* 2. Readers and pairs */

function readerRows(q: Quantity): Row[] {
    return Object.entries(q.offsets_mm).flatMap(([name, at]) => at.value === null ? [] :
        [{ label: `reader ${name}`, value: at.value, whisker: at.ci95, band: null, words: two(at.value), kind: "dot" }]);
}

function pairRows(q: Quantity): Row[] {
    return q.pairs.flatMap((p) => p.bias_mm.value === null || p.lower_limit_mm.value === null || p.upper_limit_mm.value === null ? [] :
        [{ label: `${p.first} less ${p.second}`, value: p.bias_mm.value, whisker: null,
           band: { from: p.lower_limit_mm.value, to: p.upper_limit_mm.value }, words: two(p.bias_mm.value), kind: "tick" }]);
}

/* One scale for all quantities of a study, so that rulers can be compared. */
export function differenceSpan(all: Quantity[]): Span {
    const ends = all.flatMap((q) => [...readerRows(q), ...pairRows(q)].flatMap((r) =>
                                                                               [r.value, r.band?.from ?? 0, r.band?.to ?? 0,
                                                                                ...(r.whisker ?? []).map((v) => v ?? 0)]));
    const most = Math.max(1, Math.ceil(Math.max(...ends.map(Math.abs), 0)));
    return { from: -most, to: most };
}

export function differences(q: Quantity, span: Span): { drawn: SVGElement; sentence: string } | null {
    const readers = readerRows(q), rows = [...readers, ...pairRows(q)];
    if (rows.length === 0)
        return null;
    const sentence = `${readers.map((r) => `${r.label} ${r.words} mm`).join(", ")} from the mean of the readers; 95 of 100 differences of a pair lie within its band.`;
    return { drawn: drawing(span, rows, sentence),
             sentence: "Dots: each reader against the mean of the readers, with its 95 % interval. Bands: where 95 of 100 differences between two readers lie; the tick is the mean difference." };
}

/* 3. Spread */

type Sd = [string, number | null, Interval];

function spreads(q: Quantity): Sd[] {
    return [["between readers", q.between_reader_sd_mm, q.between_reader_sd_ci95_mm], ["the same again", q.repeat_sd_mm, q.repeat_sd_ci95_mm],
            ["one reading", q.one_reading_sd_mm, q.one_reading_sd_ci95_mm]];
}

export function spreadSpan(all: Quantity[]): Span {
    const ends = all.flatMap((q) => spreads(q).flatMap(([, value, at]) => [value ?? 0, at?.[1] ?? 0]));
    return { from: 0, to: Math.min(Math.max(1, Math.ceil(Math.max(...ends, 0))), 5) };
}

export function spread(q: Quantity, span: Span): { drawn: SVGElement; sentence: string } | null {
    const rows = spreads(q).flatMap(([label, value, at]): Row[] =>
                                    value === null ? [] : [{ label, value, whisker: at, band: { from: 0, to: value }, words: two(value),
                                                             kind: "tick" }]);
    if (rows.length === 0)
        return null;
    const sentence = rows.map((r) => `${r.label} ${r.words} mm`).join(", ");
    return { drawn: drawing(span, rows, `Spread (SD): ${sentence}.`),
             sentence: "Spread as an SD: between readers, the same reader again, and both together in one reading; thin lines: 95 % intervals." };
}
