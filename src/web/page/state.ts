/* state.ts - the case that is open, and its profile, as every room of the page may need or change them.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { NamedText } from "./types";

export interface OpenCase {
    text: string;
    name: string; /* of the file */
    profile: NamedText | null;
}

type Listener = (open: OpenCase | null, by: string) => void;

let open: OpenCase | null = null;
const listeners: Listener[] = [];

export function get(): OpenCase | null {
    return open;
}

/* `by` names the room that set it, so that a room need not answer to itself. */
export function set(next: OpenCase | null, by: string): void {
    open = next;
    for (const listener of listeners)
        listener(open, by);
}

export function subscribe(listener: Listener): void {
    listeners.push(listener);
}
