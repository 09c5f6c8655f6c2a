/* sweep_text.c - a sweep in plain words and as a table of 80 columns.
 *
 * Contents: 1. values  2. where the call changes  3. the headline of one knob  4. the table of one knob
 *           5. the grid of two  6. all knobs  7. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/sweep_text.h"

#include <math.h>
#include <string.h>

#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/unusual_text.h"
#include "report/blocks/cautions.h"
#include "report/blocks/words.h"

/* 1. Values */

static void unit_words(sm_text *out, const char *unit)
{
    if (strcmp(unit, "times") == 0)
        sm_text_puts(out, " times what the case has");
    else if (unit[0] && strcmp(unit, "fraction") != 0)
        sm_text_addf(out, " %s", unit);
}

void sm_sweep_value(sm_text *out, double x, double standard_error, const char *unit)
{
    if (!(standard_error > 0) || !isfinite(standard_error))
        sm_words_number(out, x);
    else {
        const int of_use = sm_words_decimals_of_use(x, 2 * standard_error, 2); /* rounding moves it by no more than its
                                                                                  error */
        sm_text_addf(out, "%.*f", of_use > 5 ? 5 : of_use, x);
    }
    unit_words(out, unit);
}

/* "0.2 to 0.8 mm per edge" */
static void range_words(sm_text *out, double from, double to, const char *unit)
{
    sm_words_number(out, from);
    sm_text_puts(out, " to ");
    sm_words_number(out, to);
    unit_words(out, unit);
}

static const double *ends_of(const sm_sweep_axis *a, double ends[2])
{
    ends[0] = a->value[0];
    ends[1] = a->value[a->steps - 1];
    return ends;
}

/* 2. Where the call changes */

typedef struct {
    const sm_break_even *even;
    int n;
    bool case_above;
    const char *unit;
} turns;

static bool side_before(const turns *t, int i)
{
    return i < t->n ? !t->even[i].rises : t->even[t->n - 1].rises;
}

static void one_turn(sm_text *out, const turns *t, int i)
{
    const sm_estimate *low = i > 0 ? &t->even[i - 1].at : NULL, *high = i < t->n ? &t->even[i].at : NULL;
    sm_text_puts(out, low && high ? "between " : low ? "above " : "below ");
    if (low)
        sm_sweep_value(out, low->value, low->standard_error, high ? "" : t->unit);
    if (low && high)
        sm_text_puts(out, " and ");
    if (high)
        sm_sweep_value(out, high->value, high->standard_error, t->unit);
}

/* "above 0.71 mm per edge", "below 1 or above 3 mm": where the answer is on the other side of the line from the case.
 * False if nowhere. */
static bool turn_words(sm_text *out, const turns *t)
{
    bool any = false;
    for (int i = 0; t->n > 0 && i <= t->n; i++) {
        if (side_before(t, i) == t->case_above)
            continue;
        sm_text_puts(out, any ? " or " : "");
        one_turn(out, t, i);
        any = true;
    }
    return any;
}

/* 3. The headline of one knob */

static bool is_above(const sm_assessment *a, const sm_probability *p)
{
    return p->probability >= a->decision.action_line;
}

static void of_100(sm_text *out, const sm_probability *p)
{
    sm_words_of_100(out, p);
    sm_text_puts(out, " of 100");
}

static void spread_words(sm_text *out, const sm_sweep *s)
{
    const sm_curve_point *low = &s->point[s->low], *high = &s->point[s->high];
    sm_text_puts(out, "Between them ");
    of_100(out, &low->p);
    sm_text_puts(out, " (at ");
    sm_sweep_value(out, low->x, 0, "");
    sm_text_puts(out, ") to ");
    of_100(out, &high->p);
    sm_text_puts(out, " (at ");
    sm_sweep_value(out, high->x, 0, s->axis[0].knob.unit);
    sm_text_puts(out, ") cross a limit.");
}

static void no_turn(sm_text *out, const sm_sweep *s)
{
    const sm_knob *k = &s->axis[0].knob;
    double ends[2];
    ends_of(&s->axis[0], ends);
    const bool case_above = is_above(&s->assessment, &s->assessment.patient.event),
               curve_above = is_above(&s->assessment, &s->point[0].p);
    if (curve_above != is_above(&s->assessment, &s->point[s->low].p) ||
        curve_above != is_above(&s->assessment, &s->point[s->high].p)) { /* the search was not finished */
        sm_text_addf(out, "Along this range of %s the call would change; where is not known yet.", k->words);
        return;
    }
    if (case_above == curve_above)
        sm_text_addf(out, "The call would not change with %s anywhere from ", k->words);
    else
        sm_text_addf(out, "The call would change with %s at any one value from ", k->words);
    range_words(out, ends[0], ends[1], k->unit);
    sm_text_puts(out, ".");
}

static void still_words(sm_text *out, const sm_sweep *s)
{
    double ends[2];
    ends_of(&s->axis[0], ends);
    sm_text_puts(out, "Here it does not matter what value ");
    sm_text_puts(out, s->axis[0].knob.words);
    sm_text_puts(out, s->axis[0].knob.verb[0] == 'r' ? " reads: from " : " takes: from ");
    range_words(out, ends[0], ends[1], s->axis[0].knob.unit);
    sm_text_addf(out, " the answer moves by %.2g of 100, less than two standard errors of that difference.",
                 100 * s->range.value);
}

/* The case itself is on neither side as far as is known: then where the answer meets the line is all there is to say.
 */
static void unresolved(sm_text *out, const sm_sweep *s)
{
    const sm_knob *k = &s->axis[0].knob;
    sm_text_addf(out, "As it is the call is open%s. ",
                 s->assessment.decision.reason == SM_REASON_LOOKS_OPPOSED ? ", because two looks are opposed" : "");
    if (s->n_even == 0)
        sm_text_addf(out, "With %s anywhere in this range the answer stays %s your line.", k->words,
                     is_above(&s->assessment, &s->point[0].p) ? "at or above" : "below");
    for (int i = 0; i < s->n_even; i++) {
        const sm_estimate *at = &s->even[i].at;
        sm_text_puts(out, i ? ", and at " : "Along this range the answer meets your line at ");
        sm_sweep_value(out, at->value, at->standard_error, k->unit);
    }
    sm_text_puts(out, s->n_even > 0 ? "." : "");
}

void sm_sweep_headline(sm_text *out, const sm_sweep *s)
{
    const sm_knob *k = &s->axis[0].knob;
    const sm_assessment *a = &s->assessment;
    const turns t = {s->even, s->n_even, is_above(a, &a->patient.event), k->unit};
    sm_text where = {0};
    if (!s->moves)
        still_words(out, s);
    else if (!(a->decision.action_line > 0))
        sm_text_addf(out, "Without an action line nothing is called; %s moves the answer.", k->words);
    else if (a->decision.call == SM_CALL_UNRESOLVED)
        unresolved(out, s);
    else if (turn_words(&where, &t))
        sm_text_addf(out, "The call would change if %s %s %s.", k->words, k->verb, sm_text_string(&where));
    else
        no_turn(out, s);
    sm_text_done(&where, out);
}

/* " Where the call would change is known to +-0.004 (Monte Carlo error)." Nothing if no value is named. */
static void error_words(sm_text *out, const sm_sweep *s)
{
    if (!s->moves || s->n_even == 0 || s->n_axes != 1)
        return;
    sm_text_puts(out, " Where the call would change is known to ");
    for (int i = 0; i < s->n_even; i++) {
        sm_text_puts(out, i ? ", " : "");
        sm_words_error(out, s->even[i].at.standard_error);
    }
    sm_text_puts(out, " (Monte Carlo error).");
}

/* 4. The table of one knob */

enum { MOST_SIDES = 2, CURVE = 26 };

/* The sides from which a coronary leaves. */
static size_t sides_with_event(const sm_case *c)
{
    size_t n = 0;
    for (size_t k = 0; k < c->n_coronaries; k++)
        n += c->coronary[k].has_ostium;
    return n;
}

/* The number of sides that have a column. */
static size_t sides_of(const sm_sweep_part *p)
{
    const size_t n = sides_with_event(p->c);
    return n <= MOST_SIDES ? n : 0;
}

/* Which side column i is of. */
static size_t side_at(const sm_sweep_part *p, size_t i)
{
    size_t k = 0;
    while (!p->c->coronary[k].has_ostium || i-- > 0)
        k++;
    return k;
}

/* From 0: else a small effect would look large. */
static sm_axis axis_of(const sm_sweep *s, double *step)
{
    const double own = s->assessment.patient.event.probability, line = s->assessment.decision.action_line;
    const double top = fmax(fmax(own, line), s->point[s->high].p.probability);
    return sm_axis_create(0, 100 * fmin(1, fmax(top, 0.01)), CURVE, 4, step);
}

static void columns(sm_blocks *b, const sm_sweep_part *p)
{
    static const sm_told_column first[] = {{.head = "value", .width = 9, .align = SM_RIGHT},
                                           {.head = "any side (run alone)", .width = 22, .align = SM_RIGHT}},
                                side = {.width = 9, .align = SM_RIGHT};
    double step;
    const sm_axis axis = axis_of(p->sweep, &step);
    sm_block_table(b, &(sm_told_table){.name = "numbers"}, first, 2);
    for (size_t k = 0; k < sides_of(p); k++) {
        sm_text *head = sm_block_column(b, &side);
        const size_t start = head->len;
        sm_words_side(head, p->c->coronary[side_at(p, k)].name);
        if (head->len - start >= side.width)
            head->s[head->len = start + side.width - 1] = '\0';
    }
    sm_block_axis(b, &axis, step, 2);
}

static void event_cell(sm_blocks *b, const sm_probability *p)
{
    sm_words_of_100(sm_block_words(b, SM_CELL), p);
    sm_words_own_error(sm_block_words(b, SM_SMALL), p);
    sm_text *said = sm_block_words(b, SM_SAID);
    of_100(said, p);
    sm_text_puts(said, ", ");
    sm_words_own_error(said, p);
}

/* The cells of a row; those of the sides are not said. */
static void cells(sm_blocks *b, const sm_sweep_part *p, const sm_probability *event, const sm_crossing *const *side)
{
    const double x = 100 * event->probability, q = p->sweep->assessment.decision.action_line;
    event_cell(b, event);
    for (size_t k = 0; k < sides_of(p); k++) {
        sm_words_of_100(sm_block_words(b, SM_CELL), &side[k]->event);
        sm_text *said = sm_block_words(b, SM_SAID);
        sm_words_side(said, p->c->coronary[side_at(p, k)].name);
        sm_text_puts(said, " ");
        sm_words_of_100(said, &side[k]->event);
    }
    sm_block_strip(b,
                   &(sm_strip){.low = x, .middle = x, .high = x, .limit = q > 0 ? 100 * q : -1, .crosses_above = true});
}

/* Not said: the headlines say it. */
static void own_row(sm_blocks *b, const sm_sweep_part *p)
{
    const sm_crossing *side[MOST_SIDES];
    for (size_t k = 0; k < sides_of(p); k++)
        side[k] = &p->sweep->assessment.side[side_at(p, k)].crossing;
    sm_block_say(b, SM_ROW, "as it is");
    sm_block_say(b, SM_SAID, "");
    cells(b, p, &p->sweep->assessment.patient.event, side);
}

static void point_row(sm_blocks *b, const sm_sweep_part *p, int i)
{
    const sm_sweep *s = p->sweep;
    const char *unit = s->axis[0].knob.unit;
    const sm_crossing *side[MOST_SIDES];
    for (size_t k = 0; k < sides_of(p); k++)
        side[k] = &s->versions.at[i].side[side_at(p, k)];
    sm_sweep_value(sm_block_words(b, SM_ROW), s->point[i].x, 0, unit);
    sm_words_number(sm_block_words(b, SM_DRAWN), s->point[i].x);
    sm_text *said = sm_block_words(b, SM_SAID);
    sm_text_puts(said, "At ");
    sm_sweep_value(said, s->point[i].x, 0, unit);
    cells(b, p, &s->point[i].p, side);
}

static void points(sm_blocks *b, const sm_sweep_part *p)
{
    columns(b, p);
    own_row(b, p);
    for (int i = 0; i < p->sweep->versions.n; i++)
        point_row(b, p, i);
    if (sides_of(p) < sides_with_event(p->c))
        sm_block_say(b, SM_SAY, "Each side apart is in the tables that --csv and --json write.");
}

/* "blooming, mm per edge" */
static void knob_words(sm_text *out, const sm_knob *k)
{
    sm_text_puts(out, k->words);
    if (k->unit[0] && strcmp(k->unit, "fraction") != 0)
        sm_text_addf(out, ", %s", k->unit);
}

static void stated_words(sm_text *out, const sm_knob *k)
{
    sm_text_puts(out, "The case as it is has ");
    if (k->has_own) {
        sm_sweep_value(out, k->own, 0, strcmp(k->unit, "times") == 0 ? "" : k->unit);
        sm_text_puts(out, strcmp(k->unit, "times") == 0 ? " times its own." : ".");
    } else if (k->stated.kind != SM_DATUM_NONE) {
        sm_words_value(out, &k->stated, k->unit);
        sm_text_puts(out, "; each value below stands for knowing it exactly.");
    } else
        sm_text_puts(out, "no value stated there.");
}

void sm_sweep_tell_points(sm_blocks *b, const sm_sweep_part *p)
{
    const sm_knob *k = &p->sweep->axis[0].knob;
    stated_words(sm_block_words(b, SM_SAY), k);
    if (p->sweep->moves)
        spread_words(sm_block_words(b, SM_SAY), p->sweep);
    points(b, p);
}

/* 5. The grid of two */

enum { GRID_COLUMNS = 10 };

/* Every stride-th column, so that the table fits. */
static int stride_of(const sm_sweep *s)
{
    int stride = 1;
    while ((s->axis[0].steps - 1) / stride + 1 > GRID_COLUMNS)
        stride++;
    return stride;
}

static void grid_row(sm_blocks *b, const sm_sweep *s, int j, int stride)
{
    const double line_at = s->assessment.decision.action_line;
    sm_words_number(sm_block_words(b, SM_ROW), s->axis[1].value[j]);
    sm_text *said = sm_block_words(b, SM_SAID);
    sm_text_puts(said, "At ");
    sm_sweep_value(said, s->axis[1].value[j], 0, s->axis[1].knob.unit);
    for (int i = 0; i < s->axis[0].steps; i += stride) {
        const sm_probability *p = &s->point[j * s->axis[0].steps + i].p;
        const bool above = line_at > 0 && p->probability >= line_at;
        sm_text_addf(sm_block_words(b, SM_CELL), "%.1f%s", 100 * p->probability, above ? "*" : " ");
        said = sm_block_words(b, SM_SAID);
        sm_text_addf(said, "%.1f%s at ", 100 * p->probability, above ? "*" : "");
        sm_words_number(said, s->axis[0].value[i]);
    }
}

static void grid_table(sm_blocks *b, const sm_sweep *s)
{
    const int stride = stride_of(s);
    sm_block_table(b, &(sm_told_table){0}, &(sm_told_column){.width = 9, .align = SM_RIGHT}, 1);
    for (int i = 0; i < s->axis[0].steps; i += stride) {
        sm_text *head = sm_block_column(b, &(sm_told_column){.width = 7, .align = SM_RIGHT});
        sm_words_number(head, s->axis[0].value[i]);
        sm_text_puts(head, " ");
    }
    for (int j = 0; j < s->axis[1].steps; j++)
        grid_row(b, s, j, stride);
    if (stride > 1)
        sm_block_say(b, SM_SAY,
                     "Not every column fits here; all of them are in the tables that --csv and --json write.");
}

static int meetings_along(const sm_sweep *s, int along)
{
    sm_meeting m[SM_SWEEP_MOST_MEETINGS];
    int n = 0;
    for (int j = 0; j < s->axis[1 - along].steps; j++)
        n += sm_sweep_meetings(s, along, j, m, SM_SWEEP_MOST_MEETINGS);
    return n;
}

/* "6.3 mm at 0.2 mm per edge" for every step of the other knob, along the one that meets the line more often. */
void sm_sweep_line_words(sm_text *out, const sm_sweep *s)
{
    const int along = meetings_along(s, 1) > meetings_along(s, 0);
    const sm_sweep_axis *other = &s->axis[1 - along];
    sm_text_addf(out, "Where the answer meets your line, along %s: ", s->axis[along].knob.words);
    bool any = false;
    for (int j = 0; j < other->steps; j++) {
        sm_meeting m[SM_SWEEP_MOST_MEETINGS];
        const int n = sm_sweep_meetings(s, along, j, m, SM_SWEEP_MOST_MEETINGS);
        for (int i = 0; i < n; i++) {
            sm_text_puts(out, any ? "; " : "");
            sm_sweep_value(out, m[i].at.value, m[i].at.standard_error, s->axis[along].knob.unit);
            sm_text_puts(out, " at ");
            sm_sweep_value(out, other->value[j], 0, other->knob.unit);
            any = true;
        }
    }
    sm_text_puts(out, any ? "." : "nowhere on this grid.");
}

static void grid_headline(sm_text *out, const sm_sweep *s)
{
    const bool case_above = is_above(&s->assessment, &s->assessment.patient.event);
    int other = 0;
    for (int i = 0; i < s->versions.n; i++)
        other += is_above(&s->assessment, &s->point[i].p) != case_above;
    if (!(s->assessment.decision.action_line > 0))
        sm_text_puts(out, "Without an action line nothing is called.");
    else if (other == 0)
        sm_text_puts(out, "No point of this grid changes the call.");
    else
        sm_text_addf(out, "The call would change at %d of the %d points of this grid.", other, s->versions.n);
}

static void two_knobs(sm_blocks *b, const sm_sweep *s)
{
    const bool has_line = s->assessment.decision.action_line > 0;
    sm_text *words = sm_block_words(b, SM_SAY);
    sm_text_puts(words, "Across: ");
    knob_words(words, &s->axis[0].knob);
    sm_text_puts(words, ". Down: ");
    knob_words(words, &s->axis[1].knob);
    sm_text_puts(words, has_line ? ". An asterisk: at or above your line." : ".");
    grid_table(b, s);
    if (has_line)
        sm_sweep_line_words(sm_block_words(b, SM_SAY), s);
}

/* 6. All knobs */

/* Where one of all knobs turns the answer, after its name: "the call would change above 0.71 mm per edge"; false where
 * nothing turns it. */
static bool turning_words(sm_text *out, const sm_sweep_all *all, const sm_sweep_row_of_all *row)
{
    const turns t = {row->even, row->n_even, is_above(&all->assessment, &all->assessment.patient.event),
                     row->knob.unit};
    sm_text where = {0};
    bool turned = turn_words(&where, &t);
    if (turned && row->in_doubt && strstr(row->knob.pointer, "/bloom_edges") &&
        strncmp(row->knob.words, "the wall", 8) == 0)
        sm_text_puts(out, "the call would change");
    else if (turned)
        sm_text_addf(out, "the call would change %s", sm_text_string(&where));
    else if (row->turns)
        sm_text_puts(out, "known exactly, any of these values changes the call");
    sm_text_done(&where, out);
    return turned || row->turns;
}

static int count_turning(const sm_sweep_all *all)
{
    int n = 0;
    for (int i = 0; i < all->n_in_doubt; i++)
        n += all->row[i].turns;
    return n;
}

static void all_headline(sm_text *out, const sm_sweep_all *all)
{
    const int n = count_turning(all);
    if (all->n == 0 && !all->assessment.complete)
        sm_text_puts(out, "No assumption was looked at.");
    else if (all->n_in_doubt == 0 && !all->assessment.complete)
        sm_text_puts(out, "Interrupted before what is in doubt was looked at.");
    else if (!(all->assessment.decision.action_line > 0))
        sm_text_puts(out, "Without an action line nothing is called; the widest come first.");
    else if (all->assessment.decision.call == SM_CALL_UNRESOLVED)
        sm_text_puts(out, "The call is open: there is none to turn. The widest come first.");
    else if (n == 0)
        sm_text_addf(out, "None of %d values in doubt, each alone over its range, would turn the call.",
                     all->n_in_doubt);
    else
        sm_text_addf(out, "%d of %d values in doubt, each alone over its range, would turn the call.", n,
                     all->n_in_doubt);
}

static void least_and_greatest(const sm_sweep_row_of_all *row, const sm_curve_point **low, const sm_curve_point **high)
{
    int a, b;
    sm_curve_range(row->point, row->n, &a, &b);
    *low = &row->point[a];
    *high = &row->point[b];
}

/* place: as it is told, from 1 on. */
static void all_words(sm_text *words, const sm_sweep_all *all, int i, int place, const sm_curve_point *low,
                      const sm_curve_point *high)
{
    const sm_sweep_row_of_all *row = &all->row[i];
    sm_text turn = {0};
    sm_text_addf(words, "%d. %s, ", place, row->knob.words);
    range_words(words, row->value[0], row->value[row->n - 1], row->knob.unit);
    sm_text_puts(words, ": ");
    sm_words_of_100(words, &low->p);
    sm_text_puts(words, " to ");
    of_100(words, &high->p);
    if (turning_words(&turn, all, row))
        sm_text_addf(words, "; %s", sm_text_string(&turn));
    sm_text_puts(words, ".");
    sm_text_done(&turn, words);
}

static void all_row(sm_blocks *b, const sm_sweep_all *all, int i, int place)
{
    const sm_curve_point *low, *high;
    const double q = all->assessment.decision.action_line;
    least_and_greatest(&all->row[i], &low, &high);
    all_words(sm_block_words(b, SM_ROW), all, i, place, low, high);
    sm_block_strip(b, &(sm_strip){.low = 100 * low->p.probability,
                                  .middle = 100 * all->assessment.patient.event.probability,
                                  .high = 100 * high->p.probability,
                                  .limit = q > 0 ? 100 * q : -1,
                                  .crosses_above = true});
}

/* Of the rows from `first` on, n of them. */
static void still_ones(sm_text *out, const sm_sweep_all *all, int first, int n)
{
    const char *before =
        "These do not matter here (the answer moves by less than two standard errors of the difference): ";
    const size_t start = out->len;
    for (int i = first; i < first + n; i++)
        if (!all->row[i].moves) {
            sm_text_addf(out, "%s%s", before, all->row[i].knob.words);
            before = "; ";
        }
    sm_text_puts(out, out->len > start ? "." : "");
}

static sm_axis axis_of_all(const sm_sweep_all *all, double *step)
{
    double top = 100 * all->assessment.decision.action_line;
    for (int i = 0; i < all->n; i++)
        for (int j = 0; j < all->row[i].n; j++)
            top = fmax(top, 100 * all->row[i].point[j].p.high);
    return sm_axis_create(0, fmin(100, fmax(top, 1)), 60, 6, step);
}

/* Each row's words stand above its strip. */
static void rows_of(sm_blocks *b, const sm_sweep_all *all, int first, int n)
{
    double step;
    int place = 0;
    const sm_axis axis = axis_of_all(all, &step);
    for (int i = first; i < first + n; i++) {
        if (!all->row[i].moves)
            continue;
        if (place++ == 0) {
            sm_block_table(b, &(sm_told_table){.hang = 4}, &(sm_told_column){.width = 4}, 1);
            sm_block_axis(b, &axis, step, 0);
        }
        all_row(b, all, i, place);
    }
    still_ones(sm_block_words(b, SM_SAY), all, first, n);
}

static void all_knobs(sm_blocks *b, const sm_sweep_all *all)
{
    const int others = all->n - all->n_in_doubt;
    sm_block_say(b, SM_SAY,
                 all->assessment.decision.action_line > 0
                     ? "How many of 100 roots cross a limit, at the least and at the most; the dot is the case as it "
                       "is, the bar your line. Ranges are those of slimmargin defaults."
                     : "How many of 100 roots cross a limit, at the least and at the most; the dot is the case as it "
                       "is. Ranges are those of slimmargin defaults.");
    rows_of(b, all, 0, all->n_in_doubt);
    if (others == 0)
        return;
    sm_block_say(b, SM_TITLE, "What is stated or read, were it known to lie elsewhere");
    sm_block_say(b, SM_SAY,
                 "No doubt about the call, which has its spread: what it would be if this were known exactly, at the "
                 "ends of its own distribution; the ring's eccentricity 0.02 to 0.15, its inner diameter 0.5 mm to "
                 "either side, readers' errors 0.67 to 1.67 times.");
    rows_of(b, all, all->n_in_doubt, others);
}

/* 7. The whole */

static const sm_assessment *assessment_of(const sm_sweep_part *p)
{
    return p->all ? &p->all->assessment : &p->sweep->assessment;
}

/* The first sentence of any sweep: of one knob, of two, of all. */
static void answer_words(sm_text *out, const sm_sweep_part *p)
{
    if (p->all)
        all_headline(out, p->all);
    else if (p->sweep->n_axes == 2)
        grid_headline(out, p->sweep);
    else
        sm_sweep_headline(out, p->sweep);
}

void sm_sweep_tell_quiet(sm_blocks *b, const sm_result *r, const sm_sweep_part *p)
{
    const sm_assessment *a = assessment_of(p);
    answer_words(sm_block_words(b, SM_HEADLINE), p);
    sm_assess_stopped(sm_block_words(b, SM_SAY), a);
    sm_text *lead = sm_block_words(b, SM_LEAD);
    sm_assess_headline_after(lead, "As it is", r);
    if (p->sweep)
        error_words(lead, p->sweep);
    sm_assess_opposed(b, "As it is", p->c, a);
    sm_block_say(b, SM_LEAD, sm_caution_short());
}

void sm_sweep_title(sm_text *out, const sm_sweep_part *p)
{
    if (p->all) {
        sm_text_puts(out, "What is in doubt, each alone over its range");
        return;
    }
    sm_text_puts(out, "How many of 100 roots cross a limit, by ");
    if (p->sweep->n_axes == 2)
        sm_text_puts(out, "two at once");
    else
        knob_words(out, &p->sweep->axis[0].knob);
}

void sm_sweep_tell_draws(sm_blocks *b, const sm_assessment *a)
{
    sm_block_say(
        b, SM_NOTE,
        a->sharp_points > 0
            ? "Each value has sharp points of its own, as if its case were assessed alone. +-: chance in the run alone "
              "(95 % interval of the Monte Carlo error)."
            : "All points use the same draws: differences between them are known better than their heights. +-: "
              "chance in the run alone (95 % interval of the Monte Carlo error).");
}

void sm_sweep_tell(sm_blocks *b, const sm_result *r, const sm_sweep_part *p)
{
    sm_assess_masthead(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_unusual_tell(b, r);
    sm_understood_tell(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_sweep_tell_quiet(b, r, p);
    sm_sweep_title(sm_block_words(b, SM_TITLE), p);
    if (p->all)
        all_knobs(b, p->all);
    else if (p->sweep->n_axes == 2)
        two_knobs(b, p->sweep);
    else
        sm_sweep_tell_points(b, p);
    sm_sweep_tell_draws(b, r->assessment);
    sm_warning_tell(b, r);
    sm_caution_tell(b);
}
