/* new_text.c - a case just made, read back for a last look before it is written.
 *
 * Contents: 1. what was understood  2. to scale  3. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/new_text.h"

#include <math.h>

#include "geometry/gap.h"
#include "report/blocks/words.h"

/* 1. What was understood */

static void valves(sm_text *out, const sm_case *c)
{
    static const char *const mount[] = {"mounted inside the old valve's posts", "mounted outside the old valve's posts",
                                        "those of a valve without posts"};
    const double depth = sm_dist_mean(&c->implant.implant_depth_mm);
    sm_text_addf(out, "The old leaflets are %s. The ring's inner diameter is ", mount[c->valve.leaflet_mount]);
    sm_words_mm(out, sm_quantity_estimate(&c->valve.inner_diameter));
    sm_text_addf(out, " mm. The new valve is %s, ",
                 c->implant.expansion == SM_BALLOON ? "expanded by a balloon" : "self-expanding");
    sm_words_mm(out, c->implant.nominal_diameter_mm);
    sm_text_puts(out, " mm wide; its frame reaches from ");
    sm_words_mm(out, fabs(depth));
    sm_text_puts(out, depth < 0 ? " mm above the base plane to " : " mm below the base plane to ");
    sm_words_mm(out, c->implant.frame_height_mm - depth);
    sm_text_puts(out, " mm above it, its skirt to ");
    sm_words_mm(out, c->implant.skirt_height_mm - depth);
    sm_text_puts(out, " mm.");
}

static double read_of(const sm_coronary *k, sm_quantity_id id)
{
    return sm_quantity_estimate(&k->quantity[id]);
}

/* "The leaflet reaches 5.4 mm above the ostium's lower edge". */
static void reach(sm_text *out, double above, const char *what)
{
    sm_words_mm(out, fabs(above));
    sm_text_addf(out, " mm %s %s", above < 0 ? "below" : "above", what);
}

static void side(sm_text *out, const sm_coronary *k)
{
    const double top = read_of(k, SM_LEAFLET_HEIGHT);
    sm_text_puts(out, k->has_ostium ? " Coronary " : " Sinus without a coronary, ");
    sm_words_side(out, k->name);
    sm_text_puts(out, ": the old leaflet ends ");
    if (k->has_ostium) {
        reach(out, top - read_of(k, SM_OSTIUM_HEIGHT), "the lower edge of the ostium");
        sm_text_puts(out, " and ");
    }
    reach(out, top - read_of(k, SM_STJ_HEIGHT), "the sinotubular junction");
    sm_text_puts(out, "; from a circle of ");
    sm_words_mm(out, k->circle_mm);
    sm_text_puts(out, " mm the gap ");
    if (k->has_ostium) {
        sm_text_puts(out, "to the ostium is ");
        sm_words_mm(out, read_of(k, SM_OSTIUM_GAP));
        sm_text_puts(out, " mm, at the junction ");
    } else
        sm_text_puts(out, "at the junction is ");
    sm_words_mm(out, read_of(k, SM_STJ_GAP));
    sm_text_puts(out, " mm.");
}

static void decision(sm_text *out, const sm_case *c)
{
    if (c->n_alternatives)
        sm_text_addf(out, " %zu alternative%s to weigh.", c->n_alternatives, c->n_alternatives == 1 ? " is" : "s are");
    sm_text_puts(out, " Your line: ");
    if (c->action_line > 0)
        sm_words_line(out, c->action_line, 0);
    else
        sm_text_puts(out, "none");
    sm_text_puts(out, ".");
}

static void understood(sm_blocks *b, const sm_case *c)
{
    sm_block_say(b, SM_TITLE, "What was understood");
    sm_text *out = sm_block_words(b, SM_SAY);
    valves(out, c);
    for (size_t k = 0; k < c->n_coronaries; k++)
        side(out, &c->coronary[k]);
    decision(out, c);
}

/* 2. To scale */

enum { LABEL = 24, STRIP = 32, NUMBER = 8, NUMBERS = 9 };

static const struct {
    sm_quantity_id height, gap;
    const char *words;
} places[SM_GAPS] = {[SM_GAP_OSTIUM] = {SM_OSTIUM_HEIGHT, SM_OSTIUM_GAP, "ostium"},
                     [SM_GAP_STJ] = {SM_STJ_HEIGHT, SM_STJ_GAP, "junction"}};

static void row(sm_blocks *b, const sm_coronary *k, int place, const sm_strip *strip, const double number[3])
{
    sm_text *label = sm_block_words(b, SM_ROW);
    sm_words_side(label, k->name);
    sm_text_addf(label, ", %s", places[place].words);
    sm_block_strip(b, strip);
    for (int i = 0; i < 3; i++)
        sm_words_mm(sm_block_words(b, SM_CELL), number[i]);
}

/* The leaflet as a line from the base plane up, the landmark as a mark; what reaches above the mark is drawn apart. */
static void heights(sm_blocks *b, const sm_case *c)
{
    static const sm_told_column label = {.width = LABEL},
                                number[] = {{"mark at", NUMBER, SM_RIGHT, .before = "begins at "},
                                            {"leaflet", NUMBER, SM_RIGHT, .before = "leaflet to "},
                                            {"above", NUMBER, SM_RIGHT, .before = "above it "}};
    double highest = 0, step;
    for (size_t k = 0; k < c->n_coronaries; k++)
        highest =
            fmax(highest, fmax(read_of(&c->coronary[k], SM_STJ_HEIGHT), read_of(&c->coronary[k], SM_LEAFLET_HEIGHT)));
    const sm_axis axis = sm_axis_create(0, highest, STRIP, NUMBERS, &step);
    sm_block_say(b, SM_TITLE, "The old leaflet beside each landmark, mm above the base plane");
    sm_block_table(b, &(sm_told_table){0}, &label, 1);
    sm_block_axis(b, &axis, step, 0);
    sm_block_columns(b, number, 3);
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int i = 0; i < SM_GAPS; i++) {
            const sm_coronary *s = &c->coronary[k];
            if (!sm_gap_is_there(s, (sm_gap_id)i))
                continue;
            const double mark = read_of(s, places[i].height), top = read_of(s, SM_LEAFLET_HEIGHT);
            row(b, s, i, &(sm_strip){0, mark, top, mark, true, false}, (const double[]){mark, top, top - mark});
        }
}

/* The gap as a line from the axis' side, at the circle, to the wall as a mark; the bar is the limit. */
static void gaps(sm_blocks *b, const sm_case *c)
{
    static const sm_told_column label = {.width = LABEL}, number[] = {{"gap", NUMBER, SM_RIGHT, .before = "gap "},
                                                                      {"limit", NUMBER, SM_RIGHT, .before = "limit "},
                                                                      {"more", NUMBER, SM_RIGHT, .before = "more "}};
    double low = 0, high = 0, step;
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int i = 0; i < SM_GAPS; i++) {
            if (!sm_gap_is_there(&c->coronary[k], (sm_gap_id)i))
                continue;
            low = fmin(low, read_of(&c->coronary[k], places[i].gap));
            high = fmax(high, fmax(read_of(&c->coronary[k], places[i].gap), sm_gap_limit(&c->limits, (sm_gap_id)i)));
        }
    const sm_axis axis = sm_axis_create(low, high, STRIP, NUMBERS, &step);
    sm_block_say(b, SM_TITLE, "From the circle to the wall, mm");
    sm_block_table(b, &(sm_told_table){0}, &label, 1);
    sm_block_axis(b, &axis, step, 0);
    sm_block_columns(b, number, 3);
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int i = 0; i < SM_GAPS; i++) {
            if (!sm_gap_is_there(&c->coronary[k], (sm_gap_id)i))
                continue;
            const double gap = read_of(&c->coronary[k], places[i].gap), limit = sm_gap_limit(&c->limits, (sm_gap_id)i);
            row(b, &c->coronary[k], i, &(sm_strip){fmin(0, gap), gap, gap, limit, false, false},
                (const double[]){gap, limit, gap - limit});
        }
}

/* 3. All of it */

void sm_new_last_look(sm_blocks *b, const sm_case *c)
{
    understood(b, c);
    heights(b, c);
    gaps(b, c);
    sm_block_say(b, SM_NOTE, "As read: errors of reading, blooming and what the tube takes are not in these numbers.");
}
