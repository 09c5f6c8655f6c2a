/* computing.ts - what is known of the case as it stands now: faults at once, quick numbers while one types, the whole
 * answer at rest. What is of an earlier state of the case is kept and marked as such, never shown as current.
 *
 * Contents: 1. what is known  2. after a change  3. at rest
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { command, inFolder } from "../command";
import { GivenUp } from "../engine";
import type { Page } from "../room";
import type { CommandAnswer, LiveAnswer, Message, NamedText, ReadAnswer } from "../types";
import type { CaseDoc } from "./case_doc";
import { told } from "./told";
import type { Told } from "./told";
import { foundInCase } from "./unfinished";

/* 1. What is known */

export type Work = "" | "reading" | "quick" | "whole" | "report";

export interface Report {
    page: string;
    figures: NamedText[];
}

export interface Known {
    read: ReadAnswer | null; /* of the case as it is, or null */
    ofProfile: Message[]; /* what was found in its site profile */
    live: LiveAnswer | null; /* of the case as it is, or null */
    told: Told | null; /* the last whole answer */
    fresh: boolean; /* whether `told` is of the case as it is */
    rough: boolean; /* and of fewer roots than it will be */
    quickWords: string; /* what a quick count says, as the program rounds it */
    quickFigures: NamedText[]; /* drawings of the case as it is, of a quick count */
    report: Report | null; /* the last report */
    reportFresh: boolean;
    lacksProfile: string; /* the profile that the case names and nobody gave */
    work: Work;
    share: number; /* of the part of the work, 0 to 1 */
    part: string; /* in words */
    failure: string;
}

const AFTER_KEY_MS = 120, AT_REST_MS = 550;
export const TRIALS = 1_000_000, FIRST_TRIALS = 65_536, QUICK_TRIALS = 20_480;

const UNKNOWN = { read: null, ofProfile: [], live: null, fresh: false, quickWords: "", quickFigures: [], reportFresh: false, lacksProfile: "", rough: false, share: 0, part: "", failure: "" };

/* "about 28 of 100 roots read like this truly cross a limit": what a picture is titled. */
function titleOf(svg: string): string {
    return new DOMParser().parseFromString(svg, "image/svg+xml").querySelector("title")?.textContent ?? "";
}

export class Computing {
    readonly known: Known = { ...UNKNOWN, told: null, report: null, work: "" };
    private turn = 0;
    private keyTimer = 0;
    private readonly listeners: (() => void)[] = [];

    constructor(private readonly page: Page, private readonly doc: CaseDoc) {
        doc.onChange(() => this.changed());
    }

    onNews(listener: () => void): void {
        this.listeners.push(listener);
    }

    /* Whether the case can be computed as it stands. */
    get possible(): boolean {
        return this.known.read === null || (this.known.read.status === "ok" && !this.known.lacksProfile);
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
        this.tell({ ...UNKNOWN, work: "reading" });
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
        if (!this.possible) {
            this.tell({ work: "" });
            return;
        }
        if (!(await this.step(turn, () => this.quick(turn))))
            return;
        void this.step(turn, () => this.pictures(turn));
        await new Promise((go) => setTimeout(go, Math.max(AT_REST_MS - (Date.now() - started), 0)));
        if (turn === this.turn)
            await this.rest(turn);
    }

    private async readCase(turn: number): Promise<void> {
        const input = this.doc.input(), { object } = this.doc;
        const all = foundInCase(object, await this.page.engine.live<ReadAnswer>({ do: "read", ...input }));
        const inProfile = (m: Message): boolean => input.profile !== undefined && m.file === input.profile_name;
        const read = { ...all, messages: all.messages.filter((m) => !inProfile(m)) };
        if (turn === this.turn)
            this.tell({ read, ofProfile: all.messages.filter(inProfile), lacksProfile: input.profile === undefined ? all.profile_named ?? "" : "", work: "quick" });
    }

    private async quick(turn: number): Promise<void> {
        const live = await this.page.engine.live<LiveAnswer>({ do: "live", ...this.doc.input(), trials: QUICK_TRIALS });
        if (turn === this.turn)
            this.tell({ live, work: "whole" });
    }

    private async pictures(turn: number): Promise<void> {
        const live = await this.page.engine.live<LiveAnswer>({ do: "live", ...this.doc.input(), trials: QUICK_TRIALS, figures: true });
        if (turn === this.turn && live.figures)
            this.tell({ quickWords: titleOf(live.figures["ruler"] ?? ""), quickFigures: Object.entries(live.figures).map(([name, text]) => ({ name: `${name}.svg`, text })) });
    }

    /* 3. At rest */

    private order(name: string, options: string[], trials: number): Promise<CommandAnswer> {
        const progress = ({ share, words }: { share: number; words: string }): void => this.tell({ share, part: words });
        const words = [...options, "--trials", String(trials), "--json", "out/result.json"];
        return this.page.engine.whole<CommandAnswer>(command(name, this.doc.input(), words), { key: name, progress });
    }

    private async rest(turn: number): Promise<void> {
        for (const trials of [FIRST_TRIALS, TRIALS])
            if (!(await this.step(turn, () => this.assess(turn, trials))) || !this.known.fresh)
                return;
        await this.step(turn, () => this.makeReport(turn));
    }

    private async assess(turn: number, trials: number): Promise<void> {
        const answer = await this.order("assess", ["--plain"], trials), json = answer.files["out/result.json"];
        if (turn !== this.turn)
            return;
        if (json)
            this.tell({ told: told(answer.out, json), fresh: true, rough: trials < TRIALS, work: trials < TRIALS ? "whole" : "report", share: 0, part: "" });
        else
            this.tell({ failure: answer.err || answer.status, work: "" });
    }

    private async makeReport(turn: number): Promise<void> {
        const answer = await this.order("report", ["-o", "out/report.html", "--figures", "out/figures"], TRIALS), page = answer.files["out/report.html"];
        if (turn !== this.turn)
            return;
        if (page)
            this.tell({ report: { page, figures: inFolder(answer, "out/figures") }, reportFresh: true, work: "", share: 1 });
        else
            this.tell({ failure: answer.err || answer.status, work: "" });
    }
}
