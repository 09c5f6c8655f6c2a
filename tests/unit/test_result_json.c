/* test_result_json.c - the JSON writer, and the parts of a result.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <cjson/cJSON.h>

#include "report/json/result_json.h"

static void test_writer_layout(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_json w = {.out = &t};
    sm_json_open(&w, NULL, SM_JSON_LINES);
    sm_json_string(&w, "a", "b");
    sm_json_open(&w, "empty", SM_JSON_LINES);
    sm_json_close(&w);
    sm_json_open_list(&w, "list", SM_JSON_LINE);
    sm_json_number(&w, NULL, 2.385);
    sm_json_null(&w, NULL);
    sm_json_close(&w);
    sm_json_pair(&w, "pair", 1, NAN);
    sm_json_truth(&w, "yes", true);
    sm_json_natural(&w, "seed", UINT64_MAX);
    sm_json_count(&w, "count", -7);
    sm_json_raw(&w, "raw", "{\"x\": 1}");
    sm_json_close(&w);
    assert_string_equal(t.s,
                        "{\n  \"a\": \"b\",\n  \"empty\": {},\n  \"list\": [2.385, null],\n  \"pair\": [1, null],\n"
                        "  \"yes\": true,\n  \"seed\": 18446744073709551615,\n  \"count\": -7,\n"
                        "  \"raw\": {\"x\": 1}\n}\n");
    sm_text_destroy(&t);
}

static void expect_escaped(const char *s, const char *wanted)
{
    sm_text t = {0};
    sm_json w = {.out = &t};
    sm_json_string(&w, NULL, s);
    assert_string_equal(t.s, wanted);
    sm_text_destroy(&t);
}

static void test_strings_are_escaped(void **state)
{
    (void)state;
    expect_escaped("a\"b\\c\n\t\x01\x7f", "\"a\\\"b\\\\c\\n\\t\\u0001\\u007f\"");
    expect_escaped("\xc3\xbc \xe5\xa4\xa7 \xf0\x9f\xab\x80", "\"\xc3\xbc \xe5\xa4\xa7 \xf0\x9f\xab\x80\"");
    /* a stray byte, an overlong form, a surrogate, a cut sequence */
    expect_escaped("\xff", "\"\\\\xff\"");
    expect_escaped("\xc0\xaf", "\"\\\\xc0\\\\xaf\"");
    expect_escaped("a\xc2\x9b\xe2\x80\xaeg", "\"a\\u009b\\u202eg\"");
    expect_escaped("\xed\xa0\x80", "\"\\\\xed\\\\xa0\\\\x80\"");
    expect_escaped("\xe5\xa4", "\"\\\\xe5\\\\xa4\"");
    expect_escaped(NULL, "null");
}

static void test_too_deep_fails(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_json w = {.out = &t};
    for (int i = 0; i <= SM_JSON_DEPTH; i++)
        sm_json_open_list(&w, NULL, SM_JSON_LINE);
    assert_true(t.failed);
    sm_text_destroy(&t);
    w = (sm_json){.out = &t};
    sm_json_close(&w);
    assert_true(t.failed);
    sm_text_destroy(&t);
}

/* A result of one side, made by hand, with a part that another command would add. */
static void add_side(const void *self, size_t k, sm_json *w)
{
    sm_json_count(w, self, (int64_t)k);
}

static void add_whole(const void *self, sm_json *w)
{
    (void)self;
    sm_result_json_estimate(w, "extra", 0.5, 0.01);
}

static cJSON *write_made(sm_assessment *a)
{
    static sm_coronary coronary[] = {{.name = "left", .has_ostium = true}};
    static const sm_case c = {.name = "made", .n_coronaries = 1, .coronary = coronary};
    const sm_assumption assumption = {.path = (char[]){"/x"},
                                      .value = {.kind = SM_DATUM_NUMBER, .number = 1, .json = "1", .plain = "1"},
                                      .unit = (char[]){"mm"},
                                      .words = (char[]){"x"},
                                      .reason = (char[]){""},
                                      .source = (char[]){"s"},
                                      .grade = SM_JUDGEMENT};
    const sm_result_part part = {"own", add_side, add_whole};
    sm_diag read = {0};
    sm_text t = {0};
    sm_diag_add(&read, SM_WARNING, (sm_place){"a file", 3, 4, "/note"}, "looks like a date");
    const sm_result r = {&c, "00", NULL, &assumption, 1, NULL, 0, &read, NULL, a};
    sm_result_json_write(&r, &part, 1, &t);
    assert_false(t.failed);
    cJSON *json = cJSON_Parse(t.s);
    assert_non_null(json);
    sm_text_destroy(&t);
    sm_diag_destroy(&read);
    return json;
}

static const cJSON *at(const cJSON *json, const char *path)
{
    char room[200];
    snprintf(room, sizeof room, "%s", path);
    for (char *key = strtok(room, "/"); key; key = strtok(NULL, "/")) {
        json = cJSON_GetObjectItemCaseSensitive(json, key);
        if (!json)
            fprintf(stderr, "no %s\n", path);
        assert_non_null(json);
    }
    return json;
}

static void test_parts_of_a_result(void **state)
{
    (void)state;
    sm_side_result side = {.crossing.event = sm_probability_of(2385, 10000)};
    side.output[SM_REACH] = (sm_continuous){.mean = -3.8, .shortest95 = {-6, -1.25}};
    sm_assessment a = {.trials = 10000, .seed = 3, .complete = false, .n_sides = 1, .side = &side};
    a.patient.event = sm_probability_of(2385, 10000);
    a.decision = (sm_decision){.action_line = 0.2, .call = SM_CALL_ABOVE, .low = 0.23, .high = 0.25};
    cJSON *json = write_made(&a);
    assert_near(at(json, "patient/event/probability")->valuedouble, 0.2385, 0, 0);
    assert_near(at(json, "coronaries/left/reach_mm/shortest95")->child->next->valuedouble, -1.25, 0, 0);
    assert_true(cJSON_IsNull(at(json, "patient/event_without_blooming_correction")));
    assert_true(cJSON_IsNull(at(json, "decision/call"))); /* interrupted: what it hangs on is not known */
    assert_true(cJSON_IsNull(at(json, "decision/settings")));
    assert_string_equal(at(json, "decision/rule")->valuestring, "wilson");
    assert_true(cJSON_IsNull(at(json, "decision/reason")));
    assert_true(cJSON_IsFalse(at(json, "complete")));
    assert_near(at(json, "coronaries/left/own")->valuedouble, 0, 0, 0);
    assert_near(at(json, "extra/value")->valuedouble, 0.5, 0, 0);
    assert_string_equal(at(json, "warnings")->child->valuestring, "/note: looks like a date");
    assert_string_equal(at(at(json, "assumptions")->child, "grade")->valuestring, "judgement");
    assert_null(cJSON_GetObjectItemCaseSensitive(at(json, "coronaries/left"), "cross_check"));
    cJSON_Delete(json);
}

static void test_without_a_line_nothing_is_called(void **state)
{
    (void)state;
    sm_side_result side = {0};
    sm_assessment a = {.trials = 1, .complete = true, .n_sides = 1, .side = &side};
    cJSON *json = write_made(&a);
    assert_true(cJSON_IsNull(at(json, "decision/call")));
    assert_true(cJSON_IsNull(at(json, "decision/action_line")));
    cJSON_Delete(json);
}

static void test_looks(void **state)
{
    (void)state;
    sm_side_result side = {0};
    sm_assessment a = {
        .trials = 8, .complete = true, .n_sides = 1, .side = &side, .n_looks = 2, .effective_trials = 5.5};
    a.look[0] = (sm_look_result){.at = SM_LOOKED_STJ_GAP, .side = 0};
    a.look[0].state[SM_BOTH_RIGHT] = sm_probability_of(5, 8);
    a.look[0].state[SM_LOOK_OFF] = sm_probability_of(2, 8);
    a.look[0].state[SM_FIRST_OFF] = sm_probability_of(1, 8);
    a.look[0].event_first_only = sm_probability_of(3, 8);
    a.look[0].event_look_only = sm_probability_of(7, 8);
    a.look[1] = (sm_look_result){.at = SM_LOOKED_THICKNESS, .side = SM_SHARED};
    cJSON *json = write_made(&a);
    const cJSON *looks = at(json, "looks"), *of_side = cJSON_GetArrayItem(looks, 0);
    assert_int_equal(cJSON_GetArraySize(looks), 2);
    assert_near(at(json, "effective_trials")->valuedouble, 5.5, 0, 0);
    assert_string_equal(at(of_side, "of")->valuestring, "left.stj_gap");
    assert_near(at(of_side, "both_right")->valuedouble, 0.625, 0, 0);
    assert_near(at(of_side, "look_off")->valuedouble, 0.25, 0, 0);
    assert_near(at(of_side, "first_off")->valuedouble, 0.125, 0, 0);
    assert_near(at(of_side, "event_first_only/probability")->valuedouble, 0.375, 0, 0);
    assert_near(at(of_side, "event_look_only/probability")->valuedouble, 0.875, 0, 0);
    assert_string_equal(at(cJSON_GetArrayItem(looks, 1), "of")->valuestring, "leaflet_thickness_mm");
    assert_null(cJSON_GetObjectItemCaseSensitive(at(json, "coronaries/left"), "cross_check"));
    cJSON_Delete(json);
    a.n_looks = 0;
    json = write_made(&a);
    assert_null(cJSON_GetObjectItemCaseSensitive(json, "looks"));
    assert_null(cJSON_GetObjectItemCaseSensitive(json, "effective_trials"));
    cJSON_Delete(json);
}

static void test_a_result_without_an_assessment(void **state)
{
    (void)state;
    cJSON *json = write_made(NULL);
    assert_null(cJSON_GetObjectItemCaseSensitive(json, "patient"));
    assert_null(cJSON_GetObjectItemCaseSensitive(json, "decision"));
    assert_near(at(json, "extra/standard_error")->valuedouble, 0.01, 0, 0);
    cJSON_Delete(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_writer_layout),
                                       cmocka_unit_test(test_strings_are_escaped),
                                       cmocka_unit_test(test_too_deep_fails),
                                       cmocka_unit_test(test_parts_of_a_result),
                                       cmocka_unit_test(test_without_a_line_nothing_is_called),
                                       cmocka_unit_test(test_looks),
                                       cmocka_unit_test(test_a_result_without_an_assessment)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
