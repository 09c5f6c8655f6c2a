/* unusual_text.c - what a case says, read back, and what in it is unusual.
 *
 * Contents: 1. what is unusual  2. read as: the valves  3. read as: the sides  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/unusual_text.h"

#include <math.h>
#include <string.h>

#include "report/blocks/words.h"

/* 1. What is unusual */

/* "12.5 mm", "3.2 times", "-7 %". */
static void amount(sm_text *out, double x, const char *unit)
{
    sm_words_number(out, x);
    sm_text_addf(out, "%s%s", unit[0] ? " " : "", unit);
}

static void usual(sm_text *out, const sm_unusual *u)
{
    sm_text_puts(out, "usual are ");
    sm_words_number(out, u->low);
    sm_text_puts(out, " to ");
    sm_words_number(out, u->high);
}

static void capital(sm_text *out, size_t at)
{
    if (!out->failed && out->len > at && out->s[at] >= 'a' && out->s[at] <= 'z')
        out->s[at] = (char)(out->s[at] - 'a' + 'A');
}

/* "Left, ostium height: 1.3 mm; usual are 2.5 to 20. In centimetres?" */
static void question(sm_text *out, const sm_unusual *u)
{
    size_t start = out->len;
    sm_text_addf(out, "%s: ", u->what);
    capital(out, start);
    amount(out, u->value, u->unit);
    sm_text_puts(out, "; ");
    usual(out, u);
    sm_text_puts(out, ". ");
    start = out->len;
    sm_text_puts(out, u->slip);
    capital(out, start);
}

/* Of no trial or nearly none, and of nearly all: an answer that a slip makes. */
static void driven(sm_text *out, const sm_assessment *a)
{
    const double end = 0.005;
    if (!a || (a->patient.event.probability > end && a->patient.event.probability < 1 - end))
        return;
    sm_text_addf(out, " The answer lies at %s of 100 and may rest on what is unusual alone.",
                 a->patient.event.probability <= end ? "0" : "100");
}

/* As a string of JSON, to be copied into the case: names of alternatives may hold quotes. */
static void quoted(sm_text *out, const char *name)
{
    sm_text_puts(out, "\"");
    for (const char *c = name; *c; c++)
        sm_text_addf(out, *c == '"' || *c == '\\' ? "\\%c" : "%c", *c);
    sm_text_puts(out, "\"");
}

bool sm_unusual_any(const sm_result *r)
{
    for (size_t i = 0; i < r->n_unusual; i++)
        if (!r->unusual[i].confirmed)
            return true;
    return false;
}

void sm_unusual_tell(sm_blocks *b, const sm_result *r)
{
    if (!sm_unusual_any(r))
        return;
    for (size_t i = 0; i < r->n_unusual; i++)
        if (!r->unusual[i].confirmed)
            question(sm_block_words(b, SM_WARNED), &r->unusual[i]);
    sm_text *then = sm_block_words(b, SM_SAY);
    sm_text_puts(then, "Look first whether this was meant. If it was, state in the case \"confirmed\": [");
    for (size_t i = 0, said = 0; i < r->n_unusual; i++)
        if (!r->unusual[i].confirmed) {
            sm_text_puts(then, said++ ? ", " : "");
            quoted(then, r->unusual[i].name);
        }
    sm_text_puts(then, "].");
    driven(then, r->assessment);
    sm_block_say(b, SM_GAP, "");
}

/* 2. Read as: the valves */

static const char *mount_words(sm_leaflet_mount m)
{
    static const char *const words[] = {[SM_MOUNT_INTERNAL] = "leaflets inside the posts",
                                        [SM_MOUNT_EXTERNAL] = "leaflets outside the posts",
                                        [SM_STENTLESS] = "a stentless valve"};
    return words[m];
}

static bool is_same_circle(const sm_case *c)
{
    for (size_t k = 1; k < c->n_coronaries; k++)
        if (c->coronary[k].circle_mm != c->coronary[0].circle_mm)
            return false;
    return true;
}

static double leaflet_of(const sm_coronary *o)
{
    return sm_quantity_estimate(&o->quantity[SM_LEAFLET_HEIGHT]);
}

/* Whether one number tells the leaflets of all sides: a second look at one of them is told with its side. */
static bool is_same_leaflet(const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        if (leaflet_of(&c->coronary[k]) != leaflet_of(&c->coronary[0]) ||
            c->coronary[k].quantity[SM_LEAFLET_HEIGHT].cross_check.present)
            return false;
    return true;
}

/* ", by echo 6.1": a second look, if there is one. */
static void look_words(sm_text *out, const char *before, const sm_quantity *q, const char *after)
{
    if (!q->cross_check.present)
        return;
    sm_text_addf(out, "%sby %s ", before, sm_words_modality(q->cross_check.modality));
    sm_words_mm(out, sm_readings_mean(&q->cross_check.readings));
    sm_text_puts(out, after);
}

/* The thickness is told only if it was looked at twice: else it stands among the assumptions. */
static void thickness_words(sm_text *out, const sm_quantity *q)
{
    if (!q->cross_check.present)
        return;
    sm_text_puts(out, "; leaflets ");
    sm_words_mm(out, sm_quantity_estimate(q));
    sm_text_puts(out, " thick");
    look_words(out, ", ", q, "");
}

static void valves(sm_text *out, const sm_case *c)
{
    const double depth = sm_dist_mean(&c->implant.implant_depth_mm);
    sm_text_addf(out, "%s; %s ", mount_words(c->valve.leaflet_mount),
                 c->implant.expansion == SM_BALLOON ? "balloon-expanded" : "self-expanding");
    sm_words_number(out, c->implant.nominal_diameter_mm);
    sm_text_puts(out, " in a ring of ");
    sm_words_mm(out, sm_quantity_estimate(&c->valve.inner_diameter));
    look_words(out, " (", &c->valve.inner_diameter, ")");
    sm_text_puts(out, ", ");
    sm_words_mm(out, fabs(depth));
    sm_text_addf(out, " mm %s", depth < 0 ? "above the base plane" : "deep");
    thickness_words(out, &c->valve.leaflet_thickness);
    if (is_same_circle(c)) {
        sm_text_puts(out, "; circle ");
        sm_words_number(out, c->coronary[0].circle_mm);
    }
    sm_text_puts(out, ".");
}

/* 3. Read as: the sides */

/* "5.7 away, bright wall": only where the case says that the reading is off for it. */
static void gap_words(sm_text *out, const sm_quantity *q)
{
    sm_words_mm(out, sm_quantity_estimate(q));
    sm_text_puts(out, " away");
    if (q->is_read && q->bloom_edges < 0)
        sm_text_puts(out, ", bright wall");
    look_words(out, ", ", q, "");
}

static void side(sm_text *out, const sm_case *c, const sm_coronary *o)
{
    const size_t start = out->len + 1;
    sm_text_puts(out, " ");
    sm_words_side(out, o->name);
    capital(out, start);
    if (o->has_ostium) {
        sm_text_puts(out, ": ostium ");
        sm_words_mm(out, sm_quantity_estimate(&o->quantity[SM_OSTIUM_HEIGHT]));
        sm_text_puts(out, " high, ");
        gap_words(out, &o->quantity[SM_OSTIUM_GAP]);
    } else
        sm_text_puts(out, ": no coronary");
    sm_text_puts(out, "; junction ");
    sm_words_mm(out, sm_quantity_estimate(&o->quantity[SM_STJ_HEIGHT]));
    sm_text_puts(out, " high, ");
    gap_words(out, &o->quantity[SM_STJ_GAP]);
    if (!is_same_circle(c)) {
        sm_text_puts(out, "; circle ");
        sm_words_number(out, o->circle_mm);
    }
    if (!is_same_leaflet(c)) {
        sm_text_puts(out, "; leaflet to ");
        sm_words_mm(out, leaflet_of(o));
        look_words(out, ", ", &o->quantity[SM_LEAFLET_HEIGHT], "");
    }
    sm_text_puts(out, ".");
}

/* 4. The whole */

bool sm_unusual_any_confirmed(const sm_result *r)
{
    for (size_t i = 0; i < r->n_unusual; i++)
        if (r->unusual[i].confirmed)
            return true;
    return false;
}

void sm_unusual_confirmed(sm_text *out, const sm_result *r)
{
    size_t n = 0;
    for (size_t i = 0; i < r->n_unusual; i++) {
        const sm_unusual *u = &r->unusual[i];
        if (!u->confirmed)
            continue;
        sm_text_puts(out, n++ ? "; " : " Unusual, and confirmed by the case: ");
        sm_text_addf(out, "%s ", u->what);
        amount(out, u->value, u->unit);
        sm_text_puts(out, " (");
        usual(out, u);
        sm_text_puts(out, ")");
    }
    sm_text_puts(out, n ? "." : "");
}

/* " Limits 4 and 2." */
static void limits(sm_text *out, const sm_limits *l)
{
    sm_text_puts(out, " Limits ");
    sm_words_limit(out, &l->ostium_clearance_mm);
    sm_text_puts(out, " and ");
    sm_words_limit(out, &l->stj_clearance_mm);
    if (l->reach_margin_mm > 0) {
        sm_text_puts(out, ", sealed from ");
        sm_words_number(out, l->reach_margin_mm);
        sm_text_puts(out, " below the junction");
    }
    sm_text_puts(out, ".");
}

void sm_understood_tell(sm_blocks *b, const sm_result *r)
{
    const sm_case *c = r->c;
    sm_text *out = sm_block_words(b, SM_SAY);
    sm_text_puts(out, "Read as: ");
    valves(out, c);
    for (size_t k = 0; k < c->n_coronaries; k++)
        side(out, c, &c->coronary[k]);
    if (is_same_leaflet(c)) {
        sm_text_puts(out, " Leaflets to ");
        sm_words_mm(out, leaflet_of(&c->coronary[0]));
        sm_text_puts(out, ".");
    }
    limits(out, &c->limits);
    if (c->action_line > 0) {
        sm_text_puts(out, " Your line: ");
        sm_words_line(out, c->action_line, 0);
        sm_text_puts(out, ".");
    }
    sm_unusual_confirmed(out, r);
}
