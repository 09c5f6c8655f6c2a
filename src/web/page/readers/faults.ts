/* faults.ts - what the engine found wrong in a file: file, line, the words, and the line itself as it stands there.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { button, h } from "../dom";
import type { NamedText } from "../types";
import { inWords } from "./ask";

export interface Fault {
    file: string;
    line: number;
    words: string;
    warning: boolean;
}

/* "study.csv:6:22: value_mm 80.1 is not between 1 and 60 mm" */
export function faultsOf(err: string): Fault[] {
    const lines = err.split("\n").map((x) => x.trim()).filter((x) => x && !/\d+ faults? found; nothing was written$/.test(x) &&
                                                              !/profile written\./.test(x));
    return lines.map((x) => {
        const place = /^(.+?):(\d+):(\d+): (warning: )?(.*)$/.exec(x), other = /^([^: ]+): (warning: )?(.*)$/.exec(x);
        if (place)
            return { file: place[1] ?? "", line: Number(place[2]), words: inWords(place[5] ?? ""), warning: !!place[4] };
        return { file: other?.[1] ?? "", line: 0, words: inWords(other?.[3] ?? x), warning: !!other?.[2] };
    });
}

function quoted(fault: Fault, files: NamedText[]): string {
    return files.find((f) => f.name === fault.file)?.text.split(/\r\n|\n|\r/)[fault.line - 1] ?? "";
}

export type Mend = (file: string, line: number) => void;

function row(fault: Fault, files: NamedText[], mend?: Mend): HTMLElement {
    const text = fault.line > 0 ? quoted(fault, files) : "";
    const where = fault.line > 0 ? `${fault.file}, line ${fault.line}: ` : fault.file ? `${fault.file}: ` : "";
    return h("li", {}, h("b", {}, where), fault.words, text ? h("code", { class: "as-it-stands" }, text) : null,
             text && mend ? button("Correct it here", () => mend(fault.file, fault.line),
                                   { "aria-label": `Correct it here: line ${fault.line} of ${fault.file}` }) : null);
}

export function faultList(faults: Fault[], files: NamedText[], title: string, mend?: Mend): HTMLElement | null {
    if (faults.length === 0)
        return null;
    return h("section", { class: "found-faults", role: "alert" }, h("h2", {}, title), h("ul", {}, ...faults.map((f) => row(f, files, mend))));
}

export function split(faults: Fault[]): { faults: Fault[]; warnings: Fault[] } {
    return { faults: faults.filter((f) => !f.warning), warnings: faults.filter((f) => f.warning) };
}
