/* table.ts - a table of cases, one a row: each becomes a case, listed with its answer, saved or opened.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import { save } from "../files";
import type { Page } from "../room";
import { set } from "../state";
import type { LiveAnswer, NamedText } from "../types";
import { command } from "./ask";
import { faultList, faultsOf, split } from "./faults";
import { Intake } from "./intake";

/* The invented table of docs/new.md, section 3. */
const EXAMPLE = `case,surgical_valve.leaflet_mount,surgical_valve.inner_diameter_mm,implant.expansion,implant.nominal_diameter_mm,implant.frame_height_mm,implant.skirt_height_mm,implant.implant_depth_mm,left.azimuth_deg,left.circle_mm,left.ostium_height,left.ostium_gap,left.ostium_gap.readings_mm.B,left.ostium_gap.bloom_edges,left.stj_height,left.stj_gap,left.leaflet_height,action_line
row-1,external,22.3 +- 0.3,balloon,24.5,19,9,4 +- 1,35,22.4,9.1;9.4,5.7,5.9,-1,18.0,2.7,14.8,0.2
row-2,internal,read 22.1,balloon,24.5,19,9,3 to 5,35,22.4,9.6,6.4,,,18.4,3.1,14.0,0.2
`;

const TRIALS = 20_480;
const FOLDER = "cases/";

export class TableTask {
    readonly node: HTMLElement;
    private readonly intake: Intake;
    private readonly found = h("div", { class: "found", "aria-live": "polite" });
    private asked = 0;

    constructor(private readonly page: Page) {
        this.intake = new Intake({ title: "The table", choose: "Choose a file \u2026", paste: "A header of keys, then a case a row",
                                   pastedName: "pasted.csv", accept: ".csv,.txt,.tsv", most: 1,
                                   example: { words: "Take the invented table", files: [{ name: "table.csv", text: EXAMPLE }] } },
                                       () => void this.run());
        this.node = h("div", { class: "task" }, h("h1", {}, "A table of cases"),
                      h("p", { class: "mute" },
                        "One case a row, from a spreadsheet saved as CSV. Every fault of every row is named at once; if there is one, no case is made."), this.intake.node, this.found);
    }

    private async run(): Promise<void> {
        const [file] = this.intake.files, mine = ++this.asked;
        fill(this.found);
        if (!file)
            return;
        const answer = await command(this.page, ["new", "--from-csv", file.name, "cases"], [file]),
            { faults, warnings } = split(faultsOf(answer.err ?? ""));
        if (mine !== this.asked)
            return;
        const cases = Object.entries(answer.files ?? {}).filter(([name]) => name.startsWith(FOLDER)).map(([name, text]) =>
                ({ name: name.slice(FOLDER.length), text }));
        fill(this.found, faultList(faults, [file], "No case was made", (name, line) => this.intake.mend(name, line)),
             faultList(warnings, [file], "Please note"), cases.length > 0 ? this.list(cases) : null);
        this.page.announce(cases.length > 0 ? `${cases.length} cases were made.` : "No case was made; what stands in the way is listed.");
    }

    private list(cases: NamedText[]): HTMLElement {
        const title = cases.length === 1 ? "1 case" : `${cases.length} cases`;
        const all = (): void => cases.forEach((c, i) => window.setTimeout(() => save(c.name, c.text), 300 * i));
        return h("section", {}, h("h2", {}, title), h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": title },
                                                      h("table", {}, h("thead", {},
                                                                       h("tr", {}, h("th", { scope: "col" }, "case"),
                                                                         h("th", { scope: "col" }, "cross a limit, of 100"), h("td", {}))),
                 h("tbody", {}, ...cases.map((c) => this.row(c))))), h("div", { class: "actions" }, button("Save all", all, { class: "main" })),
                 h("p", { class: "mute small" }, `Quick counts of ${TRIALS.toLocaleString("en-US")} roots each; open a case for the whole answer.`));
    }

    private row(file: NamedText): HTMLElement {
        const share = h("td", {}, "\u2026");
        void this.count(file, share);
        const open = (): void => {
            set({ ...file, profile: null }, "readers");
            this.page.go("operator");
        };
        return h("tr", {}, h("th", { scope: "row" }, file.name.replace(/\.json$/, "")), share,
                 h("td", { class: "actions" }, button("Open", open, { "aria-label": `Open ${file.name} for the operator` }),
                   button("Save", () => save(file.name, file.text), { "aria-label": `Save ${file.name}` })));
    }

    private async count(file: NamedText, into: HTMLElement): Promise<void> {
        const answer = await this.page.engine.whole<LiveAnswer>({ do: "live", case: file.text, trials: TRIALS }).catch(() => null),
            p = answer?.result?.patient.event.probability;
        const n = p === undefined ? NaN : Math.round(100 * p);
        into.textContent = p === undefined ? "not counted" : n < 1 ? "fewer than 1" : n > 99 ? "more than 99" : `about ${n}`;
    }
}
