/* compare_form.ts - the second case that `compare` is given.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { compare } from "../command";
import { button, h } from "../dom";
import { choose } from "../files";
import type { CommandRequest, NamedText } from "../types";
import type { CaseDoc } from "./case_doc";
import { isProfile } from "./profile";

export class CompareForm {
    readonly node = h("div", { class: "ask", hidden: true });
    private readonly name = h("span", { class: "mute", role: "status" }, "no second case yet");
    private second: NamedText | undefined;
    private profile: NamedText | undefined;

    constructor(private readonly doc: CaseDoc, private readonly changed: () => void) {
        this.node.append(h("p", { class: "row" }, button("choose the second case (and its profile)", () => void choose(".json,application/json", true).then((f) => this.take(f))), this.name),
                         h("p", { class: "small mute" }, "The case of the form is the old one, the second the new one. Without a profile of its own the second has that of the form."));
    }

    take(files: NamedText[]): void {
        this.profile = files.find(isProfile);
        this.second = files.find((f) => !isProfile(f));
        this.name.textContent = [this.second, this.profile].filter((f) => f !== undefined).map((f) => f.name).join(", ") || "no second case yet";
        this.changed();
    }

    /* The second case and its own profile, as chosen. */
    get chosen(): (NamedText | null)[] {
        return [this.second ?? null, this.profile ?? null];
    }

    request(options: string[]): CommandRequest | null {
        const profile = this.profile ?? this.doc.state.profile, { second } = this;
        return second ? compare(this.doc.input(), { case: second.text, case_name: second.name, ...(profile ? { profile: profile.text } : {}) }, options) : null;
    }
}
