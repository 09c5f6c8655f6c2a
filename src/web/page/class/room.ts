/* room.ts - "For a class": six ideas, one a screen, for a projector.
 *
 * Contents: 1. the list of ideas  2. a slide and its foot  3. keys and full screen  4. the room
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import type { Page, Room } from "../room";
import { Library } from "./bench";
import { Deck } from "./deck";
import { Handout } from "./handout";
import { wishOf } from "./keys";
import { lessons } from "./lessons";
import { Frame, fillSlide } from "./slide";
import { CAUTION } from "./told";

class Class {
    private readonly deck = new Deck(() => this.moved());
    private readonly library: Library;
    private readonly handout: Handout;
    private readonly slide = h("section", { class: "slide", tabindex: "-1", "aria-labelledby": "claim" });
    private readonly letters = h("input", { type: "checkbox", id: "letters", checked: true });
    private shown = 0;

    constructor(private readonly host: HTMLElement, private readonly page: Page) {
        this.library = new Library(page);
        this.handout = new Handout(page, this.library);
        host.append(this.slide, this.handout.node);
        document.addEventListener("keydown", (event) => this.key(event));
    }

    /* 1. The list of ideas */

    private list(): void {
        const items = lessons.map((lesson, i) => {
            const open = button(lesson.title, () => this.deck.go({ lesson: i, step: 0 }), { class: "idea" });
            open.append(h("span", {}, lesson.about));
            return h("li", {}, open);
        });
        fill(this.slide, h("div", { class: "slide-main list" }, h("header", {}, h("h1", { id: "claim" }, "Six ideas for a class"),
                h("p", { class: "sub" },
                  "One idea a screen. Each asks first, then shows; every number is counted here, on this machine. Invented cases only.")),
                h("ol", { class: "ideas" }, ...items), this.help()),
             h("footer", { class: "slide-foot" }, h("p", { class: "caution" }, h("b", {}, CAUTION), " Invented cases."), this.fullButton()));
        document.title = "For a class \u00b7 slimmargin";
    }

    private help(): HTMLElement {
        return h("div", { class: "class-help" },
                 h("p", {}, "Keyboard or presenter remote: ", h("kbd", {}, "Page Down"), ", ", h("kbd", {}, "\u2192"), " or ", h("kbd", {}, "space"),
                   " next, ", h("kbd", {}, "Page Up"), " or ",
                   h("kbd", {}, "\u2190"), " back, ", h("kbd", {}, "Esc"), " this list, ", h("kbd", {}, "F"), " full screen."),
                 h("p", { class: "letters" }, this.letters, h("label", { for: "letters" }, "The letter F switches to full screen")));
    }

    /* 2. A slide and its foot */

    private foot(): HTMLElement {
        const { at, lesson } = this.deck, steps = lesson?.steps.length ?? 1;
        const where = `${(at?.lesson ?? 0) + 1} of ${lessons.length}`, step = steps > 1 ? `step ${(at?.step ?? 0) + 1} of ${steps}` : "";
        return h("footer", { class: "slide-foot" }, h("p", { class: "caution" }, h("b", {}, CAUTION), " Invented case."),
                 h("nav", { "aria-label": "Slides" }, button("All ideas", () => this.deck.go(null)),
                   button("Hand-out", () => void this.print(), { class: "hand-out" }), this.fullButton(),
                   button("Back", () => this.deck.back()), h("span", { class: "where" }, h("b", {}, where), step && ` \u00b7 ${step}`),
                   button("Next", () => this.deck.next(), { class: "main", disabled: this.deck.last })));
    }

    private async show(): Promise<void> {
        const { lesson, step } = this.deck, mine = ++this.shown;
        if (!lesson || !step)
            return this.list();
        const frame = new Frame();
        frame.say({ head: lesson.title, sub: "Counting \u2026" });
        fill(this.slide, frame.node, this.foot());
        document.title = `${lesson.title} \u00b7 slimmargin`;
        const current = (): boolean => mine === this.shown;
        try {
            await fillSlide(frame, { page: this.page, library: this.library, deck: this.deck, current }, lesson, step);
        } catch (error) {
            if (current())
                frame.say({ head: "This slide could not be counted.", sub: String(error instanceof Error ? error.message : error) });
        }
        if (current())
            await this.handout.prepare(lesson).catch(() => undefined);
    }

    private async print(): Promise<void> {
        if (!this.deck.lesson)
            return;
        const wait = this.slide.querySelector(".hand-out");
        if (wait)
            wait.textContent = "Preparing \u2026";
        await this.handout.prepare(this.deck.lesson).catch(() => undefined);
        if (wait)
            wait.textContent = "Hand-out";
        window.print();
    }

    /* 3. Keys and full screen */

    private fullButton(): HTMLElement | null {
        return document.fullscreenEnabled ? button("Full screen", () => this.full(), { class: "full" }) : null;
    }

    private full(): void {
        if (document.fullscreenElement)
            void document.exitFullscreen();
        else
            void this.host.requestFullscreen?.().catch(() => undefined);
    }

    private key(event: KeyboardEvent): void {
        const wish = this.host.hidden ? null : wishOf(event, this.letters.checked);
        if (!wish)
            return;
        event.preventDefault();
        if (wish === "next")
            this.deck.next();
        else if (wish === "back")
            this.deck.back();
        else if (wish === "list")
            this.deck.go(null);
        else
            this.full();
    }

    /* 4. The room */

    private moved(): void {
        const { at } = this.deck;
        this.page.go("class", at ? `${at.lesson + 1}/${at.step + 1}` : "");
        void this.show();
        this.slide.focus({ preventScroll: true });
        window.scrollTo(0, 0);
    }

    /* "2/1": the first step of the second idea. */
    open(rest: string): void {
        const [lesson, step] = rest.split("/").map((x) => Number(x) - 1), known = lessons[lesson ?? -1];
        const at = known ? { lesson: lesson ?? 0, step: Math.min(Math.max(step || 0, 0), known.steps.length - 1) } : null;
        if (this.shown === 0 && !at)
            this.list();
        this.deck.go(at);
    }
}

let room: Class | null = null;

export const classroom: Room = {
    id: "class",
    title: "For a class",
    open(host, page) {
        room = new Class(host, page);
    },
    shown(rest) {
        room?.open(rest);
    },
};
