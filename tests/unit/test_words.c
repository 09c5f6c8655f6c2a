/* test_words.c - natural frequencies, numbers of 100, values and names in plain words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "report/blocks/words.h"

/* What a call adds to an empty text. Static: one string at a time is looked at. */
static const char *taken(sm_text *t)
{
    static char room[400];
    snprintf(room, sizeof room, "%s", t->s ? t->s : "");
    sm_text_destroy(t);
    return room;
}

static const char *frequency(int64_t k, int64_t n)
{
    sm_text t = {0};
    const sm_probability p = sm_probability_of(k, n);
    sm_words_frequency(&t, &p);
    return taken(&t);
}

static void test_frequency_in_hundreds(void **state)
{
    (void)state;
    assert_string_equal(frequency(252712, 1000000), "about 25 of 100");
    assert_string_equal(frequency(11237, 1000000), "about 1 of 100");
    assert_string_equal(frequency(987000, 1000000), "about 987 of 1,000");
}

static void test_frequency_of_rare(void **state)
{
    (void)state;
    assert_string_equal(frequency(4231, 1000000), "about 4 of 1,000");
    assert_string_equal(frequency(1500, 1000000), "about 15 of 10,000"); /* not 2 of 1,000 */
    assert_string_equal(frequency(15000, 1000000), "about 15 of 1,000");
    assert_string_equal(frequency(985000, 1000000), "about 985 of 1,000");
    assert_string_equal(frequency(15, 10000), "about 2 of 1,000"); /* the next digit is not known */
    assert_string_equal(frequency(9970, 1000000), "about 1 of 100");
    assert_string_equal(frequency(31, 1000000), "about 3 of 100,000");
    assert_string_equal(frequency(4, 10000), "between 1 and 11 of 10,000");
    assert_string_equal(frequency(2345, 100000000), "about 2 of 100,000");
    assert_string_equal(frequency(999577, 1000000), "about 9,996 of 10,000");
}

static void test_frequency_of_none_and_all(void **state)
{
    (void)state;
    assert_string_equal(frequency(0, 1234567), "fewer than 3 of 1,234,567");
    assert_string_equal(frequency(1234567, 1234567), "all but fewer than 3 of 1,234,567");
    assert_string_equal(frequency(0, 0), "an unknown number");
}

static void test_few_trials_give_a_range(void **state)
{
    (void)state;
    assert_string_equal(frequency(86, 300), "between 23 and 35 of 100");
    assert_string_equal(frequency(250, 1000), "about 25 of 100");
}

static const char *brief(int64_t k, int64_t n)
{
    sm_text t = {0};
    const sm_probability p = sm_probability_of(k, n);
    sm_words_frequency_short(&t, &p);
    return taken(&t);
}

static void test_short_forms(void **state)
{
    (void)state;
    assert_string_equal(brief(252712, 1000000), "25 of 100");
    assert_string_equal(brief(86, 300), "23 to 35 of 100");
    assert_string_equal(brief(1, 500000), "0 to 12 of 1,000,000");
    assert_string_equal(brief(0, 1000000000000), "<3 of 1,000,000,000,000");
    assert_string_equal(brief(50, 50), "all but <3 of 50");
}

static void test_singular(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_probability p = sm_probability_of(10000, 1000000);
    assert_true(sm_words_frequency(&t, &p));
    p = sm_probability_of(20000, 1000000);
    assert_false(sm_words_frequency(&t, &p));
    p = sm_probability_of(0, 1000000);
    assert_false(sm_words_frequency(&t, &p));
    sm_text_destroy(&t);
}

static void test_digits_that_tell_from_the_line(void **state)
{
    (void)state;
    sm_text t = {0};
    double denominator;
    sm_probability p = sm_probability_of(203700, 1000000);
    sm_words_frequency_beside(&t, &p, 0.2, &denominator);
    assert_string_equal(taken(&t), "about 204 of 1,000");
    assert_near(denominator, 1000, 0, 0);
    p = sm_probability_of(252712, 1000000);
    sm_words_frequency_beside(&t, &p, 0.2, &denominator);
    assert_string_equal(taken(&t), "about 25 of 100");
    /* No more digits than the run can know. */
    p = sm_probability_of(2003, 10000);
    sm_words_frequency_beside(&t, &p, 0.2, &denominator);
    assert_string_equal(taken(&t), "about 20 of 100");
}

static void test_line(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_words_line(&t, 0.2, 0);
    assert_string_equal(taken(&t), "20 of 100");
    sm_words_line(&t, 0.125, 0);
    assert_string_equal(taken(&t), "125 of 1,000");
    sm_words_line(&t, 0.2, 1000);
    assert_string_equal(taken(&t), "200 of 1,000");
}

static void test_digits_follow_the_error(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_probability p = sm_probability_of(252712, 1000000);
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "25.3");
    sm_words_own_error(&t, &p);
    assert_string_equal(taken(&t), "+-0.09");
    p = (sm_probability){.k = 1, .n = 2, .probability = 0.284081, .low = 0.28379, .high = 0.28437};
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "28.4"); /* though the run knows more */
    sm_words_own_error(&t, &p);
    assert_string_equal(taken(&t), "+-0.03");
    p = (sm_probability){.k = 1, .n = 2, .probability = 0.00834, .low = 0.00833, .high = 0.00836};
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "0.83");
    p = (sm_probability){.k = 1, .n = 2, .probability = 0.99965, .low = 0.999649, .high = 0.999651};
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "99.965");
    p = (sm_probability){.k = 1, .n = 2, .probability = 4.5e-5, .low = 4.48e-5, .high = 4.52e-5};
    sm_words_own_error(&t, &p);
    assert_string_equal(taken(&t), "+-0.00002");
    static const struct {
        double error;
        const char *told;
    } errors[] = {{0.0976, "+-0.1"}, {0.03, "+-0.03"}, {12.4, "+-12"}, {3e-8, "+-0.00000003"}, {0, "+-0"}, {1, "+-1"}};
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++) {
        sm_words_error(&t, errors[i].error);
        assert_string_equal(taken(&t), errors[i].told);
    }
    p = sm_probability_of(2527, 10000);
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "25");
    p = sm_probability_of(0, 1000);
    sm_words_of_100(&t, &p);
    assert_string_equal(taken(&t), "<0.3");
}

static void test_numbers(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_words_count(&t, 1234567890123);
    assert_string_equal(taken(&t), "1,234,567,890,123");
    sm_words_count(&t, 7);
    assert_string_equal(taken(&t), "7");
    sm_words_mm(&t, -0.04);
    assert_string_equal(taken(&t), "0.0");
    sm_words_mm(&t, -2.385);
    assert_string_equal(taken(&t), "-2.4");
    sm_words_mm(&t, NAN);
    assert_string_equal(taken(&t), "?");
    sm_words_number(&t, 0.565685424949238);
    assert_string_equal(taken(&t), "0.5657");
    sm_words_number(&t, 22.35);
    assert_string_equal(taken(&t), "22.35");
}

static const char *value(const char *json, const char *unit)
{
    sm_text t = {0};
    sm_datum v;
    assert_true(sm_datum_read(json, &v));
    sm_words_value(&t, &v, unit);
    sm_datum_destroy(&v);
    return taken(&t);
}

/* Upward: a reading of 5.9 would not be enough where 5.945 is needed. */
static void test_at_least(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_words_mm_at_least(&t, 5.945);
    assert_string_equal(taken(&t), "6.0");
    sm_words_mm_at_least(&t, 6.0);
    assert_string_equal(taken(&t), "6.0");
    sm_words_mm_at_least(&t, -0.04);
    assert_string_equal(taken(&t), "0.0");
    assert_near(sm_mm_at_least(8.964), 9.0, 1e-12, 0);
}

static void test_values(void **state)
{
    (void)state;
    assert_string_equal(value("{\"triangular\": {\"min\": 0.3, \"mode\": 0.8, \"max\": 1.5}}", "mm"),
                        "0.3 to 1.5, most likely 0.8 mm");
    assert_string_equal(value("{\"normal\": {\"sd\": 0.3, \"mean\": 22.3}}", "mm"), "22.3, SD 0.3 mm");
    assert_string_equal(value("{\"lognormal\": {\"median\": 0.7, \"gsd\": 1.35}}", "mm"),
                        "median 0.7 mm, times or divided by 1.35");
    assert_string_equal(value("{\"uniform\": {\"min\": 0.2, \"max\": 0.8}}", "fraction"), "0.2 to 0.8 (fraction)");
    assert_string_equal(value("{\"beta\": {\"a\": 2, \"b\": 5, \"min\": 0, \"max\": 3}}", "mm"),
                        "0 to 3 mm (beta, a 2, b 5)");
    assert_string_equal(value("\"energy_integrating\"", ""), "energy integrating");
    assert_string_equal(value("\"unknown\"", "degrees"), "unknown");
    assert_string_equal(value("[0, 120, 240]", "degrees"), "0, 120, 240 degrees");
    assert_string_equal(value("[[0, 1], [1, 1]]", "fraction of height, relative diameter"), "straight");
    assert_string_equal(value("[[0, 1], [0.4, 0.9], [1, 1.1]]", "relative"), "[0, 1], [0.4, 0.9], [1, 1.1] relative");
    assert_string_equal(value("{\"readings_mm\": {\"A\": [0.9, 1]}, \"sd_from_readings\": true}", "mm"),
                        "readings mm: A: 0.9, 1, sd from readings: true");
    assert_string_equal(
        value("{\"cross_check\": {\"modality\": \"echo\"}, \"normal\": {\"mean\": 22.3, \"sd\": 0.3}}", "mm"),
        "22.3, SD 0.3 mm"); /* the look is told under keys of its own */
    assert_string_equal(value("0.2", "probability"), "20 of 100");
    assert_string_equal(value("-1", "edges"), "-1 edge");
    assert_string_equal(value("0", "edges"), "0 edges");
    assert_string_equal(value("0.565685", "mm"), "0.57 mm");
    assert_string_equal(value("0.125", "mm"), "0.125 mm");
    assert_string_equal(value("false", ""), "no");
}

static void test_names(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_words_source(&t, "left.ostium_gap");
    assert_string_equal(taken(&t), "the left gap beside the ostium");
    sm_words_source(&t, "vein_graft.stj_gap.cross_check");
    assert_string_equal(taken(&t), "the vein graft gap at the sinotubular junction, second look");
    sm_words_source(&t, "base_plane");
    assert_string_equal(taken(&t), "where the base plane was placed");
    sm_words_source(&t, "vein_graft.leaflet_height.cross_check");
    assert_string_equal(taken(&t), "the vein graft height of the leaflet top, second look");
    sm_words_source(&t, "inner_diameter.cross_check"); /* a dot of its own and no side */
    assert_string_equal(taken(&t), "the inner diameter of the ring, second look");
    assert_string_equal(sm_words_modality(SM_FLUOROSCOPY), "fluoroscopy");
    assert_string_equal(sm_words_modality(SM_ECHO), "echo");
    assert_string_equal(sm_words_modality(SM_BENCH), "bench value");
    assert_string_equal(sm_words_modality(SM_CT), "another CT scan");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_frequency_in_hundreds),
                                       cmocka_unit_test(test_frequency_of_rare),
                                       cmocka_unit_test(test_frequency_of_none_and_all),
                                       cmocka_unit_test(test_few_trials_give_a_range),
                                       cmocka_unit_test(test_short_forms),
                                       cmocka_unit_test(test_singular),
                                       cmocka_unit_test(test_digits_that_tell_from_the_line),
                                       cmocka_unit_test(test_line),
                                       cmocka_unit_test(test_digits_follow_the_error),
                                       cmocka_unit_test(test_numbers),
                                       cmocka_unit_test(test_at_least),
                                       cmocka_unit_test(test_values),
                                       cmocka_unit_test(test_names)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
