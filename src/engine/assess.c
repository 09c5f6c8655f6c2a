/* assess.c - how probable it is that each limit is truly crossed.
 *
 * Contents: 1. the root without the correction for blooming  2. from counts to results  3. the call  4. warnings
 *           5. when to stop  6. the whole  7. versions of the case beside it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/assess.h"

#include <math.h>
#include <stdlib.h>

/* 1. The root without the correction for blooming */

static bool gap_is_corrected(const sm_coronary *o)
{
    const sm_quantity *ostium = &o->quantity[SM_OSTIUM_GAP], *stj = &o->quantity[SM_STJ_GAP];
    return (ostium->is_read && ostium->bloom_edges != 0) || (stj->is_read && stj->bloom_edges != 0);
}

/* The place in the plan of the root without the correction for blooming; -1: no gap is corrected. */
static sm_status add_without_bloom(sm_plan *p, int *place)
{
    *place = -1;
    for (size_t k = 0; k < p->c->n_coronaries; k++)
        if (gap_is_corrected(&p->c->coronary[k]))
            return sm_plan_add(p, &(sm_root_request){.without_bloom_correction = true}, place);
    return SM_OK;
}

/* 2. From counts to results */

static sm_crossing crossing_of(const sm_counts *c)
{
    sm_crossing crossing = {.event = sm_weighted_probability(&c->event)};
    for (int g = 0; g < SM_GAPS; g++)
        crossing.crossed[g] = sm_weighted_probability(&c->crossed[g]);
    return crossing;
}

/* Of the patient (SM_SHARED) or a side, from sharp points. */
static sm_crossing sharp_crossing_of(const sm_sharp *s, int root, int side)
{
    sm_crossing crossing = {.event = sm_task_means_probability(sm_sharp_event(s, root, side))};
    for (int g = 0; g < SM_GAPS; g++)
        crossing.crossed[g] = sm_task_means_probability(sm_sharp_crossed(s, root, side, (sm_gap_id)g));
    return crossing;
}

/* How often a state is true: its trials as events among all. */
static sm_probability share_of(const sm_weighted *state, const sm_weighted *all)
{
    const sm_weighted sum = {all->w, all->ww, state->w, state->ww, state->ww};
    return sm_weighted_probability(&sum);
}

/* Readings disagree where both are right in fewer than half. */
#define BOTH_MAY_BE_RIGHT 0.5

bool sm_look_opposed(const sm_look_result *l, double line)
{
    const sm_probability *first = &l->event_first_only, *look = &l->event_look_only;
    const bool one_side = (first->low >= line && look->low >= line) || (first->high < line && look->high < line);
    return line > 0 && !one_side && l->state[SM_BOTH_RIGHT].low < BOTH_MAY_BE_RIGHT;
}

static sm_look_result look_of(const sm_steered_look *l, const sm_weighted state[SM_LOOK_STATES], const sm_weighted *all,
                              double line)
{
    sm_look_result r = {.at = l->at, .side = l->side};
    sm_look_range(&l->look, r.alone);
    for (int i = 0; i < SM_LOOK_STATES; i++)
        r.state[i] = share_of(&state[i], all);
    r.event_first_only = sm_weighted_probability(&state[SM_LOOK_OFF]);
    r.event_look_only = sm_weighted_probability(&state[SM_FIRST_OFF]);
    r.opposed = sm_look_opposed(&r, line);
    r.apart = line > 0 && !r.opposed &&
              (r.event_first_only.low >= line ? r.event_look_only.high < line
                                              : r.event_first_only.high < line && r.event_look_only.low >= line);
    return r;
}

static void fill_looks(const sm_plan *p, const sm_gathered *g, sm_assessment *a)
{
    const sm_weighted *all = &g->tally[0].patient.event;
    a->n_looks = p->root[0].steering.n;
    a->effective_trials = a->n_looks > 0 ? sm_weighted_effective(all) : (double)g->n;
    for (int l = 0; l < a->n_looks; l++)
        a->look[l] = look_of(&p->root[0].steering.look[l], g->state[l], all, p->c->action_line);
}

static void fill_side(const sm_root *r, int k, const sm_gathered *g, sm_side_result *out)
{
    out->crossing = crossing_of(&g->tally[0].side[k]);
    for (int o = 0; o < SM_OUTPUTS; o++)
        out->output[o] = sm_spread_summary(&g->spread[k][o]);
    for (int o = 0; o < SM_OUTPUTS; o++)
        out->outline[o] = sm_spread_outline(&g->spread[k][o], g->tally[0].patient.event.w);
    for (int l = 0; l < SM_GAPS; l++)
        out->crossed[l] = sm_spread_outline(&g->crossing[k][l], g->tally[0].patient.event.w);
    out->waist = sm_root_mean_waist(r);
}

/* 3. The call */

#define TOO_FEW_TRIALS 200 /* that count: fewer do not know their own error */

sm_call sm_call_of(double low, double high, double action_line)
{
    if (!(action_line > 0))
        return SM_CALL_NONE;
    if (low >= action_line)
        return SM_CALL_ABOVE;
    return high < action_line ? SM_CALL_BELOW : SM_CALL_UNRESOLVED;
}

static bool looks_opposed(const sm_assessment *a)
{
    for (int l = 0; l < a->n_looks; l++)
        if (a->look[l].opposed)
            return true;
    return false;
}

/* sharp: NULL if the trials were counted. */
static sm_decision decide(const sm_assessment *a, const sm_sharp *sharp, double line, bool by_sequence)
{
    const sm_probability *p = &a->patient.event;
    sm_decision d = {.action_line = line, .by_sequence = by_sequence, .low = p->low, .high = p->high};
    if (by_sequence && sharp)
        sm_task_means_sequence(sm_sharp_event(sharp, 0, SM_SHARED), SM_SEQUENCE_EPSILON, &d.low, &d.high);
    else if (by_sequence)
        sm_sequence_interval(p->k, p->n, SM_SEQUENCE_EPSILON, &d.low, &d.high);
    d.call = sm_call_of(d.low, d.high, line);
    if (d.call == SM_CALL_UNRESOLVED)
        d.reason = SM_REASON_MONTE_CARLO;
    if (d.call != SM_CALL_NONE && looks_opposed(a)) {
        d.call = SM_CALL_UNRESOLVED;
        d.reason = SM_REASON_LOOKS_OPPOSED;
    }
    if (d.call != SM_CALL_NONE && a->n_looks > 0 && a->effective_trials < TOO_FEW_TRIALS) {
        d.call = SM_CALL_UNRESOLVED;
        d.reason = SM_REASON_FEW_COUNT;
    }
    return d;
}

/* 4. Warnings */

#define CIRCLE_TOLERANCE 0.5 /* mm, model.md section 4 */
#define SAME_WAY_SD      1.0 /* model.md 3.1 */
#define FEW_TRIALS       2000

static const sm_place nowhere = {0};

static void warn_plane(const sm_coronary *o, const sm_root_side *side, sm_diag *d)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (side->readings.reading[q].reading.plane_exceeds)
            sm_diag_add(d, SM_WARNING, nowhere,
                        "%s %s: the base plane and centreline alone scatter more than the stated reader SD, which is "
                        "said to include them; "
                        "the reader's own error was taken as 0",
                        o->name, sm_quantity_name((sm_quantity_id)q));
}

static void warn_circle(const sm_coronary *o, double waist, sm_diag *d)
{
    const double gives = o->circle_mm - waist;
    if (!(fabs(gives) > CIRCLE_TOLERANCE))
        return;
    sm_diag_add(d, SM_WARNING, nowhere,
                "%s: the drawn circle (%.1f mm) is %.1f mm %s than the waist that the ring leaves the new valve "
                "(%.1f mm): %s",
                o->name, o->circle_mm, fabs(gives), gives > 0 ? "larger" : "smaller", waist,
                gives > 0
                    ? "the conventional reading starts from too wide a circle, so part of the room in the adjusted "
                      "clearance is that difference"
                    : "the conventional reading starts from too narrow a circle and shows more room than there is");
}

static void warn_lenient(const sm_coronary *o, const sm_side_result *s, const sm_gap *g, sm_diag *d)
{
    const double adjusted = s->output[g->clearance].mean, conventional = s->output[g->conventional].mean;
    if (adjusted > conventional)
        sm_diag_add(d, SM_WARNING, nowhere,
                    "%s: %s the adjusted clearance is more lenient than the conventional one (by %.1f mm on average)",
                    o->name, g->where, adjusted - conventional);
}

static void warn_side(const sm_case *c, const sm_root *r, int k, const sm_side_result *s, sm_diag *d)
{
    const sm_coronary *o = &c->coronary[k];
    warn_plane(o, &r->side[k], d);
    warn_circle(o, s->waist, d);
    for (int g = 0; g < SM_GAPS; g++)
        if (sm_gap_is_there(o, (sm_gap_id)g))
            warn_lenient(o, s, &sm_gaps[g], d);
}

/* Quantities that one cause moves the same way: the gaps, by plane, centre or calibration; the leaflet heights, by the
 * plane. */
static bool share_a_cause(sm_looked a, sm_looked b)
{
    const bool gap_a = sm_looked_table[a].projection, gap_b = sm_looked_table[b].projection;
    return (gap_a && gap_b) || (a == SM_LOOKED_LEAFLET_HEIGHT && b == SM_LOOKED_LEAFLET_HEIGHT);
}

static void looked_words(sm_text *out, const sm_case *c, const sm_steered_look *l)
{
    const char *side = c->coronary[l->side].name;
    if (l->at == SM_LOOKED_LEAFLET_HEIGHT)
        sm_text_addf(out, "%s leaflet height", side);
    else
        sm_text_addf(out, "%s gap %s", side,
                     sm_gaps[l->at == SM_LOOKED_STJ_GAP ? SM_GAP_STJ : SM_GAP_OSTIUM].where_stj);
}

/* The looks from number `first` on that share a cause with it and differ the same way. z: by standard deviations. Those
 * told are set to 0. */
static void warn_same_way(const sm_case *c, const sm_steering *s, int first, double *z, sm_diag *d)
{
    const bool more = z[first] > 0;
    sm_text names = {0};
    int n = 0;
    for (int l = first; l < s->n; l++) {
        if (!share_a_cause(s->look[first].at, s->look[l].at) || !((more ? z[l] : -z[l]) > SAME_WAY_SD))
            continue;
        sm_text_puts(&names, n++ > 0 ? "; " : "");
        looked_words(&names, c, &s->look[l]);
        z[l] = 0;
    }
    if (n > 1)
        sm_diag_add(d, SM_WARNING, nowhere,
                    "%s: %s differ the same way: plane, centre or calibration? Each of these second looks is by more "
                    "than one standard deviation %s than its first reading lets expect; the answer takes their errors "
                    "as separate, but one cause may lie behind them",
                    sm_text_string(&names), n == 2 ? "both" : "all", more ? "more" : "less");
    d->failed |= names.failed;
    sm_text_destroy(&names);
}

static void warn_looks(const sm_case *c, const sm_root *r, sm_assessment *a)
{
    double z[SM_MAX_LOOKS];
    if (a->n_looks == 0)
        return;
    sm_steer_residuals(&r->steering, z);
    for (int l = 0; l < a->n_looks; l++)
        if (fabs(z[l]) > SAME_WAY_SD)
            warn_same_way(c, &r->steering, l, z, &a->warnings);
    if (a->effective_trials < FEW_TRIALS)
        sm_diag_add(&a->warnings, SM_WARNING, nowhere,
                    "the second looks weigh the trials so unevenly that they know as much as %.0f of equal weight: ask "
                    "for more (--trials) before you rely on the second digit",
                    a->effective_trials);
}

static void warn(const sm_case *c, const sm_root *r, sm_assessment *a)
{
    for (int k = 0; k < a->n_sides; k++)
        warn_side(c, r, k, &a->side[k], &a->warnings);
    warn_looks(c, r, a);
    if (a->not_numbers > 0)
        sm_diag_add(&a->warnings, SM_WARNING, nowhere,
                    "%lld output values were not numbers and count as no crossing; report this case",
                    (long long)a->not_numbers);
}

/* 5. When to stop */

/* The caller's watch, and the rule that ends the run. */
typedef struct {
    sm_watch outer;
    int64_t least; /* trials */
    double line;
} inner_watch;

static bool inner_interrupted(void *self)
{
    return sm_watch_interrupted(((inner_watch *)self)->outer);
}

static void inner_progress(void *self, const sm_gathered *g, int64_t trials)
{
    const sm_watch *w = &((inner_watch *)self)->outer;
    if (w->progress)
        w->progress(w->self, g, trials);
}

static bool inner_enough(void *self, const sm_gathered *g)
{
    const inner_watch *w = self;
    const sm_probability now = sm_weighted_probability(&g->tally[0].patient.event);
    return g->n >= w->least && sm_sequence_excludes(now.k, now.n, w->line, SM_SEQUENCE_EPSILON);
}

/* Puts the probabilities of the sharp points in the place of those counted. The root without the correction is their
 * last. */
static void fill_sharp(const sm_sharp *s, sm_assessment *a)
{
    a->sharp_points = s->points_a_task * s->n_tasks;
    a->sharp_tasks = s->n_tasks;
    a->patient = sharp_crossing_of(s, 0, SM_SHARED);
    for (int k = 0; k < a->n_sides; k++)
        a->side[k].crossing = sharp_crossing_of(s, 0, k);
    if (a->bloom_corrected)
        a->event_without_bloom_correction = sm_task_means_probability(sm_sharp_event(s, s->n_roots - 1, SM_SHARED));
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        a->by_limits[i] = sm_task_means_probability(sm_sharp_by_limits(s, i));
}

/* sharp: NULL or without tasks if the trials are to be counted. */
static sm_status fill(const sm_plan *p, int without_bloom, const sm_gathered *g, const sm_sharp *sharp,
                      bool by_sequence, sm_assessment *a)
{
    const bool is_sharp = sharp && sharp->n_tasks > 0;
    a->side = calloc((size_t)g->n_sides, sizeof *a->side);
    if (!a->side)
        return SM_NO_MEMORY;
    a->n_sides = g->n_sides;
    a->trials = g->n;
    a->seed = p->seed;
    a->patient = crossing_of(&g->tally[0].patient);
    fill_looks(p, g, a);
    a->bloom_corrected = without_bloom >= 0;
    if (a->bloom_corrected && !is_sharp)
        a->event_without_bloom_correction = sm_weighted_probability(&g->tally[without_bloom].patient.event);
    for (int k = 0; k < a->n_sides; k++) {
        fill_side(&p->root[0], k, g, &a->side[k]);
        for (int o = 0; o < SM_OUTPUTS; o++)
            a->not_numbers += a->side[k].output[o].not_numbers;
    }
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        a->by_limits[i] = sm_weighted_probability(&g->by_limits[i]);
    if (is_sharp)
        fill_sharp(sharp, a);
    const sm_series series = sm_series_published(p->c->valve.leaflet_mount);
    sm_status obstruction = sm_obstruction_of(&g->reached[0], &series, a->patient.event.probability,
                                              a->patient.crowded.probability, p->seed, &a->obstruction);
    if (obstruction != SM_OK)
        return obstruction;
    a->event_in_population = sm_weighted_probability(&g->in_population);
    a->decision = decide(a, is_sharp ? sharp : NULL, p->c->action_line, by_sequence);
    warn(p->c, &p->root[0], a);
    return a->warnings.failed ? SM_NO_MEMORY : SM_OK;
}

/* 6. The whole */

/* What an assessment draws. cap: up to how many trials or points to go on until the call is resolved; 0: no more than
 * context.trials. */
typedef struct {
    const sm_plan *plan;
    int without_bloom;
    const sm_extra_roots *extra;
    int64_t cap;
    bool go_on;
} draws;

/* Before the trials: what points tell need not be counted. SM_OK, with no points, if none are asked for. */
static sm_status draw_points(const draws *d, sm_run_context context, sm_sharp *out)
{
    const sm_sharp_goal goal = {.line = d->go_on ? d->plan->c->action_line : 0, .cap = d->cap};
    if (context.points != SM_POINTS_SHARP)
        return SM_OK;
    return sm_sharp_run_enough(
        d->plan, goal, sm_run_context_auxiliary(context, "the probabilities from sharp points", context.trials), out);
}

/* What has points is counted only where its trials tell more: as planned, and the alternatives. */
static sm_status gathered_create(const draws *d, bool sharp, sm_gathered *g)
{
    const sm_extra_roots *extra = d->extra;
    const int n_rows = extra->n_paired > 0 ? extra->n_paired : 1;
    const sm_status s = sm_gathered_create(d->plan, sharp ? n_rows : d->plan->n_roots, n_rows, g);
    if (s != SM_OK)
        return s;
    g->observer = extra->observer;
    return sm_pairs_create(sharp ? 0 : extra->n_paired, &g->pairs);
}

static sm_status draw_trials(const draws *d, bool sharp, sm_run_context context, sm_gathered *g)
{
    const bool go_on = d->go_on && !sharp;
    inner_watch inner = {.outer = context.watch, .least = context.trials, .line = d->plan->c->action_line};
    context.watch = (sm_watch){.self = &inner,
                               .interrupted = inner_interrupted,
                               .enough = go_on ? inner_enough : NULL,
                               .progress = inner_progress};
    if (go_on)
        context.trials = d->cap;
    return sm_run(d->plan, context, g);
}

static sm_status tell(const draws *d, const sm_gathered *g, const sm_sharp *sharp, sm_assessment *a)
{
    const sm_status s = fill(d->plan, d->without_bloom, g, sharp, d->cap > 0, a);
    return s == SM_OK && d->extra->read ? d->extra->read(d->extra->self, g, sharp->n_tasks > 0 ? sharp : NULL) : s;
}

static sm_status draw_and_tell(const draws *d, sm_run_context context, sm_sharp *sharp, sm_assessment *a)
{
    sm_gathered g;
    const sm_status points = draw_points(d, context, sharp);
    if (points != SM_OK && points != SM_INTERRUPTED)
        return points;
    const bool is_sharp = sharp->n_tasks > 0; /* not if it was interrupted before: then a few trials are counted */
    const sm_status made = gathered_create(d, is_sharp, &g);
    const sm_status ran = made == SM_OK ? draw_trials(d, is_sharp, context, &g) : made;
    const sm_status told = ran == SM_OK || ran == SM_INTERRUPTED ? tell(d, &g, sharp, a) : ran;
    sm_gathered_destroy(&g);
    if (told != SM_OK)
        return told;
    a->complete = ran == SM_OK && points == SM_OK;
    if (!a->complete)
        return SM_INTERRUPTED;
    return d->go_on && a->decision.call == SM_CALL_UNRESOLVED ? SM_UNRESOLVED : SM_OK;
}

static sm_status run_and_fill(const draws *d, sm_run_context context, sm_assessment *a)
{
    sm_sharp sharp = {.sums = NULL};
    const sm_status s = draw_and_tell(d, context, &sharp, a);
    if (d->extra->sharp)
        *d->extra->sharp = sharp;
    else
        sm_sharp_destroy(&sharp);
    return s;
}

static sm_status assess_plan(sm_plan *p, const sm_extra_roots *extra, int64_t cap, sm_run_context context,
                             sm_assessment *out)
{
    int without_bloom;
    *out = (sm_assessment){0};
    sm_status s = add_without_bloom(p, &without_bloom);
    if (s == SM_OK)
        s = run_and_fill(&(draws){p, without_bloom, extra, cap, cap > 0 && p->c->action_line > 0}, context, out);
    if (s != SM_OK && s != SM_UNRESOLVED && s != SM_INTERRUPTED)
        sm_assessment_destroy(out);
    return s;
}

sm_status sm_assess_plan(sm_plan *p, const sm_extra_roots *extra, sm_run_context context, sm_assessment *out)
{
    return assess_plan(p, extra, 0, context, out);
}

sm_status sm_assess_until_resolved(const sm_case *c, int64_t cap, sm_run_context context, sm_assessment *out)
{
    sm_plan p;
    *out = (sm_assessment){0};
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    s = assess_plan(&p, &(sm_extra_roots){0}, cap, context, out);
    sm_plan_destroy(&p);
    return s;
}

sm_status sm_assess(const sm_case *c, sm_run_context context, sm_assessment *out)
{
    return sm_assess_until_resolved(c, 0, context, out);
}

sm_assessment sm_assessment_take_unfinished(sm_assessment *a)
{
    sm_assessment known = *a;
    *a = (sm_assessment){0};
    known.complete = false;
    return known;
}

void sm_assessment_destroy(sm_assessment *a)
{
    free(a->side);
    sm_diag_destroy(&a->warnings);
    *a = (sm_assessment){0};
}

/* 7. Versions of the case beside it */

static sm_status results_create(int n, int sides, sm_version_results *v)
{
    *v = (sm_version_results){.n = n, .at = calloc((size_t)n + 1, sizeof *v->at)};
    v->side = calloc((size_t)n * (size_t)sides + 1, sizeof *v->side);
    if (!v->at || !v->side)
        return SM_NO_MEMORY;
    for (int i = 0; i < n; i++)
        v->at[i].side = v->side + (size_t)i * (size_t)sides;
    return SM_OK;
}

typedef struct {
    const sm_case *const *version;
    sm_version_results *results;
} versions;

/* The versions that are there follow the case as the roots of the plan. */
static sm_status add_versions(const versions *v, sm_plan *p)
{
    sm_status s = SM_OK;
    for (int i = 0; s == SM_OK && i < v->results->n; i++)
        if (v->version[i])
            s = sm_plan_add(p, &(sm_root_request){.c = v->version[i]}, NULL);
    return s;
}

static sm_status read_versions(void *self, const sm_gathered *g, const sm_sharp *sharp)
{
    const versions *v = self;
    (void)sharp; /* each version has its own */
    const sm_tally *t = g->tally;
    v->results->own = sm_weighted_probability(&t->patient.event);
    for (int i = 0; i < v->results->n; i++) {
        sm_version *to = &v->results->at[i];
        if (!v->version[i])
            continue;
        t++;
        to->patient = crossing_of(&t->patient);
        to->difference = sm_joint_difference(&t->patient.event, &g->tally[0].patient.event, &t->with_first);
        for (int k = 0; k < g->n_sides; k++)
            to->side[k] = crossing_of(&t->side[k]);
    }
    return SM_OK;
}

static sm_status count_versions(const sm_plan *p, versions *v, sm_run_context context)
{
    sm_gathered g;
    sm_status s = sm_gathered_create_counts(p, p->n_roots, &g);
    if (s != SM_OK)
        return s;
    s = sm_run(p, sm_run_context_auxiliary(context, NULL, context.trials), &g);
    if (s == SM_OK || s == SM_INTERRUPTED)
        read_versions(v, &g, NULL);
    sm_gathered_destroy(&g);
    return s;
}

/* A run of sharp points and nothing else: whole, or not at all. */
static sm_status run_sharp(const sm_case *c, sm_run_context context, sm_sharp *out)
{
    sm_plan p;
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    s = sm_sharp_run_enough(&p, (sm_sharp_goal){0}, context, out);
    sm_plan_destroy(&p);
    return s;
}

static sm_status take_sharp_version(const sm_case *c, const sm_sharp *own, sm_run_context context, sm_version *to)
{
    sm_sharp sharp = {.sums = NULL};
    const sm_status s = run_sharp(c, context, &sharp);
    if (s == SM_OK) {
        to->patient = sharp_crossing_of(&sharp, 0, SM_SHARED);
        to->difference =
            sm_task_means_difference(sm_sharp_event(&sharp, 0, SM_SHARED), sm_sharp_event(own, 0, SM_SHARED));
        for (int k = 0; k < sharp.n_sides; k++)
            to->side[k] = sharp_crossing_of(&sharp, 0, k);
    }
    sm_sharp_destroy(&sharp);
    return s;
}

static sm_status assess_keeping(const sm_case *c, sm_run_context context, sm_sharp *own, sm_assessment *out)
{
    const sm_extra_roots extra = {.sharp = own};
    sm_plan p;
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    s = sm_assess_plan(&p, &extra, context, out);
    sm_plan_destroy(&p);
    return s;
}

/* What an interrupted run did not reach, from version `first` on, is counted in the few trials that any run draws. */
static sm_status count_rest(const sm_case *c, const sm_case *const *version, int first, sm_run_context context,
                            sm_version_results *results)
{
    const sm_case **rest = calloc((size_t)results->n + 1, sizeof *rest);
    versions v = {rest, results};
    const sm_probability own = results->own;
    sm_plan p;
    if (!rest)
        return SM_NO_MEMORY;
    for (int i = first; i < results->n; i++)
        rest[i] = version[i];
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s == SM_OK) {
        s = add_versions(&v, &p);
        if (s == SM_OK)
            s = count_versions(&p, &v, context);
        sm_plan_destroy(&p);
    }
    free(rest);
    results->own = own.n > 0 ? own : results->own;
    return s;
}

/* Each version has points of its own, turned to where its own answer changes: it gets the same beside others as alone.
 * The tasks' scrambles are the same, so that differences are paired. */
static sm_status sharp_versions(const sm_case *c, const sm_case *const *version, sm_run_context context,
                                sm_assessment *out, sm_version_results *results)
{
    sm_sharp own = {.sums = NULL};
    const sm_run_context each = sm_run_context_auxiliary(context, "the versions from sharp points", context.trials);
    int i = 0;
    sm_status s = out ? assess_keeping(c, context, &own, out) : run_sharp(c, each, &own);
    if (s == SM_OK)
        results->own = sm_task_means_probability(sm_sharp_event(&own, 0, SM_SHARED));
    for (; s == SM_OK && i < results->n; i++)
        if (version[i])
            s = take_sharp_version(version[i], &own, each, &results->at[i]);
    sm_sharp_destroy(&own);
    if (s == SM_INTERRUPTED) {
        s = count_rest(c, version, i > 0 ? i - 1 : 0, context, results);
        s = s == SM_OK ? SM_INTERRUPTED : s;
        if (out)
            out->complete = false;
    }
    return s;
}

sm_status sm_assess_versions(const sm_case *c, const sm_case *const *version, int n, sm_run_context context,
                             sm_assessment *out, sm_version_results *results)
{
    versions v = {version, results};
    const sm_extra_roots extra = {.self = &v, .read = read_versions};
    sm_plan p;
    if (out)
        *out = (sm_assessment){0};
    sm_status s = results_create(n, (int)c->n_coronaries, results);
    if (s != SM_OK || context.points == SM_POINTS_SHARP)
        return s == SM_OK ? sharp_versions(c, version, context, out, results) : s;
    s = (context.brief ? sm_plan_create_brief : sm_plan_create)(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    s = add_versions(&v, &p);
    if (s == SM_OK)
        s = out ? sm_assess_plan(&p, &extra, context, out) : count_versions(&p, &v, context);
    sm_plan_destroy(&p);
    return s;
}

void sm_version_results_destroy(sm_version_results *v)
{
    free(v->at);
    free(v->side);
    *v = (sm_version_results){0};
}
