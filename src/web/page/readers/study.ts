/* study.ts - a reader study: its files, what the engine learns of them in sentences and figures, slips by file and line, and
 * the profile.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import type { Page } from "../room";
import type { CommandAnswer, NamedText } from "../types";
import type { Odd, Quantity, Study } from "./answers";
import { command } from "./ask";
import { faultList, faultsOf, split } from "./faults";
import type { Mend } from "./faults";
import { differenceSpan, differences, spread, spreadSpan } from "./figures";
import type { Span } from "./figures";
import { Intake } from "./intake";
import { numbers } from "./numbers";
import { ProfileMaker } from "./profile";
import { toldOf } from "./study_told";
import type { Told } from "./study_told";

const STUDY = "readers/study.csv";

function example(page: Page): NamedText[] {
    return page.scenarios.filter((x) => x.name === STUDY).map((x) => ({ name: "study.csv", text: x.text }));
}

function figure(made: { drawn: SVGElement; sentence: string } | null): HTMLElement | null {
    return made && h("figure", {}, made.drawn, h("figcaption", {}, made.sentence));
}

/* What reads oddly, less sure than a slip. */
function oddWords(odd: Odd): string {
    const why = odd.test === "cochran" ? "repeats differ far more than elsewhere" : "the mean does not fit the others";
    return `case ${odd.case}, reader ${odd.reader}: ${why}`;
}

function quantity(q: Quantity, told: Told["quantities"][number] | undefined, wide: Span, sd: Span): HTMLElement {
    const slips = new Set(q.outlying.map((o) => `${o.case} ${o.reader}`)), odd = q.odd_cells.filter((o) => !slips.has(`${o.case} ${o.reader}`));
    return h("section", { class: "quantity", tabindex: "-1" }, h("h2", {}, told?.title ?? ""),
             h("div", { class: "pair" }, h("div", {}, ...(told?.sentences ?? []).map((x) => h("p", {}, x)),
             odd.length > 0 && h("p", {}, h("b", {}, "Worth a second look: "), odd.map(oddWords).join("; "), ".")),
                 h("div", { class: "figures" }, figure(differences(q, wide)), figure(spread(q, sd)))), numbers(q));
}

function slips(told: Told, study: Study, files: NamedText[], mend: Mend): HTMLElement | null {
    const all = Object.values(study.quantities).flatMap((q) => q.outlying), [title, ...rest] = told.slips;
    if (all.length === 0 || !title)
        return null;
    const lines = all.map((o) => ({ o, text: files.find((f) => f.name === (o.file ?? ""))?.text.split(/\r\n|\n|\r/)[o.line - 1] ?? "" }));
    return h("section", { class: "found-faults", role: "alert" }, h("h2", {}, title), ...rest.map((x) => h("p", {}, x)),
             ...lines.map(({ o, text }) => h("p", {}, h("span", { class: "small" }, `${o.file ?? ""}, line ${o.line} `),
                                             h("code", { class: "as-it-stands" }, text),
                 button("Correct it here", () => mend(o.file ?? "", o.line),
                        { "aria-label": `Correct it here: line ${o.line} of ${o.file ?? ""}` }))));
}

/* The first sentence of each quantity: how far two readers differ. */
function overview(told: Told, profile: ProfileMaker): HTMLElement {
    return h("section", {}, h("h2", {}, "In short"), h("ul", { class: "overview" },
                                                       ...told.quantities.map((q) => h("li", {}, q.sentences[0] ?? q.title))),
             h("div", { class: "actions" }, button("Make a profile of it", () => profile.goTo()), button("Print", () => window.print())));
}

export class StudyTask {
    readonly node: HTMLElement;
    private readonly intake: Intake;
    private readonly profile: ProfileMaker;
    private readonly found = h("div", { class: "found", "aria-busy": "false" });
    private asked = 0;

    constructor(private readonly page: Page) {
        this.intake = new Intake({ title: "The readings", choose: "Choose files \u2026",
                                   paste: "One reading a row: case, quantity, reader, repeat, value_mm; or a column \u201creader A\u201d for each reader",
                                   pastedName: "pasted.csv", accept: ".csv,.txt,.tsv", most: 8,
                                       example: { words: "Take the invented study", files: example(page) } }, () => void this.learn());
        this.profile = new ProfileMaker(page, () => this.intake.files);
        this.node = h("div", { class: "task" }, h("h1", {}, "How far do our readers differ?"),
                      h("p", { class: "mute" },
                        "Repeated readings of the same scans, as CSV: up to eight files, one study. Give cases names that identify nobody."),
                            this.intake.node, this.found);
    }

    private async learn(): Promise<void> {
        const files = this.intake.files, mine = ++this.asked;
        this.profile.clear();
        fill(this.found);
        if (files.length === 0)
            return;
        this.found.setAttribute("aria-busy", "true");
        const answer = await command(this.page, ["learn", ...files.map((f) => f.name), "--json", "result.json", "--plain"], files);
        if (mine === this.asked)
            this.show(answer, files);
    }

    private show(answer: CommandAnswer, files: NamedText[]): void {
        this.found.setAttribute("aria-busy", "false");
        const mend: Mend = (file, line) => this.intake.mend(file, line);
        const { faults, warnings } = split(faultsOf(answer.err ?? "")), json = answer.files?.["result.json"];
        if (!json) {
            fill(this.found, faultList(faults, files, "Mend these first", mend));
            this.page.announce(`${faults.length} ${faults.length === 1 ? "fault" : "faults"} in the files.`);
            return;
        }
        const study = JSON.parse(json) as Study, told = toldOf(answer.out ?? ""), all = Object.values(study.quantities), wide = differenceSpan(all),
            sd = spreadSpan(all);
        fill(this.found, slips(told, study, files, mend), faultList(warnings, files, "Please note"), overview(told, this.profile),
             ...all.map((q, i) => quantity(q, told.quantities[i], wide, sd)),
             h("section", { class: "remarks" }, ...told.remarks.map((x) => h("p", { class: "mute" }, x))), this.profile.node);
        this.page.announce(told.slips[0] ?? told.quantities[0]?.sentences[0] ?? "The study was read.");
    }
}
