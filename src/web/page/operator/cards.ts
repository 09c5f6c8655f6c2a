/* cards.ts - lists of a case as cards: each with a name, fields, and a way to remove it. They are drawn anew when their
 * number or the keys in them change, and only then, so that a field keeps the focus.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import type { Json } from "../types";
import type { FieldRow } from "./field_row";
import type { FormContext, Part } from "./form_context";
import { isObject } from "./pointer";

export interface Card {
    node: HTMLElement;
    rows: FieldRow[];
    update?: () => void;
}

/* The keys of a value without its numbers: what decides which fields there are. */
export function outline(value: Json | undefined): Json {
    if (Array.isArray(value))
        return value.map(outline);
    if (isObject(value))
        return Object.fromEntries(Object.entries(value).map(([key, v]) => [key, outline(v)]));
    return null;
}

export class Cards implements Part {
    readonly node: HTMLElement;
    rows: FieldRow[] = [];
    private cards: Card[] = [];
    private readonly list = h("div", { class: "cards-list" });
    private drawnFor = "";
    private expected = false;

    constructor(private readonly outlined: () => Json, private readonly make: () => Card[], id: string, title: string, ...foot: HTMLElement[]) {
        this.node = h("section", { class: "group", "aria-labelledby": `title-${id}` }, h("h2", { id: `title-${id}` }, title), this.list, ...foot);
        this.list.addEventListener("focusout", () => setTimeout(() => this.update()));
    }

    /* The next card that comes was asked for: it gets the focus. */
    expect(): void {
        this.expected = true;
    }

    /* While someone types in a card it is left as it is; what was emptied goes when the focus does. */
    private get typing(): boolean {
        return document.activeElement instanceof HTMLInputElement && this.list.contains(document.activeElement);
    }

    private redraw(): void {
        const focused = this.list.contains(document.activeElement), cards = this.make();
        this.cards = cards;
        this.rows = cards.flatMap((c) => c.rows);
        fill(this.list, ...cards.map((c) => c.node));
        if (this.expected)
            cards[cards.length - 1]?.rows[0]?.focus();
        else if (focused)
            this.rows.find((r) => r.blank)?.focus();
        this.expected = false;
    }

    update(): void {
        const key = JSON.stringify(this.outlined());
        if (key !== this.drawnFor && !this.typing) {
            this.drawnFor = key;
            this.redraw();
        }
        for (const row of this.rows)
            row.update();
        for (const card of this.cards)
            card.update?.();
    }
}

/* An empty list may say something else than none: with its last item the list goes. */
export function remover(context: FormContext, pointer: string, what: string): HTMLElement {
    const list = pointer.slice(0, pointer.lastIndexOf("/"));
    const take = (): void => {
        const all = context.doc.get(list);
        context.doc.set(Array.isArray(all) && all.length === 1 ? list : pointer, undefined, `remove ${what}`);
    };
    return h("p", { class: "tools" }, button(`take this ${what} away`, take));
}

/* Adds to a list of the case, which is made if it is not there. */
export function addTo(context: FormContext, list: string, item: Json, what: string): void {
    const now = context.doc.get(`/${list}`), at = Array.isArray(now) ? now : [];
    context.doc.set(`/${list}`, [...at, item], what);
}
