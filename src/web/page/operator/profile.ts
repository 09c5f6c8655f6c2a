/* profile.ts - the site profile that a case names: the page cannot look for it, so it asks.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import { choose } from "../files";
import type { NamedText } from "../types";
import type { CaseDoc } from "./case_doc";

export function isProfile(file: NamedText): boolean {
    return /"format"\s*:\s*"slimmargin-profile-1"/.test(file.text);
}

export function fileName(path: string): string {
    return path.split(/[\\/]/).pop() ?? path;
}

export class ProfileNote {
    readonly node = h("div", { class: "profile-note", hidden: true });

    constructor(private readonly doc: CaseDoc) {}

    private choose(): void {
        void choose(".json,application/json", false).then(([file]) => {
            if (file)
                this.doc.replace({ ...this.doc.state, profile: file }, "profile");
        });
    }

    private given(profile: NamedText, named: string | null): HTMLElement {
        if (named === null)
            return h("p", { class: "row" }, `The profile ${profile.name} is at hand, but the case names none.`, button("name it in the case", () => this.doc.set("/profile", profile.name, "profile")));
        const same = fileName(named) === profile.name;
        return h("p", { class: "row" }, h("span", {}, "Site profile: ", h("b", {}, profile.name), same ? "" : `, for “${named}” that the case names`), button("another", () => this.choose()));
    }

    private asked(named: string): HTMLElement {
        return h("p", { class: "note asked" }, `The case names the site profile “${named}”. A page cannot look for files: `, button(`choose ${fileName(named)}`, () => this.choose()),
                 button("go on without it", () => this.doc.set("/profile", undefined, "without the profile")), " With built-in defaults in its place the answer is another.");
    }

    update(): void {
        const stated = this.doc.get("/profile"), named = typeof stated === "string" ? stated : null, { profile } = this.doc.state;
        this.node.hidden = named === null && profile === null;
        fill(this.node, profile ? this.given(profile, named) : named !== null && this.asked(named));
    }
}
