/* case_menu.ts - open, paste, save, new, undo: where a case comes from and where it goes.
 *
 * Contents: 1. opening  2. the bar
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, foreign, freshId, h } from "../dom";
import { choose, save } from "../files";
import type { Page } from "../room";
import type { NamedText } from "../types";
import type { CaseDoc, State } from "./case_doc";
import { NEW } from "./case_doc";
import { fileName, isProfile, ProfileNote } from "./profile";

/* 1. Opening */

function stateOf(text: string, name: string, profile: NamedText | null): State {
    return { text, name, profile };
}

/* Of the files that came together one may be the profile of the other. */
export function take(doc: CaseDoc, files: NamedText[]): void {
    const profile = files.find(isProfile) ?? null, opened = files.find((f) => f !== profile);
    if (opened)
        doc.open(stateOf(opened.text, fileName(opened.name), profile));
    else if (profile)
        doc.replace({ ...doc.state, profile }, "profile");
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
    private readonly profile: ProfileNote;

    constructor(private readonly page: Page, private readonly doc: CaseDoc, extra: HTMLElement[]) {
        this.undo = button("undo", () => doc.undo());
        this.redo = button("redo", () => doc.redo());
        this.profile = new ProfileNote(doc);
        this.node.append(h("p", { class: "row" }, this.name, this.starter(), button("open", () => void choose(".json,application/json", true).then((f) => take(doc, f))),
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
        const area = h("textarea", { rows: 6, id: freshId("paste"), spellcheck: "false" });
        const use = (): void => {
            if (area.value.trim())
                take(this.doc, [{ name: "pasted.json", text: area.value }]);
            area.value = "";
            this.paste.hidden = true;
        };
        const close = (): void => { this.paste.hidden = true; };
        this.paste.append(h("label", { for: area.id }, "A case as text"), area,
                          h("p", { class: "row" }, button("use it", use, { class: "main" }), button("never mind", close)));
    }

    private togglePaste(): void {
        this.paste.hidden = !this.paste.hidden;
        this.paste.querySelector("textarea")?.focus();
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

