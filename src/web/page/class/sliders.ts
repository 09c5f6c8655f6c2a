/* sliders.ts - what the class may turn: a slider for each knob, the mounting, and other invented cases.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, freshId, h } from "../dom";
import type { Bench } from "./bench";
import type { KnobUse } from "./lesson";

export interface Ends {
    from: number;
    to: number;
    step: number;
}

/* The engine's own range of a knob where it names one, widened to hold what the case has; the lesson's ends elsewhere. */
export function endsOf(bench: Bench, use: KnobUse): Ends {
    const knob = bench.knob(use.name), own = bench.own(use.name) ?? use.from ?? 0;
    const range = knob?.range, low = knob?.low ?? -Infinity, high = knob?.high ?? Infinity;
    const from = Math.max(use.from ?? range?.[0] ?? low, low), to = Math.min(use.to ?? range?.[1] ?? high, high);
    return { from: Math.min(from, own), to: Math.max(to, own), step: use.step ?? 0.01 };
}

function decimals(step: number): number {
    return Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
}

function unitOf(bench: Bench, use: KnobUse): string {
    const unit = bench.knob(use.name)?.unit ?? (use.name.endsWith("_mm") ? "mm" : "");
    return unit === "mm per edge" ? "mm" : unit === "fraction" ? "" : unit;
}

function valueWords(bench: Bench, use: KnobUse, ends: Ends, value: number): string {
    if (use.name === "overexpansion")
        return `${(100 * value).toFixed(1)} %`;
    const unit = unitOf(bench, use), number = value.toFixed(decimals(ends.step));
    return use.name === "reader_error" && Math.abs(value - 1) < 0.005 ? "as it is" : unit ? `${number} ${unit}` : number;
}

function slider(bench: Bench, use: KnobUse): HTMLElement {
    const ends = endsOf(bench, use), id = freshId("knob"), begin = bench.knobs[use.name] ?? bench.own(use.name) ?? ends.from;
    const output = h("output", { for: id });
    const input = h("input", { type: "range", id, min: ends.from, max: ends.to, step: "any", value: begin });
    const tell = (value: number): void => {
        const words = valueWords(bench, use, ends, value);
        output.textContent = words;
        input.setAttribute("aria-valuetext", words);
        input.style.setProperty("--part", `${100 * (value - ends.from) / (ends.to - ends.from || 1)}%`);
    };
    input.addEventListener("input", () => {
        const value = Number((Math.round(Number(input.value) / ends.step) * ends.step).toFixed(6));
        const kept = Math.min(Math.max(value, ends.from), ends.to);
        tell(kept);
        bench.turn(use.name, kept);
    });
    input.addEventListener("keydown", (event) => arrows(event, input, ends.step));
    tell(begin);
    return h("div", { class: "knob" }, h("label", { for: id }, use.words), output, input);
}

/* Steps of the slider by its own step: with step "any" browsers differ. */
function arrows(event: KeyboardEvent, input: HTMLInputElement, step: number): void {
    const way = event.key === "ArrowRight" || event.key === "ArrowUp" ? 1 : event.key === "ArrowLeft" || event.key === "ArrowDown" ? -1 : 0;
    if (way === 0)
        return;
    event.preventDefault();
    input.value = String(Number(input.value) + way * step);
    input.dispatchEvent(new Event("input"));
}

/* One of few: large buttons that stay pressed. */
export function choices(title: string, all: { value: string; words: string }[], now: string, pick: (value: string) => void): HTMLElement {
    const made = all.map((x) => button(x.words, () => pick(x.value), { "aria-pressed": x.value === now ? "true" : "false", class: "choice" }));
    return h("div", { class: "knob choices", role: "group", "aria-label": title }, h("span", { class: "choices-title" }, title),
             h("div", {}, ...made));
}

export function sliders(bench: Bench, uses: KnobUse[]): HTMLElement[] {
    return uses.filter((use) => bench.own(use.name) !== undefined).map((use) => slider(bench, use));
}
