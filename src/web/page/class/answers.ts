/* answers.ts - what the class reads of the engine's answers: a part of docs/schema/result.schema.json.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { LiveAnswer } from "../types";

export interface Probability {
    probability: number;
    standard_error: number;
    ci95: [number, number];
}

/* In mm. */
export interface Spread {
    median: number;
    low95: number;
    high95: number;
}

export interface Side {
    event: Probability;
    ostium_clearance_mm: Spread;
    conventional_ostium_mm: Spread;
}

export interface Assumption {
    path: string;
    value: unknown;
}

export interface Result {
    trials: number;
    patient: { event: Probability; event_without_blooming_correction: Probability | null };
    coronaries: Record<string, Side>;
    decision: { action_line: number | null; limits: { ostium_clearance_mm: number }[] };
    assumptions: Assumption[];
}

export interface Counted extends Omit<LiveAnswer, "result"> {
    result?: Result;
}
