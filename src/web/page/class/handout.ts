/* handout.ts - a lesson on one A4 page, for the class to write on: the case, the question, the answers as the engine
 * counted them, questions to talk about, the caution. Seen in print alone.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { fill, h } from "../dom";
import type { Page } from "../room";
import type { CommandAnswer } from "../types";
import { Bench, LATER } from "./bench";
import type { Library } from "./bench";
import { shortOfHundred } from "./frequency";
import type { CurveStep, GuessStep, Lesson, TurnStep } from "./lesson";
import { marks } from "./marks";
import { pictureOf } from "./pictures";
import { CAUTION, claimOf, curveOf, looksOf, sentencesOf, sweepOptions } from "./told";
import { worthList } from "./worth";

const AFTER = "The limits come from small, retrospective series, some of native valves. Every case here is invented: no patient was measured. This supports the heart team and never replaces it. Not a medical device.";

function ownGuess(line: number | null): HTMLElement {
    return h("div", { class: "sheet-guess" }, h("p", {}, "My guess: ______ of 100. Mark it on the ruler",
                                                line === null ? "." : `; the notch is the line, ${Math.round(100 * line)} of 100.`),
             marks({ now: null, ghost: null, ghostWords: "", line }));
}

async function question(library: Library, lesson: Lesson, step: GuessStep): Promise<HTMLElement[]> {
    const bench = await Bench.open(library, lesson.file, "", step.ghost, () => undefined), view = bench.view(), claim = step.ask(view);
    return [h("p", { class: "sheet-ask" }, h("b", {}, claim.head), " ", claim.sub), h("ul", {}, ...step.given(view).map((x) => h("li", {}, x))),
            pictureBox(bench, step.picture, false), ownGuess(view.now.decision.action_line)];
}

function pictureBox(bench: Bench, what: GuessStep["picture"], shown: boolean): HTMLElement {
    return h("div", { class: "sheet-picture" }, pictureOf(bench, what, shown));
}

async function turned(library: Library, lesson: Lesson, step: TurnStep): Promise<HTMLElement[]> {
    const bench = await Bench.open(library, step.file ?? lesson.file, "", step.ghost, () => undefined), claim = step.claim(bench.view());
    return [h("p", {}, h("b", {}, claim.head), " ", claim.sub)];
}

function table(command: CommandAnswer, step: CurveStep): HTMLElement {
    const c = curveOf(command, step.words), cells = c.points.map((p) => h("td", {}, Number(p.at.toPrecision(4))));
    return h("table", { class: "sheet-table" }, h("tbody", {}, h("tr", {}, h("th", { scope: "row" }, step.words), ...cells),
             h("tr", {}, h("th", { scope: "row" }, "of 100 cross a limit"), ...c.points.map((p) => h("td", {}, shortOfHundred(p.p))))));
}

async function curve(library: Library, lesson: Lesson, step: CurveStep): Promise<HTMLElement[]> {
    const command = await library.command("later", "sweep", lesson.file, ...sweepOptions(step));
    return [h("p", {}, h("b", {}, claimOf(sentencesOf(command.out ?? ""), step.asRead)), " ", step.remark), table(command, step)];
}

async function worth(library: Library, lesson: Lesson, remark: string): Promise<HTMLElement[]> {
    const command = await library.command("later", "recheck", lesson.file);
    return [h("p", {}, h("b", {}, sentencesOf(command.out ?? "")[0] ?? ""), " ", remark), worthList(looksOf(command), 3)];
}

async function answers(library: Library, lesson: Lesson): Promise<HTMLElement[]> {
    const made: HTMLElement[] = [];
    for (const step of lesson.steps)
        if (step.kind === "turn")
            made.push(...await turned(library, lesson, step));
        else if (step.kind === "curve")
            made.push(...await curve(library, lesson, step));
        else if (step.kind === "worth" && !step.ask)
            made.push(...await worth(library, lesson, step.remark));
    return made;
}

export class Handout {
    readonly node = h("article", { class: "sheet", "aria-hidden": "true" });
    private readonly made = new Map<string, Promise<void>>();
    private of: Lesson | null = null;

    constructor(private readonly page: Page, private readonly library: Library) {}

    /* Fills the page; once it is full, printing it needs no waiting. What was given up begins anew. */
    prepare(lesson: Lesson): Promise<void> {
        const known = this.made.get(lesson.id);
        if (this.of === lesson && known)
            return known;
        this.of = lesson;
        this.page.engine.giveUp(LATER);
        fill(this.node, h("p", {}, "This page is still being counted."));
        const made = this.fill(lesson);
        this.made.set(lesson.id, made);
        made.catch(() => this.made.delete(lesson.id));
        return made;
    }

    private async fill(lesson: Lesson): Promise<void> {
        const ask = lesson.steps.find((x) => x.kind === "guess");
        const asked = ask ? await question(this.library, lesson, ask) : [];
        const told = await answers(this.library, lesson);
        if (this.of !== lesson)
            return;
        fill(this.node, h("header", {}, h("p", { class: "small" }, "slimmargin \u00b7 for a class \u00b7 invented case"), h("h1", {}, lesson.title)),
             ...asked,
             h("h2", {}, "To talk about"), h("ul", { class: "sheet-talk" }, ...lesson.talk.map((x) => h("li", {}, x))),
             h("h2", {}, "What the count gives"), ...told, h("footer", {}, h("b", {}, CAUTION), " ", AFTER));
        this.page.announce("The hand-out is ready to print.");
    }
}
