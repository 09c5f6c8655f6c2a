/* test_api.c - the public header: what it refuses, what a stopped run hands back.
 *
 * Contents: 1. cases  2. runs
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <slimmargin.h>

/* 1. Cases */

static void a_refused_case_says_why_and_does_not_run(void **state)
{
    (void)state;
    slimmargin_case *c;
    slimmargin_result *r;
    assert_int_equal(slimmargin_case_read("{}", 2, NULL, 0, &c), SLIMMARGIN_REFUSED);
    assert_contains(slimmargin_case_messages(c), "coronaries");
    assert_int_equal(slimmargin_assess(c, NULL, NULL, NULL, &r), SLIMMARGIN_REFUSED);
    assert_null(r);
    slimmargin_case_free(c);
    slimmargin_case_free(NULL);
}

/* 2. Runs */

static slimmargin_case *small_case(void)
{
    slimmargin_case *c;
    assert_int_equal(slimmargin_case_read(smallest, strlen(smallest), NULL, 0, &c), SLIMMARGIN_OK);
    return c;
}

static void expect_refused(const slimmargin_case *c, slimmargin_options o, const slimmargin_executor *e)
{
    slimmargin_result *r;
    assert_int_equal(slimmargin_assess(c, &o, e, NULL, &r), SLIMMARGIN_REFUSED);
    assert_null(r);
}

/* What would make no task, or wait for ever. */
static void numbers_out_of_range_are_refused(void **state)
{
    (void)state;
    slimmargin_case *c = small_case();
    const slimmargin_executor nobody = {.width = 0};
    expect_refused(c, (slimmargin_options){.trials = 0, .cap = 10}, NULL);
    expect_refused(c, (slimmargin_options){.trials = -3, .cap = 10}, NULL);
    expect_refused(c, (slimmargin_options){.trials = 1000000000001, .cap = 10}, NULL);
    expect_refused(c, (slimmargin_options){.trials = 100, .cap = 99, .until_resolved = true}, NULL);
    expect_refused(c, (slimmargin_options){.trials = 100, .cap = 1000000000001, .until_resolved = true}, NULL);
    expect_refused(c, (slimmargin_options){.trials = 100}, &nobody);
    slimmargin_case_free(c);
}

static bool stop(void *self, const slimmargin_progress *p)
{
    *(int64_t *)self = p->done;
    return false;
}

static void a_run_can_be_stopped(void **state)
{
    (void)state;
    slimmargin_case *c = small_case();
    slimmargin_result *r;
    int64_t done = 0;
    const slimmargin_options o = {.trials = 200000, .seed = 3};
    const slimmargin_watch watch = {&done, stop};
    assert_int_equal(slimmargin_assess(c, &o, NULL, &watch, &r), SLIMMARGIN_INTERRUPTED);
    char *json = slimmargin_result_json(r), *text = slimmargin_result_text(r, false, true);
    assert_true(done > 0 && done < 200000);
    assert_contains(json, "\"complete\": false");
    assert_contains(text, "limit");
    free(json);
    free(text);
    slimmargin_result_free(r);
    slimmargin_case_free(c);
}

static void expect_no_report(const slimmargin_case *c, slimmargin_options o)
{
    char *html = "", *json = "";
    assert_int_equal(slimmargin_report(c, &o, NULL, NULL, &html, &json), SLIMMARGIN_REFUSED);
    assert_null(html);
    assert_null(json);
}

static void a_report_is_a_page_and_a_result(void **state)
{
    (void)state;
    slimmargin_case *c = small_case();
    char *html, *json, *alone;
    const slimmargin_options o = {.trials = 40000, .seed = 3};
    assert_int_equal(slimmargin_report(c, &o, NULL, NULL, &html, &json), SLIMMARGIN_OK);
    assert_int_equal(strncmp(html, "<!DOCTYPE html>", 15), 0);
    assert_contains(html, "</html>");
    assert_contains(json, "\"settings\"");
    assert_int_equal(slimmargin_report(c, &o, NULL, NULL, NULL, &alone), SLIMMARGIN_OK);
    assert_string_equal(json, alone);
    expect_no_report(c, (slimmargin_options){.trials = 0});
    expect_no_report(c, (slimmargin_options){.trials = 10, .cap = 100, .until_resolved = true});
    free(html);
    free(json);
    free(alone);
    slimmargin_case_free(c);
}

static void a_stopped_report_tells_what_is_known(void **state)
{
    (void)state;
    slimmargin_case *c = small_case();
    char *html, *json;
    int64_t done = 0;
    const slimmargin_options o = {.trials = 200000, .seed = 3};
    const slimmargin_watch watch = {&done, stop};
    assert_int_equal(slimmargin_report(c, &o, NULL, &watch, &html, &json), SLIMMARGIN_INTERRUPTED);
    assert_true(done > 0 && done < 200000);
    assert_contains(json, "\"complete\": false");
    assert_contains(html, "Stopped before the end");
    free(html);
    free(json);
    slimmargin_case_free(c);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_refused_case_says_why_and_does_not_run),
        cmocka_unit_test(numbers_out_of_range_are_refused),
        cmocka_unit_test(a_run_can_be_stopped),
        cmocka_unit_test(a_report_is_a_page_and_a_result),
        cmocka_unit_test(a_stopped_report_tells_what_is_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
