/* results.ts - what every command says of this case, in its own words, and its files to be saved.
 *
 * Contents: 1. which commands  2. sweeping  3. comparing  4. asking and showing
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import { GivenUp } from "../engine";
import { choose, save } from "../files";
import type { Page } from "../room";
import type { Knob, KnobsAnswer, NamedText, Order, OrderAnswer, OrderRequest, Request, TextAnswer, Want } from "../types";
import type { CaseDoc } from "./case_doc";
import { TRIALS } from "./computing";
import { picture } from "./panels";

/* 1. Which commands */

type Command = "check" | Order;

const COMMANDS: Record<Exclude<Command, "report">, { words: string; wants: Want[] }> = {
    check: { words: "check: faults, and the case read back", wants: [] },
    assess: { words: "assess: the answer and all behind it", wants: ["text", "json"] },
    recheck: { words: "recheck: what to look at again", wants: ["text", "json", "csv", "figures"] },
    weigh: { words: "weigh: what might be done instead", wants: ["text", "json", "csv", "figures"] },
    sweep: { words: "sweep: turn one thing or two", wants: ["text", "json", "page", "csv", "figures"] },
    compare: { words: "compare: with a second case", wants: ["text", "json"] },
};

/* 2. Sweeping */

class SweepForm {
    readonly node = h("div", { class: "ask", hidden: true });
    private readonly all = h("input", { type: "checkbox", id: freshId("all") });
    private readonly lines: { knob: HTMLSelectElement; from: HTMLInputElement; to: HTMLInputElement; steps: HTMLInputElement }[] = [];
    private knobs: Knob[] = [];

    constructor(private readonly page: Page, private readonly doc: CaseDoc) {
        for (const words of ["Turn", "and"])
            this.addLine(words);
        this.node.append(h("p", { class: "row" }, h("label", { for: this.all.id }, "or every assumption alone, over its range"), this.all));
    }

    private addLine(words: string): void {
        const number = (label: string): HTMLInputElement => h("input", { type: "text", inputmode: "decimal", "aria-label": `${words}: ${label}`, placeholder: label });
        const line = { knob: h("select", { "aria-label": words }), from: number("from"), to: number("to"), steps: number("steps") };
        line.knob.addEventListener("change", () => {
            const knob = this.knobs.find((k) => k.name === line.knob.value);
            line.from.value = knob ? String(knob.from) : "";
            line.to.value = knob ? String(knob.to) : "";
        });
        this.lines.push(line);
        this.node.append(h("p", { class: "row" }, words, line.knob, line.from, line.to, line.steps));
    }

    async offer(): Promise<void> {
        const answer = await this.page.engine.whole<KnobsAnswer>({ do: "knobs", ...this.doc.input() });
        this.knobs = answer.knobs ?? [];
        for (const { knob } of this.lines) {
            const before = knob.value;
            fill(knob, h("option", { value: "" }, "nothing"), ...this.knobs.map((k) => h("option", { value: k.name }, `${k.words}${k.unit ? `, ${k.unit}` : ""} (${k.name})`)));
            knob.value = this.knobs.some((k) => k.name === before) ? before : "";
        }
    }

    request(): Pick<OrderRequest, "vary" | "all"> {
        if (this.all.checked)
            return { all: true };
        const turned = this.lines.filter((l) => l.knob.value);
        return { vary: turned.map((l) => `${l.knob.value}=${l.from.value}:${l.to.value}${l.steps.value ? `:${l.steps.value}` : ""}`) };
    }
}

/* 3. Comparing */

class CompareForm {
    readonly node = h("div", { class: "ask", hidden: true });
    private readonly name = h("span", { class: "mute" }, "no second case yet");
    private files: NamedText[] = [];

    constructor() {
        this.node.append(h("p", { class: "row" }, button("choose the second case (and its profile)", () => void this.choose()), this.name));
    }

    private async choose(): Promise<void> {
        const files = await choose(".json,application/json", true);
        if (files.length)
            this.files = files.sort((a, b) => Number(isProfile(a)) - Number(isProfile(b)));
        this.name.textContent = this.files.map((f) => f.name).join(", ") || "no second case yet";
    }

    request(doc: CaseDoc): Partial<OrderRequest> | null {
        const [second, profile] = this.files, shared = profile ?? doc.state.profile;
        if (!second)
            return null;
        return { second: second.text, second_name: second.name, ...(shared ? { second_profile: shared.text, second_profile_name: shared.name } : {}) };
    }
}

export function isProfile(file: NamedText): boolean {
    return /"format"\s*:\s*"slimmargin-profile-1"/.test(file.text);
}

/* 4. Asking and showing */

export class Results {
    readonly node = h("section", { class: "results", id: "all-results", "aria-labelledby": "title-results" });
    private readonly select = h("select", { id: freshId("command") }, ...Object.entries(COMMANDS).map(([k, c]) => h("option", { value: k }, c.words)));
    private readonly trials = h("input", { id: freshId("trials"), type: "text", inputmode: "numeric", value: String(TRIALS) });
    private readonly seed = h("input", { id: freshId("seed"), type: "text", inputmode: "numeric", value: "1" });
    private readonly whole = h("input", { id: freshId("whole"), type: "checkbox", checked: true });
    private readonly sharp = h("input", { id: freshId("sharp"), type: "checkbox" });
    private readonly out = h("div", { class: "out" });
    private readonly state = h("p", { class: "standing", role: "status" });
    private readonly stop = button("stop", () => this.page.engine.giveUp("results"), { hidden: true });
    private readonly sweep: SweepForm;
    private readonly compare = new CompareForm();

    constructor(private readonly page: Page, private readonly doc: CaseDoc) {
        this.sweep = new SweepForm(page, doc);
        this.select.addEventListener("change", () => this.chosen());
        const option = (input: HTMLInputElement, words: string): HTMLElement => h("span", { class: "option" }, h("label", { for: input.id }, words), input);
        this.node.append(h("h2", { id: "title-results" }, "All results"),
            h("p", { class: "row" }, h("label", { for: this.select.id }, "Command"), this.select, option(this.trials, "Roots drawn"), option(this.seed, "Seed"), option(this.whole, "whole"), option(this.sharp, "sharp points")),
            this.sweep.node, this.compare.node, h("p", { class: "row" }, button("compute", () => void this.run(), { class: "main" }), this.stop), this.state, this.out);
        this.doc.onChange(() => this.out.classList.add("old"));
    }

    private get command(): keyof typeof COMMANDS {
        return this.select.value as keyof typeof COMMANDS;
    }

    private chosen(): void {
        this.sweep.node.hidden = this.command !== "sweep";
        this.compare.node.hidden = this.command !== "compare";
        if (this.command === "sweep")
            void this.sweep.offer();
    }

    private request(): Request | null {
        if (this.command === "check")
            return { do: "check", ...this.doc.input() };
        const second = this.command === "compare" ? this.compare.request(this.doc) : {};
        if (second === null)
            return null;
        return { do: "order", order: this.command, ...this.doc.input(), ...second, ...(this.command === "sweep" ? this.sweep.request() : {}), trials: Number(this.trials.value), seed: this.seed.value.trim(),
                 ...(this.command === "assess" ? { whole: this.whole.checked } : {}), ...(this.sharp.checked ? { points: "sharp" } : {}), wants: COMMANDS[this.command].wants } as Request;
    }

    private async run(): Promise<void> {
        const request = this.request(), { command } = this;
        if (!request) {
            this.state.textContent = "Choose the second case first.";
            return;
        }
        this.stop.hidden = false;
        this.state.textContent = "Computing …";
        const progress = ({ share }: { share: number }): void => { this.state.textContent = `Computing … ${Math.floor(100 * share)} %`; };
        try {
            this.show(command, await this.page.engine.whole<OrderAnswer & TextAnswer>(request, { key: "results", progress }));
        } catch (error) {
            this.state.textContent = error instanceof GivenUp ? "Stopped." : String(error);
        }
        this.stop.hidden = true;
    }

    private show(command: string, answer: OrderAnswer): void {
        const stem = `${this.doc.state.name.replace(/\.json$/, "")}-${command}`, files = filesOf(answer, stem);
        this.out.classList.remove("old");
        this.state.textContent = answer.status === "ok" ? "" : `Ended as: ${answer.status}.`;
        fill(this.out, answer.messages.length > 0 && h("pre", { class: "messages" }, answer.messages.map((m) => m.text ?? m.words).join("\n")),
             files.length > 0 && h("p", { class: "row saves" }, "Save: ", ...files.map((f) => button(f.name, () => save(f.name, f.text)))),
             h("pre", { tabindex: 0, "aria-label": `what ${command} says` }, answer.text ?? ""),
             ...(answer.figures ?? []).filter((f) => f.name.endsWith(".svg")).map(picture));
    }
}

function filesOf(answer: OrderAnswer, stem: string): NamedText[] {
    const kinds: [string | undefined, string][] = [[answer.text, "txt"], [answer.json, "json"], [answer.csv, "csv"], [answer.page, "html"]];
    return [...kinds.filter(([text]) => text).map(([text, ending]) => ({ name: `${stem}.${ending}`, text: text ?? "" })), ...(answer.figures ?? [])];
}
