/* look_index.c - what a look with several coordinates says of the event, as one number.
 *
 * Contents: 1. storage  2. margins of a trial  3. sums  4. lines  5. the table of the normal  6. the index
 *           7. its mean and spread  8. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/look_index.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>

#include "engine/spread.h"
#include "measurement/planned_look.h"

enum { PILOT_BLOCKS = 32, GROUPS = SM_BLOCK / SM_LANES };

/* 1. Storage */

/* By which coordinates a side's margins are foretold. */
static void find_used(const sm_look_draws *d, const sm_look_index *x, int k, sm_side_index *side)
{
    for (int j = 0; j < x->dims; j++) {
        const int of = sm_look_draws_target(d, x->which[j]).side;
        if (x->dims <= SM_LINE_MOST || of == k || of == SM_OF_VALVE)
            side->used[side->n_used++] = x->which[j];
    }
}

static sm_status side_create(const sm_look_draws *d, const sm_look_index *x, int k, sm_side_index *side)
{
    side->counts = d->plan->root[0].side[k].outputs.model.counts > 0;
    side->scale = 1;
    side->used = malloc((size_t)x->dims * sizeof *side->used);
    side->slopes = calloc(SM_MARGINS * (size_t)x->dims, sizeof *side->slopes);
    if (!side->used || !side->slopes)
        return SM_NO_MEMORY;
    find_used(d, x, k, side);
    for (int m = 0; m < SM_MARGINS; m++) {
        side->line[m].slope = side->slopes + m * side->n_used;
        side->line[m].rest_sd = 1;
    }
    return SM_OK;
}

static sm_status look_create(const sm_look_draws *d, int look, sm_look_index *x)
{
    sm_status s = SM_OK;
    x->which = malloc(((size_t)d->dims + 1) * sizeof *x->which);
    if (!x->which)
        return SM_NO_MEMORY;
    x->dims = sm_look_draws_of(d, look, x->which);
    x->n_sides = d->plan->root[0].n_sides;
    x->scale = 1;
    if (x->dims < 2)
        return SM_OK;
    x->side = calloc((size_t)x->n_sides, sizeof *x->side);
    if (!x->side)
        return SM_NO_MEMORY;
    for (int k = 0; s == SM_OK && k < x->n_sides; k++)
        s = side_create(d, x, k, &x->side[k]);
    return s;
}

static void look_destroy(sm_look_index *x)
{
    for (int k = 0; x->side && k < x->n_sides; k++) {
        free(x->side[k].used);
        free(x->side[k].slopes);
    }
    free(x->side);
    free(x->which);
}

void sm_look_indices_destroy(sm_look_indices *s)
{
    for (int i = 0; s->look && i < s->n; i++)
        look_destroy(&s->look[i]);
    free(s->look);
    free(s->normal);
    *s = (sm_look_indices){0};
}

/* 2. Margins of a trial */

/* Crossed at a gap: the room beyond the limit is below 0 and the height at least 0. column: as root[0] has them. */
static void margins(const sm_root_outputs *c, const double *const *column, const sm_side_out *o, double (*m)[SM_LANES])
{
    double limit[SM_GAPS][SM_LANES];
    for (int g = 0; g < SM_GAPS; g++)
        sm_variable_draw(&c->limit[g], column, limit[g]);
    for (int i = 0; i < SM_LANES; i++) {
        m[0][i] = o->y[SM_OSTIUM_CLEARANCE][i] - limit[SM_GAP_OSTIUM][i];
        m[1][i] = o->y[SM_COVER][i];
        m[2][i] = o->y[SM_STJ_CLEARANCE][i] - limit[SM_GAP_STJ][i];
        m[3][i] = o->y[SM_REACH][i] + c->model.reach_margin;
    }
}

/* 3. Sums */

/* Weighted sums over trials, about the first trial's values, of `dims` coordinates and of what follows them. */
typedef struct {
    int n, dims; /* columns; those of them that are coordinates, the first */
    double weight;
    double *first, *sum, *product; /* n, n, n x (dims + 1): of a column with a coordinate, or with itself */
} sums;

static sm_status sums_create(int dims, int n, sums *s)
{
    *s = (sums){.n = n, .dims = dims};
    s->first = calloc((size_t)n, sizeof *s->first);
    s->sum = calloc((size_t)n, sizeof *s->sum);
    s->product = calloc((size_t)n * (size_t)(dims + 1), sizeof *s->product);
    return s->first && s->sum && s->product ? SM_OK : SM_NO_MEMORY;
}

static void sums_destroy(sums *s)
{
    free(s->first);
    free(s->sum);
    free(s->product);
}

/* Product of column j with coordinate i < dims; i = dims: with itself. */
static double *product_at(const sums *s, int j, int i)
{
    return &s->product[(size_t)j * (size_t)(s->dims + 1) + (size_t)i];
}

SM_WIDE static double weighted_product(const double *restrict w, const double *restrict a, const double *restrict b)
{
    double part[8] = {0};
    for (int i = 0; i < SM_LANES; i += 8)
        for (int j = 0; j < 8; j++)
            part[j] += w[i + j] * a[i + j] * b[i + j];
    return ((part[0] + part[1]) + (part[2] + part[3])) + ((part[4] + part[5]) + (part[6] + part[7]));
}

/* x: by column, SM_LANES each; shifted here. */
static void sums_add(sums *s, const double *weight, double (*x)[SM_LANES])
{
    double one[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        one[i] = 1;
    for (int j = 0; j < s->n; j++) {
        if (s->weight == 0)
            s->first[j] = x[j][0];
        for (int i = 0; i < SM_LANES; i++)
            x[j][i] -= s->first[j];
    }
    for (int j = 0; j < s->n; j++) {
        s->sum[j] += weighted_product(weight, x[j], one);
        for (int i = 0; i < s->dims && i <= j; i++)
            *product_at(s, j, i) += weighted_product(weight, x[j], x[i]);
        *product_at(s, j, s->dims) += weighted_product(weight, x[j], x[j]);
    }
    s->weight += weighted_product(weight, one, one);
}

static double mean_of(const sums *s, int j)
{
    return s->first[j] + s->sum[j] / s->weight;
}

/* Of column j with coordinate i; i = dims: of j with itself. */
static double covariance_of(const sums *s, int j, int i)
{
    const int a = i < s->dims && i > j ? i : j, b = i < s->dims && i > j ? j : i;
    const int other = b == s->dims ? a : b;
    return *product_at(s, a, b) / s->weight - s->sum[a] / s->weight * (s->sum[other] / s->weight);
}

/* 4. Lines */

/* The covariance of the coordinates, decomposed; a slight ridge keeps apart those that hang together, and lets one
 * stand that shows nothing. */
static bool decompose(const sums *s, gsl_matrix *A)
{
    for (int i = 0; i < s->dims; i++)
        for (int j = 0; j < s->dims; j++) {
            const double c = covariance_of(s, i, j);
            gsl_matrix_set(A, (size_t)i, (size_t)j, i == j ? (1 + 1e-9) * c + 1e-12 : c);
        }
    return gsl_linalg_cholesky_decomp1(A) == 0;
}

static void fit_line(const sums *s, int target, const gsl_matrix *A, sm_margin_line *line)
{
    gsl_vector_view slope = gsl_vector_view_array(line->slope, (size_t)s->dims);
    double explained = 0;
    for (int i = 0; i < s->dims; i++)
        line->slope[i] = covariance_of(s, target, i);
    gsl_linalg_cholesky_svx(A, &slope.vector);
    line->constant = mean_of(s, target);
    for (int i = 0; i < s->dims; i++) {
        line->constant -= line->slope[i] * mean_of(s, i);
        explained += line->slope[i] * covariance_of(s, target, i);
    }
    const double variance = covariance_of(s, target, s->dims);
    line->rest_sd = sqrt(fmax(variance - explained, 1e-12 * variance + 1e-12));
}

/* The lines of a side. room: of a matrix. Where there is no solution they stay level: the look is then worth nothing.
 */
static void fit_side(const sums *s, double *room, sm_side_index *side)
{
    if (side->n_used == 0 || !side->counts)
        return;
    gsl_matrix_view A = gsl_matrix_view_array(room, (size_t)side->n_used, (size_t)side->n_used);
    if (decompose(s, &A.matrix))
        for (int m = 0; m < SM_MARGINS; m++)
            fit_line(s, side->n_used + m, &A.matrix, &side->line[m]);
}

/* 5. The table of the normal */

#define TABLE_REACH 8.0
enum { TABLE_CELLS = 2048 };

static double *normal_table(void)
{
    double *t = malloc((TABLE_CELLS + 2) * sizeof *t);
    for (int i = 0; t && i < TABLE_CELLS + 2; i++)
        t[i] = gsl_cdf_ugaussian_P(-TABLE_REACH + 2 * TABLE_REACH * i / TABLE_CELLS);
    return t;
}

/* Phi by straight lines between the places of the table: to 4e-6, without a step. */
static double normal_at(const double *table, double z)
{
    double at = (z + TABLE_REACH) * (TABLE_CELLS / (2 * TABLE_REACH));
    at = at > 0 ? at : 0;
    at = at < TABLE_CELLS ? at : TABLE_CELLS;
    const int i = (int)at;
    return table[i] + (at - i) * (table[i + 1] - table[i]);
}

/* 6. The index */

SM_WIDE static void predict(const sm_side_index *side, const sm_margin_line *line, double (*y)[SM_LANES],
                            double *restrict z)
{
    const double by = 1 / line->rest_sd;
    for (int i = 0; i < SM_LANES; i++)
        z[i] = line->constant * by;
    for (int j = 0; j < side->n_used; j++) {
        const double slope = line->slope[j] * by;
        const double *restrict shown = y[side->used[j]];
        for (int i = 0; i < SM_LANES; i++)
            z[i] += slope * shown[i];
    }
}

/* The probability that nothing happens on a side. */
static void side_spared(const sm_look_indices *s, const sm_side_index *side, double (*y)[SM_LANES],
                        double *restrict spared)
{
    double z[SM_MARGINS][SM_LANES];
    for (int m = 0; m < SM_MARGINS; m++)
        predict(side, &side->line[m], y, z[m]);
    for (int i = 0; i < SM_LANES; i++) {
        const double crowded = normal_at(s->normal, -z[0][i]) * normal_at(s->normal, z[1][i]);
        const double sealed = normal_at(s->normal, -z[2][i]) * normal_at(s->normal, z[3][i]);
        spared[i] = (1 - crowded) * (1 - sealed);
    }
}

/* Log odds, kept from infinity. */
static double log_odds(double spared)
{
    const double least = 1e-7, p = fmin(1 - least, fmax(least, 1 - spared));
    return log(p / (1 - p));
}

/* Nothing happens in the patient if nothing happens on any side. */
static void spare(const double *restrict side, double *restrict all)
{
    for (int i = 0; i < SM_LANES; i++)
        all[i] *= side[i];
}

/* Log odds of the event, brought to mean 0 and SD 1. */
static void level_odds(const double *spared, double mean, double scale, double *out)
{
    for (int i = 0; i < SM_LANES; i++)
        out[i] = (log_odds(spared[i]) - mean) * scale;
}

/* Where a side stands among those that are asked for; -1: nowhere. */
static int place_of(int k, const int *side, int n)
{
    for (int j = 0; j < n; j++)
        if (side[j] == k)
            return j;
    return -1;
}

static void show_index(const sm_look_indices *s, const sm_look_index *x, double (*y)[SM_LANES],
                       double *restrict patient, const int *side, int n, double (*sides)[SM_LANES])
{
    double all[SM_LANES], spared[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        all[i] = 1;
    for (int k = 0; k < x->n_sides; k++) {
        const int place = place_of(k, side, n);
        if (!x->side[k].counts)
            continue;
        side_spared(s, &x->side[k], y, spared);
        spare(spared, all);
        if (place >= 0)
            level_odds(spared, x->side[k].mean, x->side[k].scale, sides[place]);
    }
    level_odds(all, x->mean, x->scale, patient);
}

void sm_look_index_show(const sm_look_indices *s, int look, double (*y)[SM_LANES], double *restrict patient,
                        const int *side, int n, double (*sides)[SM_LANES])
{
    const sm_look_index *x = &s->look[look];
    if (x->dims > 1) {
        show_index(s, x, y, patient, side, n, sides);
        return;
    }
    const double *shown = y[x->which[0]];
    for (int i = 0; i < SM_LANES; i++)
        patient[i] = (shown[i] - x->mean) * x->scale;
}

/* 7. Its mean and spread */

/* 1/SD; 0 for what does not vary but for rounding (1e-6 mm, or of log odds): sorting by that would sort by the last
 * bits of this processor. */
static double scale_of(double variance)
{
    return variance > 1e-12 ? 1 / sqrt(variance) : 0;
}

static void level(const sm_moments *m, double *mean, double *scale)
{
    const double variance = m->n > 1 ? m->sum_sq / (double)(m->n - 1) : 0;
    *mean = m->mean;
    *scale = scale_of(variance);
}

/* Of one look: of the patient's index, and of each side's index and probability. */
typedef struct {
    sm_moments patient, *side, *spared;
} index_moments;

static void add_moments(const sm_look_indices *s, int look, double (*y)[SM_LANES], index_moments *m)
{
    const sm_look_index *x = &s->look[look];
    double all[SM_LANES], spared[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        all[i] = 1;
    for (int k = 0; k < x->n_sides; k++) {
        if (!x->side[k].counts)
            continue;
        side_spared(s, &x->side[k], y, spared);
        spare(spared, all);
        sm_moments_add(&m->spared[k], spared, SM_LANES);
        level_odds(spared, 0, 1, spared);
        sm_moments_add(&m->side[k], spared, SM_LANES);
    }
    level_odds(all, 0, 1, all);
    sm_moments_add(&m->patient, all, SM_LANES);
}

static void take_moments(const index_moments *m, sm_look_index *x)
{
    level(&m->patient, &x->mean, &x->scale);
    for (int k = 0; k < x->n_sides; k++) {
        double unused, by;
        level(&m->side[k], &x->side[k].mean, &x->side[k].scale);
        level(&m->spared[k], &unused, &by);
        x->side[k].spread = x->side[k].counts && by > 0 ? 1 / by : 0;
    }
}

/* 8. The whole */

/* What the pilot works with. */
typedef struct {
    const sm_plan *p;
    sm_worker w;
    sm_look_room room;
    sums **of;             /* by look and side; of a look with one coordinate one alone */
    double (*x)[SM_LANES]; /* coordinates, then margins */
    double *matrix;
    double weight[SM_LANES];
} pilot;

/* How many sums a look has. */
static int systems(const sm_look_index *x)
{
    return x->dims > 1 ? x->n_sides : x->dims;
}

static sm_status sums_of_look(const sm_look_index *x, sums **of)
{
    sm_status s = SM_OK;
    *of = calloc((size_t)systems(x) + 1, sizeof **of);
    if (!*of)
        return SM_NO_MEMORY;
    for (int k = 0; s == SM_OK && k < systems(x); k++)
        s = x->dims > 1 ? sums_create(x->side[k].n_used, x->side[k].n_used + SM_MARGINS, &(*of)[k])
                        : sums_create(1, 1, &(*of)[k]);
    return s;
}

static sm_status pilot_create(const sm_look_indices *all, pilot *t)
{
    const sm_look_draws *d = all->draws;
    const size_t most = (size_t)d->dims + SM_MARGINS;
    sm_status s = SM_OK;
    *t = (pilot){.p = d->plan, .x = malloc(most * sizeof *t->x), .matrix = malloc(most * most * sizeof *t->matrix)};
    t->of = calloc((size_t)all->n + 1, sizeof *t->of);
    if (!t->x || !t->matrix || !t->of)
        return SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < all->n; i++)
        s = sums_of_look(&all->look[i], &t->of[i]);
    if (s == SM_OK)
        s = sm_worker_create(d->plan, &t->w);
    return s == SM_OK ? sm_look_room_create(d, &t->room) : s;
}

static void pilot_destroy(const sm_look_indices *all, pilot *t)
{
    for (int i = 0; t->of && i < all->n; i++) {
        for (int k = 0; t->of[i] && k < systems(&all->look[i]); k++)
            sums_destroy(&t->of[i][k]);
        free(t->of[i]);
    }
    free(t->of);
    free(t->x);
    free(t->matrix);
    sm_worker_destroy(&t->w);
    sm_look_room_destroy(&t->room);
}

/* Group g of block `block`: what is shown, and the weights. */
static void pilot_group(const sm_look_draws *d, uint32_t block, int g, pilot *t)
{
    if (g == 0)
        sm_worker_draw(t->p, &t->w, SM_FOR_PILOT, block);
    sm_worker_point(&t->w, g);
    sm_evaluate_first(t->p, t->w.column, &t->w.at);
    sm_evaluate_weights(t->p, 0, &t->w.at, t->weight);
    sm_look_draws_show(d, &t->w, SM_FOR_PILOT, sm_columns_of(t->p, 0, t->w.column, &t->w.at), &t->room);
}

/* The group at hand into the sums of one look. */
static void add_look(const sm_look_index *x, const pilot *t, sums *of)
{
    if (x->dims == 1) {
        memcpy(t->x[0], t->room.y[x->which[0]], sizeof t->x[0]);
        sums_add(of, t->weight, t->x);
    }
    for (int k = 0; x->dims > 1 && k < x->n_sides; k++) {
        const sm_side_index *side = &x->side[k];
        if (!side->counts)
            continue;
        for (int j = 0; j < side->n_used; j++)
            memcpy(t->x[j], t->room.y[side->used[j]], sizeof t->x[j]);
        margins(&t->p->root[0].side[k].outputs, sm_columns_of(t->p, 0, t->w.column, &t->w.at), &t->w.at.side[k],
                t->x + side->n_used);
        sums_add(&of[k], t->weight, t->x);
    }
}

static void fit_look(const sums *of, double *matrix, sm_look_index *x)
{
    if (x->dims == 1) { /* shown as it is */
        const double variance = covariance_of(of, 0, 0);
        x->mean = mean_of(of, 0);
        x->scale = scale_of(variance);
    }
    for (int k = 0; x->dims > 1 && k < x->n_sides; k++)
        fit_side(&of[k], matrix, &x->side[k]);
}

static void pilot_lines(const sm_look_draws *d, pilot *t, sm_look_indices *all)
{
    for (uint32_t block = 0; block < PILOT_BLOCKS; block++)
        for (int g = 0; g < GROUPS; g++) {
            pilot_group(d, block, g, t);
            for (int i = 0; i < all->n; i++)
                add_look(&all->look[i], t, t->of[i]);
        }
    for (int i = 0; i < all->n; i++)
        fit_look(t->of[i], t->matrix, &all->look[i]);
}

/* Fewer trials suffice: a mean and a spread. */
static sm_status pilot_levels(const sm_look_draws *d, pilot *t, sm_look_indices *out)
{
    const size_t sides = (size_t)t->p->root[0].n_sides;
    sm_moments *room = calloc((size_t)out->n * 2 * sides + 1, sizeof *room);
    index_moments *m = calloc((size_t)out->n + 1, sizeof *m);
    sm_status s = room && m ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < out->n; i++) {
        m[i].side = room + (size_t)i * 2 * sides;
        m[i].spared = m[i].side + sides;
    }
    for (uint32_t block = 0; s == SM_OK && block < PILOT_BLOCKS / 8; block++)
        for (int g = 0; g < GROUPS; g++) {
            pilot_group(d, block, g, t);
            for (int i = 0; i < out->n; i++)
                if (out->look[i].dims > 1)
                    add_moments(out, i, t->room.y, &m[i]);
        }
    for (int i = 0; s == SM_OK && i < out->n; i++)
        if (out->look[i].dims > 1)
            take_moments(&m[i], &out->look[i]);
    free(room);
    free(m);
    return s;
}

static sm_status find_lines(const sm_look_draws *d, sm_look_indices *out)
{
    pilot t;
    sm_status s = pilot_create(out, &t);
    if (s == SM_OK) {
        pilot_lines(d, &t, out);
        s = pilot_levels(d, &t, out);
    }
    pilot_destroy(out, &t);
    return s;
}

sm_status sm_look_indices_create(const sm_look_draws *d, sm_look_indices *out)
{
    *out = (sm_look_indices){.draws = d, .n = d->n, .normal = normal_table()};
    out->look = calloc(d->n > 0 ? (size_t)d->n : 1, sizeof *out->look);
    sm_status s = out->look && out->normal ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < d->n; i++)
        s = look_create(d, i, &out->look[i]);
    if (s == SM_OK)
        s = find_lines(d, out);
    if (s != SM_OK)
        sm_look_indices_destroy(out);
    return s;
}
