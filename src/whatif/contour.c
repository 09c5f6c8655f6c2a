/* contour.c - where a field over a grid passes through zero: marching squares.
 *
 * Contents: 1. edges  2. cells  3. pieces  4. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/contour.h"

#include <stdlib.h>

/* 1. Edges */

enum { NONE = -1 };

/* From each point (i, j) an edge leads on in x, with an even number, and one in y, with an odd one. */
typedef struct {
    const double *height, *x, *y;
    int nx, ny;
    int (*next)[2]; /* of each edge: the edges that the line goes to from there, one in either cell beside it */
    bool *done;
    sm_contour *out;
} tracing;

static int edge(const tracing *t, int i, int j, int up)
{
    return 2 * (j * t->nx + i) + up;
}

static bool is_above(const tracing *t, int i, int j)
{
    return t->height[j * t->nx + i] >= 0;
}

static sm_contour_point place_on(const tracing *t, int e)
{
    const int up = e % 2, i = e / 2 % t->nx, j = e / 2 / t->nx, there = up ? t->nx : 1;
    const double a = t->height[e / 2], b = t->height[e / 2 + there], share = a / (a - b);
    return (sm_contour_point){up ? t->x[i] : t->x[i] + share * (t->x[i + 1] - t->x[i]),
                              up ? t->y[j] + share * (t->y[j + 1] - t->y[j]) : t->y[j]};
}

/* 2. Cells */

static void join(const tracing *t, int e, int f)
{
    t->next[e][t->next[e][0] == NONE ? 0 : 1] = f;
    t->next[f][t->next[f][0] == NONE ? 0 : 1] = e;
}

/* The cell from (i, j) to (i + 1, j + 1). */
static void cross_cell(const tracing *t, int i, int j)
{
    const bool a = is_above(t, i, j), b = is_above(t, i + 1, j), c = is_above(t, i + 1, j + 1),
               d = is_above(t, i, j + 1);
    const int bottom = edge(t, i, j, 0), right = edge(t, i + 1, j, 1), top = edge(t, i, j + 1, 0),
              left = edge(t, i, j, 1);
    if (a != b && b != c && c != d) {
        const double *h = &t->height[j * t->nx + i];
        const bool middle = h[0] + h[1] + h[t->nx] + h[t->nx + 1] >= 0;
        join(t, bottom, middle == a ? right : left);
        join(t, top, middle == a ? left : right);
        return;
    }
    const int met[] = {bottom, right, top, left};
    const bool meets[] = {a != b, b != c, c != d, d != a};
    int first = NONE;
    for (int k = 0; k < 4; k++) {
        if (!meets[k])
            continue;
        if (first != NONE)
            join(t, first, met[k]);
        first = met[k];
    }
}

/* 3. Pieces */

/* The line from edge e on, until it ends or is back. */
static void follow(tracing *t, int e, bool closed)
{
    sm_contour *o = t->out;
    sm_contour_piece *p = &o->piece[o->n++];
    *p = (sm_contour_piece){.first = o->n_points, .closed = closed};
    while (e != NONE) {
        t->done[e] = true;
        o->point[o->n_points++] = place_on(t, e);
        const int f = t->next[e][0], g = t->next[e][1];
        e = f != NONE && !t->done[f] ? f : g != NONE && !t->done[g] ? g : NONE;
    }
    p->n = o->n_points - p->first;
}

/* First those with ends, then the rings, which have none. */
static void follow_all(tracing *t, int edges)
{
    for (int closed = 0; closed < 2; closed++)
        for (int e = 0; e < edges; e++)
            if (!t->done[e] && t->next[e][0] != NONE && (closed || t->next[e][1] == NONE))
                follow(t, e, closed);
}

/* 4. All of it */

sm_status sm_contour_trace(const double *height, const double *x, int nx, const double *y, int ny, sm_contour *out)
{
    const size_t edges = 2 * (size_t)nx * (size_t)ny;
    tracing t = {.height = height, .x = x, .y = y, .nx = nx, .ny = ny, .out = out};
    *out = (sm_contour){.point = malloc(edges * sizeof *out->point), .piece = malloc(edges * sizeof *out->piece)};
    t.next = malloc(edges * sizeof *t.next);
    t.done = calloc(edges, sizeof *t.done);
    const bool room = out->point && out->piece && t.next && t.done;
    for (size_t e = 0; room && e < edges; e++)
        t.next[e][0] = t.next[e][1] = NONE;
    for (int j = 0; room && j + 1 < ny; j++)
        for (int i = 0; i + 1 < nx; i++)
            cross_cell(&t, i, j);
    if (room)
        follow_all(&t, (int)edges);
    free(t.next);
    free(t.done);
    return room ? SM_OK : SM_NO_MEMORY;
}

void sm_contour_destroy(sm_contour *c)
{
    free(c->point);
    free(c->piece);
    *c = (sm_contour){0};
}
