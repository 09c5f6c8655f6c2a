/* firmness.c - how firm a choice is.
 *
 * Contents: 1. the cheapest over Monte Carlo error  2. the cheapest over the burdens
 *           3. acting or waiting over the action line
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/firmness.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_eigen.h>

#include "base/lanes.h"
#include "sampling/rng.h"

int sm_least(const double *cost, int n)
{
    int least = 0;
    for (int i = 1; i < n; i++)
        if (cost[i] < cost[least])
            least = i;
    return least;
}

/* 1. The cheapest over Monte Carlo error */

enum { CHEAPEST_BLOCKS = 64 };
#define TIE 1e-12

/* Turns a covariance into L with L L^T equal to it: eigenvectors times roots of eigenvalues, so that a singular one
 * will do. */
static sm_status root_of(int n, const double *covariance, double *L)
{
    const size_t m = (size_t)n;
    gsl_matrix *A = gsl_matrix_alloc(m, m), *V = gsl_matrix_alloc(m, m);
    gsl_vector *lambda = gsl_vector_alloc(m);
    gsl_eigen_symmv_workspace *w = gsl_eigen_symmv_alloc(m);
    sm_status s = A && V && lambda && w ? SM_OK : SM_NO_MEMORY;
    for (size_t i = 0; s == SM_OK && i < m * m; i++)
        A->data[i / m * A->tda + i % m] = covariance[i];
    if (s == SM_OK && gsl_eigen_symmv(A, lambda, V, w))
        s = SM_NUMERIC;
    for (size_t i = 0; s == SM_OK && i < m; i++)
        for (size_t j = 0; j < m; j++)
            L[i * m + j] = gsl_matrix_get(V, i, j) * sqrt(fmax(0, gsl_vector_get(lambda, j)));
    gsl_eigen_symmv_free(w);
    gsl_vector_free(lambda);
    gsl_matrix_free(V);
    gsl_matrix_free(A);
    return s;
}

/* Adds one draw's share to each action that is cheapest in it. */
static void share_out(int n, const double *drawn, double *probability)
{
    const double least = drawn[sm_least(drawn, n)];
    int ties = 0;
    for (int i = 0; i < n; i++)
        ties += drawn[i] - least <= TIE;
    for (int i = 0; i < n; i++)
        if (drawn[i] - least <= TIE)
            probability[i] += 1.0 / (CHEAPEST_BLOCKS * SM_BLOCK) / ties;
}

/* z: n columns of SM_BLOCK standard normals. */
static void draw_block(int n, const double *cost, const double *L, const double *z, double *drawn, double *probability)
{
    for (int t = 0; t < SM_BLOCK; t++) {
        for (int i = 0; i < n; i++) {
            drawn[i] = cost[i];
            for (int j = 0; j < n; j++)
                drawn[i] += L[i * n + j] * z[j * SM_BLOCK + t];
        }
        share_out(n, drawn, probability);
    }
}

sm_status sm_probability_cheapest(int n, const double *cost, const double *covariance, uint64_t seed,
                                  double *probability)
{
    const size_t m = (size_t)n;
    const uint64_t stream = sm_rng_stream("cheapest", 0);
    double *L = malloc(m * m * sizeof *L), *z = malloc(m * SM_BLOCK * sizeof *z), *drawn = malloc(m * sizeof *drawn);
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_status s = L && z && drawn && r ? root_of(n, covariance, L) : SM_NO_MEMORY;
    for (size_t i = 0; i < m; i++)
        probability[i] = 0;
    for (uint32_t block = 0; s == SM_OK && block < CHEAPEST_BLOCKS; block++) {
        sm_rng_seek(r, seed, stream, block);
        sm_rng_normals(r, z, n * SM_BLOCK);
        draw_block(n, cost, L, z, drawn, probability);
    }
    if (r)
        gsl_rng_free(r);
    free(drawn);
    free(z);
    free(L);
    return s;
}

/* 2. The cheapest over the burdens */

/* The cheapest at a factor; of equals the one with the least burden, which stays the cheapest beyond. */
static int cheapest_at(int n, const double *burden, const double *events, double factor)
{
    int best = 0;
    for (int i = 1; i < n; i++) {
        double more = factor * (burden[i] - burden[best]) + events[i] - events[best];
        if (more < 0 || (more == 0 && burden[i] < burden[best]))
            best = i;
    }
    return best;
}

/* The factor above `from` at which another action first undercuts `now`; HUGE_VAL if none does. */
static double next_change(int n, const double *burden, const double *events, int now, double from, int *next)
{
    double at = HUGE_VAL;
    for (int i = 0; i < n; i++) {
        if (!(burden[i] < burden[now]))
            continue;
        double x = fmax(from, (events[i] - events[now]) / (burden[now] - burden[i]));
        if (x < at || (x == at && burden[i] < burden[*next])) {
            at = x;
            *next = i;
        }
    }
    return at;
}

int sm_burden_ranges(int n, const double *burden, const double *events, double from, double to, sm_burden_range *out)
{
    int ranges = 0, now = cheapest_at(n, burden, events, from), next = now;
    for (;;) {
        double until = next_change(n, burden, events, now, from, &next);
        out[ranges++] = (sm_burden_range){from, fmin(until, to), now};
        if (!(until < to))
            return ranges;
        from = until;
        now = next;
    }
}

/* 3. Acting or waiting over the action line */

double sm_net_benefit(double true_positives, double false_positives, double n, double threshold)
{
    return true_positives / n - false_positives / n * threshold / (1 - threshold);
}

void sm_line_steps(const sm_probability *event, sm_line_step out[SM_LINES])
{
    static const double line[SM_LINES] = {0.01, 0.02, 0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50};
    for (int i = 0; i < SM_LINES; i++)
        out[i] = (sm_line_step){line[i], sm_call_of(event->low, event->high, line[i]),
                                sm_net_benefit(event->probability, 1 - event->probability, 1, line[i])};
}
