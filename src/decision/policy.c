/* policy.c - a rule learned on one half of the trials, paid on the other.
 *
 * Contents: 1. grids and counts  2. features of cells  3. the logistic surface  4. paying  5. several actions
 *           6. waiting or acting  7. a part of a coordinate
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/policy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "base/lanes.h"

/* 1. Grids and counts */

#define REACH SM_GRID_REACH

int sm_grid_side(const sm_grid *g)
{
    static const int sides[SM_MAX_DIMS + 1] = {1, SM_GRID_LINE, 64, 32};
    return sides[g->dims];
}

int sm_grid_cells(const sm_grid *g)
{
    int cells = 1;
    for (int d = 0; d < g->dims; d++)
        cells *= sm_grid_side(g);
    return cells;
}

/* Adds the digit of one coordinate to the number of each trial's cell. */
SM_WIDE static void add_digit(const double *restrict x, int n, double low, double scale, int side,
                              int32_t *restrict cell)
{
    const double last = side - 1;
    for (int i = 0; i < n; i++) {
        double at = (x[i] - low) * scale;
        at = at > 0 ? at : 0; /* also for NaN */
        at = at < last ? at : last;
        cell[i] = cell[i] * side + (int32_t)at;
    }
}

void sm_grid_cell(const sm_grid *g, const double *const *x, int n, int32_t *cell)
{
    const int side = sm_grid_side(g);
    const double low = g->circular ? 0 : -REACH, scale = side / (g->circular ? 1 : 2 * REACH);
    memset(cell, 0, (size_t)n * sizeof *cell);
    for (int d = 0; d < g->dims; d++)
        add_digit(x[d], n, low, scale, side, cell);
}

void sm_cell_counts_add(sm_cell_counts *to, const sm_cell_counts *from, size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (int h = 0; h < 2; h++) {
            to[i].n[h] += from[i].n[h];
            to[i].events[h] += from[i].events[h];
        }
}

void sm_cell_counts_scale(sm_cell_counts *cell, size_t n, double by)
{
    for (size_t i = 0; i < n; i++)
        for (int h = 0; h < 2; h++) {
            cell[i].n[h] *= by;
            cell[i].events[h] *= by;
        }
}

void sm_swaps_add(sm_swap *to, const sm_swap *from, size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (int h = 0; h < 2; h++) {
            to[i].gained[h] += from[i].gained[h];
            to[i].lost[h] += from[i].lost[h];
        }
}

void sm_swaps_scale(sm_swap *swap, size_t n, double by)
{
    for (size_t i = 0; i < n; i++)
        for (int h = 0; h < 2; h++) {
            swap[i].gained[h] *= by;
            swap[i].lost[h] *= by;
        }
}

/* The middle of a cell along one dimension. */
static double middle(const sm_grid *g, int place)
{
    const double part = (place + 0.5) / sm_grid_side(g);
    return g->circular ? part : (2 * part - 1) * REACH;
}

/* 2. Features of cells */

enum { MAX_FEATURES = 24, DEGREE_1 = 5, DEGREE_MORE = 3, HARMONICS = 3 };

/* Once by cell, for what adds up over cells in their order, each filled up with zeros to a whole number of fours; once
 * by feature, for what adds up over features. */
typedef struct {
    int cells, n, width; /* n features; width: from one cell's to the next */
    double *by_cell;     /* feature j of cell c: by_cell[c * width + j] */
    double *by_feature;  /* by_feature[j * cells + c] */
} features;

static int degree_of(const sm_grid *g)
{
    return g->dims == 1 ? DEGREE_1 : DEGREE_MORE;
}

/* f[i]: one feature; the number of features. */
static int circular_features(double turn, double *f)
{
    int n = 0;
    f[n++] = 1;
    for (int k = 1; k <= HARMONICS; k++) {
        f[n++] = cos(2 * M_PI * k * turn);
        f[n++] = sin(2 * M_PI * k * turn);
    }
    return n;
}

/* Powers of the middles along one dimension, brought to a range where powers stay small. */
typedef struct {
    double of[SM_GRID_LINE][DEGREE_1 + 1];
} powers;

static void fill_powers(const sm_grid *g, powers *p)
{
    const int side = sm_grid_side(g);
    for (int c = 0; c < side; c++)
        for (int i = 0; i <= degree_of(g); i++)
            p->of[c][i] = gsl_pow_int(middle(g, c) / 2, i);
}

/* All products of powers up to the degree. */
static int polynomial_features(const sm_grid *g, const powers *p, int cell, double *f)
{
    const int degree = degree_of(g), side = sm_grid_side(g);
    int at[SM_MAX_DIMS] = {0}, n = 0;
    for (int d = g->dims - 1; d >= 0; d--, cell /= side)
        at[d] = cell % side;
    for (int i = 0; i <= degree; i++)
        for (int j = 0; j <= (g->dims > 1 ? degree - i : 0); j++)
            for (int k = 0; k <= (g->dims > 2 ? degree - i - j : 0); k++)
                f[n++] = p->of[at[0]][i] * p->of[at[1]][j] * p->of[at[2]][k]; /* the power 0 is 1 */
    return n;
}

static int features_of(const sm_grid *g, const powers *p, int cell, double *f)
{
    return g->circular ? circular_features(middle(g, cell), f) : polynomial_features(g, p, cell, f);
}

static void features_destroy(features *f)
{
    free(f->by_cell);
    free(f->by_feature);
    *f = (features){0};
}

/* Of n cells: those listed in `which`; NULL: the first n. */
static sm_status features_create(const sm_grid *g, const int *which, int n, features *f)
{
    powers p;
    double first[MAX_FEATURES];
    fill_powers(g, &p);
    *f = (features){.cells = n, .n = features_of(g, &p, 0, first)};
    f->width = (f->n + 3) / 4 * 4;
    f->by_cell = calloc((size_t)n * (size_t)f->width + 1, sizeof *f->by_cell);
    f->by_feature = malloc(((size_t)n * (size_t)f->n + 1) * sizeof *f->by_feature);
    if (!f->by_cell || !f->by_feature) {
        features_destroy(f);
        return SM_NO_MEMORY;
    }
    for (int c = 0; c < n; c++) {
        double *of_cell = f->by_cell + (size_t)c * (size_t)f->width;
        features_of(g, &p, which ? which[c] : c, of_cell);
        for (int j = 0; j < f->n; j++)
            f->by_feature[(size_t)j * (size_t)n + (size_t)c] = of_cell[j];
    }
    return SM_OK;
}

/* 3. The logistic surface */

/* Trials and events of a cell in a half, or in both. */
static void half_counts(const sm_cell_counts *c, int half, double *n, double *events)
{
    *n = half < 2 ? c->n[half] : c->n[0] + c->n[1];
    *events = half < 2 ? c->events[half] : c->events[0] + c->events[1];
}

/* One surface over cells. */
typedef struct {
    const features *f;
    double *n, *events; /* by cell */
    double *eta;        /* by cell: the logit at beta */
    double beta[MAX_FEATURES];
    double A[MAX_FEATURES * MAX_FEATURES], b[MAX_FEATURES]; /* of A the lower half has a meaning */
} surface;

/* The logit of every cell, held where exp stays finite. */
SM_WIDE static void find_eta(const features *f, const double *beta, double *restrict eta)
{
    memset(eta, 0, (size_t)f->cells * sizeof *eta);
    for (int j = 0; j < f->n; j++) {
        const double *restrict x = f->by_feature + (size_t)j * (size_t)f->cells;
        for (int c = 0; c < f->cells; c++)
            eta[c] += beta[j] * x[c];
    }
    for (int c = 0; c < f->cells; c++) {
        const double least = eta[c] > -30 ? eta[c] : -30;
        eta[c] = least < 30 ? least : 30;
    }
}

static double logistic(double eta)
{
    return 1 / (1 + exp(-eta));
}

/* Adds what a cell with the features f adds. */
SM_WIDE static void add_equations(const double *restrict f, int n, double weight, double rest, double *restrict A,
                                  double *restrict b)
{
    for (int i = 0; i < n; i++) {
        const double here = weight * f[i];
        b[i] += f[i] * rest;
        for (int j = 0; j <= i; j += 4)
            for (int k = j; k < j + 4; k++)
                A[i * MAX_FEATURES + k] += here * f[k];
    }
}

/* Normal equations of one Newton step; a slight ridge keeps separated data finite. */
#define RIDGE 1e-3

static void normal_equations(surface *s)
{
    const features *f = s->f;
    memset(s->A, 0, sizeof s->A);
    for (int j = 0; j < f->n; j++) {
        s->A[j * MAX_FEATURES + j] = RIDGE;
        s->b[j] = -RIDGE * s->beta[j];
    }
    for (int c = 0; c < f->cells; c++) {
        const double n = s->n[c], p = n > 0 ? logistic(s->eta[c]) : 0;
        if (n > 0)
            add_equations(f->by_cell + (size_t)c * (size_t)f->width, f->n, n * p * (1 - p), s->events[c] - n * p, s->A,
                          s->b);
    }
}

/* Sets eta, and returns the logarithm of the likelihood, less the ridge: what each step must raise. */
static double likelihood(surface *s)
{
    double sum = 0;
    for (int j = 0; j < s->f->n; j++)
        sum -= RIDGE / 2 * s->beta[j] * s->beta[j];
    find_eta(s->f, s->beta, s->eta);
    for (int c = 0; c < s->f->cells; c++) {
        const double n = s->n[c], eta = s->eta[c];
        if (n > 0)
            sum += s->events[c] * eta - n * (eta > 0 ? eta + log1p(exp(-eta)) : log1p(exp(eta)));
    }
    return sum;
}

/* Takes as much of the step as raises the likelihood; the full step of Newton's method can overshoot for ever if the
 * risk runs from near 0 to near 1. Returns by how much it was raised; 0 if no part of the step raises it: that is
 * the top, but for rounding. */
static double take_step(surface *s, const double *step, double share, double level)
{
    enum { HALVINGS = 30 };
    double start[MAX_FEATURES];
    memcpy(start, s->beta, sizeof start);
    for (int i = 0; i < HALVINGS; i++, share /= 2) {
        for (int j = 0; j < s->f->n; j++)
            s->beta[j] = start[j] + share * step[j];
        double gain = likelihood(s) - level;
        if (gain > 0)
            return gain;
    }
    memcpy(s->beta, start, sizeof start);
    return 0;
}

/* One step of Newton's method, at most 4 in any coefficient. Returns the gain; 0 if the system is singular. */
static double newton_step(surface *s, double level)
{
    const size_t m = (size_t)s->f->n;
    double step[MAX_FEATURES], size = 0;
    gsl_matrix_view A = gsl_matrix_view_array_with_tda(s->A, m, m, MAX_FEATURES);
    gsl_vector_view b = gsl_vector_view_array(s->b, m), x = gsl_vector_view_array(step, m);
    if (gsl_linalg_cholesky_decomp1(&A.matrix) || gsl_linalg_cholesky_solve(&A.matrix, &b.vector, &x.vector))
        return 0;
    for (size_t j = 0; j < m; j++)
        size = fmax(size, fabs(step[j]));
    return take_step(s, step, size > 4 ? 4 / size : 1, level);
}

/* The overall proportion of a half's events, or of both's, kept away from 0 and 1. */
static double proportion(const sm_cell_counts *cell, int cells, int half)
{
    double all = 0, all_events = 0;
    for (int c = 0; c < cells; c++) {
        double n, events;
        half_counts(&cell[c], half, &n, &events);
        all += n;
        all_events += events;
    }
    return (all_events + 0.5) / (all + 1);
}

/* From the overall proportion p upward: wherever it ends, the surface is at least as likely as that. Data that a step
 * divides without error have no top; there the steps stop. False if it was interrupted. */
static bool fit(surface *s, double p, sm_watch watch)
{
    enum { STEPS = 60 };
    static const double least_gain = 1e-8;
    double gain = HUGE_VAL;
    memset(s->beta, 0, sizeof s->beta);
    s->beta[0] = log(p / (1 - p));
    double level = likelihood(s);
    for (int i = 0; i < STEPS && gain > least_gain; i++, level += gain) {
        if (sm_watch_interrupted(watch))
            return false;
        normal_equations(s);
        gain = newton_step(s, level);
    }
    return true;
}

/* The event's probability over cells as a smooth surface, fitted to one half (0 or 1) or to both (2). cell and P have a
 * place for each cell of f. SM_NO_MEMORY, SM_INTERRUPTED. */
static sm_status policy_surface(const features *f, const sm_cell_counts *cell, int half, sm_watch watch, double *P)
{
    const size_t cells = (size_t)f->cells;
    double *room = malloc((3 * cells + 1) * sizeof *room);
    if (!room)
        return SM_NO_MEMORY;
    surface s = {.f = f, .n = room, .events = room + cells, .eta = room + 2 * cells};
    for (size_t c = 0; c < cells; c++)
        half_counts(&cell[c], half, &s.n[c], &s.events[c]);
    const bool whole = fit(&s, proportion(cell, f->cells, half), watch);
    find_eta(f, s.beta, s.eta);
    for (size_t c = 0; c < cells; c++)
        P[c] = logistic(s.eta[c]);
    free(room);
    return whole ? SM_OK : SM_INTERRUPTED;
}

sm_status sm_policy_curve(const sm_cell_counts *cell, sm_watch watch, double P[SM_GRID_LINE])
{
    const sm_grid line = {.dims = 1};
    features f;
    sm_status s = features_create(&line, NULL, SM_GRID_LINE, &f);
    if (s == SM_OK)
        s = policy_surface(&f, cell, 2, watch, P);
    features_destroy(&f);
    return s;
}

/* 4. Paying */

/* Sums over the trials that pay: what the changed act saves, and how often it changes. */
typedef struct {
    double n, saved, saved_sq, changed, changed_sq;
} payment;

/* One half of a cell: all its trials, and those in which the other action has an event that the action now has not, and
 * the reverse. */
typedef struct {
    double n, gained, lost;
} swap_counts;

/* With probability `share` another action takes the place of the one now; it saves `spared` in burden, one event more
 * if the event is lost and one less if it is gained. */
static void pay(const swap_counts *t, double share, double spared, payment *p)
{
    const double same = t->n - t->gained - t->lost;
    p->n += t->n;
    p->saved += share * (t->gained * (spared - 1) + t->lost * (spared + 1) + same * spared);
    p->saved_sq += share * share *
                   (t->gained * gsl_pow_2(spared - 1) + t->lost * gsl_pow_2(spared + 1) + same * gsl_pow_2(spared));
    p->changed += share * t->n;
    p->changed_sq += share * share * t->n;
}

/* Half of what the two halves' rules differ by in how often they change the act: one paid before, both in all. */
static double rule_error(const payment *one, const payment *both)
{
    const double n = both->n - one->n;
    return one->n > 0 && n > 0 ? fabs(one->changed / one->n - (both->changed - one->changed) / n) / 2 : 0;
}

static sm_worth worth_of(const payment *p)
{
    sm_worth w = {.rule_error = 0};
    double n = p->n > 0 ? p->n : 1, saved = p->saved / n, changed = p->changed / n;
    w.value.value = fmax(0, saved);
    w.value.standard_error = sqrt(fmax(0, p->saved_sq / n - saved * saved) / n);
    w.change.value = changed;
    w.change.standard_error = sqrt(fmax(0, p->changed_sq / n - changed * changed) / n);
    return w;
}

/* 5. Several actions */

/* What choosing needs of the cells that hold trials; the rest of a grid, most of one of three dimensions, is never
 * asked for. */
typedef struct {
    int n;
    int *at; /* where they stand in the grid */
    features f;
    sm_cell_counts *cell; /* of the action at hand */
    double *P, *cost;     /* its surface; the least cost so far */
    int *best;            /* the action that has it */
} chooser;

static void chooser_destroy(chooser *w)
{
    features_destroy(&w->f);
    free(w->at);
    free(w->cell);
    free(w->P);
    free(w->cost);
    free(w->best);
}

static sm_status chooser_create(const sm_grid *g, const sm_cell_counts *cell, chooser *w)
{
    const int cells = sm_grid_cells(g);
    *w = (chooser){.at = malloc((size_t)cells * sizeof *w->at)};
    for (int c = 0; w->at && c < cells; c++)
        if (cell[c].n[0] > 0 || cell[c].n[1] > 0)
            w->at[w->n++] = c;
    const size_t n = (size_t)w->n + 1;
    w->cell = malloc(n * sizeof *w->cell);
    w->P = malloc(n * sizeof *w->P);
    w->cost = malloc(n * sizeof *w->cost);
    w->best = malloc(n * sizeof *w->best);
    if (!w->at || !w->cell || !w->P || !w->cost || !w->best)
        return SM_NO_MEMORY;
    return features_create(g, w->at, w->n, &w->f);
}

/* The trials and events of action a; returns its events in a half. */
static double action_cells(const sm_actions *actions, int a, const sm_cell_counts *cell, int half, chooser *w)
{
    double sum = 0;
    for (int i = 0; i < w->n; i++) {
        const sm_swap *swap = &actions->swap[(size_t)a * actions->stride + (size_t)w->at[i]];
        w->cell[i] = cell[w->at[i]];
        for (int h = 0; h < 2 && a != actions->now; h++)
            w->cell[i].events[h] += swap->gained[h] - swap->lost[h];
        sum += w->cell[i].events[half];
    }
    return sum;
}

/* E[cost | cell] of action a, learned on a half; an action that has no event there is taken to have none. */
static sm_status action_cost(const sm_actions *actions, int a, const sm_cell_counts *cell, int half, sm_watch watch,
                             chooser *w)
{
    if (action_cells(actions, a, cell, half, w) > 0)
        return policy_surface(&w->f, w->cell, half, watch, w->P);
    memset(w->P, 0, (size_t)w->n * sizeof *w->P);
    return SM_OK;
}

/* The best action of each cell; the one now if no other is better. */
static sm_status choose(const sm_actions *actions, const sm_cell_counts *cell, int half, sm_watch watch, chooser *w)
{
    for (int i = 0; i < actions->n; i++) {
        const int a = i == 0 ? actions->now : i <= actions->now ? i - 1 : i; /* now first */
        sm_status s = action_cost(actions, a, cell, half, watch, w);
        if (s != SM_OK)
            return s;
        for (int c = 0; c < w->n; c++) {
            double cost = actions->burden[a] + w->P[c];
            if (i == 0 || cost < w->cost[c]) {
                w->cost[c] = cost;
                w->best[c] = a;
            }
        }
    }
    return SM_OK;
}

static void pay_choice(const sm_actions *actions, const sm_cell_counts *cell, const chooser *w, int half, payment *paid)
{
    for (int i = 0; i < w->n; i++) {
        const int a = w->best[i];
        const double n = cell[w->at[i]].n[half];
        const sm_swap *swap = &actions->swap[(size_t)a * actions->stride + (size_t)w->at[i]];
        if (a == actions->now)
            pay(&(swap_counts){.n = n}, 0, 0, paid);
        else
            pay(&(swap_counts){n, swap->gained[half], swap->lost[half]}, 1,
                actions->burden[actions->now] - actions->burden[a], paid);
    }
}

sm_worth sm_policy_choice(const sm_grid *g, const sm_cell_counts *cell, const sm_actions *actions, sm_watch watch,
                          sm_status *status)
{
    payment paid = {0}, before = {0};
    chooser w;
    *status = chooser_create(g, cell, &w);
    for (int half = 0; *status == SM_OK && half < 2; half++) {
        before = paid;
        *status = choose(actions, cell, half, watch, &w);
        if (*status == SM_OK)
            pay_choice(actions, cell, &w, 1 - half, &paid);
    }
    chooser_destroy(&w);
    sm_worth worth = worth_of(&paid);
    worth.rule_error = rule_error(&before, &paid);
    return worth;
}

/* 6. Waiting or acting */

enum { WAIT, ACT, TWO };

/* cell: trials, and events of the action now. Waiting has every event, acting none. */
static void two_swaps(const sm_cell_counts *waiting, int cells, int now, sm_cell_counts *cell, sm_swap *swap)
{
    for (int c = 0; c < cells; c++) {
        cell[c] = waiting[c];
        for (int h = 0; h < 2; h++) {
            if (now == ACT)
                cell[c].events[h] = 0;
            swap[WAIT * cells + c].gained[h] = swap[ACT * cells + c].lost[h] = waiting[c].events[h];
        }
    }
}

sm_worth sm_policy_worth(const sm_grid *g, const sm_cell_counts *cell, double q, sm_watch watch, sm_status *status)
{
    const int cells = sm_grid_cells(g);
    const double burden[TWO] = {[WAIT] = 0, [ACT] = q};
    sm_worth w = {.rule_error = 0};
    sm_cell_counts *of_now = malloc((size_t)cells * sizeof *of_now);
    sm_swap *swap = calloc(TWO * (size_t)cells, sizeof *swap);
    sm_actions two = {.n = TWO, .burden = burden, .swap = swap, .stride = (size_t)cells};
    two.now = proportion(cell, cells, 2) >= q ? ACT : WAIT;
    *status = of_now && swap ? SM_OK : SM_NO_MEMORY;
    if (*status == SM_OK) {
        two_swaps(cell, cells, two.now, of_now, swap);
        w = sm_policy_choice(g, of_now, &two, watch, status);
    }
    free(of_now);
    free(swap);
    return w;
}

/* 7. A part of a coordinate */

enum { PART_CELLS = 512 };

static double part_middle(int i)
{
    return (2 * (i + 0.5) / PART_CELLS - 1) * REACH;
}

/* The value whose normal score is z, and back. Both tails keep their digits. */
static double value_at(double z, double dof)
{
    if (dof <= 0)
        return z;
    const double tail = gsl_cdf_ugaussian_Q(fabs(z)), x = gsl_cdf_tdist_Qinv(tail, dof);
    return z < 0 ? -x : x;
}

static double score_of(double x, double dof)
{
    if (dof <= 0)
        return x;
    const double z = gsl_cdf_ugaussian_Qinv(gsl_cdf_tdist_Q(fabs(x), dof));
    return x < 0 ? -z : z;
}

/* Of two values, t with one unknown scale, the second given the first: a t with one degree of freedom more about rho
 * times the first; the further out the first lies, the larger that scale must be. */
static double rest_of(sm_known_part part, double first)
{
    const double known = 1 - part.rho * part.rho;
    return sqrt(part.dof > 0 ? known * (part.dof + first * first) / (part.dof + 1) : known);
}

static double rest_dof(sm_known_part part)
{
    return part.dof > 0 ? part.dof + 1 : 0;
}

enum { NODES = 64 };

/* Where the coordinate lies for each cell of the part and each node of its rest, as a normal score, and how dense the
 * node is. Both are even about 0, so half of the cells tell the others. */
typedef struct {
    double density[NODES];
    double score[PART_CELLS / 2][NODES];
} rest_grid;

static void fill_rest(rest_grid *r, sm_known_part part)
{
    double v[NODES];
    for (int j = 0; j < NODES; j++) {
        const double z = (2 * (j + 0.5) / NODES - 1) * REACH;
        r->density[j] = gsl_ran_ugaussian_pdf(z);
        v[j] = value_at(z, rest_dof(part));
    }
    for (int i = 0; i < PART_CELLS / 2; i++) {
        const double first = value_at(part_middle(i), part.dof), rest = rest_of(part, first);
        for (int j = 0; j < NODES; j++)
            r->score[i][j] = score_of(part.rho * first + rest * v[j], part.dof);
    }
}

static double rest_score(const rest_grid *r, int i, int j)
{
    return i < PART_CELLS / 2 ? r->score[i][j] : -r->score[PART_CELLS - 1 - i][NODES - 1 - j];
}

/* E[P | part = w] for every cell of the part: an average over the rest on a grid. */
static void average_over_rest(const sm_grid *g, const double *P, const rest_grid *r, double *part_P)
{
    const int side = sm_grid_side(g);
    for (int i = 0; i < PART_CELLS; i++) {
        double sum = 0, weight = 0;
        for (int j = 0; j < NODES; j++) {
            double at = (rest_score(r, i, j) / REACH + 1) / 2 * side - 0.5;
            at = fmin(side - 1.0, fmax(0, at));
            int k = at < side - 1 ? (int)at : side - 2;
            sum += r->density[j] * (P[k] + (at - k) * (P[k + 1] - P[k]));
            weight += r->density[j];
        }
        part_P[i] = sum / weight;
    }
}

/* The probability that the part lies below the lower end of its cell i, given that the coordinate is `first`. */
static double part_below(sm_known_part part, int i, double first)
{
    if (i <= 0 || i >= PART_CELLS)
        return i <= 0 ? 0 : 1;
    const double step = 2 * REACH / PART_CELLS, end = value_at(part_middle(i) - step / 2, part.dof);
    return gsl_cdf_ugaussian_P(score_of((end - part.rho * first) / rest_of(part, first), rest_dof(part)));
}

/* The probability that the act changes, given that the coordinate has the score z: cells side by side are one stretch.
 */
static double share_at(const bool *changes, sm_known_part part, double z)
{
    const double first = value_at(z, part.dof);
    double share = 0;
    for (int i = 0, end; i < PART_CELLS; i = end) {
        for (end = i + 1; end < PART_CELLS && changes[end] == changes[i]; end++)
            ;
        if (changes[i])
            share += part_below(part, end, first) - part_below(part, i, first);
    }
    return share;
}

sm_worth sm_policy_partial_worth(const sm_cell_counts *cell, sm_known_part part, double q, sm_status *status)
{
    const sm_grid g = {.dims = 1};
    double P[SM_GRID_LINE], part_P[PART_CELLS];
    bool changes[PART_CELLS];
    payment paid = {0};
    features f;
    const bool acts_now = proportion(cell, SM_GRID_LINE, 2) >= q;
    rest_grid *rest = malloc(sizeof *rest);
    *status = features_create(&g, NULL, SM_GRID_LINE, &f);
    *status = rest ? *status : SM_NO_MEMORY;
    if (rest)
        fill_rest(rest, part);
    for (int half = 0; *status == SM_OK && half < 2; half++) {
        *status = policy_surface(&f, cell, half, (sm_watch){0}, P);
        if (*status != SM_OK)
            break;
        average_over_rest(&g, P, rest, part_P);
        for (int i = 0; i < PART_CELLS; i++)
            changes[i] = (part_P[i] >= q) != acts_now;
        for (int c = 0; c < SM_GRID_LINE; c++) {
            swap_counts t = {.n = cell[c].n[1 - half]};
            *(acts_now ? &t.gained : &t.lost) = cell[c].events[1 - half];
            pay(&t, share_at(changes, part, middle(&g, c)), acts_now ? q : -q, &paid);
        }
    }
    free(rest);
    features_destroy(&f);
    return worth_of(&paid);
}
