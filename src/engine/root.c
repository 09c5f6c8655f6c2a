/* root.c - a case as a constant model: numbers, and where each draw comes from.
 *
 * Contents: 1. the sources of a case  2. making a root: shared parts  3. making a root: sides
 *           4. evaluating shared parts  5. evaluating a side
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/root.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "sampling/turn.h"

/* 1. The sources of a case */

/* All of one kind that the sides share. */
static bool add_shared(sm_sources *s, sm_source_kind kind)
{
    for (int id = SM_SOURCE_NONE + 1; id < SM_SOURCES; id++)
        if (sm_source_table[id].kind == kind && sm_sources_add(s, (sm_source_id)id, SM_SHARED, NULL) < 0)
            return false;
    return true;
}

static int side_source(sm_sources *s, const sm_case *c, int k, sm_source_id id)
{
    return sm_sources_add(s, id, k, c->coronary[k].name);
}

static bool add_side(sm_sources *s, const sm_case *c, int k, bool *any_look)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (side_source(s, c, k, sm_source_of_quantity((sm_quantity_id)q)) < 0)
            return false;
    for (int g = 0; g < SM_GAPS; g++)
        if (c->coronary[k].quantity[sm_gaps[g].quantity].cross_check.present) {
            *any_look = true;
            if (side_source(s, c, k, sm_gaps[g].look) < 0)
                return false;
        }
    return true;
}

sm_status sm_root_add_sources(sm_sources *s, const sm_case *c)
{
    bool any_look = false;
    bool ok = add_shared(s, SM_SOURCE_MEASURED);
    for (int k = 0; ok && k < (int)c->n_coronaries; k++)
        ok = add_side(s, c, k, &any_look);
    ok = ok && (!any_look || add_shared(s, SM_SOURCE_CALIBRATION));
    ok = ok && add_shared(s, SM_SOURCE_DEPLOYMENT);
    return ok ? SM_OK : SM_NO_MEMORY;
}

/* 2. Making a root: shared parts */

typedef struct {
    sm_sources *sources;
    sm_tables *tables;
    const sm_case *c;
    const sm_root_request *request;
    const sm_surgical_valve *valve;
    const sm_implant *implant;
    sm_status status; /* the first that was not SM_OK */
} builder;

static int column(builder *b, int source, const char *part, sm_base base)
{
    int j = sm_sources_column(b->sources, source, part, base);
    if (j < 0 && b->status == SM_OK)
        b->status = SM_NO_MEMORY;
    return j;
}

static int shared_column(builder *b, sm_source_id source, const char *part, sm_base base)
{
    return column(b, sm_sources_of(b->sources, source, SM_SHARED), part, base);
}

static void variable_of(builder *b, int source, const char *part, const sm_dist *d, sm_variable *v)
{
    sm_base base = sm_transform_base(d->family);
    v->column = -1;
    if (!sm_dist_is_constant(d)) {
        v->column = column(b, source, part, base);
        if (v->column >= 0)
            base = b->sources->column[v->column].base;
    }
    sm_status s = sm_transform_create(b->tables, d, base, &v->transform);
    if (s != SM_OK && b->status == SM_OK)
        b->status = s;
}

static void variable(builder *b, sm_source_id source, const sm_dist *d, sm_variable *v)
{
    variable_of(b, sm_sources_of(b->sources, source, SM_SHARED), "value", d, v);
}

static void reading_of(builder *b, int source, const sm_quantity *q, double plane_variance, double reference,
                       sm_root_reading *r)
{
    sm_reading_create(q, plane_variance, reference, &r->reading);
    variable_of(b, source, q->is_read ? "error" : "value", &r->reading.error, &r->error);
    r->resolution = r->reading.resolution > 0 ? column(b, source, "resolution", SM_BASE_UNIFORM) : -1;
}

static bool blooms(const sm_root_reading *r)
{
    return r->reading.bloom_edges != 0;
}

static void make_frame(builder *b, sm_root_frame *r)
{
    static const char *const point[] = {"point0", "point1", "point2"};
    sm_status s = sm_plane_create(&b->c->scan.base_plane, &r->plane);
    if (s != SM_OK && b->status == SM_OK)
        b->status = s;
    for (int i = 0; i < 3; i++)
        r->normal[i] = shared_column(b, SM_SOURCE_BASE_PLANE, point[i], SM_BASE_NORMAL);
    for (int i = 0; i < sm_plane_phases(&r->plane); i++) {
        char part[24];
        snprintf(part, sizeof part, "phase%d", i);
        r->phase[i] = shared_column(b, SM_SOURCE_BASE_PLANE, part, SM_BASE_UNIFORM);
    }
    r->centreline_sd = b->c->scan.centreline_sd_mm;
    r->centreline[0] = shared_column(b, SM_SOURCE_CENTRELINE, "x", SM_BASE_NORMAL);
    r->centreline[1] = shared_column(b, SM_SOURCE_CENTRELINE, "y", SM_BASE_NORMAL);
}

static void make_valve(builder *b, sm_root_tube *r)
{
    const sm_surgical_valve *v = b->valve;
    reading_of(b, sm_sources_of(b->sources, SM_SOURCE_INNER_DIAMETER, SM_SHARED), &v->inner_diameter, 0, 0,
               &r->inner_diameter);
    reading_of(b, sm_sources_of(b->sources, SM_SOURCE_LEAFLET_THICKNESS, SM_SHARED), &v->leaflet_thickness, 0, 0,
               &r->thickness);
    r->blooms = blooms(&r->inner_diameter) || blooms(&r->thickness);
    r->reference_thickness = b->c->limits.reference_thickness_mm;
    variable(b, SM_SOURCE_RING_GIVE, &v->ring_give_mm, &r->ring_give);
    variable(b, SM_SOURCE_ECCENTRICITY, &v->eccentricity, &r->eccentricity);
    r->orientation = shared_column(b, SM_SOURCE_ECCENTRICITY, "orientation", SM_BASE_UNIFORM);
    variable(b, SM_SOURCE_MOUNT_OFFSET, &v->mount_offset_mm, &r->mount_offset);
    variable(b, SM_SOURCE_MID, &v->mid_fraction, &r->mid);
    variable(b, SM_SOURCE_LEAFLET_OVERHANG, &v->leaflet_overhang_mm, &r->overhang);
    r->post_unknown = v->post_azimuth_unknown;
    if (r->post_unknown)
        r->post.column = shared_column(b, SM_SOURCE_POST_AZIMUTH, "turn", SM_BASE_UNIFORM);
    else
        variable(b, SM_SOURCE_POST_AZIMUTH, &v->post_azimuth_deg, &r->post);
}

static void make_implant(builder *b, sm_root_tube *r)
{
    const sm_implant *m = b->implant;
    r->nominal_diameter = m->nominal_diameter_mm;
    variable(b, SM_SOURCE_OVEREXPANSION, &m->overexpansion, &r->overexpansion);
    variable(b, SM_SOURCE_FLARE, &m->flare, &r->flare);
    variable(b, SM_SOURCE_IMPLANT_DEPTH, &m->implant_depth_mm, &r->depth);
    r->cant_sd = tan(m->canting_sd_deg * (M_PI / 180));
    r->offset_sd = m->offset_sd_mm;
    static const char *const axis[] = {"x", "y"};
    for (int i = 0; i < 2; i++) {
        r->cant[i] = shared_column(b, SM_SOURCE_CANTING, axis[i], SM_BASE_NORMAL);
        r->offset[i] = shared_column(b, SM_SOURCE_OFFSET, axis[i], SM_BASE_NORMAL);
    }
}

static void make_shape(const builder *b, sm_tube_model *r)
{
    const sm_implant *m = b->implant;
    r->frame_height = m->frame_height_mm;
    r->ring_height = b->valve->ring_height_mm;
    r->skirt_height = m->skirt_height_mm;
    r->drawn_circle = b->c->limits.basis == SM_BASIS_DRAWN_CIRCLE;
    r->shape_points = m->shape_points;
    for (size_t i = 0; i < m->shape_points; i++)
        for (int j = 0; j < 2; j++)
            r->shape[i][j] = m->shape[i][j];
}

/* 3. Making a root: sides */

static void make_look(builder *b, int k, sm_gap_id g, int scale, sm_root_look *l)
{
    const sm_coronary *o = &b->c->coronary[k];
    sm_look_create(&o->quantity[sm_gaps[g].quantity].cross_check, o->circle_mm, &l->look);
    if (!l->look.present)
        return;
    int source = side_source(b->sources, b->c, k, sm_gaps[g].look);
    l->error = column(b, source, "reader", SM_BASE_NORMAL);
    l->view = column(b, source, "view", SM_BASE_NORMAL);
    l->coin = column(b, source, "coin", SM_BASE_UNIFORM);
    l->scale = scale;
}

static sm_belief belief_of(const builder *b, int k, sm_gap_id g, const sm_root_look *l)
{
    const sm_root_request *q = b->request;
    if (!l->look.present)
        return SM_BELIEVE_CT;
    return q->belief_side == k && q->belief_gap == g ? q->belief : SM_BELIEVE_JOINED;
}

static void make_landmarks(builder *b, int k, int scale, sm_root_landmarks *r)
{
    for (int g = 0; g < SM_GAPS; g++) {
        sm_root_look *l = &r->looks.look[g];
        make_look(b, k, (sm_gap_id)g, scale, l);
        r->joined[g].belief = belief_of(b, k, (sm_gap_id)g, l);
    }
}

void sm_root_join(sm_root_side *side, sm_gap_id gap, const sm_joining *joining)
{
    sm_root_joined *j = &side->landmarks.joined[gap];
    side->joining[gap] = *joining;
    if (j->belief != SM_BELIEVE_JOINED)
        return;
    j->belief = joining->conflict ? SM_BELIEVE_COIN : SM_BELIEVE_JOINED;
    j->w = joining->conflict ? 0 : joining->w;
}

sm_root_side sm_root_side_shifted(const sm_root_side *side, sm_gap_id gap, double mm)
{
    sm_root_side s = *side;
    const sm_joining *j = &s.joining[gap];
    s.readings.reading[sm_gaps[gap].quantity].reading.estimate += mm;
    if (s.landmarks.joined[gap].belief == SM_BELIEVE_COIN) /* whether they conflict is asked anew */
        s.landmarks.joined[gap].belief = SM_BELIEVE_JOINED;
    if (s.landmarks.looks.look[gap].look.present) {
        const sm_joining moved = sm_look_join(j->mean_ct + mm, j->v_ct, j->mean_f, j->v_f);
        sm_root_join(&s, gap, &moved);
    }
    return s;
}

static sm_quantity without_bloom(const sm_quantity *q)
{
    sm_quantity plain = *q; /* shares the readings, which nobody changes */
    plain.bloom_edges = 0;
    return plain;
}

static bool is_gap(int q)
{
    return q == SM_OSTIUM_GAP || q == SM_STJ_GAP;
}

static void make_readings(builder *b, int k, const double *plane_variance, sm_root_readings *r)
{
    for (int q = 0; q < SM_QUANTITIES; q++) {
        const sm_quantity *read = &b->c->coronary[k].quantity[q];
        sm_quantity plain = without_bloom(read);
        if (is_gap(q) && b->request->without_bloom_correction)
            read = &plain;
        int source = side_source(b->sources, b->c, k, sm_source_of_quantity((sm_quantity_id)q));
        reading_of(b, source, read, plane_variance ? plane_variance[q] : 0,
                   is_gap(q) ? b->c->limits.reference_blooming_mm : 0, &r->reading[q]);
        r->blooms = r->blooms || blooms(&r->reading[q]);
    }
}

static void make_chance(builder *b, int k, sm_source_id id, const double *probability, sm_chance *c)
{
    c->column = -1;
    if (!probability || probability[k] == SM_NOT_DONE)
        return;
    c->probability = probability[k];
    c->column = column(b, side_source(b->sources, b->c, k, id), "success", SM_BASE_UNIFORM);
}

static void make_side(builder *b, int k, const double *plane_variance, int scale, sm_root_side *s)
{
    const sm_coronary *o = &b->c->coronary[k];
    make_readings(b, k, plane_variance, &s->readings);
    make_landmarks(b, k, scale, &s->landmarks);
    s->outputs.model = sm_side_create(o->azimuth_deg, o->circle_mm, &b->c->limits, b->valve);
    s->landmarks.looks.place = s->outputs.model.place;
    make_chance(b, k, SM_SOURCE_LACERATION, b->request->lacerate, &s->outputs.laceration);
    make_chance(b, k, SM_SOURCE_RESCUE, b->request->rescue, &s->rescue);
}

sm_status sm_root_create(sm_sources *sources, sm_tables *tables, const sm_case *c, const sm_root_request *request,
                         const double (*plane_variance)[SM_QUANTITIES], sm_root *r)
{
    builder b = {.sources = sources, .tables = tables, .c = c, .request = request, .status = SM_OK};
    b.valve = request->valve ? request->valve : &c->valve;
    b.implant = request->implant ? request->implant : &c->implant;
    memset(r, 0, sizeof *r);
    r->n_sides = (int)c->n_coronaries;
    r->side = calloc(c->n_coronaries, sizeof *r->side);
    if (!r->side)
        return SM_NO_MEMORY;
    make_frame(&b, &r->frame);
    variable(&b, SM_SOURCE_BLOOMING, &c->scan.blooming_mm, &r->scan.blooming);
    make_valve(&b, &r->tube);
    make_implant(&b, &r->tube);
    make_shape(&b, &r->shape);
    r->scale = -1;
    if (sm_sources_of(sources, SM_SOURCE_LOOK_SCALE, SM_SHARED) >= 0)
        r->scale = shared_column(&b, SM_SOURCE_LOOK_SCALE, "scale", SM_BASE_NORMAL);
    for (int k = 0; k < r->n_sides; k++) {
        make_side(&b, k, plane_variance ? plane_variance[k] : NULL, r->scale, &r->side[k]);
        r->rescues = r->rescues || r->side[k].rescue.column >= 0;
    }
    return b.status;
}

void sm_root_destroy(sm_root *r)
{
    free(r->side);
    *r = (sm_root){0};
}

/* 4. Evaluating shared parts */

static void draw(const sm_variable *v, const double *const *column, double *restrict out)
{
    sm_transform_apply(&v->transform, v->column < 0 ? NULL : column[v->column], out, SM_LANES);
}

SM_WIDE static void take_bloom_off(const sm_reading *r, const double *restrict B, double *restrict truth)
{
    const double estimate = r->estimate, edges = r->bloom_edges, reference = r->reference;
    for (int i = 0; i < SM_LANES; i++)
        truth[i] = estimate - edges * (B[i] - reference) + truth[i];
}

/* (3.1); without the bloom correction if bloom_edges is 0, without resolution if it is off. */
SM_WIDE static void draw_reading(const sm_root_reading *r, const double *const *column, const sm_scan_draws *scan,
                                 double *restrict truth)
{
    draw(&r->error, column, truth);
    if (blooms(r))
        take_bloom_off(&r->reading, scan->B, truth);
    else
        for (int i = 0; i < SM_LANES; i++)
            truth[i] = r->reading.estimate + truth[i];
    if (r->resolution >= 0) {
        const double *V = column[r->resolution], width = r->reading.resolution;
        for (int i = 0; i < SM_LANES; i++)
            truth[i] += width * (V[i] - 0.5);
    }
}

void sm_root_draw_scan(const sm_root_scan *r, const double *const *column, sm_scan_draws *out)
{
    draw(&r->blooming, column, out->B);
}

SM_WIDE void sm_root_draw_frame(const sm_root_frame *r, const double *const *column, sm_frame *frame)
{
    double a[SM_LANES], b[SM_LANES], c[SM_LANES], cx[SM_LANES], cy[SM_LANES];
    const double *normal[3], *phase[SM_MAX_PLACEMENTS];
    for (int i = 0; i < 3; i++)
        normal[i] = column[r->normal[i]];
    for (int i = 0; i < sm_plane_phases(&r->plane); i++)
        phase[i] = column[r->phase[i]];
    sm_plane_draw(&r->plane, normal, phase, a, b, c);
    for (int i = 0; i < SM_LANES; i++) { /* (2.4) */
        cx[i] = r->centreline_sd * column[r->centreline[0]][i];
        cy[i] = r->centreline_sd * column[r->centreline[1]][i];
    }
    sm_frame_place(a, b, c, cx, cy, frame);
}

/* The outline of the ring: ecc/2 times cosine and sine of 2 psi, psi uniform over half a turn. */
SM_WIDE static void draw_outline(const sm_root_tube *r, const double *const *column, sm_tube *t)
{
    double ecc[SM_LANES];
    draw(&r->eccentricity, column, ecc);
    sm_turn(column[r->orientation], t->ecc_c, t->ecc_s, SM_LANES);
    for (int i = 0; i < SM_LANES; i++) {
        t->ecc_c[i] *= ecc[i] / 2;
        t->ecc_s[i] *= ecc[i] / 2;
    }
}

/* Cosine and sine of 3 post_azimuth: an unknown azimuth, uniform over 120 degrees, makes a full turn of it. */
static void draw_posts(const sm_root_tube *r, const double *const *column, sm_tube *t)
{
    double turn[SM_LANES];
    if (r->post_unknown) {
        sm_turn(column[r->post.column], t->post_c, t->post_s, SM_LANES);
        return;
    }
    draw(&r->post, column, turn);
    for (int i = 0; i < SM_LANES; i++)
        turn[i] *= 3.0 / 360;
    sm_turn(turn, t->post_c, t->post_s, SM_LANES);
}

SM_WIDE static void draw_axis(const sm_root_tube *r, const double *const *column, sm_tube *t)
{
    for (int i = 0; i < SM_LANES; i++) {
        t->off_x[i] = r->offset_sd * column[r->offset[0]][i];
        t->off_y[i] = r->offset_sd * column[r->offset[1]][i];
        t->cant_x[i] = r->cant_sd * column[r->cant[0]][i];
        t->cant_y[i] = r->cant_sd * column[r->cant[1]][i];
    }
}

SM_WIDE void sm_root_draw_tube(const sm_root_tube *r, const double *const *column, const sm_scan_draws *scan,
                               sm_tube *t)
{
    double give[SM_LANES], thickness[SM_LANES];
    draw(&r->overexpansion, column, t->D0);
    draw_reading(&r->inner_diameter, column, scan, t->hold);
    draw(&r->ring_give, column, give);
    draw_reading(&r->thickness, column, scan, thickness);
    for (int i = 0; i < SM_LANES; i++) {
        double more = thickness[i] - r->reference_thickness;
        t->D0[i] = r->nominal_diameter * (1 + t->D0[i]);
        t->hold[i] += give[i];
        t->excess[i] = more > 0 ? more : 0;
    }
    draw(&r->flare, column, t->flare);
    draw(&r->depth, column, t->depth);
    draw(&r->mount_offset, column, t->mount_offset);
    draw(&r->mid, column, t->mid);
    draw(&r->overhang, column, t->overhang);
    draw_outline(r, column, t);
    draw_posts(r, column, t);
    draw_axis(r, column, t);
}

static double mean_of(const sm_root_reading *r, double mean_bloom)
{
    return r->reading.estimate - r->reading.bloom_edges * (mean_bloom - r->reading.reference) +
           sm_dist_mean(&r->error.transform.dist);
}

/* What sm_root_draw_tube draws, at its means. */
double sm_root_mean_waist(const sm_root *r)
{
    sm_tube t = {.flare = {0}};
    double z[SM_LANES] = {0}, R_frame[SM_LANES], W[SM_LANES];
    const sm_direction d = sm_direction_at(0);
    double bloom = sm_dist_mean(&r->scan.blooming.transform.dist);
    z[0] = r->shape.ring_height;
    t.D0[0] = r->tube.nominal_diameter * (1 + sm_dist_mean(&r->tube.overexpansion.transform.dist));
    t.hold[0] = mean_of(&r->tube.inner_diameter, bloom) + sm_dist_mean(&r->tube.ring_give.transform.dist);
    t.depth[0] = sm_dist_mean(&r->tube.depth.transform.dist);
    sm_tube_frame_radius(&r->shape, &t, &d, z, R_frame, W);
    return W[0];
}

/* 5. Evaluating a side */

void sm_root_draw_readings(const sm_root_readings *r, const double *const *column, const sm_scan_draws *scan,
                           sm_true_readings *out)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        draw_reading(&r->reading[q], column, scan, out->mm[q]);
}

/* (3.7), or one look alone: by a fair coin if they conflict, or as asked. T_ct is (3.6), T_f is (3.5). */
SM_WIDE static void join_looks(const sm_side_place *place, const sm_root_look *l, const sm_root_joined *joined,
                               const double *const *column, sm_landmark *p)
{
    double T_ct[SM_LANES], T_f[SM_LANES];
    if (joined->belief == SM_BELIEVE_CT)
        return;
    sm_side_gap(place, p, T_ct);
    sm_look_draw(&l->look, column[l->error], column[l->view], column[l->scale], T_f);
    const double *coin = column[l->coin];
    const bool toss = joined->belief == SM_BELIEVE_COIN;
    for (int i = 0; i < SM_LANES; i++) {
        double w = toss ? (coin[i] < 0.5 ? 1 : 0) : joined->w;
        T_ct[i] = w * T_ct[i] + (1 - w) * T_f[i];
    }
    sm_side_move(place, T_ct, p);
}

void sm_root_ct_landmarks(const sm_side_place *place, const sm_frame *frame, const sm_true_readings *readings,
                          sm_landmarks *out)
{
    sm_side_landmarks(place, frame, (const double(*)[SM_LANES])readings->mm, out);
}

void sm_root_place_landmarks(const sm_root_landmarks *r, const double *const *column, const sm_frame *frame,
                             const sm_true_readings *readings, sm_landmarks *out)
{
    const sm_root_looks *s = &r->looks;
    sm_root_ct_landmarks(&s->place, frame, readings, out);
    for (int g = 0; g < SM_GAPS; g++)
        join_looks(&s->place, &s->look[g], &r->joined[g], column, &out->at[g]);
}

void sm_root_evaluate_outputs(const sm_root_outputs *r, const double *const *column, const sm_tube_model *shape,
                              const sm_tube *tube, const sm_landmarks *landmarks, sm_side_out *out)
{
    double split[SM_LANES];
    const bool lacerated = r->laceration.column >= 0;
    if (lacerated)
        sm_chance_draw(&r->laceration, column, split);
    sm_side_evaluate(&r->model, shape, tube, landmarks, lacerated ? split : NULL, out);
}

void sm_chance_draw(const sm_chance *c, const double *const *column, double *restrict out)
{
    for (int i = 0; i < SM_LANES; i++)
        out[i] = c->column >= 0 && column[c->column][i] < c->probability ? 1 : 0;
}
