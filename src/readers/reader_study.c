/* reader_study.c - what is learned from the readings of each quantity.
 *
 * Contents: 1. spread  2. intraclass correlations  3. pairs  4. offsets and odd cells  5. cells  6. outlying readings
 *           7. learn and destroy
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/reader_study.h"

#include <math.h>
#include <stdlib.h>

#include "readers/pivots.h"

/* 1. Spread */

static const sm_ci95 not_told = {NAN, NAN, NAN};

/* Of reader, reader within case and repeat: an SD with its interval, NaN if not reported. If nobody read a case twice
 * the repeats are a part of what the pivots call the cell. */
static sm_ci95 sd_of(const sm_pivots *p, const sm_reml *r, const int use[SM_VCS])
{
    sm_pivot_sum sum = {.reader = use[SM_VC_READER], .cell = use[SM_VC_READER_CASE], .repeat = use[SM_VC_REPEAT]};
    if (r->repeat_holds_reader_case && sum.repeat)
        sum = (sm_pivot_sum){.reader = sum.reader, .cell = true};
    return sm_pivots_sd(p, sum, sqrt(sm_reml_sum(r, use).variance));
}

/* A part is no larger than the whole that holds it. Only the upper end of what may be 0 (pivots.h) ever needs it. */
static void keep_within(sm_ci95 *part, sm_ci95 whole)
{
    if (part->high > whole.high)
        part->high = fmax(part->value, whole.high);
}

static void fill_components(const sm_pivots *p, sm_learned *l)
{
    const sm_reml *r = &l->reml;
    if (r->told[SM_VC_CASE])
        l->component_sd[SM_VC_CASE] = sm_ci95_sd(r->variance[SM_VC_CASE], r->covariance[SM_VC_CASE][SM_VC_CASE]);
    for (int c = SM_VC_READER; c < SM_VCS; c++) {
        int use[SM_VCS] = {0};
        use[c] = 1;
        if (r->told[c])
            l->component_sd[c] = sd_of(p, r, use);
    }
}

/* Who cannot tell repeats from readers takes the two together as between readers: then more repeats promise nothing. */
static void fill_spread(const sm_pivots *p, sm_learned *l)
{
    static const int total[SM_VCS] = {0, 1, 1, 1}, between[SM_VCS] = {0, 1, 1, 0};
    const sm_reml *r = &l->reml;
    fill_components(p, l);
    l->repeat_sd = r->repeat_holds_reader_case ? not_told : l->component_sd[SM_VC_REPEAT];
    if (!r->told[SM_VC_READER])
        return;
    l->total_sd = sd_of(p, r, total);
    l->between_sd = r->repeat_holds_reader_case ? l->total_sd : sd_of(p, r, between);
    keep_within(&l->between_sd, l->total_sd);
    for (int c = SM_VC_READER; c <= SM_VC_READER_CASE; c++)
        keep_within(&l->component_sd[c], l->between_sd);
    l->dof_found = sm_ci95_dof(l->total_sd);
    if (l->dof_found > (double)l->readings)
        l->dof_found = NAN; /* readings cannot give so many: if they agree to the last digit, rounding has made them */
    l->too_small = !(l->dof_found >= SM_LEARNED_LEAST_DOF);
    l->dof = l->too_small ? SM_LEARNED_LEAST_DOF : l->dof_found;
}

static sm_status learn_spread(const sm_crossed *d, sm_learned *l)
{
    sm_pivots *p = NULL;
    sm_status status = sm_pivots_create(d, &p);
    if (status == SM_OK)
        fill_spread(p, l);
    sm_pivots_destroy(p);
    return status;
}

/* 2. Intraclass correlations */

/* First readings of the cases that every reader read. */
static sm_status fill_icc(const sm_crossed *d, sm_learned *l)
{
    double *y = malloc(d->n_cells * sizeof *y);
    if (!y)
        return SM_NO_MEMORY;
    size_t cases = 0;
    for (size_t i = 0; i < d->n_cases; i++) {
        if (d->row_start[i + 1] - d->row_start[i] != d->n_readers)
            continue;
        for (size_t j = 0; j < d->n_readers; j++)
            y[cases * d->n_readers + j] = d->y[d->cell[d->row_start[i] + j].first];
        cases++;
    }
    sm_status status = sm_icc_fit(y, cases, d->n_readers, &l->icc);
    l->has_icc = status == SM_OK;
    free(y);
    return status == SM_NO_MEMORY ? status : SM_OK;
}

/* 3. Pairs */

typedef struct {
    double *a, *b;
    double inverse_a, inverse_b;
    size_t n;
} common_cases;

static const sm_crossed_cell *find_cell(const sm_crossed *d, size_t row, size_t col)
{
    for (size_t k = d->row_start[row]; k < d->row_start[row + 1]; k++)
        if (d->cell[k].col == col)
            return &d->cell[k];
    return NULL;
}

static void gather_pair(const sm_crossed *d, size_t first, size_t second, common_cases *c)
{
    c->n = 0;
    c->inverse_a = c->inverse_b = 0.0;
    for (size_t i = 0; i < d->n_cases; i++) {
        const sm_crossed_cell *a = find_cell(d, i, first), *b = find_cell(d, i, second);
        if (!a || !b)
            continue;
        c->a[c->n] = a->mean + d->centre;
        c->b[c->n++] = b->mean + d->centre;
        c->inverse_a += 1.0 / (double)a->n;
        c->inverse_b += 1.0 / (double)b->n;
    }
}

/* Repeat variance of one reader over all the cases of that reader. */
static double reader_variance(const sm_crossed *d, size_t col, double *dof)
{
    double ss = 0.0;
    *dof = 0.0;
    for (size_t k = 0; k < d->n_cells; k++)
        if (d->cell[k].col == col) {
            ss += d->cell[k].ss;
            *dof += (double)d->cell[k].n - 1.0;
        }
    return *dof > 0.0 ? ss / *dof : 0.0;
}

static sm_status add_pair(const sm_crossed *d, size_t first, size_t second, common_cases *c, sm_learned *l)
{
    gather_pair(d, first, second, c);
    if (c->n < 3)
        return SM_OK;
    sm_agreement_readings in = {.n = c->n, .a = c->a, .b = c->b, .factor = SM_Z95};
    in.inverse_a = c->inverse_a / (double)c->n;
    in.inverse_b = c->inverse_b / (double)c->n;
    in.within_a = reader_variance(d, first, &in.dof_a);
    in.within_b = reader_variance(d, second, &in.dof_b);
    sm_learned_pair *p = &l->pair[l->n_pairs++];
    p->first = d->reader_id[first];
    p->second = d->reader_id[second];
    return sm_agreement_fit(&in, &p->agreement);
}

static sm_status fill_pairs(const sm_crossed *d, sm_learned *l)
{
    size_t n = d->n_readers;
    common_cases c = {.a = malloc(d->n_cases * sizeof(double)), .b = malloc(d->n_cases * sizeof(double))};
    l->pair = calloc(n * (n - 1) / 2 + 1, sizeof *l->pair);
    sm_status status = c.a && c.b && l->pair ? SM_OK : SM_NO_MEMORY;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; status == SM_OK && j < n; j++)
            status = add_pair(d, i, j, &c, l);
    free(c.a);
    free(c.b);
    return status;
}

/* 4. Offsets and odd cells */

/* 1 / variance of a cell mean given case and reader; a single reading has weight 1. */
static void weigh(const sm_crossed *d, const sm_reml *r, double *weight)
{
    double cell = r->told[SM_VC_READER_CASE] ? r->variance[SM_VC_READER_CASE] : 0.0, repeat = r->variance[SM_VC_REPEAT];
    for (size_t k = 0; k < d->n_cells; k++)
        weight[k] = 1.0 / ((cell + repeat / (double)d->cell[k].n) / (cell + repeat));
}

/* Mean of the readings of the same case outside the cell; if there are none, of the cell's own less the one asked.
 */
static double elsewhere(const sm_study_quantity *q, const sm_learned_odd *o, size_t asked)
{
    double others = 0.0, own = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < q->n; i++)
        if (q->reading[i].case_id == o->case_id && q->reading[i].reader_id != o->reader_id) {
            others += q->reading[i].mm;
            n++;
        }
    if (n > 0)
        return others / (double)n;
    for (size_t i = o->first; i < o->first + o->n; i++)
        own += i == asked ? 0.0 : q->reading[i].mm;
    return o->n > 1 ? own / (double)(o->n - 1) : NAN;
}

static sm_learned_odd in_study(const sm_crossed *d, const sm_study_quantity *q, sm_odd_cell found)
{
    sm_learned_odd o = {.case_id = d->case_id[d->cell[found.cell].row],
                        .reader_id = d->reader_id[d->cell[found.cell].col],
                        .n = d->cell[found.cell].n,
                        .cell = found};
    while (q->reading[o.first].case_id != o.case_id || q->reading[o.first].reader_id != o.reader_id)
        o.first++;
    double furthest = -1.0;
    for (size_t i = o.first; i < o.first + o.n; i++) {
        const double distance = fabs(q->reading[i].mm - elsewhere(q, &o, i));
        if (distance > furthest) {
            furthest = distance;
            o.suspect = i;
        }
    }
    o.suspect = furthest < 0.0 ? o.first : o.suspect;
    return o;
}

static sm_status fill_odd(const sm_crossed *d, const sm_study_quantity *q, const sm_additive_fit *fit, sm_learned *l)
{
    sm_odd_cell *found = malloc(2 * d->n_cells * sizeof *found);
    l->odd = calloc(2 * d->n_cells, sizeof *l->odd);
    sm_status status = found && l->odd ? SM_OK : SM_NO_MEMORY;
    if (status == SM_OK)
        l->n_odd = sm_odd_cells(d, fit, found, 2 * d->n_cells);
    for (size_t i = 0; i < l->n_odd; i++)
        l->odd[i] = in_study(d, q, found[i]);
    free(found);
    return status;
}

static sm_status fill_outlying(const sm_crossed *d, const sm_study_quantity *q, const double *weight, sm_learned *l)
{
    sm_odd_cell found[SM_OUTLYING_MOST];
    sm_status status = sm_outlying_cells(d, weight, found, &l->n_outlying);
    l->outlying = calloc(l->n_outlying + 1, sizeof *l->outlying);
    for (size_t i = 0; l->outlying && i < l->n_outlying; i++)
        l->outlying[i] = in_study(d, q, found[i]);
    return l->outlying ? status : SM_NO_MEMORY;
}

static sm_status fill_cells(const sm_crossed *d, const sm_study_quantity *q, sm_learned *l)
{
    double *weight = malloc(d->n_cells * sizeof *weight);
    sm_additive_fit *fit = NULL;
    sm_status status = SM_NO_MEMORY;
    if (weight) {
        weigh(d, &l->reml, weight);
        status = sm_additive_fit_create(d, weight, &fit);
    }
    if (status == SM_OK)
        status = fill_odd(d, q, fit, l);
    if (status == SM_OK)
        status = fill_outlying(d, q, weight, l);
    if (status == SM_OK && fit->dof > 0 && d->n_readers > 1) {
        l->offset = fit->offset;
        fit->offset = NULL;
    }
    sm_additive_fit_destroy(fit);
    free(weight);
    return status;
}

/* 5. Cells */

/* Of repeats that differ too much one is to blame; of a mean that does not fit, all of them. */
static bool is_suspect(const sm_learned *l, size_t reading)
{
    for (size_t i = 0; l && i < l->n_outlying; i++) {
        const sm_learned_odd *o = &l->outlying[i];
        const bool mean = o->cell.kind == SM_ODD_MEAN;
        if (o->suspect == reading || (mean && reading >= o->first && reading < o->first + o->n))
            return true;
    }
    return false;
}

/* Those of the readings that are no suspects of l, which may be NULL. */
static sm_status make_cells(const sm_study_quantity *q, size_t ids, const sm_learned *l, sm_crossed **out)
{
    size_t *id = malloc(2 * q->n * sizeof *id), n = 0;
    double *y = malloc(q->n * sizeof *y);
    sm_status status = id && y ? SM_OK : SM_NO_MEMORY;
    for (size_t i = 0; status == SM_OK && i < q->n; i++)
        if (!is_suspect(l, i)) {
            id[n] = q->reading[i].case_id;
            id[q->n + n] = q->reading[i].reader_id;
            y[n++] = q->reading[i].mm;
        }
    if (status == SM_OK) {
        sm_readings_list list = {.n = n, .ids = ids, .case_id = id, .reader_id = id + q->n, .y = y};
        status = sm_crossed_create(&list, out);
    }
    free(id);
    free(y);
    return status;
}

/* 6. Outlying readings */

/* What one reading's SD would be without the suspects. */
static sm_status fill_sd_without(const sm_study_quantity *q, size_t ids, sm_learned *l)
{
    sm_crossed *d = NULL;
    sm_reml r;
    if (l->n_outlying == 0)
        return SM_OK;
    sm_status status = make_cells(q, ids, l, &d);
    if (status == SM_OK)
        status = sm_reml_fit(d, &r);
    if (status == SM_OK && r.converged && r.told[SM_VC_READER])
        l->sd_without = sqrt(sm_reml_sum(&r, (int[SM_VCS]){0, 1, 1, 1}).variance);
    sm_crossed_destroy(d);
    return status == SM_REFUSED ? SM_OK : status;
}

/* 7. Learn and destroy */

static sm_status learn_cells(const sm_crossed *d, const sm_study_quantity *q, sm_learned *out)
{
    out->cases = d->n_cases;
    out->readers = d->n_readers;
    out->readings = d->n_readings;
    out->reader_id = malloc(d->n_readers * sizeof *out->reader_id);
    if (!out->reader_id)
        return SM_NO_MEMORY;
    for (size_t j = 0; j < d->n_readers; j++)
        out->reader_id[j] = d->reader_id[j];
    sm_status status = sm_reml_fit(d, &out->reml);
    if (status != SM_OK)
        return status == SM_REFUSED ? SM_OK : status;
    out->has_spread = true;
    out->anova = sm_anova_fit(d);
    out->iso = sm_iso5725_fit(d);
    status = learn_spread(d, out);
    if (status == SM_OK)
        status = fill_icc(d, out);
    if (status == SM_OK)
        status = fill_pairs(d, out);
    return status == SM_OK ? fill_cells(d, q, out) : status;
}

sm_status sm_learn_quantity(const sm_reader_study *s, size_t q, sm_learned *out)
{
    *out = (sm_learned){.between_sd = not_told,
                        .repeat_sd = not_told,
                        .total_sd = not_told,
                        .dof_found = NAN,
                        .dof = NAN,
                        .sd_without = NAN};
    for (int c = 0; c < SM_VCS; c++)
        out->component_sd[c] = not_told;
    sm_crossed *d = NULL;
    size_t ids = s->n_cases > s->n_readers ? s->n_cases : s->n_readers;
    sm_status status = make_cells(&s->quantity[q], ids, NULL, &d);
    if (status == SM_OK)
        status = learn_cells(d, &s->quantity[q], out);
    if (status == SM_OK)
        status = fill_sd_without(&s->quantity[q], ids, out);
    sm_crossed_destroy(d);
    return status;
}

void sm_learned_destroy(sm_learned *l)
{
    free(l->reader_id);
    free(l->pair);
    free(l->offset);
    free(l->odd);
    free(l->outlying);
    *l = (sm_learned){0};
}

bool sm_learned_is_usable(const sm_learned *l)
{
    return l->has_spread && l->reml.converged && isfinite(l->total_sd.value) && isfinite(l->dof);
}

void sm_reader_study_destroy(sm_reader_study *s)
{
    for (size_t i = 0; s->case_name && i < s->n_cases; i++)
        free(s->case_name[i]);
    for (size_t i = 0; s->reader_name && i < s->n_readers; i++)
        free(s->reader_name[i]);
    for (size_t i = 0; s->quantity && i < s->n_quantities; i++) {
        free(s->quantity[i].name);
        free(s->quantity[i].reading);
    }
    for (size_t i = 0; s->file_name && i < s->n_files; i++)
        free(s->file_name[i]);
    free(s->case_name);
    free(s->reader_name);
    free(s->file_name);
    free(s->quantity);
    *s = (sm_reader_study){0};
}
