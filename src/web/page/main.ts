/* main.ts - the page: one masthead, one room at a time, by what stands behind # in the address.
 *
 * Contents: 1. the frame  2. the room shown  3. start
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { announce } from "./announce";
import { byId, dataBlock, fill, h } from "./dom";
import { Engine } from "./engine";
import type { Page, Room } from "./room";
import { rooms } from "./rooms";
import type { NamedText, Request } from "./types";

/* 1. The frame */

function masthead(): void {
    const links = rooms.map((room) => h("li", {}, h("a", { href: `#${room.id}` }, room.title)));
    fill(byId("masthead"), h("p", { class: "brand" }, h("b", {}, "slimmargin"), " ",
                             h("span", { class: "mute" }, "nothing you enter leaves this page or is kept")),
         h("nav", { "aria-label": "Rooms" }, h("ul", {}, ...links)));
}

function cautions(): void {
    fill(byId("cautions"),
         h("p", {}, h("b", {}, "Not a medical device. "), "That a limit is crossed does not mean that the artery will be ",
           "obstructed. The limits come from small series, some of native valves; the heart team and local protocol decide."),
         h("p", {}, "Everything is computed here, in this browser. Nothing is sent, and nothing is kept: what you do not ",
           "save is gone when the page is closed. Enter no name, no birth date, no record number."));
}

/* 2. The room shown */

const hosts = new Map<string, HTMLElement>();

function hostOf(room: Room, page: Page): HTMLElement {
    const known = hosts.get(room.id);
    if (known)
        return known;
    const host = h("div", { class: `room room-${room.id}` });
    hosts.set(room.id, host);
    byId("room").append(host);
    room.open(host, page);
    return host;
}

function show(page: Page): void {
    const [id, ...rest] = decodeURIComponent(location.hash.slice(1)).split("/");
    const room = rooms.find((r) => r.id === id) ?? rooms[0];
    if (!room)
        return;
    const host = hostOf(room, page);
    for (const other of hosts.values())
        other.hidden = other !== host;
    for (const link of document.querySelectorAll("#masthead nav a"))
        if (link.getAttribute("href") === `#${room.id}`)
            link.setAttribute("aria-current", "page");
        else
            link.removeAttribute("aria-current");
    document.title = `${room.title} · slimmargin`;
    document.body.dataset["room"] = room.id;
    room.shown?.(rest.join("/"));
}

/* 3. Start */

function scenarios(): NamedText[] {
    const text = dataBlock("scenarios");
    return text ? (JSON.parse(text) as NamedText[]) : [];
}

declare global {
    interface Window {
        slimmargin: { call(request: Request): Promise<unknown> };
    }
}

function start(): void {
    const engine = new Engine();
    const page: Page = {
        engine, announce, scenarios: scenarios(),
        go: (room, rest) => { location.hash = rest ? `${room}/${encodeURIComponent(rest)}` : room; },
    };
    window.slimmargin = { call: (request) => engine.whole(request) };
    masthead();
    cautions();
    byId("skip").addEventListener("click", () => byId("room").focus());
    window.addEventListener("hashchange", () => show(page));
    show(page);
}

start();
