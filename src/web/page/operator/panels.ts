/* panels.ts - beside the form: the drawings, what the call hangs on, what to look at again first, what might be done.
 *
 * Contents: 1. drawings  2. it hangs on  3. look at again first  4. what might be done instead
 *           5. warnings  6. together
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { ofHundred } from "../class/frequency";
import { button, fill, h } from "../dom";
import type { NamedText } from "../types";
import type { FormContext, Part } from "./form_context";
import type { Known } from "./computing";
import { drawing } from "./drawing";
import { labelOf } from "./places";
import type { Placed } from "./places";
import type { Alternative, Swing, Told } from "./told";
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

const NO_LINE = "Without a line of yours no call can turn.";

function item(words: string, number: string): HTMLElement {
    return h("li", {}, h("span", {}, capital(words)), h("b", { class: "number" }, number));
}

/* The assumption that moves the share most over its own range. */
function largest(told: Told): HTMLElement | "" {
    const ends = (x: Swing) => [x.low, x.high].filter((e) => e !== null), moves = (x: Swing): number => Math.max(...ends(x).map((e) => Math.abs(e.difference.value)), 0);
    const [most] = [...told.result.decision.swings].sort((a, b) => moves(b) - moves(a));
    if (!most || moves(most) === 0)
        return "";
    const of = told.result.assumptions.find((a) => a.path === most.path), unit = of?.unit && of.unit !== "fraction" ? ` ${of.unit}` : "";
    const at = ends(most).map((e) => e.value).join(" to "), words = `${of?.words ?? labelOf(most.path)}${most.moved && `, its ${most.moved}`}, at ${at}${unit} (taken: ${most.own})`;
    return h("div", {}, h("p", { class: "small mute" }, "What moves the answer most, over its range (of 100):"),
             h("ol", { class: "work" }, item(words, `${ends(most).map((e) => ofHundred(e.probability)).join(" to ")} of 100`)));
}

/* What the call hangs on besides the single values: all judged values moved at once, and walls that may be bright. */
function together(told: Told): HTMLElement[] {
    const on = told.result.decision.hangs_on, range = /^In (90 of 100 settings) of the judged values: (.*?)\.?$/.exec(told.settings);
    const turned = (pattern: RegExp): boolean => told.turns.some((t) => pattern.test(t.words));
    return [...(on.includes("settings") && range ? [item(`the judged values together, in ${range[1]}`, range[2] ?? "")] : []),
            ...(on.includes("limits") && !turned(/limit/) ? [item("the limit", "")] : []),
            ...(on.includes("walls") && !turned(/wall|edge/) ? [item("whether a wall is bright", "")] : [])];
}

const NOTHING = "No single judged value, anywhere in its range, is known to turn the call.";

function hangsOn(told: Told): (HTMLElement | string)[] {
    const line = told.result.decision.action_line, all = line === null ? [] : together(told), turns = told.turns.map((t) => item(t.words, `${t.then} of 100`));
    const first = line === null ? [h("p", {}, NO_LINE), largest(told)] : told.opposed.length ? told.opposed.map((x) => h("p", {}, x))
        : [!all.length && !turns.length ? h("p", {}, told.stays || NOTHING) : ""];
    return [h("h2", {}, "It hangs on"), ...first, all.length ? h("ol", { class: "work" }, ...all) : "",
            turns.length ? h("p", { class: "small mute" }, told.turnsIntro) : "",
            turns.length ? h("ol", { class: "work", style: `counter-reset: work ${all.length}` }, ...turns) : "", told.otherLimits ? h("p", { class: "small" }, told.otherLimits) : ""];
}

/* 3. Look at again first */

function bar(share: number, kind: string): HTMLElement {
    return h("span", { class: `bar ${kind}`, style: `--share:${Math.min(Math.max(share, 0), 1).toFixed(4)}` });
}

function noLook(told: Told): string {
    return told.result.decision.action_line === null ? NO_LINE
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

/* 5. Warnings */

/* The first of them, and the others behind a button that says how many there are. */
function warnings(told: Told, whole: boolean, showAll: () => void): HTMLElement[] {
    const all = told.warnings, shown = whole ? all : all.slice(0, 1), others = all.length - shown.length;
    const words = (w: Placed): HTMLElement => h("li", {}, w.label && h("b", {}, `${w.label}: `), w.words);
    return all.length === 0 ? [] : [h("div", { class: "note warnings" }, h("ul", {}, ...shown.map(words)),
        others > 0 && button(`${others} more ${others === 1 ? "warning" : "warnings"}`, showAll))];
}

/* 6. Together */

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
    private allWarnings = false;

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

    private showWarnings(): void {
        this.allWarnings = true;
        this.update();
    }

    private draw(): void {
        fill(this.own, h("h2", {}, "The root as entered, to scale"), h("figure", {}, drawing(this.context.doc, { lit: this.lit, go: this.go })));
    }

    update(): void {
        const { known } = this.context.computing, { told, fresh } = known;
        this.draw();
        this.first.hidden = !told || !fresh;
        if (told)
            fill(this.first, ...told.before.map((w) => h("p", { class: "note asked" }, w)), ...warnings(told, this.allWarnings, () => this.showWarnings()), h("p", { class: "read-back" }, told.readBack));
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
