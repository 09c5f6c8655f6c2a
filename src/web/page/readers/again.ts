/* again.ts - what to look at again in the open case: a list of work for a printed sheet, with room to write the new reading.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import type { Page } from "../room";
import { subscribe } from "../state";
import type { CommandAnswer } from "../types";
import { command, paragraphs, sentences } from "./ask";
import { faultList, faultsOf, split } from "./faults";
import { asFiles, openOrExample } from "./open_case";

interface Look {
    look: string;
    value: { value: number; standard_error: number };
    call_change: { value: number };
    act: { side: string; at: number } | null;
    minutes: number | null;
}

const CAUTION = "That a limit is crossed does not mean that the artery will be obstructed.";

function perThousand(x: number): string {
    const n = Math.round(1000 * x);
    return n < 1 ? "<1" : String(n);
}

function row(look: Look, most: number): HTMLElement {
    const tens = Math.round(10 * look.call_change.value), act = look.act ? `Act if it reads ${look.act.side} ${look.act.at.toFixed(1)} mm.` : "";
    return h("li", {}, h("span", { class: "box", "aria-hidden": "true" }), h("div", { class: "look" }, h("p", {}, h("b", {}, look.look)),
             h("span", { class: "worth-bar", "aria-hidden": "true" },
               h("span", { style: `inline-size: ${100 * Math.max(look.value.value, 0) / most}%` })),
             h("p", { class: "small" },
               `Spares ${perThousand(look.value.value)} of 1,000; would change the call ${tens === 0 ? "hardly ever" : `in ${tens} of 10`}. ${act}${look.minutes ? ` Takes ${look.minutes} minutes.` : ""}`)),
             h("p", { class: "write" }, look.act ? "it reads: " : "done on: ", h("span", { class: "line-to-write" }), look.act ? " mm" : ""));
}

/* The numbered sentences of the text: what perfect knowledge of one thing would be worth. */
function perfect(out: string): string[] {
    const at = out.indexOf("What to measure again, if one thing could be known perfectly"),
        part = at < 0 ? "" : out.slice(at).split(/\n\s*\n/)[0] ?? "";
    return [...part.replace(/\s+/g, " ").matchAll(/\d+\. (.+?\.)(?= \d+\. | Worth | No | $)/g)].map((m) => m[1] ?? "");
}

export class AgainTask {
    readonly node: HTMLElement;
    private readonly which = h("p", { class: "mute" });
    private readonly found = h("div", { class: "found", "aria-live": "polite" });
    private readonly go = button("Find out what to look at again", () => void this.run(), { class: "main" });

    constructor(private readonly page: Page) {
        this.node = h("div", { class: "task" }, h("h1", {}, "What to look at again"), this.which, h("div", { class: "actions no-print" }, this.go),
                      this.found);
        subscribe(() => this.name());
        this.name();
    }

    private name(): void {
        const { open, example } = openOrExample(this.page);
        this.which.textContent = example
            ? `No case is open in the operator's room. The invented case ${open.name} stands in its place.` : `The open case, ${open.name}.`;
        fill(this.found);
    }

    private async run(): Promise<void> {
        const { open } = openOrExample(this.page), files = asFiles(open);
        this.go.disabled = true;
        const progress = (share: number): void => { this.which.textContent = `${open.name}: counting, ${Math.floor(100 * share)} % \u2026`; };
        fill(this.found, h("p", {}, "Counting. This takes some seconds."));
        const answer = await command(this.page, ["recheck", open.name, "--json", "result.json", "--plain", "--trials", "262144"], files,
                                     progress).catch(() => null);
        this.go.disabled = false;
        this.name();
        if (answer)
            this.show(answer, open.name);
    }

    private show(answer: CommandAnswer, name: string): void {
        const { faults, warnings } = split(faultsOf(answer.err ?? "")), json = answer.files?.["result.json"], out = answer.out ?? "";
        fill(this.found, faultList(faults, [], "The case has to be mended first"), faultList(warnings, [], "Please note"),
             json ? this.sheet(json, out, name) : null);
        this.page.announce(json ? `The list is ready. ${this.found.querySelector("h2")?.textContent ?? ""}` : "The case has to be mended first.");
    }

    private sheet(json: string, out: string, name: string): HTMLElement {
        const looks = ((JSON.parse(json) as { worth?: Look[] }).worth ?? []), worthy = looks.filter((x) => Math.round(1000 * x.value.value) >= 1),
            most = Math.max(...looks.map((x) => x.value.value), 0.02);
        const lead = sentences(paragraphs(out).find((p) => p.includes(CAUTION)) ?? "").filter((x) => x !== CAUTION), known = perfect(out);
        return h("article", { class: "work-sheet" }, h("p", { class: "small" },
                                                       `case ${name.replace(/\.json$/, "")} \u00b7 read again by: ____________ \u00b7 on: ____________`), h("h2", {}, lead[0] ?? ""), ...lead.slice(1).map((x) => h("p", {}, x)),
                 h("p", {}, h("b", {}, CAUTION)), worthy.length > 0
                     ? h("ol", { class: "to-do" }, ...worthy.map((x) => row(x, most))) : h("p", {},
                             "None of the usual looks is worth 1 untreated event in 1,000 such cases."),
                 h("p", { class: "mute small" },
                   "Spares: untreated events in 1,000 cases that read like this, when one acts at the line on what the look shows. An untreated event is a limit truly crossed with nothing done about it; it is not an obstructed artery. Worths do not add up."),
                 known.length > 0 && h("section", {}, h("h3", {}, "If one thing could be known perfectly"),
                                       h("ol", { class: "known" }, ...known.map((x) => h("li", {}, x)))),
                 h("div", { class: "actions no-print" }, button("Print this sheet", () => window.print(), { class: "main" })));
    }
}
