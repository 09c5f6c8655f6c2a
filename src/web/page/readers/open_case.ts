/* open_case.ts - the open case as this room uses it: with its profile, or an invented one in its place.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Page } from "../room";
import { get } from "../state";
import type { OpenCase } from "../state";
import type { JsonObject, NamedText } from "../types";

/* The case's text, naming this profile; everything else stays as it is written. */
export function withProfile(text: string, name: string): string {
    const stated = /("profile"\s*:\s*)"(?:[^"\\]|\\.)*"/;
    const written = JSON.stringify(name);
    return stated.test(text) ? text.replace(stated, (_, before: string) => before + written) : text.replace(/^(\s*\{)(\s*)/,
            (_, brace: string, gap: string) => `${brace}${gap}"profile": ${written},${gap || " "}`);
}

export const EXAMPLE = "demo.json";

export function exampleCase(page: Page): OpenCase {
    const find = (name: string): NamedText | undefined => page.scenarios.find((x) => x.name === name);
    return { name: EXAMPLE, text: find(EXAMPLE)?.text ?? "", profile: find("site.json") ?? null };
}

export function openOrExample(page: Page): { open: OpenCase; example: boolean } {
    const open = get();
    return open ? { open, example: false } : { open: exampleCase(page), example: true };
}

/* As files of a command: the profile stands under the name by which the case calls it. */
export function asFiles(open: OpenCase): NamedText[] {
    if (!open.profile)
        return [{ name: open.name, text: open.text }];
    let named = "";
    try {
        const value = (JSON.parse(open.text) as JsonObject)["profile"];
        named = typeof value === "string" ? value : "";
    } catch { /* the command says what is wrong with it */ }
    return [{ name: open.name, text: named ? open.text : withProfile(open.text, open.profile.name) },
            { name: named || open.profile.name, text: open.profile.text }];
}
