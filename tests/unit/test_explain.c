/* test_explain.c - every key, source, output, command and option has its three sentences, and words are found.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/root.h"
#include "casefile/defaults.h"
#include "casefile/keys.h"
#include "report/json/result_json.h"
#include "casefile_help.h"
#include "command/command.h"
#include "report/guide/explain.h"
#include "report/guide/key_guide.h"
#include "report/blocks/words.h"

#include <ctype.h>

static const sm_style narrow = {.width = 80};

static void must_know(const char *word)
{
    if (!sm_explain_find(word))
        fail_msg("no explanation of \"%s\"", word);
}

static void every_key(void **state)
{
    (void)state;
    static const sm_keys *const tables[] = {
        &sm_keys_case,          &sm_keys_action,         &sm_keys_scan,
        &sm_keys_base_plane,    &sm_keys_valve,          &sm_keys_implant,
        &sm_keys_limits,        &sm_keys_coronary,       &sm_keys_reading,
        &sm_keys_cross_check,   &sm_keys_direct_look,    &sm_keys_alternative,
        &sm_keys_profile,       &sm_keys_profile_reader, &sm_keys_profile_cross_check,
        &sm_keys_profile_value, &sm_keys_look,           &sm_keys_axes,
        &sm_keys_axes_profile,  &sm_keys_gantry};
    for (size_t t = 0; t < sizeof tables / sizeof *tables; t++)
        for (size_t k = 0; k < tables[t]->n; k++)
            must_know(tables[t]->key[k].name);
    for (size_t i = 0; i < sm_defaults_count(); i++)
        must_know(sm_defaults_line(i)->key);
    for (int f = 0; f < SM_FAMILY_COUNT; f++)
        must_know(sm_dist_family_name((sm_family)f));
}

static void every_source(void **state)
{
    (void)state;
    sm_override look[2] = {
        {"/coronaries/left/ostium_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [5]}}"},
        {"/coronaries/left/stj_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [3]}}"}};
    outcome o = read_with(smallest, NULL, look, 2);
    sm_sources sources = {0};
    assert_non_null(o.c);
    assert_int_equal(sm_root_add_sources(&sources, o.c), SM_OK);
    assert_true(sources.n_sources > 20);
    for (int i = 0; i < sources.n_sources; i++)
        must_know(sources.source[i].name);
    for (int id = SM_SOURCE_NONE + 1; id < SM_SOURCES; id++) /* of what a case need not have too */
        must_know(sm_source_table[id].name);
    sm_sources_destroy(&sources);
    outcome_destroy(&o);
}

static void every_output_command_and_option(void **state)
{
    (void)state;
    for (int i = 0; i < SM_OUTPUTS; i++)
        must_know(sm_outputs[i].name);
#define KNOW_COMMAND(name, after, n, uses, purpose) must_know(#name);
    SM_COMMAND_LIST(KNOW_COMMAND)
#define KNOW_OPTION(id, name, argument, how, member, words) must_know(name);
    SM_OPTION_LIST(KNOW_OPTION)
}

/* Sentences end with a mark before a space or the end. */
static int sentences(const char *s)
{
    int n = 0;
    for (; *s; s++)
        n += strchr(".?!", *s) && (s[1] == ' ' || !s[1]);
    return n;
}

static void three_sentences_each(void **state)
{
    (void)state;
    const sm_term *t;
    const size_t n = sm_terms(&t);
    for (size_t i = 0; i < n; i++) {
        if (sentences(t[i].sentences) != 3 || !strchr(".?!", t[i].sentences[strlen(t[i].sentences) - 1]))
            fail_msg("%s: not three sentences: %s", t[i].names, t[i].sentences);
        if (strstr(t[i].sentences, "  "))
            fail_msg("%s: two spaces", t[i].names);
        for (const char *c = t[i].sentences; *c; c++)
            assert_true(isprint((unsigned char)*c));
    }
}

/* Each name leads to its own entry: none stands in two. */
static void names_are_unique(void **state)
{
    (void)state;
    const sm_term *t;
    const size_t n = sm_terms(&t);
    for (size_t i = 0; i < n; i++) {
        sm_text name = {0};
        for (size_t k = 0; sm_explain_name(&t[i], k, &name); k++)
            if (sm_explain_find(name.s) != &t[i])
                fail_msg("\"%s\" stands in two entries", name.s);
        sm_text_destroy(&name);
    }
}

static void words_are_found(void **state)
{
    (void)state;
    assert_ptr_equal(sm_explain_find("Crowded OSTIUM"), sm_explain_find("crowded"));
    assert_ptr_equal(sm_explain_find("left.ostium_gap"), sm_explain_find("ostium gap"));
    assert_ptr_equal(sm_explain_find("until resolved"), sm_explain_find("--until-resolved"));
    assert_ptr_equal(sm_explain_find("left.ostium_gap.cross_check"), sm_explain_find("cross-check"));
    assert_ptr_equal(sm_explain_find("left.leaflet_height.cross_check"), sm_explain_find("second look"));
    assert_ptr_equal(sm_explain_find("inner_diameter.cross_check"), sm_explain_find("second look"));
    assert_contains(sm_explain_find("second look")->sentences, "never averaged");
    static const char *const of_the_trade[][2] = {{"VTC", "ostium_gap"},
                                                  {"virtual valve to coronary distance", "circle_mm"},
                                                  {"vtstj", "stj_gap"},
                                                  {"chimney", "rescue"},
                                                  {"snorkel", "alternative"},
                                                  {"leaflet laceration", "Splits the leaflet"},
                                                  {"sequestration", "sealed sinus"},
                                                  {"risk plane", "leaflet_height"}};
    for (size_t i = 0; i < sizeof of_the_trade / sizeof *of_the_trade; i++) {
        const sm_term *t = sm_explain_find(of_the_trade[i][0]);
        assert_non_null(t);
        assert_contains(t->sentences, of_the_trade[i][1]);
    }
    assert_null(sm_explain_find(""));
    assert_null(sm_explain_find("-"));
    assert_null(sm_explain_find("."));
    assert_null(sm_explain_find("nothing of the kind"));
    const sm_term *near[SM_EXPLAIN_NEAR];
    assert_true(sm_explain_near("blomming", near) >= 1);
    assert_ptr_equal(near[0], sm_explain_find("blooming"));
    assert_int_equal(sm_explain_near("qqqqqqqqqqqqqqqqq", near), 0);
}

static void texts(void **state)
{
    (void)state;
    sm_text out = {0};
    sm_explain_write(&out, &narrow, sm_explain_find("flare"));
    assert_contains(out.s, "from 0 to");
    assert_contains(out.s, "no number was found");
    sm_text_destroy(&out);
    sm_explain_list(&out, &narrow);
    for (int g = 0; g < SM_TERM_GROUPS; g++)
        assert_contains(out.s, sm_term_group_title((sm_term_group)g));
    sm_text_destroy(&out);
    sm_key_guide(&out, &narrow);
    assert_true(strncmp(out.s, sm_key_guide_title, strlen(sm_key_guide_title)) == 0);
    assert_contains(out.s, "surgical_valve.inner_diameter_mm: required;");
    assert_contains(out.s, "action_line: may be left out; a number above 0 and below 1.");
    sm_text_destroy(&out);
}

/* Keys of both kinds of second look, each with its own words and domain; the SD of a direct one is stated and has no
 * default of a projection beside it. */
static void second_looks_in_the_guide(void **state)
{
    (void)state;
    const sm_style wide = {.width = 2000};
    sm_text out = {0};
    sm_key_guide(&out, &wide);
    assert_contains(out.s, "leaflet_height.cross_check.modality: required; bench, echo or ct.");
    assert_contains(out.s, "GAP.cross_check.modality: required; fluoroscopy or echo.");
    assert_contains(out.s, "spoiled: may be left out; a number from 0.01 to 0.2 (probability).");
    const char *direct = strstr(out.s, "leaflet_height.cross_check.reader_sd_mm: required;");
    assert_non_null(direct);
    assert_true(strstr(direct, "Default:") > strstr(direct, "cross_check.spoiled"));
    sm_text_destroy(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key),
        cmocka_unit_test(every_source),
        cmocka_unit_test(every_output_command_and_option),
        cmocka_unit_test(three_sentences_each),
        cmocka_unit_test(names_are_unique),
        cmocka_unit_test(words_are_found),
        cmocka_unit_test(texts),
        cmocka_unit_test(second_looks_in_the_guide),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
