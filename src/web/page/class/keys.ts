/* keys.ts - keyboard and presenter remote: what a key asks for.
 *
 * A remote sends PageUp and PageDown: these turn pages wherever the focus is. Arrows, space and letters are left to a field,
 * a slider or a button that has the focus.
 * SPDX-License-Identifier: GPL-3.0-or-later */

export type Wish = "next" | "back" | "list" | "full" | null;

const WISHES: Record<string, Wish> = {
    PageDown: "next", PageUp: "back", ArrowRight: "next", ArrowDown: "next", ArrowLeft: "back", ArrowUp: "back", " ": "next", Escape: "list",
        f: "full", F: "full",
};

const OWN_KEYS = "input, textarea, select, button, summary, a";

export function wishOf(event: KeyboardEvent, letters: boolean): Wish {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented)
        return null;
    const wish = WISHES[event.key] ?? null, anywhere = /^(Page(Up|Down)|Escape)$/.test(event.key);
    if (wish === "full" && !letters)
        return null;
    const busy = event.target instanceof Element && event.target.closest(OWN_KEYS) !== null;
    return busy && !anywhere && !(wish === "full" && event.target instanceof HTMLButtonElement) ? null : wish;
}
