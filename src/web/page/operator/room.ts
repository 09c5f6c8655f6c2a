/* room.ts - the operator's room: the answer in sight, the form at the left, what it says at the right, all results below.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import { takeDrops } from "../files";
import type { Page, Room } from "../room";
import { get, set, subscribe } from "../state";
import type { KeysAnswer } from "../types";
import { CaseDoc } from "./case_doc";
import { CaseMenu } from "./case_menu";
import { Computing } from "./computing";
import { Facts } from "./facts";
import { Form } from "./form";
import type { FormContext } from "./form_context";
import { Panels } from "./panels";
import { ReportView } from "./report_view";
import { Results } from "./results";
import { Strip } from "./strip";

class Operator {
    private readonly doc = new CaseDoc();
    private readonly facts = new Facts();
    private readonly computing: Computing;
    private readonly form: Form;
    private readonly panels: Panels;
    private readonly menu: CaseMenu;
    private readonly strip: Strip;

    constructor(host: HTMLElement, private readonly page: Page) {
        const { doc, facts } = this;
        this.computing = new Computing(page, doc);
        const context: FormContext = { page, doc, facts, computing: this.computing, light: (pointer) => this.panels?.light(pointer) };
        this.form = new Form(context);
        this.panels = new Panels(context, (pointer) => this.form.goTo(pointer));
        this.strip = new Strip(page, this.computing, () => (doc.object ? this.form.needed().length : null), (pointer) => this.form.goTo(pointer));
        const report = new ReportView(this.computing, doc), results = new Results(page, doc, this.computing);
        const jump = button("all results", () => results.open());
        const down = button("drawings and doubts", () => this.panels.node.scrollIntoView({ block: "start" }), { class: "narrow-only" });
        this.menu = new CaseMenu(page, doc, [down, button("whole report", () => report.open()), jump]);
        host.append(this.strip.node, this.menu.node, h("div", { class: "desk" }, this.form.node, this.panels.node), report.node, results.node);
        takeDrops(host, (files) => this.menu.take(files));
        this.follow();
    }

    private follow(): void {
        this.share();
        this.doc.onChange(() => this.update());
        this.computing.onNews(() => this.news());
        this.update();
        void this.page.engine.whole<KeysAnswer>({ do: "keys" }).then((answer) => {
            this.facts.setTables(answer.tables);
            this.update();
        });
        this.computing.changed();
    }

    /* The other rooms work on the same case: what one of them opens is opened here, and can be undone. */
    private share(): void {
        const before = get();
        if (before)
            this.doc.open(before);
        set(this.doc.state, "operator");
        this.doc.onChange(() => set(this.doc.state, "operator"));
        subscribe((next, by) => {
            if (next && by !== "operator")
                this.doc.replace(next, "");
        });
    }

    /* Progress alone changes no field. */
    private lastKnown = "";

    private news(): void {
        const { known } = this.computing;
        if (known.told && known.fresh)
            this.facts.setAssumptions(known.told.result.assumptions);
        const key = [known.work, known.fresh, known.rough, known.reportFresh, known.read !== null, known.quickWords].join();
        if (key === this.lastKnown)
            return;
        this.lastKnown = key;
        this.update();
    }

    private update(): void {
        this.form.update();
        this.panels.update();
        this.menu.update();
        this.strip.update();
    }
}

export const operator: Room = {
    id: "operator",
    title: "A case",
    open: (host, page) => { new Operator(host, page); },
};
