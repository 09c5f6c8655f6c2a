/* smoothing.c - a root's probabilities in each trial, given what is drawn.
 *
 * Contents: 1. which landmarks are smoothed  2. their errors  3. what roots share  4. the whole  5. a smoothed landmark
 *           6. a drawn one  7. a side  8. a lacerated side
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
    return side->landmarks.look[looked[g]] < 0 && is_normal(&side->readings.reading[sm_gaps[g].quantity]) &&
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

/* Success of a laceration is a factor where nothing of the side is drawn, of a rescue always. */
static void integrate_successes(const sm_plan *p, sm_smoothing *s)
{
    for (int r = 0; r < s->n_roots; r++)
        for (int k = 0; k < s->n_sides; k++) {
            const sm_root_side *side = &p->root[r].side[k];
            if (side->outputs.laceration.column >= 0 && !s->whole[k])
                s->integrated[side->outputs.laceration.column] = true;
            if (side->rescue.column >= 0)
                s->integrated[side->rescue.column] = true;
        }
}

/* 3. What roots share */

/* Whether a side is the same in two roots but for how often its leaflet is laid open. */
static bool same_but_for_success(const sm_plan *p, int a, int b, int k)
{
    const sm_side_parts *in_a = &p->parts[a].side[k], *in_b = &p->parts[b].side[k];
    const sm_root_outputs *of_a = &p->root[a].side[k].outputs, *of_b = &p->root[b].side[k].outputs;
    return in_a->landmarks.owner == in_b->landmarks.owner && p->parts[a].tube.owner == p->parts[b].tube.owner &&
           p->parts[a].shape.owner == p->parts[b].shape.owner &&
           memcmp(&of_a->model, &of_b->model, sizeof of_a->model) == 0 &&
           memcmp(of_a->limit, of_b->limit, sizeof of_a->limit) == 0;
}

/* What is drawn of a side that is evaluated whole holds for its own draw of success. */
static bool can_share(const sm_plan *p, const sm_smoothing *s, int a, int b, int k)
{
    return s->whole[k] ? p->parts[a].side[k].outputs.owner == p->parts[b].side[k].outputs.owner
                       : same_but_for_success(p, a, b, k);
}

static void find_places(const sm_plan *p, sm_smoothing *s, int index, int k)
{
    const bool lacerated = p->root[index].side[k].outputs.laceration.column >= 0;
    sm_smooth_places *mine = &s->places[index * s->n_sides + k];
    *mine = (sm_smooth_places){.whole = -1, .open = -1};
    for (int r = 0; r < index; r++) {
        const sm_smooth_places *earlier = &s->places[r * s->n_sides + k];
        if (!can_share(p, s, r, index, k))
            continue;
        mine->whole = earlier->whole;
        mine->open = lacerated && mine->open < 0 ? earlier->open : mine->open;
    }
    mine->first_whole = mine->whole < 0;
    mine->first_open = lacerated && mine->open < 0;
    mine->whole = mine->first_whole ? s->n_places++ : mine->whole;
    mine->open = mine->first_open ? s->n_places++ : mine->open;
}

static void find_all_places(const sm_plan *p, sm_smoothing *s)
{
    for (int r = 0; r < s->n_roots; r++)
        for (int k = 0; k < s->n_sides; k++)
            find_places(p, s, r, k);
}

/* 4. The whole */

sm_status sm_smoothing_create(const sm_plan *p, sm_smoothing *s)
{
    const size_t sides = (size_t)p->root[0].n_sides;
    *s = (sm_smoothing){.n_roots = p->n_roots, .n_sides = (int)sides};
    s->smooth = calloc(sides, sizeof *s->smooth);
    s->whole = calloc(sides, sizeof *s->whole);
    s->side = calloc(sides * (size_t)p->n_roots, sizeof *s->side);
    s->places = calloc(sides * (size_t)p->n_roots, sizeof *s->places);
    s->integrated = calloc((size_t)p->sources.n_columns + 1, sizeof *s->integrated);
    s->score_side = calloc(2 * sides * SM_GAPS, sizeof *s->score_side); /* of gap and height at most */
    if (!s->smooth || !s->whole || !s->side || !s->integrated || !s->score_side || !s->places)
        return SM_NO_MEMORY;
    choose(p, s);
    integrate_successes(p, s);
    find_all_places(p, s);
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
    free(s->places);
    free(s->integrated);
    free(s->score_side);
    *s = (sm_smoothing){0};
}

/* 5. A smoothed landmark */

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

/* 6. A drawn one */

/* (5.5) by any limit. */
SM_WIDE static void drawn_crossed(const sm_side_out *out, int g, double margin, const double *restrict limit,
                                  double *restrict p)
{
    const double *height = out->y[g == SM_GAP_OSTIUM ? SM_COVER : SM_REACH], *room = out->y[sm_gaps[g].clearance];
    for (int i = 0; i < SM_LANES; i++)
        p[i] = ((height[i] >= -margin) & (room[i] < limit[i])) ? 1 : 0;
}

/* 7. A side */

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

/* What the two states of a side have in common. */
typedef struct {
    const sm_smoothing *s;
    const sm_plan *p;
    int index, k;
    const double *const *column;
    const sm_smooth_draws *draws;
    bool by_limits;
    parts c;
    const sm_side_out *drawn; /* if it is evaluated whole */
    double H[SM_LANES];       /* the leaflet top */
} side;

/* Of a steered root it is evaluated already: the weights were asked for first. */
static void begin_side(side *a, sm_places *at)
{
    const int owner = a->p->parts[a->index].side[a->k].landmarks.owner;
    a->c = parts_of(a->p, a->index, a->k, a->column, at);
    a->drawn = NULL;
    if (a->s->whole[a->k]) {
        a->drawn = a->p->root[a->index].steering.n > 0 ? &at->side[a->p->parts[a->index].side[a->k].outputs.slot]
                                                       : sm_evaluate_side(a->p, a->index, a->k, a->column, at);
        memcpy(a->H, at->landmarks[a->p->parts[owner].side[a->k].landmarks.slot].H, sizeof a->H);
    } else
        draw_top(&a->c, &a->p->root[a->index].side[a->k].readings.reading[SM_LEAFLET_HEIGHT], a->H);
}

static void find_gap(const side *a, const sm_side_tube *tube, int g, double margin, sm_level *out)
{
    const sm_smoothing *s = a->s;
    find_level(s, &a->c, tube, &s->side[a->index * s->n_sides + a->k].at[g], margin, a->draws->u[a->k * SM_GAPS + g],
               a->draws->score, out);
}

static void find_landmarks(const side *a, const sm_side_tube *tube, landmarks *out)
{
    const bool *smooth = a->s->smooth[a->k];
    for (int g = 0; g < SM_GAPS; g++)
        if (smooth[g])
            find_gap(a, tube, g, margin_of(a->c.model, g), &out->level[g]);
    if (a->by_limits && smooth[SM_GAP_STJ] && a->c.model->reach_margin == 0)
        out->without_margin = out->level[SM_GAP_STJ];
    else if (a->by_limits && smooth[SM_GAP_STJ])
        find_gap(a, tube, SM_GAP_STJ, 0, &out->without_margin);
}

/* Of one state. */
static void find_chances(const side *a, bool open, sm_side_chances *out)
{
    const sm_root_outputs *own = &a->p->root[a->index].side[a->k].outputs;
    double limit[SM_LANES];
    sm_side_tube tube;
    landmarks l; /* what is read of it is filled: not cleared first */
    l.s = a->s;
    l.model = &own->model;
    l.smooth = a->s->smooth[a->k];
    l.drawn = a->drawn;
    if (open)
        sm_smooth_open_tube(a->c.shape, a->c.tube, a->H, &tube);
    else
        sm_smooth_tube(a->c.model, a->c.shape, a->c.tube, a->H, &tube);
    find_landmarks(a, &tube, &l);
    for (int g = 0; g < SM_GAPS; g++) {
        sm_variable_draw(&own->limit[g], a->c.column, limit);
        crossed_by(&l, g, true, limit, out->crossed[g]);
    }
    event_of(&own->model, out->crossed, out->event);
    if (a->by_limits)
        by_published_limits(&l, own, out);
}

/* 8. A lacerated side */

/* How probable it is that its leaflet is laid open: where it is evaluated whole, whether it was. */
static void success_of(const side *a, double *success)
{
    const sm_root_outputs *own = &a->p->root[a->index].side[a->k].outputs;
    if (a->drawn) {
        memcpy(success, a->drawn->opened, SM_LANES * sizeof *success);
        return;
    }
    sm_side_clear_of_posts(&own->model, a->c.tube, success);
    for (int i = 0; i < SM_LANES; i++)
        success[i] *= own->laceration.probability;
}

/* Both rules together: what is open to one is open to the other. */
static void mix(const side *a, const sm_side_chances *whole, const sm_side_chances *open, sm_side_chances *out)
{
    double success[SM_LANES];
    success_of(a, success);
    sm_smooth_mixed(success, whole->event, open->event, out->event);
    for (int g = 0; g < SM_GAPS; g++)
        sm_smooth_mixed(success, whole->crossed[g], open->crossed[g], out->crossed[g]);
}

const sm_side_chances *sm_smoothing_side(const sm_smoothing *s, const sm_plan *p, int index, int k,
                                         const double *const *column, sm_places *at, const sm_smooth_draws *draws,
                                         bool by_limits, sm_side_chances *kept, sm_side_chances *mixed)
{
    const sm_smooth_places *places = &s->places[index * s->n_sides + k];
    side a;
    a.s = s;
    a.p = p;
    a.index = index;
    a.k = k;
    a.column = column;
    a.draws = draws;
    a.by_limits = by_limits;
    if (!places->first_whole && places->open < 0)
        return &kept[places->whole];
    begin_side(&a, at);
    if (places->first_whole)
        find_chances(&a, false, &kept[places->whole]);
    if (places->first_open)
        find_chances(&a, true, &kept[places->open]);
    if (places->open < 0)
        return &kept[places->whole];
    mix(&a, &kept[places->whole], &kept[places->open], mixed);
    return mixed;
}
