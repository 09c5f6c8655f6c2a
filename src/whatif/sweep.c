/* sweep.c - the probability along one knob, or over the grid of two.
 *
 * Contents: 1. what was asked  2. axes  3. cases at values  4. the curve  5. break-even by root finding  6. one sweep
 *           7. the ends, for drawing  8. all knobs
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/sweep.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/keys.h"

/* 1. What was asked */

static sm_status complain(sm_diag *d, const char *text, const char *words)
{
    sm_diag_add(d, SM_FAULT, (sm_place){.file = text}, "%s", words);
    return d->failed ? SM_NO_MEMORY : SM_USAGE;
}

/* A finite number up to `end`; *next receives what follows. */
static bool read_number(const char *s, double *out, const char **next)
{
    char *end;
    *out = strtod(s, &end);
    *next = end;
    return end != s && isfinite(*out) && (*end == ':' || *end == '\0');
}

static bool read_steps(const char *s, int *out)
{
    char *end;
    const long n = strtol(s, &end, 10);
    *out = n > SM_SWEEP_MOST_STEPS ? SM_SWEEP_MOST_STEPS + 1 : (int)n;
    return end != s && *end == '\0' && n >= 0;
}

static const char *what_is_wrong(const sm_sweep_ask *a, bool steps_said)
{
    if (a->from == a->to)
        return "FROM and TO are the same: there is nothing to vary";
    if (steps_said && a->steps < 2)
        return "expected at least 2 steps: one for FROM and one for TO";
    if (a->steps > SM_SWEEP_MOST_STEPS)
        return "expected at most 201 steps";
    return NULL;
}

sm_status sm_sweep_ask_read(const char *text, sm_diag *d, sm_sweep_ask *out)
{
    const char *equals = strrchr(text, '='), *at;
    *out = (sm_sweep_ask){0};
    if (!equals || equals == text)
        return complain(d, text, "expected WHAT=FROM:TO or WHAT=FROM:TO:STEPS, such as blooming=0.2:0.8:21");
    out->what = sm_string_copyn(text, (size_t)(equals - text));
    if (!out->what)
        return SM_NO_MEMORY;
    if (!read_number(equals + 1, &out->from, &at) || *at != ':' || !read_number(at + 1, &out->to, &at))
        return complain(d, text, "expected two numbers after =, such as 0.2:0.8");
    const bool steps_said = *at == ':';
    if (steps_said && !read_steps(at + 1, &out->steps))
        return complain(d, text, "expected a whole number of steps at the end, such as 0.2:0.8:21");
    const char *wrong = what_is_wrong(out, steps_said);
    return wrong ? complain(d, text, wrong) : SM_OK;
}

void sm_sweep_ask_destroy(sm_sweep_ask *a)
{
    free(a->what);
    *a = (sm_sweep_ask){0};
}

/* 2. Axes */

/* Step i without the digits that rounding leaves behind (0.29 and not 0.29000000000000004): it is printed, and where it
 * is the case's own value it must be exactly that. */
static double step_value(double from, double to, int i, int steps)
{
    char digits[SM_NUMBER_SIZE];
    snprintf(digits, sizeof digits, "%.12g", from + (to - from) * i / (steps - 1));
    return strtod(digits, NULL);
}

static sm_status make_axis(const sm_casefile *f, const sm_sweep_ask *ask, int standard, sm_diag *d, sm_sweep_axis *a)
{
    const double from = fmin(ask->from, ask->to), to = fmax(ask->from, ask->to);
    sm_status s = sm_knob_find(f, ask->what, d, &a->knob);
    if (s != SM_OK)
        return s;
    if (from < a->knob.low || to > a->knob.high) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = ask->what}, "%g to %g leaves what is possible: %g to %g%s%s", from,
                    to, a->knob.low, a->knob.high, a->knob.unit[0] ? " " : "", a->knob.unit);
        return SM_REFUSED;
    }
    a->steps = ask->steps ? ask->steps : standard;
    a->value = malloc((size_t)a->steps * sizeof *a->value);
    for (int i = 0; a->value && i < a->steps; i++)
        a->value[i] = step_value(from, to, i, a->steps);
    return a->value ? SM_OK : SM_NO_MEMORY;
}

static sm_status make_axes(const sm_casefile *f, const sm_sweep_ask *ask, int n, sm_diag *d, sm_sweep *out)
{
    sm_status s = SM_OK;
    out->n_axes = n;
    for (int i = 0; s == SM_OK && i < n; i++)
        s = make_axis(f, &ask[i], n == 1 ? SM_SWEEP_STEPS : SM_SWEEP_GRID_STEPS, d, &out->axis[i]);
    if (s != SM_OK || n == 1)
        return s;
    if (sm_knob_clash(&out->axis[0].knob, &out->axis[1].knob))
        return complain(d, ask[1].what, "acts on the same place of the case as the other --vary");
    if (out->axis[0].steps > SM_SWEEP_MOST_GRID_STEPS || out->axis[1].steps > SM_SWEEP_MOST_GRID_STEPS)
        return complain(d, ask[1].what, "expected at most 41 steps of each of two");
    return SM_OK;
}

/* 3. Cases at values */

typedef struct {
    const sm_casefile *f;
    const sm_sweep *sweep;
    sm_diag *d;
} grid;

/* The first fault, with the value it comes from. */
static void report_refused(const sm_diag *found, const char *name, double value, sm_diag *d)
{
    for (size_t i = 0; i < found->n && d->faults == 0; i++)
        if (found->item[i].kind == SM_FAULT)
            sm_diag_add(d, SM_FAULT, (sm_place){.file = name}, "at %g: %s: %s", value,
                        found->item[i].pointer ? found->item[i].pointer : found->item[i].file, found->item[i].words);
}

/* Point i of the grid. */
static sm_status make_point(void *self, int i, sm_diag *found, sm_casefile **out)
{
    const grid *g = self;
    const sm_sweep_axis *a = g->sweep->axis;
    const sm_knob *knob[SM_SWEEP_AXES] = {&a[0].knob, &a[1].knob};
    double value[SM_SWEEP_AXES] = {a[0].value[i % a[0].steps]};
    if (g->sweep->n_axes == 2)
        value[1] = a[1].value[i / a[0].steps];
    sm_status s = sm_knob_case(g->f, knob, value, g->sweep->n_axes, found, out);
    if (s == SM_REFUSED)
        report_refused(found, a[0].knob.name, value[0], g->d);
    return s;
}

static sm_status make_grid(const sm_casefile *f, const sm_sweep *s, sm_diag *d, sm_versions *v)
{
    grid g = {f, s, d};
    sm_status status =
        sm_versions_make(s->axis[0].steps * (s->n_axes == 2 ? s->axis[1].steps : 1), make_point, &g, (sm_watch){0}, v);
    return status == SM_OK && !sm_versions_whole(v, 0, v->n) ? SM_REFUSED : status;
}

/* 4. The curve */

static sm_curve_point point_of(double x, const sm_version *v)
{
    return (sm_curve_point){x, v->patient.event, v->difference};
}

static sm_status take_curve(sm_sweep *s)
{
    const int n = s->versions.n;
    s->point = malloc((size_t)n * sizeof *s->point);
    if (!s->point)
        return SM_NO_MEMORY;
    for (int i = 0; i < n; i++)
        s->point[i] = point_of(s->axis[0].value[i % s->axis[0].steps], &s->versions.at[i]);
    s->range = sm_curve_range(s->point, n, &s->low, &s->high);
    s->moves = sm_curve_moves(&s->range);
    return SM_OK;
}

int sm_sweep_meetings(const sm_sweep *s, int along, int j, sm_meeting *out, int most)
{
    sm_curve_point at[SM_SWEEP_MOST_GRID_STEPS];
    const double line = s->assessment.decision.action_line;
    const int across = s->axis[0].steps;
    for (int i = 0; i < s->axis[along].steps; i++) {
        at[i] = s->point[along == 0 ? i + j * across : j + i * across];
        at[i].x = s->axis[along].value[i];
    }
    return line > 0 ? sm_curve_meetings(at, s->axis[along].steps, line, out, most) : 0;
}

static sm_status trace_line(sm_sweep *s)
{
    const sm_sweep_axis *a = &s->axis[0], *b = &s->axis[1];
    const double line = s->assessment.decision.action_line;
    double *height = malloc((size_t)s->versions.n * sizeof *height);
    if (!height)
        return SM_NO_MEMORY;
    for (int i = 0; i < s->versions.n; i++)
        height[i] = sm_curve_height(&s->point[i].p, line);
    const sm_status status = sm_contour_trace(height, a->value, a->steps, b->value, b->steps, &s->line);
    free(height);
    return status;
}

/* 5. Break-even by root finding */

/* About each meeting that the steps show, two points on the same draws: an eighth of the step to either side of the
 * place that a straight normal score gives. If the curve meets the line between them the bracket is a quarter of the
 * step, over which a straight line errs by far less than the Monte Carlo error of the place; if it does not (a sharp
 * bend), the next round starts from the narrower bracket. */
enum { ABOUT = 2, ROUNDS = 4 };

typedef struct {
    sm_curve_point end[2];
    sm_estimate at;
    bool done;
} bracket;

static void about(const bracket *b, double x[ABOUT])
{
    const double step = (b->end[1].x - b->end[0].x) / 8, room = step / 100;
    const double middle = fmin(b->end[1].x - step - room, fmax(b->end[0].x + step + room, b->at.value));
    x[0] = middle - step;
    x[1] = middle + step;
}

/* The bracket between the points where the side changes. */
static void narrow(bracket *b, const sm_curve_point inner[ABOUT], double line)
{
    const sm_curve_point all[ABOUT + 2] = {b->end[0], inner[0], inner[1], b->end[1]};
    sm_meeting m;
    if (sm_curve_meetings(all, ABOUT + 2, line, &m, 1) == 0)
        return;
    b->end[0] = all[m.i];
    b->end[1] = all[m.i + 1];
    b->at = m.at;
    b->done = m.i == 1 || b->end[1].x - b->end[0].x <= b->at.standard_error;
}

typedef struct {
    const sm_casefile *f;
    const sm_knob *const *knob;
    bracket *const *b;
} brackets;

static sm_status make_about(void *self, int i, sm_diag *d, sm_casefile **out)
{
    const brackets *all = self;
    double x[ABOUT];
    about(all->b[i / ABOUT], x);
    return sm_knob_case(all->f, &all->knob[i / ABOUT], &x[i % ABOUT], 1, d, out);
}

/* One more run for n brackets, only for the counts: the first point stands for the case as it is, and costs nothing as
 * a version of itself. SM_REFUSED if a point is no valid case (a whole number is asked for). */
static sm_status refine(const sm_casefile *f, const sm_knob *const *knob, bracket *const *b, int n,
                        sm_run_context context)
{
    brackets all = {f, knob, b};
    sm_versions v = {0};
    sm_version_results found = {0};
    sm_status s = sm_versions_make(n * ABOUT, make_about, &all, (sm_watch){0}, &v);
    if (s == SM_OK)
        s = sm_versions_whole(&v, 0, v.n) ? sm_versions_run(v.file[0], &v, context, NULL, &found) : SM_REFUSED;
    for (int i = 0; s == SM_OK && i < n; i++) {
        double x[ABOUT];
        sm_curve_point inner[ABOUT];
        about(b[i], x);
        for (int j = 0; j < ABOUT; j++)
            inner[j] = point_of(x[j], &found.at[i * ABOUT + j]);
        narrow(b[i], inner, sm_casefile_case(f)->action_line);
    }
    sm_version_results_destroy(&found);
    sm_versions_destroy(&v);
    return s;
}

/* All brackets, each with its knob. SM_INTERRUPTED leaves what the steps gave. */
static sm_status refine_all(const sm_casefile *f, const sm_knob *const *knob, bracket *b, int n, sm_run_context context)
{
    const sm_knob **open_knob = malloc(((size_t)n + 1) * sizeof *open_knob);
    bracket **open = malloc(((size_t)n + 1) * sizeof *open);
    sm_status s = open_knob && open ? SM_OK : SM_NO_MEMORY;
    for (int round = 0; s == SM_OK && round < ROUNDS; round++) {
        int m = 0;
        for (int i = 0; i < n; i++)
            if (!b[i].done) {
                open_knob[m] = knob[i];
                open[m++] = &b[i];
            }
        if (m == 0)
            break;
        if (sm_watch_interrupted(context.watch))
            s = SM_INTERRUPTED;
        else
            s = refine(f, open_knob, open, m, context);
    }
    free(open_knob);
    free(open);
    return s == SM_REFUSED ? SM_OK : s;
}

static int take_brackets(const sm_curve_point *point, int n, double line, bracket *b, sm_break_even *even)
{
    sm_meeting m[SM_SWEEP_MOST_MEETINGS];
    const int found = line > 0 ? sm_curve_meetings(point, n, line, m, SM_SWEEP_MOST_MEETINGS) : 0;
    for (int i = 0; i < found; i++) {
        b[i] = (bracket){.end = {point[m[i].i], point[m[i].i + 1]}, .at = m[i].at};
        even[i] = (sm_break_even){m[i].at, m[i].rises};
    }
    return found;
}

static sm_status find_even(const sm_casefile *f, sm_run_context context, sm_sweep *s)
{
    bracket b[SM_SWEEP_MOST_MEETINGS];
    const sm_knob *knob[SM_SWEEP_MOST_MEETINGS];
    s->n_even = take_brackets(s->point, s->versions.n, s->assessment.decision.action_line, b, s->even);
    for (int i = 0; i < s->n_even; i++)
        knob[i] = &s->axis[0].knob;
    sm_status status = s->n_even > 0 ? refine_all(f, knob, b, s->n_even, context) : SM_OK;
    for (int i = 0; status == SM_OK && i < s->n_even; i++)
        s->even[i].at = b[i].at;
    return status;
}

/* 6. One sweep */

sm_status sm_sweep_run(const sm_casefile *f, const sm_sweep_ask *ask, int n, sm_run_context context, sm_diag *d,
                       sm_sweep *out)
{
    sm_versions v = {0};
    *out = (sm_sweep){0};
    sm_status s = make_axes(f, ask, n, d, out);
    if (s == SM_OK)
        s = make_grid(f, out, d, &v);
    if (s == SM_OK)
        s = sm_versions_run(f, &v, context, &out->assessment, &out->versions);
    sm_versions_destroy(&v);
    if (s != SM_OK && s != SM_INTERRUPTED)
        return s;
    sm_status taken = take_curve(out);
    if (taken == SM_OK && n == 2 && out->assessment.decision.action_line > 0)
        taken = trace_line(out);
    if (taken != SM_OK || s != SM_OK || n == 2)
        return taken != SM_OK ? taken : s;
    s = find_even(f, context, out);
    out->assessment.complete = s == SM_OK;
    return s;
}

void sm_sweep_destroy(sm_sweep *s)
{
    for (int i = 0; i < SM_SWEEP_AXES; i++) {
        sm_knob_destroy(&s->axis[i].knob);
        free(s->axis[i].value);
    }
    sm_assessment_destroy(&s->assessment);
    sm_version_results_destroy(&s->versions);
    sm_contour_destroy(&s->line);
    free(s->point);
    *s = (sm_sweep){0};
}

/* 7. The ends, for drawing */

/* Shapes need no more trials than this. */
#define DRAWN_TRIALS 131072

static double move_of(const sm_version *a, const sm_version *b, int k, sm_gap_id g)
{
    return fabs(a->side[k].crossed[g].probability - b->side[k].crossed[g].probability);
}

static void find_gap(const sm_case *c, const sm_sweep *s, sm_sweep_ends *out)
{
    const sm_version *low = &s->versions.at[s->low], *high = &s->versions.at[s->high];
    double most = -1;
    for (int k = 0; k < s->assessment.n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++)
            if (c->coronary[k].has_ostium && move_of(low, high, k, (sm_gap_id)g) > most) {
                most = move_of(low, high, k, (sm_gap_id)g);
                out->side = k;
                out->gap = (sm_gap_id)g;
            }
}

sm_status sm_sweep_ends_run(const sm_casefile *f, const sm_sweep *s, sm_run_context context, sm_sweep_ends *out)
{
    const sm_sweep_axis *a = &s->axis[0];
    const sm_knob *knob = &a->knob;
    const double value[2] = {a->value[0], a->value[a->steps - 1]};
    sm_diag unused = {0};
    sm_status status = SM_OK;
    *out = (sm_sweep_ends){0};
    if (s->n_axes != 1)
        return SM_OK;
    if (context.trials > DRAWN_TRIALS)
        context.trials = DRAWN_TRIALS;
    find_gap(sm_casefile_case(f), s, out);
    for (int i = 0; status == SM_OK && i < 2; i++) {
        sm_casefile *end = NULL;
        status = sm_knob_case(f, &knob, &value[i], 1, &unused, &end);
        if (status == SM_OK) {
            out->limit[i] = sm_gap_limit(&sm_casefile_case(end)->limits, out->gap);
            status = sm_assess(sm_casefile_case(end), context, &out->end[i]);
        }
        sm_casefile_destroy(end);
    }
    sm_diag_destroy(&unused);
    if (status != SM_OK)
        sm_sweep_ends_destroy(out);
    return status;
}

void sm_sweep_ends_destroy(sm_sweep_ends *e)
{
    for (int i = 0; i < 2; i++)
        sm_assessment_destroy(&e->end[i]);
    *e = (sm_sweep_ends){0};
}

/* 8. All knobs */

/* What is in doubt comes from the settings, and is no row of its own. The readers' errors are of many readings at once.
 */
static bool is_in_doubt(const sm_casefile *f, const sm_knob *k)
{
    const sm_assumption *a;
    const size_t n = sm_casefile_assumptions(f, &a);
    for (size_t i = 0; i < n; i++)
        if (a[i].doubt.kind != SM_DOUBT_NONE && k->act != SM_KNOB_READERS && strcmp(a[i].path, k->pointer) == 0)
            return true;
    return false;
}

/* The other named knobs that can be turned and have a range; the ends are kept within what is possible. */
static sm_status find_rows(const sm_casefile *f, sm_sweep_all *out)
{
    sm_status s = SM_OK;
    for (size_t i = 0; s == SM_OK && sm_knob_name(i); i++) {
        sm_diag unused = {0};
        sm_sweep_row_of_all *row = &out->row[out->n];
        s = sm_knob_find(f, sm_knob_name(i), &unused, &row->knob);
        sm_diag_destroy(&unused);
        if (s == SM_OK && row->knob.has_range && !is_in_doubt(f, &row->knob)) {
            row->n = SM_SWEEP_ALL_POINTS;
            const double from = fmax(row->knob.from, row->knob.low), to = fmin(row->knob.to, row->knob.high);
            for (int j = 0; j < SM_SWEEP_ALL_POINTS; j++)
                row->value[j] = step_value(from, to, j, SM_SWEEP_ALL_POINTS);
            out->n++;
            continue;
        }
        sm_knob_destroy(&row->knob);
        out->n_left_out++;
        s = s == SM_REFUSED ? SM_OK : s;
    }
    return s;
}

typedef struct {
    const sm_casefile *f;
    const sm_sweep_all *all;
} rows;

static sm_status make_of_row(void *self, int i, sm_diag *d, sm_casefile **out)
{
    const rows *r = self;
    const sm_sweep_row_of_all *row = &r->all->row[i / SM_SWEEP_ALL_POINTS];
    const sm_knob *knob = &row->knob;
    return sm_knob_case(r->f, &knob, &row->value[i % SM_SWEEP_ALL_POINTS], 1, d, out);
}

/* Rows that make no valid case at one of their points (another key of the case forbids it) are left out. */
static sm_status make_rows(const sm_casefile *f, sm_watch watch, sm_sweep_all *all, sm_versions *v)
{
    rows r = {f, all};
    sm_status s = sm_versions_make(all->n * SM_SWEEP_ALL_POINTS, make_of_row, &r, watch, v);
    int kept = 0;
    for (int i = 0; s == SM_OK && i < all->n; i++) {
        const int first = i * SM_SWEEP_ALL_POINTS;
        if (!sm_versions_whole(v, first, SM_SWEEP_ALL_POINTS)) {
            sm_versions_drop(v, first, SM_SWEEP_ALL_POINTS);
            sm_knob_destroy(&all->row[i].knob);
            all->n_left_out += !sm_watch_interrupted(watch); /* else it was not looked at */
            continue;
        }
        all->row[kept] = all->row[i];
        memmove(&v->file[kept * SM_SWEEP_ALL_POINTS], &v->file[first], SM_SWEEP_ALL_POINTS * sizeof *v->file);
        kept++;
    }
    if (s == SM_OK) {
        all->n = kept;
        v->n = kept * SM_SWEEP_ALL_POINTS;
    }
    return s;
}

static void take_row(const sm_version_results *v, int i, const sm_assessment *a, sm_sweep_row_of_all *row)
{
    const double line = a->decision.action_line;
    const bool above = a->patient.event.probability >= line;
    int low, high;
    for (int j = 0; j < SM_SWEEP_ALL_POINTS; j++) {
        row->point[j] = point_of(row->value[j], &v->at[i * SM_SWEEP_ALL_POINTS + j]);
        row->turns = row->turns || (line > 0 && (row->point[j].p.probability >= line) != above);
    }
    row->range = sm_curve_range(row->point, SM_SWEEP_ALL_POINTS, &low, &high);
    row->moves = sm_curve_moves(&row->range);
}

static sm_status find_all_even(const sm_casefile *f, sm_run_context context, sm_sweep_all *all)
{
    const size_t most = (size_t)all->n * SM_SWEEP_MOST_MEETINGS + 1;
    bracket *b = malloc(most * sizeof *b);
    const sm_knob **knob = malloc(most * sizeof *knob);
    sm_status s = b && knob ? SM_OK : SM_NO_MEMORY;
    int n = 0;
    for (int i = 0; s == SM_OK && i < all->n; i++) {
        sm_sweep_row_of_all *row = &all->row[i];
        row->n_even =
            take_brackets(row->point, SM_SWEEP_ALL_POINTS, all->assessment.decision.action_line, &b[n], row->even);
        for (int j = 0; j < row->n_even; j++)
            knob[n++] = &row->knob;
    }
    if (s == SM_OK && n > 0)
        s = refine_all(f, knob, b, n, context);
    for (int i = 0, m = 0; s == SM_OK && i < all->n; i++)
        for (int j = 0; j < all->row[i].n_even; j++)
            all->row[i].even[j].at = b[m++].at;
    free(b);
    free(knob);
    return s;
}

static int by_range(const void *a, const void *b)
{
    const sm_sweep_row_of_all *x = a, *y = b;
    if (x->in_doubt != y->in_doubt)
        return x->in_doubt ? -1 : 1;
    return (x->range.value < y->range.value) - (x->range.value > y->range.value);
}

sm_status sm_sweep_all_run(const sm_casefile *f, sm_run_context context, sm_sweep_all *out)
{
    sm_versions v = {0};
    sm_version_results found = {0};
    size_t names = 0;
    while (sm_knob_name(names))
        names++;
    *out = (sm_sweep_all){.row = calloc(names, sizeof *out->row)};
    sm_status s = out->row ? find_rows(f, out) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = make_rows(f, context.watch, out, &v);
    if (s == SM_OK)
        s = sm_versions_run(f, &v, context, &out->assessment, &found);
    for (int i = 0; (s == SM_OK || s == SM_INTERRUPTED) && i < out->n; i++)
        take_row(&found, i, &out->assessment, &out->row[i]);
    if (s == SM_OK)
        s = find_all_even(f, context, out);
    if (s == SM_INTERRUPTED)
        out->assessment.complete = false;
    if (s == SM_OK || s == SM_INTERRUPTED)
        qsort(out->row, (size_t)out->n, sizeof *out->row, by_range);
    sm_version_results_destroy(&found);
    sm_versions_destroy(&v);
    return s;
}

static char *lever_words(const sm_assumption *a)
{
    sm_text words = {0};
    sm_lever_words(a, &words);
    return sm_text_take(&words);
}

/* The pointer of an assumption as a knob; false without memory. The unit is one of the table of keys. */
static bool take_lever(const sm_assumption *a, const sm_lever *l, sm_knob *k)
{
    const char *name = strrchr(a->path, '/') + 1;
    const sm_keys *home = sm_keys_home(name);
    const sm_key *key = home ? sm_keys_find(home, name) : NULL;
    *k = (sm_knob){.name = sm_string_copy(a->path),
                   .pointer = sm_string_copy(a->path),
                   .words = lever_words(a),
                   .verb = "were",
                   .unit = key && key->unit ? key->unit : "mm",
                   .low = l->low,
                   .high = l->high,
                   .has_own = true,
                   .own = l->own,
                   .has_range = true,
                   .from = l->low,
                   .to = l->high,
                   .act = SM_KNOB_POINTER,
                   .side = -1,
                   .quantity = -1};
    return k->name && k->pointer && k->words;
}

/* How many counted trials would err by as much; where none of them would have the event, or all, those of which 3, by
 * the rule of three, are two errors. */
static double counted_alike(double p, double error, const sm_probability *own)
{
    if (!(error > 0))
        return (double)own->n;
    return p > 0 && p < 1 ? fmax(1, p * (1 - p) / (error * error)) : fmax(1, 1.5 / error);
}

/* The end of a swing as a point: the assessment's own error and that of the difference. */
static sm_curve_point point_at(const sm_swing_end *e, const sm_probability *own)
{
    const double error = hypot(own->standard_error, e->difference.standard_error);
    const double alike = floor(fmin(counted_alike(e->probability, error, own), 1e15));
    sm_probability p = {.n = (int64_t)alike,
                        .k = (int64_t)ceil(e->probability * alike),
                        .probability = e->probability,
                        .standard_error = error,
                        .low = fmax(0, e->probability - 1.96 * error),
                        .high = fmin(1, e->probability + 1.96 * error)};
    return (sm_curve_point){e->value, p, e->difference};
}

static void take_swing(const sm_swing *w, const sm_assessment *a, sm_sweep_row_of_all *row)
{
    const sm_curve_point own = {w->lever.own, a->patient.event, {0, 0}};
    int low, high;
    row->in_doubt = true;
    if (w->end[0].applies)
        row->point[row->n++] = point_at(&w->end[0], &a->patient.event);
    row->point[row->n++] = own;
    if (w->end[1].applies)
        row->point[row->n++] = point_at(&w->end[1], &a->patient.event);
    for (int j = 0; j < row->n; j++)
        row->value[j] = row->point[j].x;
    for (int e = 0; e < 2; e++)
        if (w->end[e].turns) {
            const bool rises = (w->end[e].probability > a->patient.event.probability) == (e == 1);
            row->turns = true;
            row->even[row->n_even++] = (sm_break_even){{w->end[e].at, 0}, rises};
        }
    row->range = sm_curve_range(row->point, row->n, &low, &high);
    row->moves = sm_curve_moves(&row->range);
}

sm_status sm_sweep_all_settle(const sm_casefile *f, const sm_settings *s, sm_sweep_all *all)
{
    const sm_assumption *a;
    sm_casefile_assumptions(f, &a);
    sm_sweep_row_of_all *more = realloc(all->row, (size_t)(all->n + s->n_swings + 1) * sizeof *more);
    if (!more)
        return SM_NO_MEMORY;
    all->row = more;
    bool whole = true;
    for (int i = 0; i < s->n_swings; i++) {
        sm_sweep_row_of_all *row = &all->row[all->n++];
        *row = (sm_sweep_row_of_all){.n = 0};
        whole = take_lever(&a[s->swing[i].lever.assumption], &s->swing[i].lever, &row->knob) && whole;
        take_swing(&s->swing[i], &all->assessment, row);
    }
    all->n_in_doubt = s->n_swings;
    qsort(all->row, (size_t)all->n, sizeof *all->row, by_range);
    return whole ? SM_OK : SM_NO_MEMORY;
}

void sm_sweep_all_destroy(sm_sweep_all *a)
{
    for (int i = 0; i < a->n; i++)
        sm_knob_destroy(&a->row[i].knob);
    free(a->row);
    sm_assessment_destroy(&a->assessment);
    *a = (sm_sweep_all){0};
}
