/* intake.ts - files of a task: chosen, dropped or pasted; listed, and taken away again.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import { choose, takeDrops } from "../files";
import type { NamedText } from "../types";

export interface IntakeWords {
    title: string;
    choose: string;
    paste: string;
    pastedName: string;
    example?: { words: string; files: NamedText[] };
    accept: string;
    most: number;
}

export class Intake {
    files: NamedText[] = [];
    readonly node: HTMLElement;
    private readonly list = h("ul", { class: "files" });
    private readonly said = h("p", { class: "mute small", role: "status" });

    constructor(private readonly words: IntakeWords, private readonly changed: () => void) {
        const pasting = this.paste();
        this.node = h("div", { class: "intake" }, h("h3", {}, words.title), h("div", { class: "actions" },
            button(words.choose, () => void choose(words.accept, words.most > 1).then((f) => this.add(f)), { class: "main" }),
            words.example && button(words.example.words, () => this.take(words.example?.files ?? []))), pasting, this.list, this.said);
        takeDrops(this.node, (files) => this.add(files));
    }

    private paste(): HTMLElement {
        const id = freshId("paste"), area = h("textarea", { id, rows: 5, spellcheck: "false", autocomplete: "off" });
        const take = (): void => {
            if (area.value.trim())
                this.add([{ name: this.words.pastedName, text: area.value }]);
            area.value = "";
        };
        return h("details", {}, h("summary", {}, "Paste from a spreadsheet, or drop files here"), h("label", { for: id }, this.words.paste), area, h("div", { class: "actions" }, button("Take what is pasted", take)));
    }

    /* Replaces all files. */
    take(files: NamedText[]): void {
        this.files = [];
        this.add(files);
    }

    /* A file of a name that is there already takes its place. */
    private add(files: NamedText[]): void {
        if (files.length === 0)
            return;
        const kept = this.files.filter((old) => !files.some((f) => f.name === old.name)), all = [...kept, ...files];
        this.files = this.words.most === 1 ? all.slice(-1) : all.slice(0, this.words.most);
        this.said.textContent = all.length > this.words.most && this.words.most > 1 ? `Only ${this.words.most} files at once; the others were left.` : "";
        this.draw();
    }

    private draw(): void {
        fill(this.list, ...this.files.map((file) => h("li", {}, h("span", {}, file.name), h("span", { class: "mute small" }, `${file.text.trim().split(/\r\n|\n|\r/).length} lines`),
                                                     button("Take away", () => this.remove(file), { "aria-label": `Take ${file.name} away` }))));
        this.changed();
    }

    private remove(file: NamedText): void {
        this.files = this.files.filter((f) => f !== file);
        this.draw();
    }
}
