/* test_steer.c - steered draws with their weights give what the looks say: against quadrature where one quantity is
 * uncertain, against trials that nobody steered where many are.
 *
 * Contents: 1. the mixture by quadrature  2. first readings of every family  3. a look's reading, from end to end
 *           4. trials that nobody steered  5. several looks  6. how many trials count
 * The mixture is written out here from model.md 3.1, with nothing of measurement/look.h.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "looked_case.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "engine/assess.h"

static looked_case looked;

/* 1. The mixture by quadrature */

/* A look in numbers: its reading and SD; in radians how its view misses; the half circle, the domain of X. */
typedef struct {
    double y, s, view, magnification, h, low, high, o;
} plain_look;

static plain_look plain_look_of(const sm_cross_check *c, sm_looked at)
{
    return (plain_look){.y = c->readings.row[0].mm[0],
                        .s = c->reader_sd_mm,
                        .view = c->view_error_sd_deg * M_PI / 180,
                        .magnification = c->magnification_sd,
                        .h = is_projection(at) ? 11.2 : 0,
                        .low = domain_of[at][0],
                        .high = domain_of[at][1],
                        .o = c->spoiled / (1 - c->spoiled)};
}

/* By state: its weight, and that of its events. */
typedef struct {
    double all[SM_LOOK_STATES], event[SM_LOOK_STATES];
} mixture;

/* The first reading cut into cells of equal width of its normal score: X in the middle and at the edges, and weights.
 */
enum { CELLS = 3000 };
#define FARTHEST 7.5

static struct {
    double X, low, high, weight;
} first_cell[CELLS];

static void tabulate_first(const sm_dist *error, double estimate)
{
    const double step = 2 * FARTHEST / CELLS;
    for (int i = 0; i < CELLS; i++) {
        const double z = -FARTHEST + (i + 0.5) * step;
        first_cell[i].X = estimate + sm_dist_quantile(error, gsl_cdf_ugaussian_P(z));
        first_cell[i].low = estimate + sm_dist_quantile(error, gsl_cdf_ugaussian_P(z - step / 2));
        first_cell[i].high = estimate + sm_dist_quantile(error, gsl_cdf_ugaussian_P(z + step / 2));
        first_cell[i].weight = gsl_ran_ugaussian_pdf(z) * step;
    }
}

/* The share of a cell in which the event happens. */
static double happens(const looked_event *e, int i)
{
    const double part = (e->limit - first_cell[i].low) / (first_cell[i].high - first_cell[i].low);
    const double below = fmin(1, fmax(0, part));
    return e->below ? below : 1 - below;
}

/* One view that misses by G, at a scale of 1 + M, of weight w. Of what the look alone says X is normal. */
static void add_view(const plain_look *l, const looked_event *e, double G, double M, double w, mixture *m)
{
    const double D = l->high - l->low, a = cos(G) * (1 + M), J = 1 / a;
    const double X = (l->y / (1 + M) + l->h) / cos(G) - l->h, sd = l->s * J;
    const double from = e->below ? l->low : fmax(l->low, e->limit), to = e->below ? fmin(l->high, e->limit) : l->high;
    for (int i = 0; i < CELLS; i++) {
        const double shown = ((first_cell[i].X + l->h) * cos(G) - l->h) * (1 + M), event = happens(e, i);
        const double likely = w * first_cell[i].weight * gsl_ran_gaussian_pdf(l->y - shown, l->s);
        m->all[SM_BOTH_RIGHT] += likely;
        m->event[SM_BOTH_RIGHT] += event * likely;
        m->event[SM_LOOK_OFF] += event * w * first_cell[i].weight * l->o / D;
    }
    m->all[SM_LOOK_OFF] += w * l->o / D;
    m->all[SM_FIRST_OFF] +=
        w * l->o / D * J * (gsl_cdf_gaussian_P(l->high - X, sd) - gsl_cdf_gaussian_P(l->low - X, sd));
    m->event[SM_FIRST_OFF] += w * l->o / D * J * (gsl_cdf_gaussian_P(to - X, sd) - gsl_cdf_gaussian_P(from - X, sd));
}

/* Over view and scale, cut at 60 degrees and at half the scale. */
static mixture mixture_of(const plain_look *l, const looked_event *e)
{
    mixture m = {{0}, {0}};
    const size_t views = l->view > 0 ? 24 : 1, scales = l->magnification > 0 ? 12 : 1;
    gsl_integration_glfixed_table *of_view = gsl_integration_glfixed_table_alloc(views),
                                  *of_scale = gsl_integration_glfixed_table_alloc(scales);
    for (size_t i = 0; i < views; i++)
        for (size_t j = 0; j < scales; j++) {
            double G = 0, wG = 1, M = 0, wM = 1;
            if (views > 1) {
                gsl_integration_glfixed_point(0, fmin(M_PI / 3, 6 * l->view), i, &G, &wG, of_view);
                wG *= 2 * gsl_ran_gaussian_pdf(G, l->view);
            }
            if (scales > 1) {
                gsl_integration_glfixed_point(fmax(-0.5, -5 * l->magnification), 5 * l->magnification, j, &M, &wM,
                                              of_scale);
                wM *= gsl_ran_gaussian_pdf(M, l->magnification);
            }
            add_view(l, e, G, M, wG * wM, &m);
        }
    gsl_integration_glfixed_table_free(of_view);
    gsl_integration_glfixed_table_free(of_scale);
    return m;
}

static double sum_of(const double x[SM_LOOK_STATES])
{
    return x[0] + x[1] + x[2];
}

static double event_of(const mixture *m)
{
    return sum_of(m->event) / sum_of(m->all);
}

static sm_assessment assess(const sm_case *c, int64_t trials)
{
    sm_assessment a;
    assert_int_equal(sm_assess(c, (sm_run_context){.trials = trials, .seed = 7}, &a), SM_OK);
    assert_int_equal(a.not_numbers, 0);
    return a;
}

/* Within 4.5 standard errors, and what the quadrature errs by. What never happened in n trials has no error: 10/n. */
static void expect_probability(const sm_probability *got, double want)
{
    const double n = (double)got->n + 1, error = fmax(got->standard_error, sqrt(want * (1 - want) / n));
    assert_near(got->probability, want, 0, 4.5 * error + 10 / n + 2e-5);
}

static void expect_mixture(const sm_assessment *a, const mixture *m)
{
    const sm_look_result *l = &a->look[0];
    assert_int_equal(a->n_looks, 1);
    expect_probability(&a->patient.event, event_of(m));
    for (int i = 0; i < SM_LOOK_STATES; i++)
        expect_probability(&l->state[i], m->all[i] / sum_of(m->all));
    expect_probability(&l->event_first_only, m->event[SM_LOOK_OFF] / m->all[SM_LOOK_OFF]);
    if (m->all[SM_FIRST_OFF] > 1e-4 * sum_of(m->all)) /* else too few trials to say */
        expect_probability(&l->event_look_only, m->event[SM_FIRST_OFF] / m->all[SM_FIRST_OFF]);
}

/* 2. First readings of every family */

/* The last three are of a reading: a normal error, a t's, type A of five readings. */
enum { READ_NORMAL = SM_FAMILY_COUNT, READ_T, READ_TYPE_A, FIRSTS };

static sm_reader_row first_row;
static double first_mm[5];

/* About m, s wide; a half normal is of the thickness alone, whose domain starts at 0. */
static sm_dist spread_about(sm_family f, double m, double s)
{
    switch (f) {
    case SM_UNIFORM:
    case SM_ARCSINE:
        return (sm_dist){f, {m - 1.7 * s, m + 1.7 * s}};
    case SM_TRIANGULAR:
        return (sm_dist){f, {m - 2 * s, m - 0.5 * s, m + 2.8 * s}};
    case SM_LOGNORMAL:
        return (sm_dist){f, {m, exp(s / m)}};
    case SM_HALF_NORMAL:
        return (sm_dist){f, {m}};
    case SM_STUDENT_T:
        return (sm_dist){f, {m, s, 4}};
    case SM_TRUNCATED_NORMAL:
        return (sm_dist){f, {m, 1.2 * s, m - 1.5 * s, m + 2 * s}};
    case SM_BETA:
        return (sm_dist){f, {2, 3.5, m - 1.9 * s, m + 3.1 * s}};
    default:
        return sm_dist_normal(m, s);
    }
}

/* Five readings with the mean m and the SD 2 s: their mean errs by about s. */
static void read_five(double m, double s)
{
    static const double about[] = {-1.2, -0.4, 0.1, 0.3, 1.2};
    for (int i = 0; i < 5; i++)
        first_mm[i] = m + 2.4 * s * about[i];
}

/* Sets the first reading and tabulates it. */
static void set_first(sm_looked at, int first, double m, double s)
{
    sm_quantity *q = looked_quantity(&looked, DEMO_LEFT, at);
    sm_dist error = sm_dist_normal(0, s);
    if (first < SM_FAMILY_COUNT) {
        const sm_dist d = spread_about((sm_family)first, m, s);
        *q = (sm_quantity){.value = d};
        tabulate_first(&d, 0);
        return;
    }
    read_five(m, s);
    if (first != READ_TYPE_A)
        first_mm[0] = m;
    first_row = (sm_reader_row){NULL, first == READ_TYPE_A ? 5 : 1, first_mm};
    *q = (sm_quantity){.is_read = true,
                       .readings = {1, &first_row},
                       .between_reader_sd_mm = first == READ_TYPE_A ? 0 : s,
                       .dof = first == READ_T ? 4 : 0,
                       .sd_from_readings = first == READ_TYPE_A};
    if (first == READ_T)
        error = (sm_dist){SM_STUDENT_T, {0, s, 4}};
    if (first == READ_TYPE_A) { /* (3.3): s/sqrt(n) t(n - 1) */
        const double squares = gsl_pow_2(2.4 * s) * (1.44 + 0.16 + 0.01 + 0.09 + 1.44);
        error = (sm_dist){SM_STUDENT_T, {0, sqrt(squares / 4 / 5), 4}};
    }
    tabulate_first(&error, m);
}

/* Where each quantity lies, and how far it may lie elsewhere, mm. */
static const double centre_of[SM_LOOKED] = {4.9, 2.6, 14.4, 22.3, 0.8}, width_of[SM_LOOKED] = {0.8, 0.6, 0.7, 0.5, 0.2};

static bool is_spread(sm_looked at, int first)
{
    return first != SM_CONSTANT && (first != SM_HALF_NORMAL || at == SM_LOOKED_THICKNESS);
}

/* Returns the share of the trials that counted. */
static double run_and_expect(sm_looked at, int first, double away, double sd, double view_deg, double magnification)
{
    const looked_event e = looked_hangs_on(&looked, at);
    const double m = centre_of[at], s = width_of[at];
    set_first(at, first, m, s);
    const sm_cross_check *c = looked_add(&looked, DEMO_LEFT, at, m + away * s, sd * s, view_deg, magnification);
    const plain_look l = plain_look_of(c, at);
    const mixture want = mixture_of(&l, &e);
    sm_assessment a = assess(&looked.d.c, 65536);
    const double effective = a.effective_trials / 65536;
    expect_mixture(&a, &want);
    sm_assessment_destroy(&a);
    return effective;
}

/* Agreeing, on either side, and so far off that one of the two is more likely wrong. There a t (type A is one) asks the
 * most: it may well have erred so far. */
static const double aways[] = {0.3, -1.4, 1.7, 7};

static void projections_of_every_family(void **state)
{
    (void)state;
    static const double view[] = {8, 20};
    for (int at = SM_LOOKED_OSTIUM_GAP; at <= SM_LOOKED_STJ_GAP; at++)
        for (int first = 0; first < FIRSTS; first++)
            for (int i = at; is_spread((sm_looked)at, first) && i < 8; i += 1 + 2 * at) /* all of the ostium's */
                assert_true(run_and_expect((sm_looked)at, first, aways[i / 2], 1.1, view[i % 2], 0.04) > 0.25);
}

static void direct_looks_of_every_family(void **state)
{
    (void)state;
    for (int at = SM_LOOKED_LEAFLET_HEIGHT; at < SM_LOOKED; at++)
        for (int first = 0; first < FIRSTS; first++)
            for (int i = 0; is_spread((sm_looked)at, first) && i < 4; i++)
                assert_true(run_and_expect((sm_looked)at, first, aways[i], 0.8, 0, 0) > 0.25);
}

/* A look much sharper than the first reading, and one that says next to nothing. */
static void sharp_and_blunt_looks(void **state)
{
    (void)state;
    static const double sd[] = {0.05, 0.2, 5};
    static const int first[] = {SM_NORMAL, SM_UNIFORM, SM_LOGNORMAL, SM_BETA, READ_T};
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 5; j++) {
            assert_true(run_and_expect(SM_LOOKED_OSTIUM_GAP, first[j], 0.6, sd[i], 5, 0.02) > 0.25);
            assert_true(run_and_expect(SM_LOOKED_INNER_DIAMETER, first[j], 0.6, sd[i], 0, 0) > 0.25);
        }
}

/* 3. A look's reading, from end to end */

/* P over the look's reading is the mixture's, which has no jump; it is not monotone either: a reading that is too far
 * off to be believed returns it toward that of the first reading alone. */
static void the_probability_follows_the_reading_without_a_jump(void **state)
{
    (void)state;
    static const double view[] = {8, 20};
    for (int i = 0; i < 2; i++) {
        double most = 0, least = 1, last = 0;
        for (int step = 0; step <= 40; step++) {
            const looked_event e = looked_hangs_on(&looked, SM_LOOKED_OSTIUM_GAP);
            set_first(SM_LOOKED_OSTIUM_GAP, READ_NORMAL, 4.9, 0.8);
            const sm_cross_check *c =
                looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, -2 + 0.4 * step, 0.9, view[i], 0.04);
            plain_look l = plain_look_of(c, SM_LOOKED_OSTIUM_GAP);
            const mixture want = mixture_of(&l, &e);
            sm_assessment a = assess(&looked.d.c, 131072);
            l.y += 0.01;
            const mixture beside = mixture_of(&l, &e);
            assert_near(event_of(&beside), event_of(&want), 0, 0.004);
            expect_mixture(&a, &want);
            last = a.patient.event.probability;
            most = fmax(most, last);
            least = fmin(least, last);
            sm_assessment_destroy(&a);
        }
        assert_true(most > 0.3 && least < 0.01 && last > 0.05); /* 14 mm is too far off: it goes up again */
    }
}

/* 4. Trials that nobody steered */

enum { MANY = 3, NAIVE_BLOCKS = 1500, STEERED_TRIALS = 300000, GROUPS = SM_BLOCK / SM_LANES };

/* One look of a case and what it is in numbers. */
typedef struct {
    sm_looked at;
    int side;
    plain_look look;
} one_look;

typedef struct {
    int n;
    one_look look[MANY];
} some_looks;

/* The case without its looks, its trials as drawn, and the draws that only looks need. */
typedef struct {
    sm_plan plan;
    sm_worker w;
    gsl_rng *rng;
    sm_landmarks landmarks[DEMO_SIDES];
    sm_tube tube;
    double weight[SM_LANES], event[SM_LANES];
    double off[MANY][SM_LANES]; /* 1 where the first reading of look l is off */
} naive;

/* The true X of a look in trial i, where it stands: the ring gives nothing, the leaflets' ordinary thickness is 0. */
static double *place_of(naive *t, const one_look *l, int i)
{
    if (l->at == SM_LOOKED_LEAFLET_HEIGHT)
        return &t->landmarks[l->side].H[i];
    return l->at == SM_LOOKED_INNER_DIAMETER ? &t->tube.hold[i] : &t->tube.excess[i];
}

static sm_landmark *landmark_of(naive *t, const one_look *l)
{
    return &t->landmarks[l->side].at[l->at == SM_LOOKED_OSTIUM_GAP ? SM_GAP_OSTIUM : SM_GAP_STJ];
}

static double true_X(naive *t, const one_look *l, int i)
{
    const sm_landmark *p = is_projection(l->at) ? landmark_of(t, l) : NULL;
    return p ? hypot(p->x[i], p->y[i]) - l->look.h : *place_of(t, l, i);
}

static void put_X(naive *t, const one_look *l, int i, double X)
{
    if (!is_projection(l->at)) {
        *place_of(t, l, i) = X;
        return;
    }
    sm_landmark *p = landmark_of(t, l);
    const double stretch = (X + l->look.h) / hypot(p->x[i], p->y[i]);
    p->x[i] *= stretch;
    p->y[i] *= stretch;
}

/* What one look does to trial i: one of three states, by a die of 6, 2 and 2 tenths. z: of the scale. */
static void add_look(naive *t, const one_look *l, int place, int i, double z)
{
    static const double share[SM_LOOK_STATES] = {0.6, 0.2, 0.2};
    const plain_look *k = &l->look;
    const double u = gsl_rng_uniform(t->rng), cosine = cos(gsl_ran_gaussian_ziggurat(t->rng, 1) * k->view);
    const double error = gsl_ran_gaussian_ziggurat(t->rng, k->s), scale = 1 + k->magnification * z;
    const int state = u < share[0] ? SM_BOTH_RIGHT : u < share[0] + share[1] ? SM_LOOK_OFF : SM_FIRST_OFF;
    double weight = k->o / (k->high - k->low);
    if (state == SM_BOTH_RIGHT)
        weight = gsl_ran_gaussian_pdf(k->y - ((true_X(t, l, i) + k->h) * cosine - k->h) * scale, k->s);
    if (state == SM_FIRST_OFF) {
        const double X = ((k->y - error) / scale + k->h) / cosine - k->h;
        weight *= X < k->low || X > k->high ? 0 : 1 / (cosine * scale);
        put_X(t, l, i, X);
    }
    t->off[place][i] = state == SM_FIRST_OFF ? 1 : 0;
    t->weight[i] *= cosine < 0.5 || scale < 0.5 ? 0 : weight / share[state];
}

static void naive_group(naive *t, const some_looks *looks, int group)
{
    const sm_root *r = &t->plan.root[0];
    sm_side_out out;
    sm_worker_point(&t->w, group);
    sm_evaluate_first(&t->plan, t->w.column, &t->w.at);
    memcpy(&t->tube, t->w.at.tube, sizeof t->tube);
    memcpy(t->landmarks, t->w.at.landmarks, sizeof t->landmarks);
    memset(t->event, 0, sizeof t->event);
    for (int i = 0; i < SM_LANES; i++) {
        const double z = gsl_ran_gaussian_ziggurat(t->rng, 1);
        t->weight[i] = 1;
        for (int l = 0; l < looks->n; l++)
            add_look(t, &looks->look[l], l, i, z);
    }
    for (int k = 0; k < DEMO_SIDES; k++) {
        sm_root_evaluate_outputs(&r->side[k].outputs, t->w.column, &r->shape, &t->tube, &t->landmarks[k], &out);
        for (int i = 0; i < SM_LANES; i++)
            t->event[i] = out.event[i] > 0 ? 1 : t->event[i];
    }
}

typedef struct {
    sm_weighted event, off[MANY];
} naive_sums;

static sm_case without_looks(const sm_case *c, sm_coronary side[DEMO_SIDES])
{
    sm_case plain = *c;
    memcpy(side, c->coronary, DEMO_SIDES * sizeof *side);
    plain.coronary = side;
    plain.valve.inner_diameter.cross_check.present = plain.valve.leaflet_thickness.cross_check.present = false;
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            side[k].quantity[q].cross_check.present = false;
    return plain;
}

static naive_sums run_naive(const some_looks *looks)
{
    static naive t;
    sm_coronary side[DEMO_SIDES];
    const sm_case plain = without_looks(&looked.d.c, side);
    naive_sums sums = {.event = {0}};
    t.rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(t.rng, 97);
    assert_int_equal(sm_plan_create(&plain, 1234, &t.plan), SM_OK);
    assert_int_equal(t.plan.root[0].steering.n, 0);
    assert_int_equal(sm_worker_create(&t.plan, &t.w), SM_OK);
    for (uint32_t block = 0; block < NAIVE_BLOCKS; block++) {
        sm_worker_draw(&t.plan, &t.w, SM_FOR_RUN, block);
        for (int g = 0; g < GROUPS; g++) {
            naive_group(&t, looks, g);
            sm_weighted_add(&sums.event, t.weight, t.event, SM_LANES);
            for (int l = 0; l < looks->n; l++)
                sm_weighted_add(&sums.off[l], t.weight, t.off[l], SM_LANES);
        }
    }
    sm_worker_destroy(&t.w);
    sm_plan_destroy(&t.plan);
    gsl_rng_free(t.rng);
    return sums;
}

static void expect_equal_within(const sm_probability *a, const sm_probability *b, double most_error)
{
    const double error = hypot(a->standard_error, b->standard_error);
    assert_true(error < most_error); /* few trials cannot pass */
    assert_near(a->probability, b->probability, 0, 4.5 * error);
}

/* The steered trials of the case against the others; at least `effective` of them count. */
static void expect_as_unsteered(const some_looks *looks, double effective)
{
    const naive_sums sums = run_naive(looks);
    sm_assessment a = assess(&looked.d.c, STEERED_TRIALS);
    const sm_probability event = sm_weighted_probability(&sums.event);
    assert_int_equal(a.n_looks, looks->n);
    expect_equal_within(&a.patient.event, &event, 0.006);
    for (int l = 0; l < looks->n; l++) {
        const sm_probability off = sm_weighted_probability(&sums.off[l]);
        expect_equal_within(&a.look[l].state[SM_FIRST_OFF], &off, 0.006);
    }
    assert_true(a.effective_trials > effective * STEERED_TRIALS);
    sm_assessment_destroy(&a);
}

/* 5. Several looks */

/* The example case, which all sources move, but what place_of counts on. */
static void whole_case(void)
{
    looked.n = 0;
    demo_fill(&looked.d);
    looked.d.c.valve.ring_give_mm = sm_dist_constant(0);
    looked.d.c.limits.reference_thickness_mm = 0;
}

/* Adds a look to the case and to the list. The list is in the order of the steering: sides first. */
static void add_to(some_looks *looks, int k, sm_looked at, double reading, double sd, double view_deg,
                   double magnification)
{
    const sm_cross_check *c = looked_add(&looked, k, at, reading, sd, view_deg, magnification);
    looks->look[looks->n++] = (one_look){at, k, plain_look_of(c, at)};
}

/* One scale for both, and the base plane moves them together. */
static void two_looks_share_the_scale(void **state)
{
    (void)state;
    some_looks looks = {.n = 0};
    whole_case();
    add_to(&looks, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 6.9, 0.5, 8, 0.15);
    add_to(&looks, DEMO_RIGHT, SM_LOOKED_OSTIUM_GAP, 8.4, 0.5, 6, 0.12);
    expect_as_unsteered(&looks, 0.25);
}

/* Two gaps and a leaflet of one side hang on one plane; views that miss widely. */
static void three_looks_at_one_side(void **state)
{
    (void)state;
    some_looks looks = {.n = 0};
    whole_case();
    add_to(&looks, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 6.6, 0.9, 20, 0.04);
    add_to(&looks, DEMO_LEFT, SM_LOOKED_STJ_GAP, 2.4, 0.8, 20, 0.04);
    add_to(&looks, DEMO_LEFT, SM_LOOKED_LEAFLET_HEIGHT, 14.3, 0.6, 0, 0);
    expect_as_unsteered(&looks, 0.1);
}

/* A first reading of a t with resolution and blooming, beside two of the valve that are known as distributions. */
static void a_gap_and_the_valve(void **state)
{
    (void)state;
    some_looks looks = {.n = 0};
    whole_case();
    sm_quantity *gap = &looked.d.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP];
    gap->dof = 5;
    gap->resolution_mm = 0.6;
    add_to(&looks, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 5.1, 0.9, 8, 0.04);
    add_to(&looks, SM_SHARED, SM_LOOKED_INNER_DIAMETER, 22.7, 0.25, 0, 0);
    add_to(&looks, SM_SHARED, SM_LOOKED_THICKNESS, 1.0, 0.2, 0, 0);
    expect_as_unsteered(&looks, 0.1);
}

/* Placed twice, on points that are not even: the wave tilts the plane; and the tilt form. */
static void whatever_moves_the_plane(void **state)
{
    (void)state;
    for (int form = 0; form < 2; form++) {
        some_looks looks = {.n = 0};
        whole_case();
        sm_base_plane *plane = &looked.d.c.scan.base_plane;
        plane->azimuths_deg[1] = 95;
        plane->placements = 2;
        plane->cuff_wave_mm = 1.5;
        if (form == 1)
            *plane = (sm_base_plane){.tilt_form = true, .tilt_sd_deg = 4, .level_sd_mm = 0.7, .placements = 1};
        add_to(&looks, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 7.3, 0.6, 8, 0.04);
        add_to(&looks, DEMO_LEFT, SM_LOOKED_LEAFLET_HEIGHT, 15.9, 0.4, 0, 0);
        expect_as_unsteered(&looks, 0.1);
    }
}

/* Looks so far away that one of the two readings is off: which, is told by the rest. */
static void readings_that_are_off(void **state)
{
    (void)state;
    some_looks looks = {.n = 0};
    whole_case();
    add_to(&looks, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 10.8, 0.9, 8, 0.04);
    add_to(&looks, DEMO_RIGHT, SM_LOOKED_STJ_GAP, 1.1, 0.9, 20, 0.04);
    expect_as_unsteered(&looks, 0.1);
}

/* 6. How many trials count */

/* Of the whole case: at least a quarter of the trials with one look, a tenth with three, wherever they read. */
static void enough_trials_count(void **state)
{
    (void)state;
    static const double view[] = {8, 20}, more[] = {-3, -1, 0.5, 2, 6};
    static const double read[MANY] = {5.7, 7.2, 2.7};
    static const int side[MANY] = {DEMO_LEFT, DEMO_RIGHT, DEMO_LEFT};
    static const sm_looked at[MANY] = {SM_LOOKED_OSTIUM_GAP, SM_LOOKED_OSTIUM_GAP, SM_LOOKED_STJ_GAP};
    double least[MANY + 1] = {1, 1, 1, 1};
    for (int n = 1; n <= MANY; n += 2)
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 5; j++) {
                whole_case();
                for (int l = 0; l < n; l++)
                    looked_add(&looked, side[l], at[l], read[l] + more[(j + 2 * l) % 5], 0.9, view[i], 0.04);
                sm_assessment a = assess(&looked.d.c, 65536);
                least[n] = fmin(least[n], a.effective_trials / 65536);
                sm_assessment_destroy(&a);
            }
    assert_true(least[1] > 0.25);
    assert_true(least[3] > 0.1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(projections_of_every_family),
        cmocka_unit_test(direct_looks_of_every_family),
        cmocka_unit_test(sharp_and_blunt_looks),
        cmocka_unit_test(the_probability_follows_the_reading_without_a_jump),
        cmocka_unit_test(two_looks_share_the_scale),
        cmocka_unit_test(three_looks_at_one_side),
        cmocka_unit_test(a_gap_and_the_valve),
        cmocka_unit_test(whatever_moves_the_plane),
        cmocka_unit_test(readings_that_are_off),
        cmocka_unit_test(enough_trials_count),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
