/* text_view.ts - the whole case as the text that will be saved, with the faults by line; what is typed here is the case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import type { Message } from "../types";
import type { FormContext, Part } from "./form_context";

function jump(area: HTMLTextAreaElement, line: number, column: number): void {
    const lines = area.value.split("\n"), at = lines.slice(0, line - 1).reduce((n, l) => n + l.length + 1, 0) + Math.max(column - 1, 0);
    area.focus();
    area.setSelectionRange(at, Math.min(at + 1, area.value.length));
    const height = area.scrollHeight / Math.max(lines.length, 1);
    area.scrollTop = Math.max((line - 6) * height, 0);
}

export class TextView implements Part {
    readonly node: HTMLDetailsElement;
    private readonly id = freshId("text");
    private readonly area = h("textarea", { id: this.id, rows: 24, spellcheck: "false", autocomplete: "off", class: "code" });
    private readonly faults = h("ul", { class: "faults" });

    constructor(private readonly context: FormContext) {
        this.node = h("details", { class: "group text-view" }, h("summary", {}, "The whole case as text"),
                      h("label", { for: this.id, class: "small mute" }, "This is the file as it will be saved. What you change here is changed in the form."), this.area, this.faults);
        this.area.addEventListener("input", () => context.doc.replace({ ...context.doc.state, text: this.area.value }, "text"));
        this.node.addEventListener("toggle", () => this.update());
    }

    show(): void {
        this.node.open = true;
        this.update();
        this.area.focus();
    }

    private item(m: Message): HTMLElement {
        const line = m.line ?? 0, column = m.column ?? 0;
        const words = `${m.severity === "warning" ? "warning: " : ""}${m.pointer ? `${m.pointer}: ` : ""}${m.words}`;
        return h("li", {}, line > 0 && button(`line ${line}`, () => jump(this.area, line, column)), words);
    }

    update(): void {
        if (!this.context.doc.object)
            this.node.open = true;
        if (!this.node.open)
            return;
        if (this.area.value !== this.context.doc.state.text)
            this.area.value = this.context.doc.state.text;
        fill(this.faults, ...(this.context.computing.known.read?.messages ?? []).map((m) => this.item(m)));
    }
}
