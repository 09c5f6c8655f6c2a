/* computing.ts - what is known of the case as it stands now: faults at once, quick numbers while one types, the whole
 * answer at rest. What is of an earlier state of the case is kept and marked as such, never shown as current.
 *
 * Contents: 1. what is known  2. after a change  3. at rest
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { GivenUp } from "../engine";
import type { Page } from "../room";
import type { LiveAnswer, OrderAnswer, OrderRequest, ReadAnswer } from "../types";
import type { CaseDoc } from "./case_doc";
import { told } from "./told";
import type { Told } from "./told";

/* 1. What is known */

export type Work = "" | "reading" | "quick" | "whole" | "report";

export interface Known {
    read: ReadAnswer | null; /* of the case as it is, or null */
    live: LiveAnswer | null; /* of the case as it is, or null */
    told: Told | null; /* the last whole answer */
    fresh: boolean; /* whether `told` is of the case as it is */
    report: OrderAnswer | null; /* the last report, with its page and figures */
    reportFresh: boolean;
    work: Work;
    share: number; /* of the work, 0 to 1 */
    failure: string;
}

const AFTER_KEY_MS = 120, AT_REST_MS = 550;
export const TRIALS = 1_000_000, QUICK_TRIALS = 20_480;

export class Computing {
    readonly known: Known = { read: null, live: null, told: null, fresh: false, report: null, reportFresh: false, work: "", share: 0, failure: "" };
    private turn = 0;
    private keyTimer = 0;
    private readonly listeners: (() => void)[] = [];

    constructor(private readonly page: Page, private readonly doc: CaseDoc) {
        doc.onChange(() => this.changed());
    }

    onNews(listener: () => void): void {
        this.listeners.push(listener);
    }

    private tell(news: Partial<Known>): void {
        Object.assign(this.known, news);
        for (const listener of this.listeners)
            listener();
    }

    /* 2. After a change */

    changed(): void {
        const turn = ++this.turn;
        clearTimeout(this.keyTimer);
        for (const key of ["assess", "report"])
            this.page.engine.giveUp(key);
        this.tell({ read: null, live: null, fresh: false, reportFresh: false, work: "reading", share: 0, failure: "" });
        this.keyTimer = window.setTimeout(() => void this.follow(turn), AFTER_KEY_MS);
    }

    /* Runs one step; false if the case has changed meanwhile, or the step failed (which is told). */
    private async step(turn: number, what: () => Promise<void>): Promise<boolean> {
        try {
            await what();
            return turn === this.turn;
        } catch (error) {
            if (turn === this.turn && !(error instanceof GivenUp))
                this.tell({ failure: String(error), work: "" });
            return false;
        }
    }

    private async follow(turn: number): Promise<void> {
        const started = Date.now();
        if (!(await this.step(turn, () => this.readCase(turn))))
            return;
        if (this.known.read?.status !== "ok") {
            this.tell({ work: "" });
            return;
        }
        if (!(await this.step(turn, () => this.quick(turn))))
            return;
        await new Promise((go) => setTimeout(go, Math.max(AT_REST_MS - (Date.now() - started), 0)));
        if (turn === this.turn)
            await this.rest(turn);
    }

    private async readCase(turn: number): Promise<void> {
        const read = await this.page.engine.live<ReadAnswer>({ do: "read", ...this.doc.input() });
        if (turn === this.turn)
            this.tell({ read, work: "quick" });
    }

    private async quick(turn: number): Promise<void> {
        const live = await this.page.engine.live<LiveAnswer>({ do: "live", ...this.doc.input(), trials: QUICK_TRIALS });
        if (turn === this.turn)
            this.tell({ live, work: "whole" });
    }

    /* 3. At rest */

    private order(request: Partial<OrderRequest>, key: string): Promise<OrderAnswer> {
        const progress = ({ share }: { share: number }): void => this.tell({ share });
        return this.page.engine.whole<OrderAnswer>({ do: "order", ...this.doc.input(), ...request }, { key, progress });
    }

    private async rest(turn: number): Promise<void> {
        if (!(await this.step(turn, () => this.assess(turn))))
            return;
        if (this.known.fresh)
            await this.step(turn, () => this.makeReport(turn));
    }

    private async assess(turn: number): Promise<void> {
        const answer = await this.order({ order: "assess", plain: true, trials: TRIALS, wants: ["text", "json"] }, "assess");
        if (turn !== this.turn)
            return;
        if (answer.json && answer.text)
            this.tell({ told: told(answer), fresh: true, work: "report", share: 0 });
        else
            this.tell({ failure: answer.messages.map((m) => m.words).join(" ") || answer.status, work: "" });
    }

    private async makeReport(turn: number): Promise<void> {
        const report = await this.order({ order: "report", trials: TRIALS, wants: ["page", "json", "figures"] }, "report");
        if (turn === this.turn)
            this.tell({ report, reportFresh: report.status === "ok", work: "", share: 1 });
    }
}
