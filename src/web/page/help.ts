/* help.ts - how the page is used, and what every word means, from the engine's own explanations.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { alone } from "./command";
import { button, dataBlock, fill, freshId, h } from "./dom";
import type { Page, Room } from "./room";
import type { CommandAnswer } from "./types";

const STEPS: [string, string][] = [
    ["Enter a case", "Fill the form in the order of a CT report, or open, drop or paste a case file. An empty field takes "
        + "the default that stands in it; “⋯” says what a field means, and holds spreads, readers and bright edges."],
    ["Read the answer", "It stays at the top: the call in words, one hundred roots as marks of a ruler, your line as a notch, "
        + "and below it the range that the judged values give. While it is being computed the page says so and marks what is of before."],
    ["Mend slips at the field", "A number that is possible but unusual is asked about where it stands, with the likely mend. If it was meant, say that it is right: the case then says so, too."],
    ["See what it hangs on", "Beside the form: what would turn the call, what to look at again first, and what might be done "
        + "instead. The edited field lights up in the drawing, and a click in the drawing leads to its field."],
    ["Keep it", "Save the case as a file, print or save the whole report, save every command's text, tables and figures. The page itself keeps nothing and sends nothing."],
];

const KEYS: [string, string][] = [["Tab, Shift Tab", "from field to field"], ["Ctrl Z, Ctrl Y", "undo, redo"], ["Ctrl S", "save the case"], ["Enter, blank", "press a button, open what is folded"]];

const TERMS = ["call", "clearance", "tube", "crowded ostium", "sealed sinus", "action line", "ostium gap", "bloom_edges", "setting", "worth", "untreated event", "obstruction"];

class Help {
    private readonly term = h("input", { id: freshId("term"), type: "search", autocomplete: "off", placeholder: "ostium gap" });
    private readonly out = h("pre", { role: "status" });

    constructor(host: HTMLElement, private readonly page: Page) {
        const ask = h("form", { class: "row" }, h("label", { for: this.term.id }, "What does this mean:"), this.term,
                      h("button", { type: "submit", class: "main" }, "explain"), button("all words", () => void this.explain("")));
        ask.addEventListener("submit", (event) => {
            event.preventDefault();
            void this.explain(this.term.value.trim());
        });
        host.append(h("div", { class: "prose" }, h("h1", {}, "Help"), h("ol", {}, ...STEPS.map(([title, words]) => h("li", {}, h("b", {}, `${title}. `), words))),
            h("h2", {}, "Words"), ask, h("p", {}, ...TERMS.map((t) => button(t, () => page.go("help", t)))), this.out,
            h("h2", {}, "By keyboard"), h("table", {}, ...KEYS.map(([keys, words]) => h("tr", {}, h("th", { scope: "row" }, keys), h("td", {}, words)))),
            h("h2", {}, "All that is taken unless stated"), h("p", {}, button("list every default with its source", () => void this.list())),
            h("details", {}, h("summary", {}, "Licences"), h("pre", { tabindex: 0, "aria-label": "licences" }, dataBlock("licences")))));
    }

    private async ask(...words: string[]): Promise<void> {
        const answer = await this.page.engine.whole<CommandAnswer>(alone(...words));
        fill(this.out, answer.out.trim() || answer.err);
    }

    explain(term: string): Promise<void> {
        this.term.value = term;
        return this.ask("explain", ...term.split(/\s+/).filter((x) => x !== ""));
    }

    private async list(): Promise<void> {
        await this.ask("defaults");
        this.out.scrollIntoView({ block: "start" });
    }
}

let made: Help | null = null;

export const help: Room = {
    id: "help",
    title: "Help",
    open: (host, page) => { made = new Help(host, page); },
    shown: (rest) => {
        if (rest)
            void made?.explain(rest);
    },
};
