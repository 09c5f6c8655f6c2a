/* hands.ts - what the class guessed: hands counted for each ten of a hundred, typed in by whoever counts. Nothing is
 * collected or sent, and nothing is kept when the page is closed.
 *
 * Contents: 1. the counts  2. typing them in  3. the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h, s } from "../dom";

const TENS = 10;

/* 1. The counts */

export class Hands {
    readonly counts: number[] = Array.from({ length: TENS }, () => 0);

    get sum(): number {
        return this.counts.reduce((a, b) => a + b, 0);
    }

    clear(): void {
        this.counts.fill(0);
    }
}

function tenOf(p: number): number {
    return Math.min(Math.floor(TENS * p), TENS - 1);
}

export function tenWords(i: number): string {
    return `${10 * i}\u2013${10 * (i + 1)}`;
}

function raised(n: number): string {
    return n === 1 ? "1 hand" : `${n} hands`;
}

export function handsSentence(hands: Hands, answer: number | null): string {
    if (hands.sum === 0)
        return "No hands were counted.";
    if (answer === null)
        return `${raised(hands.sum)} counted.`;
    const ten = tenOf(answer);
    return `What you guessed: ${raised(hands.sum)}, ${hands.counts[ten] ?? 0} of them at ${tenWords(ten)}, where the answer lies.`;
}

/* 2. Typing them in */

function stepper(hands: Hands, i: number, changed: () => void): HTMLElement {
    const input = h("input", { type: "number", min: 0, max: 999, inputmode: "numeric", value: hands.counts[i] ?? 0,
                               "aria-label": `hands for ${tenWords(i)} of 100` });
    const put = (n: number): void => {
        hands.counts[i] = Math.min(Math.max(Math.round(Number.isFinite(n) ? n : 0), 0), 999);
        changed();
    };
    input.addEventListener("input", () => put(Number(input.value)));
    input.addEventListener("focus", () => input.select());
    const add = button("+1", () => { put((hands.counts[i] ?? 0) + 1); input.value = String(hands.counts[i]); },
                       { "aria-label": `+1 hand for ${tenWords(i)} of 100`, class: "one-more" });
    return h("div", { class: "ten" }, h("span", { class: "ten-words", "aria-hidden": "true" }, tenWords(i)), input, add);
}

export function handsForm(hands: Hands): HTMLElement {
    const drawn = h("div", { class: "histogram-box" }), said = h("p", { class: "mute hands-said", role: "status" }),
        rows = h("div", { class: "tens" });
    const changed = (): void => {
        fill(drawn, histogram(hands, null));
        said.textContent = hands.sum ? handsSentence(hands, null) : "Count the hands for each ten and type them in. They stay on this page.";
    };
    const draw = (): void => {
        fill(rows, ...hands.counts.map((_, i) => stepper(hands, i, changed)));
        changed();
    };
    draw();
    const clear = button("Clear the count", () => { hands.clear(); draw(); });
    return h("section", { class: "hands", "aria-label": "What the class guesses" }, h("h2", {}, "Hands up: how many of 100?"), rows, drawn,
             h("div", { class: "hands-foot" }, said, clear));
}

/* 3. The picture */

const W = 600, H = 150, FLOOR = 118;

function bars(hands: Hands): SVGElement[] {
    const most = Math.max(...hands.counts, 1);
    return hands.counts.map((n, i) => {
        const height = n / most * (FLOOR - 26), x = i * W / TENS;
        return s("g", {}, s("rect", { x: x + 2, y: FLOOR - height, width: W / TENS - 4, height, class: "hand-bar" }),
                 n > 0 && s("text", { x: x + W / TENS / 2, y: FLOOR - height - 5, "text-anchor": "middle", class: "hand-count" }, n));
    });
}

function truth(answer: number): SVGElement {
    const x = W * Math.min(Math.max(answer, 0), 1), end = answer > 0.7;
    return s("g", {}, s("line", { x1: x, x2: x, y1: 4, y2: FLOOR, class: "hand-truth" }),
             s("text", { x: x + (end ? -8 : 8), y: 16, "text-anchor": end ? "end" : "start", class: "hand-truth-words" },
               `the answer: ${Math.round(100 * answer)}`));
}

/* The hands by tens; with the answer, a line where it lies. */
export function histogram(hands: Hands, answer: number | null): SVGElement {
    const ticks = [0, 50, 100].map((t) => s("text", { x: t / 100 * W, y: H - 8, class: "tick",
                                                      "text-anchor": t === 0 ? "start" : t === 100 ? "end" : "middle" },
                                            t === 50 ? "50 of 100" : t));
    return s("svg", { viewBox: `0 0 ${W} ${H}`, class: "histogram", role: "img", "aria-label": handsSentence(hands, answer) },
             ...bars(hands), s("line", { x1: 0, x2: W, y1: FLOOR, y2: FLOOR, class: "hand-floor" }), ...ticks, answer !== null && truth(answer));
}
