/* crossed.c - readings of one quantity sorted into cells.
 *
 * Contents: 1. numbering and sorting  2. cells  3. links  4. create and destroy
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/crossed.h"

#include <stdint.h>
#include <stdlib.h>

#include "readers/mean_sd.h"

/* 1. Numbering and sorting */

typedef struct {
    size_t row, col, order;
    double y;
} entry;

static int entry_compare(const void *a, const void *b)
{
    const entry *p = a, *q = b;
    if (p->row != q->row)
        return p->row < q->row ? -1 : 1;
    if (p->col != q->col)
        return p->col < q->col ? -1 : 1;
    return p->order < q->order ? -1 : 1;
}

/* Numbers the ids that occur, in rising order: number[id] is the place of id, back[place] the id. Returns how many. */
static size_t number_ids(const size_t *id, size_t n, size_t ids, size_t *number, size_t *back)
{
    for (size_t i = 0; i < ids; i++)
        number[i] = SIZE_MAX;
    for (size_t i = 0; i < n; i++)
        number[id[i]] = 0;
    size_t count = 0;
    for (size_t i = 0; i < ids; i++)
        if (number[i] == 0) {
            back[count] = i;
            number[i] = count++;
        }
    return count;
}

static sm_status sort_entries(const sm_readings_list *list, sm_crossed *d, entry *e)
{
    size_t *number = malloc(list->ids * sizeof *number);
    if (!number)
        return SM_NO_MEMORY;
    d->n_cases = number_ids(list->case_id, list->n, list->ids, number, d->case_id);
    for (size_t i = 0; i < list->n; i++)
        e[i] = (entry){.row = number[list->case_id[i]], .order = i, .y = list->y[i]};
    d->n_readers = number_ids(list->reader_id, list->n, list->ids, number, d->reader_id);
    for (size_t i = 0; i < list->n; i++)
        e[i].col = number[list->reader_id[i]];
    free(number);
    qsort(e, list->n, sizeof *e, entry_compare);
    return SM_OK;
}

/* 2. Cells */

static void fill_cells(sm_crossed *d, const entry *e)
{
    for (size_t i = 0; i < d->n_readings; i++) {
        d->y[i] = e[i].y - d->centre;
        sm_crossed_cell *last = d->n_cells ? &d->cell[d->n_cells - 1] : NULL;
        if (last && last->row == e[i].row && last->col == e[i].col)
            last->n++;
        else
            d->cell[d->n_cells++] = (sm_crossed_cell){.row = e[i].row, .col = e[i].col, .n = 1, .first = i};
    }
    for (size_t k = 0; k < d->n_cells; k++) {
        sm_mean_sd m = sm_mean_sd_of(d->y + d->cell[k].first, d->cell[k].n);
        d->cell[k].mean = m.mean;
        d->cell[k].ss = m.ss;
        d->within_ss += m.ss;
        d->row_start[d->cell[k].row + 1] = k + 1;
    }
    d->within_dof = d->n_readings - d->n_cells;
}

/* 3. Links */

static size_t root_of(size_t *parent, size_t i)
{
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

/* Cases and readers are joined wherever a cell links them; what is left over is the number of parts. */
static sm_status count_parts(sm_crossed *d)
{
    size_t nodes = d->n_cases + d->n_readers;
    size_t *parent = malloc(nodes * sizeof *parent);
    if (!parent)
        return SM_NO_MEMORY;
    for (size_t i = 0; i < nodes; i++)
        parent[i] = i;
    d->parts = nodes;
    for (size_t k = 0; k < d->n_cells; k++) {
        size_t a = root_of(parent, d->cell[k].row), b = root_of(parent, d->n_cases + d->cell[k].col);
        if (a != b) {
            parent[a] = b;
            d->parts--;
        }
    }
    free(parent);
    return SM_OK;
}

size_t sm_crossed_rank(const sm_crossed *d)
{
    return d->n_cases + d->n_readers - d->parts;
}

/* 4. Create and destroy */

static sm_crossed *crossed_allocate(size_t n)
{
    sm_crossed *d = calloc(1, sizeof *d);
    if (!d)
        return NULL;
    d->n_readings = n;
    d->case_id = calloc(n, sizeof *d->case_id);
    d->reader_id = calloc(n, sizeof *d->reader_id);
    d->y = calloc(n, sizeof *d->y);
    d->cell = calloc(n, sizeof *d->cell);
    d->row_start = calloc(n + 1, sizeof *d->row_start);
    if (d->case_id && d->reader_id && d->y && d->cell && d->row_start)
        return d;
    sm_crossed_destroy(d);
    return NULL;
}

sm_status sm_crossed_create(const sm_readings_list *list, sm_crossed **out)
{
    *out = NULL;
    if (list->n == 0)
        return SM_REFUSED;
    sm_crossed *d = crossed_allocate(list->n);
    entry *e = malloc(list->n * sizeof *e);
    sm_status status = d && e ? sort_entries(list, d, e) : SM_NO_MEMORY;
    if (status == SM_OK) {
        d->centre = sm_mean_sd_of(list->y, list->n).mean;
        fill_cells(d, e);
        status = count_parts(d);
    }
    free(e);
    if (status == SM_OK)
        *out = d;
    else
        sm_crossed_destroy(d);
    return status;
}

void sm_crossed_destroy(sm_crossed *d)
{
    if (!d)
        return;
    free(d->case_id);
    free(d->reader_id);
    free(d->y);
    free(d->cell);
    free(d->row_start);
    free(d);
}
