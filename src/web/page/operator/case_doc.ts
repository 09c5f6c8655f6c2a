/* case_doc.ts - the case being worked on: its text as it will be saved, the object it says, and what was before.
 *
 * A case that was opened keeps its very bytes until something is changed. Nothing the form has no field for is lost.
 *
 * Contents: 1. text and object  2. changing  3. undo and redo
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { CaseInput, Json, JsonObject, NamedText } from "../types";
import { get, isObject, remove, set } from "./pointer";
import { withoutUnfinished } from "./unfinished";

/* 1. Text and object */

export interface State {
    text: string;
    name: string; /* of the file */
    profile: NamedText | null;
    unnamed?: boolean; /* nobody named the file: its name is that of the case */
}

/* On one line. */
function flat(value: Json): string {
    if (Array.isArray(value))
        return `[${value.map(flat).join(", ")}]`;
    if (isObject(value))
        return `{${Object.entries(value).map(([key, v]) => `${JSON.stringify(key)}: ${flat(v)}`).join(", ")}}`;
    return JSON.stringify(value);
}

/* As a case is written by hand: short objects and lists on one line. */
export function written(value: Json, indent = ""): string {
    const line = flat(value), deeper = `${indent}  `;
    if (typeof value !== "object" || value === null || (indent && line.length + indent.length < 100))
        return line;
    if (Array.isArray(value))
        return `[\n${value.map((v) => deeper + written(v, deeper)).join(",\n")}\n${indent}]`;
    const lines = Object.entries(value).map(([key, v]) => `${deeper}${JSON.stringify(key)}: ${written(v, deeper)}`);
    return `{\n${lines.join(",\n")}\n${indent}}`;
}

function objectOf(text: string): JsonObject | null {
    try {
        const value = JSON.parse(text) as Json;
        return isObject(value) ? value : null;
    } catch {
        return null;
    }
}

/* Whether a text can be worked on at all: a list, a number or what is no JSON is no case. */
export function isCase(text: string): boolean {
    return objectOf(text) !== null;
}

/* "case-7.json", of nothing that a system of files would take amiss. */
function fileNameOf(object: JsonObject | null): string {
    const stated = object ? get(object, "/case") : undefined;
    const plain = (typeof stated === "string" ? stated : "").replace(/[^\p{L}\p{N}._-]+/gu, "-").replace(/^[-.]+|[-.]+$/g, "").slice(0, 60);
    return `${plain || "case"}.json`;
}

export const EMPTY: JsonObject = {
    format: "slimmargin-case-1", case: "case-1", surgical_valve: {}, implant: {}, coronaries: { left: {}, right: {} },
};

export const NEW: State = { text: `${written(EMPTY)}\n`, name: "case-1.json", profile: null, unnamed: true };

/* Keystrokes in one field that follow each other this fast are one step to undo. */
const ONE_STEP_MS = 1500;

export class CaseDoc {
    state: State = NEW;
    object: JsonObject | null = objectOf(NEW.text);
    private readonly before: State[] = [];
    private readonly after: State[] = [];
    private lastWhat = "";
    private lastAt = 0;
    private saved = NEW.text;
    private readonly listeners: ((what: string) => void)[] = [];

    onChange(listener: (what: string) => void): void {
        this.listeners.push(listener);
    }

    get(pointer: string): Json | undefined {
        return this.object ? get(this.object, pointer) : undefined;
    }

    /* What the engine is given. */
    input(): CaseInput {
        const { name, profile } = this.state, sent = withoutUnfinished(this.object), text = sent ? `${written(sent)}\n` : this.state.text;
        return profile ? { case: text, case_name: name, profile: profile.text, profile_name: `site profile ${profile.name}` }
                       : { case: text, case_name: name };
    }

    /* 2. Changing */

    /* undefined takes the value away. `what` names the change; several of one name in a row are one step. */
    set(pointer: string, value: Json | undefined, what = pointer): void {
        if (!this.object)
            return;
        const next = structuredClone(this.object);
        if (value === undefined)
            remove(next, pointer);
        else
            set(next, pointer, value);
        this.replace({ ...this.state, text: `${written(next)}\n` }, what);
    }

    /* Any change of the object at once. */
    edit(change: (object: JsonObject) => void, what: string): void {
        if (!this.object)
            return;
        const next = structuredClone(this.object);
        change(next);
        this.replace({ ...this.state, text: `${written(next)}\n` }, what);
    }

    replace(next: State, what: string): void {
        const now = Date.now(), same = what !== "" && what === this.lastWhat && now - this.lastAt < ONE_STEP_MS;
        if (next.text === this.state.text && next.profile === this.state.profile && next.name === this.state.name)
            return;
        if (!same)
            this.before.push(this.state);
        this.after.length = 0;
        this.lastWhat = what;
        this.lastAt = now;
        this.take(next, what);
    }

    /* Another case, as it was saved. */
    open(state: State): void {
        this.replace(state, "");
        this.saved = state.text;
    }

    wasSaved(): void {
        this.saved = this.state.text;
    }

    get unsaved(): boolean {
        return this.state.text !== this.saved;
    }

    private take(state: State, what: string): void {
        this.object = objectOf(state.text);
        this.state = state.unnamed && this.object ? { ...state, name: fileNameOf(this.object) } : state;
        for (const listener of this.listeners)
            listener(what);
    }

    /* 3. Undo and redo */

    get canUndo(): boolean {
        return this.before.length > 0;
    }

    get canRedo(): boolean {
        return this.after.length > 0;
    }

    private step(from: State[], to: State[], what: string): void {
        const state = from.pop();
        if (!state)
            return;
        to.push(this.state);
        this.lastWhat = "";
        this.take(state, what);
    }

    undo(): void {
        this.step(this.before, this.after, "undo");
    }

    redo(): void {
        this.step(this.after, this.before, "redo");
    }
}
