/* look_draws.c - what looks not yet made would show.
 *
 * Contents: 1. columns  2. one coordinate  3. one look  4. all looks  5. drawing  6. landmarks in a reader's frame
 *           7. what is read again  8. a projection, a direct measurement  9. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/look_draws.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "measurement/look.h"
#include "measurement/planned_look.h"
#include "sampling/rng.h"

/* 1. Columns */

typedef struct {
    sm_look_draws *d;
    const sm_root *root;
    const sm_case *c;
    int source; /* of the look at hand */
    sm_status status;
} maker;

static void note(maker *m, sm_status s)
{
    if (m->status == SM_OK)
        m->status = s;
}

static int column(maker *m, const char *part, int i, sm_base base)
{
    char name[24];
    snprintf(name, sizeof name, "%s%d", part, i);
    const int j = sm_sources_column(&m->d->sources, m->source, name, base);
    if (j < 0)
        note(m, SM_NO_MEMORY);
    return j;
}

static void variable(maker *m, const char *part, const sm_dist *d, sm_variable *v)
{
    const sm_base base = sm_transform_base(d->family);
    v->column = sm_dist_is_constant(d) ? -1 : column(m, part, 0, base);
    note(m, sm_transform_create(m->d->tables, d, base, &v->transform));
}

/* 2. One coordinate */

/* The first reading of what is looked at. */
static const sm_reading *first_reading(const sm_root *r, sm_look_target t)
{
    if (t.side != SM_OF_VALVE)
        return &r->side[t.side].readings.reading[t.what].reading;
    return t.what == SM_TARGET_INNER_DIAMETER ? &r->tube.inner_diameter.reading : &r->tube.thickness.reading;
}

/* How far one reader of that quantity errs in a fixed plane, mm^2: between readers and repeats; where the SDs contain
 * the plane, that is simulated, and taken off; of type A, what the readings themselves scatter by. */
static double reader_variance(const sm_quantity *q, const sm_reading *r)
{
    const double n = (double)q->readings.n;
    if (!q->sd_from_readings)
        return fmax(0, r->reread_variance - r->plane_taken * n) + gsl_pow_2(q->resolution_mm) / 12;
    double sum = 0, all = 0, squares = 0;
    for (size_t i = 0; i < q->readings.n; i++)
        for (size_t j = 0; j < q->readings.row[i].n; j++, all += 1)
            sum += q->readings.row[i].mm[j];
    for (size_t i = 0; i < q->readings.n; i++)
        for (size_t j = 0; j < q->readings.row[i].n; j++)
            squares += gsl_pow_2(q->readings.row[i].mm[j] - sum / all);
    return squares / (all - 1) + (q->readings.n == 1 ? gsl_pow_2(q->between_reader_sd_mm) : 0);
}

/* Which look of the steering keeps the true value of a quantity of the valve. */
static int steered_at(const sm_root *r, sm_look_target t)
{
    if (t.side != SM_OF_VALVE)
        return -1;
    return t.what == SM_TARGET_INNER_DIAMETER ? r->tube.look_inner_diameter : r->tube.look_thickness;
}

static void make_shown(maker *m, const sm_planned_look *l, int i, sm_shown *s)
{
    const sm_look_target t = l->target[i];
    const sm_reading *first = first_reading(m->root, t);
    const bool reads = l->kind == SM_PLANNED_AGAIN || l->kind == SM_PLANNED_RESCAN;
    double variance = gsl_pow_2(fmax(SM_LOOK_LEAST_SD, l->reader_sd_mm));
    if (reads)
        variance = reader_variance(sm_target_quantity(m->c, t), first);
    *s = (sm_shown){.target = t, .noise_sd = sqrt(variance / (double)l->readers), .steered = steered_at(m->root, t)};
    s->bloom_edges = reads ? first->bloom_edges : 0;
    s->reference = first->reference;
    s->noise = column(m, "error", i, SM_BASE_NORMAL);
}

/* 3. One look */

static void make_reader(maker *m, const sm_scan *scan, int reader, sm_root_frame *f)
{
    sm_base_plane plane = scan->base_plane;
    const unsigned place = (unsigned)reader % SM_MAX_PLANNED_READERS;
    char part[16];
    if (plane.tilt_form)
        plane.placements = 1;
    note(m, sm_plane_create(&plane, &f->plane));
    snprintf(part, sizeof part, "plane%u-", place);
    for (int i = 0; i < 3; i++)
        f->normal[i] = column(m, part, i, SM_BASE_NORMAL);
    for (int i = 0; i < sm_plane_phases(&f->plane); i++)
        f->phase[i] = column(m, part, 3 + i, SM_BASE_UNIFORM);
    f->centreline_sd = scan->centreline_sd_mm;
    snprintf(part, sizeof part, "centre%u-", place);
    for (int i = 0; i < 2; i++)
        f->centreline[i] = column(m, part, i, SM_BASE_NORMAL);
}

static void make_readers(maker *m, const sm_planned_look *l, sm_simulated *s)
{
    s->n_frames = (int)l->readers;
    s->reader = calloc(l->readers, sizeof *s->reader);
    if (!s->reader) {
        s->n_frames = 0;
        note(m, SM_NO_MEMORY);
    }
    for (int i = 0; i < s->n_frames; i++)
        make_reader(m, &l->scan, i, &s->reader[i].frame);
}

/* Section 3.1: cut at cos G >= 1/2 and 1 + M >= 1/2. */
static void make_picture(maker *m, const sm_planned_look *l, sm_simulated *s)
{
    const double most = 60 * (M_PI / 180), view_sd = l->view_error_sd_deg * (M_PI / 180);
    const double miss = l->miss_deg * (M_PI / 180);
    const sm_dist view = {SM_TRUNCATED_NORMAL, {miss, view_sd, -most, most}};
    const sm_dist scale = {SM_TRUNCATED_NORMAL, {0, l->magnification_sd, SM_LOOK_LEAST - 1, 1e3}};
    const sm_dist exact = sm_dist_constant(0), steady = sm_dist_constant(fmin(miss, most));
    variable(m, "view", view_sd > 0 ? &view : &steady, &s->view);
    variable(m, "scale", l->magnification_sd > 0 ? &scale : &exact, &s->scale);
    s->half_circle = m->c->coronary[l->target[0].side].circle_mm / 2;
}

static void make_look(maker *m, const sm_planned_look *l, sm_simulated *s)
{
    char name[SM_SOURCE_NAME_SIZE];
    s->look = l;
    s->first = m->d->dims;
    if (l->kind == SM_PLANNED_BUNDLE)
        return;
    snprintf(name, sizeof name, "look %d", (int)(s - m->d->simulated));
    m->source = sm_sources_add_named(&m->d->sources, name, true, SM_SHARED);
    s->dims = (int)l->n_targets;
    s->shown = calloc(l->n_targets ? l->n_targets : 1, sizeof *s->shown);
    if (m->source < 0 || !s->shown) {
        note(m, SM_NO_MEMORY);
        s->dims = 0;
        return;
    }
    m->d->dims += s->dims;
    for (int i = 0; i < s->dims; i++)
        make_shown(m, l, i, &s->shown[i]);
    if (l->own_plane && (l->kind == SM_PLANNED_AGAIN || l->kind == SM_PLANNED_RESCAN))
        make_readers(m, l, s);
    if (l->kind == SM_PLANNED_RESCAN)
        variable(m, "blooming", &l->scan.blooming_mm, &s->blooming);
    if (l->kind == SM_PLANNED_PROJECT)
        make_picture(m, l, s);
}

/* 4. All looks */

sm_status sm_look_draws_create(const sm_plan *p, const sm_planned_look *look, int n, sm_look_draws *d)
{
    *d = (sm_look_draws){.plan = p, .n = n, .look = look, .tables = sm_tables_create()};
    d->simulated = calloc(n > 0 ? (size_t)n : 1, sizeof *d->simulated);
    maker m = {.d = d, .root = &p->root[0], .c = p->c, .status = d->tables && d->simulated ? SM_OK : SM_NO_MEMORY};
    for (int i = 0; m.status == SM_OK && i < n; i++)
        make_look(&m, &look[i], &d->simulated[i]);
    if (m.status != SM_OK)
        sm_look_draws_destroy(d);
    return m.status;
}

void sm_look_draws_destroy(sm_look_draws *d)
{
    for (int i = 0; d->simulated && i < d->n; i++) {
        free(d->simulated[i].shown);
        free(d->simulated[i].reader);
    }
    free(d->simulated);
    sm_sources_destroy(&d->sources);
    sm_tables_destroy(d->tables);
    *d = (sm_look_draws){0};
}

int sm_look_draws_of(const sm_look_draws *d, int look, int *which)
{
    const sm_planned_look *l = &d->look[look];
    const bool bundle = l->kind == SM_PLANNED_BUNDLE;
    int n = 0;
    for (size_t i = 0; i < (bundle ? l->n_parts : 1); i++) {
        const sm_simulated *s = &d->simulated[bundle ? l->part[i] : (size_t)look];
        for (int j = 0; j < s->dims; j++)
            which[n++] = s->first + j;
    }
    return n;
}

sm_look_target sm_look_draws_target(const sm_look_draws *d, int coordinate)
{
    int i = 0;
    while (coordinate >= d->simulated[i].first + d->simulated[i].dims)
        i++;
    return d->simulated[i].shown[coordinate - d->simulated[i].first].target;
}

/* 5. Drawing */

sm_status sm_look_room_create(const sm_look_draws *d, sm_look_room *r)
{
    const size_t n = (size_t)d->sources.n_columns + 1;
    *r = (sm_look_room){.block = -1, .rng = gsl_rng_alloc(sm_rng_philox)};
    r->base = malloc(n * SM_BLOCK * sizeof *r->base);
    r->column = malloc(n * sizeof *r->column);
    r->y = malloc(((size_t)d->dims + 1) * sizeof *r->y);
    return r->rng && r->base && r->column && r->y ? SM_OK : SM_NO_MEMORY;
}

void sm_look_room_destroy(sm_look_room *r)
{
    if (r->rng)
        gsl_rng_free(r->rng);
    free(r->base);
    free(r->column);
    free(r->y);
    *r = (sm_look_room){0};
}

static void draw(const sm_look_draws *d, const sm_worker *w, sm_purpose purpose, sm_look_room *r)
{
    const int n = d->sources.n_columns;
    if (r->block != w->block || r->purpose != purpose)
        for (int j = 0; j < n; j++)
            sm_sources_draw(&d->sources.column[j], r->rng, d->plan->seed, purpose, w->block,
                            r->base + (size_t)j * SM_BLOCK);
    r->block = w->block;
    r->purpose = purpose;
    for (int j = 0; j < n; j++)
        r->column[j] = r->base + (size_t)j * SM_BLOCK + (size_t)w->group * SM_LANES;
}

/* 6. Landmarks in a reader's frame */

/* (6.1), the inverse of (2.6): the height z' of a point along the reader's axis, and its distance r' from it. */
SM_WIDE static void see(const sm_frame *restrict f, const sm_landmark *restrict p, double *restrict z,
                        double *restrict r)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double x = p->x[i] - f->ox[i], y = p->y[i] - f->oy[i], h = p->h[i] - f->oz[i];
        const double along_u = x * f->ux[i] + h * f->uz[i], along_v = x * f->vx[i] + y * f->vy[i] + h * f->vz[i];
        z[i] += x * f->nx[i] + y * f->ny[i] + h * f->nz[i];
        r[i] += sqrt(along_u * along_u + along_v * along_v);
    }
}

/* The true leaflet top, at the circle that the reader drew. */
static void leaflet_top(const sm_side_place *place, const sm_frame *frame, const double *z, const double *H,
                        sm_landmark *p)
{
    double half[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        half[i] = place->circle / 2;
    sm_frame_point(frame, place->cos_az, place->sin_az, half, z, p->x, p->y, p->h);
    memcpy(p->h, H, sizeof p->h);
}

/* What a group is looked at with. */
typedef struct {
    const sm_look_draws *d;
    const sm_worker *w;
    const double *const *column; /* of root[0] */
    sm_look_room *room;
} group;

static const sm_landmarks *landmarks_of(const group *g, int side)
{
    return &g->w->at.landmarks[g->d->plan->parts[0].side[side].landmarks.slot];
}

static const sm_frame *first_frame(const group *g)
{
    return &g->w->at.frame[g->d->plan->parts[0].frame.slot];
}

/* Where a quantity's landmark truly is; room: for what is not kept. */
static const sm_landmark *landmark_of(const group *g, sm_look_target t, sm_landmark *room)
{
    const sm_landmarks *marks = landmarks_of(g, t.side);
    if (t.what == SM_OSTIUM_HEIGHT || t.what == SM_OSTIUM_GAP)
        return &marks->at[SM_GAP_OSTIUM];
    if (t.what == SM_STJ_HEIGHT || t.what == SM_STJ_GAP)
        return &marks->at[SM_GAP_STJ];
    const sm_side_parts *parts = &g->d->plan->parts[0].side[t.side];
    const sm_true_readings *read = &g->w->at.readings[parts->readings.slot];
    leaflet_top(&g->d->plan->root[0].side[t.side].landmarks.place, first_frame(g), read->mm[SM_LEAFLET_HEIGHT],
                marks->H, room);
    return room;
}

/* The true value of a quantity of the valve, or the true leaflet height. */
static void truth_of(const group *g, const sm_shown *s, double *out)
{
    const sm_root_tube *tube = &g->d->plan->root[0].tube;
    const sm_places *at = &g->w->at;
    double room[SM_LANES];
    if (s->target.side != SM_OF_VALVE)
        memcpy(out, landmarks_of(g, s->target.side)->H, SM_LANES * sizeof *out);
    else if (s->steered >= 0)
        memcpy(out, sm_looked_at(g->d->plan, s->steered, at, room), SM_LANES * sizeof *out);
    else
        sm_root_draw_reading(s->target.what == SM_TARGET_INNER_DIAMETER ? &tube->inner_diameter : &tube->thickness,
                             g->column, &at->scan[g->d->plan->parts[0].scan.slot], out);
}

/* 7. What is read again */

static bool is_height(int what)
{
    return what != SM_OSTIUM_GAP && what != SM_STJ_GAP;
}

/* The mean over n frames of what a reader in each would read without an error. */
static void read_in_frames(const group *g, const sm_shown *s, const sm_frame *frame, int n, double *out)
{
    sm_landmark room;
    double z[SM_LANES] = {0}, r[SM_LANES] = {0};
    const sm_landmark *p = landmark_of(g, s->target, &room);
    const double half = g->d->plan->root[0].side[s->target.side].landmarks.place.circle / 2;
    for (int j = 0; j < n; j++)
        see(&frame[j], p, z, r);
    for (int i = 0; i < SM_LANES; i++)
        out[i] = is_height(s->target.what) ? z[i] / n : r[i] / n - half;
}

static void add_error(const group *g, const sm_shown *s, double *out)
{
    const double *e = g->room->column[s->noise];
    for (int i = 0; i < SM_LANES; i++)
        out[i] += s->noise_sd * e[i];
}

/* (3.1) the other way: reading = truth + edges (B - reference) + error. */
static void show_reading(const group *g, const sm_shown *s, const sm_frame *frame, int n, const double *B, double *out)
{
    if (s->target.side == SM_OF_VALVE)
        truth_of(g, s, out);
    else
        read_in_frames(g, s, frame, n, out);
    for (int i = 0; i < SM_LANES; i++)
        out[i] += s->bloom_edges * (B[i] - s->reference);
    add_error(g, s, out);
}

static void show_readings(const group *g, const sm_simulated *s)
{
    sm_frame own[SM_MAX_PLANNED_READERS];
    sm_scan_draws scan;
    const double *B = g->w->at.scan[g->d->plan->parts[0].scan.slot].B;
    const double *const *mine = (const double *const *)g->room->column;
    for (int j = 0; j < s->n_frames; j++)
        sm_root_draw_frame(&s->reader[j].frame, mine, &own[j]);
    if (s->look->kind == SM_PLANNED_RESCAN) {
        sm_variable_draw(&s->blooming, mine, scan.B);
        B = scan.B;
    }
    const sm_frame *frame = s->n_frames > 0 ? own : first_frame(g);
    for (int i = 0; i < s->dims; i++)
        show_reading(g, &s->shown[i], frame, s->n_frames > 0 ? s->n_frames : 1, B, g->room->y[s->first + i]);
}

/* 8. A projection, a direct measurement */

/* (3.4) with a scale and a view of its own. */
static void show_projection(const group *g, const sm_simulated *s)
{
    const sm_shown *shown = &s->shown[0];
    const sm_gap_id gap = shown->target.what == SM_OSTIUM_GAP ? SM_GAP_OSTIUM : SM_GAP_STJ;
    const double *const *mine = (const double *const *)g->room->column;
    double G[SM_LANES], M[SM_LANES], *y = g->room->y[s->first];
    sm_side_gap(&g->d->plan->root[0].side[shown->target.side].landmarks.place,
                &landmarks_of(g, shown->target.side)->at[gap], y);
    sm_variable_draw(&s->view, mine, G);
    sm_variable_draw(&s->scale, mine, M);
    for (int i = 0; i < SM_LANES; i++)
        y[i] = ((y[i] + s->half_circle) * cos(G[i]) - s->half_circle) * (1 + M[i]);
    add_error(g, shown, y);
}

static void show_direct(const group *g, const sm_simulated *s)
{
    truth_of(g, &s->shown[0], g->room->y[s->first]);
    add_error(g, &s->shown[0], g->room->y[s->first]);
}

/* 9. All of it */

void sm_look_draws_show(const sm_look_draws *d, const sm_worker *w, sm_purpose purpose, const double *const *column,
                        sm_look_room *r)
{
    const group g = {d, w, column, r};
    draw(d, w, purpose, r);
    for (int i = 0; i < d->n; i++) {
        const sm_simulated *s = &d->simulated[i];
        if (s->dims == 0)
            continue;
        if (s->look->kind == SM_PLANNED_PROJECT)
            show_projection(&g, s);
        else if (s->look->kind == SM_PLANNED_DIRECT)
            show_direct(&g, s);
        else
            show_readings(&g, s);
    }
}
