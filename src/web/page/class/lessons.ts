/* lessons.ts - the six ideas, as docs/lessons tells them: what is asked, what the numbers then say, what may be turned.
 *
 * No answer stands here: every claim is written around the numbers of the view.
 *
 * Contents: 1. words that several share  2. one reading  3. blooming  4. the plane  5. outside and flare
 *           6. measuring again  7. everything at once
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { KnobUse, Lesson, View } from "./lesson";
import { fewerOrMore, mm, ofHundred, reaches } from "./frequency";

/* 1. Words that several share */

const LEFT_GAP = "left.ostium_gap";
export const LIMIT = "/limits/ostium_clearance_mm";

const event = (v: View): number => v.now.patient.event.probability;
const limit = (v: View): number => v.held[LIMIT] ?? v.now.decision.limits[0]?.ostium_clearance_mm ?? NaN;
const reading = (v: View): string => mm(v.held[LEFT_GAP] ?? NaN);

function against(v: View): string {
    const above = reaches(event(v), v.now.decision.action_line);
    return above === null ? "" : above ? "That is at or above the line." : "That is below the line.";
}

const askedAgainst = (v: View): string =>
    `Of 100 roots that read like this, how many truly have less room than the limit of ${mm(limit(v))}?`;

const knob = {
    gap: { name: LEFT_GAP, words: "left gap, as read", from: 4, to: 8, step: 0.1 },
    readers: { name: "reader_error", words: "spread of the readers" },
    blooming: { name: "blooming", words: "blooming, each edge", from: 0, step: 0.05 },
    tilt: { name: "tilt", words: "tilt of the plane (SD)", from: 0, step: 0.1 },
    placements: { name: "/scan/base_plane/placements", words: "times the plane was placed", from: 1, to: 4, step: 1 },
    over: { name: "overexpansion", words: "over-expansion", step: 0.005 },
    flare: { name: "flare", words: "flare of the frame's top", step: 0.05 },
    size: { name: "nominal_diameter", words: "size of the new valve", from: 22, to: 25, step: 0.5 },
    limit: { name: LIMIT, words: "the limit at the ostium", from: 3, to: 4, step: 0.1 },
} satisfies Record<string, KnobUse>;

/* 2. One reading */

const oneReading: Lesson = {
    id: "one-reading", title: "One reading is not the truth", about: "A reading says where the room lies, and how unsurely.",
        file: "lessons/one-reading.json",
    steps: [
        { kind: "guess", picture: "room",
          ask: (v) => ({ head: `One reader read the gap once: ${reading(v)}. Is there room?`, sub: askedAgainst(v) }),
          given: (v) => [`limit: ${mm(limit(v))}`, "leaflets inside the posts, no calcium at the gap"] },
        { kind: "turn", picture: "room", ghost: { of: "start", words: "as it was read" }, knobs: [knob.gap, knob.readers],
          claim: (v) => ({ head: `A reading of ${reading(v)} means: ${ofHundred(event(v))} of 100 truly cross the limit.`,
                           sub: `No wall stands at ${mm(limit(v))}: there is a slope. ${against(v)}` }) },
        { kind: "curve", knob: LEFT_GAP, words: "left gap, as read", from: 4, to: 8, points: 9, asRead: true,
          remark: "Around a limit the share is what counts, not the reading." },
        { kind: "turn", file: "lessons/three-readers.json", picture: "room",
            ghost: { of: "case", file: "lessons/one-reading.json", words: "with one reader" },
          knobs: [knob.readers],
          claim: (v) => ({ head: `Three readers, the same ${reading(v)}: ${ofHundred(event(v))} of 100 instead of ${ofHundred(v.ghost ?? NaN)}.`,
                           sub: "The reading did not change, its error did. The plane, the axis and the deployment are as unsure as before." }) },
    ],
    talk: ["The reading lies above the limit. Is there enough room?", "How far above the limit would it have to read for you to say yes?",
           "What would change if two colleagues read the gap as well, and got the same?"],
};

/* 3. Blooming */

const blooming: Lesson = {
    id: "blooming", title: "Blooming", about: "The reading did not change, the artifact did, and the decision moved.", file: "lessons/blooming.json",
    steps: [
        { kind: "guess", picture: "bloom", ghost: { of: "uncorrected", words: "before correction" },
          ask: (v) => ({ head: "The gap ends on a calcified wall. Bright calcium spreads.",
                         sub: `Uncorrected, ${ofHundred(v.ghost ?? NaN)} of 100 roots cross the limit. With the correction for blooming: how many of 100?` }),
          given: (v) => [`left gap as read: ${reading(v)}`, `limit: ${mm(limit(v))}`] },
        { kind: "turn", picture: "bloom", ghost: { of: "uncorrected", words: "before correction" }, knobs: [knob.blooming, knob.readers],
          claim: (v) => ({ head: `The wall is not as near as it looks: a bright edge spreads by ${(v.held["blooming"] ?? NaN).toFixed(2)} mm.`,
                           sub: `Correct for it and ${fewerOrMore(event(v), v.ghost ?? NaN)} of 100 roots cross the limit. ${against(v)}` }) },
        { kind: "curve", knob: "blooming", words: "blooming, mm per edge", from: 0, to: 0.8, points: 9,
          remark: "The correction makes the case look better. So it is left off unless the case states a bright edge, and the answer without it stands beside every corrected one." },
    ],
    talk: ["The reading is the same. Why is the answer another with the correction?",
           "How much blooming must there be for the call to stay as it is?",
           "Who in the room knows how much this scanner blooms? A phantom scanned on your own machine is worth more than an argument."],
};

/* 4. The plane */

const plane: Lesson = {
    id: "plane", title: "The plane", about: "Readers who agree can be wrong together.", file: "lessons/plane.json",
    steps: [
        { kind: "guess", picture: "plane",
          ask: (v) => ({ head: `Three readers agree to a tenth or two: ${reading(v)}. All used one base plane.`, sub: askedAgainst(v) }),
          given: (v) => [`the ostium stands high: ${mm(v.held["left.ostium_height"] ?? NaN)} above the plane`, `limit: ${mm(limit(v))}`] },
        { kind: "turn", picture: "plane", ghost: { of: "start", words: "as the case has it" }, knobs: [knob.tilt, knob.placements, knob.readers],
          claim: (v) => ({ head: `Readers who agree can be wrong together: ${ofHundred(event(v))} of 100 cross the limit.`,
                           sub: `A tilted plane moves all of them alike, the more the higher the ostium stands. ${against(v)}` }) },
        { kind: "worth", ask: "Ten minutes for one more measurement: what do you do?", remark: "Hands up for each, before the next step." },
        { kind: "worth", remark: "Agreement of readers who share a plane says nothing of the plane." },
        { kind: "curve", knob: "tilt", words: "tilt of the base plane, degrees (SD per axis)", from: 0, to: 6, points: 7,
          remark: "Placing the plane anew, and averaging, makes the tilt smaller." },
    ],
    talk: ["Three readers agree. Why is the range of the true room so wide?",
           "You have ten minutes for one more measurement. What do you do: read the gap a fourth time, or something else?"],
};

/* 5. Outside and flare */

const outside: Lesson = {
    id: "outside", title: "Outside mounting and flare", about: "What the drawn circle does not show.", file: "lessons/outside.json",
    steps: [
        { kind: "guess", picture: "room", ghost: { of: "case", file: "lessons/inside.json", words: "mounted inside" },
          ask: (v) => ({ head: "The same root, the same readings: now the old leaflets are mounted outside the posts.",
                         sub: `Mounted inside, ${ofHundred(v.ghost ?? NaN)} of 100 cross the limit. Mounted outside: how many of 100?` }),
          given: (v) => [`left gap as read: ${reading(v)}`, `limit: ${mm(limit(v))}`] },
        { kind: "turn", picture: "room", ghost: { of: "case", file: "lessons/inside.json", words: "mounted inside, as it was" }, mount: true,
          knobs: [knob.flare, knob.over, knob.size],
          claim: (v) => ({ head: `Mounted ${v.mount === "external" ? "outside" : "inside"}: ${ofHundred(event(v))} of 100 cross the limit. The drawn circle does not show it.`,
                           sub: `Leaflets outside stand off from the new frame; above the ring it opens again. ${against(v)}` }) },
        { kind: "curve", knob: "flare", words: "flare of the frame's top, as a fraction", from: 0, to: 1, points: 6,
          remark: "Nobody can measure the flare before the valve is in. What can be chosen is the size of the valve." },
    ],
    talk: ["The drawn circle shows the same room in both. Where did the rest go?",
           "The new valve is larger than the ring that holds it: where does the withheld expansion come back?"],
};

/* 6. Measuring again */

const noUse: Lesson = {
    id: "no-use", title: "When measuring again cannot help", about: "Uncertain is not undecided.", file: "lessons/no-use.json",
    steps: [
        { kind: "guess", picture: "room",
          ask: (v) => ({ head: `Two readers read the gap: ${reading(v)} on average, below the limit.`, sub: askedAgainst(v) }),
          given: (v) => [`limit: ${mm(limit(v))}`, "some of the roots that read like this have room enough"] },
        { kind: "turn", picture: "room", ghost: { of: "start", words: "as it was read" }, knobs: [{ ...knob.gap, from: 3, to: 6 }, knob.readers],
          claim: (v) => ({ head: `${ofHundred(event(v))} of 100 cross the limit: unsure by a wide range, and yet decided.`,
                           sub: `Uncertain is not the same as undecided. ${against(v)}` }) },
        { kind: "worth", ask: "Should anything be measured again before anybody decides?", remark: "Hands up for each, before the next step." },
        { kind: "worth", remark: "The worth of measuring again is what it could change." },
    ],
    talk: ["The range is wide. Should the gap be read a third time, the plane placed again, another scan be made?",
           "What would have to come out for the decision to change?"],
};

/* 7. Everything at once */

const everything: Lesson = {
    id: "everything", title: "Turn every screw", about: "All the assumptions at once, on a case of your choice.", file: "demo.json",
    steps: [
        { kind: "turn", picture: "room", ghost: { of: "start", words: "as the case has it" }, mount: true,
          knobs: [knob.blooming, knob.tilt, knob.readers, knob.over, knob.limit],
          files: [{ file: "demo.json", words: "borderline" }, { file: "meadow.json", words: "free" }, { file: "narrow-gate.json", words: "crossed" },
                  { file: "lessons/blooming.json", words: "calcified wall" }],
          claim: (v) => ({ head: `${ofHundred(event(v))} of 100 such roots truly cross a limit.`,
                           sub: v.ghost !== null
                               ? `That is ${fewerOrMore(event(v), v.ghost ?? NaN)} than before you turned anything. ${against(v)}`.replace("as many than", "as many as")
                                         : `Which screw moves it most? Say it before you turn one. ${against(v)}` }) },
    ],
    talk: ["Which of these could you measure tomorrow? Which can nobody know before the valve is in?"],
};

export const lessons: Lesson[] = [oneReading, blooming, plane, outside, noUse, everything];
