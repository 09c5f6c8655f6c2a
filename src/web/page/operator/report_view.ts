/* report_view.ts - the whole report in place: the very file that the program writes, in a frame that runs nothing.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, fill, h } from "../dom";
import { save } from "../files";
import type { CaseDoc } from "./case_doc";
import type { Computing } from "./computing";

const OF_BEFORE = "This report is of an earlier state of the case. It can be printed and saved again once that of the case as it stands is here.";
const ON_PAPER = "The whole report is not on this sheet: “print it”, above the report, prints it alone.";

export class ReportView {
    readonly node = h("section", { class: "report", id: "whole-report", "aria-labelledby": "title-report", hidden: true });
    private readonly state = h("p", { class: "standing" });
    /* Same origin so that it can be printed from here; no script of it ever runs. */
    private readonly frame = h("iframe", { sandbox: "allow-same-origin allow-modals", title: "The whole report" });
    private readonly keep = [button("print it", () => this.print()), button("save it", () => this.save())];
    private shownPage = "";

    constructor(private readonly computing: Computing, private readonly doc: CaseDoc) {
        const tools = h("p", { class: "tools" }, ...this.keep, button("close", () => this.close()));
        this.node.append(h("h2", { id: "title-report", tabindex: -1 }, "Whole report"), this.state, tools, this.frame, h("p", { class: "on-paper" }, ON_PAPER));
        this.frame.addEventListener("load", () => this.fit());
        computing.onNews(() => this.update());
    }

    open(): void {
        this.node.hidden = false;
        this.update();
        this.node.querySelector<HTMLElement>("h2")?.focus();
        this.node.scrollIntoView({ block: "start" });
    }

    private close(): void {
        this.node.hidden = true;
    }

    private get page(): string {
        return this.computing.known.report?.page ?? "";
    }

    /* As high as the report, so that there is one scroll bar. */
    private fit(): void {
        const root = this.frame.contentDocument?.documentElement;
        if (root && this.shownPage)
            this.frame.style.height = `${root.scrollHeight + 4}px`;
    }

    private update(): void {
        if (this.node.hidden)
            return;
        const { reportFresh, work } = this.computing.known;
        fill(this.state, reportFresh ? "Current." : this.page ? OF_BEFORE : work ? "Still computing …" : "There is no report: the case is not complete.");
        this.node.classList.toggle("old", !reportFresh);
        for (const each of this.keep)
            each.disabled = !reportFresh;
        if (this.page === this.shownPage)
            return;
        this.shownPage = this.page;
        this.frame.srcdoc = this.page;
    }

    print(): void {
        this.frame.contentWindow?.focus();
        this.frame.contentWindow?.print();
    }

    private save(): void {
        if (this.page)
            save(this.doc.state.name.replace(/\.json$/, "") + ".html", this.page);
    }
}
