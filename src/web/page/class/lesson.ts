/* lesson.ts - what a lesson is made of: invented cases, a question, and steps that follow the engine's numbers.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Result } from "./answers";

/* What a claim may speak of; every number is the engine's or a slider's. */
export interface View {
    now: Result;
    ghost: number | null;
    /* The value each slider holds: turned, or as the case has it. */
    held: Record<string, number>;
    turned: boolean;
    mount: string;
}

export interface Claim {
    head: string;
    sub: string;
}

export interface KnobUse {
    name: string;
    words: string;
    /* Ends where the engine names no range of its own. */
    from?: number;
    to?: number;
    step?: number;
}

/* What the dashed marks are: the answer as the slide began, that without the correction, or that of another case. */
export interface Ghost {
    of: "start" | "uncorrected" | "case";
    file?: string;
    words: string;
}

export interface GuessStep {
    kind: "guess";
    ask(view: View): Claim;
    /* One line each: what is read. */
    given(view: View): string[];
    picture: Picture;
    /* What may be said before the class guesses. */
    ghost?: Ghost;
}

export type Picture = "bloom" | "room" | "plane";

export interface TurnStep {
    kind: "turn";
    file?: string;
    claim(view: View): Claim;
    ghost: Ghost;
    picture: Picture;
    knobs: KnobUse[];
    mount?: boolean;
    /* Offers other invented cases. */
    files?: { file: string; words: string }[];
}

export interface CurveStep {
    kind: "curve";
    knob: string;
    words: string;
    from: number;
    to: number;
    points: number;
    /* A length as it is read, so told to a tenth of a mm; the engine's sentence is quoted beside it. */
    asRead?: boolean;
    remark: string;
}

export interface WorthStep {
    kind: "worth";
    remark: string;
    /* Asks, and shows what could be looked at without what it is worth. */
    ask?: string;
}

export type Step = GuessStep | TurnStep | CurveStep | WorthStep;

export interface Lesson {
    id: string;
    title: string;
    about: string;
    file: string;
    steps: Step[];
    /* Questions to talk about, for the hand-out. */
    talk: string[];
}
