/* coverage.c - are the probabilities calibrated? Of the roots that are given 20 to 30 of 100, do 20 to 30 of 100 cross?
 *
 * Draws true roots from a population, reads each as the model says that it is read (reading = truth + error, so the
 * inverse of what the analysis does), hands the readings to the analysis, and counts by bins of the probability that it
 * gives how many of the true roots cross a limit. The truth is drawn in the valve's frame; the reader's frame is placed
 * with its error and the true landmarks are seen from it. Truth, reading and crossing are computed here from
 * docs/model.md (formula numbers in brackets); only the analysis and the quantiles of distributions are the library's.
 *
 *   coverage CASE [--roots N] [--trials N] [--seed S] [--population flat|published|narrow] [--break
 * blooming|plane|readers|looks] [--show]
 *
 * Status 0 if every bin agrees with what was said, 1 if one does not (--show: 0 in any case), 2 for a fault.
 *
 * Contents: 1. options and the case  2. draws  3. the reader's frame  4. the true root  5. reading it
 *           6. second looks  7. does it cross  8. the analysis  9. the table
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "engine/assess.h"
#include "casefile/casefile.h"

enum { BINS = 10, LARGEST_FILE = 1 << 16, SIDES = SM_MAX_CORONARIES };

/* 1. Options and the case */

typedef struct {
    const char *path, *population, *broken;
    long roots, trials;
    unsigned long seed;
    bool show;
} options;

static bool read_options(int argc, char **argv, options *o)
{
    *o = (options){.population = "flat", .broken = "", .roots = 6000, .trials = 8000, .seed = 1};
    for (int i = 1; i < argc; i++) {
        const char *value = i + 1 < argc ? argv[i + 1] : "";
        if (strcmp(argv[i], "--show") == 0) {
            o->show = true;
            continue;
        }
        if (argv[i][0] != '-')
            o->path = argv[i--];
        else if (strcmp(argv[i], "--roots") == 0)
            o->roots = atol(value);
        else if (strcmp(argv[i], "--trials") == 0)
            o->trials = atol(value);
        else if (strcmp(argv[i], "--seed") == 0)
            o->seed = (unsigned long)atol(value);
        else if (strcmp(argv[i], "--population") == 0)
            o->population = value;
        else if (strcmp(argv[i], "--break") == 0)
            o->broken = value;
        else
            return false;
        i++;
    }
    return o->path && o->roots > 0 && o->trials > 0;
}

static sm_casefile *read_case(const char *path)
{
    static char text[LARGEST_FILE];
    FILE *f = fopen(path, "rb");
    size_t n = f ? fread(text, 1, sizeof text, f) : 0;
    if (f)
        fclose(f);
    sm_diag d = {0};
    sm_casefile *file = NULL;
    sm_casefile_read((sm_file_text){path, f ? text : NULL, n}, (sm_file_text){0}, NULL, 0, &d, &file);
    sm_diag_destroy(&d);
    return file;
}

/* 2. Draws */

static double normal(gsl_rng *r, double sd)
{
    return gsl_ran_gaussian(r, 1) * sd;
}

static double draw(gsl_rng *r, const sm_dist *d)
{
    return sm_dist_is_constant(d) ? sm_dist_mean(d) : sm_dist_quantile(d, gsl_rng_uniform_pos(r));
}

/* 3. The reader's frame */

typedef struct {
    double x, y, z;
} vec;

static double dot(vec p, vec q)
{
    return p.x * q.x + p.y * q.y + p.z * q.z;
}

static vec cross(vec p, vec q)
{
    return (vec){p.y * q.z - p.z * q.y, p.z * q.x - p.x * q.z, p.x * q.y - p.y * q.x};
}

/* Origin and unit vectors of the reader's frame, in the valve's. */
typedef struct {
    vec o, u, v, n;
} frame;

/* (2.1): height errors of the three base points. */
static void point_errors(gsl_rng *r, const sm_base_plane *b, double e[3])
{
    e[0] = e[1] = e[2] = 0;
    for (size_t k = 0; k < b->placements; k++) {
        const double phase = 2 * M_PI * gsl_rng_uniform(r);
        for (int i = 0; i < 3; i++)
            e[i] += (normal(r, b->point_sd_mm) + b->cuff_wave_mm * sin(phase + 3 * b->azimuths_deg[i] * M_PI / 180)) /
                    (double)b->placements;
    }
}

static double determinant(vec p, vec q, vec s)
{
    return dot(p, cross(q, s));
}

/* The plane z = c + a x + b y through the three points by Cramer's rule, then (2.4) and (2.5). */
static frame draw_frame(gsl_rng *r, const sm_scan *scan)
{
    const sm_base_plane *b = &scan->base_plane;
    double e[3], x[3], y[3];
    point_errors(r, b, e);
    for (int i = 0; i < 3; i++) {
        x[i] = b->radius_mm * cos(b->azimuths_deg[i] * M_PI / 180);
        y[i] = b->radius_mm * sin(b->azimuths_deg[i] * M_PI / 180);
    }
    const vec one = {1, 1, 1}, X = {x[0], x[1], x[2]}, Y = {y[0], y[1], y[2]}, E = {e[0], e[1], e[2]};
    const double det = determinant(one, X, Y);
    const double c = determinant(E, X, Y) / det, a = determinant(one, E, Y) / det, s = determinant(one, X, E) / det;
    const double cx = normal(r, scan->centreline_sd_mm), cy = normal(r, scan->centreline_sd_mm);
    const double N = sqrt(1 + a * a + s * s), U = sqrt(1 + a * a);
    frame f = {.o = {cx, cy, c + a * cx + s * cy}, .n = {-a / N, -s / N, 1 / N}, .u = {1 / U, 0, a / U}};
    f.v = cross(f.n, f.u);
    return f;
}

/* A landmark as the reader sees it: height, radial distance, azimuth. The inverse of (2.6). */
typedef struct {
    double height, radius, azimuth;
} seen;

static seen see(const frame *f, double radius, double azimuth, double height)
{
    const vec p = {radius * cos(azimuth) - f->o.x, radius * sin(azimuth) - f->o.y, height - f->o.z};
    const double X = dot(p, f->u), Y = dot(p, f->v);
    return (seen){dot(p, f->n), hypot(X, Y), atan2(Y, X)};
}

/* The true azimuth at which a wall of this radius and height is seen in the direction `azimuth` of the reader's frame.
 */
static double true_azimuth(const frame *f, double radius, double height, double azimuth)
{
    double th = azimuth;
    for (int i = 0; i < 30; i++)
        th += remainder(azimuth - see(f, radius, th, height).azimuth, 2 * M_PI);
    return th;
}

/* 4. The true root. mm and radians, the valve's frame */

typedef struct {
    double r, th, h;    /* ostium */
    double rs, ths, hs; /* STJ */
    double H;           /* leaflet top */
} true_side;

typedef struct {
    double D0, hold, thickness, offset, mid, overhang, flare, depth, ecc, psi, post;
    double off_x, off_y, cant_x, cant_y;
    true_side side[SIDES];
} true_root;

/* Where true gaps come from, mm: normal with mean and sd, or flat where sd is 0. */
typedef struct {
    const char *name, *words;
    double ostium_mean, ostium_sd, stj_mean, stj_sd;
} population;

static const population populations[] = {
    {"flat", "true gaps spread evenly, over all that matters: what the analysis takes for granted", 0, 0, 0, 0},
    {"published", "true gaps spread as published ones do: 6.3 mm, SD 2.1 mm, and half of that at the STJ", 6.3, 2.1,
     3.2, 1.1},
    {"narrow", "true gaps spread by 0.6 mm only, about 6.3 mm (STJ: about 3.2 mm)", 6.3, 0.6, 3.2, 0.6},
};

static const population *population_named(const char *name)
{
    for (size_t i = 0; i < sizeof populations / sizeof *populations; i++)
        if (strcmp(populations[i].name, name) == 0)
            return &populations[i];
    return NULL;
}

static double draw_gap(gsl_rng *r, double mean, double sd, double low, double high)
{
    return sd > 0 ? mean + normal(r, sd) : gsl_ran_flat(r, low, high);
}

/* The ends are where an event is sure or impossible, so that nothing depends on them. */
static true_side draw_side(gsl_rng *r, const population *p, double circle)
{
    return (true_side){.r = draw_gap(r, p->ostium_mean, p->ostium_sd, -1, 11) + circle / 2,
                       .th = gsl_ran_flat(r, -M_PI, M_PI),
                       .h = gsl_ran_flat(r, 4, 18),
                       .rs = draw_gap(r, p->stj_mean, p->stj_sd, -3, 7) + circle / 2,
                       .hs = gsl_ran_flat(r, 10, 28),
                       .H = gsl_ran_flat(r, 6, 22)};
}

/* What is not read comes from the distributions that the case states. hold and thickness are read: flat. */
static void draw_root(gsl_rng *r, const sm_case *c, const population *p, true_root *t)
{
    const sm_surgical_valve *v = &c->valve;
    const sm_implant *m = &c->implant;
    const double cant = tan(m->canting_sd_deg * M_PI / 180);
    t->D0 = m->nominal_diameter_mm * (1 + draw(r, &m->overexpansion));
    t->hold = gsl_ran_flat(r, 19, 25);
    t->thickness = gsl_ran_flat(r, 0, 3);
    t->offset = draw(r, &v->mount_offset_mm);
    t->mid = draw(r, &v->mid_fraction);
    t->overhang = draw(r, &v->leaflet_overhang_mm);
    t->flare = draw(r, &m->flare);
    t->depth = draw(r, &m->implant_depth_mm);
    t->ecc = draw(r, &v->eccentricity);
    t->psi = gsl_ran_flat(r, 0, M_PI);
    t->post = gsl_ran_flat(r, 0, 2 * M_PI / 3);
    t->off_x = normal(r, m->offset_sd_mm);
    t->off_y = normal(r, m->offset_sd_mm);
    t->cant_x = normal(r, cant);
    t->cant_y = normal(r, cant);
    for (size_t k = 0; k < c->n_coronaries; k++)
        t->side[k] = draw_side(r, p, c->coronary[k].circle_mm);
}

/* 5. Reading it */

/* Puts readings of x in place: every reader has an error, every repeat one more; the scan blooms by B. Where the SDs
 * rest on few degrees of freedom, the true SD is one that such a study would have found the stated one for. */
static void read_quantity(gsl_rng *r, double x, double B, sm_quantity *q)
{
    const double g = q->dof > 0 ? sqrt(q->dof / gsl_ran_chisq(r, q->dof)) : 1;
    const double rounding = q->resolution_mm * (gsl_rng_uniform(r) - 0.5);
    for (size_t i = 0; i < q->readings.n; i++) {
        const sm_reader_row *row = &q->readings.row[i];
        const double reader = normal(r, g * q->between_reader_sd_mm);
        for (size_t j = 0; j < row->n; j++)
            row->mm[j] = x + q->bloom_edges * B + rounding + reader + normal(r, g * q->repeat_sd_mm);
    }
}

/* 6. Second looks */

/* What a reading may be about: X, or something else; the look likewise. */
typedef enum { BOTH_RIGHT, LOOK_OFF, FIRST_OFF } state;

/* 1 : o : o, both at once neglected (model.md 3.1). */
static state draw_state(gsl_rng *r, const sm_cross_check *look)
{
    if (!look->present)
        return BOTH_RIGHT;
    const double o = look->spoiled / (1 - look->spoiled), u = gsl_rng_uniform(r) * (1 + 2 * o);
    return u < 1 ? BOTH_RIGHT : u < 1 + o ? LOOK_OFF : FIRST_OFF;
}

/* The domain of what is looked at, mm (docs/case-format.md). */
typedef struct {
    double low, high;
} domain;

static const domain of_gap = {-5, 30}, of_height = {1, 60}, of_diameter = {12, 35}, of_thickness = {0, 5};

/* (3.4): a look by readers who all see the same view. shown: what is shown of X. */
static void read_look(gsl_rng *r, double shown, state s, domain d, sm_cross_check *look)
{
    const double about = s == LOOK_OFF ? gsl_ran_flat(r, d.low, d.high) : shown;
    for (size_t i = 0; i < look->readings.n; i++)
        for (size_t j = 0; j < look->readings.row[i].n; j++)
            look->readings.row[i].mm[j] = about + normal(r, look->reader_sd_mm);
}

/* A normal draw whose function stays at or above 1/2. */
static double view_cosine(gsl_rng *r, double sd_deg)
{
    double cosine;
    do
        cosine = cos(normal(r, sd_deg * M_PI / 180));
    while (cosine < 0.5);
    return cosine;
}

/* First reading (of what a reader sees, `first`) and look of X, the room beside a circle of radius h; h < 0: direct. */
static void read_twice(gsl_rng *r, double first, double X, double B, double h, double M, domain d, sm_quantity *q)
{
    sm_cross_check *look = &q->cross_check;
    const state s = draw_state(r, look);
    read_quantity(r, s == FIRST_OFF ? gsl_ran_flat(r, d.low, d.high) : first, B, q);
    if (!look->present)
        return;
    const double cosine = h < 0 ? 1 : view_cosine(r, look->view_error_sd_deg);
    const double shown = h < 0 ? X : ((X + h) * cosine - h) * (1 + look->magnification_sd * M);
    read_look(r, shown, s, d, look);
}

static void read_side(gsl_rng *r, const frame *f, double B, double M, true_side *t, sm_coronary *o)
{
    const double R = o->circle_mm / 2;
    const seen ostium = see(f, t->r, t->th, t->h);
    o->azimuth_deg = ostium.azimuth * 180 / M_PI;
    t->ths = true_azimuth(f, t->rs, t->hs, ostium.azimuth);
    const seen stj = see(f, t->rs, t->ths, t->hs);
    /* Only the height of the leaflet's top is true of it; it is read on the drawn circle: (2.6) solved for z'. */
    const double rim = R * (cos(ostium.azimuth) * f->u.z + sin(ostium.azimuth) * f->v.z);
    const double top = (t->H - f->o.z - rim) / f->n.z;
    read_quantity(r, ostium.height, B, &o->quantity[SM_OSTIUM_HEIGHT]);
    read_twice(r, ostium.radius - R, t->r - R, B, R, M, of_gap, &o->quantity[SM_OSTIUM_GAP]);
    read_quantity(r, stj.height, B, &o->quantity[SM_STJ_HEIGHT]);
    read_twice(r, stj.radius - R, t->rs - R, B, R, M, of_gap, &o->quantity[SM_STJ_GAP]);
    read_twice(r, top, t->H, B, -1, M, of_height, &o->quantity[SM_LEAFLET_HEIGHT]);
}

/* The looks' common scale, in standard deviations, cut where any of them would be wrong by half. */
static double draw_scale(gsl_rng *r, const sm_case *c)
{
    double M = 0, most = 0;
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            most = fmax(most, c->coronary[k].quantity[q].cross_check.magnification_sd);
    while (most > 0 && 1 + most * (M = normal(r, 1)) < 0.5)
        ;
    return M;
}

static void read_root(gsl_rng *r, true_root *t, sm_case *c)
{
    const double B = draw(r, &c->scan.blooming_mm);
    const frame f = draw_frame(r, &c->scan);
    const double M = draw_scale(r, c);
    read_twice(r, t->hold, t->hold, B, -1, M, of_diameter, &c->valve.inner_diameter);
    read_twice(r, t->thickness, t->thickness, B, -1, M, of_thickness, &c->valve.leaflet_thickness);
    t->hold += draw(r, &c->valve.ring_give_mm);
    for (size_t k = 0; k < c->n_coronaries; k++)
        read_side(r, &f, B, M, &t->side[k], &c->coronary[k]);
}

/* 7. Does it cross */

/* The outline of the frame at this fraction of its height: straight lines between its points, constant beyond them. */
static double outline(const sm_implant *m, double fraction)
{
    const double(*p)[2] = m->shape;
    if (m->shape_points == 0)
        return 1;
    size_t i = 1;
    while (i < m->shape_points - 1 && p[i][0] < fraction)
        i++;
    const double along = (fraction - p[i - 1][0]) / (p[i][0] - p[i - 1][0]);
    return p[i - 1][1] + fmin(fmax(along, 0), 1) * (p[i][1] - p[i - 1][1]);
}

/* (4.1) to (4.6) */
static double tube_radius(const true_root *t, const sm_case *c, double z, double th)
{
    const double H = c->implant.frame_height_mm, top = H - t->depth, ring = c->valve.ring_height_mm;
    const double D = t->D0 * outline(&c->implant, (z + t->depth) / H);
    const double W = fmin(D, t->hold), s = fmin(fmax((z - ring) / (top - ring), 0), 1);
    const double frame_r = W / 2 * (1 + t->ecc / 2 * cos(2 * (th - t->psi))) + t->flare * (D - W) / 2 * s;
    const double m = t->mid + (1 - t->mid) * gsl_pow_2(cos(1.5 * (th - t->post)));
    return frame_r + t->offset * m + fmax(0, t->thickness - c->limits.reference_thickness_mm);
}

static double clearance(const true_root *t, const sm_case *c, double r, double th, double h, double top)
{
    const double x = r * cos(th) - t->off_x - t->cant_x * h, y = r * sin(th) - t->off_y - t->cant_y * h;
    return hypot(x, y) - tube_radius(t, c, fmin(h, top), th);
}

/* (4.9) and (5.2) to (5.5) */
static bool crosses(const true_root *t, const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++) {
        const true_side *s = &t->side[k];
        const double held = fmin(s->H, c->implant.frame_height_mm - t->depth + t->overhang);
        const double top = fmax(held, c->implant.skirt_height_mm - t->depth);
        if (top >= s->h && clearance(t, c, s->r, s->th, s->h, top) < sm_dist_mean(&c->limits.ostium_clearance_mm))
            return true;
        if (top >= s->hs - c->limits.reach_margin_mm &&
            clearance(t, c, s->rs, s->ths, s->hs, top) < sm_dist_mean(&c->limits.stj_clearance_mm))
            return true;
    }
    return false;
}

/* 8. The analysis */

/* Makes the analysis wrong, to see that the table shows it: a sign turned round, or errors that it does not know of. */
static void break_case(const char *how, sm_case *c)
{
    if (strcmp(how, "blooming") == 0)
        for (size_t k = 0; k < c->n_coronaries; k++)
            for (int q = 0; q < SM_QUANTITIES; q++)
                c->coronary[k].quantity[q].bloom_edges *= -1;
    if (strcmp(how, "readers") == 0)
        for (size_t k = 0; k < c->n_coronaries; k++)
            for (int q = 0; q < SM_QUANTITIES; q++)
                c->coronary[k].quantity[q].between_reader_sd_mm = c->coronary[k].quantity[q].repeat_sd_mm = 0;
    if (strcmp(how, "looks") == 0) /* nothing is held for spoiled, views for exact, readers for surer than they are */
        for (size_t k = 0; k < c->n_coronaries; k++)
            for (int q = 0; q < SM_QUANTITIES; q++) {
                c->coronary[k].quantity[q].cross_check.spoiled = 1e-6;
                c->coronary[k].quantity[q].cross_check.reader_sd_mm /= 3;
                c->coronary[k].quantity[q].cross_check.view_error_sd_deg = 0;
            }
    if (strcmp(how, "plane") == 0)
        c->scan.base_plane.point_sd_mm = c->scan.base_plane.cuff_wave_mm = c->scan.centreline_sd_mm = 0;
}

static double probability(const sm_case *read, const options *o, uint64_t seed)
{
    sm_coronary side[SIDES];
    sm_case c = *read;
    memcpy(side, read->coronary, c.n_coronaries * sizeof *side);
    c.coronary = side;
    break_case(o->broken, &c);
    sm_assessment result;
    const sm_status s = sm_assess(&c, (sm_run_context){.trials = o->trials, .seed = seed}, &result);
    const double p = s == SM_OK ? result.patient.event.probability : NAN;
    sm_assessment_destroy(&result);
    return p;
}

/* 9. The table */

typedef struct {
    long n, crossed;
    double said, variance; /* sums of p and p (1 - p) */
} bin;

static void add(bin *b, double p, bool crossed)
{
    b->n++;
    b->crossed += crossed;
    b->said += p;
    b->variance += p * (1 - p);
}

/* How far what crossed is from what was said, in standard errors. */
static double deviation(const bin *b)
{
    return ((double)b->crossed - b->said) / sqrt(fmax(b->variance, 1e-9));
}

static void print_bin(const char *name, const bin *b)
{
    const double n = (double)b->n, k = (double)b->crossed;
    if (b->n == 0) {
        printf("| %s | 0 | | | | |\n", name);
        return;
    }
    const double f = k / n, z2 = 1.959964 * 1.959964 / n, middle = (f + z2 / 2) / (1 + z2); /* Wilson */
    const double half = sqrt(z2 * (f * (1 - f) + z2 / 4)) / (1 + z2);
    printf("| %s | %ld | %.1f | %.1f | %.1f to %.1f | %+.1f |\n", name, b->n, 100 * b->said / n, 100 * k / n,
           100 * (middle - half), 100 * (middle + half), deviation(b));
}

/* Prints and judges (unless only to show): no bin beyond 4 standard errors, and all together not beyond what chance
 * allows in 1 of 1,000. */
static bool report(const bin *b, bool show)
{
    bin all = {0};
    double chi2 = 0;
    bool good = true;
    printf("| given, of 100 | roots | given on average | crossed | 95 %% interval | difference, in standard errors |\n"
           "|---|---|---|---|---|---|\n");
    for (int i = 0; i < BINS; i++) {
        char name[32];
        snprintf(name, sizeof name, "%d to %d", 100 * i / BINS, 100 * (i + 1) / BINS);
        print_bin(name, &b[i]);
        const double z = deviation(&b[i]);
        good = good && fabs(z) <= 4;
        chi2 += z * z;
        all = (bin){all.n + b[i].n, all.crossed + b[i].crossed, all.said + b[i].said, all.variance + b[i].variance};
    }
    print_bin("all", &all);
    const double chance = gsl_cdf_chisq_Q(chi2, BINS);
    good = good && chance >= 1e-3; /* false for a NaN */
    printf("\nSum of squares %.1f over %d bins: chance alone gives more in %.2g of 100 runs. %s\n", chi2, BINS,
           100 * chance,
           show   ? "Shown, not judged."
           : good ? "Calibrated."
                  : "NOT calibrated.");
    return good || show;
}

static bool run(const options *o, const population *p, const sm_case *planned)
{
    bin b[BINS] = {{0}};
    sm_coronary side[SIDES];
    sm_case c = *planned; /* shares the rows of readings, which are ours to fill */
    memcpy(side, planned->coronary, c.n_coronaries * sizeof *side);
    c.coronary = side;
    gsl_rng *r = gsl_rng_alloc(gsl_rng_taus2);
    gsl_rng_set(r, o->seed);
    for (long i = 0; i < o->roots; i++) {
        true_root t;
        draw_root(r, &c, p, &t);
        read_root(r, &t, &c);
        const double said = probability(&c, o, (uint64_t)i + 1);
        if (said >= 0)
            add(&b[said < 1 ? (int)(said * BINS) : BINS - 1], said, crosses(&t, &c));
    }
    gsl_rng_free(r);
    printf("%ld roots, %ld trials each, seed %lu: %s.\n\n", o->roots, o->trials, o->seed, p->words);
    return report(b, o->show);
}

int main(int argc, char **argv)
{
    options o;
    gsl_set_error_handler_off();
    const population *p = read_options(argc, argv, &o) ? population_named(o.population) : NULL;
    sm_casefile *file = p ? read_case(o.path) : NULL;
    if (!file) {
        fprintf(stderr, "coverage: needs a valid case and known options; see the head of tests/coverage/coverage.c\n");
        return 2;
    }
    const bool good = run(&o, p, sm_casefile_case(file));
    sm_casefile_destroy(file);
    return good ? 0 : 1;
}
