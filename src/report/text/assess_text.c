/* assess_text.c - an assessment in plain words.
 *
 * Contents: 1. the headline  2. what drives it  3. the top of the page  4. rooms and heights  5. how many of 100
 *           6. the call  7. second looks  8. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/assess_text.h"

#include <math.h>
#include <string.h>

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/text/assumption_text.h"
#include "report/text/hold_text.h"
#include "report/text/obstruction_text.h"
#include "report/text/unusual_text.h"

/* 1. The headline */

void sm_assess_headline(sm_text *out, const sm_result *r)
{
    const sm_assessment *a = r->assessment;
    const sm_decision *d = &a->decision;
    const bool called = d->call == SM_CALL_ABOVE || d->call == SM_CALL_BELOW;
    double denominator;
    const size_t begun = out->len;
    sm_hold_form_words(out, r);
    const size_t start = out->len;
    const bool one = called ? sm_words_frequency_beside(out, &a->patient.event, d->action_line, &denominator)
                            : sm_words_frequency(out, &a->patient.event);
    if (start == begun && !out->failed && out->s[start] >= 'a')
        out->s[start] = (char)(out->s[start] - 'a' + 'A');
    sm_text_addf(out, " roots read like this truly %s a limit.", one ? "crosses" : "cross");
}

void sm_assess_headline_after(sm_text *out, const char *which, const sm_result *r)
{
    sm_text_addf(out, "%s, ", which);
    const size_t start = out->len;
    sm_assess_headline(out, r);
    if (!out->failed && out->s[start] >= 'A' && out->s[start] <= 'Z')
        out->s[start] = (char)(out->s[start] - 'A' + 'a');
}

/* 2. What drives it */

typedef struct {
    size_t side;
    sm_gap_id gap;
    const sm_probability *p;
} part_of_event;

/* The likeliest and the second likeliest of all crowded ostia and sealed sinuses. */
static void two_likeliest(const sm_case *c, const sm_assessment *a, part_of_event top[2])
{
    top[0] = top[1] = (part_of_event){0};
    for (int i = 0; i < SM_GAPS * a->n_sides; i++) {
        const int k = i / SM_GAPS, g = i % SM_GAPS;
        part_of_event p = {(size_t)k, (sm_gap_id)g, &a->side[k].crossing.crossed[g]};
        if (!c->coronary[k].has_ostium)
            continue;
        if (!top[0].p || p.p->probability > top[0].p->probability) {
            top[1] = top[0];
            top[0] = p;
        } else if (!top[1].p || p.p->probability > top[1].p->probability)
            top[1] = p;
    }
}

static void part_words(sm_text *out, const sm_case *c, const part_of_event *p)
{
    sm_text_addf(out, "a %s ", sm_gaps[p->gap].crossed);
    sm_words_side(out, c->coronary[p->side].name);
    sm_text_addf(out, " %s", sm_gaps[p->gap].place);
}

void sm_assess_driver(sm_text *out, const sm_case *c, const sm_assessment *a)
{
    part_of_event top[2];
    two_likeliest(c, a, top);
    if (a->patient.event.k == 0) {
        sm_text_puts(out, "No trial crossed a limit on any side.");
        return;
    }
    const double event = a->patient.event.probability, share = top[0].p->probability / event;
    sm_text_puts(out, share >= 0.9 ? "Nearly all of it is " : share >= 0.6 ? "Most of it is " : "The largest part is ");
    part_words(out, c, &top[0]);
    sm_text_puts(out, " (");
    sm_words_frequency(out, top[0].p);
    if (share < 0.9 && top[1].p->probability >= 0.1 * event) {
        sm_text_puts(out, "), then ");
        part_words(out, c, &top[1]);
        sm_text_puts(out, " (");
        sm_words_frequency(out, top[1].p);
    }
    sm_text_puts(out, ").");
}

/* 3. The top of the page */

void sm_assess_drawn(sm_text *out, const sm_assessment *a)
{
    sm_words_count(out, a->trials);
    sm_text_puts(out, a->trials == 1 ? " trial, " : " trials, ");
    if (a->sharp_points > 0) {
        sm_words_count(out, a->sharp_points);
        sm_text_puts(out, " sharp points, ");
    }
    sm_text_addf(out, "seed %llu", (unsigned long long)a->seed);
}

void sm_assess_masthead(sm_blocks *b, const sm_result *r)
{
    sm_text_addf(sm_block_words(b, SM_MASTHEAD), "slimmargin %s, case %s", sm_result_version(), r->c->name);
    sm_text *right = sm_block_words(b, SM_MORE);
    sm_assess_drawn(right, r->assessment);
}

void sm_assess_stopped(sm_text *out, const sm_assessment *a)
{
    if (a->complete)
        return;
    sm_text_puts(out, "Stopped before the end: this is what is known after ");
    sm_words_count(out, a->trials);
    sm_text_puts(out, " trials.");
}

static void range_words_of(sm_text *out, const char *what, double low, double high)
{
    sm_text_addf(out, "%s: ", what);
    sm_words_range(out, low, high);
}

static void ruler(sm_blocks *b, const sm_result *r)
{
    const sm_assessment *a = r->assessment;
    double low, high;
    sm_text *line = sm_block_ruler(b, a->patient.event.probability, a->decision.action_line);
    sm_text_puts(line, "your line: ");
    sm_words_line(line, a->decision.action_line, 0);
    if (sm_hold_ruler_settings(r, &low, &high))
        range_words_of(sm_block_ruler_range(b, low, high), "settings", low, high);
    if (sm_hold_ruler_limits(r, &low, &high))
        range_words_of(sm_block_ruler_range(b, low, high), "limits", low, high);
}

void sm_assess_begin(sm_blocks *b, const sm_result *r)
{
    sm_assess_masthead(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_unusual_tell(b, r);
    sm_understood_tell(b, r);
    sm_block_say(b, SM_GAP, "");
}

void sm_assess_answer(sm_blocks *b, const sm_result *r)
{
    sm_assess_stopped(sm_block_words(b, SM_STRONG), r->assessment);
    sm_assess_headline(sm_block_words(b, SM_HEADLINE), r);
    sm_assess_opposed(b, "", r->c, r->assessment);
    sm_assess_driver(sm_block_words(b, SM_LEAD), r->c, r->assessment);
    sm_block_say(b, SM_LEAD, sm_caution_short());
    sm_obstruction_tell(b, &r->assessment->obstruction);
}

void sm_assess_hangs(sm_blocks *b, const sm_result *r)
{
    ruler(b, r);
    sm_hold_under_ruler(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_hold_turns(b, SM_ITEM, r);
    sm_assess_other_limits(sm_block_words(b, SM_SAY), r->c, r->assessment);
}

/* 4. Rooms and heights */

/* Columns of a table of rooms: they add up to 80. */
enum { LABEL = 21, STRIP = 31, MEDIAN = 7, MEAN = 7, RANGE = 14, NUMBERS = 9 };

/* A room, the one by the drawn circle beside it, and its limit; or a height above a landmark. */
typedef struct {
    sm_output_id output, drawn; /* the room by the drawn circle; the same as output: none */
    double limit;
    bool crosses_above;
} output_table;

static output_table table_of(sm_output_id o, const sm_limits *l)
{
    const sm_gap_id gap = sm_outputs[o].gap;
    if (sm_outputs[o].kind == SM_OUTPUT_ROOM)
        return (output_table){o, sm_gaps[gap].conventional, sm_gap_limit(l, gap), false};
    return (output_table){o, o, o == SM_REACH ? -l->reach_margin_mm : 0, true};
}

static bool is_told_of(const sm_coronary *o, const output_table *t)
{
    return sm_gap_is_there(o, sm_outputs[t->output].gap);
}

static sm_axis table_axis(const sm_result *r, const output_table *t, double *step)
{
    const sm_assessment *a = r->assessment;
    double low = t->limit, high = t->limit;
    for (int k = 0; k < a->n_sides; k++) {
        if (!is_told_of(&r->c->coronary[k], t))
            continue;
        const sm_continuous *c = &a->side[k].output[t->output], *b = &a->side[k].output[t->drawn];
        low = fmin(low, fmin(c->low95, b->low95));
        high = fmax(high, fmax(c->high95, b->high95));
    }
    return sm_axis_create(low, high, STRIP, NUMBERS, step);
}

static void range_words(sm_text *out, const sm_continuous *c, const char *before, const char *between)
{
    sm_text_puts(out, before);
    sm_words_mm(out, c->low95);
    sm_text_puts(out, between);
    sm_words_mm(out, c->high95);
}

static void spread_row(sm_blocks *b, const char *side, const sm_continuous *c, const sm_strip *strip)
{
    sm_text *label = sm_block_words(b, SM_ROW);
    sm_words_side(label, side);
    sm_text_puts(label, strip->hollow ? ", by drawn circle" : "");
    label = sm_block_words(b, SM_DRAWN);
    sm_text_puts(label, strip->hollow ? "   by drawn circle" : "  ");
    sm_words_side(label, strip->hollow ? "" : side);
    sm_block_strip(b, strip);
    sm_words_mm(sm_block_words(b, SM_CELL), c->median);
    sm_words_mm(sm_block_words(b, SM_CELL), c->mean);
    range_words(sm_block_words(b, SM_CELL), c, "", " to ");
    range_words(sm_block_words(b, SM_SAID), c, "between ", " and ");
}

static void spread_table(sm_blocks *b, const sm_result *r, const output_table *t)
{
    static const sm_told_column label = {.width = LABEL},
                                numbers[] = {{"median", MEDIAN, SM_RIGHT, .before = "median "},
                                             {"mean", MEAN, SM_RIGHT, .before = "mean "},
                                             {"95 of 100 lie", RANGE, SM_RIGHT, .before = "95 of 100 "}};
    double step;
    const sm_axis axis = table_axis(r, t, &step);
    sm_block_table(b, &(sm_told_table){0}, &label, 1);
    sm_block_axis(b, &axis, step, 0);
    sm_block_columns(b, numbers, sizeof numbers / sizeof *numbers);
    for (size_t k = 0; k < r->c->n_coronaries; k++)
        for (int drawn = 0; is_told_of(&r->c->coronary[k], t) && drawn <= (t->drawn != t->output); drawn++) {
            const sm_continuous *c = &r->assessment->side[k].output[drawn ? t->drawn : t->output];
            spread_row(b, r->c->coronary[k].name, c,
                       &(sm_strip){c->low95, c->median, c->high95, t->limit, t->crosses_above, drawn});
        }
}

/* "On average the tube takes 1.3 mm more (left) and 0.2 mm less (right) than the drawn circle shows." */
static void taken(sm_text *out, const sm_result *r, const output_table *t)
{
    size_t n = 0, told = 0;
    for (size_t k = 0; k < r->c->n_coronaries; k++)
        n += is_told_of(&r->c->coronary[k], t);
    sm_text_puts(out, "Flare, stand-off, thickness and outline: on average the tube takes ");
    for (size_t k = 0; k < r->c->n_coronaries; k++) {
        if (!is_told_of(&r->c->coronary[k], t))
            continue;
        const sm_side_result *s = &r->assessment->side[k];
        const double mm = s->output[t->drawn].mean - s->output[t->output].mean;
        sm_words_mm(out, fabs(mm));
        sm_text_puts(out, mm < 0 ? " mm less (" : " mm more (");
        sm_words_side(out, r->c->coronary[k].name);
        told++;
        sm_text_puts(out, told == n ? ")" : told + 1 == n ? ") and " : "), ");
    }
    sm_text_puts(out, " than the drawn circle shows.");
}

static void output_tell(sm_blocks *b, const sm_result *r, sm_output_id o)
{
    const output_table t = table_of(o, &r->c->limits);
    const bool room = t.drawn != t.output;
    sm_text *title = sm_block_words(b, SM_TITLE);
    sm_text_puts(title, sm_outputs[o].title);
    if (room || t.limit == 0)
        sm_text_puts(title, room ? "; the limit is " : "; above 0 it reaches it");
    else
        sm_text_addf(title, "; above %g it seals", t.limit);
    if (room)
        sm_words_number(title, t.limit);
    spread_table(b, r, &t);
    if (room)
        taken(sm_block_words(b, SM_SAY), r, &t);
}

static void rooms(sm_blocks *b, const sm_result *r)
{
    sm_output_id order[SM_OUTPUTS];
    sm_outputs_by_gap(order);
    sm_block_say(b, SM_LEGEND, "by drawn circle");
    for (int i = 0; i < SM_OUTPUTS; i++)
        if (sm_outputs[order[i]].kind != SM_OUTPUT_DRAWN) /* told beside the room */
            output_tell(b, r, order[i]);
}

/* 5. How many of 100 */

/* Begins the row with its label as it is said, and as it is drawn below that of its group. */
static void frequency_row(sm_blocks *b, const char *said, const char *drawn, const sm_probability *p)
{
    sm_block_say(b, SM_ROW, said);
    sm_block_say(b, SM_DRAWN, drawn);
    sm_words_of_100(sm_block_words(b, SM_CELL), p);
    sm_words_own_error(sm_block_words(b, SM_CELL), p);
    sm_words_frequency_short(sm_block_words(b, SM_CELL), p);
    sm_words_frequency(sm_block_words(b, SM_SAID), p);
}

/* o: the side; NULL: any. Where no coronary leaves the sinus, its seal alone. */
static void crossing_rows(sm_blocks *b, const char *who, const sm_coronary *o, const sm_crossing *c)
{
    static const char *const what[] = {"a limit crossed", "crowded ostium", "sealed sinus"};
    const sm_probability *const p[] = {&c->event, &c->crowded, &c->sealed};
    const bool sealed_alone = o && !o->has_ostium;
    for (int i = sealed_alone ? 2 : 0; i < 3; i++) {
        sm_text said = {0}, drawn = {0};
        sm_text_addf(&said, "%s, %s%s", who, what[i], sealed_alone ? " (no coronary)" : "");
        sm_text_addf(&drawn, i == 0 || sealed_alone ? "  %s: %s" : "    %.0s%s", who, what[i]);
        frequency_row(b, sm_text_string(&said), sm_text_string(&drawn), p[i]);
        sm_text_done(&said, &b->text);
        sm_text_done(&drawn, &b->text);
    }
}

static void frequency_table(sm_blocks *b, const sm_result *r)
{
    static const sm_told_column column[] = {{.width = 28},
                                            {"of 100", 8, SM_RIGHT, .before = "that is ", .after = " of 100"},
                                            {"the run alone", 17, SM_RIGHT, .before = "the run alone "},
                                            {"in round numbers", .gap = 2, .first = true}};
    const sm_assessment *a = r->assessment;
    sm_block_table(b, &(sm_told_table){0}, column, sizeof column / sizeof *column);
    crossing_rows(b, "any side", NULL, &a->patient);
    for (int k = 0; k < a->n_sides; k++) {
        sm_text name = {0};
        sm_words_side(&name, r->c->coronary[k].name);
        crossing_rows(b, sm_text_string(&name), &r->c->coronary[k], &a->side[k].crossing);
        sm_text_done(&name, &b->text);
    }
    if (a->bloom_corrected)
        frequency_row(b, "any side, a limit crossed, were the gaps not corrected for blooming",
                      "  any side, were the gaps not corrected for blooming", &a->event_without_bloom_correction);
}

static void rules(sm_text *out, const sm_limits *l)
{
    sm_text_puts(out, "Crowded ostium: the tube reaches the ostium and leaves less than ");
    sm_words_limit(out, &l->ostium_clearance_mm);
    sm_text_puts(out, " mm beside it. Sealed sinus: the tube reaches the sinotubular junction");
    if (l->reach_margin_mm > 0) {
        sm_text_puts(out, ", or ends less than ");
        sm_words_number(out, l->reach_margin_mm);
        sm_text_puts(out, " mm below it,");
    }
    sm_text_puts(out, " and leaves less than ");
    sm_words_limit(out, &l->stj_clearance_mm);
    sm_text_puts(out, " mm there. Either one is a limit crossed.");
}

void sm_assess_without_ostium(sm_text *out, const sm_case *c)
{
    int n = 0;
    for (size_t k = 0; k < c->n_coronaries; k++) {
        if (c->coronary[k].has_ostium)
            continue;
        sm_text_puts(out, n++ ? ", " : "No coronary leaves this sinus: ");
        sm_words_side(out, c->coronary[k].name);
    }
    if (n > 0)
        sm_text_puts(
            out, ". That it is sealed starves no artery and counts in no other number here; it says how often blood "
                 "can no longer flow around the tube there.");
}

void sm_assess_population_words(sm_text *out, const sm_result *r)
{
    enum { ENOUGH = 2000 };
    const sm_probability *p = &r->assessment->event_in_population;
    const sm_dist *gap = &r->c->population.ostium_gap_mm;
    sm_text_puts(out, "Every true gap counts as equally likely beforehand. Among patients whose true ostium gaps are ");
    sm_text_addf(out, "%.1f mm (SD %.1f): ", sm_dist_mean(gap), sm_dist_sd(gap));
    sm_words_frequency(out, p);
    if (p->n < ENOUGH)
        sm_text_puts(out, ", from few trials, since readings like these are rare among them");
    sm_text_puts(out, "; for comparison, not in the call.");
}

static void sharp_words(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out, "The table's probabilities come from ");
    sm_words_count(out, a->sharp_points);
    sm_text_addf(out, " sharp points in %d tasks: well-placed draws, with the errors of each landmark's own readings ",
                 a->sharp_tasks);
    sm_text_puts(out,
                 "summed up exactly instead of drawn; their error is how the tasks differ. All else here is from the ");
    sm_words_count(out, a->trials);
    sm_text_puts(out, " trials.");
}

static void frequencies(sm_blocks *b, const sm_result *r)
{
    sm_block_say(b, SM_TITLE, "Of 100 roots read like this, truly so");
    rules(sm_block_words(b, SM_SAY), &r->c->limits);
    frequency_table(b, r);
    sm_assess_without_ostium(sm_block_words(b, SM_SAY), r->c);
    sm_assess_population_words(sm_block_words(b, SM_SAY), r);
    if (r->assessment->sharp_points > 0)
        sharp_words(sm_block_words(b, SM_SAY), r->assessment);
    sm_block_say(b, SM_SAY,
                 "The run alone: by how much of 100 chance in this run may move its own answer (95 % interval of the "
                 "Monte Carlo error). It says nothing of how good the readings and assumptions are.");
}

/* 6. The call */

/* How well the run knows its own number: the least of the doubts. */
static void own_error(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out, "This run knows its own number to ");
    sm_words_own_error(out, &a->patient.event);
    sm_text_puts(out, " of 100.");
}

static void call_sentences(sm_text *out, const sm_result *r)
{
    const sm_decision *d = &r->assessment->decision;
    if (d->call == SM_CALL_NONE) {
        sm_text_puts(out, "No action line is stated, so nothing is called. The line is yours to draw (action_line). ");
        own_error(out, r->assessment);
        return;
    }
    sm_text_puts(out, "Your line: act if at least ");
    sm_words_line(out, d->action_line, 0);
    sm_text_puts(out, " such roots truly cross a limit. ");
    if (d->reason == SM_REASON_LOOKS_OPPOSED)
        sm_text_puts(out, "Two looks are opposed: believing the one alone or the other alone leads to different sides "
                          "of it. No number of trials resolves that: look again. The number above weighs both by how "
                          "well they agree. ");
    if (d->reason == SM_REASON_FEW_COUNT)
        sm_text_puts(out,
                     "The second looks leave so few trials that count that this run does not know its own error. ");
    if (d->reason == SM_REASON_MONTE_CARLO)
        sm_text_puts(out, "The answer lies so near to it that this run cannot tell on which side: more trials "
                          "(--until-resolved) may, and would not make it any firmer. ");
    sm_hold_firmness(out, r);
    if (d->reason == SM_REASON_NONE)
        sm_text_puts(out, " ");
    own_error(out, r->assessment);
}

static bool is_own(const sm_limits *own, const sm_published_limit *l)
{
    return sm_dist_is_constant(&own->ostium_clearance_mm) && sm_dist_is_constant(&own->stj_clearance_mm) &&
           sm_dist_mean(&own->ostium_clearance_mm) == l->ostium_clearance_mm &&
           sm_dist_mean(&own->stj_clearance_mm) == l->stj_clearance_mm && own->reach_margin_mm == 0;
}

void sm_assess_other_limits(sm_text *out, const sm_case *c, const sm_assessment *a)
{
    const double line = a->decision.action_line;
    bool published = false;
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        published = published || is_own(&c->limits, &sm_published_limits[i]);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        const sm_published_limit *l = &sm_published_limits[i];
        if (is_own(&c->limits, l))
            continue;
        sm_text_puts(out, published ? "By the other published limits, " : "By the published limits ");
        sm_words_number(out, l->ostium_clearance_mm);
        sm_text_puts(out, " and ");
        sm_words_number(out, l->stj_clearance_mm);
        sm_text_puts(out, " mm, ");
        sm_words_frequency(out, &a->by_limits[i]);
        sm_text_puts(out, " would cross one");
        if (line > 0 && (a->by_limits[i].probability >= line) != (a->patient.event.probability >= line))
            sm_text_puts(out, a->by_limits[i].probability >= line ? ": not below your line" : ": below your line");
        sm_text_puts(out, ". ");
    }
}

/* 7. Second looks */

static const sm_quantity *quantity_of(const sm_case *c, const sm_look_result *l)
{
    return sm_looked_quantity(c, l->side, l->at);
}

static const char *first_words(const sm_quantity *q)
{
    return q->is_read ? "the CT reading" : "the first value";
}

static const char *other_words(const sm_quantity *q)
{
    return q->cross_check.modality == SM_BENCH ? "the bench value" : sm_words_modality(q->cross_check.modality);
}

static void looked_words(sm_text *out, const sm_case *c, const sm_look_result *l)
{
    char source[SM_SOURCE_NAME_SIZE];
    sm_source_name(sm_looked_table[l->at].first, l->side == SM_SHARED ? NULL : c->coronary[l->side].name, source);
    sm_words_source(out, source);
}

static void capital(sm_text *out, size_t at)
{
    if (!out->failed && at < out->len && out->s[at] >= 'a' && out->s[at] <= 'z')
        out->s[at] = (char)(out->s[at] - 'a' + 'A');
}

static void first_reading(sm_text *out, const sm_quantity *q)
{
    sm_text_puts(out, q->is_read ? "CT says " : "the first value is ");
    sm_words_mm(out, sm_quantity_estimate(q));
    sm_text_puts(out, " mm");
    if (q->is_read && q->bloom_edges != 0)
        sm_text_puts(out, " (blooming is taken off it)");
}

static void second_reading(sm_text *out, const sm_quantity *q, const char *between)
{
    sm_text_addf(out, "%s%s", other_words(q), between);
    sm_words_mm(out, sm_readings_mean(&q->cross_check.readings));
    sm_text_puts(out, " mm");
}

/* Two probabilities nearer to each other than this name no culprit. */
#define AS_LIKELY 0.1

/* What the answer leans on where the two can hardly both be right. */
static void leaning_words(sm_text *out, const sm_quantity *q, const sm_look_result *l)
{
    const double right = l->state[SM_BOTH_RIGHT].probability, off = l->state[SM_LOOK_OFF].probability,
                 first = l->state[SM_FIRST_OFF].probability;
    if (off <= right && first <= right)
        return;
    if (fabs(off - first) < AS_LIKELY)
        sm_text_puts(out, "The numbers do not tell which, so the answer follows each of them in part. ");
    else if (off > first)
        sm_text_addf(out, "Most likely %s is off, so the answer leans back on %s. ", other_words(q), first_words(q));
    else
        sm_text_addf(out, "Most likely %s is off, so the answer leans on %s. ", first_words(q), other_words(q));
}

/* How far both can be right, and which of them is about something else if they are not. */
static void agreement_words(sm_text *out, const sm_quantity *q, const sm_look_result *l)
{
    const double right = l->state[SM_BOTH_RIGHT].probability;
    sm_text_puts(out, right >= 0.8   ? "both can be right, "
                      : right >= 0.2 ? "both may be right or not, "
                                     : "both can hardly be right, ");
    sm_words_frequency(out, &l->state[SM_BOTH_RIGHT]);
    sm_text_addf(out, "; %s is off in ", other_words(q));
    sm_words_frequency(out, &l->state[SM_LOOK_OFF]);
    sm_text_addf(out, ", %s in ", first_words(q));
    sm_words_frequency(out, &l->state[SM_FIRST_OFF]);
    sm_text_puts(out, ". ");
    leaning_words(out, q, l);
}

static void look_words(sm_text *out, const sm_case *c, const sm_assessment *r, const sm_look_result *l)
{
    const sm_quantity *q = quantity_of(c, l);
    const size_t start = out->len;
    looked_words(out, c, l);
    capital(out, start);
    sm_text_puts(out, ": ");
    first_reading(out, q);
    sm_text_puts(out, ", ");
    second_reading(out, q, " ");
    sm_text_puts(out, ": ");
    agreement_words(out, q, l);
    sm_text_puts(out, r->n_looks > 1 ? "Over all sides, the other looks as they are, a limit is crossed in "
                                     : "Over all sides a limit is crossed in ");
    sm_words_frequency(out, &l->event_first_only);
    sm_text_addf(out, " if %s alone is believed, in ", first_words(q));
    sm_words_frequency(out, &l->event_look_only);
    sm_text_addf(out, " if %s alone is.", other_words(q));
}

/* "5 of 100", or "1 to 5 of 100" where the looks differ in it. */
static void spoiled_words(sm_text *out, const sm_result *r)
{
    double low = 1, high = 0;
    for (int l = 0; l < r->assessment->n_looks; l++) {
        const double spoiled = quantity_of(r->c, &r->assessment->look[l])->cross_check.spoiled;
        low = fmin(low, spoiled);
        high = fmax(high, spoiled);
    }
    if (low < high)
        sm_text_addf(out, "%.3g to ", 100 * low);
    sm_text_addf(out, "%.3g of 100", 100 * high);
}

static bool any_at_ostium(const sm_assessment *a)
{
    for (int l = 0; l < a->n_looks; l++)
        if (a->look[l].at == SM_LOOKED_OSTIUM_GAP)
            return true;
    return false;
}

/* Two figures: more would say that the weights are known better than they are. */
static int64_t round_number(double x)
{
    const double unit = x >= 100 ? pow(10, floor(log10(x)) - 1) : 1;
    return (int64_t)(floor(x / unit) * unit);
}

/* What is assumed of all looks, and what their weights cost. */
static void looks_note(sm_text *out, const sm_result *r)
{
    const sm_assessment *a = r->assessment;
    sm_text_puts(out,
                 "Off: about something else (wrong landmark, wrong view, slip of typing). Beforehand that was taken "
                 "to be so of either reading in ");
    spoiled_words(out, r);
    sm_text_puts(out, ", and never of both. ");
    if (any_at_ostium(a))
        sm_text_puts(out,
                     "A wrong landmark would spoil the ostium's height too; here the height stays as it was read. ");
    sm_text_puts(out, "A look at one side also tells of plane, centre and scale, and so moves the other sides. ");
    sm_text_puts(out, "Each trial counts by how well it agrees with the looks: these ");
    sm_words_count(out, a->trials);
    sm_text_puts(out, " know as much as about ");
    sm_words_count(out, round_number(a->effective_trials));
    sm_text_puts(out, " that count alike.");
}

void sm_assess_looks(sm_blocks *b, sm_block_kind kind, const sm_result *r)
{
    for (int l = 0; l < r->assessment->n_looks; l++)
        look_words(sm_block_words(b, kind), r->c, r->assessment, &r->assessment->look[l]);
    if (r->assessment->n_looks > 0)
        looks_note(sm_block_words(b, kind), r);
}

static void opposed_words(sm_text *out, const char *which, const sm_case *c, const sm_assessment *a,
                          const sm_look_result *l)
{
    const sm_quantity *q = quantity_of(c, l);
    sm_text_addf(out, which[0] ? "%s, two looks at " : "%sTwo looks at ", which);
    looked_words(out, c, l);
    sm_text_puts(out, l->opposed ? " are opposed: " : ", each alone, lie on either side of your line: ");
    first_reading(out, q);
    sm_text_puts(out, ", and by that alone ");
    sm_words_frequency(out, &l->event_first_only);
    sm_text_puts(out, " cross a limit; ");
    second_reading(out, q, q->cross_check.modality == SM_BENCH ? " is " : " says ");
    sm_text_puts(out, ", and by that alone ");
    sm_words_frequency(out, &l->event_look_only);
    sm_text_puts(out, a->n_looks > 1 ? ", the other looks as they are" : "");
    sm_text_puts(out, l->opposed ? "." : ". Together they leave less open.");
}

/* Below, one of the two readings is more likely a slip of the pen than not. */
#define HARDLY_BOTH 0.05

static void hardly_both_words(sm_text *out, const char *which, const sm_case *c, const sm_look_result *l)
{
    const sm_quantity *q = quantity_of(c, l);
    sm_text_addf(out, which[0] ? "%s, two looks at " : "%sTwo looks at ", which);
    looked_words(out, c, l);
    sm_text_puts(out, " can hardly both be right: ");
    first_reading(out, q);
    sm_text_puts(out, ", ");
    second_reading(out, q, " ");
    sm_text_puts(out, ". A slip of the pen?");
}

void sm_assess_opposed(sm_blocks *b, const char *which, const sm_case *c, const sm_assessment *a)
{
    for (int i = 0; i < a->n_looks; i++) {
        const sm_look_result *l = &a->look[i];
        if (l->opposed || l->apart)
            opposed_words(sm_block_words(b, SM_STRONG), which, c, a, l);
        else if (l->state[SM_BOTH_RIGHT].high < HARDLY_BOTH)
            hardly_both_words(sm_block_words(b, SM_STRONG), which, c, l);
    }
}

/* 8. The whole */

void sm_assess_tell(sm_blocks *b, const sm_result *r)
{
    sm_assess_begin(b, r);
    sm_assess_answer(b, r);
    if (r->c->note && r->c->note[0])
        sm_text_addf(sm_block_words(b, SM_MUTED), "Note of the case: %s", r->c->note);
    sm_assess_hangs(b, r);
    sm_assess_rest(b, r);
}

void sm_assess_rest(sm_blocks *b, const sm_result *r)
{
    rooms(b, r);
    frequencies(b, r);
    sm_block_say(b, SM_TITLE, "The call");
    call_sentences(sm_block_words(b, SM_SAY), r);
    sm_block_say(b, SM_TITLE, "What it hangs on");
    sm_hold_swings(b, r);
    sm_block_say(b, SM_TITLE, "Second looks");
    sm_assess_looks(b, SM_SAY, r);
    sm_assumption_tell(b, r);
    sm_warning_tell(b, r);
    sm_caution_tell(b);
}

void sm_assess_tell_quiet(sm_blocks *b, const sm_result *r)
{
    sm_unusual_tell(b, r);
    sm_assess_stopped(sm_block_words(b, SM_STRONG), r->assessment);
    sm_assess_headline(sm_block_words(b, SM_HEADLINE), r);
    sm_assess_opposed(b, "", r->c, r->assessment);
    sm_block_say(b, SM_LEAD, sm_caution_short());
}
