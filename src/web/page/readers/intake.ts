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
    private readonly area = h("textarea", { id: freshId("paste"), rows: 6, spellcheck: "false", autocomplete: "off" });
    private readonly pasting: HTMLDetailsElement;
    private pastedName: string;
    private readonly said = h("p", { class: "mute small", role: "status" });

    constructor(private readonly words: IntakeWords, private readonly changed: () => void) {
        this.pastedName = words.pastedName;
        this.pasting = this.paste();
        this.node = h("div", { class: "intake" }, h("h2", {}, words.title), h("div", { class: "actions" },
            button(words.choose, () => void choose(words.accept, words.most > 1).then((f) => this.add(f)), { class: "main" }),
            words.example && button(words.example.words, () => this.take(words.example?.files ?? []))), this.pasting, this.list, this.said);
        takeDrops(this.node, (files) => this.add(files));
    }

    private paste(): HTMLDetailsElement {
        const take = (): void => {
            if (this.area.value.trim())
                this.add([{ name: this.pastedName, text: this.area.value }]);
            this.area.value = "";
            this.pastedName = this.words.pastedName;
        };
        return h("details", {}, h("summary", {}, "Paste from a spreadsheet, or drop files here"),
                 h("label", { for: this.area.id }, this.words.paste), this.area,
                 h("div", { class: "actions" }, button("Take what is written here", take)));
    }

    /* Puts a file where it can be corrected, with this line marked. */
    mend(name: string, line: number): void {
        const file = this.files.find((f) => f.name === name);
        if (!file)
            return;
        const lines = file.text.split("\n"), start = lines.slice(0, line - 1).reduce((n, x) => n + x.length + 1, 0);
        this.pasting.open = true;
        this.area.value = file.text;
        this.pastedName = name;
        this.area.focus();
        this.area.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0));
        this.area.scrollTop = Math.max(0, (line - 3) / lines.length * this.area.scrollHeight);
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
        this.said.textContent = all.length > this.words.most &&
            this.words.most > 1 ? `Only ${this.words.most} files at once; the others were left.` : "";
        this.draw();
    }

    private draw(): void {
        fill(this.list, ...this.files.map((file) => h("li", {}, h("span", {}, file.name),
                                                      h("span", { class: "mute small" }, `${file.text.trim().split(/\r\n|\n|\r/).length} lines`),
                                                     button("Take away", () => this.remove(file), { "aria-label": `Take away ${file.name}` }))));
        this.changed();
    }

    private remove(file: NamedText): void {
        this.files = this.files.filter((f) => f !== file);
        this.draw();
    }
}
