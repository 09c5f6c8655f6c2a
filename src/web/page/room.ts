/* room.ts - what a room of the page is given, and what it must be.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Engine } from "./engine";
import type { NamedText } from "./types";

export interface Page {
    engine: Engine;
    /* Invented cases and their profile, by the names of their files. */
    scenarios: NamedText[];
    /* Tells those who hear the page; seldom, and only the last of what came together. */
    announce(words: string): void;
    /* Goes to a room, with what follows its name in the address: go("help", "clearance"). */
    go(room: string, rest?: string): void;
}

export interface Room {
    id: string;
    title: string;
    /* Fills its host, once, when it is first shown. */
    open(host: HTMLElement, page: Page): void;
    /* Each time it is shown, with what follows its name in the address. */
    shown?(rest: string): void;
}
