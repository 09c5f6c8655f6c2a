/* plan.c - the roots that one run evaluates on the same draws, and what must be known before it.
 *
 * Contents: 1. places  2. evaluating a root  3. weights  4. workers  5. pilot: what the plane adds to a reading
 *           6. plans
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/plan.h"

#include <stdlib.h>
#include <string.h>

#include "engine/spread.h"
#include "sampling/normal.h"
#include "sampling/points.h"
#include "sampling/rng.h"

enum { PILOT_POINTS = 8192, BRIEF_PILOT_POINTS = 2048 };

/* 1. Places */

static sm_status create_steered(const sm_plan *p, sm_places *at)
{
    at->n_steered = sm_plan_weighs(p) ? 2 + p->kept.steering : 0;
    at->steered = calloc((size_t)at->n_steered + 1, sizeof *at->steered);
    sm_status s = at->steered ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < at->n_steered; i++)
        s = sm_steered_create(p->sources.n_columns, &at->steered[i]);
    return s;
}

sm_status sm_places_create(const sm_plan *p, sm_places *at)
{
    const int n = p->root[0].n_sides;
    const size_t tubes = (size_t)(2 + p->kept.tube);
    at->scan = malloc((size_t)(2 + p->kept.scan) * sizeof *at->scan);
    at->frame = malloc((size_t)(2 + p->kept.frame) * sizeof *at->frame);
    at->tube = malloc(tubes * sizeof *at->tube);
    at->tube_readings = malloc((sm_plan_weighs(p) ? tubes : 1) * sizeof *at->tube_readings);
    at->readings = malloc((size_t)(2 * n + p->kept.readings) * sizeof *at->readings);
    at->landmarks = malloc((size_t)(2 * n + p->kept.landmarks) * sizeof *at->landmarks);
    at->side = malloc((size_t)(2 * n + p->kept.outputs) * sizeof *at->side);
    const bool all =
        at->scan && at->frame && at->tube && at->tube_readings && at->readings && at->landmarks && at->side;
    return create_steered(p, at) == SM_OK && all ? SM_OK : SM_NO_MEMORY;
}

void sm_places_destroy(sm_places *at)
{
    for (int i = 0; at->steered && i < at->n_steered; i++)
        sm_steered_destroy(&at->steered[i]);
    free(at->steered);
    free(at->scan);
    free(at->frame);
    free(at->tube);
    free(at->tube_readings);
    free(at->readings);
    free(at->landmarks);
    free(at->side);
    *at = (sm_places){0};
}

/* 2. Evaluating a root */

/* NULL if nothing blooms. */
static const sm_scan_draws *scan_of(const sm_plan *p, int owner, const sm_places *at)
{
    return owner < 0 ? NULL : &at->scan[p->parts[owner].scan.slot];
}

/* NULL if it is not steered. */
static sm_steered *steered_of(const sm_plan *p, int index, const sm_places *at)
{
    return p->root[index].steering.n > 0 ? &at->steered[p->parts[index].steering.slot] : NULL;
}

const double *const *sm_columns_of(const sm_plan *p, int index, const double *const *column, const sm_places *at)
{
    const sm_steered *steered = steered_of(p, index, at);
    return steered ? (const double *const *)steered->column : column;
}

static void draw_tube(const sm_plan *p, int index, const double *const *column, const sm_places *at)
{
    const sm_root *r = &p->root[index];
    const sm_part *part = &p->parts[index].tube;
    const sm_steered *steered = steered_of(p, index, at);
    sm_root_draw_tube(&r->tube, column, scan_of(p, part->from.scan, at), &r->steering, steered,
                      steered ? &at->tube_readings[part->slot] : NULL, &at->tube[part->slot]);
}

void sm_evaluate_shared(const sm_plan *p, int index, const double *const *column, sm_places *at)
{
    const sm_root *r = &p->root[index];
    const sm_parts *parts = &p->parts[index];
    if (r->steering.n > 0 && parts->steering.owner == index)
        sm_steer(&r->steering, &r->choices, column, p->sources.n_columns, steered_of(p, index, at));
    const double *const *steered = sm_columns_of(p, index, column, at);
    if (parts->scan.owner == index)
        sm_root_draw_scan(&r->scan, column, &at->scan[parts->scan.slot]);
    if (parts->frame.owner == index)
        sm_root_draw_frame(&r->frame, steered, &at->frame[parts->frame.slot]);
    if (parts->tube.owner == index)
        draw_tube(p, index, steered, at);
}

static void draw_readings(const sm_plan *p, int index, int k, const double *const *column, const sm_places *at)
{
    const sm_part *part = &p->parts[index].side[k].readings;
    sm_root_draw_readings(&p->root[index].side[k].readings, column, scan_of(p, part->from.scan, at),
                          &at->readings[part->slot]);
}

static void place_landmarks(const sm_plan *p, int index, int k, const sm_places *at)
{
    const sm_root *r = &p->root[index];
    const sm_part *part = &p->parts[index].side[k].landmarks;
    const sm_frame *frame = &at->frame[p->parts[part->from.frame].frame.slot];
    const sm_true_readings *readings = &at->readings[p->parts[part->from.readings].side[k].readings.slot];
    sm_root_place_landmarks(&r->side[k].landmarks, frame, readings, &r->steering, steered_of(p, index, at),
                            &at->landmarks[part->slot]);
}

static void evaluate_outputs(const sm_plan *p, int index, int k, const double *const *column, const sm_places *at)
{
    const sm_part *part = &p->parts[index].side[k].outputs;
    const sm_tube_model *shape = &p->root[part->from.shape].shape;
    const sm_tube *tube = &at->tube[p->parts[part->from.tube].tube.slot];
    const sm_landmarks *landmarks = &at->landmarks[p->parts[part->from.landmarks].side[k].landmarks.slot];
    sm_root_evaluate_outputs(&p->root[index].side[k].outputs, column, shape, tube, landmarks, &at->side[part->slot]);
}

const sm_side_out *sm_evaluate_side(const sm_plan *p, int index, int k, const double *const *column, sm_places *at)
{
    const sm_side_parts *parts = &p->parts[index].side[k];
    const double *const *steered = sm_columns_of(p, index, column, at);
    if (parts->readings.owner == index)
        draw_readings(p, index, k, steered, at);
    if (parts->landmarks.owner == index)
        place_landmarks(p, index, k, at);
    if (parts->outputs.owner == index)
        evaluate_outputs(p, index, k, steered, at);
    return &at->side[parts->outputs.slot];
}

void sm_evaluate_first(const sm_plan *p, const double *const *column, sm_places *at)
{
    sm_evaluate_shared(p, 0, column, at);
    for (int k = 0; k < p->root[0].n_sides; k++)
        sm_evaluate_side(p, 0, k, column, at);
}

/* With what the parts that bloom take from the scan. */
static unsigned all_moved(const sm_root *r, unsigned feeds)
{
    if (!(feeds & SM_FEEDS_SCAN))
        return feeds;
    feeds |= r->tube.blooms ? SM_FEEDS_TUBE : 0;
    for (int k = 0; k < r->n_sides; k++)
        feeds |= r->side[k].readings.blooms ? SM_FEEDS_READINGS : 0;
    return feeds;
}

static void evaluate_moved_side(const sm_plan *p, unsigned moved, int k, const double *const *column,
                                const sm_places *at)
{
    if (moved & SM_FEEDS_READINGS)
        draw_readings(p, 0, k, column, at);
    if (moved & (SM_FEEDS_READINGS | SM_FEEDS_FRAME))
        place_landmarks(p, 0, k, at);
    evaluate_outputs(p, 0, k, column, at);
}

void sm_evaluate_moved(const sm_plan *p, unsigned feeds, const double *const *column, const sm_places *kept,
                       sm_places *at)
{
    const sm_root *r = &p->root[0];
    const unsigned moved = all_moved(r, feeds);
    if (r->steering.n > 0) {
        sm_evaluate_first(p, column, at);
        return;
    }
    const sm_places here = {.scan = moved & SM_FEEDS_SCAN ? at->scan : kept->scan,
                            .frame = moved & SM_FEEDS_FRAME ? at->frame : kept->frame,
                            .tube = moved & SM_FEEDS_TUBE ? at->tube : kept->tube,
                            .readings = moved & SM_FEEDS_READINGS ? at->readings : kept->readings,
                            .landmarks = moved & (SM_FEEDS_READINGS | SM_FEEDS_FRAME) ? at->landmarks : kept->landmarks,
                            .side = at->side};
    if (moved & SM_FEEDS_SCAN)
        sm_root_draw_scan(&r->scan, column, here.scan);
    if (moved & SM_FEEDS_FRAME)
        sm_root_draw_frame(&r->frame, column, here.frame);
    if (moved & SM_FEEDS_TUBE)
        draw_tube(p, 0, column, &here);
    for (int k = 0; k < r->n_sides; k++)
        evaluate_moved_side(p, moved, k, column, &here);
}

void sm_any_event(const sm_side_out *side, int n, double *restrict event)
{
    memset(event, 0, SM_LANES * sizeof *event);
    for (int k = 0; k < n; k++)
        for (int i = 0; i < SM_LANES; i++)
            event[i] = side[k].event[i] > event[i] ? side[k].event[i] : event[i];
}

/* 3. Weights */

bool sm_plan_weighs(const sm_plan *p)
{
    for (int i = 0; i < p->n_roots; i++)
        if (p->root[i].steering.n > 0)
            return true;
    return false;
}

bool sm_plan_weighs_first(const sm_plan *p)
{
    return p->root[0].steering.n > 0;
}

/* The true X of a look. gap: room for one that is not kept. */
static const double *looked_at(const sm_plan *p, int index, const sm_steered_look *l, const sm_places *at, double *gap)
{
    const sm_tube_readings *valve = &at->tube_readings[p->parts[index].tube.slot];
    if (l->at == SM_LOOKED_INNER_DIAMETER)
        return valve->inner_diameter;
    if (l->at == SM_LOOKED_THICKNESS)
        return valve->thickness;
    const sm_landmarks *landmarks = &at->landmarks[p->parts[index].side[l->side].landmarks.slot];
    if (l->at == SM_LOOKED_LEAFLET_HEIGHT)
        return landmarks->H;
    sm_side_gap(&p->root[index].side[l->side].landmarks.place,
                &landmarks->at[l->at == SM_LOOKED_OSTIUM_GAP ? SM_GAP_OSTIUM : SM_GAP_STJ], gap);
    return gap;
}

const double *sm_looked_at(const sm_plan *p, int l, const sm_places *at, double *room)
{
    return looked_at(p, 0, &p->root[0].steering.look[l], at, room);
}

void sm_evaluate_weights(const sm_plan *p, int index, const sm_places *at, double *restrict weight)
{
    const sm_steering *c = &p->root[index].steering;
    const double *X[SM_MAX_LOOKS];
    double gap[SM_MAX_LOOKS][SM_LANES];
    for (int l = 0; l < c->n; l++)
        X[l] = looked_at(p, index, &c->look[l], at, gap[l]);
    if (c->n > 0)
        sm_steer_weigh(c, steered_of(p, index, at), X, weight);
    for (int i = 0; c->n == 0 && i < SM_LANES; i++)
        weight[i] = 1;
}

/* 4. Workers */

sm_status sm_worker_create(const sm_plan *p, sm_worker *w)
{
    size_t n = (size_t)p->sources.n_columns;
    *w = (sm_worker){.n_columns = (int)n};
    w->rng = gsl_rng_alloc(sm_rng_philox);
    w->base = malloc((n ? n : 1) * SM_BLOCK * sizeof *w->base);
    w->column = malloc((n ? n : 1) * sizeof *w->column);
    if (sm_places_create(p, &w->at) == SM_OK && w->rng && w->base && w->column)
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
    sm_places_destroy(&w->at);
    *w = (sm_worker){0};
}

void sm_worker_redraw(const sm_plan *p, sm_worker *w, int column, sm_purpose purpose, uint32_t block)
{
    sm_sources_draw(&p->sources.column[column], w->rng, p->seed, purpose, block, w->base + (size_t)column * SM_BLOCK);
}

void sm_worker_draw(const sm_plan *p, sm_worker *w, sm_purpose purpose, uint32_t block)
{
    w->block = block;
    for (int j = 0; j < w->n_columns; j++)
        sm_worker_redraw(p, w, j, purpose, block);
}

void sm_worker_point(sm_worker *w, int g)
{
    w->group = g;
    for (int j = 0; j < w->n_columns; j++)
        w->column[j] = w->base + (size_t)j * SM_BLOCK + (size_t)g * SM_LANES;
}

/* 5. Pilot: what the plane adds to a reading (sd_includes_plane, section 3) */

static bool asks_for_plane(const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            if (c->coronary[k].quantity[q].is_read && c->coronary[k].quantity[q].sd_includes_plane)
                return true;
    return false;
}

/* The case with one placement, and its five readings at their estimates without any error. */
static void still_side(const sm_coronary *from, sm_coronary *to)
{
    *to = (sm_coronary){.azimuth_deg = from->azimuth_deg, .circle_mm = from->circle_mm};
    memcpy(to->name, from->name, sizeof to->name);
    for (int q = 0; q < SM_QUANTITIES; q++)
        to->quantity[q].value = sm_dist_constant(sm_quantity_estimate(&from->quantity[q]));
}

/* Adds the case held still to the plan of such cases: only the plane and the centreline move. */
static sm_status add_still(sm_plan *p, const sm_case *c, int *index)
{
    sm_case still = *c;
    still.coronary = malloc(c->n_coronaries * sizeof *still.coronary);
    if (!still.coronary)
        return SM_NO_MEMORY;
    still.scan.base_plane.placements = 1;
    for (size_t k = 0; k < c->n_coronaries; k++)
        still_side(&c->coronary[k], &still.coronary[k]);
    sm_status s = sm_plan_add(p, &(sm_root_request){.c = &still}, index);
    free(still.coronary);
    return s;
}

/* What section 2 makes of the five quantities: heights p_z, gaps hypot(p_x, p_y) - circle/2, the leaflet top H. */
static void take_still(const sm_side_place *place, const sm_landmarks *p, sm_moments moments[SM_QUANTITIES])
{
    double gap[SM_GAPS][SM_LANES];
    const double *value[SM_QUANTITIES] = {[SM_LEAFLET_HEIGHT] = p->H};
    for (int g = 0; g < SM_GAPS; g++) {
        sm_side_gap(place, &p->at[g], gap[g]);
        value[sm_gaps[g].quantity] = gap[g];
        value[sm_gaps[g].height] = p->at[g].h;
    }
    for (int q = 0; q < SM_QUANTITIES; q++)
        sm_moments_add(&moments[q], value[q], SM_LANES);
}

static void still_group(const sm_root *r, const sm_worker *w, sm_moments (*moments)[SM_QUANTITIES])
{
    sm_frame frame;
    sm_true_readings readings;
    sm_landmarks landmarks;
    sm_root_draw_frame(&r->frame, w->column, &frame);
    for (int k = 0; k < r->n_sides; k++) {
        sm_root_draw_readings(&r->side[k].readings, w->column, NULL, &readings);
        sm_root_place_landmarks(&r->side[k].landmarks, &frame, &readings, NULL, NULL, &landmarks);
        take_still(&r->side[k].landmarks.place, &landmarks, moments[k]);
    }
}

/* The columns that move a root held still, of its plane with one placement and of the centreline, and the coordinates
 * of Sobol's points that they are made of. */
enum { MOVING = 6 };

typedef struct {
    int n, column[MOVING];
    uint32_t seed[MOVING];
    sm_point_axis axis[MOVING];
} moving;

static void find_moving(const sm_plan *p, const sm_root_frame *f, gsl_rng *rng, moving *m)
{
    m->n = 0;
    for (int i = 0; i < 3; i++)
        m->column[m->n++] = f->normal[i];
    for (int i = 0; i < 2; i++)
        m->column[m->n++] = f->centreline[i];
    for (int i = 0; i < sm_plane_phases(&f->plane); i++)
        m->column[m->n++] = f->phase[i];
    sm_rng_seek(rng, p->seed, sm_rng_stream("plane/scramble", SM_FOR_PILOT), 0);
    for (int d = 0; d < m->n; d++) {
        m->seed[d] = (uint32_t)gsl_rng_get(rng);
        sm_point_axis_create(d, &m->axis[d]);
    }
}

static void place_points(const sm_plan *p, const moving *m, uint32_t index, sm_worker *w)
{
    for (int d = 0; d < m->n; d++) {
        double *column = w->base + (size_t)m->column[d] * SM_BLOCK;
        sm_points_fill(&m->axis[d], m->seed[d], index, column);
        if (p->sources.column[m->column[d]].base == SM_BASE_NORMAL)
            sm_normal_quantiles(column, column, SM_LANES);
    }
}

static void run_pilot(const sm_plan *p, const sm_root *r, sm_worker *w, sm_moments (*moments)[SM_QUANTITIES])
{
    const uint32_t points = p->brief ? BRIEF_PILOT_POINTS : PILOT_POINTS;
    moving m;
    find_moving(p, &r->frame, w->rng, &m);
    sm_worker_point(w, 0);
    for (uint32_t index = 0; index < points; index += SM_LANES) {
        place_points(p, &m, index, w);
        still_group(r, w, moments);
    }
}

/* variance, mm^2, by side and quantity. */
static sm_status pilot_plane(const sm_plan *p, const sm_root *r, double (*variance)[SM_QUANTITIES])
{
    sm_worker w = {0};
    sm_moments(*moments)[SM_QUANTITIES] = calloc((size_t)r->n_sides, sizeof *moments);
    sm_status s = moments ? sm_worker_create(p, &w) : SM_NO_MEMORY;
    if (s == SM_OK)
        run_pilot(p, r, &w, moments);
    for (int k = 0; s == SM_OK && k < r->n_sides; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            variance[k][q] = moments[k][q].sum_sq / moments[k][q].weight;
    sm_worker_destroy(&w);
    free(moments);
    return s;
}

/* Whether the plane adds the same to the readings of one side as in an earlier root: its landmarks are the same. */
static bool is_known(const sm_plan *still, int index, int k)
{
    return still->parts[index].side[k].landmarks.owner < index;
}

/* The variances of root `index` of the plan of cases held still, found by a pilot unless they are an earlier root's. */
static sm_status find_variances(const sm_plan *still, int index, double (*variance)[SM_QUANTITIES])
{
    const int n = still->root[index].n_sides;
    bool known = true;
    for (int k = 0; k < n; k++)
        known = known && is_known(still, index, k);
    if (!known)
        return pilot_plane(still, &still->root[index], variance + (ptrdiff_t)index * n);
    for (int k = 0; k < n; k++) {
        const int owner = still->parts[index].side[k].landmarks.owner;
        memcpy(variance[index * n + k], variance[owner * n + k], sizeof *variance);
    }
    return SM_OK;
}

static sm_status create_still(sm_plan *p)
{
    if (p->still)
        return SM_OK;
    p->still = calloc(1, sizeof *p->still);
    if (!p->still)
        return SM_NO_MEMORY;
    p->still->seed = p->seed;
    p->still->brief = p->brief;
    p->still->tables = p->tables; /* lent */
    return SM_OK;
}

/* What the plane adds to the readings of c, in *variance: NULL if none asks for it. Valid until the next call. */
static sm_status find_plane_variance(sm_plan *p, const sm_case *c, const double (**variance)[SM_QUANTITIES])
{
    int index = 0;
    *variance = NULL;
    if (!asks_for_plane(c))
        return SM_OK;
    sm_status s = create_still(p);
    if (s == SM_OK)
        s = add_still(p->still, c, &index);
    if (s != SM_OK)
        return s;
    void *more = realloc(p->plane_variance, (size_t)(index + 1) * c->n_coronaries * sizeof *p->plane_variance);
    if (!more)
        return SM_NO_MEMORY;
    p->plane_variance = more;
    s = find_variances(p->still, index, p->plane_variance);
    *variance = (const double(*)[SM_QUANTITIES])p->plane_variance + (ptrdiff_t)index * (ptrdiff_t)c->n_coronaries;
    return s;
}

/* 6. Plans */

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

static sm_status make_root(sm_plan *p, const sm_root_request *request, sm_root *r)
{
    const sm_case *c = request->c ? request->c : p->c;
    const double(*variance)[SM_QUANTITIES] = NULL;
    sm_status s = sm_root_add_sources(&p->sources, c);
    if (s == SM_OK)
        s = find_plane_variance(p, c, &variance);
    return s == SM_OK ? sm_root_create(&p->sources, p->tables, c, request, variance, r) : s;
}

sm_status sm_plan_add(sm_plan *p, const sm_root_request *request, int *place)
{
    const int index = p->n_roots;
    sm_status s = plan_grow(p);
    if (s != SM_OK)
        return s;
    p->root[index] = (sm_root){.side = NULL};
    p->parts[index] = (sm_parts){.side = NULL};
    s = make_root(p, request, &p->root[index]);
    if (s == SM_OK)
        s = sm_parts_find(p->root, p->parts, index, &p->kept);
    if (s != SM_OK) {
        sm_root_destroy(&p->root[index]);
        sm_parts_destroy(&p->parts[index]);
        return s;
    }
    if (place)
        *place = index;
    if (p->n_roots++ == 0) {
        p->n_own_sources = p->sources.n_sources;
        p->n_own_columns = p->sources.n_columns;
    }
    return SM_OK;
}

static sm_status create(const sm_case *c, uint64_t seed, bool brief, const sm_tables *known, sm_plan *p)
{
    *p = (sm_plan){.c = c, .seed = seed, .brief = brief, .tables = sm_tables_create_beside(known)};
    sm_status s = p->tables ? sm_plan_add(p, &(sm_root_request){0}, NULL) : SM_NO_MEMORY;
    if (s != SM_OK)
        sm_plan_destroy(p);
    return s;
}

sm_status sm_plan_create(const sm_case *c, uint64_t seed, sm_plan *p)
{
    return create(c, seed, false, NULL, p);
}

sm_status sm_plan_create_brief(const sm_case *c, uint64_t seed, sm_plan *p)
{
    return create(c, seed, true, NULL, p);
}

sm_status sm_plan_create_beside(const sm_plan *first, sm_plan *p)
{
    return create(first->c, first->seed, first->brief, first->tables, p);
}

void sm_plan_destroy(sm_plan *p)
{
    for (int i = 0; i < p->n_roots; i++) {
        sm_root_destroy(&p->root[i]);
        sm_parts_destroy(&p->parts[i]);
    }
    free(p->root);
    free(p->parts);
    if (p->still) {
        p->still->tables = NULL;
        sm_plan_destroy(p->still);
    }
    free(p->still);
    free(p->plane_variance);
    sm_sources_destroy(&p->sources);
    sm_tables_destroy(p->tables);
    *p = (sm_plan){0};
}
