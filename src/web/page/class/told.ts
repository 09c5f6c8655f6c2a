/* told.ts - what a command printed and wrote, taken apart for a slide: its sentences, the points of a sweep, the worth of
 * looks.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { CommandAnswer } from "../types";
import type { Result } from "./answers";
import type { CurveStep } from "./lesson";
import type { Curve } from "./picture_curve";

/* It stands at the foot of every slide and page. */
export const CAUTION = "That a limit is crossed does not mean that the artery will be obstructed.";

/* The lines that a terminal has, joined again and parted into sentences. */
export function sentencesOf(out: string): string[] {
    const text = out.replace(/\s+/g, " ").replace(/\+-/g, "±").replace(CAUTION, "").trim();
    return text ? text.split(/(?<=[.!?]) (?=[A-Z])/) : [];
}

/* The sentence that a slide claims: of a length as read to a tenth, as nobody reads it finer. */
export function claimOf(all: string[], asRead = false): string {
    const first = all[0] ?? "";
    return asRead ? first.replace(/(\d+\.\d+) mm/g, (_, x: string) => `${Number(x).toFixed(1)} mm`) : first;
}

export function sweepOptions(step: CurveStep): string[] {
    return ["--vary", `${step.knob}=${step.from}:${step.to}:${step.points}`];
}

interface SweepJson extends Result {
    sweep: { points: { values: number[]; event: { probability: number } }[] };
}

export function curveOf(command: CommandAnswer, words: string): Curve {
    const r = JSON.parse(command.files?.["r.json"] ?? "") as SweepJson;
    const points = r.sweep.points.map((p) => ({ at: p.values[0] ?? NaN, p: p.event.probability }));
    return { points, words, line: r.decision.action_line, asItIs: r.patient.event.probability };
}

export interface Look {
    look: string;
    value: { value: number; standard_error: number };
    call_change: { value: number };
    act: { side: "below" | "above"; at: number } | null;
}

export function looksOf(command: CommandAnswer): Look[] {
    const r = JSON.parse(command.files?.["r.json"] ?? "") as { worth?: Look[] };
    return r.worth ?? [];
}
