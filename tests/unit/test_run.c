/* test_run.c - counts that do not depend on threads, partial blocks, interrupted runs, calls, proportions, sequences.
 *
 * Contents: 1. proportions  2. sequences  3. runs  4. calls  5. the waist
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>

#include "engine/assess.h"
#include "sampling/rng.h"

static demo_case demo;

/* 1. Proportions */

static void no_trials_say_nothing(void **state)
{
    (void)state;
    const sm_probability p = sm_probability_of(0, 0);
    assert_true(isnan(p.probability) && isnan(p.standard_error) && isnan(p.low) && isnan(p.high));
}

static void none_and_all_are_not_certain(void **state)
{
    (void)state;
    const sm_probability none = sm_probability_of(0, 1000000), all = sm_probability_of(1000000, 1000000);
    assert_true(none.low == 0 && none.high > 3.8e-6 && none.high < 3.9e-6);
    assert_true(all.high == 1);
    assert_near(all.low, 1 - none.high, 0, 1e-15);
    for (int64_t n = 1; n < 3000; n = 3 * n / 2 + 1)
        for (int64_t k = 0; k <= n; k += 1 + n / 7) {
            const sm_probability p = sm_probability_of(k, n), q = sm_probability_of(n - k, n);
            assert_true(p.low <= p.probability && p.probability <= p.high && p.low >= 0 && p.high <= 1);
            assert_near(p.low, 1 - q.high, 0, 1e-15);
        }
}

static double log_binomial(int k, int n, double p)
{
    return lgamma(n + 1.0) - lgamma(k + 1.0) - lgamma(n - k + 1.0) + k * log(p) + (n - k) * log1p(-p);
}

/* Exact coverage, summed over all outcomes (computed for this project): n = 100, p = 0.05 and 0.5. */
static void wilson_covers_as_computed(void **state)
{
    (void)state;
    const double p[] = {0.05, 0.5}, want[] = {0.9658912, 0.9431121};
    for (int i = 0; i < 2; i++) {
        double covered = 0;
        for (int k = 0; k <= 100; k++) {
            const sm_probability w = sm_probability_of(k, 100);
            covered += w.low <= p[i] && p[i] <= w.high ? exp(log_binomial(k, 100, p[i])) : 0;
        }
        assert_near(covered, want[i], 0, 1e-7);
    }
}

/* 30 of 1,000 gained and 10 lost: each trial is +1, -1 or 0, with mean 0.02 and mean square 0.04. */
static void a_paired_difference_is_a_mean_of_three_values(void **state)
{
    (void)state;
    const sm_estimate more = sm_paired_difference(30, 10, 1000), all = sm_paired_difference(0, 1000, 1000);
    assert_near(more.value, 0.02, 1e-15, 0);
    assert_near(more.standard_error, sqrt((0.04 - 0.0004) / 1000), 1e-14, 0);
    assert_near(all.value, -1, 0, 0);
    assert_near(all.standard_error, 0, 0, 0);
}

/* 2. Sequences */

/* Over 2,000 walks of 3,000 trials at their own true p, fewer than 1 in 1,000 (and 5 standard errors) ever leave it
 * out. */
static void a_sequence_seldom_leaves_the_truth_out(void **state)
{
    (void)state;
    enum { WALKS = 2000, STEPS = 3000 };
    static double u[STEPS];
    int left_out = 0;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    for (uint32_t walk = 0; walk < WALKS; walk++) {
        bool out = false;
        int64_t k = 0;
        sm_rng_seek(r, 1, sm_rng_stream("walk", 0), walk);
        sm_rng_uniforms(r, u, STEPS);
        for (int64_t n = 1; n <= STEPS; n++) {
            k += u[n - 1] < 0.2;
            if (n % 10 == 0)
                out = out || sm_sequence_excludes(k, n, 0.2, 0.05);
        }
        left_out += out;
    }
    gsl_rng_free(r);
    assert_true(left_out < 0.05 * WALKS + 5 * sqrt(0.05 * 0.95 * WALKS));
}

static void a_sequence_s_ends_are_where_it_excludes(void **state)
{
    (void)state;
    for (int64_t n = 50; n < 2000000000; n *= 37)
        for (int part = 0; part <= 4; part++) {
            double low, high;
            const int64_t k = n * part / 4;
            sm_sequence_interval(k, n, 0.001, &low, &high);
            assert_true(low <= (double)k / (double)n && (double)k / (double)n <= high);
            assert_true(part == 0 ? low == 0 : sm_sequence_excludes(k, n, low * (1 - 1e-9), 0.001));
            assert_true(part == 4 ? high == 1 : sm_sequence_excludes(k, n, high + (1 - high) * 1e-9, 0.001));
            assert_false(part > 0 && sm_sequence_excludes(k, n, low + 1e-9 * low, 0.001));
        }
    assert_false(sm_sequence_excludes(0, 0, 0.5, 0.001));
}

/* 3. Runs */

/* Runs the tasks of a batch from the last to the first: an order that no single thread would choose. */
static void run_backwards(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = n; i-- > 0;)
        task(arg, i);
}

static sm_plan plan_of(const sm_case *c)
{
    sm_plan p;
    assert_int_equal(sm_plan_create(c, 1, &p), SM_OK);
    return p;
}

static const sm_watch nobody = {0};

static sm_status run(const sm_plan *p, int64_t trials, int width, sm_watch watch, sm_gathered *g)
{
    const sm_executor executor = {.width = width, .run = run_backwards};
    assert_int_equal(sm_gathered_create(p, p->n_roots, 1, g), SM_OK);
    return sm_run(p, (sm_run_context){.trials = trials, .executor = executor, .watch = watch}, g);
}

static void expect_same(const sm_gathered *a, const sm_gathered *b)
{
    assert_int_equal(a->n, b->n);
    for (int r = 0; r < a->n_roots; r++) {
        const sm_tally *x = &a->tally[r], *y = &b->tally[r];
        assert_memory_equal(&x->patient, &y->patient, sizeof x->patient);
        assert_memory_equal(x->side, y->side, (size_t)a->n_sides * sizeof *x->side);
        assert_memory_equal(&x->unrescued, &y->unrescued, sizeof x->unrescued);
        assert_memory_equal(&x->with_first, &y->with_first, sizeof x->with_first);
        assert_memory_equal(&x->unrescued_with_first, &y->unrescued_with_first, sizeof x->with_first);
    }
    assert_memory_equal(a->state, b->state, sizeof a->state);
    assert_memory_equal(&a->in_population, &b->in_population, sizeof a->in_population);
    assert_memory_equal(a->spread, b->spread, (size_t)a->n_sides * sizeof *a->spread);
    assert_memory_equal(a->crossing, b->crossing, (size_t)a->n_sides * sizeof *a->crossing);
}

static sm_reader_row look_row[3];
static double look_mm[3][1];

/* Second looks at both ostia's gaps and at the ring, one of them far off. */
static void look_thrice(void)
{
    static const double reading[] = {6.9, 11.5, 22.6};
    sm_quantity *at[] = {&demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP], &demo.side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP],
                         &demo.c.valve.inner_diameter};
    for (int i = 0; i < 3; i++) {
        look_mm[i][0] = reading[i];
        look_row[i] = (sm_reader_row){NULL, 1, look_mm[i]};
        at[i]->cross_check = (sm_cross_check){.present = true,
                                              .readings = {1, &look_row[i]},
                                              .reader_sd_mm = i < 2 ? 1 : 0.3,
                                              .magnification_sd = i < 2 ? 0.04 : 0,
                                              .view_error_sd_deg = i < 2 ? 8 : 0,
                                              .spoiled = 0.05};
    }
}

static void expect_same_for_any_width(const sm_plan *p)
{
    const int width[] = {2, 3, 7};
    sm_gathered one, other;
    assert_int_equal(run(p, 6 * SM_TASK_TRIALS + 777, 1, nobody, &one), SM_OK);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(run(p, 6 * SM_TASK_TRIALS + 777, width[i], nobody, &other), SM_OK);
        expect_same(&one, &other);
        sm_gathered_destroy(&other);
    }
    sm_gathered_destroy(&one);
}

/* Bit for bit: counts or weights, moments, histograms; with second looks and without. */
static void widths_do_not_change_results(void **state)
{
    (void)state;
    for (int looks = 0; looks < 2; looks++) {
        demo_fill(&demo);
        if (looks)
            look_thrice();
        sm_plan p = plan_of(&demo.c);
        sm_implant smaller = demo.c.implant;
        smaller.nominal_diameter_mm = 22.5;
        assert_int_equal(sm_plan_weighs_first(&p), looks);
        assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &smaller}, NULL), SM_OK);
        expect_same_for_any_width(&p);
        sm_plan_destroy(&p);
    }
}

/* 1 trial, a part of a group, of a block, of a task; the first n of a longer run are the run of n. */
static void any_number_of_trials_is_exact(void **state)
{
    (void)state;
    const int64_t trials[] = {1, 255, 257, 1023, 1025, SM_TASK_TRIALS - 1, SM_TASK_TRIALS + 1};
    double events = 0;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    for (int i = 0; i < 7; i++) {
        sm_gathered g;
        assert_int_equal(run(&p, trials[i], 2, nobody, &g), SM_OK);
        assert_int_equal(g.n, trials[i]);
        for (int o = 0; o < SM_OUTPUTS; o++)
            assert_int_equal(g.spread[0][o].span.moments.n + g.spread[0][o].span.not_numbers, trials[i]);
        assert_true(g.tally[0].patient.event.we >= events && g.tally[0].patient.event.we <= (double)trials[i]);
        events = g.tally[0].patient.event.we;
        sm_gathered_destroy(&g);
    }
    assert_true(events > 0);
    sm_plan_destroy(&p);
}

enum { ROOTS = 5 };

/* Every number of a run again, trial by trial, each with its weight. crossing: of root 0, of the clearances at which
 * each limit is crossed. */
typedef struct {
    sm_tally tally[ROOTS];
    sm_counts side[ROOTS][DEMO_SIDES];
    double crossing[DEMO_SIDES][SM_GAPS],
        below[DEMO_SIDES][SM_GAPS]; /* sums of weight times clearance, and of weights */
} recount;

/* What happens in one trial of one root. */
typedef struct {
    double weight;
    bool crossed[DEMO_SIDES][SM_GAPS], unrescued;
} one_trial;

static void add_one(double weight, bool event, sm_weighted *s)
{
    s->w += weight;
    s->ww += weight * weight;
    s->we += event ? weight : 0;
    s->wwe += event ? weight * weight : 0;
    s->wwee += event ? weight * weight : 0;
}

static bool any_crossed(const one_trial *t, int gap)
{
    return t->crossed[DEMO_LEFT][gap] || t->crossed[DEMO_RIGHT][gap];
}

static bool any_event(const one_trial *t)
{
    return any_crossed(t, SM_GAP_OSTIUM) || any_crossed(t, SM_GAP_STJ);
}

static void add_two(const one_trial *t, bool event, const one_trial *first, bool before, sm_joint_sums *s)
{
    const double both = t->weight * first->weight;
    s->ww += both;
    s->wwa += event ? both : 0;
    s->wwb += before ? both : 0;
    s->wwab += event && before ? both : 0;
}

static void add_trial(const one_trial *t, const one_trial *first, sm_tally *to)
{
    for (int k = 0; k < DEMO_SIDES; k++) {
        add_one(t->weight, t->crossed[k][SM_GAP_OSTIUM] || t->crossed[k][SM_GAP_STJ], &to->side[k].event);
        for (int g = 0; g < SM_GAPS; g++)
            add_one(t->weight, t->crossed[k][g], &to->side[k].crossed[g]);
    }
    add_one(t->weight, any_event(t), &to->patient.event);
    for (int g = 0; g < SM_GAPS; g++)
        add_one(t->weight, any_crossed(t, g), &to->patient.crossed[g]);
    add_one(t->weight, t->unrescued, &to->unrescued);
    add_two(t, any_event(t), first, any_event(first), &to->with_first);
    add_two(t, t->unrescued, first, first->unrescued, &to->unrescued_with_first);
}

/* The trials of one root, of which those before it are evaluated. */
static void take_root(const sm_plan *p, int index, sm_worker *w, one_trial t[SM_LANES])
{
    double saved[SM_LANES], weight[SM_LANES];
    memset(t, 0, SM_LANES * sizeof *t);
    sm_evaluate_shared(p, index, w->column, &w->at);
    for (int k = 0; k < DEMO_SIDES; k++) {
        const sm_side_out *out = sm_evaluate_side(p, index, k, w->column, &w->at);
        sm_chance_draw(&p->root[index].side[k].rescue, w->column, saved);
        for (int i = 0; i < SM_LANES; i++) {
            t[i].crossed[k][SM_GAP_OSTIUM] = out->crowded[i] != 0;
            t[i].crossed[k][SM_GAP_STJ] = out->sealed[i] != 0;
            t[i].unrescued = t[i].unrescued || ((out->crowded[i] != 0 || out->sealed[i] != 0) && saved[i] == 0);
        }
    }
    sm_evaluate_weights(p, index, &w->at, weight);
    for (int i = 0; i < SM_LANES; i++)
        t[i].weight = weight[i];
}

static void recount_group(const sm_plan *p, sm_worker *w, int n, recount *r)
{
    static one_trial trial[ROOTS][SM_LANES];
    double any[SM_LANES];
    for (int index = 0; index < p->n_roots; index++) {
        take_root(p, index, w, trial[index]);
        for (int i = 0; i < n; i++)
            add_trial(&trial[index][i], &trial[0][i], &r->tally[index]);
    }
    sm_any_event(w->at.side, DEMO_SIDES, any);
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int i = 0; i < n; i++)
            for (int gap = 0; gap < SM_GAPS; gap++) {
                const double weight = trial[0][i].crossed[k][gap] ? trial[0][i].weight : 0;
                r->crossing[k][gap] += weight * w->at.side[k].y[sm_gaps[gap].clearance][i];
                r->below[k][gap] += weight;
                assert_true((any[i] != 0) == any_event(&trial[0][i]));
            }
}

static void recount_run(const sm_plan *p, int64_t trials, recount *r)
{
    sm_worker w;
    *r = (recount){.crossing = {{0}}};
    for (int index = 0; index < p->n_roots; index++)
        r->tally[index].side = r->side[index];
    assert_int_equal(sm_worker_create(p, &w), SM_OK);
    for (int64_t done = 0; done < trials; done += SM_LANES) {
        if (done % SM_BLOCK == 0)
            sm_worker_draw(p, &w, SM_FOR_RUN, (uint32_t)(done / SM_BLOCK));
        sm_worker_point(&w, (int)(done % SM_BLOCK) / SM_LANES);
        recount_group(p, &w, trials - done < SM_LANES ? (int)(trials - done) : SM_LANES, r);
    }
    sm_worker_destroy(&w);
}

/* Sums of 0 and 1 are exact in any order, and so are those of equal weights. */
static void expect_sums(const double *got, const double *want, int n)
{
    for (int i = 0; i < n; i++)
        assert_near(got[i], want[i], 1e-11, 0);
}

static void expect_weighted(const sm_weighted *got, const sm_weighted *want)
{
    expect_sums((const double[]){got->w, got->ww, got->we, got->wwe, got->wwee},
                (const double[]){want->w, want->ww, want->we, want->wwe, want->wwee}, 5);
}

static void expect_joint(const sm_joint_sums *got, const sm_joint_sums *want)
{
    expect_sums((const double[]){got->ww, got->wwa, got->wwb, got->wwab},
                (const double[]){want->ww, want->wwa, want->wwb, want->wwab}, 4);
}

static void expect_counts(const sm_counts *got, const sm_counts *want)
{
    expect_weighted(&got->event, &want->event);
    for (int g = 0; g < SM_GAPS; g++)
        expect_weighted(&got->crossed[g], &want->crossed[g]);
}

static void expect_recounted(const sm_tally *got, const sm_tally *want)
{
    expect_counts(&got->patient, &want->patient);
    for (int k = 0; k < DEMO_SIDES; k++)
        expect_counts(&got->side[k], &want->side[k]);
    expect_weighted(&got->unrescued, &want->unrescued);
    expect_joint(&got->with_first, &want->with_first);
    expect_joint(&got->unrescued_with_first, &want->unrescued_with_first);
}

static void expect_crossings(const sm_gathered *g, const recount *r)
{
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int gap = 0; gap < SM_GAPS; gap++) {
            const sm_spread *s = &g->crossing[k][gap], *all = &g->spread[k][sm_gaps[gap].clearance];
            assert_near(s->span.moments.weight, r->below[k][gap], 1e-11, 0);
            assert_near(s->span.moments.mean * r->below[k][gap], r->crossing[k][gap], 1e-9, 1e-9);
            assert_true(s->span.low == all->span.low && s->span.high == all->span.high);
        }
}

/* Events of root `index` that the first has not, and the reverse, in weight. */
static double gained(const recount *r, int index)
{
    return r->tally[index].with_first.wwa - r->tally[index].with_first.wwab;
}

static double lost(const recount *r, int index)
{
    return r->tally[index].with_first.wwb - r->tally[index].with_first.wwab;
}

/* Every number of a run, counted again from the flags of its trials. Both rules are crossed on both sides, each without
 * the other too; one root gains and loses events, one rescues too; of one a gap reads more, and of one a height is less
 * sure, so that its trials weigh otherwise though the looks steer them alike; the last group fills no eight. */
static void expect_recount(bool looks)
{
    const int64_t trials = SM_TASK_TRIALS + 2 * SM_BLOCK + 77;
    const double chance[] = {0.6, 0.9};
    static recount want;
    sm_gathered g;
    demo_fill(&demo);
    if (looks)
        look_thrice();
    for (int k = 0; k < DEMO_SIDES; k++)
        demo.mm[k][SM_STJ_HEIGHT][0][0] = 14.2;
    sm_plan p = plan_of(&demo.c);
    sm_implant deeper = demo.c.implant;
    deeper.implant_depth_mm = sm_dist_normal(5.5, 2.5);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &deeper}, NULL), SM_OK);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &deeper, .rescue = chance}, NULL), SM_OK);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.more_mm = 0.7}, NULL), SM_OK);
    sm_coronary unsure[DEMO_SIDES];
    sm_case other = demo.c;
    memcpy(unsure, demo.side, sizeof unsure);
    other.coronary = unsure;
    unsure[DEMO_LEFT].quantity[SM_OSTIUM_HEIGHT].between_reader_sd_mm = 4;
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = &other}, NULL), SM_OK);
    assert_true(p.parts[4].steering.owner == 0 && p.parts[4].side[DEMO_RIGHT].outputs.owner == 0);
    assert_int_equal(run(&p, trials, 2, nobody, &g), SM_OK);
    recount_run(&p, trials, &want);
    for (int index = 0; index < p.n_roots; index++)
        expect_recounted(&g.tally[index], &want.tally[index]);
    expect_crossings(&g, &want);
    for (int k = 0; k < DEMO_SIDES; k++) {
        const sm_counts *c = &want.side[0][k];
        assert_true(c->event.we > c->crossed[SM_GAP_OSTIUM].we && c->event.we > c->crossed[SM_GAP_STJ].we);
        assert_true(c->crossed[SM_GAP_OSTIUM].we != c->crossed[SM_GAP_STJ].we && c->crossed[SM_GAP_STJ].we > 0);
    }
    assert_true(gained(&want, 1) > 0 && lost(&want, 1) > 0 && gained(&want, 1) != lost(&want, 1));
    assert_true(want.tally[2].unrescued.we < want.tally[1].unrescued.we);
    for (int index = 3; index < ROOTS; index++)
        assert_true((want.tally[index].patient.event.ww != want.tally[0].patient.event.ww) == looks);
    if (!looks) /* weights of 1: sums are numbers of trials */
        assert_true(g.tally[0].patient.event.w == (double)trials && g.tally[0].patient.event.ww == (double)trials);
    sm_gathered_destroy(&g);
    sm_plan_destroy(&p);
}

static void counts_are_those_of_the_trials(void **state)
{
    (void)state;
    expect_recount(false);
}

static void weighted_sums_are_those_of_the_trials(void **state)
{
    (void)state;
    expect_recount(true);
}

static bool stop_now(void *self)
{
    (void)self;
    return true;
}

/* Ctrl-C within the first task: what is known is exact for as many trials, a group of each slot. */
static void an_interrupted_run_keeps_what_is_known(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    const sm_watch watch = {.interrupted = stop_now};
    sm_gathered cut, whole;
    assert_int_equal(run(&p, 9 * SM_TASK_TRIALS, 2, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, 2 * SM_LANES);
    sm_gathered_destroy(&cut);
    assert_int_equal(run(&p, 9 * SM_TASK_TRIALS, 1, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, SM_LANES);
    assert_int_equal(run(&p, SM_LANES, 1, nobody, &whole), SM_OK);
    expect_same(&cut, &whole);
    sm_gathered_destroy(&cut);
    /* In the last task, too, what is left out is known to be left out. */
    assert_int_equal(run(&p, SM_TASK_TRIALS, 1, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, SM_LANES);
    sm_gathered_destroy(&cut);
    /* Too late to matter: the run had ended. */
    assert_int_equal(run(&p, SM_LANES, 2, watch, &cut), SM_OK);
    sm_gathered_destroy(&cut);
    sm_gathered_destroy(&whole);
    sm_plan_destroy(&p);
}

static bool three_tasks(void *self, const sm_gathered *so_far)
{
    ++*(int *)self;
    return so_far->n >= 3 * SM_TASK_TRIALS;
}

/* `enough` is asked after each task in order, so that it stops every width at the same trial. */
static void enough_stops_at_the_same_trial(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    sm_gathered one, many;
    int asked = 0;
    const sm_watch watch = {.self = &asked, .enough = three_tasks};
    assert_int_equal(run(&p, 50 * SM_TASK_TRIALS, 1, watch, &one), SM_OK);
    assert_int_equal(asked, 3);
    assert_int_equal(run(&p, 50 * SM_TASK_TRIALS, 7, watch, &many), SM_OK);
    assert_int_equal(asked, 6);
    expect_same(&one, &many);
    sm_gathered_destroy(&one);
    sm_gathered_destroy(&many);
    sm_plan_destroy(&p);
}

/* Another seed is another sample of the same truth; seed 0 is one as well. */
static void seeds_agree_within_their_error(void **state)
{
    (void)state;
    const uint64_t seed[] = {0, 1, 2, 18446744073709551615u};
    double p[4];
    demo_fill(&demo);
    for (int i = 0; i < 4; i++) {
        sm_assessment a;
        assert_int_equal(sm_assess(&demo.c, (sm_run_context){.trials = 100000, .seed = seed[i]}, &a), SM_OK);
        p[i] = a.patient.event.probability;
        for (int j = 0; j < i; j++) {
            assert_true(p[i] != p[j]);
            assert_near(p[i], p[j], 0, 5 * sqrt(2) * a.patient.event.standard_error);
        }
        sm_assessment_destroy(&a);
    }
}

/* 4. Calls */

static void calls_follow_the_interval(void **state)
{
    (void)state;
    assert_int_equal(sm_call_of(0.21, 0.25, 0.20), SM_CALL_ABOVE);
    assert_int_equal(sm_call_of(0.20, 0.25, 0.20), SM_CALL_ABOVE); /* act when at least the line */
    assert_int_equal(sm_call_of(0.19, 0.25, 0.20), SM_CALL_UNRESOLVED);
    assert_int_equal(sm_call_of(0.15, 0.20, 0.20), SM_CALL_UNRESOLVED);
    assert_int_equal(sm_call_of(0.15, 0.199, 0.20), SM_CALL_BELOW);
    assert_int_equal(sm_call_of(0.15, 0.199, 0), SM_CALL_NONE);
    assert_int_equal(sm_call_of(NAN, NAN, 0.2), SM_CALL_UNRESOLVED);
}

static sm_status assess(double line, int64_t trials, int64_t cap, sm_assessment *a)
{
    demo.c.action_line = line;
    const sm_run_context context = {.trials = trials, .seed = 1};
    return cap > 0 ? sm_assess_until_resolved(&demo.c, cap, context, a) : sm_assess(&demo.c, context, a);
}

static void going_on_until_resolved(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(assess(0.10, 1000, 1000000, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_ABOVE);
    assert_true(a.decision.by_sequence && a.decision.low > 0.10 && a.trials < 1000000);
    const double p = a.patient.event.probability;
    sm_assessment_destroy(&a);
    assert_int_equal(assess(p, 1000, 40000, &a), SM_UNRESOLVED); /* a line at the answer itself */
    assert_int_equal(a.decision.call, SM_CALL_UNRESOLVED);
    assert_int_equal(a.decision.reason, SM_REASON_MONTE_CARLO);
    assert_true(a.complete && a.trials == 40000);
    sm_assessment_destroy(&a);
}

static void without_a_line_nothing_is_called(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(assess(0, 1000, 0, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_NONE);
    assert_int_equal(a.decision.reason, SM_REASON_NONE);
    sm_assessment_destroy(&a);
}

/* As many trials as were asked for, though 32,768 would settle it. */
static void no_fewer_trials_than_asked(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(assess(0.9, 100000, 1000000, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_BELOW);
    assert_int_equal(a.trials, 4 * SM_TASK_TRIALS); /* it is asked after whole tasks */
    sm_assessment_destroy(&a);
}

/* The left ostium's gap reads 5.7 and, looked at again, 14 mm: a line between what either says alone leaves the call
 * open, however many trials there are; a line on one side of both does not. */
static void readings_on_either_side_of_a_line_leave_it_open(void **state)
{
    (void)state;
    static double mm[] = {14};
    static sm_reader_row row = {NULL, 1, mm};
    sm_assessment a;
    demo_fill(&demo);
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].cross_check = (sm_cross_check){
        .present = true, .readings = {1, &row}, .reader_sd_mm = 1, .view_error_sd_deg = 8, .spoiled = 0.05};
    assert_int_equal(assess(0.5, 50000, 0, &a), SM_OK);
    const sm_look_result l = a.look[0];
    const double low = l.event_look_only.probability, high = l.event_first_only.probability;
    assert_true(a.n_looks == 1 && l.at == SM_LOOKED_OSTIUM_GAP && l.side == DEMO_LEFT);
    sm_assessment_destroy(&a);
    assert_true(low < high - 0.05);
    const double line[] = {low / 2, (0.9 * low + 0.1 * high), (0.1 * low + 0.9 * high), (1 + high) / 2};
    const sm_call call[] = {SM_CALL_ABOVE, SM_CALL_UNRESOLVED, SM_CALL_UNRESOLVED, SM_CALL_BELOW};
    for (int i = 0; i < 4; i++) {
        assert_int_equal(assess(line[i], 50000, 0, &a), SM_OK);
        assert_int_equal(a.decision.call, call[i]);
        assert_int_equal(a.decision.reason, i == 1 || i == 2 ? SM_REASON_LOOKS_OPPOSED : SM_REASON_NONE);
        assert_int_equal(a.look[0].opposed, i == 1 || i == 2);
        sm_assessment_destroy(&a);
    }
}

/* Readings that agree, each of which alone leads to another side of the line, close no call: they are told. */
static void readings_that_agree_are_apart_at_most(void **state)
{
    (void)state;
    static double mm[] = {8};
    static sm_reader_row row = {NULL, 1, mm};
    sm_assessment a;
    demo_fill(&demo);
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].cross_check = (sm_cross_check){
        .present = true, .readings = {1, &row}, .reader_sd_mm = 1.3, .view_error_sd_deg = 8, .spoiled = 0.05};
    assert_int_equal(assess(0.5, 50000, 0, &a), SM_OK);
    const sm_probability first = a.look[0].event_first_only, look = a.look[0].event_look_only;
    assert_true(a.look[0].state[SM_BOTH_RIGHT].low > 0.5);
    sm_assessment_destroy(&a);
    assert_true(fabs(first.probability - look.probability) > 0.04);
    assert_int_equal(assess((first.probability + look.probability) / 2, 50000, 0, &a), SM_OK);
    assert_true(a.look[0].apart && !a.look[0].opposed);
    assert_int_not_equal(a.decision.reason, SM_REASON_LOOKS_OPPOSED);
    sm_assessment_destroy(&a);
}

/* A look so sharp that the second order of the geometry is many of its standard deviations: the trials still count, and
 * two seeds say the same. */
static void sharp_looks_keep_their_trials(void **state)
{
    (void)state;
    static const sm_quantity_id at[] = {SM_LEAFLET_HEIGHT, SM_OSTIUM_GAP, SM_STJ_GAP};
    static const double reads[] = {13.2, 6.6, 3.4};
    for (int i = 0; i < 3; i++) {
        double mm[] = {reads[i]};
        sm_reader_row row = {NULL, 1, mm};
        sm_probability p[2];
        demo_fill(&demo);
        demo.side[DEMO_LEFT].quantity[at[i]].cross_check = (sm_cross_check){.present = true,
                                                                            .modality = i == 0 ? SM_CT : SM_FLUOROSCOPY,
                                                                            .readings = {1, &row},
                                                                            .reader_sd_mm = 0.01,
                                                                            .view_error_sd_deg = i == 0 ? 0 : 8,
                                                                            .spoiled = 0.05};
        for (uint64_t seed = 0; seed < 2; seed++) {
            sm_assessment a;
            assert_int_equal(sm_assess(&demo.c, (sm_run_context){.trials = 65536, .seed = seed}, &a), SM_OK);
            assert_true(a.effective_trials > 65536 / 4);
            p[seed] = a.patient.event;
            sm_assessment_destroy(&a);
        }
        assert_near(p[0].probability, p[1].probability, 0, 4 * hypot(p[0].standard_error, p[1].standard_error));
    }
}

/* 5. The waist */

/* The waist of a frame whose diameter is 23 mm times 1.05 at its bottom, 0.9 at 0.4 of its height: the ring lies at
 * (2.5 + 4)/19 of it. */
static void the_waist_is_at_the_ring(void **state)
{
    (void)state;
    static const double shape[][2] = {{0, 1.05}, {0.4, 0.9}, {1, 1.2}};
    sm_assessment a;
    demo_fill(&demo);
    demo_still_tube(&demo);
    demo.c.implant.nominal_diameter_mm = 23;
    demo.c.implant.shape_points = 3;
    memcpy(demo.c.implant.shape, shape, sizeof shape);
    assert_int_equal(assess(0.2, 1000, 0, &a), SM_OK);
    assert_near(a.side[DEMO_LEFT].waist, 23 * (1.05 - 0.15 / 0.4 * 6.5 / 19), 1e-13, 0);
    sm_assessment_destroy(&a);
}

/* How often the circle is warned of; the waist is 22.45 mm. */
static int circle_warnings(double circle, const char *words)
{
    sm_assessment a;
    int found = 0;
    demo_fill(&demo);
    demo_still_tube(&demo);
    demo.side[DEMO_RIGHT].circle_mm = circle;
    assert_int_equal(assess(0.2, 1000, 0, &a), SM_OK);
    for (size_t i = 0; i < a.warnings.n; i++)
        found += strstr(a.warnings.item[i].words, "right: the drawn circle") != NULL &&
                 strstr(a.warnings.item[i].words, words) != NULL;
    sm_assessment_destroy(&a);
    return found;
}

/* Section 4: a difference of more than 0.5 mm, either way. */
static void a_circle_that_is_not_the_waist_is_warned_of(void **state)
{
    (void)state;
    assert_int_equal(circle_warnings(22.45 + 0.51, "larger"), 1);
    assert_int_equal(circle_warnings(22.45 + 0.49, ""), 0);
    assert_int_equal(circle_warnings(22.45 - 0.49, ""), 0);
    assert_int_equal(circle_warnings(22.45 - 0.51, "smaller"), 1);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_trials_say_nothing),
        cmocka_unit_test(none_and_all_are_not_certain),
        cmocka_unit_test(wilson_covers_as_computed),
        cmocka_unit_test(a_paired_difference_is_a_mean_of_three_values),
        cmocka_unit_test(a_sequence_seldom_leaves_the_truth_out),
        cmocka_unit_test(a_sequence_s_ends_are_where_it_excludes),
        cmocka_unit_test(widths_do_not_change_results),
        cmocka_unit_test(any_number_of_trials_is_exact),
        cmocka_unit_test(counts_are_those_of_the_trials),
        cmocka_unit_test(weighted_sums_are_those_of_the_trials),
        cmocka_unit_test(an_interrupted_run_keeps_what_is_known),
        cmocka_unit_test(enough_stops_at_the_same_trial),
        cmocka_unit_test(seeds_agree_within_their_error),
        cmocka_unit_test(calls_follow_the_interval),
        cmocka_unit_test(going_on_until_resolved),
        cmocka_unit_test(without_a_line_nothing_is_called),
        cmocka_unit_test(no_fewer_trials_than_asked),
        cmocka_unit_test(readings_on_either_side_of_a_line_leave_it_open),
        cmocka_unit_test(readings_that_agree_are_apart_at_most),
        cmocka_unit_test(sharp_looks_keep_their_trials),
        cmocka_unit_test(the_waist_is_at_the_ring),
        cmocka_unit_test(a_circle_that_is_not_the_waist_is_warned_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
