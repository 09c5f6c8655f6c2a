/* files.ts - files come in because someone chose them, and go out because someone saves them. Nothing is kept.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { h } from "./dom";
import type { NamedText } from "./types";

const TYPES: Record<string, string> = {
    json: "application/json", html: "text/html", csv: "text/csv", svg: "image/svg+xml", txt: "text/plain",
};

/* Hands a text to the browser to be saved under this name. */
export function save(name: string, text: string): void {
    const ending = name.split(".").pop() ?? "";
    const url = URL.createObjectURL(new Blob([text], { type: `${TYPES[ending] ?? "text/plain"};charset=utf-8` }));
    const link = h("a", { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

export async function readFiles(files: Iterable<File>): Promise<NamedText[]> {
    return Promise.all([...files].map(async (file) => ({ name: file.name, text: await file.text() })));
}

/* Asks for files; comes back with none if nothing was chosen. */
export function choose(accept: string, several: boolean): Promise<NamedText[]> {
    const input = h("input", { type: "file", accept, multiple: several, class: "unseen", "aria-hidden": "true" });
    document.body.append(input);
    return new Promise((done) => {
        const end = (files: Iterable<File>): void => {
            input.remove();
            void readFiles(files).then(done);
        };
        input.addEventListener("change", () => end(input.files ?? []));
        input.addEventListener("cancel", () => end([]));
        input.click();
    });
}

/* Takes files dropped anywhere on this element. */
export function takeDrops(on: HTMLElement, take: (files: NamedText[]) => void): void {
    on.addEventListener("dragover", (event) => {
        if (event.dataTransfer?.types.includes("Files"))
            event.preventDefault();
    });
    on.addEventListener("drop", (event) => {
        const files = event.dataTransfer?.files;
        if (!files || files.length === 0)
            return;
        event.preventDefault();
        void readFiles(files).then(take);
    });
}
