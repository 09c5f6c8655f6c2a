/* profile.ts - a site profile of a study: how the base plane was set, an older profile to add to, the profile shown, saved,
 * used with the open case.
 *
 * Contents: 1. the questions  2. making it  3. showing it  4. with the open case
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, freshId, h } from "../dom";
import { choose, save } from "../files";
import type { Page } from "../room";
import { get, set, subscribe } from "../state";
import type { CommandAnswer, NamedText } from "../types";
import type { Profile } from "./answers";
import { command } from "./ask";
import { faultList, faultsOf, split } from "./faults";
import { withProfile } from "./open_case";

const NAMES: Record<string, string> = {
    ostium_height: "ostium height", ostium_gap: "ostium gap", stj_height: "STJ height", stj_gap: "STJ gap", leaflet_height: "leaflet height",
    inner_diameter: "inner diameter", leaflet_thickness: "leaflet thickness",
};

/* 1. The questions */

function tickBox(words: string): { node: HTMLElement; box: HTMLInputElement } {
    const id = freshId("tick"), box = h("input", { type: "checkbox", id });
    return { box, node: h("p", { class: "tick-line", hidden: true }, box, h("label", { for: id }, words)) };
}

function radio(name: string, value: string, words: string, told: string, picked: () => void): HTMLElement {
    const id = freshId(name);
    return h("div", { class: "radio" }, h("input", { type: "radio", id, name, value, onchange: picked }),
             h("label", { for: id }, h("b", {}, words), h("span", { class: "mute small" }, told)));
}

export class ProfileMaker {
    readonly node: HTMLElement;
    private plane = "";
    private older: NamedText | null = null;
    private readonly site = h("input", { type: "text", id: freshId("site"), maxlength: 64, spellcheck: "false", placeholder: "site" });
    private readonly olderSaid = h("span", { class: "small" });
    private readonly accept = tickBox("These readings are right: keep them as they are");
    private readonly replace = tickBox("Replace the larger study by this one");
    private readonly make = button("Make the profile", () => void this.run(), { class: "main", disabled: true });
    private readonly result = h("div", { class: "result", "aria-live": "polite" });

    constructor(private readonly page: Page, private readonly files: () => NamedText[]) {
        this.node = h("section", { class: "profile", tabindex: "-1", "aria-labelledby": "profile-title" },
                      h("h2", { id: "profile-title" }, "A profile of your site"),
                      h("p", {}, "With a profile, later cases take your own readers' spread in place of the built-in one."), this.planeQuestion(),
                          this.olderQuestion(),
                      this.accept.node, this.replace.node, h("div", { class: "actions" }, this.make), this.result);
    }

    /* Another study: nothing that was made is of it. */
    clear(): void {
        fill(this.result);
        this.accept.node.hidden = this.replace.node.hidden = true;
        this.accept.box.checked = this.replace.box.checked = false;
    }

    goTo(): void {
        this.node.scrollIntoView();
        this.node.focus({ preventScroll: true });
    }

    private planeQuestion(): HTMLElement {
        const name = freshId("plane");
        const picked = (value: string) => (): void => {
            this.plane = value;
            this.make.disabled = false;
        };
        return h("fieldset", { class: "plane" }, h("legend", {}, "From which base plane did the readers measure?"),
                 h("p", { class: "mute small" }, "The readings alone cannot tell."),
                 radio(name, "fixed", "From one plane, set beforehand for all", "Then a later case adds the error of placing the plane.",
                       picked("fixed")),
                 radio(name, "replaced", "Each reader set the plane anew",
                       "Then their spread already holds the error of the plane, and a later case takes it off again.", picked("replaced")));
    }

    private olderQuestion(): HTMLElement {
        const take = (file: NamedText | undefined): void => {
            this.older = file ?? null;
            this.olderSaid.textContent = file ? `${file.name} will be added to.` : "";
            this.site.disabled = !!file;
        };
        return h("div", { class: "older" }, h("label", { for: this.site.id }, "Name of your site"), this.site,
                 h("div", { class: "actions" }, button("Add to a profile you have \u2026", () => void choose(".json", false).then((f) => take(f[0]))),
                   button("A new one", () => take(undefined)), this.olderSaid));
    }

    /* 2. Making it */

    private begin(): NamedText[] {
        if (this.older)
            return [this.older];
        const site = this.site.value.trim();
        return site ? [{ name: "site.json", text: JSON.stringify({ format: "slimmargin-profile-1", site }) }] : [];
    }

    private async run(): Promise<void> {
        fill(this.result);
        const files = this.files(), name = this.older?.name ?? "site.json";
        const words = ["learn", ...files.map((f) => f.name), "--profile", name, "--plane", this.plane, "--quiet", "--plain"];
        if (this.accept.box.checked)
            words.push("--accept");
        if (this.replace.box.checked)
            words.push("--replace");
        this.show(await command(this.page, words, [...files, ...this.begin()]), files, name);
    }

    private show(answer: CommandAnswer, files: NamedText[], name: string): void {
        const err = answer.err ?? "", { faults, warnings } = split(faultsOf(err)), text = answer.files?.[name];
        if (/--accept/.test(err))
            this.accept.node.hidden = false;
        if (/--replace/.test(err))
            this.replace.node.hidden = false;
        fill(this.result, faultList(faults, files, "No profile was made"), faultList(warnings, files, "Please note"),
             text ? this.made({ name, text }) : null);
        this.page.announce(text ? "The profile was made." : "No profile was made; what stands in the way is listed.");
    }

    /* 3. Showing it */

    private made(profile: NamedText): HTMLElement {
        const content = JSON.parse(profile.text) as Profile, said = h("p", { role: "status" });
        const rows = Object.entries(content.readers ?? {}).map(([key, e]) =>
                                                               h("tr", {}, h("th", { scope: "row" }, NAMES[key] ?? key),
                                                                 h("td", {}, e.between_reader_sd_mm ?? ""), h("td", {}, e.repeat_sd_mm ?? ""),
            h("td", {}, e.dof ?? ""), h("td", {}, e.sd_includes_plane ? "yes" : "no"), h("td", {}, e.source ?? "")));
        const heads = ["", "between readers, SD mm", "same reader again, SD mm", "degrees of freedom", "holds the plane's error", "from"];
        return h("div", {}, h("h3", {}, `Profile of ${content.site ?? "your site"}`),
                 h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "The profile" },
                   h("table", {}, h("thead", {}, h("tr", {}, ...heads.map((x) => (x ? h("th", { scope: "col" }, x) : h("td", {}))))),
                     h("tbody", {}, ...rows))),
                 h("div", { class: "actions" }, button(`Save ${profile.name}`, () => save(profile.name, profile.text), { class: "main" }),
                   this.use(profile, said)), said,
                 h("details", {}, h("summary", {}, "The file itself"), h("pre", {}, profile.text)));
    }

    /* 4. With the open case */

    private use(profile: NamedText, said: HTMLElement): HTMLButtonElement {
        const use = button("Use this profile with the open case", () => {
            const open = get();
            if (!open)
                return;
            set({ ...open, text: withProfile(open.text, profile.name), profile }, "readers");
            said.textContent = `${open.name} now uses ${profile.name}. Save both, side by side.`;
            this.page.go("operator");
        });
        const follow = (): void => {
            use.disabled = get() === null;
            said.textContent = get() === null ? "No case is open in the operator's room; open one there to use this profile with it." : "";
        };
        subscribe(follow);
        follow();
        return use;
    }
}
