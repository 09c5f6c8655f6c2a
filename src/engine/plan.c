/* plan.c - the roots that one run evaluates on the same draws, and what must be known before it.
 *
 * Contents: 1. workers  2. one root on the group at hand  3. pilot: what the plane adds to a reading
 *           4. pilot: do the looks agree?  5. plans
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/plan.h"

#include <stdlib.h>
#include <string.h>

#include "engine/root_same.h"
#include "engine/spread.h"
#include "sampling/rng.h"

enum { PILOT_BLOCKS = (1 << 18) / SM_BLOCK, GROUPS = SM_BLOCK / SM_LANES };

/* 1. Workers */

/* Places for the parts of roots other than the first. */
static bool make_places(const sm_plan *p, sm_worker *w)
{
    const size_t sides = p->c->n_coronaries;
    w->first_side = malloc(sides * sizeof *w->first_side);
    w->first_readings = malloc(sides * sizeof *w->first_readings);
    w->first_landmarks = malloc(sides * sizeof *w->first_landmarks);
    w->scan = malloc((size_t)(1 + p->kept.scan) * sizeof *w->scan);
    w->frame = malloc((size_t)(1 + p->kept.frame) * sizeof *w->frame);
    w->tube = malloc((size_t)(1 + p->kept.tube) * sizeof *w->tube);
    w->readings = malloc((size_t)(1 + p->kept.readings) * sizeof *w->readings);
    w->landmarks = malloc((size_t)(1 + p->kept.landmarks) * sizeof *w->landmarks);
    w->side = malloc((size_t)(1 + p->kept.side) * sizeof *w->side);
    return w->first_side && w->first_readings && w->first_landmarks && w->scan && w->frame && w->tube && w->readings &&
           w->landmarks && w->side;
}

sm_status sm_worker_create(const sm_plan *p, sm_worker *w)
{
    size_t n = (size_t)p->sources.n_columns;
    *w = (sm_worker){.n_columns = (int)n};
    w->rng = gsl_rng_alloc(sm_rng_philox);
    w->base = malloc((n ? n : 1) * SM_BLOCK * sizeof *w->base);
    w->column = malloc((n ? n : 1) * sizeof *w->column);
    if (w->rng && w->base && w->column && make_places(p, w))
        return SM_OK;
    sm_worker_destroy(w);
    return SM_NO_MEMORY;
}

void sm_worker_destroy(sm_worker *w)
{
    if (w->rng)
        gsl_rng_free(w->rng);
    free(w->base);
    free(w->column);
    free(w->first_side);
    free(w->first_readings);
    free(w->first_landmarks);
    free(w->scan);
    free(w->frame);
    free(w->tube);
    free(w->readings);
    free(w->landmarks);
    free(w->side);
    *w = (sm_worker){0};
}

void sm_worker_redraw(const sm_plan *p, sm_worker *w, int column, sm_purpose purpose, uint32_t block)
{
    sm_sources_draw(&p->sources.column[column], w->rng, p->seed, purpose, block, w->base + (size_t)column * SM_BLOCK);
}

void sm_worker_draw(const sm_plan *p, sm_worker *w, sm_purpose purpose, uint32_t block)
{
    for (int j = 0; j < w->n_columns; j++)
        sm_worker_redraw(p, w, j, purpose, block);
}

void sm_worker_point(sm_worker *w, int g)
{
    for (int j = 0; j < w->n_columns; j++)
        w->column[j] = w->base + (size_t)j * SM_BLOCK + (size_t)g * SM_LANES;
    w->first_is_whole = false;
}

/* 2. One root on the group at hand */

static void first_landmarks(const sm_plan *p, sm_worker *w)
{
    const sm_root *r = &p->root[0];
    for (int k = 0; k < r->n_sides; k++) {
        sm_root_draw_readings(r, k, w->column, w->first.B, &w->first_readings[k]);
        sm_root_place_landmarks(r, k, w->column, &w->first.frame, w->first.scale, &w->first_readings[k],
                                &w->first_landmarks[k]);
    }
    w->first_is_whole = true;
}

void sm_worker_first(const sm_plan *p, sm_worker *w)
{
    const sm_root *r = &p->root[0];
    sm_root_evaluate_shared(r, w->column, &w->first);
    first_landmarks(p, w);
    for (int k = 0; k < r->n_sides; k++)
        sm_root_side_from(r, k, w->column, &w->first.tube, &w->first_landmarks[k], &w->first_side[k]);
}

/* Places by slot. */
static const double *B_at(const sm_worker *w, const sm_parts *parts)
{
    return parts->scan.slot == SM_SLOT_FIRST ? w->first.B : w->scan[parts->scan.slot - SM_SLOT_SCRATCH].B;
}

static const double *scale_at(const sm_worker *w, const sm_parts *parts)
{
    return parts->scan.slot == SM_SLOT_FIRST ? w->first.scale : w->scan[parts->scan.slot - SM_SLOT_SCRATCH].scale;
}

static const sm_frame *frame_at(const sm_worker *w, const sm_parts *parts)
{
    return parts->frame.slot == SM_SLOT_FIRST ? &w->first.frame : &w->frame[parts->frame.slot - SM_SLOT_SCRATCH];
}

static const sm_tube *tube_at(const sm_worker *w, const sm_parts *parts)
{
    return parts->tube.slot == SM_SLOT_FIRST ? &w->first.tube : &w->tube[parts->tube.slot - SM_SLOT_SCRATCH];
}

/* The shared parts that no earlier root has. */
static void draw_shared(const sm_plan *p, sm_worker *w, int index)
{
    const sm_root *r = &p->root[index];
    const sm_parts *parts = &p->parts[index];
    if (parts->scan.own) {
        sm_scan_draws *s = &w->scan[parts->scan.slot - SM_SLOT_SCRATCH];
        sm_root_draw_scan(r, w->column, s->B, s->scale);
    }
    if (parts->frame.own)
        sm_root_draw_frame(r, w->column, &w->frame[parts->frame.slot - SM_SLOT_SCRATCH]);
    if (parts->tube.own)
        sm_root_draw_tube(r, w->column, B_at(w, parts), &w->tube[parts->tube.slot - SM_SLOT_SCRATCH]);
}

static const sm_true_readings *readings_of(const sm_plan *p, sm_worker *w, int index, int k)
{
    const sm_part *part = &p->parts[index].readings[k];
    if (part->slot == SM_SLOT_FIRST)
        return &w->first_readings[k];
    sm_true_readings *place = &w->readings[part->slot - SM_SLOT_SCRATCH];
    if (part->own)
        sm_root_draw_readings(&p->root[index], k, w->column, B_at(w, &p->parts[index]), place);
    return place;
}

static const sm_landmarks *landmarks_of(const sm_plan *p, sm_worker *w, int index, int k)
{
    const sm_parts *parts = &p->parts[index];
    const sm_part *part = &parts->landmarks[k];
    if (part->slot == SM_SLOT_FIRST)
        return &w->first_landmarks[k];
    sm_landmarks *place = &w->landmarks[part->slot - SM_SLOT_SCRATCH];
    if (part->own)
        sm_root_place_landmarks(&p->root[index], k, w->column, frame_at(w, parts), scale_at(w, parts),
                                readings_of(p, w, index, k), place);
    return place;
}

const sm_side_out *sm_worker_side(const sm_plan *p, sm_worker *w, int index, int k)
{
    const sm_part *part = &p->parts[index].side[k];
    if (index > 0 && k == 0)
        draw_shared(p, w, index);
    if (part->slot == SM_SLOT_FIRST)
        return &w->first_side[k];
    if (!w->first_is_whole)
        first_landmarks(p, w);
    sm_side_out *place = &w->side[part->slot - SM_SLOT_SCRATCH];
    if (part->own)
        sm_root_side_from(&p->root[index], k, w->column, tube_at(w, &p->parts[index]), landmarks_of(p, w, index, k),
                          place);
    return place;
}

void sm_evaluate(const sm_root *r, const double *const *column, sm_shared *shared, sm_side_out *sides,
                 double *restrict event)
{
    sm_root_evaluate_shared(r, column, shared);
    for (int i = 0; i < SM_LANES; i++)
        event[i] = 0;
    for (int k = 0; k < r->n_sides; k++) {
        sm_root_evaluate_side(r, k, column, shared, &sides[k]);
        for (int i = 0; i < SM_LANES; i++)
            event[i] = (sides[k].crowded[i] + sides[k].sealed[i] + event[i] > 0) ? 1 : 0;
    }
}

/* 3. Pilot: what the plane adds to a reading (sd_includes_plane, section 3) */

static bool asks_for_plane(const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            if (c->coronary[k].quantity[q].is_read && c->coronary[k].quantity[q].sd_includes_plane)
                return true;
    return false;
}

/* Whether the plane adds the same to every reading of both cases: what the pilot rests on is equal. */
static bool same_side_held_still(const sm_coronary *a, const sm_coronary *b)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (sm_quantity_estimate(&a->quantity[q]) != sm_quantity_estimate(&b->quantity[q]))
            return false;
    return a->azimuth_deg == b->azimuth_deg && a->circle_mm == b->circle_mm;
}

static bool same_held_still(const sm_case *a, const sm_case *b)
{
    const sm_base_plane *x = &a->scan.base_plane, *y = &b->scan.base_plane;
    for (size_t k = 0; k < a->n_coronaries; k++)
        if (!same_side_held_still(&a->coronary[k], &b->coronary[k]))
            return false;
    for (int i = 0; i < 3; i++)
        if (!x->tilt_form && x->azimuths_deg[i] != y->azimuths_deg[i])
            return false;
    return x->tilt_form == y->tilt_form && x->radius_mm == y->radius_mm && x->point_sd_mm == y->point_sd_mm &&
           x->cuff_wave_mm == y->cuff_wave_mm && x->tilt_sd_deg == y->tilt_sd_deg && x->level_sd_mm == y->level_sd_mm &&
           a->scan.centreline_sd_mm == b->scan.centreline_sd_mm;
}

/* The case with one placement, and its five readings at their estimates without any error. */
static void still_side(const sm_coronary *from, sm_coronary *to)
{
    *to = (sm_coronary){.azimuth_deg = from->azimuth_deg, .circle_mm = from->circle_mm};
    memcpy(to->name, from->name, sizeof to->name);
    for (int q = 0; q < SM_QUANTITIES; q++)
        to->quantity[q].value = sm_dist_constant(sm_quantity_estimate(&from->quantity[q]));
}

/* What section 2 makes of the five quantities: heights p_z, gaps hypot(p_x, p_y) - circle/2, the leaflet top H. */
static void add_still(const sm_root *r, int k, const sm_worker *w, sm_moments moments[SM_QUANTITIES])
{
    sm_landmarks p;
    double gap[SM_GAPS][SM_LANES];
    sm_root_side_landmarks(r, k, w->column, &w->first, &p);
    const double *value[SM_QUANTITIES] = {[SM_LEAFLET_HEIGHT] = p.H};
    for (int g = 0; g < SM_GAPS; g++) {
        sm_side_gap(&r->side[k].geometry, &p.at[g], gap[g]);
        value[sm_gaps[g].quantity] = gap[g];
        value[sm_gaps[g].height] = p.at[g].h;
    }
    for (int q = 0; q < SM_QUANTITIES; q++)
        sm_moments_add(&moments[q], value[q], SM_LANES);
}

static void run_still(const sm_plan *p, sm_worker *w, sm_moments (*moments)[SM_QUANTITIES])
{
    for (uint32_t block = 0; block < PILOT_BLOCKS; block++) {
        sm_worker_draw(p, w, SM_FOR_PILOT, block);
        for (int g = 0; g < GROUPS; g++) {
            sm_worker_point(w, g);
            sm_root_evaluate_shared(&p->root[0], w->column, &w->first);
            for (int k = 0; k < p->root[0].n_sides; k++)
                add_still(&p->root[0], k, w, moments[k]);
        }
    }
}

/* A small plan of its own for the case held still: only the plane and the centreline move. */
static sm_status plan_still(const sm_case *c, sm_case *still, sm_coronary *sides, uint64_t seed, sm_plan *p)
{
    *still = *c;
    still->coronary = sides;
    still->scan.base_plane.placements = 1;
    for (size_t k = 0; k < c->n_coronaries; k++)
        still_side(&c->coronary[k], &sides[k]);
    *p = (sm_plan){.c = still, .seed = seed, .tables = sm_tables_create()};
    return p->tables ? sm_plan_add(p, &(sm_root_request){0}, NULL) : SM_NO_MEMORY;
}

/* variance, mm^2, by side and quantity. */
static sm_status pilot_plane(const sm_case *c, uint64_t seed, double (*variance)[SM_QUANTITIES])
{
    const size_t n = c->n_coronaries;
    sm_case still;
    sm_plan small = {0};
    sm_worker w = {0};
    sm_coronary *sides = malloc(n * sizeof *sides);
    sm_moments(*moments)[SM_QUANTITIES] = calloc(n, sizeof *moments);
    sm_status s = sides && moments ? plan_still(c, &still, sides, seed, &small) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = sm_worker_create(&small, &w);
    if (s == SM_OK) {
        run_still(&small, &w, moments);
        for (size_t k = 0; k < n; k++)
            for (int q = 0; q < SM_QUANTITIES; q++)
                variance[k][q] = moments[k][q].sum_sq / (double)(moments[k][q].n - 1);
    }
    sm_worker_destroy(&w);
    sm_plan_destroy(&small);
    free(sides);
    free(moments);
    return s;
}

/* 4. Pilot: do the looks agree? (section 3.1) */

/* T_ct is all but linear in the errors of the readings: with each of them normal, of its own mean and SD, its mean and
 * variance are the same. With a t of 3 degrees of freedom as it is, the variance of a pilot has no finite error. */
static sm_status make_normal(const sm_plan *p, sm_variable *v)
{
    const sm_dist d = {SM_NORMAL, {sm_dist_mean(&v->transform.dist), sm_dist_sd(&v->transform.dist)}};
    return v->transform.constant ? SM_OK : sm_transform_create(p->tables, &d, v->transform.base, &v->transform);
}

/* r with normal errors; its sides alone are its own, to be freed. */
static sm_status normal_root(const sm_plan *p, const sm_root *r, sm_root *out)
{
    const size_t n = (size_t)r->n_sides;
    sm_status s = SM_OK;
    *out = *r;
    out->side = malloc(n * sizeof *out->side);
    if (!out->side)
        return SM_NO_MEMORY;
    memcpy(out->side, r->side, n * sizeof *out->side);
    for (size_t k = 0; k < n; k++)
        for (int q = 0; s == SM_OK && q < SM_QUANTITIES; q++)
            s = make_normal(p, &out->side[k].reading[q].error);
    return s;
}

static bool side_has_look(const sm_root_side *side)
{
    for (int g = 0; g < SM_GAPS; g++)
        if (side->look[g].look.present)
            return true;
    return false;
}

/* T_ct (3.6) of the gaps that have another look. */
static void add_ct(const sm_root *r, const sm_worker *w, sm_moments (*moments)[SM_GAPS])
{
    double T_ct[SM_LANES];
    for (int k = 0; k < r->n_sides; k++) {
        sm_landmarks p;
        if (!side_has_look(&r->side[k]))
            continue;
        sm_root_side_landmarks(r, k, w->column, &w->first, &p);
        for (int g = 0; g < SM_GAPS; g++) {
            sm_side_gap(&r->side[k].geometry, &p.at[g], T_ct);
            sm_moments_add(&moments[k][g], T_ct, SM_LANES);
        }
    }
}

static void set_joinings(sm_root *r, const sm_moments (*moments)[SM_GAPS])
{
    for (int k = 0; k < r->n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++) {
            const sm_moments *ct = &moments[k][g];
            sm_root_look *l = &r->side[k].look[g];
            if (!l->look.present)
                continue;
            const sm_look_moments f = sm_look_moments_of(&l->look);
            l->joining = sm_look_join(ct->mean, ct->sum_sq / (double)(ct->n - 1), f.mean, f.variance);
        }
}

static void run_ct(const sm_plan *p, const sm_root *r, sm_worker *w, sm_moments (*moments)[SM_GAPS])
{
    for (uint32_t block = 0; block < PILOT_BLOCKS; block++) {
        sm_worker_draw(p, w, SM_FOR_PILOT, block);
        for (int g = 0; g < GROUPS; g++) {
            sm_worker_point(w, g);
            sm_root_evaluate_shared(r, w->column, &w->first);
            add_ct(r, w, moments);
        }
    }
}

static sm_status pilot_looks(const sm_plan *p, sm_root *r)
{
    sm_worker w = {0};
    sm_root normal = {.side = NULL};
    sm_moments(*moments)[SM_GAPS] = calloc((size_t)r->n_sides, sizeof *moments);
    sm_status s = moments ? normal_root(p, r, &normal) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = sm_worker_create(p, &w);
    if (s == SM_OK) {
        run_ct(p, &normal, &w, moments);
        set_joinings(r, (const sm_moments(*)[SM_GAPS])moments);
    }
    sm_worker_destroy(&w);
    free(normal.side);
    free(moments);
    return s;
}

/* 5. Plans */

static bool has_look(const sm_root *r)
{
    for (int k = 0; k < r->n_sides; k++)
        if (side_has_look(&r->side[k]))
            return true;
    return false;
}

/* Whether both roots give every look the same draws. */
static bool same_looks(const sm_root *a, const sm_root *b)
{
    for (int k = 0; k < a->n_sides; k++)
        if (!sm_root_same_looks(a, b, k))
            return false;
    return true;
}

static void copy_joinings(const sm_root *from, sm_root *to)
{
    for (int k = 0; k < to->n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++)
            to->side[k].look[g].joining = from->side[k].look[g].joining;
}

/* A shifted reading, all else being root[0]'s, moves the mean of the CT look by as much. */
static void shift_joining(const sm_root_request *request, sm_root *r)
{
    sm_joining *j = &r->side[request->shift_side].look[request->shift_gap].joining;
    *j = sm_look_join(j->mean_ct + request->shift_mm, j->v_ct, j->mean_f, j->v_f);
}

/* The pilot of an earlier root serves where the looks rest on the same; else one is run. */
static sm_status find_joinings(sm_plan *p, const sm_root_request *request, sm_root *r)
{
    const bool shifted = request->shift_mm != 0;
    for (int i = 0; i < p->n_roots; i++)
        if (shifted || same_looks(&p->root[i], r)) {
            copy_joinings(&p->root[i], r);
            if (shifted && r->side[request->shift_side].look[request->shift_gap].look.present)
                shift_joining(request, r);
            return SM_OK;
        }
    return pilot_looks(p, r);
}

static sm_status plan_grow(sm_plan *p)
{
    const int cap = p->cap_roots ? 2 * p->cap_roots : 8;
    if (p->n_roots < p->cap_roots)
        return SM_OK;
    sm_root *root = realloc(p->root, (size_t)cap * sizeof *root);
    p->root = root ? root : p->root;
    sm_parts *parts = realloc(p->parts, (size_t)cap * sizeof *parts);
    p->parts = parts ? parts : p->parts;
    p->cap_roots = root && parts ? cap : p->cap_roots;
    return root && parts ? SM_OK : SM_NO_MEMORY;
}

/* What the plane adds to the readings of c, in *variance: kept for root[0]'s case, and used for any other that it fits.
 */
static sm_status find_plane_variance(sm_plan *p, const sm_case *c, double (**variance)[SM_QUANTITIES])
{
    *variance = NULL;
    if (!asks_for_plane(c))
        return SM_OK;
    if (p->plane_variance && same_held_still(p->c, c)) {
        *variance = p->plane_variance;
        return SM_OK;
    }
    *variance = malloc(c->n_coronaries * sizeof **variance);
    sm_status s = *variance ? pilot_plane(c, p->seed, *variance) : SM_NO_MEMORY;
    if (s == SM_OK && c == p->c)
        p->plane_variance = *variance;
    return s;
}

/* Sets r up, the joinings of its looks included. */
static sm_status make_root(sm_plan *p, const sm_root_request *request, sm_root *r)
{
    const sm_case *c = request->c ? request->c : p->c;
    double(*variance)[SM_QUANTITIES] = NULL;
    sm_status s = sm_root_add_sources(&p->sources, c);
    if (s == SM_OK)
        s = find_plane_variance(p, c, &variance);
    if (s == SM_OK)
        s = sm_root_create(&p->sources, p->tables, c, request, (const double(*)[SM_QUANTITIES])variance, r);
    if (variance != p->plane_variance)
        free(variance);
    return s == SM_OK && has_look(r) ? find_joinings(p, request, r) : s;
}

sm_status sm_plan_add(sm_plan *p, const sm_root_request *request, int *index)
{
    sm_status s = plan_grow(p);
    if (s != SM_OK)
        return s;
    sm_root *r = &p->root[p->n_roots];
    *r = (sm_root){0};
    s = make_root(p, request, r);
    if (s == SM_OK)
        s = sm_parts_find(p->root, p->parts, p->n_roots, &p->kept);
    if (s != SM_OK) {
        sm_root_destroy(r);
        return s;
    }
    if (index)
        *index = p->n_roots;
    if (p->n_roots++ == 0)
        p->n_own_sources = p->sources.n_sources;
    return SM_OK;
}

sm_status sm_plan_create(const sm_case *c, uint64_t seed, sm_plan *p)
{
    *p = (sm_plan){.c = c, .seed = seed, .tables = sm_tables_create()};
    sm_status s = p->tables ? sm_plan_add(p, &(sm_root_request){0}, NULL) : SM_NO_MEMORY;
    if (s != SM_OK)
        sm_plan_destroy(p);
    return s;
}

void sm_plan_destroy(sm_plan *p)
{
    for (int i = 0; i < p->n_roots; i++) {
        sm_root_destroy(&p->root[i]);
        sm_parts_destroy(&p->parts[i]);
    }
    free(p->root);
    free(p->parts);
    free(p->plane_variance);
    sm_sources_destroy(&p->sources);
    sm_tables_destroy(p->tables);
    *p = (sm_plan){0};
}
