/* frequency.ts - a probability as people say it: so many of 100.
 * SPDX-License-Identifier: GPL-3.0-or-later */

/* As the program says it (report/blocks/words.c): none and all are never claimed. */
export function ofHundred(p: number): string {
    const n = Math.round(100 * p);
    return n < 1 ? "fewer than 1" : n > 99 ? "more than 99" : String(n);
}

/* The same where there is little room. */
export function shortOfHundred(p: number): string {
    return ofHundred(p).replace("fewer than ", "<").replace("more than ", ">");
}

/* How two answers differ once each is told in whole hundredths, so that the difference can be checked by eye. */
export function fewerOrMore(now: number, before: number): string {
    const d = Math.round(100 * now) - Math.round(100 * before);
    return d === 0 ? "as many" : d < 0 ? `${-d} fewer` : `${d} more`;
}

/* At or above the line, where there is one. */
export function reaches(p: number, line: number | null): boolean | null {
    return line === null ? null : p >= line;
}

export function mm(x: number): string {
    return `${x.toFixed(1)} mm`;
}
