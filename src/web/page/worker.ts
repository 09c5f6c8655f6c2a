/* worker.ts - the engine in a worker: instantiates the module, hands it one request after the other.
 * SPDX-License-Identifier: GPL-3.0-or-later */

interface EngineExports {
    memory: WebAssembly.Memory;
    _initialize?: () => void;
    page_allocate(bytes: number): number;
    page_call(pointer: number, bytes: number): number;
    page_answer_length(): number;
}

type Told = { wasm: ArrayBuffer } | { id: number; request: string };

const scope = self as unknown as { postMessage(message: unknown): void; onmessage: ((e: MessageEvent<Told>) => void) | null };
const encoder = new TextEncoder();
const decoder = new TextDecoder();
let engine: Promise<EngineExports> | null = null;
let running = 0;

function textAt(memory: WebAssembly.Memory, pointer: number, bytes: number): string {
    return decoder.decode(new Uint8Array(memory.buffer, pointer, bytes));
}

/* The C library asks for files when something is printed; there are none: ENOSYS (52). */
const noFiles = { fd_close: () => 52, fd_seek: () => 52, fd_fdstat_get: () => 52, fd_write: () => 52 };

async function instantiate(wasm: ArrayBuffer): Promise<EngineExports> {
    const made: { exports?: EngineExports } = {};
    const progress = (share: number, pointer: number, bytes: number): number => {
        const words = made.exports ? textAt(made.exports.memory, pointer, bytes) : "";
        scope.postMessage({ id: running, progress: { share, words } });
        return 0;
    };
    const imports = { page: { progress }, wasi_snapshot_preview1: noFiles };
    const { instance } = await WebAssembly.instantiate(wasm, imports);
    made.exports = instance.exports as unknown as EngineExports;
    made.exports._initialize?.();
    return made.exports;
}

const NO_MEMORY = '{"status":"no_memory","exit":70}';

function call(exports: EngineExports, request: string): string {
    const bytes = encoder.encode(request);
    const pointer = exports.page_allocate(bytes.length);
    if (pointer === 0)
        return NO_MEMORY;
    new Uint8Array(exports.memory.buffer, pointer, bytes.length).set(bytes);
    const answer = exports.page_call(pointer, bytes.length);
    return answer === 0 ? NO_MEMORY : textAt(exports.memory, answer, exports.page_answer_length());
}

async function serve(id: number, request: string): Promise<void> {
    try {
        if (!engine)
            throw new Error("the engine was not loaded");
        const exports = await engine;
        running = id;
        scope.postMessage({ id, answer: call(exports, request) });
    } catch (error) {
        scope.postMessage({ id, failed: String(error) });
    }
}

scope.onmessage = (event) => {
    const told = event.data;
    if ("wasm" in told)
        engine = instantiate(told.wasm);
    else
        void serve(told.id, told.request);
};
