/* pointer.ts - JSON pointers (RFC 6901): looking up, setting and removing what stands at one.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Json, JsonObject } from "../types";

export function parts(pointer: string): string[] {
    return pointer.split("/").slice(1).map((p) => p.replace(/~1/g, "/").replace(/~0/g, "~"));
}

export function join(pointer: string, key: string | number): string {
    return `${pointer}/${String(key).replace(/~/g, "~0").replace(/\//g, "~1")}`;
}

export function isObject(value: Json | undefined): value is JsonObject {
    return typeof value === "object" && value !== null && !Array.isArray(value);
}

function child(value: Json | undefined, key: string): Json | undefined {
    if (Array.isArray(value))
        return value[Number(key)];
    return isObject(value) && Object.hasOwn(value, key) ? value[key] : undefined;
}

export function get(root: Json, pointer: string): Json | undefined {
    return parts(pointer).reduce<Json | undefined>(child, root);
}

function put(holder: JsonObject | Json[], key: string, value: Json): void {
    if (Array.isArray(holder))
        holder[Number(key)] = value;
    else
        Object.defineProperty(holder, key, { value, writable: true, enumerable: true, configurable: true });
}

/* Sets a value and makes the objects on the way to it that are missing. */
export function set(root: JsonObject, pointer: string, value: Json): void {
    const path = parts(pointer), last = path.pop();
    let at: JsonObject | Json[] = root;
    for (const key of path) {
        let next = child(at, key);
        if (!isObject(next) && !Array.isArray(next)) {
            next = {};
            put(at, key, next);
        }
        at = next;
    }
    if (last !== undefined)
        put(at, last, value);
}

/* Objects that a case keeps even when nothing is in them. */
const KEPT = /^\/(surgical_valve|implant|coronaries(\/[^/]+)?)$/;

/* Removes a value, and the objects that only held it. */
export function remove(root: JsonObject, pointer: string): void {
    const path = parts(pointer), last = path.pop() ?? "";
    const holder = path.reduce<Json | undefined>(child, root);
    if (Array.isArray(holder))
        holder.splice(Number(last), 1);
    else if (isObject(holder))
        delete holder[last];
    const above = pointer.slice(0, pointer.lastIndexOf("/"));
    if (isObject(holder) && above && !Object.keys(holder).length && !KEPT.test(above))
        remove(root, above);
}
