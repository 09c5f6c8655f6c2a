/* planned_look.c - looks that could be made before anyone acts.
 *
 * Contents: 1. what is looked at  2. one standard look  3. the standard set
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/planned_look.h"

#include <stdlib.h>
#include <string.h>

/* 1. What is looked at */

void sm_target_name(const sm_case *c, sm_look_target t, sm_text *out)
{
    if (t.side != SM_OF_VALVE)
        sm_text_addf(out, "%s.%s", c->coronary[t.side].name, sm_quantity_name((sm_quantity_id)t.what));
    else
        sm_text_puts(out, t.what == SM_TARGET_INNER_DIAMETER ? "inner_diameter_mm" : "leaflet_thickness_mm");
}

const sm_quantity *sm_target_quantity(const sm_case *c, sm_look_target t)
{
    if (t.side != SM_OF_VALVE)
        return &c->coronary[t.side].quantity[t.what];
    return t.what == SM_TARGET_INNER_DIAMETER ? &c->valve.inner_diameter : &c->valve.leaflet_thickness;
}

bool sm_target_is_read(const sm_case *c, sm_look_target t)
{
    if (t.side != SM_OF_VALVE && sm_coronary_lacks(&c->coronary[t.side], (sm_quantity_id)t.what))
        return false;
    return sm_target_quantity(c, t)->is_read;
}

bool sm_target_varies(const sm_case *c, sm_look_target t)
{
    if (t.side != SM_OF_VALVE && sm_coronary_lacks(&c->coronary[t.side], (sm_quantity_id)t.what))
        return false;
    const sm_quantity *q = sm_target_quantity(c, t);
    return q->is_read || !sm_dist_is_constant(&q->value);
}

sm_look_target *sm_targets_read(const sm_case *c, size_t *n, bool *no_memory)
{
    sm_look_target *all = malloc((SM_QUANTITIES * c->n_coronaries + 2) * sizeof *all);
    *n = 0;
    *no_memory |= !all;
    if (!all)
        return NULL;
    for (int k = 0; k < (int)c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            if (sm_target_is_read(c, (sm_look_target){k, q}))
                all[(*n)++] = (sm_look_target){k, q};
    for (int what = SM_TARGET_INNER_DIAMETER; what < SM_TARGETS; what++)
        if (sm_target_is_read(c, (sm_look_target){SM_OF_VALVE, what}))
            all[(*n)++] = (sm_look_target){SM_OF_VALVE, what};
    if (*n > 0)
        return all;
    free(all);
    return NULL;
}

/* 2. One standard look */

/* What the standard set is made with. */
typedef struct {
    sm_case *c;
    bool no_memory;
} maker;

/* A further look with one target; NULL if memory runs out. side NULL: of no side. */
static sm_planned_look *add_look(maker *m, sm_planned_kind kind, const char *before, const char *side,
                                 const char *after)
{
    sm_planned_look *l = &m->c->planned[m->c->n_planned++];
    sm_text name = {0};
    sm_text_addf(&name, "%s%s%s", before, side ? side : "", after);
    *l = (sm_planned_look){.kind = kind, .readers = 1, .scan = m->c->scan};
    l->scan.base_plane.placements = 1;
    m->no_memory |= name.failed;
    l->name = name.failed ? NULL : sm_text_take(&name);
    m->no_memory |= !l->name;
    return l;
}

static void aim(maker *m, sm_planned_look *l, int side, int what)
{
    l->target = malloc(sizeof *l->target);
    m->no_memory |= !l->target;
    if (l->target)
        l->target[l->n_targets++] = (sm_look_target){side, what};
}

static void add_gap_again(maker *m, int k)
{
    if (sm_target_is_read(m->c, (sm_look_target){k, SM_OSTIUM_GAP}))
        aim(m, add_look(m, SM_PLANNED_AGAIN, "", m->c->coronary[k].name, " gap by another reader"), k, SM_OSTIUM_GAP);
}

static void add_projection(maker *m, int k, sm_gap_id gap, const char *after)
{
    static const int what[SM_GAPS] = {SM_OSTIUM_GAP, SM_STJ_GAP};
    if (!m->c->coronary[k].has_ostium || !sm_target_varies(m->c, (sm_look_target){k, what[gap]}))
        return;
    sm_planned_look *l = add_look(m, SM_PLANNED_PROJECT, "angiogram, ", m->c->coronary[k].name, after);
    l->reader_sd_mm = m->c->picture[gap].reader_sd_mm;
    l->magnification_sd = m->c->picture[gap].magnification_sd;
    l->view_error_sd_deg = m->c->picture[gap].view_error_sd_deg;
    aim(m, l, k, what[gap]);
}

static void add_direct(maker *m, int what, const char *name, double sd_mm)
{
    if (!sm_target_varies(m->c, (sm_look_target){SM_OF_VALVE, what}))
        return;
    sm_planned_look *l = add_look(m, SM_PLANNED_DIRECT, name, NULL, "");
    l->reader_sd_mm = sd_mm;
    aim(m, l, SM_OF_VALVE, what);
}

/* All gaps that were read, if they are more than one. */
static void add_gaps_again(maker *m)
{
    size_t n = 0, kept = 0;
    sm_look_target *t = sm_targets_read(m->c, &n, &m->no_memory);
    for (size_t i = 0; i < n; i++)
        if (t[i].what == SM_OSTIUM_GAP || t[i].what == SM_STJ_GAP)
            t[kept++] = t[i];
    if (kept < 2) {
        free(t);
        return;
    }
    sm_planned_look *l = add_look(m, SM_PLANNED_AGAIN, "all gaps by another reader", NULL, "");
    l->target = t;
    l->n_targets = kept;
}

static void add_everything(maker *m, sm_planned_kind kind, const char *name, size_t readers)
{
    size_t n = 0;
    sm_look_target *t = sm_targets_read(m->c, &n, &m->no_memory);
    if (n == 0)
        return;
    sm_planned_look *l = add_look(m, kind, name, NULL, "");
    l->target = t;
    l->n_targets = n;
    l->all = l->own_plane = true;
    l->readers = readers;
}

/* 3. The standard set */

/* Of more sides than these only what is done to all at once. */
enum { SIDES_MOST = 4, STANDARD_MOST = 3 * SIDES_MOST + 5 };
_Static_assert(STANDARD_MOST <= SM_MAX_PLANNED, "a case may list as many");

bool sm_planned_standard(sm_case *c)
{
    maker m = {.c = c};
    const int sides = c->n_coronaries < SIDES_MOST ? (int)c->n_coronaries : SIDES_MOST;
    c->planned = calloc(STANDARD_MOST, sizeof *c->planned);
    c->planned_standard = true;
    if (!c->planned)
        return false;
    for (int k = 0; k < sides; k++)
        add_gap_again(&m, k);
    add_gaps_again(&m);
    add_everything(&m, SM_PLANNED_AGAIN, "everything by another reader, own plane", 1);
    add_everything(&m, SM_PLANNED_RESCAN, "another scan, read by two", 2);
    for (int k = 0; k < sides; k++)
        add_projection(&m, k, SM_GAP_OSTIUM, " ostium");
    for (int k = 0; k < sides; k++)
        add_projection(&m, k, SM_GAP_STJ, " junction");
    add_direct(&m, SM_TARGET_INNER_DIAMETER, "bench value, inner diameter", SM_STANDARD_BENCH_SD);
    add_direct(&m, SM_TARGET_THICKNESS, "echo, leaflet thickness", SM_STANDARD_ECHO_SD);
    return !m.no_memory;
}
