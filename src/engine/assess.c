/* assess.c - how probable it is that each limit is truly crossed.
 *
 * Contents: 1. the roots that an assessment needs  2. from counts to results  3. the call  4. warnings
 *           5. when to stop  6. the whole  7. versions of the case beside it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/assess.h"

#include <math.h>
#include <stdlib.h>

/* 1. The roots that an assessment needs */

/* Places in the plan of the roots that the case as planned is compared with; -1: not there. */
typedef struct {
    int without_bloom;
    int (*look)[SM_GAPS][2]; /* by side: CT only, other only */
} reference_roots;

static bool gap_is_corrected(const sm_coronary *o)
{
    const sm_quantity *ostium = &o->quantity[SM_OSTIUM_GAP], *stj = &o->quantity[SM_STJ_GAP];
    return (ostium->is_read && ostium->bloom_edges != 0) || (stj->is_read && stj->bloom_edges != 0);
}

static sm_status add_without_bloom(sm_plan *p, reference_roots *b)
{
    b->without_bloom = -1;
    for (size_t k = 0; k < p->c->n_coronaries; k++)
        if (gap_is_corrected(&p->c->coronary[k]))
            return sm_plan_add(p, &(sm_root_request){.without_bloom_correction = true}, &b->without_bloom);
    return SM_OK;
}

static sm_status add_look(sm_plan *p, int k, sm_gap_id g, int place[2])
{
    sm_root_request request = {.belief_side = k, .belief_gap = g};
    place[0] = place[1] = -1;
    if (!p->root[0].side[k].landmarks.looks.look[g].look.present)
        return SM_OK;
    request.belief = SM_BELIEVE_CT;
    sm_status s = sm_plan_add(p, &request, &place[0]);
    request.belief = SM_BELIEVE_OTHER;
    return s == SM_OK ? sm_plan_add(p, &request, &place[1]) : s;
}

static sm_status add_references(sm_plan *p, reference_roots *b)
{
    b->look = calloc(p->c->n_coronaries, sizeof *b->look);
    sm_status s = b->look ? add_without_bloom(p, b) : SM_NO_MEMORY;
    for (int k = 0; s == SM_OK && k < (int)p->c->n_coronaries; k++)
        for (int g = 0; s == SM_OK && g < SM_GAPS; g++)
            s = add_look(p, k, (sm_gap_id)g, b->look[k][g]);
    return s;
}

/* 2. From counts to results */

static sm_crossing crossing_of(const sm_counts *c, int64_t n)
{
    sm_crossing crossing = {.event = sm_probability_of(c->event, n)};
    for (int g = 0; g < SM_GAPS; g++)
        crossing.crossed[g] = sm_probability_of(c->crossed[g], n);
    return crossing;
}

static sm_look_result look_of(const sm_root_side *side, sm_gap_id id, const int place[2], const sm_gathered *g)
{
    const sm_joining *joining = &side->joining[id];
    if (!side->landmarks.looks.look[id].look.present)
        return (sm_look_result){.present = false};
    return (sm_look_result){.present = true,
                            .conflict = joining->conflict,
                            .chi2 = joining->chi2,
                            .event_ct_only = sm_probability_of(g->tally[place[0]].patient.event, g->n),
                            .event_other_only = sm_probability_of(g->tally[place[1]].patient.event, g->n)};
}

static void fill_side(const sm_root *r, int k, const reference_roots *b, const sm_gathered *g, sm_side_result *out)
{
    out->crossing = crossing_of(&g->tally[0].side[k], g->n);
    for (int o = 0; o < SM_OUTPUTS; o++)
        out->output[o] = sm_spread_summary(&g->spread[k][o]);
    for (int o = 0; o < SM_OUTPUTS; o++)
        out->outline[o] = sm_spread_outline(&g->spread[k][o], g->n);
    for (int l = 0; l < SM_GAPS; l++)
        out->crossed[l] = sm_spread_outline(&g->crossing[k][l], g->n);
    for (int l = 0; l < SM_GAPS; l++)
        out->look[l] = look_of(&r->side[k], (sm_gap_id)l, b->look[k][l], g);
    out->waist = sm_root_mean_waist(r);
}

/* 3. The call */

sm_call sm_call_of(double low, double high, double action_line)
{
    if (!(action_line > 0))
        return SM_CALL_NONE;
    if (low >= action_line)
        return SM_CALL_ABOVE;
    return high < action_line ? SM_CALL_BELOW : SM_CALL_UNRESOLVED;
}

/* Whether for some conflicting gap the two looks alone lie on different sides of the line. */
static bool looks_split(const sm_assessment *a, double line)
{
    for (int k = 0; k < a->n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++) {
            const sm_look_result *l = &a->side[k].look[g];
            if (l->present && l->conflict &&
                (l->event_ct_only.probability >= line) != (l->event_other_only.probability >= line))
                return true;
        }
    return false;
}

static sm_decision decide(const sm_assessment *a, double line, bool by_sequence)
{
    const sm_probability *p = &a->patient.event;
    sm_decision d = {.action_line = line, .by_sequence = by_sequence, .low = p->low, .high = p->high};
    if (by_sequence)
        sm_sequence_interval(p->k, p->n, SM_SEQUENCE_EPSILON, &d.low, &d.high);
    d.call = sm_call_of(d.low, d.high, line);
    if (d.call == SM_CALL_UNRESOLVED)
        d.reason = SM_REASON_MONTE_CARLO;
    if (d.call != SM_CALL_NONE && looks_split(a, line)) {
        d.call = SM_CALL_UNRESOLVED;
        d.reason = SM_REASON_LOOKS_CONFLICT;
    }
    return d;
}

/* 4. Warnings */

#define CIRCLE_TOLERANCE 0.5 /* mm, model.md section 4 */

static const sm_place nowhere = {0};

#define LEFT_OUT_WARNING 0.001 /* of the trials: a view SD above 18 degrees, or a calibration SD above 0.16 */

/* A look as uncertain as that says next to nothing, and how the rest of it is weighted is a convention (model.md 3.8).
 */
static void warn_look(const sm_coronary *o, const sm_look *l, sm_gap_id g, sm_diag *d)
{
    const double left_out = l->present ? sm_look_left_out(l) : 0;
    const sm_cross_check *c = &o->quantity[sm_gaps[g].quantity].cross_check;
    if (left_out > LEFT_OUT_WARNING)
        sm_diag_add(d, SM_WARNING, nowhere,
                    "%s %s: the second look is said to be so uncertain (view %.3g degrees, magnification %.3g %%, SDs) "
                    "that in %.2g of 100 trials the view misses by more than 60 degrees or the scale is less than half "
                    "of what it should be; those trials are left out where the two looks are compared and weighted, "
                    "not from the result: check both SDs",
                    o->name, sm_quantity_name(sm_gaps[g].quantity), c->view_error_sd_deg, 100 * c->magnification_sd,
                    100 * left_out);
}

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
    for (int g = 0; g < SM_GAPS; g++)
        warn_look(o, &r->side[k].landmarks.looks.look[g].look, (sm_gap_id)g, d);
    warn_circle(o, s->waist, d);
    for (int g = 0; g < SM_GAPS; g++)
        warn_lenient(o, s, &sm_gaps[g], d);
}

static void warn(const sm_case *c, const sm_root *r, sm_assessment *a)
{
    for (int k = 0; k < a->n_sides; k++)
        warn_side(c, r, k, &a->side[k], &a->warnings);
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
    return g->n >= w->least && sm_sequence_excludes(g->tally[0].patient.event, g->n, w->line, SM_SEQUENCE_EPSILON);
}

static sm_status fill(const sm_plan *p, const reference_roots *b, const sm_gathered *g, bool by_sequence,
                      sm_assessment *a)
{
    a->side = calloc((size_t)g->n_sides, sizeof *a->side);
    if (!a->side)
        return SM_NO_MEMORY;
    a->n_sides = g->n_sides;
    a->trials = g->n;
    a->seed = p->seed;
    a->patient = crossing_of(&g->tally[0].patient, g->n);
    a->bloom_corrected = b->without_bloom >= 0;
    if (a->bloom_corrected)
        a->event_without_bloom_correction = sm_probability_of(g->tally[b->without_bloom].patient.event, g->n);
    for (int k = 0; k < a->n_sides; k++) {
        fill_side(&p->root[0], k, b, g, &a->side[k]);
        for (int o = 0; o < SM_OUTPUTS; o++)
            a->not_numbers += a->side[k].output[o].not_numbers;
    }
    a->event_in_population = sm_weighted_probability(&g->in_population);
    a->decision = decide(a, p->c->action_line, by_sequence);
    warn(p->c, &p->root[0], a);
    return a->warnings.failed ? SM_NO_MEMORY : SM_OK;
}

/* 6. The whole */

/* cap: up to how many trials to go on until the call is resolved; 0: no more than context.trials. */
static sm_status run_and_fill(const sm_plan *p, const reference_roots *b, const sm_extra_roots *extra, int64_t cap,
                              sm_run_context context, sm_assessment *a)
{
    sm_gathered g;
    const bool go_on = cap > 0 && p->c->action_line > 0;
    inner_watch inner = {.outer = context.watch, .least = context.trials, .line = p->c->action_line};
    context.watch = (sm_watch){.self = &inner,
                               .interrupted = inner_interrupted,
                               .enough = go_on ? inner_enough : NULL,
                               .progress = inner_progress};
    if (go_on)
        context.trials = cap;
    sm_status made = sm_gathered_create(p, &g);
    if (made != SM_OK)
        return made;
    g.observer = extra->observer;
    made = sm_pairs_create(extra->n_paired, &g.pairs);
    sm_status ran = made == SM_OK ? sm_run(p, context, &g) : made;
    sm_status filled = ran == SM_OK || ran == SM_INTERRUPTED ? fill(p, b, &g, cap > 0, a) : ran;
    if (filled == SM_OK && extra->read)
        filled = extra->read(extra->self, &g);
    sm_gathered_destroy(&g);
    if (filled != SM_OK)
        return filled;
    a->complete = ran == SM_OK;
    return ran == SM_OK && go_on && a->decision.call == SM_CALL_UNRESOLVED ? SM_UNRESOLVED : ran;
}

static sm_status assess_plan(sm_plan *p, const sm_extra_roots *extra, int64_t cap, sm_run_context context,
                             sm_assessment *out)
{
    reference_roots b = {.look = NULL};
    *out = (sm_assessment){0};
    sm_status s = add_references(p, &b);
    if (s == SM_OK)
        s = run_and_fill(p, &b, extra, cap, context, out);
    if (s != SM_OK && s != SM_UNRESOLVED && s != SM_INTERRUPTED)
        sm_assessment_destroy(out);
    free(b.look);
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

static sm_status read_versions(void *self, const sm_gathered *g)
{
    const versions *v = self;
    const sm_tally *t = g->tally;
    v->results->own = sm_probability_of(t->patient.event, g->n);
    for (int i = 0; i < v->results->n; i++) {
        sm_version *to = &v->results->at[i];
        if (!v->version[i])
            continue;
        t++;
        to->patient = crossing_of(&t->patient, g->n);
        to->difference = sm_paired_difference(t->gained, t->lost, g->n);
        for (int k = 0; k < g->n_sides; k++)
            to->side[k] = crossing_of(&t->side[k], g->n);
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
        read_versions(v, &g);
    sm_gathered_destroy(&g);
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
    *results = (sm_version_results){0};
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    s = results_create(n, (int)c->n_coronaries, results);
    if (s == SM_OK)
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
