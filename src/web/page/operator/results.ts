/* results.ts - what every command says of this case, in its own words, and its files to be saved.
 *
 * Contents: 1. which commands  2. the files of an answer  3. asking and showing
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { command } from "../command";
import { button, fill, freshId, h } from "../dom";
import { GivenUp } from "../engine";
import { save } from "../files";
import type { Page } from "../room";
import type { CommandAnswer, CommandRequest, NamedText } from "../types";
import type { CaseDoc } from "./case_doc";
import { CompareForm } from "./compare_form";
import { TRIALS } from "./computing";
import type { Computing } from "./computing";
import { picture } from "./panels";
import { SweepForm } from "./sweep_form";

/* 1. Which commands, with what they can write */

interface Command {
    words: string;
    outputs: string[];
    runs: boolean; /* takes roots and a seed */
}

const FIGURES = ["--figures", "out"];
const COMMANDS: Record<string, Command> = {
    check: { words: "check: faults, and the case read back", outputs: [], runs: false },
    assess: { words: "assess: the answer and all behind it", outputs: ["--json", "out/result.json"], runs: true },
    recheck: { words: "recheck: what to look at again", outputs: ["--json", "out/result.json"], runs: true },
    weigh: { words: "weigh: what might be done instead", outputs: ["--json", "out/result.json"], runs: true },
    sweep: { words: "sweep: turn one thing or two", outputs: ["--json", "out/result.json", "--csv", "out/table.csv", "-o", "out/page.html", ...FIGURES], runs: true },
    compare: { words: "compare: with a second case", outputs: ["--json", "out/result.json"], runs: true },
    report: { words: "report: its page, result and figures", outputs: ["--json", "out/result.json", "-o", "out/page.html", ...FIGURES], runs: true },
};

/* 2. The files of an answer, named after the case and the command that it is of */

interface Asked {
    name: string; /* of the command */
    basis: string; /* the case, or both, as they were when it was asked */
    stem: string; /* of the files */
}

function filesOf(answer: CommandAnswer, stem: string): NamedText[] {
    const written = Object.entries(answer.files).map(([name, text]) => {
        const last = name.slice(name.lastIndexOf("/") + 1), ending = last.slice(last.lastIndexOf("."));
        return { name: /^(result|table|page)\./.test(last) ? stem + ending : `${stem}-${last}`, text };
    });
    return [...(answer.out ? [{ name: `${stem}.txt`, text: answer.out }] : []), ...written];
}

/* 3. Asking and showing */

const OLD = "The case has changed: what stands here is of before.", OLD_PAIR = "A case has changed: what stands here is of before.";

function option(input: HTMLInputElement, words: string): HTMLElement {
    return h("span", { class: "option" }, h("label", { for: input.id }, words), input);
}

export class Results {
    readonly node = h("section", { class: "results", id: "all-results", "aria-labelledby": "title-results" });
    private readonly select = h("select", { id: freshId("command") }, ...Object.entries(COMMANDS).map(([k, c]) => h("option", { value: k }, c.words)));
    private readonly trials = h("input", { id: freshId("trials"), type: "text", inputmode: "numeric", value: String(TRIALS) });
    private readonly seed = h("input", { id: freshId("seed"), type: "text", inputmode: "numeric", value: "1" });
    private readonly whole = h("input", { id: freshId("whole"), type: "checkbox", checked: true });
    private readonly plain = h("input", { id: freshId("plain"), type: "checkbox" });
    private readonly out = h("div", { class: "out" });
    private readonly state = h("p", { class: "standing", role: "status" });
    private readonly stop = button("stop", () => this.page.engine.giveUp("results"), { hidden: true });
    private readonly sweep: SweepForm;
    private readonly compare: CompareForm;
    private shown: (Asked & { done: string }) | null = null;
    private doing = "";
    private turn = 0;

    constructor(private readonly page: Page, private readonly doc: CaseDoc, computing: Computing) {
        this.sweep = new SweepForm(computing);
        this.compare = new CompareForm(doc, () => this.changed());
        this.select.addEventListener("change", () => this.chosen());
        this.node.append(h("h2", { id: "title-results", tabindex: -1 }, "All results"),
            h("p", { class: "row" }, h("label", { for: this.select.id }, "Command"), this.select, option(this.trials, "Roots drawn"),
              option(this.seed, "Seed"), option(this.whole, "whole"), option(this.plain, "plain points")),
            this.sweep.node, this.compare.node, h("p", { class: "row" }, button("compute", () => void this.run(), { class: "main" }), this.stop), this.state, this.out);
        this.doc.onChange(() => this.changed());
    }

    open(): void {
        this.node.scrollIntoView({ block: "start" });
        this.node.querySelector<HTMLElement>("h2")?.focus({ preventScroll: true });
    }

    /* All that an answer of this command rests on. */
    private basis(name: string): string {
        return JSON.stringify([this.doc.input(), name === "compare" && this.compare.chosen]);
    }

    /* What is being done, and whether what stands here is of the case as it stands now. */
    private tell(doing: string): void {
        const { shown } = this, old = shown !== null && this.basis(shown.name) !== shown.basis;
        this.doing = doing;
        this.out.classList.toggle("old", old);
        const ofShown = old ? (shown.name === "compare" ? OLD_PAIR : OLD) : doing ? "" : shown?.done ?? "";
        this.state.textContent = `${doing} ${ofShown}`.trim();
    }

    private changed(): void {
        this.tell(this.stop.hidden ? "" : this.doing);
    }

    private chosen(): void {
        this.sweep.node.hidden = this.select.value !== "sweep";
        this.compare.node.hidden = this.select.value !== "compare";
        this.sweep.offer();
    }

    private options(name: string, what: Command): string[] {
        const run = what.runs ? ["--trials", this.trials.value.trim(), "--seed", this.seed.value.trim()] : [];
        return [...run, ...what.outputs, ...(name === "assess" && this.whole.checked ? ["--whole"] : []), ...(what.runs && this.plain.checked ? ["--points", "plain"] : [])];
    }

    private request(name: string): CommandRequest | null {
        const what = COMMANDS[name], options = what ? this.options(name, what) : [];
        if (name === "compare")
            return this.compare.request(options);
        return command(name, this.doc.input(), [...(name === "sweep" ? this.sweep.words() : []), ...options]);
    }

    private async run(): Promise<void> {
        const name = this.select.value, request = this.request(name);
        if (!request) {
            this.tell("Choose the second case first.");
            return;
        }
        const asked = { name, basis: this.basis(name), stem: `${this.doc.state.name.replace(/\.json$/, "")}-${name}` }, turn = ++this.turn;
        this.stop.hidden = false;
        this.tell("Computing …");
        const answer = await this.ask(request);
        if (turn !== this.turn)
            return;
        this.stop.hidden = true;
        if (typeof answer === "string")
            this.tell(answer);
        else
            this.show(asked, answer);
    }

    /* The answer, or why there is none. */
    private async ask(request: CommandRequest): Promise<CommandAnswer | string> {
        const progress = ({ share, words }: { share: number; words: string }): void => this.tell(`Computing … ${words} ${Math.floor(100 * share)} %`);
        try {
            return await this.page.engine.whole<CommandAnswer>(request, { key: "results", progress });
        } catch (error) {
            return error instanceof GivenUp ? "Stopped." : String(error);
        }
    }

    private show(asked: Asked, answer: CommandAnswer): void {
        const files = filesOf(answer, asked.stem);
        this.shown = { ...asked, done: answer.status === "ok" ? "Done." : `Ended as: ${answer.status.replace(/_/g, " ")}.` };
        this.tell("");
        fill(this.out, answer.err && h("pre", { class: "messages" }, answer.err.trimEnd()),
             files.length > 0 && h("p", { class: "row saves" }, "Save: ", ...files.map((f) => button(f.name, () => save(f.name, f.text)))),
             answer.out && h("pre", { tabindex: 0, "aria-label": `what ${asked.name} says` }, answer.out.trimEnd()),
             ...files.filter((f) => f.name.endsWith(".svg")).map(picture));
    }
}
