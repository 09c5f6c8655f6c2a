/* facts.ts - what the engine says of each key: words, unit, range, usual range, default, choices; and of the case as it
 * stands, what is taken for what is not stated.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Json, Question } from "../types";
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

/* A question of the left side answers for every side that it has no own of. */
function general(pointer: string): string {
    return pointer.replace(/^\/coronaries\/[^/]+\//, "/coronaries/*/");
}

export class Facts {
    private questions = new Map<string, Question>();
    private assumptions = new Map<string, Assumption>();

    setQuestions(list: Question[]): void {
        for (const q of list) {
            this.questions.set(q.pointer, q);
            if (!this.questions.has(general(q.pointer)) || !q.pointer.includes("/left/"))
                this.questions.set(general(q.pointer), q);
        }
    }

    setAssumptions(list: Assumption[]): void {
        this.assumptions = new Map(list.map((a) => [a.path, a]));
    }

    question(pointer: string): Question | undefined {
        return this.questions.get(pointer) ?? this.questions.get(general(pointer));
    }

    assumption(pointer: string): Assumption | undefined {
        return this.assumptions.get(pointer);
    }

    /* "2 mm, the default" for a field that is empty. */
    taken(pointer: string): string {
        const a = this.assumption(pointer);
        if (a && a.origin !== "case")
            return `${spoken(a.value)}${a.origin === "profile" ? ", of the profile" : ""}`;
        return this.question(pointer)?.default?.split(". ")[0] ?? "";
    }
}

/* A value of a list of assumptions in few words; lists and other families are told elsewhere. */
function spoken(value: Json): string {
    const text = shown(value);
    const lognormal = /^\{"lognormal":\{"median":([^,]+),"gsd":([^}]+)\}\}$/.exec(text);
    if (lognormal)
        return `about ${lognormal[1]}, times or over ${lognormal[2]}`;
    return text.replace(/_/g, " ").replace(/\d+\.\d{4,}/g, (x) => String(Number(Number(x).toPrecision(4))));
}
