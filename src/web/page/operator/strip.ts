/* strip.ts - the answer, always in sight: the call in words, the ruler, what the settings give, and how current it is.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h, visible } from "../dom";
import type { Page } from "../room";
import { FIRST_TRIALS, QUICK_TRIALS, TRIALS } from "./computing";
import type { Computing, Known } from "./computing";
import { question } from "./mends";
import { isMissing, place } from "./notes";
import { labelOf } from "./places";
import { ruler } from "./ruler";
import type { RulerNumbers } from "./ruler";
import type { Told } from "./told";
import { capital } from "./words";

const CAUTION = "That a limit is crossed does not mean that the artery will be obstructed.";

/* Of a sheet of A4 between its margins, in pixels: what the marks are drawn for on paper, whatever the window was. */
const PAPER_WIDTH = 670;

/* "still computing: the probabilities, 40 %" */
function progress(known: Known): string {
    return `still computing${known.part ? `: ${known.part}, ${Math.floor(100 * known.share)} %` : ""}`;
}


const count = (n: number): string => n.toLocaleString("en");

/* `needed`: how many values are still missing, or null where the text is no case at all. */
function headline(known: Known, needed: number | null): string {
    if (known.told && known.fresh)
        return known.told.headline;
    if (known.quickWords)
        return `Quick count of ${count(QUICK_TRIALS)} roots: ${known.quickWords}; what it hangs on is still being computed.`;
    if (known.told && (known.work || known.live))
        return known.told.headline;
    if (known.failure)
        return "No answer: the computation stopped.";
    if (needed === null)
        return "No answer: this text is no case.";
    if (known.lacksProfile)
        return `No answer yet: the case names a site profile, ${known.lacksProfile}, that was not given.`;
    if (known.read && known.read.status !== "ok")
        return needed > 0 ? `No answer yet: ${needed} ${needed === 1 ? "value is" : "values are"} still needed.` : "No answer: something has to be mended first.";
    return known.work ? "Computing the first answer …" : "No answer yet.";
}

function ofBefore(known: Known): string {
    if (known.quickWords)
        return "The case has changed: what stands beside the form is of before.";
    return known.live ? "Changed: the marks are a quick count, the sentence is of before." : "Changed: what is said is of before.";
}

/* How current the answer is. Nothing older is ever told as if it were of the case as it stands. */
function standing(known: Known): string {
    if (known.failure)
        return known.failure;
    const fault = [...(known.read?.messages ?? []), ...known.ofProfile].find((m) => m.severity === "fault" && !isMissing(m));
    if (known.lacksProfile || (known.read && known.read.status !== "ok"))
        return `${fault ? `${place(fault) ? labelOf(place(fault)) : `${fault.file}, line ${fault.line}`}: ${fault.words}. ` : ""}${known.told ? "What is shown below is of before." : ""}`;
    if (known.fresh && known.rough)
        return `Of ${count(FIRST_TRIALS)} roots; those of ${count(TRIALS)} are ${progress(known)}.`;
    if (known.fresh)
        return known.work === "report" ? `Current. Drawings and report: ${progress(known)}.` : "Current.";
    return known.told ? `${ofBefore(known)} ${capital(progress(known))} …` : known.work ? `${capital(progress(known))} …` : "";
}

function lineWords(told: Told | null): string {
    return /Your line: [\d.,]+ of [\d,]+/.exec(told?.readBack ?? "")?.[0] ?? "";
}

function numbers(known: Known, valid: boolean): RulerNumbers {
    const told = valid ? known.told : null, live = known.live?.result?.patient.event.probability;
    const line = (known.live?.result ?? told?.result)?.decision.action_line ?? null;
    const set = told?.result.decision.settings, words = known.fresh ? lineWords(told).replace("Y", "y") : "";
    return { share: known.fresh || live === undefined ? told?.result.patient.event.probability ?? null : live, line,
             lineWords: words || "your line", stale: !known.fresh,
             range: known.fresh && set ? { low: set.low90, high: set.high90 } : null };
}

function subline(told: Told | null): HTMLElement {
    const said = told ? told.lead.filter((x) => x !== CAUTION) : [];
    return h("p", { class: "lead" }, h("b", {}, CAUTION), " ", h("span", { class: "rest" }, said.join(" ")));
}

export class Strip {
    readonly node = h("section", { class: "strip", "aria-labelledby": "call" });
    private readonly call = h("h1", { id: "call" });
    private readonly sub = h("div", {});
    private readonly drawn = h("div", { class: "ruler-box" });
    private readonly range = h("p", { class: "range" });
    private readonly state = h("p", { class: "standing" });
    private readonly asked = h("div", { class: "asked-first" });
    private heard = "";

    constructor(private readonly page: Page, private readonly computing: Computing, private readonly needed: () => number | null,
                private readonly goTo: (pointer: string) => void) {
        this.node.append(this.asked, this.call, this.sub, this.drawn, h("div", { class: "under" }, this.range, this.state));
        new ResizeObserver(() => this.draw()).observe(this.drawn);
        new ResizeObserver(() => document.documentElement.style.setProperty("--strip", `${this.node.offsetHeight}px`)).observe(this.node);
        computing.onNews(() => this.update());
        window.addEventListener("beforeprint", () => this.draw(PAPER_WIDTH));
        window.addEventListener("afterprint", () => this.draw());
    }

    update(): void {
        const { known, possible: valid } = this.computing;
        const words = headline(valid ? known : { ...known, told: null }, this.needed());
        this.call.textContent = words;
        this.node.classList.toggle("old", !known.fresh && !known.quickWords);
        this.node.classList.toggle("settled", known.fresh && !known.rough && !known.failure);
        fill(this.sub, subline(valid && (known.fresh || !known.quickWords) ? known.told : null));
        fill(this.asked, this.question());
        fill(this.range, known.fresh && known.told ? `${known.told.settings} ${known.told.stays}` : "");
        fill(this.state, visible(standing(known)));
        this.draw();
        this.speak(words);
    }

    /* A number that is asked about comes before the answer, which may rest on it alone. */
    private question(): HTMLElement | false {
        const open = (this.computing.known.read?.unusual ?? []).filter((u) => !u.confirmed), [first] = open;
        return first !== undefined && h("p", {}, h("b", {}, "! "), question(first), open.length > 1 ? ` And ${open.length - 1} more.` : "", " ",
                                        button("to the field", () => this.goTo(first.at)));
    }

    private draw(width = this.drawn.clientWidth): void {
        const { known, possible: valid } = this.computing;
        const words = `A ruler of one hundred marks, one a root: filled are those that cross a limit. ${this.call.textContent ?? ""} ${lineWords(known.told)}`;
        fill(this.drawn, ruler(width, numbers(known, valid), words));
    }

    private speak(words: string): void {
        const settled = this.computing.known.fresh || !this.computing.possible;
        if (!settled || words === this.heard)
            return;
        this.heard = words;
        this.page.announce(`${words} ${this.state.textContent ?? ""}`);
    }
}
