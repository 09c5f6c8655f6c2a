/* case.c - one planning case in plain values: names, estimates, release.
 *
 * Contents: 1. names  2. estimates  3. release
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/case.h"

#include <math.h>
#include <stdlib.h>

/* 1. Names */

static const char *const quantity_names[] = {"ostium_height", "ostium_gap", "stj_height", "stj_gap", "leaflet_height"};
_Static_assert(sizeof quantity_names / sizeof *quantity_names == SM_QUANTITIES, "one name for each quantity");

const char *sm_quantity_name(sm_quantity_id id)
{
    return (unsigned)id < SM_QUANTITIES ? quantity_names[id] : "unknown quantity";
}

bool sm_coronary_lacks(const sm_coronary *o, sm_quantity_id id)
{
    return !o->has_ostium && (id == SM_OSTIUM_HEIGHT || id == SM_OSTIUM_GAP);
}

/* 2. Estimates */

static double mean_of(const double *x, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += x[i];
    return n ? sum / (double)n : NAN;
}

double sm_reader_mean(const sm_reader_row *row)
{
    return mean_of(row->mm, row->n);
}

bool sm_quantity_uses_reader_sds(const sm_quantity *q)
{
    return q->is_read && (!q->sd_from_readings || q->readings.n == 1);
}

double sm_readings_mean(const sm_readings *r)
{
    double sum = 0.0;
    for (size_t i = 0; i < r->n; i++)
        sum += mean_of(r->row[i].mm, r->row[i].n);
    return r->n ? sum / (double)r->n : NAN;
}

/* Mean of all readings together, whoever made them (type A, model.md 3.3). */
static double mean_of_all(const sm_readings *r)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < r->n; i++) {
        sum += mean_of(r->row[i].mm, r->row[i].n) * (double)r->row[i].n;
        n += r->row[i].n;
    }
    return n ? sum / (double)n : NAN;
}

double sm_quantity_estimate(const sm_quantity *q)
{
    if (!q->is_read)
        return sm_dist_mean(&q->value);
    return q->sd_from_readings ? mean_of_all(&q->readings) : sm_readings_mean(&q->readings);
}

/* 3. Release */

static void destroy_readings(sm_readings *r)
{
    for (size_t i = 0; i < r->n; i++) {
        free(r->row[i].reader);
        free(r->row[i].mm);
    }
    free(r->row);
    *r = (sm_readings){0};
}

void sm_quantity_destroy(sm_quantity *q)
{
    destroy_readings(&q->readings);
    destroy_readings(&q->cross_check.readings);
    *q = (sm_quantity){0};
}

static void valve_destroy(sm_surgical_valve *v)
{
    sm_quantity_destroy(&v->inner_diameter);
    sm_quantity_destroy(&v->leaflet_thickness);
}

static void planned_destroy(sm_planned_look *l)
{
    free(l->name);
    free(l->target);
    free(l->part);
}

void sm_case_destroy(sm_case *c)
{
    free(c->name);
    free(c->note);
    valve_destroy(&c->valve);
    for (size_t i = 0; i < c->n_coronaries; i++)
        for (size_t q = 0; q < SM_QUANTITIES; q++)
            sm_quantity_destroy(&c->coronary[i].quantity[q]);
    free(c->coronary);
    for (size_t i = 0; i < c->n_alternatives; i++) {
        free(c->alternative[i].name);
        valve_destroy(&c->alternative[i].valve);
    }
    free(c->alternative);
    for (size_t i = 0; i < c->n_planned; i++)
        planned_destroy(&c->planned[i]);
    free(c->planned);
    *c = (sm_case){0};
}
