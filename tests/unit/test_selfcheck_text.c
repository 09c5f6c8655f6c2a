/* test_selfcheck_text.c - the self-check as a table, as sentences, as JSON; a failure cannot be overlooked.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "report/json/selfcheck_json.h"
#include "report/text/selfcheck_text.h"

static const sm_style table_style = {.width = 80}, plain_style = {.width = 80, .plain = true};

static void fill(sm_checks *t, double got)
{
    sm_checks_group(t, "Sum of four normals", "JCGM 101:2008, 9.2.2", SM_SEEN_IN_EXCERPT);
    sm_checks_exact(t, "standard deviation", 2, 2.0011, 0.007);
    sm_checks_exact(t, "a name of thirty-two characters,", -3.919927969, got, 0.027);
    sm_checks_group(t, "Another with the same source", "JCGM 101:2008, 9.2.2", SM_SEEN_IN_EXCERPT);
    sm_checks_exact(t, "word", 1713891541, 1713891541, 0);
    sm_checks_group(t, "From memory", "JCGM 101:2008, 9.2.2", SM_SEEN_IN_MEMORY);
    sm_checks_exact(t, "probability", 3.19578843e-5, 3.1e-5, 2.8e-5);
}

static void expect_width(const char *s)
{
    for (; *s; s += strcspn(s, "\n") + 1)
        assert_true(strcspn(s, "\n") <= 80);
}

static void a_table_has_every_column_and_its_sources(void **state)
{
    (void)state;
    sm_checks t = {0};
    sm_text out = {0};
    fill(&t, -3.92);
    sm_selfcheck_text(&out, &table_style, &t, 1, 1000000);
    expect_width(out.s);
    assert_contains(out.s, "self-check: 4 checks, seed 1, 1000000 trials each");
    assert_contains(out.s, "Sum of four normals [1]\n");
    assert_contains(out.s, "Another with the same source [1]\n");
    assert_contains(out.s, "From memory [2]\n");
    assert_contains(out.s, "  word                                1713891541    1713891541         0  pass\n");
    assert_contains(out.s, "  a name of thirty-two characters,     -3.919928         -3.92     0.027  pass\n");
    assert_contains(out.s, "[1] JCGM 101:2008, 9.2.2: source seen in excerpt, value recomputed\n[2] ");
    assert_contains(out.s, "All 4 checks pass");
    assert_null(strstr(out.s, "FAIL"));
    sm_text_destroy(&out);
    sm_checks_destroy(&t);
}

static void a_failure_is_told_in_every_form(void **state)
{
    (void)state;
    const double wrong[] = {-3.8, NAN, HUGE_VAL};
    for (int i = 0; i < 3; i++) {
        sm_checks t = {0};
        sm_text table = {0}, plain = {0}, quiet = {0}, json = {0};
        fill(&t, wrong[i]);
        sm_selfcheck_text(&table, &table_style, &t, 1, 1000000);
        sm_selfcheck_text(&plain, &plain_style, &t, 1, 1000000);
        sm_selfcheck_text_quiet(&quiet, &plain_style, &t);
        sm_selfcheck_json_write(&t, 1, 1000000, &json);
        assert_contains(table.s, "  FAIL\n");
        assert_contains(table.s, "1 of 4 checks FAIL");
        assert_contains(plain.s, ": FAIL.");
        assert_contains(quiet.s, "characters,: expected -3.919928");
        assert_contains(quiet.s, "1 of 4 checks FAIL");
        assert_contains(json.s, "\"pass\": false,\n  \"failures\": 1,");
        assert_true(isfinite(wrong[i]) == !strstr(json.s, "\"got\": null"));
        expect_width(plain.s);
        sm_text_destroy(&table);
        sm_text_destroy(&plain);
        sm_text_destroy(&quiet);
        sm_text_destroy(&json);
        sm_checks_destroy(&t);
    }
}

static void quiet_success_is_one_sentence(void **state)
{
    (void)state;
    sm_checks t = {0};
    sm_text out = {0};
    fill(&t, -3.92);
    sm_selfcheck_text_quiet(&out, &table_style, &t);
    assert_memory_equal(out.s, "All 4 checks pass", 17);
    sm_text_destroy(&out);
    sm_checks_destroy(&t);
}

static void json_has_every_column(void **state)
{
    (void)state;
    sm_checks t = {0};
    sm_text out = {0};
    fill(&t, -3.92);
    sm_selfcheck_json_write(&t, 7, 1000000, &out);
    assert_contains(out.s, "\"format\": \"slimmargin-selfcheck-1\"");
    assert_contains(out.s, "\"trials\": 1000000,\n  \"seed\": 7,\n  \"pass\": true,\n  \"failures\": 0,");
    assert_contains(out.s, "\"name\": \"standard deviation\"");
    assert_contains(out.s, "\"source\": \"JCGM 101:2008, 9.2.2\"");
    assert_contains(out.s, "\"expected\": -3.919927969");
    sm_text_destroy(&out);
    sm_checks_destroy(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_table_has_every_column_and_its_sources),
        cmocka_unit_test(a_failure_is_told_in_every_form),
        cmocka_unit_test(quiet_success_is_one_sentence),
        cmocka_unit_test(json_has_every_column),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
