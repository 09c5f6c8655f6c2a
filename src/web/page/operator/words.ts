/* words.ts - how choices and places of a case are said on the form.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Question } from "../types";

/* Choices of a key where the engine's questions name none; the engine checks what is chosen. */
const CHOICES: Record<string, string[]> = {
    leaflet_mount: ["internal", "external", "stentless"],
    expansion: ["balloon", "self"],
    detector: ["energy_integrating", "photon_counting", "photon_counting_high_resolution"],
    kernel: ["soft", "sharp"],
    published_set: ["planning", "after_implant"],
    basis: ["tube", "drawn_circle"],
};

const SAID: Record<string, string> = {
    internal: "inside the posts", external: "outside the posts", stentless: "no posts (stentless)",
    balloon: "by balloon", self: "by itself", energy_integrating: "energy-integrating", photon_counting: "photon-counting, standard",
    photon_counting_high_resolution: "photon-counting, high resolution", planning: "planning: 4 and 2 mm",
    after_implant: "after implant: 3 and 1 mm", tube: "the leaflet tube", drawn_circle: "the drawn circle",
    fluoroscopy: "angiography", echo: "echo", bench: "bench value", ct: "another CT", true: "yes", false: "no",
};

export function said(choice: string): string {
    return SAID[choice] ?? choice.replace(/_/g, " ");
}

export function choicesOf(key: string, question: Question | undefined): string[] {
    const listed = question?.choices?.map((c) => (typeof c === "string" ? c : c.value));
    return listed?.length ? listed : CHOICES[key] ?? [];
}

export function capital(words: string): string {
    return words.charAt(0).toUpperCase() + words.slice(1);
}

/* The name by which "confirmed" knows the number at a pointer. */
export function confirmedName(pointer: string): string {
    const at = pointer.split("/").slice(1);
    return at[0] === "coronaries" ? `${at[1]}.${at[2]}` : at[at.length - 1] ?? "";
}
