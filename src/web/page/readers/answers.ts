/* answers.ts - what this room reads of the engine's answers: parts of docs/schema/readers.schema.json and
 * result.schema.json.
 * SPDX-License-Identifier: GPL-3.0-or-later */
export type Interval = [number | null, number | null] | null;

export interface Estimate {
    value: number | null;
    ci95: Interval;
}

export interface Pair {
    first: string;
    second: string;
    cases: number;
    bias_mm: Estimate;
    lower_limit_mm: Estimate;
    upper_limit_mm: Estimate;
}

export interface Outlying {
    file: string | null;
    line: number;
    case: string;
    reader: string;
    value_mm: number;
}

export interface Odd {
    case: string;
    reader: string;
    test: "cochran" | "grubbs";
}

export interface Quantity {
    cases: number;
    readers: number;
    readings: number;
    between_reader_sd_mm: number | null;
    between_reader_sd_ci95_mm: Interval;
    repeat_sd_mm: number | null;
    repeat_sd_ci95_mm: Interval;
    one_reading_sd_mm: number | null;
    one_reading_sd_ci95_mm: Interval;
    case_sd_mm: number | null;
    case_sd_ci95_mm: Interval;
    reader_sd_mm: number | null;
    reader_sd_ci95_mm: Interval;
    reader_case_sd_mm: number | null;
    reader_case_sd_ci95_mm: Interval;
    icc: Record<string, Estimate | number> | null;
    iso5725: Record<string, number | null>;
    pairs: Pair[];
    offsets_mm: Record<string, Estimate>;
    odd_cells: Odd[];
    outlying: Outlying[];
}

export interface Study {
    study: string;
    quantities: Record<string, Quantity>;
}

export interface ProfileEntry {
    between_reader_sd_mm?: number;
    repeat_sd_mm?: number;
    dof?: number;
    sd_includes_plane?: boolean;
    source?: string;
}

export interface Profile {
    site?: string;
    readers?: Record<string, ProfileEntry>;
}
