/* room.ts - "Our readers": four tasks of those who lead the reading of scans.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { fill, h } from "../dom";
import type { Page, Room } from "../room";
import { AgainTask } from "./again";
import { PointsTask } from "./points";
import { StudyTask } from "./study";
import { TableTask } from "./table";

interface Task {
    node: HTMLElement;
}

interface Kind {
    id: string;
    title: string;
    make(page: Page): Task;
}

const TASKS: Kind[] = [
    { id: "study", title: "A reader study", make: (page) => new StudyTask(page) },
    { id: "points", title: "Points to a case", make: (page) => new PointsTask(page) },
    { id: "table", title: "A table of cases", make: (page) => new TableTask(page) },
    { id: "again", title: "What to look at again", make: (page) => new AgainTask(page) },
];

class Readers {
    private readonly made = new Map<string, Task>();
    private readonly content = h("div", { class: "tasks" });
    private readonly nav = h("ul", {});

    constructor(host: HTMLElement, private readonly page: Page) {
        host.append(h("nav", { class: "task-nav", "aria-label": "Tasks" }, this.nav), this.content);
    }

    /* A task keeps what it has while another is shown. */
    show(id: string): void {
        const kind = TASKS.find((t) => t.id === id) ?? TASKS[0];
        if (!kind)
            return;
        const task = this.made.get(kind.id) ?? kind.make(this.page);
        this.made.set(kind.id, task);
        fill(this.nav, ...TASKS.map((t) => h("li", {}, h("a", { href: `#readers/${t.id}`, "aria-current": t === kind ? "page" : null }, t.title))));
        fill(this.content, task.node);
    }
}

let room: Readers | null = null;

export const readersRoom: Room = {
    id: "readers",
    title: "Our readers",
    open(host, page) {
        room = new Readers(host, page);
    },
    shown(rest) {
        room?.show(rest);
    },
};
