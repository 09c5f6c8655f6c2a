/* test_contour.c - the line through a grid: fields whose contour is known, and how much of it a picture shows.
 *
 * Contents: 1. fields  2. planes and rings  3. crosswise cells  4. pictures
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <string.h>

#include "report/figures/figure.h"
#include "report/text/sweep_text.h"
#include "whatif/contour.h"

/* 1. Fields */

enum { NX = 13, NY = 9 };

static double plane(double x, double y)
{
    return 0.31 + 0.7 * x - y;
}

static double ring(double x, double y)
{
    return 0.75 * 0.75 - x * x - y * y;
}

/* About the corner (-1, -1). */
static double quarter(double x, double y)
{
    return 1.1 * 1.1 - (x + 1) * (x + 1) - (y + 1) * (y + 1);
}

static double two_rings(double x, double y)
{
    return 0.3 * 0.3 - (fabs(x) - 0.55) * (fabs(x) - 0.55) - y * y;
}

static double saddle(double x, double y)
{
    return x * y - 0.013;
}

/* Meets all four edges of the square from within: a ring that the rim cuts into four. */
static double cut_ring(double x, double y)
{
    return x * x + y * y - 1.2 * 1.2;
}

static double nowhere(double x, double y)
{
    return 3 + x + y;
}

static double zero_along(double x, double y)
{
    (void)y;
    return x;
}

/* The contour over -1 to 1 both ways. */
static sm_contour trace(double (*f)(double x, double y))
{
    double x[NX], y[NY], height[NX * NY];
    sm_contour c;
    for (int i = 0; i < NX; i++)
        x[i] = -1 + 2.0 * i / (NX - 1);
    for (int j = 0; j < NY; j++)
        y[j] = -1 + 2.0 * j / (NY - 1);
    for (int i = 0; i < NX * NY; i++)
        height[i] = f(x[i % NX], y[i / NX]);
    assert_int_equal(sm_contour_trace(height, x, NX, y, NY, &c), SM_OK);
    return c;
}

static bool at_rim(sm_contour_point p)
{
    return fmax(fabs(p.x), fabs(p.y)) > 1 - 1e-12;
}

/* Every step of a piece stays within one cell, and an open piece runs from rim to rim. */
static void check_piece(const sm_contour *c, const sm_contour_piece *p)
{
    const sm_contour_point *at = &c->point[p->first];
    assert_true(p->n >= 2);
    for (size_t i = 0; i + !p->closed < p->n; i++) {
        const sm_contour_point *next = &at[(i + 1) % p->n];
        assert_true(fabs(at[i].x - next->x) <= 2.0 / (NX - 1) + 1e-12);
        assert_true(fabs(at[i].y - next->y) <= 2.0 / (NY - 1) + 1e-12);
    }
    if (!p->closed)
        assert_true(at_rim(at[0]) && at_rim(at[p->n - 1]));
}

static void expect(double (*f)(double x, double y), size_t open, size_t closed, double within)
{
    sm_contour c = trace(f);
    size_t n_open = 0, n_points = 0;
    for (size_t k = 0; k < c.n; k++) {
        check_piece(&c, &c.piece[k]);
        n_open += !c.piece[k].closed;
        n_points += c.piece[k].n;
    }
    assert_int_equal(n_open, open);
    assert_int_equal(c.n - n_open, closed);
    assert_int_equal(n_points, c.n_points);
    for (size_t i = 0; i < c.n_points; i++)
        assert_near(f(c.point[i].x, c.point[i].y), 0, 0, within);
    sm_contour_destroy(&c);
}

/* 2. Planes and rings */

static void planes_and_rings(void **state)
{
    const double step = 2.0 / (NY - 1), bend = step * step / 4; /* a chord of a parabola x^2 errs by that at most */
    (void)state;
    expect(plane, 1, 0, 1e-12);
    expect(nowhere, 0, 0, 0);
    expect(zero_along, 1, 0, 1e-12);
    expect(ring, 0, 1, bend + 1e-12);
    expect(quarter, 1, 0, bend + 1e-12);
    expect(two_rings, 0, 2, bend + 1e-12);
    expect(cut_ring, 4, 0, bend + 1e-12);
    expect(saddle, 2, 0, 1e-12); /* straight along every edge */
}

/* A plane is met where it should be: on every vertical line of the grid and on every horizontal one. */
static void each_edge_is_met_once(void **state)
{
    sm_contour c = trace(plane);
    size_t wanted = 0;
    (void)state;
    for (int i = 0; i < NX; i++)
        wanted += fabs(0.31 + 0.7 * (-1 + 2.0 * i / (NX - 1))) <= 1;
    for (int j = 0; j < NY; j++)
        wanted += fabs((-1 + 2.0 * j / (NY - 1) - 0.31) / 0.7) <= 1;
    assert_int_equal(c.n_points, wanted);
    sm_contour_destroy(&c);
}

/* 3. Crosswise cells */

/* One cell with two corners above and two below: which are joined. */
static void crosswise(void **state)
{
    static const double side[] = {0, 1};
    (void)state;
    for (int joined = 0; joined < 2; joined++) {
        const double height[] = {1, -1, -1, joined ? 2 : 0.5};
        sm_contour c;
        assert_int_equal(sm_contour_trace(height, side, 2, side, 2, &c), SM_OK);
        assert_int_equal(c.n, 2);
        for (size_t k = 0; k < 2; k++) {
            const sm_contour_point *a = &c.point[c.piece[k].first], *b = a + 1;
            const double x = a->x + b->x,
                         y = a->y + b->y; /* near 0 0 or 2 2 about what is above, else about what is below */
            assert_int_equal(c.piece[k].n, 2);
            assert_int_equal((x < 1) != (y < 1), joined);
        }
        sm_contour_destroy(&c);
    }
}

/* 4. Pictures */

static size_t times(const char *text, const char *words)
{
    size_t n = 0;
    for (const char *at = strstr(text, words); at; at = strstr(at + 1, words))
        n++;
    return n;
}

static void grid_of(const outcome *o, const char *first, const char *second, sm_sweep *s)
{
    sm_sweep_ask ask[2] = {{0}};
    sm_diag d = {0};
    assert_int_equal(sm_sweep_ask_read(first, &d, &ask[0]), SM_OK);
    assert_int_equal(sm_sweep_ask_read(second, &d, &ask[1]), SM_OK);
    assert_int_equal(sm_sweep_run(o->file, ask, 2, (sm_run_context){.trials = 4000, .seed = 3}, &d, s), SM_OK);
    sm_sweep_ask_destroy(&ask[0]);
    sm_sweep_ask_destroy(&ask[1]);
    sm_diag_destroy(&d);
}

/* The drawing has as many strokes as the line has pieces, and a sample of it in its legend; each tone is named there.
 */
static void check_picture(const outcome *o, const sm_sweep *s, size_t pieces, double width)
{
    const sm_findings f = {.result = {.c = sm_casefile_case(o->file), .assessment = &s->assessment}, .sweep = s};
    sm_svg svg;
    sm_text picture = {0};
    sm_svg_begin(&svg, "contour", width);
    sm_fig_contour.draw(&f, 0, &svg);
    sm_svg_write(&svg, true, &picture);
    assert_false(picture.failed);
    assert_int_equal(s->line.n, pieces);
    assert_int_equal(times(picture.s, "<path class=\"l-cross\""), pieces);
    assert_int_equal(times(picture.s, "<line class=\"l-cross\""), 1);
    assert_non_null(
        strstr(picture.s, pieces ? ">your line, 20 of 100</text>" : ">your line, 20 of 100 (not met here)</text>"));
    assert_null(strstr(picture.s, "nan"));
    sm_svg_destroy(&svg);
    sm_text_destroy(&picture);
}

static void pictures(void **state)
{
    outcome o = read_demo();
    sm_sweep s;
    (void)state;
    grid_of(&o, "left.ostium_gap=4.9:6.9:5", "blooming=0.2:0.8:3", &s);
    check_picture(&o, &s, 1, SM_PAGE_WIDTH);
    check_picture(&o, &s, 1, SM_HALF_WIDTH);
    sm_sweep_destroy(&s);
    grid_of(&o, "left.ostium_gap=4:4.4:3", "blooming=0.2:0.5:3", &s);
    check_picture(&o, &s, 0, SM_PAGE_WIDTH);
    sm_sweep_destroy(&s);
    outcome_destroy(&o);
}

/* A line that no row meets is met by the columns, and that is what is said. */
static void a_line_along_the_rows(void **state)
{
    outcome o = read_demo();
    sm_sweep s;
    sm_text words = {0};
    (void)state;
    grid_of(&o, "cuff_wave=0:0.2:3", "left.ostium_gap=5:7:3", &s);
    assert_int_equal(s.line.n, 1);
    assert_int_equal(s.line.n_points, 3);
    sm_sweep_line_words(&words, &s);
    assert_non_null(strstr(words.s, "along the left ostium gap: "));
    assert_non_null(strstr(words.s, " at 0.2 mm."));
    sm_text_destroy(&words);
    sm_sweep_destroy(&s);
    outcome_destroy(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(planes_and_rings), cmocka_unit_test(each_edge_is_met_once),
                                       cmocka_unit_test(crosswise), cmocka_unit_test(pictures),
                                       cmocka_unit_test(a_line_along_the_rows)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
