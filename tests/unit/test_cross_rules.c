/* test_cross_rules.c - the rules of docs/cross-field-rules.md one by one: refused just beyond, taken just within.
 *
 * Contents: 1. every rule of the page has a test  2. pairs on either side of a rule  3. rules of two places
 *           4. the same by override
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

/* 1. Every rule of the page has a test */

typedef struct {
    const char *rule, *file, *test; /* how the rule begins; where it is tested */
} tested;

static const tested rules[] = {
    {"The text is strict JSON", "json_scan", "refuses_each_fault_with_its_place"},
    {"No key stands twice", "case_refusals", "refuses_each_fault_of_a_case"},
    {"A number is finite", "case_refusals", "refuses_each_fault_of_a_case"},
    {"No key identifies a patient", "case_refusals", "refuses_keys_that_identify_a_patient"},
    {"A text is one line", "case_refusals", "refuses_each_fault_of_a_case"},
    {"The parameters make a distribution", "cross_rules", "binds_values_to_each_other"},
    {"The domain of a key binds a constant and", "cross_rules", "binds_values_to_each_other"},
    {"blooming_mm, ring_give_mm", "cross_rules", "binds_values_to_each_other"},
    {"population.ostium_gap_mm has a spread", "cross_rules", "binds_values_to_each_other"},
    {"base_plane: tilt_sd_deg and level_sd_mm exclude", "cross_rules", "keeps_the_forms_of_the_plane_apart"},
    {"base_plane.radius_mm, if left out", "casefile", "keeps_the_radius_of_the_plan_for_alternatives"},
    {"base_plane.azimuths_deg", "cross_rules", "binds_values_to_each_other"},
    {"sd_from_readings needs at least 4", "cross_rules", "binds_values_to_each_other"},
    {"Readers further apart", "casefile", "names_readers_who_lie_apart"},
    {"base_plane.placements, if left out", "casefile", "takes_placements_from_readers_who_placed_the_plane"},
    {"dof needs between_reader_sd_mm", "case_refusals", "refuses_each_fault_of_a_case"},
    {"sd_includes_plane needs", "cross_rules", "takes_an_sd_with_the_plane_from_the_profile"},
    {"Both SDs and dof come together", "casefile", "takes_both_sds_and_dof_from_one_place"},
    {"cross_check stands on ostium_gap", "cross_rules", "binds_values_to_each_other"},
    {"cross_check stands beside readings", "cross_rules", "binds_values_to_each_other"},
    {"cross_check on a gap is a projection", "cross_rules", "binds_values_to_each_other"},
    {"A case has at most 8 second looks", "cross_rules", "takes_eight_looks_and_no_more"},
    {"leaflet_length_mm and leaflet_height", "cross_rules", "binds_values_to_each_other"},
    {"ostium false and ostium_height", "cross_rules", "a_sinus_without_a_coronary_has_no_ostium"},
    {"azimuth_deg may be left out", "case_defaults", "stands_in_with_a_warning"},
    {"confirmed names numbers", "unusual", "unknown_names_are_refused"},
    {"stj_height is not more than 3", "cross_rules", "binds_values_to_each_other"},
    {"post_azimuth_deg and post_block_deg are refused", "cross_rules", "binds_designs_to_their_keys"},
    {"mount_offset_mm is 0 unless", "cross_rules", "binds_designs_to_their_keys"},
    {"ring_height_mm is below", "cross_rules", "binds_values_to_each_other"},
    {"skirt_height_mm is not above", "cross_rules", "binds_values_to_each_other"},
    {"shape: the fractions rise", "cross_rules", "binds_values_to_each_other"},
    {"Names are unique", "cross_rules", "binds_values_to_each_other"},
    {"lacerate and rescue name", "case_refusals", "refuses_each_fault_of_a_case"},
    {"The patched valve and implant keep", "cross_rules", "binds_values_to_each_other"},
    {"A patch has no cross_check", "cross_rules", "binds_values_to_each_other"},
    {"An alternative that changes nothing", "casefile", "warns_of_an_alternative_without_effect"},
    {"A look does one thing", "looks_listed", "faults"},
    {"again names readings", "looks_listed", "faults"},
    {"plane stands beside again alone", "looks_listed", "faults"},
    {"bundle names looks", "looks_listed", "faults"},
    {"A profile's look at what", "looks_listed", "of_a_site"},
    {"patient_axes: edge_on_deg and profile", "looks_listed", "axes_are_refused"},
    {"patient_axes.edge_on_deg: two lines", "looks_listed", "axes_are_refused"},
    {"patient_axes.profile.on_screen", "looks_listed", "axes_are_refused"},
    {"A key that a case must state", "case_refusals", "refuses_each_fault_of_a_profile"},
    {"Every value has a source", "case_refusals", "refuses_each_fault_of_a_profile"},
    {"A value that does not apply", "casefile", "passes_over_what_a_profile_says_of_another_design"},
    {"base_plane: the first of case and profile", "casefile", "takes_the_form_of_the_base_plane_from_its_first_place"},
    {"readers.QUANTITY: sd_includes_plane", "casefile", "keeps_what_an_sd_contains_with_the_sd"},
    {"inner_diameter and inner_diameter_mm", "case_refusals", "refuses_each_fault_of_a_profile"},
};
enum { RULES = sizeof rules / sizeof *rules };

static void has_a_test_for_every_rule(void **state)
{
    (void)state;
    char *page = load("docs/cross-field-rules.md");
    size_t n = 0;
    for (const char *at = strstr(page, "\n- "); at; at = strstr(at + 1, "\n- "), n++)
        if (n >= RULES || strncmp(at + 3, rules[n].rule, strlen(rules[n].rule)) != 0)
            fail_msg("no test is named for the rule: %.70s", at + 3);
    assert_int_equal(n, RULES);
    for (size_t i = 0; i < RULES; i++) {
        sm_text path = {0}, call = {0};
        sm_text_addf(&path, "tests/unit/test_%s.c", rules[i].file);
        sm_text_addf(&call, "cmocka_unit_test(%s)", rules[i].test);
        char *source = load(path.s);
        assert_contains(source, call.s);
        free(source);
        sm_text_destroy(&path);
        sm_text_destroy(&call);
    }
    free(page);
}

/* 2. Pairs on either side of a rule: two values for one key of the smallest case */

typedef struct {
    const char *pointer, *refused, *taken, *words;
} pair;

#define THICKNESS "/surgical_valve/leaflet_thickness_mm"
#define DEPTH     "/implant/implant_depth_mm"
#define GAP       "/coronaries/left/ostium_gap"
#define LEAFLET   "/coronaries/left/leaflet_height"
#define RING      "/surgical_valve/inner_diameter_mm"
/* A second look, with what else it states. */
#define LOOK(modality, mm, more) "{\"modality\": \"" modality "\", \"readings_mm\": {\"A\": [" mm "]}" more "}"
#define ITS_SD                   ", \"reader_sd_mm\": 0.3"
static const pair pairs[] = {
    {DEPTH, "{\"normal\": {\"mean\": 4, \"sd\": -0.1}}", "{\"normal\": {\"mean\": 4, \"sd\": 0}}",
     "sd must not be below 0"},
    {DEPTH, "{\"uniform\": {\"min\": 4.1, \"max\": 4}}", "{\"uniform\": {\"min\": 4, \"max\": 4}}",
     "min must not be above max"},
    {DEPTH, "{\"arcsine\": {\"min\": 4.1, \"max\": 4}}", "{\"arcsine\": {\"min\": 3.9, \"max\": 4}}",
     "min must not be above max"},
    {DEPTH, "{\"triangular\": {\"min\": 3, \"mode\": 2.9, \"max\": 4}}",
     "{\"triangular\": {\"min\": 3, \"mode\": 3, \"max\": 4}}", "must rise"},
    {DEPTH, "{\"triangular\": {\"min\": 3, \"mode\": 4.1, \"max\": 4}}",
     "{\"triangular\": {\"min\": 3, \"mode\": 4, \"max\": 4}}", "must rise"},
    {DEPTH, "{\"student_t\": {\"location\": 4, \"scale\": 0.5, \"dof\": 2.9}}",
     "{\"student_t\": {\"location\": 4, \"scale\": 0.5, \"dof\": 3}}", "dof must be at least 3"},
    {DEPTH, "{\"student_t\": {\"location\": 4, \"scale\": -0.5, \"dof\": 3}}",
     "{\"student_t\": {\"location\": 4, \"scale\": 0, \"dof\": 3}}", "scale must not be below 0"},
    {DEPTH, "{\"beta\": {\"a\": 0.04, \"b\": 2, \"min\": 3, \"max\": 5}}",
     "{\"beta\": {\"a\": 0.05, \"b\": 2, \"min\": 3, \"max\": 5}}", "a and b must lie between"},
    {DEPTH, "{\"beta\": {\"a\": 2, \"b\": 10001, \"min\": 3, \"max\": 5}}",
     "{\"beta\": {\"a\": 2, \"b\": 10000, \"min\": 3, \"max\": 5}}", "a and b must lie between"},
    {DEPTH, "{\"beta\": {\"a\": 2, \"b\": 2, \"min\": 5.1, \"max\": 5}}",
     "{\"beta\": {\"a\": 2, \"b\": 2, \"min\": 4.9, \"max\": 5}}", "min must not be above max"},
    {DEPTH, "{\"truncated_normal\": {\"mean\": 4, \"sd\": 0.1, \"min\": 15, \"max\": 16}}",
     "{\"truncated_normal\": {\"mean\": 4, \"sd\": 0.1, \"min\": 4.2, \"max\": 6}}", "almost nothing of this normal"},
    {DEPTH, "{\"truncated_normal\": {\"mean\": 4, \"sd\": 1, \"min\": 6, \"max\": 5}}",
     "{\"truncated_normal\": {\"mean\": 4, \"sd\": 1, \"min\": 4, \"max\": 5}}",
     "impossible parameters of truncated_normal"},
    {THICKNESS, "{\"lognormal\": {\"median\": 0, \"gsd\": 1.3}}", "{\"lognormal\": {\"median\": 0.01, \"gsd\": 1.3}}",
     "median must be above 0"},
    {THICKNESS, "{\"lognormal\": {\"median\": 0.7, \"gsd\": 0.99}}", "{\"lognormal\": {\"median\": 0.7, \"gsd\": 1}}",
     "gsd (geometric standard deviation) from 1 to 100"},
    {THICKNESS, "{\"half_normal\": {\"sd\": -0.1}}", "{\"half_normal\": {\"sd\": 0.1}}", "sd must not be below 0"},
    {THICKNESS, "{\"normal\": {\"mean\": 0.7, \"sd\": 0.01}}",
     "{\"truncated_normal\": {\"mean\": 0.7, \"sd\": 0.01, \"min\": 0, \"max\": 3}}", "can go below 0"},
    {THICKNESS, "{\"uniform\": {\"min\": 0, \"max\": 5.06}}", "{\"uniform\": {\"min\": 0, \"max\": 5.05}}",
     "whose 99 % quantile is 5.009"},
    {"/scan/blooming_mm", "{\"beta\": {\"a\": 2, \"b\": 2, \"min\": -0.1, \"max\": 1}}",
     "{\"beta\": {\"a\": 2, \"b\": 2, \"min\": 0, \"max\": 1}}", "can go below 0"},
    {"/surgical_valve/ring_give_mm", "{\"triangular\": {\"min\": -0.1, \"mode\": 0, \"max\": 1}}",
     "{\"triangular\": {\"min\": 0, \"mode\": 0, \"max\": 1}}", "can go below 0"},
    {"/population/ostium_gap_mm", "{\"normal\": {\"mean\": 5, \"sd\": 0}}", "{\"normal\": {\"mean\": 5, \"sd\": 0.1}}",
     "expected a distribution with a spread"},
    {"/surgical_valve/eccentricity", "{\"arcsine\": {\"min\": -0.1, \"max\": 0.1}}",
     "{\"arcsine\": {\"min\": 0, \"max\": 0.1}}", "can go below 0"},
    {"/surgical_valve/mount_offset_mm", "{\"student_t\": {\"location\": 3, \"scale\": 0.01, \"dof\": 3}}",
     "{\"half_normal\": {\"sd\": 0.5}}", "can go below 0"},
    {"/surgical_valve/leaflet_overhang_mm", "{\"normal\": {\"mean\": 3, \"sd\": 0.1}}",
     "{\"lognormal\": {\"median\": 3, \"gsd\": 1.1}}", "can go below 0"},
    {"/scan/base_plane/azimuths_deg", "[0, 59.9, 200]", "[0, 60, 200]", "base points 59.9 degrees apart"},
    {"/scan/base_plane/azimuths_deg", "[350, 120, 49]", "[350, 120, 50]", "base points 59 degrees apart"},
    {GAP, "{\"readings_mm\": {\"A\": [5, 6], \"B\": [5]}, \"sd_from_readings\": true}",
     "{\"readings_mm\": {\"A\": [5, 6], \"B\": [5, 6]}, \"sd_from_readings\": true}",
     "with 3 readings, expected at least 4"},
    {GAP,
     "{\"readings_mm\": {\"A\": [5, 6, 5, 6]}, \"sd_from_readings\": true, \"sd_includes_plane\": true, "
     "\"repeat_sd_mm\": 1}",
     "{\"readings_mm\": {\"A\": [5, 6, 5, 6]}, \"sd_from_readings\": true, \"sd_includes_plane\": false}",
     "sd_includes_plane together with sd_from_readings"},
    {"/coronaries/left/stj_height/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}}", NULL,
     "expected only on ostium_gap, stj_gap, leaflet_height, inner_diameter_mm and leaflet_thickness_mm"},
    /* a distribution may be looked at, what is exact may not */
    {GAP, "{\"constant\": {\"value\": 5.7}, \"cross_check\": " LOOK("echo", "6", "") "}",
     "{\"normal\": {\"mean\": 5.7, \"sd\": 1}, \"cross_check\": " LOOK("echo", "6", "") "}",
     "found a cross_check on ostium_gap, which is exact here"},
    {RING, "{\"normal\": {\"mean\": 22, \"sd\": 0}, \"cross_check\": " LOOK("bench", "21.2", ITS_SD) "}",
     "{\"cross_check\": " LOOK("bench", "21.2", ITS_SD) ", \"normal\": {\"mean\": 22, \"sd\": 0.1}}",
     "a second look cannot move what is known exactly"},
    {RING,
     "{\"normal\": {\"mean\": 22, \"sd\": 1}, \"uniform\": {\"min\": 21, \"max\": 22}, \"cross_check\": " LOOK(
         "bench", "21.2", ITS_SD) "}",
     "{\"uniform\": {\"min\": 21, \"max\": 22}, \"cross_check\": " LOOK("bench", "21.2", ITS_SD) "}",
     "found 3 keys, expected exactly one family"},
    {RING, "{\"normla\": {\"mean\": 22, \"sd\": 1}, \"cross_check\": " LOOK("bench", "21.2", ITS_SD) "}", NULL,
     "did you mean \"normal\"?"},
    {RING, "{\"normal\": {\"mean\": 22, \"sd\": 1}, \"cross_check\": 21.2}", NULL, "found 21.2, expected an object"},
    {RING, "{\"normal\": {\"mean\": 22, \"sd\": 1}, \"crosscheck\": " LOOK("bench", "21.2", ITS_SD) "}", NULL,
     "expected exactly one family"},
    {DEPTH, "{\"normal\": {\"mean\": 4, \"sd\": 1}, \"cross_check\": " LOOK("ct", "4", ITS_SD) "}", NULL,
     "expected exactly one family"},
    {"/coronaries/left/stj_height",
     "{\"normal\": {\"mean\": 18, \"sd\": 1}, \"cross_check\": " LOOK("ct", "18", ITS_SD) "}",
     "{\"normal\": {\"mean\": 18, \"sd\": 1}}", "found a cross_check on stj_height"},
    /* a projection and a direct measurement */
    {GAP "/cross_check", LOOK("bench", "6", ""), LOOK("echo", "6", ""),
     "found \"bench\", expected \"fluoroscopy\" or \"echo\""},
    {GAP "/cross_check", LOOK("ct", "6", ""), LOOK("fluoroscopy", "6", ""),
     "found \"ct\", expected \"fluoroscopy\" or \"echo\""},
    {LEAFLET "/cross_check", LOOK("fluoroscopy", "14", ITS_SD), LOOK("bench", "14", ITS_SD),
     "found \"fluoroscopy\", expected \"bench\", \"echo\" or \"ct\""},
    {LEAFLET "/cross_check", LOOK("echo", "14", ""), LOOK("echo", "14", ITS_SD), "the key \"reader_sd_mm\" is missing"},
    {LEAFLET "/cross_check", "{\"modality\": \"ct\", \"reader_sd_mm\": 1}", LOOK("ct", "14", ITS_SD),
     "the key \"readings_mm\" is missing"},
    {LEAFLET "/cross_check", LOOK("ct", "14", ITS_SD ", \"magnification_sd\": 0.02"), NULL,
     "found magnification_sd on leaflet_height, expected it only on a gap: this look is a direct measurement"},
    {LEAFLET "/cross_check", LOOK("ct", "14", ITS_SD ", \"view_error_sd_deg\": 8"), NULL,
     "found view_error_sd_deg on leaflet_height, expected it only on a gap"},
    {LEAFLET "/cross_check", LOOK("ct", "0.9", ITS_SD), LOOK("ct", "1", ITS_SD), "expected a number from 1 to 60"},
    {LEAFLET "/cross_check", LOOK("ct", "14", ", \"reader_sd_mm\": 0"), LOOK("ct", "14", ", \"reader_sd_mm\": 0.01"),
     "found 0, expected a number from 0.01 to 10 (mm)"},
    {LEAFLET "/cross_check", LOOK("ct", "14", ITS_SD ", \"spoiled\": 0"),
     LOOK("ct", "14", ITS_SD ", \"spoiled\": 0.01"), "found 0, expected a number from 0.01 to 0.2 (probability)"},
    {GAP "/cross_check", LOOK("echo", "6", ", \"spoiled\": 0.21"), LOOK("echo", "6", ", \"spoiled\": 0.2"),
     "found 0.21, expected a number from 0.01 to 0.2 (probability)"},
    {RING, "{\"readings_mm\": {\"A\": [22]}, \"cross_check\": " LOOK("bench", "35.1", ITS_SD) "}",
     "{\"readings_mm\": {\"A\": [22]}, \"cross_check\": " LOOK("bench", "35", ITS_SD) "}",
     "expected a number from 12 to 35"},
    {THICKNESS, "{\"readings_mm\": {\"A\": [0.8]}, \"cross_check\": " LOOK("echo", "5.1", ITS_SD) "}",
     "{\"readings_mm\": {\"A\": [0.8]}, \"cross_check\": " LOOK("echo", "5", ITS_SD) "}",
     "expected a number from 0 to 5"},
    {"/alternatives",
     "[{\"name\": \"a\", \"surgical_valve\": {\"inner_diameter_mm\": {\"normal\": {\"mean\": 24, \"sd\": 1}, "
     "\"cross_check\": " LOOK("bench", "23.8", ITS_SD) "}}}]",
     "[{\"name\": \"a\", \"surgical_valve\": {\"inner_diameter_mm\": {\"normal\": {\"mean\": 24, \"sd\": 1}}}}]",
     "found a cross_check in an alternative, expected it in the case itself"},
    {"/coronaries/left/stj_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [30.1]}}",
     "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [30]}}", "expected a number from -5 to 30"},
    /* 3 sqrt(0.8^2 + 1.0^2) = 3.842 below 9.5 for readings, 3 sqrt(0.8^2 + 0.5^2) = 2.830 for a distribution of SD 0.5
     */
    {"/coronaries/left/stj_height", "5.65", "5.66", "no more than 3 of their combined SD (3.842 mm)"},
    {"/coronaries/left/stj_height", "{\"normal\": {\"mean\": 6.66, \"sd\": 0.5}}",
     "{\"normal\": {\"mean\": 6.68, \"sd\": 0.5}}", "no more than 3 of their combined SD (2.83 mm)"},
    {"/coronaries/left/leaflet_length_mm", "12", NULL, "leaflet_length_mm together with leaflet_height"},
    {"/surgical_valve/ring_height_mm", "15", "14.999", "found the ring at 15 mm and the frame's top at 15 mm"},
    {DEPTH, "{\"normal\": {\"mean\": 12, \"sd\": 2.3}}", "{\"normal\": {\"mean\": 12, \"sd\": 2.1}}", "frame's top"},
    {"/implant/skirt_height_mm", "19.1", "19", "above frame_height_mm 19"},
    {"/implant/shape", "[[0, 1], [0.5, 0.8], [0.5, 0.9], [1, 1]]", "[[0, 1], [0.5, 0.8], [0.51, 0.9], [1, 1]]",
     "do not rise from 0 to 1"},
    {"/implant/shape", "[[0, 1], [0.99, 1]]", "[[0, 1], [1, 1]]", "do not rise from 0 to 1"},
    {"/alternatives", "[{\"name\": \"a\", \"rescue\": {\"left\": 1}}, {\"name\": \"a\", \"rescue\": {\"left\": 0.5}}]",
     "[{\"name\": \"a\", \"rescue\": {\"left\": 1}}, {\"name\": \"b\", \"rescue\": {\"left\": 0.5}}]",
     "found the name of an earlier alternative"},
    {"/alternatives", "[{\"name\": \"a\", \"implant\": {\"skirt_height_mm\": 19.1}}]",
     "[{\"name\": \"a\", \"implant\": {\"skirt_height_mm\": 19.1, \"frame_height_mm\": 19.1}}]",
     "above frame_height_mm 19"},
    {"/alternatives",
     "[{\"name\": \"a\", \"surgical_valve\": {\"leaflet_mount\": \"internal\", \"mount_offset_mm\": 0.5}}]",
     "[{\"name\": \"a\", \"surgical_valve\": {\"leaflet_mount\": \"internal\", \"mount_offset_mm\": 0}}]",
     "mount_offset_mm other than 0"},
};

static void check_pair(const char *json, const pair *p, const char *words)
{
    outcome o = read_put(p->pointer, json);
    if ((o.status == SM_OK) != (words == NULL))
        fail_msg("%s = %s: %s", p->pointer, json, o.messages.s);
    if (words)
        assert_contains(o.messages.s, words);
    outcome_destroy(&o);
    char *text = text_with(smallest, &(sm_override){p->pointer, json}, 1);
    assert_true(check_ways_to(text, smallest, NULL, p->pointer) > 0);
    free(text);
}

static void binds_values_to_each_other(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        check_pair(pairs[i].refused, &pairs[i], pairs[i].words);
        if (pairs[i].taken)
            check_pair(pairs[i].taken, &pairs[i], NULL);
    }
}

/* 3. Rules of two places */

/* The sections of text that the values lie in, put whole into the smallest case, must do as text does. */
static void check_sections(const char *text, const char *profile, const sm_override *put, size_t n)
{
    sm_override whole[3];
    char *pointer[3], *json[3];
    assert_true(n <= 3);
    for (size_t i = 0; i < n; i++) {
        const char *end = strchr(put[i].pointer + 1, '/');
        pointer[i] = sm_string_copyn(put[i].pointer, end ? (size_t)(end - put[i].pointer) : strlen(put[i].pointer));
        json[i] = value_in(text, pointer[i]);
        whole[i] = (sm_override){pointer[i], json[i]};
    }
    check_as_text(text, smallest, profile, whole, n);
    for (size_t i = 0; i < n; i++) {
        free(pointer[i]);
        free(json[i]);
    }
}

/* The status and words of the smallest case with two values put in. */
static void check_two(sm_override a, sm_override b, const char *profile, const char *words)
{
    const sm_override both[] = {a, b};
    outcome o = read_with(smallest, profile, both, 2);
    if ((o.status == SM_OK) != (words == NULL))
        fail_msg("%s = %s, %s = %s: %s", a.pointer, a.json, b.pointer, b.json, o.messages.s);
    if (words)
        assert_contains(o.messages.s, words);
    outcome_destroy(&o);
    char *text = text_with(smallest, both, 2);
    check_as_text(text, smallest, profile, both, 2);
    check_sections(text, profile, both, 2);
    free(text);
}

/* Each key of one form beside the other form, in every pair. */
#define THIRD "/coronaries/third"
#define CLOSED                                                                                                         \
    "{\"azimuth_deg\": 280, \"circle_mm\": 22, \"ostium\": false, \"stj_height\": 18, \"stj_gap\": 4, "                \
    "\"leaflet_height\": 13"

/* Both keys of an ostium stay away together, and only where the case says so. */
static void a_sinus_without_a_coronary_has_no_ostium(void **state)
{
    (void)state;
    static const struct {
        sm_override put[2];
        const char *at, *words; /* NULL: taken */
    } cases[] = {
        {{{THIRD, CLOSED "}"}}, NULL, NULL},
        {{{THIRD, CLOSED ", \"ostium_height\": 12}"}},
         THIRD "/ostium_height",
         "beside \"ostium\": false, expected neither"},
        {{{THIRD, CLOSED ", \"ostium_gap\": 5}"}}, THIRD "/ostium_gap", "beside \"ostium\": false, expected neither"},
        {{{THIRD, CLOSED "}"}, {THIRD "/ostium", "true"}}, THIRD, "the key \"ostium_height\" is missing"},
        {{{THIRD, CLOSED "}"}, {THIRD "/ostium", "true"}}, THIRD, "the key \"ostium_gap\" is missing"},
        {{{THIRD, CLOSED ", \"ostium_gap\": 5}"}, {THIRD "/ostium", "true"}},
         THIRD,
         "the key \"ostium_height\" is missing"},
        {{{THIRD, CLOSED "}"}, {THIRD "/ostium", "\"no\""}}, THIRD "/ostium", "expected true or false"},
        {{{"/coronaries", "{\"third\": " CLOSED "}}"}}, "/coronaries", "expected at least one"},
        {{{THIRD, CLOSED "}"}, {"/alternatives", "[{\"name\": \"a\", \"lacerate\": {\"third\": 0.9}}]"}},
         "/alternatives/0/lacerate/third",
         "there is nothing to lacerate"},
        {{{THIRD, CLOSED "}"}, {"/alternatives", "[{\"name\": \"a\", \"rescue\": {\"third\": 0.9}}]"}},
         "/alternatives/0/rescue/third",
         "there is nothing to rescue"},
        {{{THIRD, CLOSED "}"}, {"/confirmed", "[\"third.ostium_gap\"]"}}, "/confirmed/0", "nearest: \"third.stj_gap\""},
        {{{THIRD, CLOSED "}"}, {"/confirmed", "[\"third.stj_gap\"]"}}, NULL, NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        outcome o = read_with(smallest, NULL, cases[i].put, cases[i].put[1].pointer ? 2 : 1);
        bool said = !cases[i].words && o.status == SM_OK;
        for (size_t j = 0; cases[i].words && j < o.diag.n; j++)
            said |= strstr(o.diag.item[j].words, cases[i].words) && strcmp(o.diag.item[j].pointer, cases[i].at) == 0;
        if (!said)
            fail_msg("%zu, %s: %s", i, cases[i].words ? cases[i].words : "taken", o.messages.s);
        outcome_destroy(&o);
    }
}

static void keeps_the_forms_of_the_plane_apart(void **state)
{
    (void)state;
    static const char *const points[][2] = {{"radius_mm", "11"},
                                            {"azimuths_deg", "[0, 120, 240]"},
                                            {"point_sd_mm", "0.7"},
                                            {"cuff_wave_mm", "0"},
                                            {"placements", "1"}};
    const sm_override tilt = {"/scan/base_plane", "{\"tilt_sd_deg\": 3, \"level_sd_mm\": 0.5}"};
    for (size_t i = 0; i < sizeof points / sizeof *points; i++) {
        sm_text pointer = {0};
        sm_text_addf(&pointer, "/scan/base_plane/%s", points[i][0]);
        check_two(tilt, (sm_override){pointer.s, points[i][1]}, NULL, "expected either");
        check_two((sm_override){"/case", "\"x\""}, (sm_override){pointer.s, points[i][1]}, NULL, NULL);
        sm_text_destroy(&pointer);
    }
    check_two((sm_override){"/scan/base_plane/tilt_sd_deg", "3"}, (sm_override){"/case", "\"x\""}, NULL,
              "\"level_sd_mm\" is missing");
    check_two((sm_override){"/scan/base_plane/level_sd_mm", "1"}, (sm_override){"/case", "\"x\""}, NULL,
              "\"tilt_sd_deg\" is missing");
    check_two((sm_override){"/scan/base_plane/level_sd_mm", "1"}, (sm_override){"/scan/base_plane/tilt_sd_deg", "3"},
              NULL, NULL);
}

static void binds_designs_to_their_keys(void **state)
{
    (void)state;
    static const struct {
        const char *mount, *key, *value, *words;
    } designs[] = {{"\"stentless\"", "post_azimuth_deg", "10", "post_azimuth_deg on a stentless valve"},
                   {"\"stentless\"", "post_azimuth_deg", "\"unknown\"", "post_azimuth_deg on a stentless valve"},
                   {"\"stentless\"", "post_block_deg", "15", "post_block_deg on a stentless valve"},
                   {"\"internal\"", "post_azimuth_deg", "10", NULL},
                   {"\"internal\"", "post_block_deg", "15", NULL},
                   {"\"stentless\"", "mount_offset_mm", "0.1", "mount_offset_mm other than 0"},
                   {"\"internal\"", "mount_offset_mm", "{\"uniform\": {\"min\": 0, \"max\": 0.1}}",
                    "mount_offset_mm other than 0"},
                   {"\"internal\"", "mount_offset_mm", "0", NULL},
                   {"\"external\"", "mount_offset_mm", "0.1", NULL}};
    for (size_t i = 0; i < sizeof designs / sizeof *designs; i++) {
        sm_text pointer = {0};
        sm_text_addf(&pointer, "/surgical_valve/%s", designs[i].key);
        check_two((sm_override){"/surgical_valve/leaflet_mount", designs[i].mount},
                  (sm_override){pointer.s, designs[i].value}, NULL, designs[i].words);
        sm_text_destroy(&pointer);
    }
}

static void takes_an_sd_with_the_plane_from_the_profile(void **state)
{
    (void)state;
    const sm_override includes = {GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"sd_includes_plane\": true}"};
    const sm_override other = {"/coronaries/left/stj_gap",
                               "{\"readings_mm\": {\"A\": [2.7]}, \"sd_includes_plane\": true}"};
    const sm_override nothing = {"/case", "\"x\""};
    check_two(includes, nothing, small_profile, NULL); /* the profile states SDs of this gap */
    check_two(includes, nothing, NULL, "sd_includes_plane without an SD beside it");
    check_two(other, nothing, small_profile, "sd_includes_plane without an SD beside it");
}

/* 4. The same by override */

#define SD    GAP "/between_reader_sd_mm"
#define OTHER GAP "/repeat_sd_mm"
#define DOF   GAP "/dof"
#define PLANE GAP "/sd_includes_plane"

/* What binds an SD to its companions, as values put in one by one; without a word: taken. */
static const struct {
    const char *profile;
    size_t n;
    sm_override put[3];
    const char *words;
} companions[] = {
    {NULL,
     1,
     {{DOF, "10"}},
     "found dof without an SD beside it, expected between_reader_sd_mm or repeat_sd_mm in the same place"},
    {small_profile, 1, {{DOF, "10"}}, "found dof without an SD beside it"},
    {NULL, 3, {{SD, "0.6"}, {OTHER, "0.4"}, {DOF, "10"}}, NULL},
    {small_profile, 3, {{SD, "0.6"}, {OTHER, "0.4"}, {DOF, "10"}}, NULL},
    {NULL, 1, {{PLANE, "true"}}, "found sd_includes_plane without an SD beside it"},
    {small_profile, 1, {{PLANE, "true"}}, NULL},
    {NULL, 3, {{SD, "0.6"}, {OTHER, "0.4"}, {PLANE, "true"}}, NULL},
    {NULL, 1, {{GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"dof\": 10}"}}, "found dof without an SD beside it"},
    {small_profile, 1, {{GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"dof\": 10}"}}, "found dof without an SD beside it"},
    {NULL,
     1,
     {{GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"repeat_sd_mm\": 0.4, \"dof\": 10}"}},
     "between_reader_sd_mm is not stated beside repeat_sd_mm: it is taken as 0"},
    {small_profile,
     1,
     {{GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"repeat_sd_mm\": 0.4}"}},
     "between_reader_sd_mm is not stated beside repeat_sd_mm: it is taken as 0"},
    {NULL,
     1,
     {{GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"repeat_sd_mm\": 0.4, \"sd_includes_plane\": true}"}},
     "it is taken as 0"},
    {NULL,
     1,
     {{GAP, "{\"readings_mm\": {\"A\": [5, 6], \"B\": [5, 6]}, \"repeat_sd_mm\": 0.4, \"sd_from_readings\": true}"}},
     "the SDs stated here are not used"},
};

static void holds_overrides_to_the_rules_of_sds(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof companions / sizeof *companions; i++) {
        const sm_override *put = companions[i].put;
        const size_t n = companions[i].n;
        char *text = text_with(smallest, put, n);
        outcome o = read_with(text, companions[i].profile, NULL, 0);
        assert_contains(o.messages.s, companions[i].words ? companions[i].words : "");
        assert_true(companions[i].words || o.messages.len == 0);
        check_as_text(text, smallest, companions[i].profile, put, n);
        check_sections(text, companions[i].profile, put, n);
        outcome_destroy(&o);
        free(text);
    }
}

/* An SD that the text states stays stated when its value is changed: the one not stated beside it stays 0. */
static void leaves_an_sd_stated_when_it_is_changed(void **state)
{
    (void)state;
    const sm_override one = {GAP, "{\"readings_mm\": {\"A\": [5.7]}, \"between_reader_sd_mm\": 0.6}"};
    const sm_override twice[] = {{SD, "0.8"}, {SD, "0.9"}};
    char *text = text_with(smallest, &one, 1);
    outcome o = read_with(text, small_profile, twice, 2);
    assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].between_reader_sd_mm, 0.9, 0, 0);
    assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].repeat_sd_mm, 0, 0, 0);
    outcome_destroy(&o);
    o = read_with(smallest, small_profile, twice,
                  2); /* nothing stated there: the profile's companions, however often it is changed */
    assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].between_reader_sd_mm, 0.9, 0, 0);
    assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].repeat_sd_mm, 0.3, 0, 0);
    outcome_destroy(&o);
    free(text);
}

#define LOOKED(given, look) "{" given ", \"cross_check\": " look "}"
#define READ(mm)            "\"readings_mm\": {\"A\": [" mm "]}"

/* Looks at `sides` sides, three each, and at `valve` of the ring and the leaflets' thickness. */
static outcome read_looks(int sides, size_t valve)
{
    static const char gap[] = LOOKED(READ("5.7"), LOOK("echo", "6", "")),
                      stj_gap[] = LOOKED(READ("2.7"), LOOK("echo", "3", "")),
                      leaflet[] = LOOKED("\"normal\": {\"mean\": 14.8, \"sd\": 1}", LOOK("ct", "14", ITS_SD)),
                      inner[] = LOOKED("\"normal\": {\"mean\": 22, \"sd\": 1}", LOOK("bench", "22.1", ITS_SD)),
                      thick[] = LOOKED("\"uniform\": {\"min\": 0.4, \"max\": 0.9}", LOOK("echo", "0.8", ITS_SD));
    sm_text t = {0};
    sm_text_puts(&t, "{");
    for (int k = 0; k < sides; k++) {
        sm_text_addf(&t, "%s\"side%d\": {\"azimuth_deg\": %d, \"circle_mm\": 22.4, \"ostium_height\": 9.5,",
                     k ? ", " : "", k, 20 * k);
        sm_text_addf(&t, "\"stj_height\": 18, \"ostium_gap\": %s, \"stj_gap\": %s, \"leaflet_height\": %s}", gap,
                     stj_gap, leaflet);
    }
    sm_text_puts(&t, "}");
    const sm_override put[] = {{"/coronaries", t.s},
                               {"/surgical_valve/inner_diameter_mm", inner},
                               {"/surgical_valve/leaflet_thickness_mm", thick}};
    char *text = text_with(smallest, put, 1 + valve);
    outcome o = read_text(text);
    free(text);
    sm_text_destroy(&t);
    return o;
}

static void takes_eight_looks_and_no_more(void **state)
{
    (void)state;
    outcome o = read_looks(2, 2);
    if (!o.c)
        fail_msg("refused: %s", o.messages.s);
    assert_int_equal(SM_MAX_LOOKS, 8);
    outcome_destroy(&o);
    o = read_looks(3, 0);
    assert_int_equal(o.diag.faults, 1);
    assert_contains(o.messages.s, "/coronaries/side2/leaflet_height/cross_check: found 9 second looks (cross_check) in "
                                  "this case, expected at most 8");
    outcome_destroy(&o);
    o = read_looks(7, 1); /* one fault, however many there are */
    assert_int_equal(o.diag.faults, 1);
    assert_contains(o.messages.s, "found 22 second looks");
    outcome_destroy(&o);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(has_a_test_for_every_rule),
        cmocka_unit_test(binds_values_to_each_other),
        cmocka_unit_test(a_sinus_without_a_coronary_has_no_ostium),
        cmocka_unit_test(keeps_the_forms_of_the_plane_apart),
        cmocka_unit_test(binds_designs_to_their_keys),
        cmocka_unit_test(takes_an_sd_with_the_plane_from_the_profile),
        cmocka_unit_test(holds_overrides_to_the_rules_of_sds),
        cmocka_unit_test(leaves_an_sd_stated_when_it_is_changed),
        cmocka_unit_test(takes_eight_looks_and_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
