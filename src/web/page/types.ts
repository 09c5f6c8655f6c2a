/* types.ts - what the engine is asked and what it answers: one call, JSON in, JSON out.
 * SPDX-License-Identifier: GPL-3.0-or-later */

export type Json = null | boolean | number | string | Json[] | JsonObject;
export interface JsonObject {
    [key: string]: Json;
}

export interface NamedText {
    name: string;
    text: string;
}

export type Status = "ok" | "refused" | "usage" | "unresolved" | "interrupted" | "no memory" | "not a number";

export interface Message {
    severity: "fault" | "warning";
    file?: string;
    line?: number;
    column?: number;
    pointer?: string;
    words: string;
    text?: string;
}

export interface Answer {
    status: Status;
    messages: Message[];
}

/* A case as the engine takes it: its text, and that of the site profile it names. */
export interface CaseInput {
    case: string;
    case_name?: string;
    profile?: string;
    profile_name?: string;
}

export type Order = "assess" | "report" | "recheck" | "weigh" | "sweep" | "compare";
export type Want = "text" | "json" | "page" | "csv" | "figures";

export interface OrderRequest extends CaseInput {
    do: "order";
    order: Order;
    second?: string;
    second_name?: string;
    second_profile?: string;
    second_profile_name?: string;
    trials?: number;
    seed?: string;
    points?: "plain" | "sharp";
    whole?: boolean;
    quiet?: boolean;
    plain?: boolean;
    until_resolved?: boolean;
    cap?: number;
    all?: boolean;
    no_context?: boolean;
    vary?: string[];
    wants: Want[];
}

export interface OrderAnswer extends Answer {
    text?: string;
    json?: string;
    page?: string;
    csv?: string;
    figures?: NamedText[];
}

export interface LiveRequest extends CaseInput {
    do: "live";
    knobs?: Record<string, number>;
    trials?: number;
    seed?: string;
}

export interface LiveShare {
    p: number;
    low?: number;
    high?: number;
}

export interface LiveAnswer extends Answer {
    patient?: LiveShare;
    action_line?: number | null;
    sides?: { name: string; ostium?: LiveShare | null; junction?: LiveShare | null }[];
    words?: string;
    drawing?: string;
}

export interface Mend {
    words: string;
    value: Json;
}

export interface Unusual {
    pointer: string;
    name?: string;
    words: string;
    confirmed?: boolean;
    mend?: Mend[];
}

export interface ReadRequest extends CaseInput {
    do: "read";
}

export interface ReadAnswer extends Answer {
    unusual?: Unusual[];
    profile_named?: string | null;
}

export interface Choice {
    value: string;
    words?: string;
}

export interface Question {
    pointer: string;
    group: string;
    words: string;
    unit: string;
    low: number | null;
    high: number | null;
    default: string | null;
    choices?: (string | Choice)[] | null;
    needed: boolean;
}

export interface QuestionsAnswer extends Answer {
    questions: Question[];
}

export interface Knob {
    name: string;
    unit: string;
    words: string;
    from: number;
    to: number;
    now?: number | null;
}

export interface KnobsAnswer extends Answer {
    knobs: Knob[];
}

export interface TextAnswer extends Answer {
    text?: string;
    json?: string;
}

/* What is written out above is checked as such; the rest by the engine. */
export type Request = OrderRequest | LiveRequest | ReadRequest | { do: string; [key: string]: unknown };
