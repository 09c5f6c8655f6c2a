/* points.ts - points picked in a scan, a file for each reader, become a case: onto the open one, or a form with blanks.
 *
 * Contents: 1. the questions  2. asking  3. what was understood
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import { save } from "../files";
import type { Page } from "../room";
import { get, set, subscribe } from "../state";
import type { CommandAnswer, NamedText } from "../types";
import { command, paragraphs } from "./ask";
import { faultList, faultsOf, split } from "./faults";
import { Intake } from "./intake";
import { asFiles, exampleCase } from "./open_case";

/* The invented points of docs/new.md, section 4. */
const EXAMPLE = `# coordinate system: LPS
label,x,y,z
base_1,21.83,-42.42,1209.00
base_2,3.91,-37.83,1202.19
base_3,11.57,-56.31,1199.28
axis_top,-2.10,-58.04,1238.64
left.ostium,16.33,-35.71,1219.35
left.junction,10.37,-39.99,1225.35
left.leaflet_top,11.78,-41.11,1221.91
right.ostium,13.10,-66.47,1210.57
right.junction,8.60,-64.81,1216.46
right.leaflet_top,10.09,-61.26,1213.89
`;

const LETTERS = "ABCDEFGH";

/* 1. The questions */

const AXES: [string, string, string][] = [
    ["", "The files say it themselves", ""],
    ["lps", "x to the patient's left, y to the back, z to the head", " (LPS)"],
    ["ras", "x to the patient's right, y to the front, z to the head", " (RAS)"],
];

export class PointsTask {
    readonly node: HTMLElement;
    private readonly intake: Intake;
    private readonly axes = h("select", { id: freshId("axes") }, ...AXES.map(([value, words, short]) => h("option", { value }, words + short)));
    private readonly circle = h("input", { type: "number", id: freshId("circle"), min: 10, max: 45, step: 0.1, inputmode: "decimal" });
    private readonly onto = h("select", { id: freshId("onto") });
    private readonly readers = h("div", { class: "reader-names" });
    private readonly found = h("div", { class: "found", "aria-live": "polite" });

    constructor(private readonly page: Page) {
        this.intake = new Intake({ title: "The points, a file for each reader", choose: "Choose files \u2026",
                                   paste: "label, x, y, z in mm, a point a row", pastedName: "pasted.csv", accept: ".csv,.txt,.tsv", most: 8,
                                   example: { words: "Take the invented points", files: [{ name: "points.csv", text: EXAMPLE }] } },
                                       () => this.names());
        this.node = h("div", { class: "task" }, h("h1", {}, "Points picked in a scan become a case"),
                      h("p", { class: "mute" },
                        "No height, gap or azimuth is typed: they are computed from the points. A file's name is never used: it may name a patient."), this.intake.node, this.readers,
                      h("div", { class: "grid" }, this.ask("Which way do the axes run?", this.axes),
                        this.ask("Circle from which gaps are measured, mm (if neither file nor case says it)", this.circle),
                            this.ask("What points do not tell comes from", this.onto)),
                      h("div", { class: "actions" }, button("Make the case", () => void this.run(), { class: "main" })), this.found);
        subscribe(() => this.sources());
        this.sources();
    }

    private ask(words: string, field: HTMLElement): HTMLElement {
        return h("div", { class: "question" }, h("label", { for: field.id }, words), field);
    }

    private sources(): void {
        const open = get();
        fill(this.onto, open && h("option", { value: "open" }, `the open case, ${open.name}`),
             h("option", { value: "example" }, "the invented case demo.json"), h("option", { value: "" }, "nowhere: leave blanks to fill in"));
    }

    private names(): void {
        fill(this.found);
        fill(this.readers, ...this.intake.files.map((file, i) => {
            const id = freshId("reader");
            return h("div", { class: "question" }, h("label", { for: id }, `Reader of ${file.name}`),
                     h("input", { type: "text", id, value: LETTERS[i] ?? "", maxlength: 32, spellcheck: "false", class: "reader-name" }));
        }));
    }

    /* 2. Asking */

    private words(files: NamedText[], ontoName: string): string[] {
        const readers = [...this.readers.querySelectorAll<HTMLInputElement>(".reader-name")].map((x) => x.value.trim());
        const made = ["new", "from-points.json", "--from-points", ...files.map((f) => f.name)];
        if (this.axes.value)
            made.push("--axes", this.axes.value);
        if (this.circle.value)
            made.push("--circle", this.circle.value);
        if (readers.every((x) => x))
            made.push("--reader", readers.join(","));
        return ontoName ? [...made, "--onto", ontoName] : made;
    }

    private async run(): Promise<void> {
        const files = this.intake.files, open = this.onto.value === "open" ? get() : this.onto.value === "example" ? exampleCase(this.page) : null;
        if (files.length === 0) {
            fill(this.found, h("p", {}, "First choose the points."));
            return;
        }
        const beside = open ? asFiles({ ...open, name: "onto.json" }) : [];
        const answer = await command(this.page, this.words(files, open ? "onto.json" : ""), [...files, ...beside]);
        this.show(answer, files, open?.profile ?? null);
    }

    /* 3. What was understood */

    private show(answer: CommandAnswer, files: NamedText[], profile: NamedText | null): void {
        const text = answer.files?.["from-points.json"], all = faultsOf(answer.err ?? "").filter((f) => !/the profile was not given/.test(f.words)),
            { faults, warnings } = split(all);
        fill(this.found, faultList(faults, files, "No case was made", (name, line) => this.intake.mend(name, line)),
             faultList(warnings, files, "Please note"), text ? this.made(text, profile, answer.out ?? "") : null);
        this.page.announce(text ? "The case was made of the points." : "No case was made; what stands in the way is listed.");
    }

    private made(text: string, profile: NamedText | null, out: string): HTMLElement {
        const open = (): void => {
            set({ text, name: "from-points.json", profile }, "readers");
            this.page.go("operator");
        };
        return h("section", {}, h("h2", {}, "What the points say"), understood(out),
                 h("div", { class: "actions" }, button("Open it for the operator", open, { class: "main" }),
                   button("Save the case", () => save("from-points.json", text))));
    }
}

/* "  Left: ostium height: 9.11 by JB; 9.05 by MK" */
function reading(line: string): HTMLElement | null {
    const found = /^\s*([^:]+): ([^:]+): (.+)$/.exec(line);
    return found && h("tr", {}, h("th", { scope: "row" }, found[1] ?? ""), h("td", {}, found[2] ?? ""), h("td", {}, found[3] ?? ""));
}

function understood(out: string): HTMLElement {
    const lines = out.split("\n"), rows = lines.filter((x) => x.startsWith("  ")).map(reading).filter((x) => x !== null);
    const first = paragraphs(out.split("\n").filter((x) => !x.startsWith("  ")).join("\n"));
    const told = first.filter((p) => !/[\u2501\u2592\u25cf]{3}/.test(p)).map((p) =>
                                                                             p.replace(/[\u2500]{3,}/g,
                                                                                     "").replace(/\d+ blanks? (is|are) left[\s\S]*$/,
                                                                                             (x) => x.replace(/ ?Now: .*$/,
                                                                                                     "")).trim()).filter((p) => p);
    return h("div", {}, ...told.map((p) => h("p", {}, p.replace(/^What was understood /, ""))),
             rows.length > 0 && h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Readings from the points" },
             h("table", {}, h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "side"), h("th", { scope: "col" }, "what"),
                                             h("th", { scope: "col" }, "mm or degrees, by reader"))), h("tbody", {}, ...rows))));
}
