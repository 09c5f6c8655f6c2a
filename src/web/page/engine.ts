/* engine.ts - two workers with the engine: a live one for numbers while something moves, and one for whole results.
 *
 * Contents: 1. the module in the page  2. one worker  3. newest wins  4. one after the other
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { dataBlock } from "./dom";
import type { Answer, Request } from "./types";

export interface Progress {
    share: number;
    words: string;
}

/* A request that a newer one replaced, or that was given up. Nobody waits for its answer. */
export class GivenUp extends Error {}

/* 1. The module in the page */

/* A function that returns a vector: valid only where SIMD is known. */
const SIMD_PROBE = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0, 1, 5, 1, 96, 0, 1, 123, 3, 2, 1, 0, 10, 10, 1, 8, 0, 65, 0, 253, 15, 253, 98, 11]);

async function gunzip(base64: string): Promise<ArrayBuffer> {
    const packed = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Response(stream).arrayBuffer();
}

function moduleText(): string {
    const simd = dataBlock("wasm-simd"), scalar = dataBlock("wasm-scalar");
    return WebAssembly.validate(SIMD_PROBE) && simd ? simd : scalar || simd;
}

/* 2. One worker */

interface Waiting {
    done(answer: Answer): void;
    failed(error: Error): void;
    progress?: (p: Progress) => void;
}

interface Told {
    id: number;
    answer?: string;
    failed?: string;
    progress?: Progress;
}

class Hand {
    private worker: Worker | null = null;
    private waiting: { id: number; by: Waiting } | null = null;
    private last = 0;

    constructor(private readonly code: string, private readonly wasm: Promise<ArrayBuffer>) {}

    /* The next worker is made before it is needed, so that it is ready when it is. */
    async ready(): Promise<Worker> {
        const wasm = await this.wasm;
        if (this.worker)
            return this.worker;
        const url = URL.createObjectURL(new Blob([this.code], { type: "text/javascript" }));
        this.worker = new Worker(url);
        URL.revokeObjectURL(url);
        this.worker.onmessage = (event: MessageEvent<Told>) => this.told(event.data);
        this.worker.onerror = (event) => this.broke(event.message);
        this.worker.postMessage({ wasm });
        return this.worker;
    }

    async ask(request: Request, by: Waiting): Promise<void> {
        const id = ++this.last;
        this.waiting = { id, by };
        try {
            const worker = await this.ready();
            if (this.waiting?.id === id)
                worker.postMessage({ id, request: JSON.stringify(request) });
        } catch (error) {
            this.broke(String(error));
        }
    }

    /* A computation cannot be asked to stop; its worker is ended, and another takes its place. */
    stop(): void {
        const by = this.waiting?.by;
        this.drop();
        by?.failed(new GivenUp("given up"));
        void this.ready();
    }

    private drop(): void {
        this.worker?.terminate();
        this.worker = null;
        this.waiting = null;
    }

    private broke(words: string): void {
        const by = this.waiting?.by;
        this.drop();
        by?.failed(new Error(words || "the engine stopped"));
    }

    private told(told: Told): void {
        if (told.id !== this.waiting?.id)
            return;
        const { by } = this.waiting;
        if (told.progress) {
            by.progress?.(told.progress);
            return;
        }
        if (told.failed !== undefined) {
            this.broke(told.failed);
            return;
        }
        this.waiting = null;
        by.done(JSON.parse(told.answer ?? "") as Answer);
    }
}

/* 3. Newest wins */

interface Entry {
    request: Request;
    by: Waiting;
    key: string;
}

/* While one request runs, only the newest of those that came meanwhile is kept. */
class Newest {
    private next: Entry | null = null;
    private busy = false;

    constructor(private readonly hand: Hand) {}

    ask(request: Request): Promise<Answer> {
        return new Promise((done, failed) => {
            this.next?.by.failed(new GivenUp("a newer request came"));
            this.next = { request, by: { done, failed }, key: "" };
            this.turn();
        });
    }

    private turn(): void {
        const entry = this.next;
        if (this.busy || !entry)
            return;
        this.next = null;
        this.busy = true;
        const then = (): void => {
            this.busy = false;
            this.turn();
        };
        void this.hand.ask(entry.request, {
            done: (answer) => { entry.by.done(answer); then(); },
            failed: (error) => { entry.by.failed(error); then(); },
        });
    }
}

/* 4. One after the other */

export interface WholeOptions {
    /* A request replaces what runs or waits under the same key. */
    key?: string;
    progress?: (p: Progress) => void;
}

class Queue {
    private readonly waiting: Entry[] = [];
    private running: Entry | null = null;

    constructor(private readonly hand: Hand) {}

    ask(request: Request, options: WholeOptions = {}): Promise<Answer> {
        return new Promise((done, failed) => {
            const by: Waiting = { done, failed };
            if (options.progress)
                by.progress = options.progress;
            if (options.key)
                this.giveUp(options.key);
            this.waiting.push({ request, by, key: options.key ?? "" });
            this.turn();
        });
    }

    giveUp(key: string): void {
        for (let i = this.waiting.length - 1; i >= 0; i--)
            if (this.waiting[i]?.key === key)
                this.waiting.splice(i, 1)[0]?.by.failed(new GivenUp("given up"));
        if (this.running?.key === key)
            this.hand.stop();
    }

    private turn(): void {
        const entry = this.running ? undefined : this.waiting.shift();
        if (!entry)
            return;
        this.running = entry;
        const then = (): void => {
            this.running = null;
            this.turn();
        };
        const by: Waiting = {
            done: (answer) => { entry.by.done(answer); then(); },
            failed: (error) => { entry.by.failed(error); then(); },
        };
        if (entry.by.progress)
            by.progress = entry.by.progress;
        void this.hand.ask(entry.request, by);
    }
}

export class Engine {
    private readonly newest: Newest;
    private readonly queue: Queue;

    constructor() {
        const code = dataBlock("worker-code");
        const wasm = gunzip(moduleText());
        const live = new Hand(code, wasm), whole = new Hand(code, wasm);
        this.newest = new Newest(live);
        this.queue = new Queue(whole);
        for (const hand of [live, whole])
            hand.ready().catch(() => undefined); /* told to who asks first */
    }

    /* Numbers while something moves: of several requests only the newest is answered, the others end as GivenUp. */
    live<T extends Answer>(request: Request): Promise<T> {
        return this.newest.ask(request) as Promise<T>;
    }

    /* Any request, in its turn. */
    whole<T extends Answer>(request: Request, options: WholeOptions = {}): Promise<T> {
        return this.queue.ask(request, options) as Promise<T>;
    }

    /* Gives up what runs or waits under this key. */
    giveUp(key: string): void {
        this.queue.giveUp(key);
    }
}
