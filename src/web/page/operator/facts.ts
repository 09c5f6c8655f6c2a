/* facts.ts - what the engine says of each key: words, unit, range, usual range, default, choices, meaning; and of the case
 * as it stands, what is taken for what is not stated.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Default, Json, Key, KeysAnswer } from "../types";
import { shown } from "./value";

export interface Assumption {
    path: string;
    value: Json;
    unit: string;
    words: string;
    origin: "case" | "profile" | "default";
    grade: string;
    source: string;
}

/* Keys of patches and of another scan are those of what they patch. */
function patched(pointer: string): string {
    return pointer.replace(/^\/alternatives\/\d+\/(implant|surgical_valve)\//, "/$1/").replace(/^\/looks\/\d+\/rescan\//, "/scan/");
}

/* Whether a table that stands at "/coronaries/＊/＊" (any name) is of this place. */
function matches(at: string, place: string): boolean {
    const a = at.split("/"), b = place.split("/");
    return a.length === b.length && a.every((part, i) => part === "*" || part === b[i]);
}

export class Facts {
    private tables: KeysAnswer["tables"] = [];
    private assumptions = new Map<string, Assumption>();
    private readonly found = new Map<string, Key | undefined>();

    setTables(tables: KeysAnswer["tables"]): void {
        this.tables = tables;
        this.found.clear();
    }

    setAssumptions(list: Assumption[]): void {
        this.assumptions = new Map(list.map((a) => [a.path, a]));
    }

    /* Of several tables at one place the first that knows the unit, or simply the first. */
    key(pointer: string): Key | undefined {
        if (!this.found.has(pointer)) {
            const at = patched(pointer), cut = at.lastIndexOf("/"), name = at.slice(cut + 1);
            const keys = this.tables.filter((t) => matches(t.at, at.slice(0, cut))).flatMap((t) => t.keys.filter((k) => k.key === name));
            this.found.set(pointer, keys.find((k) => k.unit) ?? keys[0]);
        }
        return this.found.get(pointer);
    }

    assumption(pointer: string): Assumption | undefined {
        return this.assumptions.get(pointer);
    }

    usualRange(pointer: string): { low: number; high: number } | undefined {
        const side = /^\/coronaries\/([^/]+)\//.exec(pointer)?.[1], list = this.key(pointer)?.usual ?? [];
        return list.find((u) => u.side === side) ?? list.find((u) => u.side === null);
    }

    usual(pointer: string): string {
        const range = this.usualRange(pointer);
        return range ? `${range.low} to ${range.high}` : "";
    }

    /* The default, where it does not depend on what else the case says. */
    private onlyDefault(pointer: string): Default | undefined {
        const list = this.key(pointer)?.defaults ?? [];
        return list.length === 1 ? list[0] : undefined;
    }

    /* "2", "0.5, of the profile": what is taken for a field that is empty. */
    taken(pointer: string): string {
        const a = this.assumption(pointer);
        if (a && a.origin !== "case")
            return `${spoken(a.value)}${a.origin === "profile" ? ", of the profile" : ""}`;
        return spoken(this.onlyDefault(pointer)?.value ?? "");
    }

    /* Where what is taken comes from, in sentences. */
    origin(pointer: string): string {
        const a = this.assumption(pointer), key = this.key(pointer), possible = key?.domain ? `Possible: ${key.domain}. ` : "";
        const listed = (key?.defaults ?? []).map(defaultWords);
        if (!a)
            return possible + (listed.length ? `If left empty: ${listed.join(" ")}` : "");
        const from = { case: "Stated in the case", profile: "From the site profile", default: "Default" }[a.origin];
        return `${possible}${from}: ${spoken(a.value)} ${a.unit}. Grade: ${a.grade}. ${a.source}`;
    }
}

/* "left: 35 degrees. Why. Grade: … Source: …" */
function defaultWords(d: Default): string {
    const when = d.when.trim().replace(/^\((.*)\)$/, "$1"), value = d.value === null ? "" : `${spoken(d.value)} ${d.unit}. `;
    return `${when && `${when}: `}${value}${d.reason} Grade: ${d.grade}. Source: ${d.source}.`;
}

/* A value in few words; lists and rarer families stay as they are written. */
function spoken(value: Json): string {
    const text = shown(value);
    const lognormal = /^\{"lognormal":\{"median":([^,]+),"gsd":([^}]+)\}\}$/.exec(text) ?? /^lognormal: median ([\d.]+), gsd ([\d.]+)$/.exec(text);
    if (lognormal)
        return `${lognormal[1]} ×÷ ${lognormal[2]}`;
    return text.replace(/\d+\.\d{4,}/g, (x) => String(Number(Number(x).toPrecision(4))));
}
