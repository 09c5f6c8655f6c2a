/* slide.ts - the frame of a slide: claim, ruler, two columns, caution, where one is; and each kind of step in it.
 *
 * Contents: 1. the frame  2. guess  3. turn  4. curve  5. worth
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import type { Page } from "../room";
import type { CommandAnswer } from "../types";
import { Bench } from "./bench";
import type { Library } from "./bench";
import type { Deck } from "./deck";
import { ofHundred } from "./frequency";
import { handsForm, handsSentence, histogram } from "./hands";
import type { Claim, CurveStep, GuessStep, Lesson, Step, TurnStep, WorthStep } from "./lesson";
import { marks, marksSentence, placeInWidth } from "./marks";
import { pictureOf } from "./pictures";
import { curvePicture } from "./picture_curve";
import { choices, sliders } from "./sliders";
import { claimOf, curveOf, looksOf, sentencesOf, sweepOptions } from "./told";
import { lookNames, worthList } from "./worth";

/* 1. The frame */

export class Frame {
    readonly head = h("h1", { id: "claim" });
    readonly sub = h("p", { class: "sub" });
    readonly ruler = h("div", { class: "marks-box" });
    readonly left = h("div", { class: "left" });
    readonly right = h("div", { class: "right" });
    readonly node = h("div", { class: "slide-main" }, h("header", {}, this.head, this.sub), this.ruler,
                      h("div", { class: "columns" }, this.left, this.right));

    say(claim: Claim): void {
        this.head.textContent = claim.head;
        this.sub.textContent = claim.sub;
    }
}

export interface Context {
    page: Page;
    library: Library;
    deck: Deck;
    /* Whether the slide is still the one shown. */
    current(): boolean;
}

function showMarks(frame: Frame, bench: Bench, shown: boolean): void {
    const m = { now: shown ? bench.now.patient.event.probability : null, ghost: bench.ghost, ghostWords: bench.shade.words,
                line: bench.now.decision.action_line };
    const now = shown ? h("b", {}, `now ${ofHundred(bench.now.patient.event.probability)} of 100`) : "";
    const ghost = m.ghost === null ? "" : h("span", { class: "ghost-words" }, `dashed: ${ofHundred(m.ghost)} ${m.ghostWords}`);
    fill(frame.ruler, marks(m), h("p", { class: "marks-words", "aria-hidden": "true" },
                                  h("span", {}, now, shown && m.ghost !== null ? ", " : "", ghost),
                                    m.line === null ? "" : h("span", { class: m.line > 0.6 ? "line-at before" : "line-at", style: `--at: ${placeInWidth(m.line).toFixed(2)}%` }, `the line: ${Math.round(100 * m.line)} of 100`)));
}

/* 2. Guess */

async function guess(frame: Frame, context: Context, lesson: Lesson, step: GuessStep): Promise<void> {
    const bench = await Bench.open(context.library, lesson.file, "", step.ghost, () => undefined), view = bench.view();
    if (!context.current())
        return;
    frame.say(step.ask(view));
    showMarks(frame, bench, false);
    fill(frame.left, pictureOf(bench, step.picture, false), h("ul", { class: "given" }, ...step.given(view).map((x) => h("li", {}, x))));
    fill(frame.right, handsForm(context.deck.hands(lesson)));
}

/* 3. Turn */

interface Turning {
    file: string;
    mount: string;
}

function guessed(context: Context, lesson: Lesson, answer: number): HTMLElement | null {
    const hands = context.deck.hands(lesson);
    return hands.sum === 0 ? null : h("figure", { class: "guessed" }, h("figcaption", {}, handsSentence(hands, answer)), histogram(hands, answer));
}

function extras(step: TurnStep, bench: Bench, at: Turning, again: (next: Turning) => void): HTMLElement[] {
    const mounts = [{ value: "internal", words: "inside" }, { value: "external", words: "outside" }];
    const made = [];
    if (step.files)
        made.push(choices("invented case", step.files.map((f) => ({ value: f.file, words: f.words })), at.file,
                          (file) => again({ file, mount: "" })));
    if (step.mount)
        made.push(choices("old leaflets mounted", mounts, bench.mount, (mount) => again({ ...at, mount })));
    return made;
}

async function turn(frame: Frame, context: Context, lesson: Lesson, step: TurnStep, at?: Turning): Promise<void> {
    const from = at ?? { file: step.files?.[0]?.file ?? step.file ?? lesson.file, mount: "" };
    let heard = "";
    const show = (atRest: boolean): void => {
        if (!context.current())
            return;
        const claim = step.claim(bench.view());
        frame.say(claim);
        showMarks(frame, bench, true);
        fill(frame.left, pictureOf(bench, step.picture, true));
        if (atRest && claim.head !== heard)
            context.page.announce(`${claim.head} ${claim.sub}`);
        heard = atRest ? claim.head : heard;
    };
    const bench = await Bench.open(context.library, from.file, from.mount, step.ghost, show);
    if (!context.current())
        return;
    const again = (next: Turning): void => void turn(frame, context, lesson, step, next);
    const reset = button("Back to the start", () => { bench.reset(); fillKnobs(); }, { class: "reset" });
    const knobs = h("div", { class: step.knobs.length > 3 ? "knobs many" : "knobs" });
    const fillKnobs = (): void => fill(knobs, ...extras(step, bench, from, again), ...sliders(bench, step.knobs), reset);
    fillKnobs();
    show(true);
    fill(frame.right, knobs, first(step, lesson) ? guessed(context, lesson, bench.stand.start.patient.event.probability) : null);
}

/* What was guessed belongs to the slide that answers it. */
function first(step: Step, lesson: Lesson): boolean {
    return lesson.steps.findIndex((x) => x.kind === "turn") === lesson.steps.indexOf(step);
}

/* 4. Curve */

/* The question stands alone while the roots are counted; what comes back takes each part of the work in its turn. */
function waiting(frame: Frame, words: string): (share: number) => void {
    frame.say({ head: words, sub: "The roots are counted, here on this machine \u2026" });
    fill(frame.ruler);
    return (share) => {
        frame.sub.textContent = `The roots are counted, here on this machine: ${Math.floor(100 * share)} % of this part \u2026`;
    };
}

/* The engine's own sentence is the claim; where that rounds it, it is quoted. */
function told(frame: Frame, command: CommandAnswer, remark: string, asRead = false): void {
    const all = sentencesOf(command.out ?? ""), head = claimOf(all, asRead) || "No answer.";
    frame.say({ head, sub: remark });
    fill(frame.right, head !== all[0] && h("p", {}, "As counted: ", h("q", {}, all[0])), ...all.slice(1).map((x) => h("p", {}, x)));
}

async function curve(frame: Frame, context: Context, lesson: Lesson, step: CurveStep): Promise<void> {
    const share = waiting(frame, "Where does it turn?"), command = await context.library.command(share, "sweep", lesson.file, ...sweepOptions(step));
    if (!context.current())
        return;
    told(frame, command, step.remark, step.asRead);
    fill(frame.left, curvePicture(curveOf(command, step.words)));
    frame.node.classList.add("curve-slide");
}

/* 5. Worth */

async function worth(frame: Frame, context: Context, lesson: Lesson, step: WorthStep): Promise<void> {
    const share = waiting(frame, step.ask ?? "What would you look at again?"), command = await context.library.command(share, "recheck", lesson.file);
    if (!context.current())
        return;
    if (step.ask) {
        frame.say({ head: step.ask, sub: step.remark });
        fill(frame.left, lookNames(looksOf(command)));
        return;
    }
    told(frame, command, step.remark);
    fill(frame.left, worthList(looksOf(command), 5));
}

export async function fillSlide(frame: Frame, context: Context, lesson: Lesson, step: Step): Promise<void> {
    if (step.kind === "guess")
        await guess(frame, context, lesson, step);
    else if (step.kind === "turn")
        await turn(frame, context, lesson, step);
    else if (step.kind === "curve")
        await curve(frame, context, lesson, step);
    else
        await worth(frame, context, lesson, step);
    if (context.current() && step.kind !== "turn")
        context.page.announce(`${frame.head.textContent ?? ""} ${frame.sub.textContent ?? ""} ${step.kind === "guess" ? "" : marksSentence({ now: null, ghost: null, ghostWords: "", line: null })}`.replace("Not yet shown.", ""));
}
