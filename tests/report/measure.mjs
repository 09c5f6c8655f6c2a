// measure.mjs - runs inside the page: where text stands, how pale it is, how the document is built.
// SPDX-License-Identifier: GPL-3.0-or-later

/* global document, window, getComputedStyle */
export function measure() {
    const SLACK = 1; // pixels by which boxes of glyphs may touch
    const shown = (e) => e.getClientRects().length > 0;
    const pictures = [...document.querySelectorAll('svg')].filter(shown);
    const name = (e) => `"${e.textContent.slice(0, 40)}"`;

    function textBoxes(svg) {
        return [...svg.querySelectorAll('text')].map((t) => ({ t, b: t.getBoundingClientRect() }));
    }
    function outside(svg) {
        const s = svg.getBoundingClientRect();
        return textBoxes(svg).filter(({ b }) => b.left < s.left - SLACK || b.right > s.right + SLACK || b.top < s.top - SLACK - 2 || b.bottom > s.bottom + SLACK + 2)
            .map(({ t }) => `${name(t)} leaves ${svg.getAttribute('aria-labelledby')}`);
    }
    function overlaps(svg) {
        const boxes = textBoxes(svg), found = [];
        for (let i = 0; i < boxes.length; i++)
            for (let j = i + 1; j < boxes.length; j++) {
                const a = boxes[i].b, b = boxes[j].b;
                const x = Math.min(a.right, b.right) - Math.max(a.left, b.left), y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
                if (x > SLACK && y > SLACK + 2) // a line's box is taller than its letters
                    found.push(`${name(boxes[i].t)} and ${name(boxes[j].t)} in ${svg.getAttribute('aria-labelledby')}`);
            }
        return found;
    }

    const light = (rgb) => rgb.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
        .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
    function pale() {
        const colours = new Map();
        for (const e of document.querySelectorAll('h1,h2,h3,p,th,td,li,small,b,caption,figcaption,text'))
            if (shown(e) && e.textContent.trim()) {
                const style = getComputedStyle(e);
                const rgb = (e.tagName === 'text' ? style.fill : style.color).match(/\d+/g).slice(0, 3).map(Number);
                colours.set(rgb.join(), { rgb, e });
            }
        return [...colours.values()].filter(({ rgb }) => 1.05 / (light(rgb) + 0.05) < 4.5).map(({ rgb, e }) => `${rgb} of ${name(e)} on white`);
    }

    function structure() {
        const faults = [];
        let last = 0;
        for (const h of document.querySelectorAll('h1,h2,h3')) {
            const level = Number(h.tagName[1]);
            if (level > last + 1)
                faults.push(`${h.tagName} ${name(h)} after h${last}`);
            last = level;
        }
        if (document.querySelectorAll('h1').length !== 1)
            faults.push('there must be one h1');
        for (const t of document.querySelectorAll('table'))
            if (!t.querySelector('thead th[scope=col]') || [...t.querySelectorAll('tbody tr')].some((r) => !r.querySelector('th[scope=row]')))
                faults.push('a table without header cells');
        for (const s of document.querySelectorAll('svg')) {
            const [title, desc] = s.getAttribute('aria-labelledby').split(' ').map((id) => document.getElementById(id)?.textContent ?? '');
            if (s.getAttribute('role') !== 'img' || !/\d/.test(title) || desc.length < 20)
                faults.push(`${s.getAttribute('aria-labelledby')}: title "${title}"`);
        }
        const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
        return faults.concat(ids.filter((id, i) => ids.indexOf(id) !== i).map((id) => `the id ${id} stands twice`));
    }

    const wide = [];
    if (document.documentElement.scrollWidth > window.innerWidth)
        wide.push(`the page is ${document.documentElement.scrollWidth} wide`);
    for (const e of document.querySelectorAll('section,figure,svg,p,h1,h2,li'))
        if (shown(e) && !e.closest('.across') && e.getBoundingClientRect().right > window.innerWidth + SLACK)
            wide.push(`${e.tagName} ${name(e)}`);
    for (const e of document.querySelectorAll('.across'))
        if (shown(e) && e.scrollWidth > e.clientWidth + 6) // a table that slides hides its last columns
            wide.push(`a table is ${e.scrollWidth} wide, ${e.clientWidth} of it shown: ${name(e)}`);
    return { collisions: pictures.flatMap((s) => [...outside(s), ...overlaps(s)]), wide, pale: pale(), structure: structure() };
}
