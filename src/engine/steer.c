/* steer.c - draws steered to where the second looks point, and the weights that undo the steering.
 *
 * Contents: 1. what X answers to  2. where each view is drawn  3. how often each combination is tried  4. storage
 *           5. what is taken to be true  6. common draws  7. the first reading's own error: normal
 *           8. the same of any family  9. a group of trials  10. weights
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/steer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "sampling/turn.h"

/* 1. What X answers to */

/* The first order of (2.6) about a plane without tilt. */
void sm_steer_by_frame(double cos_az, double sin_az, double r, double z, bool radial, double by_frame[SM_FRAME_DRAWS])
{
    const double gap[SM_FRAME_DRAWS] = {-z * cos_az, -z * sin_az, 0, cos_az, sin_az};
    const double height[SM_FRAME_DRAWS] = {r * cos_az, r * sin_az, 1, 0, 0};
    memcpy(by_frame, radial ? gap : height, sizeof gap);
}

/* c, a, b of the plane by its three base draws: (2.2) or (2.3). */
static double plane_by_draw(const sm_plane *p, int row, int draw)
{
    static const int form[3] = {2, 0, 1}; /* of the tilt form: the draws of c, a, b */
    if (p->tilt_form)
        return form[row] != draw ? 0 : row == 0 ? p->level_sd : p->tilt_sd;
    return p->solve[row][draw] * p->point_sd;
}

void sm_steer_by_draws(const sm_root_frame *f, sm_steered_look *l)
{
    const double *by = l->by_frame;
    for (int j = 0; j < 3; j++)
        l->by_draw[j] = by[0] * plane_by_draw(&f->plane, 1, j) + by[1] * plane_by_draw(&f->plane, 2, j) +
                        by[2] * plane_by_draw(&f->plane, 0, j);
    l->by_draw[3] = by[3] * f->centreline_sd;
    l->by_draw[4] = by[4] * f->centreline_sd;
}

static double common_covariance(const sm_steered_look *a, const sm_steered_look *b)
{
    double sum = 0;
    for (int j = 0; j < SM_FRAME_DRAWS; j++)
        sum += a->by_draw[j] * b->by_draw[j];
    return sum;
}

/* d(reading)/d(z of the scale): a scale that is wrong by M moves what is read by about M times itself. */
static double by_scale(const sm_look *l)
{
    return l->magnification_sd * l->reading;
}

/* 2. Where each view is drawn */

/* Variance of what the first reading of X errs by itself. */
static double own_variance(const sm_steered_look *l, const sm_dist *blooming)
{
    const sm_root_reading *r = &l->first;
    const double bloom = sm_dist_is_constant(blooming) ? 0 : r->reading.bloom_edges * sm_dist_sd(blooming);
    const double error = r->error.transform.constant ? 0 : sm_dist_sd(&r->error.transform.dist);
    return gsl_pow_2(error) + gsl_pow_2(bloom) + gsl_pow_2(r->reading.resolution) / 12;
}

/* One look by the linear model, both readings right: means over the views that are left of its distribution by what it
 * read. */
typedef struct {
    double evidence;         /* the density of the reading */
    double cosine, variance; /* of cos G */
    double stretch;          /* mean of 1/cos G before the reading: J of a trial that believes the look alone */
} view_means;

/* Below this share of the trials as good as all, the views that the reading speaks for are drawn more often. */
#define VIEWS_ENOUGH 0.8
/* A share of the views is drawn from their distribution, whatever the model says. */
#define VIEWS_KEPT 0.15

static double normal_density(double x, double variance)
{
    return exp(-x * x / (2 * variance)) / sqrt(2 * M_PI * variance);
}

/* The first reading's own error by nodes of its normal score, so far out that no tail is missed: where it lies, and how
 * probable that is. */
enum { NODES = 49 };

typedef struct {
    int n;
    double error[NODES], share[NODES];
} error_nodes;

/* One node at the mean if the error is normal or constant: then its variance says all. */
static error_nodes nodes_of(const sm_steered_look *l)
{
    const sm_transform *t = &l->first.error.transform;
    error_nodes e = {.n = 1, .error = {sm_dist_mean(&t->dist)}, .share = {1}};
    double z[NODES], all = 0;
    if (t->constant || t->dist.family == SM_NORMAL)
        return e;
    e.n = NODES;
    for (int i = 0; i < NODES; i++) {
        z[i] = 6 * (2.0 * i / (NODES - 1) - 1);
        all += e.share[i] = exp(-z[i] * z[i] / 2);
    }
    sm_transform_apply(&l->error_by_score, z, e.error, NODES);
    for (int i = 0; i < NODES; i++)
        e.share[i] /= all;
    return e;
}

/* The density of the reading at a view, both readings right. rest: the variance of X but for what the nodes hold. */
static double density_at(const sm_look *l, const error_nodes *e, double X, double rest, double cosine)
{
    const double h = l->half_circle, fixed = gsl_pow_2(l->error_sd) + gsl_pow_2(by_scale(l));
    double sum = 0;
    for (int i = 0; i < e->n; i++)
        sum += e->share[i] *
               normal_density(l->reading - ((X + e->error[i] + h) * cosine - h), fixed + cosine * cosine * rest);
    return sum;
}

/* prior: the share of each step before the reading; likely: the reading's density there. */
static void tabulate_views(const sm_steering *c, const sm_steered_look *l, double width, double *prior, double *likely)
{
    const sm_dist *blooming = &c->scan.blooming.transform.dist;
    const error_nodes e = nodes_of(l);
    const double own = e.n > 1 ? gsl_pow_2(sm_dist_sd(&l->first.error.transform.dist)) : 0, v = l->look.view_sd;
    const double rest = common_covariance(l, l) + own_variance(l, blooming) - own;
    const double X =
        sm_root_reading_mean(&l->first, sm_dist_mean(blooming)) - sm_dist_mean(&l->first.error.transform.dist);
    const double whole = v > 0 ? erf(SM_VIEWS * width / v * M_SQRT1_2) : 1;
    for (int i = 0; i < SM_VIEWS; i++) {
        const double low = i * width / v * M_SQRT1_2, high = (i + 1) * width / v * M_SQRT1_2;
        prior[i] = v > 0 ? (erf(high) - erf(low)) / whole : 1.0 / SM_VIEWS;
        likely[i] = v > 0 || i == 0 ? density_at(&l->look, &e, X, rest, cos((i + 0.5) * width)) : likely[0];
    }
}

static view_means choose_views(const sm_steering *c, const sm_steered_look *l, sm_view_choice *out)
{
    double prior[SM_VIEWS], likely[SM_VIEWS], squares = 0, upto = 0;
    view_means m = {0, 0, 0, 0};
    *out = (sm_view_choice){.width = fmin(acos(SM_LOOK_LEAST), 6 * l->look.view_sd) / SM_VIEWS};
    tabulate_views(c, l, out->width, prior, likely);
    for (int i = 0; i < SM_VIEWS; i++) {
        const double cosine = cos((i + 0.5) * out->width);
        m.evidence += prior[i] * likely[i];
        squares += prior[i] * likely[i] * likely[i];
        m.cosine += prior[i] * likely[i] * cosine;
        m.variance += prior[i] * likely[i] * cosine * cosine;
        m.stretch += prior[i] / cosine;
    }
    const bool known = m.evidence > 0;
    m.cosine = known ? m.cosine / m.evidence : 1;
    m.variance = known ? fmax(0, m.variance / m.evidence - gsl_pow_2(m.cosine)) : 0;
    out->steered = known && l->view >= 0 && out->width > 0 && gsl_pow_2(m.evidence) < VIEWS_ENOUGH * squares;
    for (int i = 0; out->steered && i < SM_VIEWS; i++) {
        out->mass[i] = (1 - VIEWS_KEPT) * prior[i] * likely[i] / m.evidence + VIEWS_KEPT * prior[i];
        out->upto[i] = upto += out->mass[i];
    }
    return m;
}

/* The first place whose rising sum exceeds u. */
static int place_of(const double *upto, int n, double u)
{
    int low = 0, high = n - 1;
    while (low < high) {
        const int middle = (low + high) / 2;
        if (u < upto[middle])
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

/* The angle that belongs to a normal draw; its density before the reading over that with which it was drawn goes into
 * the weight. */
static double draw_view(const sm_view_choice *c, double view_sd, double z, double *factor, double *exponent)
{
    const double u = erf(fabs(z) * M_SQRT1_2);
    const int at = place_of(c->upto, SM_VIEWS, u);
    const double below = at > 0 ? c->upto[at - 1] : 0, part = (u - below) / c->mass[at];
    const double G = c->width * (at + (part < 1 ? part : 1)), before = G / view_sd;
    *factor *= M_2_SQRTPI * M_SQRT1_2 / view_sd * c->width / c->mass[at];
    *exponent -= before * before / 2;
    return G;
}

/* cos G of each trial; cos is even, so that |G| needs no absolute value. Beyond a quarter of a turn it is not wanted.
 */
static void draw_cosines(const sm_steered_look *l, const sm_view_choice *c, const double *restrict z, int look,
                         sm_steered *s)
{
    double turn[SM_LANES], sine[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        const bool steered = c->steered && s->right[look][i] > 0;
        const double G = steered ? draw_view(c, l->look.view_sd, z[i], &s->weight[i], &s->exponent[i])
                                 : fabs(l->look.view_sd * z[i]);
        turn[i] = G / (2 * M_PI) < 0.25 ? G / (2 * M_PI) : 0.25;
    }
    sm_turn(turn, s->cosine[look], sine, SM_LANES);
}

/* 3. How often each combination is tried */

/* A share of the trials goes to all combinations alike, impossible as they may seem: the linear model may err. */
#define EVENLY 0.2

typedef struct {
    double residual[SM_MAX_LOOKS];
    double covariance[SM_MAX_LOOKS][SM_MAX_LOOKS];
    double log_evidence[SM_MAX_LOOKS]; /* of a look by itself, its view's distribution as it is */
    double stretch[SM_MAX_LOOKS];
} linear_looks;

static void linearise(const sm_steering *c, sm_view_choice *view, linear_looks *out)
{
    double cosine[SM_MAX_LOOKS];
    const sm_dist *blooming = &c->scan.blooming.transform.dist;
    for (int l = 0; l < c->n; l++) {
        const sm_steered_look *s = &c->look[l];
        const double h = s->look.half_circle, X = sm_root_reading_mean(&s->first, sm_dist_mean(blooming));
        const view_means m = choose_views(c, s, &view[l]);
        cosine[l] = m.cosine;
        out->stretch[l] = m.stretch;
        out->log_evidence[l] = m.evidence > 0 ? log(m.evidence) : -HUGE_VAL;
        out->residual[l] = s->look.reading - ((X + h) * m.cosine - h);
        for (int k = 0; k <= l; k++)
            out->covariance[l][k] = cosine[l] * cosine[k] * common_covariance(s, &c->look[k]) +
                                    by_scale(&s->look) * by_scale(&c->look[k].look);
        out->covariance[l][l] += gsl_pow_2(s->look.error_sd) + gsl_pow_2(cosine[l]) * own_variance(s, blooming) +
                                 gsl_pow_2(X + h) * m.variance;
    }
}

void sm_steer_residuals(const sm_steering *c, double standardised[SM_MAX_LOOKS])
{
    sm_view_choice view[SM_MAX_LOOKS];
    linear_looks m;
    linearise(c, view, &m);
    for (int l = 0; l < c->n; l++)
        standardised[l] = m.residual[l] / sqrt(m.covariance[l][l]);
}

sm_look_state sm_choices_state(int combination, int l)
{
    for (; l > 0; l--)
        combination /= SM_LOOK_STATES;
    return (sm_look_state)(combination % SM_LOOK_STATES);
}

/* The log of the normal density of the residuals of the looks in `at`, less what it would be if they had nothing in
 * common; by a Cholesky factor. */
static double log_in_common(const linear_looks *m, const int *at, int n)
{
    double L[SM_MAX_LOOKS][SM_MAX_LOOKS], v[SM_MAX_LOOKS], sum = 0;
    for (int i = 0; i < n; i++) {
        const double alone = m->covariance[at[i]][at[i]], residual = m->residual[at[i]];
        double rest = residual;
        for (int j = 0; j <= i; j++) {
            double left = m->covariance[at[i]][at[j]];
            for (int k = 0; k < j; k++)
                left -= L[i][k] * L[j][k];
            L[i][j] = i == j ? sqrt(left) : left / L[j][j];
            rest -= j < i ? L[i][j] * v[j] : 0;
        }
        v[i] = rest / L[i][i];
        sum += (residual * residual / alone + log(alone)) / 2 - v[i] * v[i] / 2 - log(L[i][i]);
    }
    return sum;
}

/* How probable a combination is by the linear model, but for a factor. */
static double evidence_of(const sm_steering *c, const linear_looks *m, int combination)
{
    int at[SM_MAX_LOOKS], n = 0;
    double log_spoiled = 0;
    for (int l = 0; l < c->n; l++) {
        const sm_look_state state = sm_choices_state(combination, l);
        if (state == SM_BOTH_RIGHT) {
            log_spoiled += m->log_evidence[l];
            at[n++] = l;
        } else
            log_spoiled += log(c->look[l].look.spoiled_density * (state == SM_FIRST_OFF ? m->stretch[l] : 1));
    }
    return exp(log_spoiled + log_in_common(m, at, n));
}

sm_status sm_choices_create(const sm_steering *c, sm_choices *out)
{
    linear_looks m;
    double all = 0, upto = 0;
    *out = (sm_choices){.n = c->n > 0 ? (int)gsl_pow_int(SM_LOOK_STATES, c->n) : 0};
    if (out->n == 0)
        return SM_OK;
    out->upto = malloc((size_t)out->n * sizeof *out->upto);
    out->share = malloc((size_t)out->n * sizeof *out->share);
    if (!out->upto || !out->share)
        return SM_NO_MEMORY;
    linearise(c, out->view, &m);
    for (int i = 0; i < out->n; i++)
        all += out->share[i] = evidence_of(c, &m, i);
    for (int i = 0; i < out->n; i++) {
        const double believed = all > 0 ? out->share[i] / all : 1.0 / out->n;
        out->share[i] = (1 - EVENLY) * believed + EVENLY / out->n;
        out->upto[i] = upto += out->share[i];
    }
    return SM_OK;
}

void sm_choices_destroy(sm_choices *c)
{
    free(c->upto);
    free(c->share);
    *c = (sm_choices){0};
}

/* 4. Storage */

sm_status sm_steered_create(int n_columns, sm_steered *s)
{
    s->column = malloc(((size_t)n_columns + 1) * sizeof *s->column);
    return s->column ? SM_OK : SM_NO_MEMORY;
}

void sm_steered_destroy(sm_steered *s)
{
    free(s->column);
    s->column = NULL;
}

/* 5. What is taken to be true */

/* pick is what the choice leaves of its uniform: another one. */
static void choose(const sm_steering *c, const sm_choices *choices, const double *restrict u, sm_steered *s)
{
    for (int i = 0; i < SM_LANES; i++) {
        const int at = place_of(choices->upto, choices->n, u[i]);
        const double below = at > 0 ? choices->upto[at - 1] : 0;
        s->pick[i] = (u[i] - below) / choices->share[at];
        s->weight[i] = 1 / choices->share[at];
        s->exponent[i] = 0;
        for (int l = 0, rest = at; l < c->n; l++, rest /= SM_LOOK_STATES) {
            s->state[l][i] = rest % SM_LOOK_STATES;
            s->right[l][i] = rest % SM_LOOK_STATES == SM_BOTH_RIGHT ? 1 : 0;
        }
    }
}

/* 6. Common draws */

/* X but for its common draws and its own error: what was read, blooming, resolution and the wave of the cuff, which are
 * not steered. */
SM_WIDE static void find_base(const sm_steered_look *l, const double *const *column, const sm_scan_draws *scan,
                              const double (*wave)[SM_LANES], double *restrict base)
{
    const sm_reading *r = &l->first.reading;
    const double *by = l->by_frame, *V = l->first.resolution >= 0 ? column[l->first.resolution] : NULL;
    const double bare = r->estimate + r->bloom_edges * r->reference, edges = r->bloom_edges, width = r->resolution;
    for (int i = 0; i < SM_LANES; i++)
        base[i] = bare + by[0] * wave[0][i] + by[1] * wave[1][i] + by[2] * wave[2][i];
    for (int i = 0; edges != 0 && i < SM_LANES; i++)
        base[i] -= edges * scan->B[i];
    for (int i = 0; V && i < SM_LANES; i++)
        base[i] += width * (V[i] - 0.5);
}

/* a, b and c of the wave alone. */
static void draw_wave(const sm_root_frame *f, const double *const *column, double (*wave)[SM_LANES])
{
    const double still[SM_LANES] = {0}, *normal[3] = {still, still, still}, *phase[SM_MAX_PLACEMENTS];
    for (int i = 0; i < sm_plane_phases(&f->plane); i++)
        phase[i] = column[f->phase[i]];
    sm_plane_draw(&f->plane, normal, phase, wave[0], wave[1], wave[2]);
}

/* Whether the cuff's wave moves any X: between points 120 degrees apart it lifts the plane and does not tilt it. */
static bool any_waves(const sm_steering *c)
{
    const sm_plane *p = &c->frame.plane;
    const bool tilts = fabs(p->cos_3phi[0] - p->cos_3phi[1]) + fabs(p->cos_3phi[0] - p->cos_3phi[2]) > 1e-9;
    bool lifted = false;
    for (int l = 0; l < c->n; l++)
        lifted = lifted || c->look[l].by_frame[2] != 0 || (tilts && c->look[l].side != SM_SHARED);
    return lifted && sm_plane_phases(p) > 0;
}

static bool any_blooms(const sm_steering *c)
{
    for (int l = 0; l < c->n; l++)
        if (sm_root_reading_blooms(&c->look[l].first))
            return true;
    return false;
}

static double cut(double x)
{
    return x > SM_LOOK_LEAST ? x : SM_LOOK_LEAST;
}

/* What the linear model leaves of each reading with every common draw at 0, and the variance of the rest. */
static void find_rests(const sm_steering *c, const sm_choices *choices, const double *const *column, sm_steered *s)
{
    double wave[3][SM_LANES] = {{0}};
    sm_scan_draws scan = {{0}};
    if (any_waves(c))
        draw_wave(&c->frame, column, wave);
    if (any_blooms(c))
        sm_root_draw_scan(&c->scan, column, &scan);
    for (int l = 0; l < c->n; l++) {
        const sm_steered_look *at = &c->look[l];
        const sm_transform *error = &at->first.error.transform;
        const double h = at->look.half_circle, mean = sm_dist_mean(&error->dist);
        const double own = error->constant ? 0 : gsl_pow_2(sm_dist_sd(&error->dist));
        find_base(at, column, &scan, (const double(*)[SM_LANES])wave, s->base[l]);
        if (at->view >= 0)
            draw_cosines(at, &choices->view[l], column[at->view], l, s);
        for (int i = 0; i < SM_LANES; i++) {
            s->cosine[l][i] = at->view >= 0 ? s->cosine[l][i] : 1;
            const double cosine = cut(s->cosine[l][i]);
            s->rest[l][i] = at->look.reading - ((s->base[l][i] + mean + h) * cosine - h);
            s->variance[l][i] = gsl_pow_2(at->look.error_sd) + cosine * cosine * own;
        }
    }
}

/* The Cholesky factor of the covariance of the readings of the looks that are right; the others stand apart. */
SM_WIDE static void factorise(const sm_steering *c, sm_steered *s)
{
    for (int l = 0; l < c->n; l++)
        for (int k = 0; k <= l; k++) {
            const double common = common_covariance(&c->look[l], &c->look[k]);
            const double scale = by_scale(&c->look[l].look) * by_scale(&c->look[k].look);
            double *restrict f = s->factor[l][k];
            for (int i = 0; i < SM_LANES; i++) {
                const double both = s->right[l][i] * s->right[k][i];
                f[i] = both * (s->cosine[l][i] * s->cosine[k][i] * common + scale);
                f[i] += l == k ? (both > 0 ? s->variance[l][i] : 1) : 0;
            }
            for (int j = 0; j < k; j++)
                for (int i = 0; i < SM_LANES; i++)
                    f[i] -= s->factor[l][j][i] * s->factor[k][j][i];
            for (int i = 0; i < SM_LANES; i++)
                f[i] = l == k ? sqrt(f[i]) : f[i] / s->factor[k][k][i];
        }
}

/* v = inverse of L times v; then, if `whole`, of L transposed too. */
SM_WIDE static void solve(int n, const sm_steered *s, bool whole, double (*v)[SM_LANES])
{
    for (int l = 0; l < n; l++) {
        for (int k = 0; k < l; k++)
            for (int i = 0; i < SM_LANES; i++)
                v[l][i] -= s->factor[l][k][i] * v[k][i];
        for (int i = 0; i < SM_LANES; i++)
            v[l][i] /= s->factor[l][l][i];
    }
    for (int l = n - 1; whole && l >= 0; l--) {
        for (int k = l + 1; k < n; k++)
            for (int i = 0; i < SM_LANES; i++)
                v[l][i] -= s->factor[k][l][i] * v[k][i];
        for (int i = 0; i < SM_LANES; i++)
            v[l][i] /= s->factor[l][l][i];
    }
}

/* What the common draws z move each reading by. */
SM_WIDE static void shown_by(const sm_steering *c, const sm_steered *s, const double *const *z, int l,
                             double *restrict out)
{
    const double *by = c->look[l].by_draw, scale = by_scale(&c->look[l].look);
    for (int i = 0; i < SM_LANES; i++) {
        double X = 0;
        for (int j = 0; j < SM_FRAME_DRAWS; j++)
            X += by[j] * z[j][i];
        out[i] = s->cosine[l][i] * X + (c->scale >= 0 ? scale * z[SM_FRAME_DRAWS][i] : 0);
    }
}

/* The log of the readings' density with the common draws free: it goes into the weight. */
SM_WIDE static void weigh_margin(const sm_steering *c, sm_steered *s)
{
    double v[SM_MAX_LOOKS][SM_LANES];
    for (int l = 0; l < c->n; l++)
        for (int i = 0; i < SM_LANES; i++)
            v[l][i] = s->right[l][i] * s->rest[l][i];
    solve(c->n, s, false, v);
    for (int i = 0; i < SM_LANES; i++) {
        double squares = 0, root = 1;
        for (int l = 0; l < c->n; l++) {
            squares += v[l][i] * v[l][i];
            root *= s->factor[l][l][i];
        }
        s->exponent[i] -= squares / 2;
        s->weight[i] /= root;
    }
}

/* The columns of the common draws; the scale's only if there is one. */
static int common_columns(const sm_steering *c, int column[SM_COMMON_DRAWS])
{
    for (int j = 0; j < 3; j++)
        column[j] = c->frame.normal[j];
    for (int j = 0; j < 2; j++)
        column[3 + j] = c->frame.centreline[j];
    column[SM_FRAME_DRAWS] = c->scale;
    return c->scale >= 0 ? SM_COMMON_DRAWS : SM_FRAME_DRAWS;
}

/* Moves the common draws to a draw of what the looks leave of them: the draws as they are, corrected by what a reading
 * simulated from them would have missed the real one by (Matheron's rule, from memory). */
SM_WIDE static void move_common(const sm_steering *c, const double *const *column, sm_steered *s)
{
    int at[SM_COMMON_DRAWS];
    const double *z[SM_COMMON_DRAWS];
    double v[SM_MAX_LOOKS][SM_LANES], shown[SM_LANES];
    const int n = common_columns(c, at);
    for (int j = 0; j < n; j++)
        z[j] = column[at[j]];
    for (int l = 0; l < c->n; l++) {
        const double *noise = column[c->look[l].error];
        shown_by(c, s, z, l, shown);
        for (int i = 0; i < SM_LANES; i++)
            v[l][i] = s->right[l][i] * (s->rest[l][i] - shown[i] - sqrt(s->variance[l][i]) * noise[i]);
    }
    solve(c->n, s, true, v);
    for (int j = 0; j < n; j++) {
        memcpy(s->moved[j], z[j], sizeof s->moved[j]);
        for (int l = 0; l < c->n; l++)
            for (int i = 0; i < SM_LANES; i++)
                s->moved[j][i] +=
                    s->right[l][i] * v[l][i] *
                    (j < SM_FRAME_DRAWS ? s->cosine[l][i] * c->look[l].by_draw[j] : by_scale(&c->look[l].look));
        s->column[at[j]] = s->moved[j];
    }
}

/* Takes the linear model's likelihood out of the weight, and what the moved draws show out of the rests. */
SM_WIDE static void weigh_common(const sm_steering *c, sm_steered *s)
{
    int at[SM_COMMON_DRAWS];
    const double *z[SM_COMMON_DRAWS];
    double shown[SM_LANES];
    const int n = common_columns(c, at);
    for (int j = 0; j < n; j++)
        z[j] = s->column[at[j]];
    for (int l = 0; l < c->n; l++) {
        shown_by(c, s, z, l, shown);
        for (int i = 0; i < SM_LANES; i++) {
            const double rest = s->rest[l][i] - shown[i], variance = s->variance[l][i];
            s->exponent[i] += s->right[l][i] * rest * rest / variance / 2;
            s->weight[i] *= s->right[l][i] > 0 ? sqrt(variance) : 1;
        }
    }
}

/* 7. The first reading's own error: normal */

/* X's own error that would make the look read what it read, (3.4) solved, and the look's SD on the scale of X. */
SM_WIDE static void wanted_error(const sm_steering *c, const sm_steered *s, int l, double *restrict wanted,
                                 double *restrict sd)
{
    const sm_steered_look *at = &c->look[l];
    for (int i = 0; i < SM_LANES; i++) {
        const double cosine = cut(s->cosine[l][i]), scale = cut(s->scale[l][i]);
        double X = s->base[l][i];
        for (int j = 0; j < SM_FRAME_DRAWS; j++)
            X += at->by_draw[j] * s->column[j < 3 ? c->frame.normal[j] : c->frame.centreline[j - 3]][i];
        wanted[i] = sm_look_alone(&at->look, 0, cosine, scale) - X;
        sd[i] = at->look.error_sd / (cosine * scale);
    }
}

/* What the reader read, but for its own error, in the reader's frame. */
static void bare_reading(const sm_steered_look *l, const double *const *column, const sm_scan_draws *scan,
                         double *restrict bare)
{
    static const double no_wave[3][SM_LANES];
    find_base(l, column, scan, no_wave, bare);
}

/* The own error that puts the landmark of a gap at the radius X + h, (2.6) solved for r'. */
static void solve_gap(const sm_steered_look *l, const sm_frame *f, const double *restrict z,
                      const double *restrict bare, const double *restrict X, double *restrict wanted)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double ex = l->cos_az * f->ux[i] + l->sin_az * f->vx[i], ey = l->sin_az * f->vy[i];
        const double ax = f->ox[i] + z[i] * f->nx[i], ay = f->oy[i] + z[i] * f->ny[i], R = X[i] + l->half;
        const double along = ax * ex + ay * ey, length = ex * ex + ey * ey;
        const double inside = along * along - length * (ax * ax + ay * ay - R * R);
        const double r = (sqrt(inside > 0 ? inside : 0) - along) / length;
        wanted[i] = r - l->half - bare[i];
    }
}

/* The own error that puts the leaflet top at the height X, (2.6) solved for z'. */
static void solve_height(const sm_steered_look *l, const sm_frame *f, const double *restrict bare,
                         const double *restrict X, double *restrict wanted)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double rim = l->half * (l->cos_az * f->uz[i] + l->sin_az * f->vz[i]);
        wanted[i] = (X[i] - f->oz[i] - rim) / f->nz[i] - bare[i];
    }
}

/* The same without the linear model: a sharp look asks for more than that. */
static void exact_error(const sm_steering *c, const sm_steered *s, int l, double *restrict wanted)
{
    const sm_steered_look *at = &c->look[l];
    const double *const *column = (const double *const *)s->column;
    double bare[SM_LANES], X[SM_LANES], z[SM_LANES];
    sm_scan_draws scan = {{0}};
    sm_frame frame;
    sm_root_draw_scan(&c->scan, column, &scan);
    sm_root_draw_frame(&c->frame, column, &frame);
    bare_reading(at, column, &scan, bare);
    for (int i = 0; i < SM_LANES; i++)
        X[i] = sm_look_alone(&at->look, 0, cut(s->cosine[l][i]), cut(s->scale[l][i]));
    if (!sm_looked_table[at->at].projection) {
        solve_height(at, &frame, bare, X, wanted);
        return;
    }
    sm_root_draw_reading(&at->height, column, &scan, z);
    solve_gap(at, &frame, z, bare, X, wanted);
}

/* The normal that is left of a normal error, exactly. */
SM_WIDE static void move_normal(const sm_dist *error, const double *restrict right, const double *restrict wanted,
                                const double *restrict sd, const double *restrict z, double *restrict moved,
                                double *restrict gain)
{
    const double mean = error->p[0], own = error->p[1];
    for (int i = 0; i < SM_LANES; i++) {
        const double all = sd[i] * sd[i] + own * own, left = sd[i] * sd[i] / all;
        const double at = own * (wanted[i] - mean) / all + sqrt(left) * z[i];
        moved[i] = right[i] > 0 ? at : z[i];
        gain[i] = right[i] > 0 ? sqrt(left) : 1;
    }
}

static void move_normal_error(const sm_steering *c, int l, const double *wanted, const double *sd, sm_steered *s)
{
    const sm_variable *v = &c->look[l].first.error;
    double gain[SM_LANES], *moved = s->moved[SM_COMMON_DRAWS + l];
    const double *z = s->column[v->column];
    move_normal(&v->transform.dist, s->right[l], wanted, sd, z, moved, gain);
    for (int i = 0; i < SM_LANES; i++) {
        s->exponent[i] += (z[i] * z[i] - moved[i] * moved[i]) / 2;
        s->weight[i] *= gain[i];
    }
    s->column[v->column] = moved;
}

/* 8. The same of any family */

/* A share of the trials keeps the error as it was drawn, so that no weight runs away where the normal is too narrow. */
#define KEPT  0.15
#define WIDER 1.3 /* the variance of the normal, times that of the mode's curvature */
enum { STEPS = 3 };
#define SLOPE_STEP 0.02

/* The error's slope at the score z, and the error itself. */
SM_WIDE static void error_at(const sm_transform *t, const double *restrict z, double *restrict error,
                             double *restrict slope)
{
    double at[SM_LANES], above[SM_LANES];
    sm_transform_apply(t, z, error, SM_LANES);
    for (int i = 0; i < SM_LANES; i++)
        at[i] = z[i] + SLOPE_STEP;
    sm_transform_apply(t, at, above, SM_LANES);
    for (int i = 0; i < SM_LANES; i++)
        slope[i] = (above[i] - error[i]) / SLOPE_STEP;
}

/* The most probable score, and the variance about it, by Gauss's and Newton's steps of at most 2. */
SM_WIDE static void find_mode(const sm_transform *t, const double *restrict wanted, const double *restrict sd,
                              double *restrict mode, double *restrict variance)
{
    double error[SM_LANES], slope[SM_LANES];
    memset(mode, 0, SM_LANES * sizeof *mode);
    for (int step = 0; step <= STEPS; step++) {
        error_at(t, mode, error, slope);
        for (int i = 0; i < SM_LANES; i++) {
            const double ratio = slope[i] / sd[i], left = 1 / (1 + ratio * ratio);
            const double to = left * ratio * ((wanted[i] - error[i]) / sd[i] + ratio * mode[i]);
            const double move = to - mode[i] < -2 ? -2 : to - mode[i] > 2 ? 2 : to - mode[i];
            variance[i] = WIDER * left;
            mode[i] += step < STEPS ? move : 0;
        }
    }
}

/* True in KEPT of all trials; the uniform is left as a fresh one. */
static bool keeps(double *uniform)
{
    const bool kept = *uniform < KEPT;
    *uniform = kept ? *uniform / KEPT : (*uniform - KEPT) / (1 - KEPT);
    return kept;
}

static void move_any_error(const sm_steering *c, int l, const double *wanted, const double *sd, sm_steered *s)
{
    const sm_variable *v = &c->look[l].first.error;
    const bool uniform = v->transform.base == SM_BASE_UNIFORM;
    double mode[SM_LANES], variance[SM_LANES], *moved = s->moved[SM_COMMON_DRAWS + l];
    const double *drawn = s->column[v->column];
    find_mode(&c->look[l].error_by_score, wanted, sd, mode, variance);
    for (int i = 0; i < SM_LANES; i++) {
        const double z = uniform ? gsl_cdf_ugaussian_Pinv(drawn[i]) : drawn[i];
        const double to = keeps(&s->pick[i]) ? z : mode[i] + sqrt(variance[i]) * z;
        const double d = to - mode[i], ratio = exp(to * to / 2 - d * d / (2 * variance[i])) / sqrt(variance[i]);
        s->weight[i] /= s->right[l][i] > 0 ? (1 - KEPT) * ratio + KEPT : 1;
        moved[i] = s->right[l][i] > 0 ? (uniform ? gsl_cdf_ugaussian_P(to) : to) : drawn[i];
    }
    s->column[v->column] = moved;
}

/* 9. A group of trials */

static void find_scales(const sm_steering *c, sm_steered *s)
{
    for (int l = 0; l < c->n; l++)
        for (int i = 0; i < SM_LANES; i++)
            s->scale[l][i] = c->scale >= 0 ? 1 + c->look[l].look.magnification_sd * s->column[c->scale][i] : 1;
}

static void move_own(const sm_steering *c, int l, sm_steered *s)
{
    const sm_transform *error = &c->look[l].first.error.transform;
    double wanted[SM_LANES], sd[SM_LANES];
    if (error->constant)
        return;
    wanted_error(c, s, l, wanted, sd);
    if (c->look[l].sharp)
        exact_error(c, s, l, wanted);
    if (error->dist.family == SM_NORMAL && error->base == SM_BASE_NORMAL)
        move_normal_error(c, l, wanted, sd, s);
    else
        move_any_error(c, l, wanted, sd, s);
}

void sm_steer(const sm_steering *c, const sm_choices *choices, const double *const *column, int n_columns,
              sm_steered *out)
{
    memcpy(out->column, column, (size_t)n_columns * sizeof *out->column);
    choose(c, choices, column[c->choice], out);
    find_rests(c, choices, column, out);
    factorise(c, out);
    weigh_margin(c, out);
    move_common(c, column, out);
    weigh_common(c, out);
    find_scales(c, out);
    for (int l = 0; l < c->n; l++)
        move_own(c, l, out);
}

void sm_steer_replace(const sm_steering *c, const sm_steered *s, int l, double *restrict X)
{
    const sm_steered_look *at = &c->look[l];
    const double *noise = s->column[at->error];
    for (int i = 0; i < SM_LANES; i++) {
        const double alone =
            sm_look_alone(&at->look, at->look.error_sd * noise[i], cut(s->cosine[l][i]), cut(s->scale[l][i]));
        X[i] = s->state[l][i] == SM_FIRST_OFF ? alone : X[i];
    }
}

/* 10. Weights */

/* (3.6) with (3.5): what a look adds to the weight of a trial that has this X. */
static void add_likelihood(const sm_look *l, int state, double X, double cosine, double scale, double *factor,
                           double *exponent)
{
    const bool cut_off = cosine < SM_LOOK_LEAST || scale < SM_LOOK_LEAST;
    if (state == SM_BOTH_RIGHT) {
        const double z = (l->reading - sm_look_shown(l, X, cosine, scale)) / l->error_sd;
        *exponent -= z * z / 2;
        *factor *= M_2_SQRTPI * M_SQRT1_2 / 2 / l->error_sd;
    } else if (state == SM_LOOK_OFF)
        *factor *= l->spoiled_density;
    else
        *factor *= X < l->low || X > l->high ? 0 : l->spoiled_density / (cosine * scale);
    *factor = cut_off ? 0 : *factor;
}

void sm_steer_weigh(const sm_steering *c, const sm_steered *s, const double *const *X, double *restrict weight)
{
    for (int i = 0; i < SM_LANES; i++) {
        double factor = s->weight[i], exponent = s->exponent[i];
        for (int l = 0; l < c->n; l++)
            add_likelihood(&c->look[l].look, (int)s->state[l][i], X[l][i], s->cosine[l][i], s->scale[l][i], &factor,
                           &exponent);
        const double w = factor * exp(exponent);
        weight[i] = w > 0 && w < HUGE_VAL ? w : 0; /* what is not a number has no weight */
    }
}
