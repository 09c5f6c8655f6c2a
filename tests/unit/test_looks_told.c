/* test_looks_told.c - what is said and drawn of second looks.
 *
 * Contents: 1. a look by itself  2. warnings  3. what to measure again  4. the picture of a gap
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "report_help.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "report/blocks/write.h"
#include "report/json/recheck_json.h"
#include "report/text/recheck_text.h"

#define LEFT "/coronaries/left/"

/* 1. A look by itself */

/* The share of (3.6) in the range, over a grid of equally probable errors, scales and views. */
static double share_within(const sm_look *l, const double range[2])
{
    enum { N = 41 };
    int within = 0;
    for (int i = 0; i < N * N * N; i++) {
        double z[3];
        for (int d = 0, rest = i; d < 3; d++, rest /= N)
            z[d] = gsl_cdf_ugaussian_Pinv((rest % N + 0.5) / N);
        const double X = sm_look_alone(l, l->error_sd * z[0], cos(l->view_sd * z[1]), 1 + l->magnification_sd * z[2]);
        within += X >= range[0] && X <= range[1];
    }
    return (double)within / (N * N * N);
}

/* Ends: written out by hand from the formula; the share: by the grid. */
static void a_look_by_itself(void **state)
{
    (void)state;
    const sm_look direct = {.reading = 12.3, .error_sd = 0.7};
    const sm_look look = {
        .reading = 6.6, .error_sd = 1.3, .magnification_sd = 0.04, .view_sd = 9.5 * M_PI / 180, .half_circle = 11};
    double range[2];
    sm_look_range(&direct, range);
    assert_near(range[0], 12.3 - 1.372, 1e-12, 0);
    assert_near(range[1], 12.3 + 1.372, 1e-12, 0);
    sm_look_range(&look, range);
    assert_near(range[0], 4.157, 0.001, 0);
    assert_near(range[1], 9.527, 0.001, 0);
    assert_near(share_within(&look, range), 0.95, 0.01, 0);
}

/* 2. Warnings */

static const char right[] = "{\"azimuth_deg\": 160, \"circle_mm\": 22.4, \"ostium_height\": 12.5, \"ostium_gap\": 7.2, "
                            "\"stj_height\": 19, \"stj_gap\": 4.2, \"leaflet_height\": 14.1}";

/* How many warnings have these words, and "differ the same way" at all. */
static int warned(const sm_override *looks, size_t n, int64_t trials, const char *words, int *same_way)
{
    sm_override all[4] = {{"/coronaries/right", right}};
    sm_assessment a;
    int found = 0;
    for (size_t i = 0; i < n; i++)
        all[i + 1] = looks[i];
    outcome o = read_with(smallest, NULL, all, n + 1);
    if (!o.c)
        fprintf(stderr, "%s\n", o.messages.s);
    assert_non_null(o.c);
    assert_int_equal(sm_assess(o.c, (sm_run_context){.trials = trials, .seed = 5}, &a), SM_OK);
    assert_int_equal(a.n_looks, n);
    *same_way = 0;
    for (size_t i = 0; i < a.warnings.n; i++) {
        found += strstr(a.warnings.item[i].words, words) != NULL;
        *same_way += strstr(a.warnings.item[i].words, "differ the same way") != NULL;
    }
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
    return found;
}

#define GAP(first, second)                                                                                             \
    "{\"readings_mm\": {\"A\": [" first                                                                                \
    "]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [" second "]}}}"
#define HEIGHT(first, second)                                                                                          \
    "{\"readings_mm\": {\"A\": [" first                                                                                \
    "]}, \"cross_check\": {\"modality\": \"ct\", \"readings_mm\": {\"A\": [" second "]}, \"reader_sd_mm\": 1}}"

/* Standard deviations here are about 2 mm: reader 1.6, reading 0.6, plane and centre. */
static void looks_that_differ_the_same_way(void **state)
{
    (void)state;
    static const struct {
        sm_override look[3];
        size_t n;
        int same_way;
        const char *words;
    } row[] = {
        {{{LEFT "ostium_gap", GAP("5.7", "9.9")}, {"/coronaries/right/stj_gap", GAP("4.2", "8.3")}},
         2,
         1,
         "left gap beside the ostium; right gap at the STJ: both differ the same way: plane, centre or calibration?"},
        {{{LEFT "ostium_gap", GAP("5.7", "2.1")}, {LEFT "stj_gap", GAP("2.7", "-1.3")}},
         2,
         1,
         "is by more than one standard deviation less than"},
        {{{LEFT "ostium_gap", GAP("5.7", "9.9")}, {"/coronaries/right/stj_gap", GAP("4.2", "0.1")}}, 2, 0, "same way"},
        {{{LEFT "ostium_gap", GAP("5.7", "9.9")}, {"/coronaries/right/stj_gap", GAP("4.2", "4.9")}}, 2, 0, "same way"},
        {{{LEFT "ostium_gap", GAP("5.7", "9.9")}, {LEFT "leaflet_height", HEIGHT("14.8", "19")}}, 2, 0, "same way"},
        {{{LEFT "leaflet_height", HEIGHT("14.8", "18.9")},
          {"/coronaries/right/leaflet_height", HEIGHT("14.1", "18.2")}},
         2,
         1,
         "left leaflet height; right leaflet height: both differ"},
        {{{LEFT "ostium_gap", GAP("5.7", "9.9")},
          {LEFT "stj_gap", GAP("2.7", "6.9")},
          {"/coronaries/right/ostium_gap", GAP("7.2", "11.6")}},
         3,
         1,
         ": all differ the same way"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        int same_way;
        assert_int_equal(warned(row[i].look, row[i].n, 4096, row[i].words, &same_way), row[i].same_way);
        assert_int_equal(same_way, row[i].same_way);
    }
}

static void few_effective_trials_are_warned_of(void **state)
{
    (void)state;
    const sm_override look = {LEFT "ostium_gap", GAP("5.7", "5.9")};
    int same_way;
    assert_int_equal(warned(&look, 1, 1024, "so unevenly", &same_way), 1);
    assert_int_equal(warned(&look, 1, 65536, "so unevenly", &same_way), 0);
    assert_int_equal(warned(NULL, 0, 1024, "so unevenly", &same_way), 0);
}

/* 3. What to measure again */

static report looked, plain;

static int set_up(void **state)
{
    (void)state;
    char *text = replaced(smallest, "\"ostium_gap\": 5.7", "\"ostium_gap\": " GAP("5.7", "5.9"));
    report_make(&looked, text);
    report_make(&plain, smallest);
    free(text);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    report_destroy(&looked);
    report_destroy(&plain);
    return 0;
}

static char *json_of(const report *r)
{
    const sm_recheck_part p = {.c = r->o.c, .recheck = &r->recheck};
    const sm_result_part part = sm_recheck_json_part(&p);
    sm_text t = {0};
    sm_result_json_write(&r->f.result, &part, 1, &t);
    return sm_text_take(&t);
}

static char *text_of(const report *r)
{
    static const sm_style wide = {.width = 400, .plain = true};
    sm_blocks b = {0};
    sm_text t = {0};
    sm_recheck_tell(&b, &r->f.result, &r->recheck);
    sm_write_text(&t, &wide, &b);
    return sm_text_take(&t);
}

static void shares_alone_where_looks_weigh(void **state)
{
    (void)state;
    char *with = json_of(&looked), *without = json_of(&plain);
    assert_contains(with, "\"total\": null, \"total_reason\": \"second looks tie");
    assert_contains(with, "\"outputs\": {}");
    assert_null(strstr(without, "total_reason"));
    assert_null(strstr(without, "\"total\": null"));
    free(with);
    free(without);
    with = text_of(&looked);
    without = text_of(&plain);
    assert_contains(with, "There is no share in all: a second look ties");
    assert_null(strstr(with, "takes part in"));
    assert_null(strstr(with, "with all that it joins"));
    assert_contains(without, "with all that it joins");
    assert_null(strstr(without, "There is no share in all"));
    free(with);
    free(without);
}

/* A look is known already: what is left to know stands once, under the gap. */
static void a_look_is_no_re_check(void **state)
{
    (void)state;
    char *with = text_of(&looked), *without = text_of(&plain);
    assert_null(strstr(with, "second look,"));
    assert_null(strstr(with, "second look."));
    assert_null(strstr(with, "Repeat the other look"));
    assert_contains(with, "What was looked at twice stands once here");
    assert_null(strstr(without, "What was looked at twice"));
    free(with);
    free(without);
}

/* 4. The picture of a gap */

static char *drawn(const report *r, bool data)
{
    sm_text t = {0};
    sm_svg s = {0};
    if (data)
        sm_fig_room.data(&r->f, 0, &t);
    else {
        sm_svg_begin(&s, "x", SM_PAGE_WIDTH);
        sm_fig_room.draw(&r->f, 0, &s);
        sm_svg_write(&s, true, &t);
        sm_svg_destroy(&s);
    }
    return sm_text_take(&t);
}

static void both_readings_stand_on_the_ruler(void **state)
{
    (void)state;
    char *with = drawn(&looked, false), *without = drawn(&plain, false);
    assert_contains(with, ">CT reads 5.7<");
    assert_contains(with, ">echo 5.9<");
    assert_contains(with, "CT reads the gap as 5.7 mm, echo as 5.9 mm, which by itself puts it between ");
    assert_contains(without, ">read 5.7<");
    assert_null(strstr(without, "echo"));
    free(with);
    free(without);
    with = drawn(&looked, true);
    without = drawn(&plain, true);
    assert_contains(with, ",must_read_mm,look_mm,look_low_mm,look_high_mm\n");
    assert_contains(with, ",5.7,,5.9,");
    assert_null(strstr(without, "look"));
    free(with);
    free(without);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_look_by_itself),
                                       cmocka_unit_test(looks_that_differ_the_same_way),
                                       cmocka_unit_test(few_effective_trials_are_warned_of),
                                       cmocka_unit_test(shares_alone_where_looks_weigh),
                                       cmocka_unit_test(a_look_is_no_re_check),
                                       cmocka_unit_test(both_readings_stand_on_the_ruler)};
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
