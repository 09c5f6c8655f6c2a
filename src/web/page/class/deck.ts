/* deck.ts - where the class is: which idea, which step of it; and what it guessed, as long as the page is open.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { Hands } from "./hands";
import { lessons } from "./lessons";
import type { Lesson, Step } from "./lesson";

export interface Place {
    lesson: number;
    step: number;
}

export class Deck {
    at: Place | null = null; /* null: the list of ideas */
    private readonly guessed = new Map<string, Hands>();

    constructor(private readonly moved: () => void) {}

    get lesson(): Lesson | null {
        return this.at ? lessons[this.at.lesson] ?? null : null;
    }

    get step(): Step | null {
        return this.at ? this.lesson?.steps[this.at.step] ?? null : null;
    }

    hands(lesson: Lesson): Hands {
        const known = this.guessed.get(lesson.id) ?? new Hands();
        this.guessed.set(lesson.id, known);
        return known;
    }

    go(at: Place | null): void {
        const same = at?.lesson === this.at?.lesson && at?.step === this.at?.step;
        this.at = at;
        if (!same)
            this.moved();
    }

    next(): void {
        const { at, lesson } = this;
        if (!at || !lesson)
            this.go({ lesson: 0, step: 0 });
        else if (at.step + 1 < lesson.steps.length)
            this.go({ ...at, step: at.step + 1 });
        else if (at.lesson + 1 < lessons.length)
            this.go({ lesson: at.lesson + 1, step: 0 });
    }

    back(): void {
        const { at } = this;
        if (!at)
            return;
        if (at.step > 0)
            this.go({ ...at, step: at.step - 1 });
        else if (at.lesson > 0)
            this.go({ lesson: at.lesson - 1, step: (lessons[at.lesson - 1]?.steps.length ?? 1) - 1 });
        else
            this.go(null);
    }

    get last(): boolean {
        return !!this.at && this.at.lesson === lessons.length - 1 && this.at.step === (this.lesson?.steps.length ?? 0) - 1;
    }
}
