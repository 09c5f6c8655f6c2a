/* smoothing.c - a root's probabilities in each trial, given what is drawn.
 *
 * Contents: 1. which landmarks are smoothed  2. their errors  3. the whole  4. a smoothed landmark  5. a drawn one
 *           6. a side
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/smoothing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 1. Which landmarks are smoothed */

static bool is_normal(const sm_root_reading *r)
{
    const sm_transform *t = &r->error.transform;
    return t->constant || t->dist.family == SM_NORMAL || t->dist.family == SM_STUDENT_T;
}

static bool can_smooth(const sm_root_side *side, int g)
{
    static const sm_looked looked[SM_GAPS] = {[SM_GAP_OSTIUM] = SM_LOOKED_OSTIUM_GAP, [SM_GAP_STJ] = SM_LOOKED_STJ_GAP};
    return side->landmarks.look[looked[g]] < 0 && side->outputs.laceration.column < 0 &&
           is_normal(&side->readings.reading[sm_gaps[g].quantity]) &&
           is_normal(&side->readings.reading[sm_gaps[g].height]);
}

static bool is_looked_at(const sm_root_side *side)
{
    for (int at = 0; at < SM_LOOKED_OF_SIDE; at++)
        if (side->landmarks.look[at] >= 0)
            return true;
    return false;
}

static void choose(const sm_plan *p, sm_smoothing *s)
{
    for (int k = 0; k < s->n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++) {
            s->smooth[k][g] = true;
            for (int r = 0; r < s->n_roots; r++)
                s->smooth[k][g] = s->smooth[k][g] && can_smooth(&p->root[r].side[k], g);
        }
    for (int k = 0; k < s->n_sides; k++) {
        s->whole[k] = !(s->smooth[k][SM_GAP_OSTIUM] && s->smooth[k][SM_GAP_STJ]);
        for (int r = 0; r < s->n_roots; r++)
            s->whole[k] = s->whole[k] || is_looked_at(&p->root[r].side[k]);
    }
}

/* 2. Their errors */

/* *score: the normal score of this error's scale, -1 until some root needs one. */
static sm_status take_error(const sm_plan *p, const sm_root_reading *r, int k, sm_smoothing *s, int *score,
                            sm_private_error *out)
{
    const sm_transform *t = &r->error.transform;
    memcpy(&out->still, r, sizeof out->still);
    out->still.error.column = -1;
    out->still.error.transform.constant = true;
    out->still.error.transform.location = t->constant ? t->location : t->dist.p[0];
    out->sd = t->constant ? 0 : t->dist.p[1];
    out->score = -1;
    if (r->error.column >= 0)
        s->integrated[r->error.column] = true;
    if (t->constant || t->dist.family != SM_STUDENT_T)
        return SM_OK;
    *score = *score < 0 ? s->n_scores++ : *score;
    out->score = *score;
    s->score_side[*score] = k;
    return sm_tables_t_scale(p->tables, t->dist.p[2], &out->scales);
}

static sm_status take_landmark(const sm_plan *p, int k, int g, sm_smoothing *s)
{
    int of_gap = -1, of_height = -1;
    sm_status status = SM_OK;
    for (int r = 0; status == SM_OK && s->smooth[k][g] && r < s->n_roots; r++) {
        const sm_root_reading *reading = p->root[r].side[k].readings.reading;
        sm_smooth_landmark *l = &s->side[r * s->n_sides + k].at[g];
        status = take_error(p, &reading[sm_gaps[g].quantity], k, s, &of_gap, &l->gap);
        if (status == SM_OK)
            status = take_error(p, &reading[sm_gaps[g].height], k, s, &of_height, &l->height);
    }
    return status;
}

/* 3. The whole */

sm_status sm_smoothing_create(const sm_plan *p, sm_smoothing *s)
{
    const size_t sides = (size_t)p->root[0].n_sides;
    *s = (sm_smoothing){.n_roots = p->n_roots, .n_sides = (int)sides};
    s->smooth = calloc(sides, sizeof *s->smooth);
    s->whole = calloc(sides, sizeof *s->whole);
    s->side = calloc(sides * (size_t)p->n_roots, sizeof *s->side);
    s->integrated = calloc((size_t)p->sources.n_columns + 1, sizeof *s->integrated);
    s->score_side = calloc(2 * sides * SM_GAPS, sizeof *s->score_side); /* of gap and height at most */
    if (!s->smooth || !s->whole || !s->side || !s->integrated || !s->score_side)
        return SM_NO_MEMORY;
    choose(p, s);
    sm_status status = sm_tables_phi(p->tables, &s->phi);
    for (int k = 0; k < s->n_sides; k++)
        for (int g = 0; status == SM_OK && g < SM_GAPS; g++)
            status = take_landmark(p, k, g, s);
    return status;
}

void sm_smoothing_destroy(sm_smoothing *s)
{
    free(s->smooth);
    free(s->whole);
    free(s->side);
    free(s->integrated);
    free(s->score_side);
    *s = (sm_smoothing){0};
}

/* 4. A smoothed landmark */

/* The parts that a root's side is evaluated from. */
typedef struct {
    const sm_side_model *model;
    const sm_tube_model *shape;
    const sm_tube *tube;
    const sm_frame *frame;
    const sm_scan_draws *scan;
    const double *const *column;
} parts;

static parts parts_of(const sm_plan *p, int index, int k, const double *const *column, const sm_places *at)
{
    const sm_parts *own = &p->parts[index];
    const int scan = own->side[k].readings.from.scan;
    return (parts){.model = &p->root[index].side[k].outputs.model,
                   .shape = &p->root[index].shape,
                   .tube = &at->tube[p->parts[own->tube.owner].tube.slot],
                   .frame = &at->frame[p->parts[own->frame.owner].frame.slot],
                   .scan = scan < 0 ? NULL : &at->scan[p->parts[scan].scan.slot],
                   .column = sm_columns_of(p, index, column, at)};
}

/* The SD of an error in each trial. */
static void draw_sd(const sm_private_error *e, const double *const *score, double *sd)
{
    if (e->score >= 0) {
        sm_table_apply(e->scales, 0, e->sd, score[e->score], sd, SM_LANES);
        return;
    }
    for (int i = 0; i < SM_LANES; i++)
        sd[i] = e->sd;
}

static void find_level(const sm_smoothing *s, const parts *c, const sm_side_tube *tube, const sm_smooth_landmark *l,
                       double margin, const double *u, const double *const *score, sm_level *out)
{
    sm_private_pair pair; /* its columns are all filled: not cleared first */
    pair.margin = margin;
    pair.u = u;
    sm_root_draw_reading(&l->gap.still, c->column, c->scan, pair.gap);
    sm_root_draw_reading(&l->height.still, c->column, c->scan, pair.height);
    draw_sd(&l->gap, score, pair.gap_sd);
    draw_sd(&l->height, score, pair.height_sd);
    sm_smooth_level(c->model, c->shape, c->tube, c->frame, tube, &pair, s->phi, out);
}

/* The leaflet top of a side that is not evaluated as a whole. */
static void draw_top(const parts *c, const sm_root_reading *leaflet, double *H)
{
    double r[SM_LANES], z[SM_LANES], x[SM_LANES], y[SM_LANES];
    const sm_side_place *place = &c->model->place;
    sm_root_draw_reading(leaflet, c->column, c->scan, z);
    for (int i = 0; i < SM_LANES; i++)
        r[i] = place->circle / 2;
    sm_frame_point(c->frame, place->cos_az, place->sin_az, r, z, x, y, H);
}

/* How far below the landmark a tube may end and still reach it. */
static double margin_of(const sm_side_model *model, int g)
{
    return g == SM_GAP_STJ ? model->reach_margin : 0;
}

/* 5. A drawn one */

/* (5.5) by any limit. */
SM_WIDE static void drawn_crossed(const sm_side_out *out, int g, double margin, const double *restrict limit,
                                  double *restrict p)
{
    const double *height = out->y[g == SM_GAP_OSTIUM ? SM_COVER : SM_REACH], *room = out->y[sm_gaps[g].clearance];
    for (int i = 0; i < SM_LANES; i++)
        p[i] = ((height[i] >= -margin) & (room[i] < limit[i])) ? 1 : 0;
}

/* 6. A side */

/* The landmarks of a side as one limit after the other is asked of them. */
typedef struct {
    const sm_smoothing *s;
    const sm_side_model *model;
    const bool *smooth;
    const sm_side_out *drawn;
    sm_level level[SM_GAPS], without_margin; /* the latter of the junction */
} landmarks;

static void crossed_by(const landmarks *l, int g, bool margin, const double *limit, double *p)
{
    if (l->smooth[g])
        sm_smooth_crossed(g == SM_GAP_STJ && !margin ? &l->without_margin : &l->level[g], limit, l->s->phi, p);
    else
        drawn_crossed(l->drawn, g, margin ? margin_of(l->model, g) : 0, limit, p);
    for (int i = 0; g == SM_GAP_OSTIUM && l->model->counts == 0 && i < SM_LANES; i++)
        p[i] = 0; /* no ostium is there */
}

/* By a published limit, which knows no margin. */
static void crossed_by_one(const landmarks *l, int g, double limit, double *p)
{
    double limits[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        limits[i] = limit;
    crossed_by(l, g, false, limits, p);
}

static void event_of(const sm_side_model *model, double (*crossed)[SM_LANES], double *event)
{
    if (model->counts != 0)
        sm_smooth_either(crossed[SM_GAP_OSTIUM], crossed[SM_GAP_STJ], event);
    else
        memset(event, 0, SM_LANES * sizeof *event);
}

static bool is_limit(const sm_variable *v, double limit)
{
    return v->transform.constant && v->transform.location == limit;
}

static void by_published_limits(const landmarks *l, const sm_root_outputs *own, sm_side_chances *out)
{
    double crossed[SM_GAPS][SM_LANES];
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        const sm_published_limit *limit = &sm_published_limits[i];
        if (is_limit(&own->limit[SM_GAP_OSTIUM], limit->ostium_clearance_mm) &&
            is_limit(&own->limit[SM_GAP_STJ], limit->stj_clearance_mm) && own->model.reach_margin == 0) {
            memcpy(out->by_limits[i], out->event, sizeof out->event);
            continue;
        }
        crossed_by_one(l, SM_GAP_OSTIUM, limit->ostium_clearance_mm, crossed[SM_GAP_OSTIUM]);
        crossed_by_one(l, SM_GAP_STJ, limit->stj_clearance_mm, crossed[SM_GAP_STJ]);
        event_of(&own->model, crossed, out->by_limits[i]);
    }
}

/* Left whole: the drawn side; the leaflet top from it. */
static void find_landmarks(const sm_smoothing *s, const sm_plan *p, int index, int k, const double *const *column,
                           sm_places *at, const sm_smooth_draws *draws, bool by_limits, landmarks *out)
{
    double H[SM_LANES];
    sm_side_tube tube;
    const parts c = parts_of(p, index, k, column, at);
    if (s->whole[k]) /* of a steered root it is done: the weights were asked for first */
        out->drawn = p->root[index].steering.n > 0 ? &at->side[p->parts[index].side[k].outputs.slot]
                                                   : sm_evaluate_side(p, index, k, column, at);
    const int owner = p->parts[index].side[k].landmarks.owner;
    if (s->whole[k])
        memcpy(H, at->landmarks[p->parts[owner].side[k].landmarks.slot].H, sizeof H);
    else
        draw_top(&c, &p->root[index].side[k].readings.reading[SM_LEAFLET_HEIGHT], H);
    sm_smooth_tube(c.model, c.shape, c.tube, H, &tube);
    for (int g = 0; g < SM_GAPS; g++)
        if (s->smooth[k][g])
            find_level(s, &c, &tube, &s->side[index * s->n_sides + k].at[g], margin_of(c.model, g),
                       draws->u[k * SM_GAPS + g], draws->score, &out->level[g]);
    if (by_limits && s->smooth[k][SM_GAP_STJ] && c.model->reach_margin == 0)
        out->without_margin = out->level[SM_GAP_STJ];
    else if (by_limits && s->smooth[k][SM_GAP_STJ])
        find_level(s, &c, &tube, &s->side[index * s->n_sides + k].at[SM_GAP_STJ], 0, draws->u[k * SM_GAPS + SM_GAP_STJ],
                   draws->score, &out->without_margin);
}

void sm_smoothing_side(const sm_smoothing *s, const sm_plan *p, int index, int k, const double *const *column,
                       sm_places *at, const sm_smooth_draws *draws, bool by_limits, sm_side_chances *out)
{
    const sm_root_outputs *own = &p->root[index].side[k].outputs;
    double limit[SM_LANES];
    landmarks l; /* what is read of it is filled: not cleared first */
    l.s = s;
    l.model = &own->model;
    l.smooth = s->smooth[k];
    l.drawn = NULL;
    find_landmarks(s, p, index, k, column, at, draws, by_limits, &l);
    for (int g = 0; g < SM_GAPS; g++) {
        sm_variable_draw(&own->limit[g], sm_columns_of(p, index, column, at), limit);
        crossed_by(&l, g, true, limit, out->crossed[g]);
    }
    event_of(&own->model, out->crossed, out->event);
    if (by_limits)
        by_published_limits(&l, own, out);
}
