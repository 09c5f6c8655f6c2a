/* panels.ts - beside the form: the drawings, what the call hangs on, what to look at again first, what might be done.
 *
 * Contents: 1. drawings  2. it hangs on  3. look at again first  4. what might be done instead  5. together
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { fill, h } from "../dom";
import type { NamedText } from "../types";
import type { FormContext, Part } from "./form_context";
import type { Known } from "./computing";
import { drawing } from "./drawing";
import type { Alternative, Told } from "./told";
import { capital } from "./words";

/* 1. Drawings */

/* A picture of the engine, as a picture: its title and description become its words. */
export function picture(svg: NamedText): HTMLElement {
    const parsed = new DOMParser().parseFromString(svg.text, "image/svg+xml");
    const words = ["title", "desc"].map((tag) => parsed.querySelector(tag)?.textContent?.trim() ?? "").filter((x) => x).join(". ");
    const root = parsed.documentElement, size = { width: root.getAttribute("width") ?? "", height: root.getAttribute("height") ?? "" };
    return h("figure", { class: "engine-figure" }, h("img", { src: `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg.text)}`, alt: words, ...size }));
}

class Figure {
    readonly node = h("section", { class: "panel" });
    private shownText = "";

    constructor(private readonly name: string, private readonly title: string) {
        this.node.hidden = true;
    }

    update(known: Known): void {
        const quick = !known.reportFresh && known.quickFigures.length > 0, fresh = known.reportFresh || quick;
        const figures = quick ? known.quickFigures : known.report?.figures ?? [];
        const found = figures.filter((f) => f.name.endsWith(".svg") && f.name.startsWith(this.name)), text = found.map((f) => f.text).join();
        this.node.hidden = found.length === 0;
        this.node.classList.toggle("old", !fresh);
        const key = `${quick} ${text}`;
        if (key === this.shownText)
            return;
        this.shownText = key;
        fill(this.node, h("h2", {}, this.title, quick && h("small", { class: "mute" }, " · quick count")), ...found.map(picture));
    }
}

/* 2. It hangs on */

function hangsOn(told: Told): (HTMLElement | string)[] {
    const items = told.turns.map((t) => h("li", {}, h("span", {}, capital(t.words)), h("b", { class: "number" }, `${t.then} of 100`)));
    return [h("h2", {}, "It hangs on"),
            told.turns.length ? h("p", { class: "small mute" }, told.turnsIntro) : h("p", {}, told.stays || "No single judged value, anywhere in its range, is known to turn the call."),
            h("ol", { class: "work" }, ...items), told.otherLimits ? h("p", { class: "small" }, told.otherLimits) : ""];
}

/* 3. Look at again first */

function bar(share: number, kind: string): HTMLElement {
    return h("span", { class: `bar ${kind}`, style: `--share:${Math.min(Math.max(share, 0), 1).toFixed(4)}` });
}

function noLook(told: Told): string {
    return told.result.decision.action_line === null ? "Without a line of yours no call can turn."
        : "No look that could be made spares as much as one untreated event of 1,000 such cases, its own burden counted.";
}

function lookAgain(told: Told): (HTMLElement | string)[] {
    const most = Math.max(...told.looks.map((l) => l.spares), 1);
    const items = told.looks.map((l) => h("li", {}, h("span", {}, capital(l.words), bar(l.spares / most, "deep")), h("b", { class: "number" }, String(l.spares)),
                                            h("span", { class: "small mute turns" }, `turns the call in ${l.turns}`)));
    return [h("h2", {}, "Look at again first"),
            told.looks.length ? h("p", { class: "small mute" }, "untreated events spared, of 1,000 such cases") : h("p", {}, noLook(told)),
            h("ol", { class: "work" }, ...items)];
}

/* 4. What might be done instead */

/* Drawn to the scale of the costliest: the burden first, then what nothing rescues. */
function harmBar(a: Alternative, most: number): HTMLElement {
    const cost = a.expected_cost?.value ?? a.event.probability, burden = Math.min(a.burden ?? 0, cost);
    return h("span", { class: "bars", "aria-hidden": "true" }, bar(burden / most, "room"), bar((cost - burden) / most, "cross"));
}

function instead(told: Told): (HTMLElement | string)[] {
    const list = told.result.alternatives ?? [];
    if (list.length < 2)
        return [h("h2", {}, "What might be done instead"), h("p", { class: "mute" }, "No alternative is stated. Add one in the form, with its burden, and it is weighed here.")];
    const most = Math.max(...list.map((a) => a.expected_cost?.value ?? a.event.probability), 1e-9), choice = told.result.choice;
    const items = list.map((a) => h("li", {}, h("span", { class: "name" }, capital(a.name)), harmBar(a, most), h("b", { class: "number" }, told.harm.get(a.name) ?? ""),
        choice?.settled && choice.cheapest === a.name && h("span", { class: "small" }, "least harm")));
    const legend = "of 1,000 such cases: the burden of doing it (light), then crossings that nothing rescues (hatched), as you weigh them";
    return [h("h2", {}, "What might be done instead"), h("p", { class: "small mute" }, legend), h("ul", { class: "work harms" }, ...items), h("p", { class: "unseen" }, told.harmWords)];
}

/* 5. Together */

type Panel = { node: HTMLElement; make: (told: Told) => (HTMLElement | string)[] };

export class Panels implements Part {
    readonly node = h("div", { class: "panels", role: "region", "aria-label": "What the answer says", tabindex: 0 });
    private readonly first = h("div", { class: "first" });
    private readonly own = h("section", { class: "panel own" });
    private readonly figures = [
        new Figure("profile", "The root in profile, with its spread"), new Figure("unrolled", "The root unrolled"),
        new Figure("room", "Room beside each ostium"), new Figure("alternatives", "Alternatives"),
    ];
    private readonly panels: Panel[] = [hangsOn, lookAgain, instead].map((make) => ({ node: h("section", { class: "panel" }), make }));
    private lit = "";

    constructor(private readonly context: FormContext, private readonly go: (pointer: string) => void) {
        const [profile, unrolled, room, others] = this.figures.map((f) => f.node);
        const [hangs, again, other] = this.panels.map((p) => p.node);
        const column = (...nodes: (HTMLElement | undefined)[]): HTMLElement => h("div", { class: "column" }, ...nodes);
        this.node.append(this.first, column(this.own, hangs, other), column(profile, again, unrolled), h("div", { class: "wide" }, room, others));
    }

    light(pointer: string): void {
        this.lit = pointer;
        this.draw();
    }

    private draw(): void {
        fill(this.own, h("h2", {}, "The root as entered, to scale"), h("figure", {}, drawing(this.context.doc, { lit: this.lit, go: this.go })));
    }

    update(): void {
        const { known } = this.context.computing, { told, fresh } = known;
        this.draw();
        this.first.hidden = !told || !fresh;
        if (told)
            fill(this.first, ...told.before.map((w) => h("p", { class: "note asked" }, w)), h("p", { class: "read-back" }, told.readBack));
        for (const panel of this.panels) {
            panel.node.hidden = !told;
            panel.node.classList.toggle("old", !fresh);
            if (told)
                fill(panel.node, ...panel.make(told));
        }
        for (const figure of this.figures)
            figure.update(known);
    }
}
