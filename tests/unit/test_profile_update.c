/* test_profile_update.c - a site profile made, and one updated with everything else kept.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <cjson/cJSON.h>

#include "study/profile_update.h"

static const sm_profile_reader entries[] = {
    {"ostium_gap", 0.39884321, 0.218891, 27.3812, false, "reader study a \"b\".csv", 12, 3, 72},
    {"stj_gap", 0.1, 0.0, 3.0, true, "small", 12, 3, 72}};

static sm_diag diag;
static sm_text out, messages;
static bool replacing;

static sm_status update_text(const char *text, size_t length)
{
    sm_diag_destroy(&diag);
    sm_text_destroy(&out);
    sm_text_destroy(&messages);
    sm_status status =
        sm_profile_update((sm_file_text){"site.json", text, length}, "north", entries, 2, replacing, &diag, &out);
    sm_diag_write(&diag, &messages);
    sm_text_puts(&messages, "");
    return status;
}

static sm_status update(const char *text)
{
    return update_text(text, text ? strlen(text) : 0);
}

static void test_new(void **state)
{
    (void)state;
    assert_int_equal(update(NULL), SM_OK);
    assert_string_equal(out.s, "{\n"
                               "  \"format\": \"slimmargin-profile-1\",\n"
                               "  \"site\": \"north\",\n"
                               "  \"readers\": {\n"
                               "    \"ostium_gap\": {\n"
                               "      \"between_reader_sd_mm\": 0.3988,\n"
                               "      \"repeat_sd_mm\": 0.2189,\n"
                               "      \"dof\": 27.4,\n"
                               "      \"sd_includes_plane\": false,\n"
                               "      \"source\": \"reader study a \\\"b\\\".csv\"\n"
                               "    },\n"
                               "    \"stj_gap\": {\n"
                               "      \"between_reader_sd_mm\": 0.1,\n"
                               "      \"repeat_sd_mm\": 0,\n"
                               "      \"dof\": 3,\n"
                               "      \"sd_includes_plane\": true,\n"
                               "      \"source\": \"small\"\n"
                               "    }\n"
                               "  }\n"
                               "}\n");
}

/* Numbers that cJSON itself would not print back, nested values, empty and null ones, letters beyond ASCII, and their
 * order. */
static void test_kept(void **state)
{
    (void)state;
    static const char old[] =
        "{\"format\": \"slimmargin-profile-1\", \"site\": \"n\xC3\xB6rd\", \"source\": \"tab\\there\","
        "\"readers\": {\"stj_height\": {\"between_reader_sd_mm\": 0.30000000000000004, \"dof\": 21},"
        " \"ostium_gap\": {\"between_reader_sd_mm\": 9, \"resolution_mm\": 1, \"source\": \"guess\"}},"
        "\"scan\": {\"centreline_sd_mm\": {\"value\": 0.1234567890123456789, \"source\": \"x\"}}, \"surgical_valve\": "
        "{},"
        "\"list\": [1, [true, null], \"a\"], \"action_line\": {\"value\": 0.15, \"source\": \"heart team\"}}\n";
    assert_int_equal(update(old), SM_OK);
    assert_contains(out.s, "\"site\": \"n\xC3\xB6rd\"");
    assert_contains(out.s, "\"source\": \"tab\\there\"");
    assert_contains(out.s, "\"between_reader_sd_mm\": 0.30000000000000004,");
    assert_contains(out.s, "\"value\": 0.12345678901234568,");
    assert_contains(out.s, "\"surgical_valve\": {},");
    assert_contains(out.s, "\"between_reader_sd_mm\": 0.3988,");
    assert_contains(out.s, "\"resolution_mm\": 1,"); /* other keys of an entry are kept, with their source */
    assert_contains(out.s, "\"source\": \"reader study a \\\"b\\\".csv; other keys: guess\"");
    assert_true(strstr(out.s, "\"between_reader_sd_mm\": 9") == NULL);
    assert_true(strstr(out.s, "\"stj_height\"") < strstr(out.s, "\"ostium_gap\""));
    assert_true(strstr(out.s, "\"ostium_gap\"") < strstr(out.s, "\"stj_gap\""));
    char *first = sm_string_copy(out.s);
    assert_int_equal(update(first), SM_OK); /* again: the same bytes */
    assert_string_equal(out.s, first);
    free(first);
    cJSON *tree = cJSON_Parse(out.s);
    assert_non_null(tree);
    cJSON_Delete(tree);
}

static void test_refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } bad[] = {
        {"", "site.json:1:1: found an empty file"},
        {"{\"format\":\n \"slimmargin-profile-1\", oops}", "site.json:2:"},
        {"{\"format\": \"slimmargin-profile-1\"} x", "site.json:1:36: "},
        {"[]", "is not a site profile: it must be one JSON object"},
        {"{\"format\": \"slimmargin-case-1\"}", "\"format\" must be \"slimmargin-profile-1\""},
        {"{}", "\"format\" must be"},
        {"{\"format\": \"slimmargin-profile-1\", \"readers\": 3}", "\"readers\" must be an object"},
        {"{\"format\": \"slimmargin-profile-1\", \"readers\": {\"stj_gap\": 1}}",
         "each entry of \"readers\" must be an object"},
        {"{\"format\": \"slimmargin-profile-1\", \"scan\": {\"a\": 1, \"a\": 2}}", "holds a key twice"},
        {"{\"format\": \"slimmargin-profile-1\", \"x\": 1e999}", "holds a number that is too large"},
        {"{\"format\": \"slimmargin-profile-1\", \"x\": \"a\\u0000b\"}", "\\u0000"},
        {"{\"format\": \"slimmargin-profile-1\", \"x\": \"\xFF\"}", "site.json:1:42: "},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_equal(update(bad[i].text), SM_REFUSED);
        assert_contains(messages.s, bad[i].message);
        assert_int_equal(out.len, 0);
    }
}

/* An entry under the key of a case is updated there: the reader refuses both names side by side. */
static void test_alias(void **state)
{
    (void)state;
    static const sm_profile_reader ring = {"inner_diameter", 0.5, 0.25, 12.0, false, "study", 12, 3, 72};
    static const char old[] =
        "{\"format\": \"slimmargin-profile-1\", \"site\": \"n\", \"readers\": {\"inner_diameter_mm\": {\"dof\": 4}}}";
    sm_diag d = {0};
    sm_text new_text = {0};
    assert_int_equal(sm_profile_update((sm_file_text){"p", old, strlen(old)}, "n", &ring, 1, false, &d, &new_text),
                     SM_OK);
    assert_contains(new_text.s, "\"inner_diameter_mm\": {\n      \"dof\": 12,");
    assert_true(strstr(new_text.s, "\"inner_diameter\"") == NULL);
    sm_text_destroy(&new_text);
    sm_diag_destroy(&d);
}

/* A study that is smaller in one of three ways does not replace a larger one unasked; both are named. */
static void test_smaller(void **state)
{
    (void)state;
#define PROFILE(entry)                                                                                                 \
    "{\"format\": \"slimmargin-profile-1\", \"site\": \"n\", \"readers\": {\"ostium_gap\": {" entry "}}}"
    static const struct {
        const char *old, *told;
        bool stays;
    } cases[] = {
        {PROFILE("\"repeat_sd_mm\": 0.5, \"source\": \"reader study x.csv: 13 cases, 3 readers, 72 readings\""),
         "ostium_gap: the profile has a larger study: 13 cases, 3 readers, 72 readings, SD of one reading 0.50 mm; "
         "this "
         "one: 12 cases, 3 readers, 72 readings, SD of one reading 0.45 mm. Add --replace",
         true},
        {PROFILE("\"repeat_sd_mm\": 0.5, \"source\": \"reader study 9 cases.csv: 1 case, 4 readers, 9 readings; too "
                 "small\""),
         "a larger study: 1 cases, 4 readers, 9 readings", true},
        {PROFILE("\"repeat_sd_mm\": 0.5, \"source\": \"reader study x.csv: 2 cases, 2 readers, 73 readings\""),
         "larger study", true},
        {PROFILE("\"repeat_sd_mm\": 0.5, \"dof\": 99, \"source\": \"reader study x.csv: 12 cases, 3 readers, 72 "
                 "readings; other keys: 90 cases, 9 readers, 99 readings\""),
         "replaced: 12 cases, 3 readers, 72 readings, SD of one reading 0.50 mm; by: 12 cases", false},
        {PROFILE("\"repeat_sd_mm\": 0.3, \"between_reader_sd_mm\": 0.4, \"dof\": 40, \"source\": \"by hand\""),
         "larger study: a study of unknown size, 40 degrees of freedom, SD of one reading 0.50 mm", true},
        {PROFILE("\"repeat_sd_mm\": 0.3, \"dof\": 21, \"source\": \"by hand\""),
         "warning: ostium_gap: replaced: a study of unknown size, 21 degrees of freedom, SD of one reading 0.30 mm; "
         "by: 12 "
         "cases",
         false},
        {PROFILE("\"bloom_edges\": -1, \"source\": \"by hand\""), "", false},
        {PROFILE(
             "\"repeat_sd_mm\": 0.2189, \"between_reader_sd_mm\": 0.3988, \"dof\": 9, \"source\": \"reader study y: "
             "12 cases, 3 readers, 72 readings\""),
         "", false}, /* the same again: nothing to say */
    };
#undef PROFILE
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(update(cases[i].old), cases[i].stays ? SM_REFUSED : SM_OK);
        assert_contains(messages.s, cases[i].told);
        assert_true(cases[i].told[0] || !messages.s[0]);
        assert_true(cases[i].stays == (out.len == 0) && cases[i].stays == (diag.faults == 1));
        replacing = true;
        assert_int_equal(update(cases[i].old), SM_OK);
        replacing = false;
        assert_true(strstr(out.s, "\"between_reader_sd_mm\": 0.3988") != NULL);
        assert_true((cases[i].told[0] != '\0') == (strstr(messages.s, "replaced: ") != NULL));
    }
}

static void test_takes(void **state)
{
    (void)state;
    assert_true(sm_profile_takes("ostium_gap") && sm_profile_takes("leaflet_thickness"));
    assert_false(sm_profile_takes("sinus_width"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_new),     cmocka_unit_test(test_kept),
                                       cmocka_unit_test(test_refused), cmocka_unit_test(test_alias),
                                       cmocka_unit_test(test_smaller), cmocka_unit_test(test_takes)};
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    sm_diag_destroy(&diag);
    sm_text_destroy(&out);
    sm_text_destroy(&messages);
    return failed;
}
