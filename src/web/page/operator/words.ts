/* words.ts - how choices and places of a case are said on the form.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Key } from "../types";

/* Choices of a key until the engine has told them. */
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

export function choicesOf(key: string, fact: Key | undefined): string[] {
    return fact?.choices?.length ? fact.choices : CHOICES[key] ?? [];
}

export function capital(words: string): string {
    return words.charAt(0).toUpperCase() + words.slice(1);
}
