/* case_menu.ts - open, paste, save, new, undo: where a case comes from and where it goes.
 *
 * Contents: 1. opening  2. the bar
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, foreign, freshId, h } from "../dom";
import { choose, save } from "../files";
import type { Page } from "../room";
import type { NamedText, ReadAnswer } from "../types";
import type { CaseDoc, State } from "./case_doc";
import { isCase, NEW } from "./case_doc";
import { fileName, isProfile, ProfileNote } from "./profile";

/* 1. Opening */

function stateOf(text: string, name: string, profile: NamedText | null): State {
    return { text, name, profile };
}

/* What was pasted has no name of its own. */
const PASTED = "";

/* Of the files that came together one may be the profile of the other. What is no case opens nothing and is given back. */
function take(doc: CaseDoc, files: NamedText[]): NamedText | null {
    const profile = files.find(isProfile) ?? null, opened = files.find((f) => f !== profile);
    if (opened && !isCase(opened.text))
        return opened;
    if (opened)
        doc.open({ ...stateOf(opened.text, fileName(opened.name), profile), unnamed: opened.name === PASTED });
    else if (profile)
        doc.replace({ ...doc.state, profile }, "profile");
    return null;
}

function scenario(page: Page, doc: CaseDoc, name: string): void {
    const file = page.scenarios.find((f) => f.name === name), named = /"profile"\s*:\s*"([^"]+)"/.exec(file?.text ?? "")?.[1];
    const profile = page.scenarios.find((f) => named !== undefined && f.name === fileName(named)) ?? null;
    if (file)
        doc.open(stateOf(file.text, file.name, profile));
}

/* 2. The bar */

export class CaseMenu {
    readonly node = h("div", { class: "case-menu", role: "group", "aria-label": "The case file" });
    private readonly undo: HTMLButtonElement;
    private readonly redo: HTMLButtonElement;
    private readonly name = h("b", {});
    private readonly paste = h("div", { class: "paste", hidden: true });
    private readonly area = h("textarea", { rows: 6, id: freshId("paste"), spellcheck: "false" });
    private readonly refused = h("div", { role: "status" });
    private readonly profile: ProfileNote;

    constructor(private readonly page: Page, private readonly doc: CaseDoc, extra: HTMLElement[]) {
        this.undo = button("undo", () => doc.undo());
        this.redo = button("redo", () => doc.redo());
        this.profile = new ProfileNote(doc);
        this.node.append(h("p", { class: "row" }, this.name, this.starter(), button("open", () => void choose(".json,application/json", true).then((f) => this.take(f))),
            button("paste", () => this.togglePaste()), button("save case", () => this.save()), this.undo, this.redo, ...extra), this.profile.node, this.paste);
        this.makePaste();
        window.addEventListener("beforeunload", (event) => { if (doc.unsaved) event.preventDefault(); });
        this.keys();
    }

    private starter(): HTMLElement {
        const cases = this.page.scenarios.filter((f) => f.name.endsWith(".json") && !f.name.includes("/") && !isProfile(f));
        const select = h("select", { "aria-label": "start from" }, h("option", { value: "" }, "new case …"), h("option", { value: "*" }, "an empty form"),
                         h("optgroup", { label: "invented scenarios" }, ...cases.map((f) => h("option", { value: f.name }, f.name.replace(/\.json$/, "").replace(/-/g, " ")))));
        select.addEventListener("change", () => {
            if (select.value === "*")
                this.doc.open(NEW);
            else if (select.value)
                scenario(this.page, this.doc, select.value);
            select.value = "";
        });
        return select;
    }

    private makePaste(): void {
        const use = (): void => {
            if (this.area.value.trim())
                this.take([{ name: PASTED, text: this.area.value }]);
            else
                this.closePaste();
        };
        this.paste.append(h("label", { for: this.area.id }, "A case as text"), this.area, this.refused,
                          h("p", { class: "row" }, button("use it", use, { class: "main" }), button("never mind", () => this.closePaste())));
    }

    private togglePaste(): void {
        this.paste.hidden = !this.paste.hidden;
        this.area.focus();
    }

    private closePaste(): void {
        this.area.value = "";
        fill(this.refused);
        this.paste.hidden = true;
    }

    /* Files that were chosen, dropped or pasted. */
    take(files: NamedText[]): void {
        const none = take(this.doc, files);
        if (none)
            void this.refuse(none);
        else if (files.length > 0)
            this.closePaste();
    }

    /* What is no case can be mended where it is pasted; the open case stays. The engine says where it goes wrong, in its turn. */
    private async refuse({ name, text }: NamedText): Promise<void> {
        const what = name === PASTED ? "This text is no case." : `This text is no case: ${fileName(name)}.`;
        const say = (where: string): void => fill(this.refused, h("p", { class: "note fault" }, h("b", {}, what), ` ${where}The open case stays as it is.`));
        this.area.value = text;
        this.paste.hidden = false;
        this.area.focus();
        say("");
        const read = await this.page.engine.whole<ReadAnswer>({ do: "read", case: text }).catch(() => null), [fault] = read?.messages ?? [];
        if (fault && this.area.value === text && !this.paste.hidden)
            say(`${fault.line ? `Line ${fault.line}: ` : ""}${fault.words}. `);
    }

    save(): void {
        save(this.doc.state.name, this.doc.state.text);
        this.doc.wasSaved();
        this.update();
    }

    /* Ctrl or Cmd with Z, Y and S; in a field that is being typed in, the case is undone all the same, as it follows each key. */
    private keys(): void {
        document.addEventListener("keydown", (event) => {
            if (!(event.ctrlKey || event.metaKey) || event.altKey || document.body.dataset["room"] !== "operator")
                return;
            const key = (event.shiftKey ? "shift " : "") + event.key.toLowerCase();
            const acts: Record<string, () => void> = {
                s: () => this.save(), z: () => this.doc.undo(), y: () => this.doc.redo(), "shift z": () => this.doc.redo(),
            };
            if (!acts[key])
                return;
            event.preventDefault();
            acts[key]();
        });
    }

    update(): void {
        this.undo.disabled = !this.doc.canUndo;
        this.redo.disabled = !this.doc.canRedo;
        const stated = this.doc.get("/case");
        fill(this.name, foreign(typeof stated === "string" ? stated : this.doc.state.name), this.doc.unsaved && " (not saved)");
        this.profile.update();
    }
}

