/* command.ts - the program's own commands, on a case in memory: the words of a command line and the files that it reads.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { CaseInput, CommandAnswer, CommandRequest, NamedText } from "./types";

/* A name of a file that is no option and no path to elsewhere. */
function safe(name: string): string {
    return name.replace(/^.*[\\/]/, "").replace(/^[-.]+/, "") || "case.json";
}

/* The file of a case and of the profile, each under the name by which the command will look for it. */
function filesOf(input: CaseInput): { name: string; files: Record<string, string> } {
    const name = safe(input.case_name ?? "case.json"), files: Record<string, string> = { [name]: input.case };
    const named = /"profile"\s*:\s*("(?:[^"\\]|\\.)*")/.exec(input.case)?.[1];
    if (input.profile !== undefined && named !== undefined)
        files[JSON.parse(named) as string] = input.profile;
    return { name, files };
}

/* "assess case.json --plain …" */
export function command(order: string, input: CaseInput, options: string[]): CommandRequest {
    const { name, files } = filesOf(input);
    return { do: "command", words: [order, name, ...options], files };
}

/* Two cases, of which the second may bring a profile of the same name: then it is the second's that is looked for under
 * another folder. */
export function compare(first: CaseInput, second: CaseInput, options: string[]): CommandRequest {
    const a = filesOf(first), b = filesOf(second);
    const moved = Object.fromEntries(Object.entries(b.files).map(([name, text]) => [`second/${name}`, text]));
    return { do: "command", words: ["compare", a.name, `second/${b.name}`, ...options], files: { ...a.files, ...moved } };
}

/* A command that reads no case. */
export function alone(...words: string[]): CommandRequest {
    return { do: "command", words, files: {} };
}

/* What was written into a folder, by the names in it. */
export function inFolder(answer: CommandAnswer, folder: string): NamedText[] {
    return Object.entries(answer.files).filter(([name]) => name.startsWith(`${folder}/`))
        .map(([name, text]) => ({ name: name.slice(folder.length + 1), text }));
}
