/* numbers.ts - every number of a quantity as tables.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { h } from "../dom";
import type { Estimate, Interval, Quantity } from "./answers";

const two = (x: number | null | undefined): string => (x === null || x === undefined ? "not told" : x.toFixed(2).replace("-", "\u2212"));

function interval(at: Interval): string {
    return at && at[0] !== null && at[1] !== null ? `${two(at[0])} to ${two(at[1])}` : "";
}

function table(caption: string, heads: string[], rows: (string | number)[][]): HTMLElement | null {
    if (rows.length === 0)
        return null;
    return h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": caption },
             h("table", {}, h("caption", {}, caption), h("thead", {},
                                                         h("tr", {}, ...heads.map((x) => (x ? h("th", { scope: "col" }, x) : h("td", {}))))),
             h("tbody", {}, ...rows.map(([first, ...rest]) =>
                                        h("tr", {}, h("th", { scope: "row" }, first ?? ""), ...rest.map((x) => h("td", {}, x)))))));
}

function sources(q: Quantity): (string | number)[][] {
    const all: [string, number | null, Interval][] = [
        ["the cases themselves", q.case_sd_mm, q.case_sd_ci95_mm], ["one reader against another", q.reader_sd_mm, q.reader_sd_ci95_mm],
        ["a reader's own way with a case", q.reader_case_sd_mm, q.reader_case_sd_ci95_mm],
            ["the same reader again", q.repeat_sd_mm, q.repeat_sd_ci95_mm],
        ["between readers, together", q.between_reader_sd_mm, q.between_reader_sd_ci95_mm],
            ["one reading by one reader", q.one_reading_sd_mm, q.one_reading_sd_ci95_mm]];
    return all.map(([what, value, at]) => [what, two(value), interval(at)]);
}

function pairs(q: Quantity): (string | number)[][] {
    return q.pairs.map((p) => [`${p.first} less ${p.second}`, p.cases, two(p.bias_mm.value), interval(p.bias_mm.ci95), two(p.lower_limit_mm.value),
                               two(p.upper_limit_mm.value)]);
}

const ICC_WORDS: Record<string, string> = {
    "1,1": "(1,1) other readers each case", "2,1": "(2,1) any readers", "3,1": "(3,1) these readers, less offset",
    "1,k": "(1,k) the first, mean of all", "2,k": "(2,k)", "3,k": "(3,k)",
};

function icc(q: Quantity): (string | number)[][] {
    return Object.entries(ICC_WORDS).flatMap(([key, words]) => {
        const e = q.icc?.[key] as Estimate | undefined;
        return e ? [[words, two(e.value), interval(e.ci95)]] : [];
    });
}

export function numbers(q: Quantity): HTMLElement {
    const iso = q.iso5725;
    return h("details", { class: "numbers" }, h("summary", {}, "All numbers"),
             table("Where the spread comes from, SD in mm", ["", "SD", "95 % interval"], sources(q)),
             table("Each reader, less the mean of the readers, mm", ["", "difference", "95 % interval"],
                   Object.entries(q.offsets_mm).map(([name, e]) => [name, two(e.value), interval(e.ci95)])),
             table("Pairs of readers, single readings, mm", ["", "cases", "mean difference", "95 % interval", "95 of 100 from", "to"], pairs(q)),
             table("Intraclass correlation, first readings", ["", "value", "95 % interval"], icc(q)),
             table("As in ISO 5725-2, mm", ["", "SD", "limit"],
                   [["repeatability", two(iso["repeatability_sd_mm"]), two(iso["repeatability_limit_mm"])],
                                                                ["reproducibility", two(iso["reproducibility_sd_mm"]),
                                                                 two(iso["reproducibility_limit_mm"])]]));
}
