/* announce.ts - what is told to those who hear the page: after a pause, and only the last of several.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { byId } from "./dom";

const PAUSE_MS = 900;
let timer = 0;

export function announce(words: string): void {
    clearTimeout(timer);
    timer = window.setTimeout(() => {
        byId("spoken").textContent = words;
    }, PAUSE_MS);
}
