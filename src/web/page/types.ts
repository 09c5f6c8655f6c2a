/* types.ts - what the engine is asked and what it answers: one call, JSON in, JSON out (docs/page.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */

export type Json = null | boolean | number | string | Json[] | JsonObject;
export interface JsonObject {
    [key: string]: Json;
}

export interface NamedText {
    name: string;
    text: string;
}

export type Status = "ok" | "usage" | "refused" | "not_written" | "unresolved" | "check_failed" | "no_memory" | "numeric" | "interrupted";

export interface Message {
    severity: "fault" | "warning";
    file: string;
    line: number;
    column: number;
    pointer: string | null; /* null where the text is no JSON */
    words: string;
}

export interface Answer {
    status: Status;
    exit: number;
}

/* 1. A command line of the program, on files in memory. */
export interface CommandRequest {
    do: "command";
    words: string[];
    files: Record<string, string>;
}

export interface CommandAnswer extends Answer {
    out: string;
    err: string;
    files: Record<string, string>;
}

/* A case as the form has it, and the site profile that it names. */
export interface CaseInput {
    case: string;
    case_name?: string;
    profile?: string;
    profile_name?: string;
}

/* 2. Numbers while something moves. */
export interface LiveRequest extends CaseInput {
    do: "live";
    knobs?: Record<string, number>;
    trials?: number;
    figures?: boolean;
}

export interface Probability {
    probability: number;
    standard_error?: number;
    ci95?: [number, number];
}

export interface LiveResult {
    patient: { event: Probability };
    coronaries: Record<string, { event: Probability | null; crowded: Probability | null; sealed: Probability | null }>;
    decision: { action_line: number | null };
}

export interface LiveAnswer extends Answer {
    messages: Message[];
    result?: LiveResult;
    figures?: Record<string, string>;
}

/* 3. A case read: faults, what is unusual, what can be turned. */
export interface ReadRequest extends CaseInput {
    do: "read";
}

export interface Unusual {
    at: string;
    name: string;
    what: string;
    value: number;
    usual: [number, number];
    unit: string;
    slip: string;
    confirmed: boolean;
}

export interface Knob {
    name: string;
    at: string;
    words: string;
    unit: string;
    low: number;
    high: number;
    own?: number;
    stated?: string;
    range?: [number, number];
}

export interface ReadAnswer extends Answer {
    profile_named: string | null;
    messages: Message[];
    unusual?: Unusual[];
    knobs?: Knob[];
}

/* 4. Every key of a case. */
export interface Default {
    when: string;
    value: string | null;
    unit: string;
    grade: string;
    range: string | null;
    reason: string;
    source: string;
}

export interface Key {
    key: string;
    kind: string;
    words: string;
    required: boolean;
    unit?: string;
    domain?: string;
    choices?: string[];
    usual: { side: string | null; low: number; high: number; unit: string }[];
    defaults: Default[];
    explained: string | null;
}

export interface KeysAnswer extends Answer {
    tables: { at: string; what: string; keys: Key[] }[];
}

export type Request = CommandRequest | LiveRequest | ReadRequest | { do: "keys" };
