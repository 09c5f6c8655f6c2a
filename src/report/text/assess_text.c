/* assess_text.c - an assessment in plain words.
 *
 * Contents: 1. the headline  2. what drives it  3. the top of the page  4. rooms and heights  5. how many of 100
 *           6. the call  7. two looks at one gap  8. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/assess_text.h"

#include <math.h>
#include <string.h>

#include "report/text/assumption_text.h"
#include "report/blocks/cautions.h"
#include "report/blocks/words.h"

/* 1. The headline */

static const char *call_words(const sm_decision *d)
{
    switch (d->call) {
    case SM_CALL_ABOVE:
        return "Above your line: ";
    case SM_CALL_BELOW:
        return "Below your line: ";
    case SM_CALL_UNRESOLVED:
        return d->reason == SM_REASON_LOOKS_CONFLICT ? "Unresolved, the looks conflict: " : "Unresolved: ";
    default:
        return "";
    }
}

void sm_assess_headline(sm_text *out, const sm_assessment *a)
{
    const sm_decision *d = &a->decision;
    const bool called = d->call == SM_CALL_ABOVE || d->call == SM_CALL_BELOW;
    double denominator;
    size_t start = out->len + strlen(call_words(d));
    sm_text_puts(out, call_words(d));
    bool one = called ? sm_words_frequency_beside(out, &a->patient.event, d->action_line, &denominator)
                      : sm_words_frequency(out, &a->patient.event);
    if (d->call == SM_CALL_NONE && !out->failed && out->s[start] >= 'a')
        out->s[start] = (char)(out->s[start] - 'a' + 'A');
    sm_text_addf(out, " roots read like this truly %s a limit.", one ? "crosses" : "cross");
}

void sm_assess_headline_after(sm_text *out, const char *which, const sm_assessment *a)
{
    sm_text_addf(out, "%s, ", which);
    const size_t start = out->len;
    sm_assess_headline(out, a);
    if (!out->failed && out->s[start] >= 'A' && out->s[start] <= 'Z')
        out->s[start] = (char)(out->s[start] - 'A' + 'a');
}

/* 2. What drives it */

typedef struct {
    size_t side;
    bool sealed;
    const sm_probability *p;
} part_of_event;

/* The likeliest and the second likeliest of all crowded ostia and sealed sinuses. */
static void two_likeliest(const sm_assessment *a, part_of_event top[2])
{
    top[0] = top[1] = (part_of_event){0};
    for (int i = 0; i < 2 * a->n_sides; i++) {
        const sm_crossing *c = &a->side[i / 2].crossing;
        part_of_event p = {(size_t)i / 2, i % 2, i % 2 ? &c->sealed : &c->crowded};
        if (!top[0].p || p.p->k > top[0].p->k) {
            top[1] = top[0];
            top[0] = p;
        } else if (!top[1].p || p.p->k > top[1].p->k)
            top[1] = p;
    }
}

static void part_words(sm_text *out, const sm_case *c, const part_of_event *p)
{
    sm_text_puts(out, p->sealed ? "a sealed " : "a crowded ");
    sm_words_side(out, c->coronary[p->side].name);
    sm_text_puts(out, p->sealed ? " sinus" : " ostium");
}

void sm_assess_driver(sm_text *out, const sm_case *c, const sm_assessment *a)
{
    part_of_event top[2];
    two_likeliest(a, top);
    if (a->patient.event.k == 0) {
        sm_text_puts(out, "No trial crossed a limit on any side.");
        return;
    }
    double share = (double)top[0].p->k / (double)a->patient.event.k;
    sm_text_puts(out, share >= 0.9 ? "Nearly all of it is " : share >= 0.6 ? "Most of it is " : "The largest part is ");
    part_words(out, c, &top[0]);
    sm_text_puts(out, " (");
    sm_words_frequency(out, top[0].p);
    if (share < 0.9 && (double)top[1].p->k >= 0.1 * (double)a->patient.event.k) {
        sm_text_puts(out, "), then ");
        part_words(out, c, &top[1]);
        sm_text_puts(out, " (");
        sm_words_frequency(out, top[1].p);
    }
    sm_text_puts(out, ").");
}

/* 3. The top of the page */

void sm_assess_masthead(sm_text *out, const sm_style *style, const sm_result *r)
{
    sm_text left = {0}, right = {0};
    sm_text_addf(&left, "slimmargin %s, case %s", sm_result_version(), r->c->name);
    sm_words_count(&right, r->assessment->trials);
    sm_text_addf(&right, " trials, seed %llu", (unsigned long long)r->assessment->seed);
    if (style->plain || left.len + right.len + 2 > style->width)
        sm_text_addf(out, "%s, %s.\n", sm_text_string(&left), sm_text_string(&right));
    else {
        sm_layout_left(out, left.s, style->width - right.len);
        sm_text_addf(out, "%s\n", right.s);
    }
    sm_text_done(&left, out);
    sm_text_done(&right, out);
}

static void note(sm_text *out, const sm_style *style, const char *text)
{
    sm_text safe = {0};
    sm_text_puts(&safe, "Note of the case: ");
    sm_layout_safe(&safe, style, text);
    sm_layout_paragraph(out, style, SM_PAINT_MUTED, 0, &safe);
}

void sm_assess_stopped(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out, "Stopped before the end: this is what is known after ");
    sm_words_count(out, a->trials);
    sm_text_puts(out, " trials.");
}

static void stopped_early(sm_text *out, const sm_style *style, const sm_assessment *a)
{
    sm_text words = {0};
    if (a->complete)
        return;
    sm_assess_stopped(&words, a);
    sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
}

static void ruler(sm_text *out, const sm_style *style, const sm_assessment *a)
{
    sm_text words = {0};
    if (style->plain)
        return;
    sm_text_puts(&words, "your line: ");
    sm_words_line(&words, a->decision.action_line, 0);
    sm_text_puts(out, "\n");
    sm_layout_hundred(out, style, 2, a->patient.event.probability, a->decision.action_line, sm_text_string(&words));
    sm_text_done(&words, out);
}

static void top(sm_text *out, const sm_style *style, const sm_result *r)
{
    sm_text words = {0};
    sm_assess_masthead(out, style, r);
    sm_text_puts(out, "\n");
    stopped_early(out, style, r->assessment);
    sm_assess_headline(&words, r->assessment);
    sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
    sm_assess_driver(&words, r->c, r->assessment);
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
    sm_text_puts(&words, sm_caution_short());
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
    if (r->c->note && r->c->note[0])
        note(out, style, r->c->note);
    ruler(out, style, r->assessment);
}

/* 4. Rooms and heights */

/* Columns of the table of rooms: they add up to 80. */
enum { LABEL = 21, STRIP = 31, MEDIAN = 7, MEAN = 7, RANGE = 14, NUMBERS = 9 };

/* One table of the page: an output, the one drawn beside it, and the limit. */
typedef struct {
    const char *title;
    sm_output_id output, beside; /* the same: nothing beside */
    double limit;
    bool crosses_above;
} table_kind;

static sm_axis table_axis(const sm_assessment *a, const table_kind *t, size_t columns, double *step)
{
    double low = t->limit, high = t->limit;
    for (int k = 0; k < a->n_sides; k++) {
        const sm_continuous *c = &a->side[k].output[t->output], *b = &a->side[k].output[t->beside];
        low = fmin(low, fmin(c->low95, b->low95));
        high = fmax(high, fmax(c->high95, b->high95));
    }
    return sm_axis_create(low, high, columns, NUMBERS, step);
}

static void row_numbers(sm_text *out, const sm_continuous *c)
{
    sm_text cell = {0};
    sm_words_mm(&cell, c->median);
    sm_layout_right(out, sm_text_string(&cell), MEDIAN);
    sm_text_done(&cell, out);
    sm_words_mm(&cell, c->mean);
    sm_layout_right(out, sm_text_string(&cell), MEAN);
    sm_text_done(&cell, out);
    sm_words_mm(&cell, c->low95);
    sm_text_puts(&cell, " to ");
    sm_words_mm(&cell, c->high95);
    sm_layout_right(out, sm_text_string(&cell), RANGE);
    sm_text_puts(out, "\n");
    sm_text_done(&cell, out);
}

static void table_row(sm_text *out, const sm_style *style, const sm_axis *axis, const char *label,
                      const sm_continuous *c, const table_kind *t, bool hollow)
{
    const sm_strip strip = {c->low95, c->median, c->high95, t->limit, t->crosses_above, hollow};
    if (strlen(label) >= LABEL)
        sm_text_addf(out, "%s\n", label);
    sm_layout_left(out, strlen(label) < LABEL ? label : "", LABEL);
    sm_layout_strip(out, style, axis, &strip);
    sm_text_fill(out, ' ', STRIP - axis->columns);
    row_numbers(out, c);
}

static void table_head(sm_text *out, const sm_style *style, const table_kind *t, const sm_axis *axis, double step)
{
    sm_text cell = {0};
    sm_layout_title(out, style, t->title);
    sm_layout_scale(&cell, axis, step);
    sm_layout_left(out, "", LABEL - 1);
    sm_layout_left(out, sm_text_string(&cell), STRIP + 1);
    sm_layout_right(out, "median", MEDIAN);
    sm_layout_right(out, "mean", MEAN);
    sm_layout_right(out, "95 of 100 lie", RANGE);
    sm_text_puts(out, "\n");
    sm_text_done(&cell, out);
}

static void table_drawn(sm_text *out, const sm_style *style, const sm_result *r, const table_kind *t)
{
    double step;
    const sm_axis axis = table_axis(r->assessment, t, STRIP, &step);
    table_head(out, style, t, &axis, step);
    for (size_t k = 0; k < r->c->n_coronaries; k++) {
        const sm_side_result *s = &r->assessment->side[k];
        sm_text label = {0};
        sm_text_puts(&label, "  ");
        sm_words_side(&label, r->c->coronary[k].name);
        table_row(out, style, &axis, sm_text_string(&label), &s->output[t->output], t, false);
        if (t->beside != t->output)
            table_row(out, style, &axis, "   by drawn circle", &s->output[t->beside], t, true);
        sm_text_done(&label, out);
    }
}

static void spread_sentence(sm_text *out, const sm_continuous *c)
{
    sm_text_puts(out, "median ");
    sm_words_mm(out, c->median);
    sm_text_puts(out, ", mean ");
    sm_words_mm(out, c->mean);
    sm_text_puts(out, ", 95 of 100 between ");
    sm_words_mm(out, c->low95);
    sm_text_puts(out, " and ");
    sm_words_mm(out, c->high95);
}

static void table_said(sm_text *out, const sm_style *style, const sm_result *r, const table_kind *t)
{
    sm_layout_title(out, style, t->title);
    for (size_t k = 0; k < r->c->n_coronaries; k++) {
        const sm_side_result *s = &r->assessment->side[k];
        sm_text words = {0};
        sm_words_side(&words, r->c->coronary[k].name);
        sm_text_puts(&words, ": ");
        spread_sentence(&words, &s->output[t->output]);
        if (t->beside != t->output) {
            sm_text_puts(&words, "; by the drawn circle ");
            spread_sentence(&words, &s->output[t->beside]);
        }
        sm_text_puts(&words, ".");
        sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
    }
}

/* "On average the tube takes 1.3 mm more (left) and 0.2 mm less (right) than the drawn circle shows." */
static void taken(sm_text *out, const sm_style *style, const sm_result *r, const table_kind *t)
{
    sm_text words = {0};
    const size_t n = r->c->n_coronaries;
    sm_text_puts(&words, "Flare, stand-off, thickness and outline: on average the tube takes ");
    for (size_t k = 0; k < n; k++) {
        const sm_side_result *s = &r->assessment->side[k];
        const double mm = s->output[t->beside].mean - s->output[t->output].mean;
        sm_words_mm(&words, fabs(mm));
        sm_text_puts(&words, mm < 0 ? " mm less (" : " mm more (");
        sm_words_side(&words, r->c->coronary[k].name);
        sm_text_puts(&words, k + 1 == n ? ")" : k + 2 == n ? ") and " : "), ");
    }
    sm_text_puts(&words, " than the drawn circle shows.");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

static void legend(sm_text *out, const sm_style *style)
{
    if (style->plain)
        return;
    sm_text_puts(out, "\n");
    sm_text_puts(out, style->utf8 ? "● median  ━ 95 of 100 lie here  ▒ beyond the limit  │ limit  ○ by drawn circle\n"
                                  : "O median  = 95 of 100 lie here  / beyond the limit  | limit  o by drawn circle\n");
}

static void rooms(sm_text *out, const sm_style *style, const sm_result *r)
{
    const sm_limits *l = &r->c->limits;
    sm_text ostium = {0}, junction = {0};
    sm_text_puts(&ostium, "Room beside the ostium, mm; the limit is ");
    sm_words_number(&ostium, l->ostium_clearance_mm);
    sm_text_puts(&junction, "Room at the sinotubular junction, mm; the limit is ");
    sm_words_number(&junction, l->stj_clearance_mm);
    const table_kind kind[] = {
        {ostium.s, SM_OSTIUM_CLEARANCE, SM_CONVENTIONAL_OSTIUM, l->ostium_clearance_mm, false},
        {"Tube above the lower edge of the ostium (cover), mm; above 0 it reaches it", SM_COVER, SM_COVER, 0, true},
        {junction.s, SM_STJ_CLEARANCE, SM_CONVENTIONAL_STJ, l->stj_clearance_mm, false},
        {"Tube above the sinotubular junction (reach), mm; above 0 it reaches it", SM_REACH, SM_REACH, 0, true}};
    legend(out, style);
    for (size_t i = 0; !ostium.failed && !junction.failed && i < sizeof kind / sizeof *kind; i++) {
        (style->plain ? table_said : table_drawn)(out, style, r, &kind[i]);
        if (kind[i].beside != kind[i].output)
            taken(out, style, r, &kind[i]);
    }
    sm_text_done(&ostium, out);
    sm_text_done(&junction, out);
}

/* 5. How many of 100 */

enum { WHAT = 28, NUMBER = 8, INTERVAL = 17 };

/* who: "any side" or a coronary's name; what: "crowded ostium". In a table what alone is enough under its side. */
static void frequency_said(sm_text *out, const sm_style *style, const char *who, const char *what,
                           const sm_probability *p)
{
    sm_text words = {0};
    sm_text_addf(&words, "%s, %s: ", who, what);
    sm_words_frequency(&words, p);
    sm_text_puts(&words, ", that is ");
    sm_words_of_100(&words, p);
    sm_text_puts(&words, " of 100, interval ");
    sm_words_interval(&words, p);
    sm_text_puts(&words, ".");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

static void frequency_drawn(sm_text *out, const char *label, const sm_probability *p)
{
    sm_text cell = {0};
    if (strlen(label) >= WHAT)
        sm_text_addf(out, "%s\n", label);
    sm_layout_left(out, strlen(label) < WHAT ? label : "", WHAT);
    sm_words_of_100(&cell, p);
    sm_layout_right(out, sm_text_string(&cell), NUMBER);
    sm_text_done(&cell, out);
    sm_words_interval(&cell, p);
    sm_layout_right(out, sm_text_string(&cell), INTERVAL);
    sm_text_done(&cell, out);
    sm_text_puts(out, "  ");
    sm_words_frequency_short(out, p);
    sm_text_puts(out, "\n");
}

static void crossing_rows(sm_text *out, const sm_style *style, const char *who, const sm_crossing *c)
{
    static const char *const what[] = {"a limit crossed", "crowded ostium", "sealed sinus"};
    const sm_probability *const p[] = {&c->event, &c->crowded, &c->sealed};
    for (int i = 0; i < 3; i++) {
        sm_text label = {0};
        sm_text_addf(&label, i == 0 ? "  %s: %s" : "    %.0s%s", who, what[i]);
        if (style->plain)
            frequency_said(out, style, who, what[i], p[i]);
        else
            frequency_drawn(out, sm_text_string(&label), p[i]);
        sm_text_done(&label, out);
    }
}

static void without_bloom_row(sm_text *out, const sm_style *style, const sm_probability *p)
{
    if (style->plain)
        frequency_said(out, style, "any side", "a limit crossed, were the gaps not corrected for blooming", p);
    else
        frequency_drawn(out, "  any side, were the gaps not corrected for blooming", p);
}

static void rules(sm_text *out, const sm_style *style, const sm_limits *l)
{
    sm_text words = {0};
    sm_text_puts(&words, "Crowded ostium: the tube reaches the ostium and leaves less than ");
    sm_words_number(&words, l->ostium_clearance_mm);
    sm_text_puts(&words,
                 " mm beside it. Sealed sinus: the tube reaches the sinotubular junction and leaves less than ");
    sm_words_number(&words, l->stj_clearance_mm);
    sm_text_puts(&words, " mm there. Either one is a limit crossed.");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

static void frequencies(sm_text *out, const sm_style *style, const sm_result *r)
{
    const sm_assessment *a = r->assessment;
    sm_layout_title(out, style, "Of 100 roots read like this, truly so");
    rules(out, style, &r->c->limits);
    if (!style->plain) {
        sm_text_fill(out, ' ', WHAT);
        sm_layout_right(out, "of 100", NUMBER);
        sm_layout_right(out, "95 % interval", INTERVAL);
        sm_text_puts(out, "  in round numbers\n");
    }
    crossing_rows(out, style, "any side", &a->patient);
    for (int k = 0; k < a->n_sides; k++) {
        sm_text name = {0};
        sm_words_side(&name, r->c->coronary[k].name);
        crossing_rows(out, style, sm_text_string(&name), &a->side[k].crossing);
        sm_text_done(&name, out);
    }
    if (a->bloom_corrected)
        without_bloom_row(out, style, &a->event_without_bloom_correction);
    sm_text words = {0};
    sm_text_puts(&words,
                 "The intervals are the Monte Carlo error of this run only: they say how well the run knows its "
                 "own answer, not how good the readings and assumptions are.");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

/* 6. The call */

static void interval_words(sm_text *out, const sm_decision *d)
{
    const sm_probability p = {.low = d->low, .high = d->high};
    sm_text_puts(out, d->by_sequence ? "The confidence sequence of this run (right at every look, but for 1 run in "
                                       "1,000), "
                                     : "The 95 % interval of this run, ");
    sm_words_interval(out, &p);
    sm_text_puts(out, " of 100,");
}

static void call_text(sm_text *out, const sm_style *style, const sm_decision *d)
{
    sm_text words = {0};
    sm_layout_title(out, style, "The call");
    if (d->call == SM_CALL_NONE)
        sm_text_puts(&words,
                     "No action line is stated, so nothing is called. The line is yours to draw (action_line).");
    else {
        sm_text_puts(&words, "Your line: act where at least ");
        sm_words_line(&words, d->action_line, 0);
        sm_text_puts(&words, " such roots truly cross a limit. ");
        if (d->reason == SM_REASON_LOOKS_CONFLICT)
            sm_text_puts(&words, "The looks conflict, and believing the one or the other leads to different sides of "
                                 "your line: no number of trials resolves that. Read the gap again. What follows "
                                 "believes both looks equally. ");
        interval_words(&words, d);
        sm_call by_interval = sm_call_of(d->low, d->high, d->action_line);
        sm_text_puts(&words, by_interval == SM_CALL_ABOVE   ? " lies wholly above it."
                             : by_interval == SM_CALL_BELOW ? " lies wholly below it."
                                                            : " reaches across it: more trials (--until-resolved) may "
                                                              "tell on which side the answer lies.");
    }
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

/* 7. Two looks at one gap */

static void look_text(sm_text *out, const sm_style *style, const sm_coronary *o, sm_look_id g, const sm_look_result *l)
{
    const sm_quantity_id q = g == SM_LOOK_OSTIUM ? SM_OSTIUM_GAP : SM_STJ_GAP;
    const char *other = sm_words_modality(o->quantity[q].cross_check.modality);
    sm_text words = {0};
    sm_words_side(&words, o->name);
    sm_text_addf(&words, ", %s: CT and %s %s (chi-square %.1f; beyond 3.84 they disagree). %s",
                 g == SM_LOOK_OSTIUM ? "gap beside the ostium" : "gap at the sinotubular junction", other,
                 l->conflict ? "DISAGREE" : "agree", l->chi2,
                 l->conflict ? "They are not averaged: each trial believes one of them, by a fair coin. "
                             : "They are pooled. ");
    sm_text_puts(&words, "Over all sides, believing CT alone, ");
    sm_words_frequency(&words, &l->event_ct_only);
    sm_text_addf(&words, " cross a limit; believing %s alone, ", other);
    sm_words_frequency(&words, &l->event_other_only);
    sm_text_puts(&words, ".");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}

static void looks(sm_text *out, const sm_style *style, const sm_result *r)
{
    bool begun = false;
    for (size_t k = 0; k < r->c->n_coronaries; k++)
        for (int g = 0; g < SM_LOOKS; g++) {
            const sm_look_result *l = &r->assessment->side[k].look[g];
            if (!l->present)
                continue;
            if (!begun)
                sm_layout_title(out, style, "Two looks at one gap");
            begun = true;
            look_text(out, style, &r->c->coronary[k], (sm_look_id)g, l);
        }
}

/* 8. The whole */

void sm_assess_text(sm_text *out, const sm_style *style, const sm_result *r)
{
    top(out, style, r);
    rooms(out, style, r);
    frequencies(out, style, r);
    call_text(out, style, &r->assessment->decision);
    looks(out, style, r);
    sm_assumption_text(out, style, r);
    sm_warning_text(out, style, r);
    sm_caution_text(out, style);
}

void sm_assess_text_quiet(sm_text *out, const sm_style *style, const sm_result *r)
{
    sm_text words = {0};
    stopped_early(out, style, r->assessment);
    sm_assess_headline(&words, r->assessment);
    sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
    sm_text_puts(&words, sm_caution_short());
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
}
