/* sweep_form.ts - what `sweep` is asked to turn: one thing or two with their range, or every assumption alone.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { fill, freshId, h } from "../dom";
import type { Knob } from "../types";
import type { Computing } from "./computing";

interface Line {
    knob: HTMLSelectElement;
    from: HTMLInputElement;
    to: HTMLInputElement;
    steps: HTMLInputElement;
}

function knobWords(k: Knob): string {
    return `${k.words}${k.unit ? `, ${k.unit}` : ""} (${k.name})`;
}

export class SweepForm {
    readonly node = h("div", { class: "ask", hidden: true });
    private readonly all = h("input", { type: "checkbox", id: freshId("all") });
    private readonly lines: Line[] = [];

    constructor(private readonly computing: Computing) {
        for (const words of ["Turn", "and"])
            this.addLine(words);
        this.node.append(h("p", { class: "row" }, h("label", { for: this.all.id }, "or every assumption alone, over its range"), this.all));
        computing.onNews(() => this.offer());
    }

    private get knobs(): Knob[] {
        return this.computing.known.read?.knobs ?? [];
    }

    private addLine(words: string): void {
        const number = (label: string): HTMLInputElement => h("input", { type: "text", inputmode: "decimal", "aria-label": `${words}: ${label}`, placeholder: label });
        const line = { knob: h("select", { "aria-label": words }), from: number("from"), to: number("to"), steps: number("steps") };
        line.knob.addEventListener("change", () => this.chosen(line));
        this.lines.push(line);
        this.node.append(h("p", { class: "row" }, words, line.knob, line.from, line.to, line.steps));
    }

    private chosen(line: Line): void {
        const range = this.knobs.find((k) => k.name === line.knob.value)?.range;
        line.from.value = range ? String(range[0]) : "";
        line.to.value = range ? String(range[1]) : "";
    }

    /* The knobs of the case as it stands. */
    offer(): void {
        const { knobs } = this;
        if (this.node.hidden || knobs.length === 0)
            return;
        for (const { knob } of this.lines) {
            const before = knob.value;
            if (knob.options.length === knobs.length + 1)
                continue;
            fill(knob, h("option", { value: "" }, "nothing"), ...knobs.map((k) => h("option", { value: k.name }, knobWords(k))));
            knob.value = knobs.some((k) => k.name === before) ? before : "";
        }
    }

    words(): string[] {
        if (this.all.checked)
            return ["--all"];
        const turned = this.lines.filter((l) => l.knob.value);
        return turned.flatMap((l) => ["--vary", `${l.knob.value}=${l.from.value.trim()}:${l.to.value.trim()}${l.steps.value.trim() ? `:${l.steps.value.trim()}` : ""}`]);
    }
}
