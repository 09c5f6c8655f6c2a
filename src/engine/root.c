/* root.c - a case as a constant model: numbers, and where each draw comes from.
 *
 * Contents: 1. the sources of a case  2. making a root: shared parts  3. making a root: sides
 *           4. making a root: what steers it  5. the whole  6. evaluating the tube  7. evaluating a side
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

/* The source of a look, if the case has it. */
static bool add_look(sm_sources *s, const sm_case *c, int k, sm_looked at, bool *any_projection)
{
    const sm_looked_line *line = &sm_looked_table[at];
    if (!sm_looked_quantity(c, k, at)->cross_check.present)
        return true;
    *any_projection = *any_projection || line->projection;
    return sm_sources_add(s, line->source, k, k == SM_SHARED ? NULL : c->coronary[k].name) >= 0;
}

static bool add_side(sm_sources *s, const sm_case *c, int k, bool *any_projection)
{
    bool ok = true;
    for (int q = 0; ok && q < SM_QUANTITIES; q++)
        ok = sm_coronary_lacks(&c->coronary[k], (sm_quantity_id)q) ||
             side_source(s, c, k, sm_source_of_quantity((sm_quantity_id)q)) >= 0;
    for (int at = 0; ok && at < SM_LOOKED_OF_SIDE; at++)
        ok = add_look(s, c, k, (sm_looked)at, any_projection);
    return ok;
}

static bool any_limit_varies(const sm_case *c)
{
    for (int g = 0; g < SM_GAPS; g++)
        if (!sm_dist_is_constant(sm_gap_limit_dist(&c->limits, (sm_gap_id)g)))
            return true;
    return false;
}

sm_status sm_root_add_sources(sm_sources *s, const sm_case *c)
{
    bool any_projection = false;
    bool ok = add_shared(s, SM_SOURCE_MEASURED);
    for (int k = 0; ok && k < (int)c->n_coronaries; k++)
        ok = add_side(s, c, k, &any_projection);
    for (int at = SM_LOOKED_OF_SIDE; ok && at < SM_LOOKED; at++)
        ok = add_look(s, c, SM_SHARED, (sm_looked)at, &any_projection);
    ok = ok && (!any_projection || add_shared(s, SM_SOURCE_CALIBRATION));
    ok = ok && add_shared(s, SM_SOURCE_DEPLOYMENT);
    ok = ok && (!any_limit_varies(c) || add_shared(s, SM_SOURCE_LIMIT));
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
    sm_feeds part;    /* that is being made */
    sm_status status; /* the first that was not SM_OK */
} builder;

static int column(builder *b, int source, const char *part, sm_base base)
{
    int j = sm_sources_column(b->sources, source, part, base);
    if (j >= 0)
        b->sources->column[j].feeds |= (unsigned)b->part;
    else if (b->status == SM_OK)
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

/* part: the name of its own draw, NULL for the usual one. */
static void reading_of(builder *b, int source, const char *part, const sm_quantity *q, double plane_variance,
                       double reference, sm_root_reading *r)
{
    sm_reading_create(q, plane_variance, reference, &r->reading);
    variable_of(b, source, part ? part : q->is_read ? "error" : "value", &r->reading.error, &r->error);
    r->resolution = r->reading.resolution > 0 ? column(b, source, "resolution", SM_BASE_UNIFORM) : -1;
}

static void make_frame(builder *b, sm_root_frame *r)
{
    static const char *const point[] = {"point0", "point1", "point2"};
    b->part = SM_FEEDS_FRAME;
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

static void make_scan(builder *b, sm_root_scan *r)
{
    b->part = SM_FEEDS_SCAN;
    variable(b, SM_SOURCE_BLOOMING, &b->c->scan.blooming_mm, &r->blooming);
}

/* Which look of the steering is at a quantity; -1: none. */
static int look_at(const sm_steering *s, int side, sm_looked at)
{
    for (int l = 0; l < s->n; l++)
        if (s->look[l].at == at && s->look[l].side == side)
            return l;
    return -1;
}

static void valve_reading_of(builder *b, sm_looked at, const char *part, const sm_quantity *q, sm_root_reading *r)
{
    reading_of(b, sm_sources_of(b->sources, sm_looked_table[at].first, SM_SHARED), part, q, 0, 0, r);
}

/* A second look is at the valve as it is: where an alternative has another value in its place, that has a draw of its
 * own, which the look does not bear on. Returns the look that bears on it, -1 if none does. */
static int valve_reading(builder *b, const sm_steering *s, sm_looked at, const sm_quantity *q, sm_root_reading *r)
{
    const int look = look_at(s, SM_SHARED, at);
    valve_reading_of(b, at, NULL, q, r);
    if (look < 0 || memcmp(&s->look[look].first.reading, &r->reading, sizeof r->reading) == 0)
        return look;
    memset(r, 0, sizeof *r);
    valve_reading_of(b, at, "another", q, r);
    return -1;
}

static void make_valve(builder *b, const sm_steering *s, sm_root_tube *r)
{
    const sm_surgical_valve *v = b->valve;
    b->part = SM_FEEDS_TUBE;
    r->look_inner_diameter = valve_reading(b, s, SM_LOOKED_INNER_DIAMETER, &v->inner_diameter, &r->inner_diameter);
    r->look_thickness = valve_reading(b, s, SM_LOOKED_THICKNESS, &v->leaflet_thickness, &r->thickness);
    r->blooms = sm_root_reading_blooms(&r->inner_diameter) || sm_root_reading_blooms(&r->thickness);
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
    b->part = SM_FEEDS_TUBE;
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

static void make_landmarks(const sm_root *r, int k, sm_root_landmarks *l)
{
    l->place = r->side[k].outputs.model.place;
    for (int at = 0; at < SM_LOOKED_OF_SIDE; at++)
        l->look[at] = look_at(&r->steering, k, (sm_looked)at);
}

sm_root_side sm_root_side_shifted(const sm_root_side *side, sm_gap_id gap, double mm)
{
    sm_root_side s = *side;
    s.readings.reading[sm_gaps[gap].quantity].reading.estimate += mm;
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
    b->part = SM_FEEDS_READINGS;
    for (int q = 0; q < SM_QUANTITIES; q++) {
        const sm_quantity *read = &b->c->coronary[k].quantity[q];
        sm_quantity plain = without_bloom(read);
        if (is_gap(q) && b->request->without_bloom_correction)
            read = &plain;
        const bool lacks = sm_coronary_lacks(&b->c->coronary[k], (sm_quantity_id)q); /* then it is constant */
        int source = lacks ? -1 : side_source(b->sources, b->c, k, sm_source_of_quantity((sm_quantity_id)q));
        reading_of(b, source, NULL, read, plane_variance ? plane_variance[q] : 0,
                   is_gap(q) ? b->c->limits.reference_blooming_mm : 0, &r->reading[q]);
        r->blooms = r->blooms || sm_root_reading_blooms(&r->reading[q]);
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

static void make_outputs(builder *b, int k, sm_root_side *s)
{
    const sm_coronary *o = &b->c->coronary[k];
    b->part = SM_FEEDS_OUTPUTS;
    s->outputs.model = sm_side_create(o->azimuth_deg, o->circle_mm, &b->c->limits, b->valve);
    if (!o->has_ostium)
        sm_side_without_ostium(&s->outputs.model);
    for (int g = 0; g < SM_GAPS; g++)
        variable_of(b, sm_sources_of(b->sources, SM_SOURCE_LIMITS, SM_SHARED), sm_gaps[g].place,
                    sm_gap_limit_dist(&b->c->limits, (sm_gap_id)g), &s->outputs.limit[g]);
    make_chance(b, k, SM_SOURCE_LACERATION, b->request->lacerate, &s->outputs.laceration);
    make_chance(b, k, SM_SOURCE_RESCUE, b->request->rescue, &s->rescue);
}

static void make_sides(builder *b, const double (*plane_variance)[SM_QUANTITIES], sm_root *r)
{
    const sm_root_request *q = b->request;
    for (int k = 0; k < r->n_sides; k++) {
        make_readings(b, k, plane_variance ? plane_variance[k] : NULL, &r->side[k].readings);
        make_outputs(b, k, &r->side[k]);
        r->rescues = r->rescues || r->side[k].rescue.column >= 0;
    }
    if (q->more_mm != 0)
        r->side[q->more_side] = sm_root_side_shifted(&r->side[q->more_side], q->more_gap, q->more_mm);
}

/* 4. Making a root: what steers it */

/* Where the linear model stands: the reading's radius and height, each at its mean. */
static void make_answer(const sm_root *r, const sm_case *c, sm_steered_look *l)
{
    static const sm_quantity_id height[SM_LOOKED_OF_SIDE] = {SM_OSTIUM_HEIGHT, SM_STJ_HEIGHT, SM_LEAFLET_HEIGHT};
    if (l->side == SM_SHARED)
        return;
    const bool radial = sm_looked_table[l->at].projection;
    const sm_side_place *place = &r->side[l->side].outputs.model.place;
    const double bloom = sm_dist_mean(&c->scan.blooming_mm), h = place->circle / 2;
    const double z = sm_root_reading_mean(&r->side[l->side].readings.reading[height[l->at]], bloom);
    const double reach = radial ? h + sm_root_reading_mean(&l->first, bloom) : h;
    l->sharp = l->look.error_sd < SM_SHARP_SD;
    l->cos_az = place->cos_az;
    l->sin_az = place->sin_az;
    l->half = h;
    if (l->sharp) /* nothing else asks for it: other roots with another height steer alike */
        memcpy(&l->height, &r->side[l->side].readings.reading[height[l->at]], sizeof l->height);
    sm_steer_by_frame(place->cos_az, place->sin_az, reach, z, radial, l->by_frame);
    sm_steer_by_draws(&r->frame, l);
}

static void take_first(builder *b, const sm_root *r, sm_steered_look *l)
{
    static const sm_quantity_id quantity[SM_LOOKED_OF_SIDE] = {SM_OSTIUM_GAP, SM_STJ_GAP, SM_LEAFLET_HEIGHT};
    if (l->side == SM_SHARED)
        valve_reading_of(b, l->at, NULL, sm_looked_quantity(b->c, SM_SHARED, l->at), &l->first);
    else
        memcpy(&l->first, &r->side[l->side].readings.reading[quantity[l->at]], sizeof l->first);
    const sm_status s =
        sm_transform_create(b->tables, &l->first.error.transform.dist, SM_BASE_NORMAL, &l->error_by_score);
    if (s != SM_OK && b->status == SM_OK)
        b->status = s;
}

static void make_look(builder *b, int k, sm_looked at, sm_root *r)
{
    const sm_quantity *q = sm_looked_quantity(b->c, k, at);
    if (!q->cross_check.present || r->steering.n == SM_MAX_LOOKS)
        return;
    sm_steered_look *l = &r->steering.look[r->steering.n++];
    const int source = k == SM_SHARED ? sm_sources_of(b->sources, sm_looked_table[at].source, SM_SHARED)
                                      : side_source(b->sources, b->c, k, sm_looked_table[at].source);
    l->at = at;
    l->side = k;
    sm_look_create(&q->cross_check, at, k == SM_SHARED ? 0 : b->c->coronary[k].circle_mm, &l->look);
    l->error = column(b, source, "reader", SM_BASE_NORMAL);
    l->view = sm_looked_table[at].projection ? column(b, source, "view", SM_BASE_NORMAL) : -1;
    if (r->steering.n == 1)
        r->steering.choice = column(b, source, "choice", SM_BASE_UNIFORM);
    take_first(b, r, l);
    make_answer(r, b->c, l);
}

/* The readings of the sides and the frame are there. */
static void make_steering(builder *b, sm_root *r)
{
    sm_steering *s = &r->steering;
    b->part = SM_FEEDS_ALL; /* it moves columns of other parts */
    s->scale = -1;
    for (int k = 0; k < r->n_sides; k++)
        for (int at = 0; at < SM_LOOKED_OF_SIDE; at++)
            make_look(b, k, (sm_looked)at, r);
    for (int at = SM_LOOKED_OF_SIDE; at < SM_LOOKED; at++)
        make_look(b, SM_SHARED, (sm_looked)at, r);
    if (s->n == 0)
        return;
    if (sm_sources_of(b->sources, SM_SOURCE_LOOK_SCALE, SM_SHARED) >= 0)
        s->scale = shared_column(b, SM_SOURCE_LOOK_SCALE, "scale", SM_BASE_NORMAL);
    memcpy(&s->scan, &r->scan, sizeof s->scan);
    memcpy(&s->frame, &r->frame, sizeof s->frame);
    if (b->status == SM_OK)
        b->status = sm_choices_create(s, &r->choices);
}

/* 5. The whole */

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
    make_scan(&b, &r->scan);
    make_sides(&b, plane_variance, r);
    make_steering(&b, r);
    make_valve(&b, &r->steering, &r->tube);
    make_implant(&b, &r->tube);
    make_shape(&b, &r->shape);
    for (int k = 0; k < r->n_sides; k++)
        make_landmarks(r, k, &r->side[k].landmarks);
    return b.status;
}

void sm_root_destroy(sm_root *r)
{
    free(r->side);
    sm_choices_destroy(&r->choices);
    *r = (sm_root){0};
}

/* 6. Evaluating the tube */

/* The outline of the ring: ecc/2 times cosine and sine of 2 psi, psi uniform over half a turn. */
SM_WIDE static void draw_outline(const sm_root_tube *r, const double *const *column, sm_tube *t)
{
    double ecc[SM_LANES];
    sm_variable_draw(&r->eccentricity, column, ecc);
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
    sm_variable_draw(&r->post, column, turn);
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

/* A quantity of the valve: what was read or is known, or what a look alone says of it. */
static void draw_looked(const sm_root_reading *reading, int look, const double *const *column,
                        const sm_scan_draws *scan, const sm_steering *steering, const sm_steered *steered, double *out)
{
    sm_root_draw_reading(reading, column, scan, out);
    if (look >= 0)
        sm_steer_replace(steering, steered, look, out);
}

SM_WIDE void sm_root_draw_tube(const sm_root_tube *r, const double *const *column, const sm_scan_draws *scan,
                               const sm_steering *steering, const sm_steered *steered, sm_tube_readings *readings,
                               sm_tube *t)
{
    double give[SM_LANES], thickness[SM_LANES];
    sm_variable_draw(&r->overexpansion, column, t->D0);
    draw_looked(&r->inner_diameter, r->look_inner_diameter, column, scan, steering, steered, t->hold);
    sm_variable_draw(&r->ring_give, column, give);
    draw_looked(&r->thickness, r->look_thickness, column, scan, steering, steered, thickness);
    if (readings && r->look_inner_diameter >= 0)
        memcpy(readings->inner_diameter, t->hold, sizeof readings->inner_diameter);
    if (readings && r->look_thickness >= 0)
        memcpy(readings->thickness, thickness, sizeof readings->thickness);
    for (int i = 0; i < SM_LANES; i++) {
        double more = thickness[i] - r->reference_thickness;
        t->D0[i] = r->nominal_diameter * (1 + t->D0[i]);
        t->hold[i] += give[i];
        t->excess[i] = more > 0 ? more : 0;
    }
    sm_variable_draw(&r->flare, column, t->flare);
    sm_variable_draw(&r->depth, column, t->depth);
    sm_variable_draw(&r->mount_offset, column, t->mount_offset);
    sm_variable_draw(&r->mid, column, t->mid);
    sm_variable_draw(&r->overhang, column, t->overhang);
    draw_outline(r, column, t);
    draw_posts(r, column, t);
    draw_axis(r, column, t);
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
    t.hold[0] = sm_root_reading_mean(&r->tube.inner_diameter, bloom) + sm_dist_mean(&r->tube.ring_give.transform.dist);
    t.depth[0] = sm_dist_mean(&r->tube.depth.transform.dist);
    sm_tube_frame_radius(&r->shape, &t, &d, z, R_frame, W);
    return W[0];
}

/* 7. Evaluating a side */

void sm_root_draw_readings(const sm_root_readings *r, const double *const *column, const sm_scan_draws *scan,
                           sm_true_readings *out)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        sm_root_draw_reading(&r->reading[q], column, scan, out->mm[q]);
}

/* Where the first reading of a gap is off, the landmark moves to what the look alone says. */
static void replace_gap(const sm_side_place *place, int look, const sm_steering *c, const sm_steered *s, sm_landmark *p)
{
    double T[SM_LANES];
    sm_side_gap(place, p, T);
    sm_steer_replace(c, s, look, T);
    sm_side_move(place, T, p);
}

void sm_root_place_landmarks(const sm_root_landmarks *r, const sm_frame *frame, const sm_true_readings *readings,
                             const sm_steering *steering, const sm_steered *steered, sm_landmarks *out)
{
    sm_side_landmarks(&r->place, frame, (const double(*)[SM_LANES])readings->mm, out);
    if (r->look[SM_LOOKED_OSTIUM_GAP] >= 0)
        replace_gap(&r->place, r->look[SM_LOOKED_OSTIUM_GAP], steering, steered, &out->at[SM_GAP_OSTIUM]);
    if (r->look[SM_LOOKED_STJ_GAP] >= 0)
        replace_gap(&r->place, r->look[SM_LOOKED_STJ_GAP], steering, steered, &out->at[SM_GAP_STJ]);
    if (r->look[SM_LOOKED_LEAFLET_HEIGHT] >= 0)
        sm_steer_replace(steering, steered, r->look[SM_LOOKED_LEAFLET_HEIGHT], out->H);
}

/* split: room. NULL if the leaflet is not lacerated. */
static const double *draw_split(const sm_root_outputs *r, const double *const *column, double *split)
{
    if (r->laceration.column < 0)
        return NULL;
    sm_chance_draw(&r->laceration, column, split);
    return split;
}

static void draw_limits(const sm_root_outputs *r, const double *const *column, double (*limit)[SM_LANES])
{
    for (int g = 0; g < SM_GAPS; g++)
        sm_variable_draw(&r->limit[g], column, limit[g]);
}

void sm_root_evaluate_outputs(const sm_root_outputs *r, const double *const *column, const sm_tube_model *shape,
                              const sm_tube *tube, const sm_landmarks *landmarks, sm_side_out *out)
{
    double split[SM_LANES], limit[SM_GAPS][SM_LANES];
    draw_limits(r, column, limit);
    sm_side_evaluate(&r->model, shape, tube, landmarks, (const double(*)[SM_LANES])limit, draw_split(r, column, split),
                     out);
}

void sm_root_keep_side(const sm_root_outputs *r, const double *const *column, const sm_tube_model *shape,
                       const sm_tube *tube, const sm_landmarks *landmarks, const sm_side_out *out, sm_side_kept *kept)
{
    double split[SM_LANES];
    kept->landmarks = *landmarks;
    kept->out = *out;
    draw_limits(r, column, kept->limit);
    sm_side_find_cover(&r->model, shape, tube, landmarks, draw_split(r, column, split), &kept->cover, &kept->out);
}

void sm_root_shift_gap(const sm_root_side *r, sm_gap_id gap, const double *const *column, const sm_scan_draws *scan,
                       const sm_frame *frame, const sm_true_readings *readings, const sm_tube_model *shape,
                       const sm_tube *tube, sm_side_kept *kept)
{
    double read[SM_LANES];
    const sm_side_model *model = &r->outputs.model;
    sm_landmark *p = &kept->landmarks.at[gap];
    sm_root_draw_reading(&r->readings.reading[sm_gaps[gap].quantity], column, scan, read);
    sm_side_landmark(&r->landmarks.place, frame, read, readings->mm[sm_gaps[gap].height], p);
    sm_side_clearance(model, shape, tube, &kept->cover, p, kept->out.y[sm_gaps[gap].clearance]);
    sm_side_cross(model, &kept->landmarks, &kept->cover, (const double(*)[SM_LANES])kept->limit, &kept->out);
}

void sm_chance_draw(const sm_chance *c, const double *const *column, double *restrict out)
{
    for (int i = 0; i < SM_LANES; i++)
        out[i] = c->column >= 0 && column[c->column][i] < c->probability ? 1 : 0;
}
