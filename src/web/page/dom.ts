/* dom.ts - tiny helpers to make elements. What comes from a case or a file only ever becomes text, never markup.
 * SPDX-License-Identifier: GPL-3.0-or-later */

export type Child = Node | string | number | null | undefined | false;
export type Attributes = Record<string, string | number | boolean | null | undefined | ((event: never) => void)>;

const SVG = "http://www.w3.org/2000/svg";

/* `on…` are listeners, true is an empty attribute, false and null none; the rest is set as it is. */
function setAttributes(node: Element, attributes: Attributes): void {
    for (const [name, value] of Object.entries(attributes)) {
        if (value === null || value === undefined || value === false)
            continue;
        if (typeof value === "function")
            node.addEventListener(name.replace(/^on/, ""), value as unknown as EventListener);
        else
            node.setAttribute(name, value === true ? "" : String(value));
    }
}

function append(node: Element, children: Child[]): void {
    for (const child of children)
        if (child !== null && child !== undefined && child !== false)
            node.append(child instanceof Node ? child : String(child));
}

/* An element: h("p", { class: "note" }, "words"). */
export function h<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Attributes = {},
                                                         ...children: Child[]): HTMLElementTagNameMap[K] {
    const node = document.createElement(tag);
    setAttributes(node, attributes);
    append(node, children);
    return node;
}

/* An element of a drawing. */
export function s(tag: string, attributes: Attributes = {}, ...children: Child[]): SVGElement {
    const node = document.createElementNS(SVG, tag) as SVGElement;
    setAttributes(node, attributes);
    append(node, children);
    return node;
}

/* Puts these in the place of all that a node holds. */
export function fill(node: Element, ...children: Child[]): void {
    node.replaceChildren();
    append(node, children);
}

export function byId(id: string): HTMLElement {
    const node = document.getElementById(id);
    if (!node)
        throw new Error(`the page lacks #${id}`);
    return node;
}

/* The text of a data block of the page, "" where it carries none. */
export function dataBlock(id: string): string {
    return document.getElementById(id)?.textContent?.trim() ?? "";
}

/* Characters that are not seen but change what is: as their number, "⟨202E⟩". */
export function visible(words: string): string {
    return words.replace(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff]/g,
                         (c) => `⟨${(c.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, "0")}⟩`);
}

/* Words of a case or a file among the page's own: their direction of writing stays theirs. */
export function foreign(words: string): HTMLElement {
    return h("bdi", {}, visible(words));
}

export function button(words: string, act: () => void, attributes: Attributes = {}): HTMLButtonElement {
    return h("button", { type: "button", onclick: act, ...attributes }, visible(words) === words ? words : foreign(words));
}

let made = 0;

/* An id that no other element has. */
export function freshId(what: string): string {
    made += 1;
    return `${what}-${made}`;
}
