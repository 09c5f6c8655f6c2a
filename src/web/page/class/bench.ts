/* bench.ts - the invented case on a slide: what the engine read of it, its answer as it stands, and the answer with the
 * sliders turned. Everything that was asked once is kept, so that going back is instant.
 *
 * Contents: 1. cases and questions  2. what a case holds  3. the ghost  4. one slide's bench
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { GivenUp } from "../engine";
import type { WholeOptions } from "../engine";
import type { Page } from "../room";
import type { Answer, CommandAnswer, Json, JsonObject, Knob, ReadAnswer, Request } from "../types";
import type { Counted, Result, Spread } from "./answers";
import type { Ghost, View } from "./lesson";

/* While a slider moves, and once it rests. */
const TRIALS_MOVING = 20_480;
const TRIALS_AT_REST = 100_000; /* as docs/lessons has them */
const TRIALS_WHOLE = 100_000;

/* What is counted for a hand-out, and waits for every slide. */
export const LATER = "class-sheet";

/* 1. Cases and questions */

export function caseText(page: Page, file: string): string {
    const found = page.scenarios.find((x) => x.name === file);
    if (!found)
        throw new Error(`this page carries no case ${file}`);
    return found.text;
}

function withMount(text: string, mount: string): string {
    const value = JSON.parse(text) as JsonObject;
    const valve = value["surgical_valve"] as JsonObject;
    valve["leaflet_mount"] = mount;
    if (mount === "internal") { /* what only outside leaflets have */
        delete valve["mount_offset_mm"];
        delete valve["mid_fraction"];
    }
    return JSON.stringify(value);
}

interface Stand {
    text: string;
    doc: JsonObject;
    knobs: Knob[];
    start: Result;
}

export class Library {
    private readonly stands = new Map<string, Promise<Stand>>();
    private readonly commands = new Map<string, Promise<CommandAnswer>>();

    constructor(readonly page: Page) {}

    /* A case as it stands; with a mounting other than its own if one is named. */
    stand(file: string, mount = ""): Promise<Stand> {
        return this.keep(this.stands, `${file} ${mount}`, () => this.load(file, mount));
    }

    /* A command on a case, as `sweep CASE ...`; what it prints and the file r.json. What a slide waits for ends what is
     * counted for a hand-out, which asks again later; `told` hears how far it is. */
    command(told: ((share: number) => void) | "later", name: string, file: string, ...options: string[]): Promise<CommandAnswer> {
        const words = [name, "case.json", ...options, "--trials", String(TRIALS_WHOLE), "--quiet", "--plain", "--json", "r.json"],
            key = `${file} ${words.join(" ")}`;
        if (told !== "later" && !this.commands.has(key))
            this.page.engine.giveUp(LATER);
        const how: WholeOptions = told === "later" ? { key: LATER } : { progress: (p) => told(p.share) };
        return this.keep(this.commands, key, () => this.page.engine.whole<CommandAnswer>({ do: "command", words,
                files: { "case.json": this.bare(file) } }, how));
    }

    /* Quick requests share the live engine with the sliders; one that a newer one replaced is asked again. */
    async quick<T extends Answer>(request: Request): Promise<T> {
        for (;;)
            try {
                return await this.page.engine.live<T>(request);
            } catch (error) {
                if (!(error instanceof GivenUp))
                    throw error;
                await new Promise((done) => setTimeout(done, 40));
            }
    }

    private keep<T>(map: Map<string, Promise<T>>, key: string, make: () => Promise<T>): Promise<T> {
        const known = map.get(key) ?? make();
        map.set(key, known);
        known.catch(() => map.delete(key));
        return known;
    }

    /* A lesson stands on the built-in values alone: a profile that a case names is left out. */
    private bare(file: string): string {
        const value = JSON.parse(caseText(this.page, file)) as JsonObject;
        delete value["profile"];
        return JSON.stringify(value);
    }

    private async load(file: string, mount: string): Promise<Stand> {
        const own = this.bare(file), text = mount ? withMount(own, mount) : own;
        const read = await this.quick<ReadAnswer>({ do: "read", case: text });
        const counted = await this.quick<Counted>({ do: "live", case: text, trials: TRIALS_AT_REST });
        if (!counted.result || !read.knobs)
            throw new Error(counted.messages?.[0]?.words ?? "the engine gave no answer");
        return { text, doc: JSON.parse(text) as JsonObject, knobs: read.knobs, start: counted.result };
    }
}

/* 2. What a case holds */

function at(doc: Json, pointer: string): Json | undefined {
    let value: Json | undefined = doc;
    for (const key of pointer.split("/").slice(1))
        value = typeof value === "object" && value !== null && !Array.isArray(value) ? value[key] : undefined;
    return value;
}

/* "triangular: min: 0.3, mode: 0.6, max: 0.8": the most likely value, or the middle one. */
function middleOf(stated: string): number | undefined {
    const of = (name: string): number | undefined => {
        const found = new RegExp(`\\b${name}: (-?[\\d.e+-]+)`).exec(stated);
        return found ? Number(found[1]) : undefined;
    };
    const min = of("min"), max = of("max");
    return of("mode") ?? of("mean") ?? of("median") ?? (min !== undefined && max !== undefined ? (min + max) / 2 : undefined);
}

function mountOf(doc: JsonObject): string {
    return String(at(doc, "/surgical_valve/leaflet_mount") ?? "");
}

/* 3. The ghost */

export interface Shade {
    /* The case's own start, not worth showing before something was turned. */
    ofStart: boolean;
    mount: string;
    p: number | null;
    room: Spread | null;
    words: string;
}

const roomOf = (r: Result): Spread | null => r.coronaries["left"]?.ostium_clearance_mm ?? null;

/* 4. One slide's bench */

export class Bench {
    knobs: Record<string, number> = {};
    now: Result;
    private timer = 0;

    constructor(private readonly library: Library, readonly stand: Stand, readonly shade: Shade,
                private readonly changed: (atRest: boolean) => void) {
        this.now = stand.start;
    }

    static async open(library: Library, file: string, mount: string, ghost: Ghost | undefined, changed: (atRest: boolean) => void): Promise<Bench> {
        const stand = await library.stand(file, mount);
        return new Bench(library, stand, await shadeOf(library, stand, file, ghost), changed);
    }

    knob(name: string): Knob | undefined {
        return this.stand.knobs.find((k) => k.name === name);
    }

    /* What a slider begins with. */
    own(name: string): number | undefined {
        const knob = this.knob(name);
        const told = this.stand.start.assumptions.find((a) => a.path === name)?.value;
        return knob?.own ?? (knob?.stated ? middleOf(knob.stated) : undefined) ?? (typeof told === "number" ? told : undefined);
    }

    number(pointer: string): number | undefined {
        const stated = at(this.stand.doc, pointer), told = this.stand.start.assumptions.find((a) => a.path === pointer)?.value;
        return typeof stated === "number" ? stated : typeof told === "number" ? told : undefined;
    }

    get mount(): string {
        return mountOf(this.stand.doc);
    }

    view(): View {
        const held: Record<string, number> = {};
        for (const name of [...this.stand.knobs.map((k) => k.name), ...this.stand.start.assumptions.map((a) => a.path)])
            held[name] = this.knobs[name] ?? this.own(name) ?? NaN;
        return { now: this.now, ghost: this.ghost, held, turned: Object.keys(this.knobs).length > 0, mount: this.mount };
    }

    /* The ghost without the correction follows what is turned: it is the same case, uncorrected. */
    get ghost(): number | null {
        if (this.shade.ofStart && Object.keys(this.knobs).length === 0 && this.mount === this.shade.mount)
            return null;
        return this.shade.words === UNCORRECTED ? this.now.patient.event_without_blooming_correction?.probability ?? null : this.shade.p;
    }

    turn(name: string, value: number): void {
        this.knobs[name] = value;
        this.count();
    }

    reset(): void {
        this.knobs = {};
        this.now = this.stand.start;
        clearTimeout(this.timer);
        this.changed(true);
    }

    private count(): void {
        clearTimeout(this.timer);
        this.timer = window.setTimeout(() => void this.ask(TRIALS_AT_REST, true), 350);
        void this.ask(TRIALS_MOVING, false);
    }

    /* While the slider moves, a request that a newer one replaced ends as an error, and nobody waits for it. */
    private async ask(trials: number, atRest: boolean): Promise<void> {
        const knobs = { ...this.knobs };
        const request: Request = { do: "live", case: this.stand.text, knobs, trials };
        const answer = await (atRest ? this.library.quick<Counted>(request) : this.library.page.engine.live<Counted>(request)).catch(() => null);
        const same = JSON.stringify(knobs) === JSON.stringify(this.knobs);
        if (!answer?.result || (atRest && !same) || Object.keys(this.knobs).length === 0)
            return;
        this.now = answer.result;
        this.changed(atRest);
    }
}

const UNCORRECTED = "before correction";
const NO_SHADE: Shade = { ofStart: false, mount: "", p: null, room: null, words: "" };

async function shadeOf(library: Library, stand: Stand, file: string, ghost: Ghost | undefined): Promise<Shade> {
    if (!ghost)
        return { ...NO_SHADE };
    if (ghost.of === "uncorrected")
        return { ...NO_SHADE, p: stand.start.patient.event_without_blooming_correction?.probability ?? null, words: UNCORRECTED };
    const other = ghost.of === "case" && ghost.file ? await library.stand(ghost.file) : await library.stand(file);
    return { ofStart: ghost.of === "start", mount: mountOf(other.doc), p: other.start.patient.event.probability, room: roomOf(other.start),
             words: ghost.words };
}
