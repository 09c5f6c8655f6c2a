/* run.c - Monte Carlo over the roots of a plan.
 *
 * Contents: 1. what is gathered  2. where the outputs lie (a short pilot)  3. one group of trials  4. tasks
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "engine/job.h"

enum { GROUPS = SM_BLOCK / SM_LANES, RANGE_BLOCKS = 4 };

/* 1. What is gathered */

static sm_status tally_create(int n_sides, sm_tally *t)
{
    *t = (sm_tally){.side = calloc((size_t)n_sides, sizeof *t->side)};
    return t->side ? SM_OK : SM_NO_MEMORY;
}

static void tallies_destroy(sm_tally *tally, int n_roots)
{
    for (int r = 0; tally && r < n_roots; r++)
        free(tally[r].side);
    free(tally);
}

static sm_status tallies_create(int n_roots, int n_sides, sm_tally **out)
{
    *out = calloc((size_t)n_roots, sizeof **out);
    sm_status s = *out ? SM_OK : SM_NO_MEMORY;
    for (int r = 0; s == SM_OK && r < n_roots; r++)
        s = tally_create(n_sides, &(*out)[r]);
    return s;
}

static void tallies_clear(sm_tally *tally, int n_roots, int n_sides)
{
    for (int r = 0; r < n_roots; r++) {
        sm_counts *side = tally[r].side;
        memset(side, 0, (size_t)n_sides * sizeof *side);
        tally[r] = (sm_tally){.side = side};
    }
}

static void reached_destroy(sm_reached *reached, int n)
{
    for (int i = 0; reached && i < n; i++)
        sm_reached_destroy(&reached[i]);
    free(reached);
}

/* Whether an alternative may lacerate a leaflet or rescue a side's event: then its sides have classes of their own. */
static bool has_factors(const sm_root *r)
{
    bool any = r->rescues;
    for (int k = 0; k < r->n_sides; k++)
        any = any || r->side[k].outputs.laceration.column >= 0;
    return any;
}

static sm_status reached_create(const sm_plan *p, int n, sm_reached **out)
{
    *out = calloc((size_t)n + 1, sizeof **out);
    sm_status s = *out ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < n; i++)
        s = sm_reached_create(has_factors(&p->root[i]) ? p->root[i].n_sides : 0, &(*out)[i]);
    return s;
}

void sm_gathered_destroy(sm_gathered *g)
{
    tallies_destroy(g->tally, g->n_roots);
    reached_destroy(g->reached, g->n_reached);
    free(g->spread);
    free(g->crossing);
    sm_pairs_destroy(&g->pairs);
    *g = (sm_gathered){0};
}

static sm_status gathered_allocate(int n_roots, int n_sides, int n_spreads, sm_gathered *g)
{
    *g = (sm_gathered){.n_roots = n_roots, .n_sides = n_sides, .n_spreads = n_spreads};
    g->spread = calloc((size_t)n_spreads + 1, sizeof *g->spread);
    g->crossing = calloc((size_t)n_spreads + 1, sizeof *g->crossing);
    sm_status s = tallies_create(n_roots, n_sides, &g->tally);
    if (s == SM_OK && g->spread && g->crossing)
        return SM_OK;
    sm_gathered_destroy(g);
    return SM_NO_MEMORY;
}

static void counts_add(sm_counts *c, const sm_counts *other)
{
    sm_weighted_merge(&c->event, &other->event);
    for (int g = 0; g < SM_GAPS; g++)
        sm_weighted_merge(&c->crossed[g], &other->crossed[g]);
}

static void tally_merge(sm_tally *t, const sm_tally *other, int n_sides)
{
    counts_add(&t->patient, &other->patient);
    sm_weighted_merge(&t->unrescued, &other->unrescued);
    sm_joint_merge(&t->with_first, &other->with_first);
    sm_joint_merge(&t->unrescued_with_first, &other->unrescued_with_first);
    for (int k = 0; k < n_sides; k++)
        counts_add(&t->side[k], &other->side[k]);
}

static void states_merge(sm_weighted (*state)[SM_LOOK_STATES], const sm_weighted (*other)[SM_LOOK_STATES])
{
    for (int l = 0; l < SM_MAX_LOOKS; l++)
        for (int i = 0; i < SM_LOOK_STATES; i++)
            sm_weighted_merge(&state[l][i], &other[l][i]);
}

/* What one task gathers for a sm_gathered. */
typedef struct {
    int64_t n;
    sm_weighted in_population, by_limits[SM_PUBLISHED_LIMITS];
    sm_weighted state[SM_MAX_LOOKS][SM_LOOK_STATES];
    int n_spreads;
    sm_tally *tally;
    sm_spread_part (*spread)[SM_OUTPUTS];
    sm_spread_part (*crossing)[SM_GAPS];
    double *heavy; /* their bins if there are weights */
    sm_pairs pairs;
    sm_reached *reached;
    void *observed; /* the observer's; NULL if there is none */
} task_part;

_Static_assert(SM_TASK_TRIALS <= SM_PART_NUMBERS, "a task's bins hold its trials");

/* Bins for weights, if root[0] has them. */
static sm_status create_heavy(const sm_plan *plan, task_part *p)
{
    const size_t each = SM_OUTPUTS + SM_GAPS;
    if (!sm_plan_weighs_first(plan) || p->n_spreads == 0)
        return SM_OK;
    p->heavy = malloc((size_t)p->n_spreads * each * (SM_BINS + 2) * sizeof *p->heavy);
    return p->heavy ? SM_OK : SM_NO_MEMORY;
}

/* Those of output o of side k, or of gap o - SM_OUTPUTS; NULL if there are none. */
static double *heavy_of(const task_part *p, int k, int o)
{
    return p->heavy ? p->heavy + ((size_t)k * (SM_OUTPUTS + SM_GAPS) + (size_t)o) * (SM_BINS + 2) : NULL;
}

static sm_status part_create(const sm_plan *plan, const sm_gathered *of, task_part *p)
{
    p->n_spreads = of->n_spreads;
    p->spread = malloc(((size_t)of->n_spreads + 1) * sizeof *p->spread);
    p->crossing = malloc(((size_t)of->n_spreads + 1) * sizeof *p->crossing);
    sm_status s = tallies_create(of->n_roots, of->n_sides, &p->tally);
    if (s == SM_OK)
        s = create_heavy(plan, p);
    if (s == SM_OK)
        s = reached_create(plan, of->n_reached, &p->reached);
    if (s == SM_OK)
        s = sm_pairs_create(of->pairs.n, &p->pairs);
    if (s == SM_OK && of->observer) {
        p->observed = calloc(1, of->observer->part_size);
        s = p->observed ? of->observer->create(of->observer->self, p->observed) : SM_NO_MEMORY;
    }
    return p->spread && p->crossing ? s : SM_NO_MEMORY;
}

static void part_destroy(const sm_gathered *of, task_part *p)
{
    tallies_destroy(p->tally, of->n_roots);
    reached_destroy(p->reached, of->n_reached);
    sm_pairs_destroy(&p->pairs);
    if (p->observed)
        of->observer->destroy(of->observer->self, p->observed);
    free(p->observed);
    free(p->heavy);
    free(p->spread);
    free(p->crossing);
}

static void part_empty(const sm_gathered *of, task_part *p)
{
    p->n = 0;
    p->in_population = (sm_weighted){0};
    memset(p->by_limits, 0, sizeof p->by_limits);
    memset(p->state, 0, sizeof p->state);
    sm_pairs_clear(&p->pairs);
    for (int i = 0; i < of->n_reached; i++)
        sm_reached_clear(&p->reached[i]);
    if (p->observed)
        of->observer->empty(of->observer->self, p->observed);
    tallies_clear(p->tally, of->n_roots, of->n_sides);
    for (int k = 0; k < of->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_part_init(&p->spread[k][o], &of->spread[k][o], heavy_of(p, k, o));
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_part_init(&p->crossing[k][l], &of->crossing[k][l], heavy_of(p, k, SM_OUTPUTS + l));
    }
}

static void take(sm_gathered *g, const task_part *p)
{
    g->n += p->n;
    sm_weighted_merge(&g->in_population, &p->in_population);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        sm_weighted_merge(&g->by_limits[i], &p->by_limits[i]);
    states_merge(g->state, (const sm_weighted(*)[SM_LOOK_STATES])p->state);
    sm_pairs_merge(&g->pairs, &p->pairs);
    for (int i = 0; i < g->n_reached; i++)
        sm_reached_merge(&g->reached[i], &p->reached[i]);
    if (p->observed)
        g->observer->merge(g->observer->self, p->observed);
    for (int r = 0; r < g->n_roots; r++)
        tally_merge(&g->tally[r], &p->tally[r], g->n_sides);
    for (int k = 0; k < g->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_take(&g->spread[k][o], &p->spread[k][o]);
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_take(&g->crossing[k][l], &p->crossing[k][l]);
    }
}

static void gathered_clear(sm_gathered *g)
{
    g->n = 0;
    g->in_population = (sm_weighted){0};
    memset(g->by_limits, 0, sizeof g->by_limits);
    memset(g->state, 0, sizeof g->state);
    sm_pairs_clear(&g->pairs);
    for (int i = 0; i < g->n_reached; i++)
        sm_reached_clear(&g->reached[i]);
    tallies_clear(g->tally, g->n_roots, g->n_sides);
    for (int k = 0; k < g->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_clear(&g->spread[k][o]);
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_clear(&g->crossing[k][l]);
    }
}

/* 2. Where the outputs lie */

/* The weights of root[0]'s trials in room; NULL if each is 1. */
static const double *weights_of_first(const sm_plan *p, const sm_worker *w, double *room)
{
    if (!sm_plan_weighs_first(p))
        return NULL;
    sm_evaluate_weights(p, 0, &w->at, room);
    return room;
}

static void range_group(const sm_plan *p, sm_worker *w, sm_moments (*moments)[SM_OUTPUTS])
{
    double room[SM_LANES];
    sm_evaluate_first(p, w->column, &w->at);
    const double *weight = weights_of_first(p, w, room);
    for (int k = 0; k < p->root[0].n_sides; k++)
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_moments_add_weighted(&moments[k][o], w->at.side[k].y[o], weight, SM_LANES);
}

/* Sets the ranges of the histograms from 4,096 trials on streams of their own. */
static sm_status find_ranges(const sm_plan *p, sm_gathered *g)
{
    sm_worker w = {0};
    sm_moments(*moments)[SM_OUTPUTS] = calloc((size_t)g->n_sides, sizeof *moments);
    sm_status s = moments ? sm_worker_create(p, &w) : SM_NO_MEMORY;
    for (uint32_t block = 0; s == SM_OK && block < RANGE_BLOCKS; block++) {
        sm_worker_draw(p, &w, SM_FOR_RANGE, block);
        for (int group = 0; group < GROUPS; group++) {
            sm_worker_point(&w, group);
            range_group(p, &w, moments);
        }
    }
    for (int k = 0; s == SM_OK && k < g->n_sides; k++)
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_init(&g->spread[k][o], moments[k][o].mean, sm_moments_sd(&moments[k][o]));
    for (int k = 0; s == SM_OK && k < g->n_sides; k++)
        for (int gap = 0; gap < SM_GAPS; gap++)
            g->crossing[k][gap] = g->spread[k][sm_gaps[gap].clearance];
    sm_worker_destroy(&w);
    free(moments);
    return s;
}

sm_status sm_gathered_create(const sm_plan *p, int n_roots, int n_reached, sm_gathered *g)
{
    const int n_sides = (int)p->c->n_coronaries;
    sm_status s = gathered_allocate(n_roots, n_sides, n_sides, g);
    g->n_reached = s == SM_OK ? n_reached : 0;
    if (s == SM_OK)
        s = reached_create(p, n_reached, &g->reached);
    if (s == SM_OK)
        s = find_ranges(p, g);
    if (s != SM_OK)
        sm_gathered_destroy(g);
    return s;
}

sm_status sm_gathered_create_counts(const sm_plan *p, int n_roots, sm_gathered *g)
{
    return gathered_allocate(n_roots, (int)p->c->n_coronaries, 0, g);
}

/* 3. One group of trials */

/* On how many sides of one root something happens, for each trial, and what the trial weighs. */
typedef struct {
    double event[SM_LANES], crossed[SM_GAPS][SM_LANES], unrescued[SM_LANES];
    const double *weight; /* NULL: each is 1 */
    double room[SM_LANES];
} side_counts;

/* In how many of the first n trials a flag or a number of sides is above 0. Eight sums side by side, which the compiler
 * can then keep in vectors; sums of 0 and 1 are exact in any order. */
SM_WIDE static int64_t total(const double *sides, int n)
{
    enum { WIDE = 8 };
    double part[WIDE] = {0}, sum = 0;
    int i = 0;
    for (; i + WIDE <= n; i += WIDE)
        for (int j = 0; j < WIDE; j++)
            part[j] += sides[i + j] > 0 ? 1 : 0;
    for (; i < n; i++)
        sum += sides[i] > 0 ? 1 : 0;
    for (int j = 0; j < WIDE; j++)
        sum += part[j];
    return (int64_t)sum;
}

/* 1 where a flag or a number of sides is above 0. */
SM_WIDE static void flags_of(const double *restrict sides, int n, double *restrict flag)
{
    for (int i = 0; i < n; i++)
        flag[i] = sides[i] > 0 ? 1 : 0;
}

static void add_event(const double *sides, const double *weight, int n, sm_weighted *sum)
{
    double flag[SM_LANES];
    if (!weight) {
        sm_weighted_count(sum, total(sides, n), n);
        return;
    }
    flags_of(sides, n, flag);
    sm_weighted_add(sum, weight, flag, n);
}

/* Adds a side's crossings to the numbers of sides (times 1) or takes them off (times -1). A sinus from which no
 * coronary leaves is none of the patient's. */
SM_WIDE static void count_side(const sm_root_side *side, const sm_side_out *out, double times, side_counts *f)
{
    times *= side->outputs.model.counts;
    for (int i = 0; i < SM_LANES; i++) {
        f->crossed[SM_GAP_OSTIUM][i] += times * out->crowded[i];
        f->crossed[SM_GAP_STJ][i] += times * out->sealed[i];
        f->event[i] += times * out->event[i];
    }
}

static void tally_side(const sm_side_out *out, const double *weight, int n, sm_counts *counts)
{
    add_event(out->event, weight, n, &counts->event);
    for (int g = 0; g < SM_GAPS; g++)
        add_event(out->crossed[g], weight, n, &counts->crossed[g]);
}

SM_WIDE static void count_unrescued(const sm_root *r, int k, const sm_worker *w, const sm_side_out *out, side_counts *f)
{
    double saved[SM_LANES];
    sm_chance_draw(&r->side[k].rescue, w->column, saved);
    for (int i = 0; i < SM_LANES; i++)
        f->unrescued[i] += out->event[i] * (1 - saved[i]);
}

static void add_joint(const double *here, const double *weight, const double *first, const double *first_weight, int n,
                      sm_joint_sums *sum)
{
    double a[SM_LANES], b[SM_LANES], one[SM_LANES];
    const bool weighs = weight || first_weight;
    for (int i = 0; i < n; i++)
        one[i] = 1;
    flags_of(here, n, a);
    flags_of(first, n, b);
    sm_joint_add(sum, weighs ? (weight ? weight : one) : NULL, a, weighs ? (first_weight ? first_weight : one) : NULL,
                 b, n);
}

static void tally_patient(const side_counts *f, const side_counts *first, int n, sm_tally *t)
{
    add_event(f->event, f->weight, n, &t->patient.event);
    for (int g = 0; g < SM_GAPS; g++)
        add_event(f->crossed[g], f->weight, n, &t->patient.crossed[g]);
    add_event(f->unrescued, f->weight, n, &t->unrescued);
    if (f == first)
        return; /* share_tallies knows */
    add_joint(f->event, f->weight, first->event, first->weight, n, &t->with_first);
    add_joint(f->unrescued, f->weight, first->unrescued, first->weight, n, &t->unrescued_with_first);
}

/* Adds the values of those trials whose flag is set. */
static void add_flagged(sm_spread_part *s, const double *y, const double *weight, const double *flag, int n)
{
    double set[SM_LANES], weights[SM_LANES];
    int m = 0;
    for (int i = 0; i < n; i++)
        if (flag[i] > 0) {
            weights[m] = weight ? weight[i] : 1;
            set[m++] = y[i];
        }
    sm_spread_part_add(s, set, weight ? weights : NULL, m);
}

static void add_spreads(const sm_side_out *out, const double *weight, int n, sm_spread_part spread[SM_OUTPUTS],
                        sm_spread_part crossing[SM_GAPS])
{
    for (int o = 0; o < SM_OUTPUTS; o++)
        sm_spread_part_add(&spread[o], out->y[o], weight, n);
    for (int g = 0; g < SM_GAPS; g++)
        add_flagged(&crossing[g], out->y[sm_gaps[g].clearance], weight, out->crossed[g], n);
}

/* (7.1) for a normal population, but for a constant factor: its logarithms add up. */
SM_WIDE static void add_squares(const double *x, const sm_dist *d, double *squares)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double z = (x[i] - d->p[0]) / d->p[1];
        squares[i] += z * z;
    }
}

/* (7.1): how common the true conventional ostium gaps of all sides are, taken together. */
static void weigh_group(const sm_dist *population, const sm_worker *w, const sm_root *r, double *weight)
{
    double squares[SM_LANES] = {0};
    for (int i = 0; i < SM_LANES; i++)
        weight[i] = 1;
    for (int k = 0; k < r->n_sides; k++) {
        const double *gap = w->at.side[k].y[SM_CONVENTIONAL_OSTIUM];
        if (r->side[k].outputs.model.counts == 0)
            continue;
        if (population->family == SM_NORMAL)
            add_squares(gap, population, squares);
        else
            for (int i = 0; i < SM_LANES; i++)
                weight[i] *= sm_dist_density(population, gap[i]);
    }
    for (int i = 0; i < SM_LANES; i++)
        weight[i] *= exp(-squares[i] / 2);
}

static void add_in_population(const sm_plan *p, const sm_worker *w, int n, const side_counts *f, sm_weighted *sum)
{
    double weight[SM_LANES], event[SM_LANES];
    weigh_group(&p->c->population.ostium_gap_mm, w, &p->root[0], weight);
    flags_of(f->event, n, event);
    for (int i = 0; i < n; i++) {
        weight[i] *= f->weight ? f->weight[i] : 1;
        weight[i] = weight[i] > 0 ? weight[i] : 0; /* what is not a number has no weight */
    }
    sm_weighted_add(sum, weight, event, n);
}

/* (5.5) by other limits: on how many sides a rule is met. */
SM_WIDE static void count_by_limits(const sm_side_out *out, const sm_published_limit *limit, double *restrict sides)
{
    const double *ostium = out->y[SM_OSTIUM_CLEARANCE], *stj = out->y[SM_STJ_CLEARANCE], *cover = out->y[SM_COVER],
                 *reach = out->y[SM_REACH];
    for (int i = 0; i < SM_LANES; i++) {
        const bool crowded = (cover[i] >= 0) & (ostium[i] < limit->ostium_clearance_mm);
        const bool sealed = (reach[i] >= 0) & (stj[i] < limit->stj_clearance_mm);
        sides[i] += (crowded | sealed) ? 1 : 0;
    }
}

static void add_by_limits(const sm_plan *p, const sm_worker *w, const double *weight, int n,
                          sm_weighted by_limits[SM_PUBLISHED_LIMITS])
{
    for (int l = 0; l < SM_PUBLISHED_LIMITS; l++) {
        double sides[SM_LANES] = {0};
        for (int k = 0; k < p->root[0].n_sides; k++)
            if (p->root[0].side[k].outputs.model.counts != 0)
                count_by_limits(&w->at.side[k], &sm_published_limits[l], sides);
        add_event(sides, weight, n, &by_limits[l]);
    }
}

/* The events of the trials in which a look is taken for right, for off, or for the only right one. */
static void add_states(const sm_plan *p, const sm_worker *w, int n, const side_counts *f,
                       sm_weighted (*state)[SM_LOOK_STATES])
{
    double event[SM_LANES], weight[SM_LANES];
    const sm_steered *s = &w->at.steered[p->parts[0].steering.slot];
    flags_of(f->event, n, event);
    for (int l = 0; l < p->root[0].steering.n; l++)
        for (int j = 0; j < SM_LOOK_STATES; j++) {
            for (int i = 0; i < n; i++)
                weight[i] = (int)s->state[l][i] == j ? f->weight[i] : 0;
            sm_weighted_add(&state[l][j], weight, event, n);
        }
}

/* What the gaps of a root are added to; reached is NULL if they are not asked for. */
typedef struct {
    sm_reached *reached;
    sm_reached_group group;
    sm_series_curve curve;
} reaching;

static void begin_reaching(const sm_plan *p, const sm_gathered *of, int index, task_part *g, reaching *r)
{
    r->reached = index < of->n_reached ? &g->reached[index] : NULL;
    if (!r->reached)
        return;
    const sm_series series = sm_series_published(p->c->valve.leaflet_mount);
    r->curve = sm_series_curve_published(&series);
    sm_reached_begin(&r->group);
}

/* A tube that is narrower than the planned one leaves half of the difference more room, at the height of the ostium. */
static void widen(const sm_plan *p, int index, int k, const sm_worker *w, double *restrict gap)
{
    double W[SM_LANES], planned[SM_LANES];
    const sm_parts *parts = &p->parts[index];
    const sm_side_model *model = &p->root[index].side[k].outputs.model;
    const sm_landmarks *landmarks = &w->at.landmarks[parts->side[k].landmarks.slot];
    if (parts->tube.owner == 0 && parts->shape.owner == 0)
        return;
    sm_side_waist(model, &p->root[index].shape, &w->at.tube[parts->tube.slot], landmarks, W);
    sm_side_waist(model, &p->root[0].shape, &w->at.tube[0], landmarks, planned);
    for (int i = 0; i < SM_LANES; i++)
        gap[i] += (planned[i] - W[i]) / 2;
}

static void reach_side(const sm_plan *p, int index, int k, const sm_worker *w, const sm_side_out *out, reaching *r)
{
    double gap[SM_LANES];
    const sm_root_side *side = &p->root[index].side[k];
    const bool lacerated = side->outputs.laceration.column >= 0;
    if (!r->reached || side->outputs.model.counts == 0)
        return;
    memcpy(gap, out->y[SM_CONVENTIONAL_OSTIUM], sizeof gap);
    if (index > 0)
        widen(p, index, k, w, gap);
    sm_reached_side(r->reached, &r->group, k, gap, lacerated ? out->uncut_cover : out->y[SM_COVER],
                    lacerated ? out->opened : NULL, side->rescue.column >= 0 ? side->rescue.probability : 0, &r->curve);
}

static void end_reaching(const double *weight, int n, const reaching *r)
{
    if (r->reached)
        sm_reached_add(r->reached, &r->group, weight, n);
}

/* root[0] is evaluated once, before all others. */
static void group_first(const sm_plan *p, sm_worker *w, int n, const sm_gathered *of, side_counts *f, task_part *g)
{
    reaching reach;
    begin_reaching(p, of, 0, g, &reach);
    memset(f, 0, sizeof *f);
    sm_evaluate_first(p, w->column, &w->at);
    f->weight = weights_of_first(p, w, f->room);
    for (int k = 0; k < p->root[0].n_sides; k++) {
        if (k < g->n_spreads)
            add_spreads(&w->at.side[k], f->weight, n, g->spread[k], g->crossing[k]);
        count_side(&p->root[0].side[k], &w->at.side[k], 1, f);
        tally_side(&w->at.side[k], f->weight, n, &g->tally[0].side[k]);
        reach_side(p, 0, k, w, &w->at.side[k], &reach);
    }
    end_reaching(f->weight, n, &reach);
    memcpy(f->unrescued, f->event, sizeof f->unrescued);
    tally_patient(f, f, n, &g->tally[0]);
    if (g->n_spreads > 0) {
        add_in_population(p, w, n, f, &g->in_population);
        add_by_limits(p, w, f->weight, n, g->by_limits);
    }
    if (f->weight)
        add_states(p, w, n, f, g->state);
}

/* The weights of root `index`, all of whose sides are evaluated. */
static void weigh_root(const sm_plan *p, int index, const sm_worker *w, const side_counts *first, side_counts *f)
{
    if (sm_parts_weigh_as_first(p->root, p->parts, index)) {
        f->weight = first->weight;
        return;
    }
    f->weight = NULL;
    if (p->root[index].steering.n == 0)
        return;
    sm_evaluate_weights(p, index, &w->at, f->room);
    f->weight = f->room;
}

static bool shares_tally(const sm_plan *p, int index, int k)
{
    return p->parts[index].side[k].outputs.owner == 0 && sm_parts_weigh_as_first(p->root, p->parts, index);
}

/* Without weights a side is tallied as soon as it is evaluated: the next one may take its place. */
static void group_sides(const sm_plan *p, int index, sm_worker *w, int n, side_counts *f, sm_tally *t, reaching *reach)
{
    const sm_root *r = &p->root[index];
    for (int k = 0; k < r->n_sides; k++) {
        const sm_side_out *out = sm_evaluate_side(p, index, k, w->column, &w->at);
        if (out != &w->at.side[k]) {
            count_side(&p->root[0].side[k], &w->at.side[k], -1, f);
            count_side(&r->side[k], out, 1, f);
        }
        if (r->steering.n == 0 && !shares_tally(p, index, k))
            tally_side(out, NULL, n, &t->side[k]);
        if (r->rescues)
            count_unrescued(r, k, w, out, f);
        reach_side(p, index, k, w, out, reach);
    }
}

/* The sides that differ from root[0] take the place of root[0]'s. The tallies of the others are root[0]'s too where it
 * weighs alike: share_tallies copies them at the end. */
static void group_root(const sm_plan *p, int index, sm_worker *w, int n, const sm_gathered *of,
                       const side_counts *first, side_counts *f, task_part *g)
{
    const sm_root *r = &p->root[index];
    sm_tally *t = &g->tally[index];
    reaching reach;
    begin_reaching(p, of, index, g, &reach);
    *f = *first;
    memset(f->unrescued, 0, sizeof f->unrescued);
    sm_evaluate_shared(p, index, w->column, &w->at);
    group_sides(p, index, w, n, f, t, &reach);
    weigh_root(p, index, w, first, f);
    end_reaching(f->weight, n, &reach);
    for (int k = 0; f->weight && k < r->n_sides; k++)
        if (!shares_tally(p, index, k))
            tally_side(&w->at.side[p->parts[index].side[k].outputs.slot], f->weight, n, &t->side[k]);
    if (!r->rescues)
        memcpy(f->unrescued, f->event, sizeof f->unrescued);
    tally_patient(f, first, n, t);
}

/* Of how many roots the unrescued events are asked for. */
static int paired(const sm_gathered *of)
{
    const int looked_at = of->observer ? of->observer->n_roots : 0;
    return of->pairs.n > looked_at ? of->pairs.n : looked_at;
}

static void run_group(const sm_plan *p, sm_worker *w, int n, const sm_gathered *of, task_part *g)
{
    side_counts first, f;
    sm_mask unrescued[SM_MAX_PAIRED];
    const int n_paired = paired(of);
    group_first(p, w, n, of, &first, g);
    if (n_paired > 0)
        unrescued[0] = sm_mask_of(first.unrescued, n);
    for (int index = 1; index < of->n_roots; index++) {
        group_root(p, index, w, n, of, &first, &f, g);
        if (index < n_paired)
            unrescued[index] = sm_mask_of(f.unrescued, n);
    }
    sm_pairs_add(&g->pairs, unrescued, first.weight);
    if (g->observed)
        of->observer->look(of->observer->self, g->observed, w, sm_columns_of(p, 0, w->column, &w->at), first.weight,
                           unrescued, n);
    g->n += n;
}

static void share_tallies(const sm_plan *p, sm_gathered *g)
{
    sm_tally *first = &g->tally[0];
    first->with_first = sm_joint_of_one(&first->patient.event);
    first->unrescued_with_first = sm_joint_of_one(&first->unrescued);
    for (int index = 1; index < g->n_roots; index++)
        for (int k = 0; k < g->n_sides; k++)
            if (shares_tally(p, index, k))
                g->tally[index].side[k] = g->tally[0].side[k];
}

/* 4. Tasks */

typedef struct {
    sm_worker worker;
    task_part part;
} slot;

typedef struct {
    const sm_plan *plan;
    sm_run_context context;
    sm_gathered *out;
} run_job;

/* False if it was interrupted; at least one group is gathered. */
static bool run_block(const run_job *job, slot *s, uint32_t block, int64_t left)
{
    const sm_plan *p = job->plan;
    if (left <= 0)
        return true;
    sm_worker_draw(p, &s->worker, SM_FOR_RUN, block);
    for (int g = 0; g < GROUPS && left > 0; g++) {
        int n = left < SM_LANES ? (int)left : SM_LANES;
        sm_worker_point(&s->worker, g);
        run_group(p, &s->worker, n, job->out, &s->part);
        left -= n;
        if (left > 0 && sm_watch_interrupted(job->context.watch))
            return false;
    }
    return true;
}

static bool task_run(void *self, void *slot_, int64_t task)
{
    const run_job *job = self;
    slot *s = slot_;
    const int64_t first = task * SM_TASK_BLOCKS;
    part_empty(job->out, &s->part);
    for (int64_t block = first; block < first + SM_TASK_BLOCKS; block++)
        if (!run_block(job, s, (uint32_t)block, job->context.trials - block * SM_BLOCK))
            return false;
    return true;
}

static sm_status task_create(void *self, void *slot_)
{
    const run_job *job = self;
    slot *s = slot_;
    sm_status status = part_create(job->plan, job->out, &s->part);
    return status == SM_OK ? sm_worker_create(job->plan, &s->worker) : status;
}

static void task_destroy(void *self, void *slot_)
{
    const run_job *job = self;
    slot *s = slot_;
    sm_worker_destroy(&s->worker);
    part_destroy(job->out, &s->part);
}

static bool task_merge(void *self, const void *slot_)
{
    const run_job *job = self;
    const sm_watch *watch = &job->context.watch;
    const slot *s = slot_;
    take(job->out, &s->part);
    return watch->enough && watch->enough(watch->self, job->out);
}

static void wave_done(void *self)
{
    const run_job *job = self;
    const sm_watch *watch = &job->context.watch;
    if (watch->progress)
        watch->progress(watch->self, job->out, job->context.trials);
}

sm_status sm_run(const sm_plan *p, sm_run_context context, sm_gathered *out)
{
    run_job self = {.plan = p, .context = context, .out = out};
    sm_job job = {.self = &self,
                  .tasks = (context.trials + SM_TASK_TRIALS - 1) / SM_TASK_TRIALS,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy,
                  .between = wave_done};
    gathered_clear(out);
    sm_status s = sm_job_run(&job, context);
    share_tallies(p, out);
    return s;
}
