/* test_casefile.c - what a case becomes: the documented example, precedence, assumptions, overrides, alternatives.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

/* 1. The documented examples */

static void reads_the_documented_case(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1"), *profile = example("slimmargin-profile-1");
    outcome o = read_with(text, profile, NULL, 0);
    assert_string_equal(o.messages.s, "");
    const sm_case *c = o.c;
    assert_string_equal(c->name, "harbour-07");
    assert_string_equal(c->note, "Invented example.");
    assert_int_equal(c->scan.blooming_mm.family, SM_TRIANGULAR);
    assert_near(c->scan.blooming_mm.p[1], 0.5, 0, 0);
    assert_near(c->scan.base_plane.cuff_wave_mm, 0.6, 0, 0);
    assert_int_equal(c->scan.base_plane.placements, 1);
    assert_int_equal(c->valve.leaflet_mount, SM_MOUNT_EXTERNAL);
    assert_near(c->valve.inner_diameter.value.p[0], 22.3, 0, 0);
    assert_true(c->valve.post_azimuth_unknown);
    assert_int_equal(c->implant.expansion, SM_BALLOON);
    assert_int_equal(c->implant.shape_points, 4); /* a balloon opens its top */
    assert_int_equal(c->n_coronaries, 2);
    assert_string_equal(c->coronary[1].name, "right");
    const sm_quantity *height = &c->coronary[0].quantity[SM_OSTIUM_HEIGHT],
                      *gap = &c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_true(height->is_read);
    assert_int_equal(height->readings.n, 2);
    assert_string_equal(height->readings.row[1].reader, "B");
    assert_near(sm_quantity_estimate(height), (9.25 + 9.9) / 2, 1e-15, 0);
    assert_near(gap->bloom_edges, -1, 0, 0);
    assert_near(gap->between_reader_sd_mm, 0.5, 0, 0); /* of the profile */
    assert_near(gap->dof, 21, 0, 0);
    assert_near(sm_dist_mean(&c->limits.ostium_clearance_mm), 4.0, 0, 0);
    assert_near(c->action_line, 0.20, 0, 0);
    assert_int_equal(c->n_alternatives, 3);
    assert_near(c->alternative[0].implant.nominal_diameter_mm, 22.5, 0, 0);
    assert_near(c->alternative[1].rescue[0], 0.90, 0, 0);
    assert_near(c->alternative[1].rescue[1], SM_NOT_DONE, 0, 0);
    assert_near(c->alternative[2].lacerate[0], 0.93, 0, 0);
    assert_near(c->alternative[2].burden, 0.05, 0, 0);
    outcome_destroy(&o);
    free(text);
    free(profile);
}

static void reads_the_documented_quantity(void **state)
{
    (void)state;
    char *text = example("\"cross_check\": {\"modality\"");
    outcome o = read_put("/coronaries/left/ostium_gap", text);
    assert_int_equal(o.status, SM_OK);
    const sm_quantity *q = &o.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_near(q->between_reader_sd_mm, 0.6, 0, 0);
    assert_near(q->repeat_sd_mm, 0.4, 0, 0);
    assert_near(q->dof, 18, 0, 0);
    assert_near(sm_quantity_estimate(q), (8.15 + 8.5) / 2, 1e-15, 0);
    assert_true(q->cross_check.present);
    assert_int_equal(q->cross_check.modality, SM_FLUOROSCOPY);
    assert_near(q->cross_check.readings.row[0].mm[0], 6.6, 0, 0);
    assert_near(q->cross_check.reader_sd_mm, 1.3, 0, 0);
    outcome_destroy(&o);
    free(text);
}

static void tells_the_profile_path_and_the_digests(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1");
    char *path, *none;
    assert_int_equal(sm_casefile_profile_path((sm_file_text){"case.json", text, strlen(text)}, &path), SM_OK);
    assert_string_equal(path, "site.json");
    assert_int_equal(sm_casefile_profile_path((sm_file_text){"case.json", smallest, sizeof smallest - 1}, &none),
                     SM_OK);
    assert_null(none);
    assert_int_equal(sm_casefile_profile_path((sm_file_text){"case.json", "{\"profile\":", 11}, &none), SM_OK);
    assert_null(none);
    assert_int_equal(sm_casefile_profile_path((sm_file_text){"case.json", "{\"profile\": 5}", 14}, &none), SM_OK);
    assert_null(none);
    outcome o = read_text(text);
    assert_contains(o.messages.s, "/profile: warning: the profile was not given");
    assert_null(sm_casefile_profile_sha256(o.file));
    assert_int_equal(strlen(sm_casefile_case_sha256(o.file)), 64);
    outcome_destroy(&o);
    free(path);
    free(text);
}

/* The digests were computed by another program (Python's hashlib). */
static void writes_known_digests(void **state)
{
    (void)state;
    static const char text[] =
        "{\"format\":\"slimmargin-case-1\",\"case\":\"s\",\"surgical_valve\":{\"leaflet_mount\":\"internal\","
        "\"inner_diameter_mm\":22},\"implant\":{\"expansion\":\"self\",\"nominal_diameter_mm\":24,\"frame_height_mm\":"
        "40,"
        "\"skirt_height_mm\":9,\"implant_depth_mm\":4},\"coronaries\":{\"left\":{\"azimuth_deg\":35,\"circle_mm\":22.4,"
        "\"ostium_height\":9.5,\"ostium_gap\":5.7,\"stj_height\":18,\"stj_gap\":2.7,\"leaflet_height\":14.8}}}";
    outcome o = read_with(text, small_profile, NULL, 0);
    assert_string_equal(sm_casefile_case_sha256(o.file),
                        "0c198d1f7f5755952bb80a541df89c650f73e865433c46ce3e8f59e1e4c99317");
    assert_string_equal(sm_casefile_profile_sha256(o.file),
                        "a9d5b01bf7df023bf7249649e08f80fdc92a172c6f5923d7ea441e695040c9e0");
    outcome_destroy(&o);
}

/* 2. Precedence: case, profile, default */

static void takes_the_first_place_that_states_a_key(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    assert_near(o.c->scan.centreline_sd_mm, 0.4, 0, 0);
    assert_near(o.c->action_line, 0, 0, 0);
    assert_int_equal(assumption_at(&o, "/scan/centreline_sd_mm")->origin, SM_FROM_DEFAULT);
    outcome_destroy(&o);
    o = read_with(smallest, small_profile, NULL, 0);
    assert_near(o.c->scan.centreline_sd_mm, 0.3, 0, 0);
    assert_near(o.c->action_line, 0.15, 0, 0);
    const sm_assumption *a = assumption_at(&o, "/scan/centreline_sd_mm");
    assert_int_equal(a->origin, SM_FROM_PROFILE);
    assert_int_equal(a->grade, SM_STATED);
    assert_string_equal(a->source, "phantom");
    assert_string_equal(assumption_at(&o, "/coronaries/left/ostium_gap/dof")->source, "reader study of 12 scans");
    outcome_destroy(&o);
    sm_override mine = {"/scan/centreline_sd_mm", "0.7"};
    o = read_with(smallest, small_profile, &mine, 1);
    assert_near(o.c->scan.centreline_sd_mm, 0.7, 0, 0);
    assert_int_equal(assumption_at(&o, "/scan/centreline_sd_mm")->origin, SM_FROM_CASE);
    outcome_destroy(&o);
}

static outcome read_gap(const char *gap, const char *profile)
{
    char *text = replaced(smallest, "\"ostium_gap\": 5.7", gap);
    outcome o = read_with(text, profile, NULL, 0);
    free(text);
    return o;
}

static void takes_both_sds_and_dof_from_one_place(void **state)
{
    (void)state;
    outcome o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7]}, \"repeat_sd_mm\": 0.25}", small_profile);
    const sm_quantity *q = &o.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_near(q->between_reader_sd_mm, 0, 0, 0);
    assert_near(q->repeat_sd_mm, 0.25, 0, 0);
    assert_near(q->dof, 0, 0, 0); /* the profile's dof belongs to the profile's SDs */
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap: warning: between_reader_sd_mm is not stated beside "
                                  "repeat_sd_mm: it is taken as 0");
    assert_int_equal(assumption_at(&o, "/coronaries/left/ostium_gap/between_reader_sd_mm")->origin, SM_FROM_CASE);
    assert_string_equal(assumption_at(&o, "/coronaries/left/ostium_gap/between_reader_sd_mm")->value.json, "0");
    outcome_destroy(&o);
    char *one_sd = replaced(small_profile, "\"between_reader_sd_mm\": 0.5, ", "");
    o = read_with(smallest, one_sd, NULL, 0);
    q = &o.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_near(q->between_reader_sd_mm, 0, 0, 0);
    assert_near(q->repeat_sd_mm, 0.3, 0, 0);
    assert_contains(o.messages.s, "site.json:2:28: /readers/ostium_gap: warning: between_reader_sd_mm is not stated");
    outcome_destroy(&o);
    free(one_sd);
}

static void keeps_what_an_sd_contains_with_the_sd(void **state)
{
    (void)state;
    char *plane =
        replaced(small_profile, "\"dof\": 21", "\"dof\": 21, \"sd_includes_plane\": true, \"bloom_edges\": -1");
    outcome o = read_with(smallest, plane, NULL, 0);
    assert_true(o.c->coronary[0].quantity[SM_OSTIUM_GAP].sd_includes_plane);
    assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].bloom_edges, -1, 0, 0);
    outcome_destroy(&o);
    o = read_gap(
        "\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7]}, \"repeat_sd_mm\": 0.25, \"between_reader_sd_mm\": 0.1}",
        plane);
    assert_false(o.c->coronary[0].quantity[SM_OSTIUM_GAP].sd_includes_plane);
    outcome_destroy(&o);
    /* type A: SDs and what a profile says of them play no part */
    o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 5.2], \"B\": [6, 5.5]}, \"sd_from_readings\": true}",
                 plane);
    assert_int_equal(o.status, SM_OK);
    assert_false(o.c->coronary[0].quantity[SM_OSTIUM_GAP].sd_includes_plane);
    assert_false(has_assumption(&o, "/coronaries/left/ostium_gap/repeat_sd_mm"));
    assert_string_equal(assumption_at(&o, "/coronaries/left/ostium_gap/sd_from_readings")->value.json, "true");
    assert_near(sm_quantity_estimate(&o.c->coronary[0].quantity[SM_OSTIUM_GAP]), 5.6, 1e-15, 0);
    outcome_destroy(&o);
    free(plane);
}

/* 5,7 typed for 5.7 is two readings; 5.7 and 6.3 are what a reader may well give. */
static void warns_of_readings_far_apart(void **state)
{
    (void)state;
    outcome o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5,7]}}", small_profile);
    assert_int_equal(o.status, SM_OK);
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap: warning: readings of reader A lie 2 mm apart");
    outcome_destroy(&o);
    o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 6.3], \"B\": [8]}}", small_profile);
    assert_int_equal(o.status, SM_OK);
    assert_null(o.messages.s ? strstr(o.messages.s, "apart") : NULL);
    outcome_destroy(&o);
}

static void warns_of_sds_that_are_not_used(void **state)
{
    (void)state;
    outcome o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 5.7], \"B\": [5.7, 5.7]}, "
                         "\"sd_from_readings\": true, "
                         "\"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3}",
                         NULL);
    assert_int_equal(o.status, SM_OK);
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap/sd_from_readings: warning: all readings are the same");
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap: warning: the SDs stated here are not used");
    outcome_destroy(&o);
}

/* One reader's scatter does not show what readers differ by. */
static void keeps_the_sd_between_readers_of_one_reader(void **state)
{
    (void)state;
    outcome o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 5.9, 5.5, 5.7]}, \"sd_from_readings\": true, "
                         "\"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3}",
                         NULL);
    assert_int_equal(o.status, SM_OK);
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap: warning: repeat_sd_mm is not used");
    assert_near(assumption_at(&o, "/coronaries/left/ostium_gap/between_reader_sd_mm")->value.number, 0.5, 0, 0);
    outcome_destroy(&o);
    o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 5.9, 5.5, 5.7]}, \"sd_from_readings\": true, "
                 "\"between_reader_sd_mm\": 0.5}",
                 NULL);
    assert_null(o.messages.s ? strstr(o.messages.s, "warning: ") : NULL);
    outcome_destroy(&o);
}

/* Readers 4 mm apart with SDs of 0.4 are named, and what that does is said; 1 mm apart they pass. */
static void names_readers_who_lie_apart(void **state)
{
    (void)state;
    outcome o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [3], \"B\": [5.5], \"C\": [7]}, "
                         "\"between_reader_sd_mm\": 0.4, \"repeat_sd_mm\": 0.4}",
                         NULL);
    assert_int_equal(o.status, SM_OK);
    assert_contains(o.messages.s, "/coronaries/left/ostium_gap: warning: readers A and C lie 4 mm apart");
    outcome_destroy(&o);
    o = read_gap("\"ostium_gap\": {\"readings_mm\": {\"A\": [5], \"B\": [6]}, \"between_reader_sd_mm\": 0.4, "
                 "\"repeat_sd_mm\": 0.4}",
                 NULL);
    assert_null(o.messages.s ? strstr(o.messages.s, "apart") : NULL);
    outcome_destroy(&o);
}

/* The base points were picked once, on the ring that is there. */
static void keeps_the_radius_of_the_plan_for_alternatives(void **state)
{
    (void)state;
    outcome o =
        read_put("/alternatives", "[{\"name\": \"fractured\", \"surgical_valve\": {\"inner_diameter_mm\": 25}}]");
    assert_int_equal(o.status, SM_OK);
    assert_near(sm_dist_mean(&o.c->alternative[0].valve.inner_diameter.value), 25, 0, 0);
    assert_near(o.c->scan.base_plane.radius_mm, 11, 0, 0); /* half of 22 */
    outcome_destroy(&o);
}

static const char *with_the_plane(const char *more, char out[400])
{
    snprintf(out, 400,
             "\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7], \"B\": [5.9], \"C\": [5.8]}, "
             "\"between_reader_sd_mm\": 0.9, \"repeat_sd_mm\": 0.4, \"sd_includes_plane\": true%s}",
             more);
    return out;
}

/* Three readers whose SDs contain the plane each placed one; what the case states itself holds. */
static void takes_placements_from_readers_who_placed_the_plane(void **state)
{
    (void)state;
    char gap[400];
    outcome o = read_gap(with_the_plane("", gap), NULL);
    assert_int_equal(o.status, SM_OK);
    assert_int_equal(o.c->scan.base_plane.placements, 3);
    assert_near(assumption_at(&o, "/scan/base_plane/placements")->value.number, 3, 0, 0);
    assert_int_equal(assumption_at(&o, "/scan/base_plane/placements")->grade, SM_DERIVED);
    outcome_destroy(&o);
}

static void keeps_stated_placements_and_the_fewest_readers(void **state)
{
    (void)state;
    char gap[400], *text = replaced(smallest, "\"ostium_gap\": 5.7", with_the_plane("", gap));
    const sm_override two = {"/coronaries/left/ostium_height", "{\"readings_mm\": {\"A\": [9], \"B\": [9.1]}, "
                                                               "\"between_reader_sd_mm\": 0.9, \"repeat_sd_mm\": 0.4, "
                                                               "\"sd_includes_plane\": true}"};
    const sm_override stated = {"/scan/base_plane/placements", "1"};
    outcome o = read_with(text, NULL, &two, 1);
    assert_int_equal(o.c->scan.base_plane.placements, 2);
    outcome_destroy(&o);
    o = read_with(text, NULL, &stated, 1);
    assert_int_equal(o.c->scan.base_plane.placements, 1);
    outcome_destroy(&o);
    free(text);
}

static void passes_over_what_a_profile_says_of_another_design(void **state)
{
    (void)state;
    char *profile =
        replaced(small_profile, "\"surgical_valve\": {}",
                 "\"surgical_valve\": {\"mount_offset_mm\": {\"value\": 1.2}, \"post_block_deg\": {\"value\": 20}}");
    outcome o = read_with(smallest, profile, NULL, 0);
    assert_near(sm_dist_mean(&o.c->valve.mount_offset_mm), 1.2, 1e-15, 0);
    outcome_destroy(&o);
    sm_override internal = {"/surgical_valve/leaflet_mount", "\"internal\""};
    o = read_with(smallest, profile, &internal, 1);
    assert_near(sm_dist_mean(&o.c->valve.mount_offset_mm), 0, 0, 0);
    assert_near(o.c->valve.post_block_deg, 20, 0, 0);
    outcome_destroy(&o);
    sm_override stentless = {"/surgical_valve/leaflet_mount", "\"stentless\""};
    o = read_with(smallest, profile, &stentless, 1);
    assert_int_equal(o.status, SM_OK);
    assert_false(has_assumption(&o, "/surgical_valve/post_block_deg"));
    outcome_destroy(&o);
    free(profile);
}

static void takes_the_form_of_the_base_plane_from_its_first_place(void **state)
{
    (void)state;
    char *tilt = replaced(small_profile, "\"scan\": {",
                          "\"scan\": {\"base_plane\": {\"tilt_sd_deg\": {\"value\": 3}, "
                          "\"level_sd_mm\": {\"value\": 0.5}}, ");
    outcome o = read_with(smallest, tilt, NULL, 0);
    assert_true(o.c->scan.base_plane.tilt_form);
    assert_near(o.c->scan.base_plane.tilt_sd_deg, 3, 0, 0);
    assert_false(has_assumption(&o, "/scan/base_plane/point_sd_mm"));
    assert_int_equal(assumption_at(&o, "/scan/base_plane/tilt_sd_deg")->doubt.kind, SM_DOUBT_NONE); /* stated */
    outcome_destroy(&o);
    sm_override points = {"/scan/base_plane/cuff_wave_mm", "0.2"};
    o = read_with(smallest, tilt, &points, 1);
    assert_false(o.c->scan.base_plane.tilt_form);
    assert_near(o.c->scan.base_plane.point_sd_mm, 0.7, 0, 0);
    outcome_destroy(&o);
    free(tilt);
    char *whole = replaced(small_profile, "\"scan\": {",
                           "\"scan\": {\"base_plane\": {\"value\": {\"placements\": 3}, "
                           "\"source\": \"three sessions\"}, ");
    o = read_with(smallest, whole, NULL, 0);
    assert_int_equal(o.c->scan.base_plane.placements, 3);
    assert_string_equal(assumption_at(&o, "/scan/base_plane/placements")->source, "three sessions");
    outcome_destroy(&o);
    free(whole);
}

static void takes_a_cross_check_of_the_profile_by_modality(void **state)
{
    (void)state;
    char *profile = replaced(small_profile, "\"dof\": 21",
                             "\"dof\": 21, \"cross_check\": {\"modality\": \"echo\", "
                             "\"reader_sd_mm\": 1.1, \"spoiled\": 0.02, \"source\": \"echo study\"}");
    static const char *const modality[] = {"echo", "fluoroscopy"};
    static const double reader_sd[] = {1.1, 1.3}, scale_sd[] = {0.02, 0.04};
    for (size_t i = 0; i < 2; i++) {
        sm_text gap = {0};
        sm_text_addf(&gap,
                     "\"ostium_gap\": {\"readings_mm\": {\"A\": [5.7]}, \"cross_check\": {\"modality\": \"%s\", "
                     "\"readings_mm\": {\"A\": [6]}}}",
                     modality[i]);
        outcome o = read_gap(gap.s, profile);
        assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].cross_check.reader_sd_mm, reader_sd[i], 0, 0);
        assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].cross_check.magnification_sd, scale_sd[i], 0, 0);
        const sm_assumption *a = assumption_at(&o, "/coronaries/left/ostium_gap/cross_check/reader_sd_mm");
        assert_int_equal(a->origin, i == 0 ? SM_FROM_PROFILE : SM_FROM_DEFAULT);
        assert_near(o.c->coronary[0].quantity[SM_OSTIUM_GAP].cross_check.spoiled, i == 0 ? 0.02 : 0.05, 0, 0);
        assert_string_equal(a->draws, "left.ostium_gap.cross_check");
        assert_contains(a->words, "left ostium gap: cross-check: reader SD");
        assert_string_equal(assumption_at(&o, "/coronaries/left/ostium_gap/cross_check/magnification_sd")->draws,
                            "cross_check_calibration");
        outcome_destroy(&o);
        sm_text_destroy(&gap);
    }
    free(profile);
}

/* A distribution and the look beside it, in either order; the list tells the distribution. */
static void takes_a_look_beside_a_distribution(void **state)
{
    (void)state;
    static const char *const json[] = {
        "{\"lognormal\": {\"median\": 0.8, \"gsd\": 1.3}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": "
        "{\"A\": [0.9, 1], \"B\": [1.1]}, \"reader_sd_mm\": 0.2}}",
        "{\"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [0.9, 1], \"B\": [1.1]}, "
        "\"reader_sd_mm\": 0.2}, \"lognormal\": {\"median\": 0.8, \"gsd\": 1.3}}"};
    for (size_t i = 0; i < 2; i++) {
        outcome o = read_put("/surgical_valve/leaflet_thickness_mm", json[i]);
        if (!o.c)
            fail_msg("refused: %s", o.messages.s);
        const sm_quantity *q = &o.c->valve.leaflet_thickness;
        assert_false(q->is_read);
        assert_int_equal(q->value.family, SM_LOGNORMAL);
        assert_near(q->value.p[0], 0.8, 0, 0);
        assert_near(sm_readings_mean(&q->cross_check.readings), 1.025, 1e-15, 0);
        const sm_assumption *a = assumption_at(&o, "/surgical_valve/leaflet_thickness_mm");
        assert_int_equal(a->value.kind, SM_DATUM_DIST);
        assert_near(a->value.dist.p[1], 1.3, 0, 0);
        assert_false(a->is_constant);
        outcome_destroy(&o);
    }
}

/* 3. Assumptions */

static void lists_every_assumption_of_the_smallest_case(void **state)
{
    (void)state;
    static const struct {
        const char *path, *draws;
        bool constant;
    } want[] = {{"/scan/detector", "", true},
                {"/scan/kernel", "", true},
                {"/scan/blooming_mm", "blooming", false},
                {"/scan/centreline_sd_mm", "centreline", true},
                {"/scan/base_plane/radius_mm", "base_plane", true},
                {"/scan/base_plane/azimuths_deg", "base_plane", true},
                {"/scan/base_plane/point_sd_mm", "base_plane", true},
                {"/scan/base_plane/cuff_wave_mm", "base_plane", true},
                {"/scan/base_plane/placements", "base_plane", true},
                {"/surgical_valve/ring_height_mm", "", true},
                {"/surgical_valve/ring_give_mm", "ring_give", false},
                {"/surgical_valve/eccentricity", "eccentricity", false},
                {"/surgical_valve/leaflet_thickness_mm", "leaflet_thickness", false},
                {"/surgical_valve/mount_offset_mm", "mount_offset", false},
                {"/surgical_valve/mid_fraction", "mid", false},
                {"/surgical_valve/leaflet_overhang_mm", "leaflet_overhang", false},
                {"/surgical_valve/post_azimuth_deg", "post_azimuth", false},
                {"/surgical_valve/post_block_deg", "", true},
                {"/implant/overexpansion", "overexpansion", false},
                {"/implant/flare", "flare", false},
                {"/implant/canting_sd_deg", "canting", true},
                {"/implant/offset_sd_mm", "offset", true},
                {"/implant/shape", "", true},
                {"/coronaries/left/ostium_height/between_reader_sd_mm", "left.ostium_height", true},
                {"/coronaries/left/ostium_height/repeat_sd_mm", "left.ostium_height", true},
                {"/coronaries/left/ostium_height/bloom_edges", "blooming", true},
                {"/coronaries/left/ostium_gap/between_reader_sd_mm", "left.ostium_gap", true},
                {"/coronaries/left/ostium_gap/repeat_sd_mm", "left.ostium_gap", true},
                {"/coronaries/left/ostium_gap/bloom_edges", "blooming", true},
                {"/coronaries/left/stj_height/between_reader_sd_mm", "left.stj_height", true},
                {"/coronaries/left/stj_height/repeat_sd_mm", "left.stj_height", true},
                {"/coronaries/left/stj_height/bloom_edges", "blooming", true},
                {"/coronaries/left/stj_gap/between_reader_sd_mm", "left.stj_gap", true},
                {"/coronaries/left/stj_gap/repeat_sd_mm", "left.stj_gap", true},
                {"/coronaries/left/stj_gap/bloom_edges", "blooming", true},
                {"/coronaries/left/leaflet_height/between_reader_sd_mm", "left.leaflet_height", true},
                {"/coronaries/left/leaflet_height/repeat_sd_mm", "left.leaflet_height", true},
                {"/coronaries/left/leaflet_height/bloom_edges", "blooming", true},
                {"/limits/published_set", "", true},
                {"/limits/ostium_clearance_mm", "limits", true},
                {"/limits/stj_clearance_mm", "limits", true},
                {"/limits/reach_margin_mm", "", true},
                {"/limits/reference_thickness_mm", "", true},
                {"/limits/reference_blooming_mm", "", true},
                {"/limits/basis", "", true},
                {"/population/ostium_gap_mm", "", false}};
    outcome o = read_text(smallest);
    const sm_assumption *a;
    assert_int_equal(sm_casefile_assumptions(o.file, &a), sizeof want / sizeof *want);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        const sm_assumption *at = assumption_at(&o, want[i].path);
        assert_string_equal(at->draws, want[i].draws);
        if (at->is_constant != want[i].constant)
            fail_msg("%s: is_constant", want[i].path);
        assert_int_equal(at->origin, SM_FROM_DEFAULT);
        assert_int_not_equal(at->grade, SM_STATED);
        assert_true(at->source[0] && at->words[0]);
    }
    outcome_destroy(&o);
}

/* Each end of each range can be put in place of the value: the case is read, with that value and nothing else changed.
 */
static void accepts_the_ends_of_every_range(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    const sm_assumption *a;
    size_t n = sm_casefile_assumptions(o.file, &a), ranges = 0;
    for (size_t i = 0; i < n; i++) {
        const double ends[] = {a[i].doubt.low, a[i].doubt.high};
        const bool number = a[i].doubt.kind != SM_DOUBT_NONE && a[i].doubt.point == SM_POINT_VALUE;
        for (size_t k = 0; k < 2 && number; k++, ranges++) {
            char json[SM_NUMBER_SIZE];
            outcome changed = read_put(a[i].path, sm_number_write(ends[k], json));
            assert_string_equal(changed.messages.s, "");
            assert_near(assumption_at(&changed, a[i].path)->value.number, ends[k], 0, 0);
            for (size_t j = 0; j < n; j++)
                if (j != i)
                    assert_string_equal(assumption_at(&changed, a[j].path)->value.json, a[j].value.json);
            outcome_destroy(&changed);
        }
    }
    assert_int_equal(ranges, 48); /* two ends for each of 24 keys */
    outcome_destroy(&o);
}

static void scales_the_range_of_half_an_sd(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    const sm_assumption *a = assumption_at(&o, "/coronaries/left/stj_height/repeat_sd_mm");
    assert_near(a->value.number, 1.0 / sqrt(2.0), 1e-15, 0);
    assert_near(a->doubt.low, 0.7 / sqrt(2.0), 1e-15, 0);
    assert_near(a->doubt.high, 1.5 / sqrt(2.0), 1e-15, 0);
    assert_string_equal(a->words, "left STJ height: SD of a repeat by the same reader");
    assert_string_equal(a->unit, "mm");
    outcome_destroy(&o);
}

static void lists_stated_keys_too(void **state)
{
    (void)state;
    outcome o = read_put("/surgical_valve/leaflet_thickness_mm",
                         "{\"readings_mm\": {\"A\": [0.9, 1]}, \"resolution_mm\": 0.4}");
    assert_int_equal(o.status, SM_OK);
    assert_near(o.c->valve.leaflet_thickness.bloom_edges, 2, 0, 0);
    const sm_assumption *a = assumption_at(&o, "/surgical_valve/leaflet_thickness_mm");
    assert_string_equal(a->value.json, "{\"readings_mm\": {\"A\": [0.9, 1]}, \"resolution_mm\": 0.4}");
    assert_int_equal(a->grade, SM_STATED);
    assert_false(a->is_constant);
    assert_string_equal(assumption_at(&o, "/surgical_valve/leaflet_thickness_mm/resolution_mm")->draws,
                        "leaflet_thickness");
    assert_string_equal(assumption_at(&o, "/surgical_valve/leaflet_thickness_mm/repeat_sd_mm")->words,
                        "leaflet thickness: SD of a repeat by the same reader");
    outcome_destroy(&o);
}

/* 4. Overrides */

static void overrides_anything(void **state)
{
    (void)state;
    static const sm_override several[] = {
        {"/coronaries/left/ostium_gap/readings_mm/B", "[5.1, 5.3]"},
        {"/coronaries/left/ostium_gap/readings_mm/B/1", "5.9"},
        {"/coronaries/left/ostium_gap/readings_mm/1/0", "6.7"},
        {"/coronaries/right", "{\"azimuth_deg\": 1}"},
        {"/coronaries/right",
         "{\"azimuth_deg\": 160, \"circle_mm\": 22, \"ostium_height\": 11, \"ostium_gap\": 6, \"stj_height\": 19, "
         "\"stj_gap\": 4, \"leaflet_height\": 15}"},
        {"/scan/base_plane/azimuths_deg", "[5, 125, 245]"},
        {"/scan/base_plane/azimuths_deg/0", "10"},
        {"/implant/expansion", "\"self\""}};
    outcome o = read_with(smallest, NULL, several, sizeof several / sizeof *several);
    assert_string_equal(o.messages.s, "");
    const sm_quantity *q = &o.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_int_equal(q->readings.n, 2);
    assert_near(q->readings.row[0].mm[0], 6.7, 0, 0);
    assert_near(q->readings.row[1].mm[1], 5.9, 0, 0);
    assert_int_equal(o.c->n_coronaries, 2);
    assert_near(o.c->coronary[1].azimuth_deg, 160, 0, 0);
    assert_near(o.c->scan.base_plane.azimuths_deg[0], 10, 0, 0);
    assert_near(o.c->implant.flare.p[1], 0.2, 0, 0);
    outcome_destroy(&o);
}

static void overrides_one_sd_and_leaves_its_companions(void **state)
{
    (void)state;
    sm_override o1 = {"/coronaries/left/ostium_gap/between_reader_sd_mm", "0.9"};
    outcome o = read_with(smallest, small_profile, &o1, 1);
    const sm_quantity *q = &o.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_string_equal(o.messages.s, "");
    assert_near(q->between_reader_sd_mm, 0.9, 0, 0);
    assert_near(q->repeat_sd_mm, 0.3, 0, 0); /* still the profile's */
    assert_near(q->dof, 21, 0, 0);
    assert_near(sm_quantity_estimate(q), 5.7, 0, 0); /* the bare reading was kept */
    outcome_destroy(&o);
}

static void refuses_bad_overrides(void **state)
{
    (void)state;
    static const struct {
        sm_override o;
        const char *words;
    } bad[] = {
        {{"implant", "1"}, "found the pointer \"implant\", expected a place in the case: a JSON pointer begins with /"},
        {{"", "1"}, "found the pointer \"\""},
        {{"/implant~2", "1"}, "~ must be written ~0 and / inside a key ~1"},
        {{"/case/x", "1"}, "it leads through a value that is no object and no list"},
        {{"/scan/base_plane/azimuths_deg/7", "1"}, "azimuths_deg"},
        {{"/alternatives/0/burden", "1"}, "/alternatives: found an object, expected a list"},
        {{"/implant/flare", "0.5,"},
         "changed value /implant/flare:1:4: found the character ,, expected nothing after the end"},
        {{"/implant/flare", ""}, "changed value /implant/flare:1:1: found an empty file"},
        {{"/implant/flare", "7"}, "changed value: /implant/flare: found 7, expected a number from 0 to 1"},
        {{"/implant/flair", "0.5"}, "changed value: /implant/flair: found the unknown key \"flair\""}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        outcome o = read_with(smallest, NULL, &bad[i].o, 1);
        assert_int_equal(o.status, SM_REFUSED);
        assert_contains(o.messages.s, bad[i].words);
        outcome_destroy(&o);
    }
    sm_override list[] = {{"/scan/base_plane/azimuths_deg", "[0, 120, 240]"}, {"/scan/base_plane/azimuths_deg/3", "1"}};
    outcome o = read_with(smallest, NULL, list, 2);
    assert_contains(o.messages.s, "there is no such place in the list");
    outcome_destroy(&o);
}

/* 5. Alternatives */

static void lets_defaults_follow_a_patch(void **state)
{
    (void)state;
    outcome o = read_put(
        "/alternatives",
        "[{\"name\": \"self\", \"implant\": {\"expansion\": \"self\"}},"
        " {\"name\": \"inside\", \"surgical_valve\": {\"leaflet_mount\": \"internal\"}},"
        " {\"name\": \"read\", \"surgical_valve\": {\"inner_diameter_mm\": {\"readings_mm\": {\"A\": [21]}}}}]");
    assert_string_equal(o.messages.s, "");
    const sm_alternative *a = o.c->alternative;
    assert_near(a[0].implant.flare.p[1], 0.2, 0, 0);
    assert_near(o.c->implant.flare.p[1], 0.5, 0, 0);
    assert_true(a[0].patches_implant && !a[0].patches_valve);
    assert_near(sm_dist_mean(&a[1].valve.mount_offset_mm), 0, 0, 0);
    assert_true(a[2].valve.inner_diameter.is_read);
    assert_near(a[2].valve.inner_diameter.readings.row[0].mm[0], 21, 0, 0);
    assert_near(a[2].valve.inner_diameter.bloom_edges, -2, 0, 0);
    assert_near(o.c->scan.base_plane.radius_mm, 11, 0, 0); /* of the unpatched case */
    outcome_destroy(&o);
}

static void warns_of_an_alternative_without_effect(void **state)
{
    (void)state;
    static const char *const idle[] = {"{\"name\": \"a\", \"implant\": {\"nominal_diameter_mm\": 24}}",
                                       "{\"name\": \"a\", \"implant\": {}}", "{\"name\": \"a\", \"rescue\": {}}",
                                       "{\"name\": \"a\", \"lacerate\": {\"left\": 0}}",
                                       "{\"name\": \"a\", \"surgical_valve\": {\"post_azimuth_deg\": \"unknown\"}}"};
    for (size_t i = 0; i < sizeof idle / sizeof *idle; i++) {
        sm_text list = {0};
        sm_text_addf(&list, "[%s]", idle[i]);
        outcome o = read_put("/alternatives", list.s);
        assert_int_equal(o.status, SM_OK);
        assert_contains(o.messages.s, "/alternatives/0: warning: this alternative has no effect");
        outcome_destroy(&o);
        sm_text_destroy(&list);
    }
}

static void owns_its_copy_of_the_readings(void **state)
{
    (void)state;
    sm_override both[] = {{"/surgical_valve/inner_diameter_mm", "{\"readings_mm\": {\"A\": [22, 22.5]}}"},
                          {"/alternatives", "[{\"name\": \"a\", \"implant\": {\"nominal_diameter_mm\": 22}}]"}};
    outcome o = read_with(smallest, NULL, both, 2);
    const sm_quantity *planned = &o.c->valve.inner_diameter, *other = &o.c->alternative[0].valve.inner_diameter;
    assert_ptr_not_equal(planned->readings.row, other->readings.row);
    assert_near(other->readings.row[0].mm[1], 22.5, 0, 0);
    /* half of the mean reading, 22.25, and of two edges of the mean default blooming, (0.3 + 0.6 + 0.8)/3 */
    assert_near(o.c->scan.base_plane.radius_mm, (22.25 + 2 * 1.7 / 3) / 2, 1e-14, 0);
    outcome_destroy(&o);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_the_documented_case),
        cmocka_unit_test(reads_the_documented_quantity),
        cmocka_unit_test(tells_the_profile_path_and_the_digests),
        cmocka_unit_test(writes_known_digests),
        cmocka_unit_test(takes_the_first_place_that_states_a_key),
        cmocka_unit_test(takes_both_sds_and_dof_from_one_place),
        cmocka_unit_test(keeps_what_an_sd_contains_with_the_sd),
        cmocka_unit_test(warns_of_readings_far_apart),
        cmocka_unit_test(warns_of_sds_that_are_not_used),
        cmocka_unit_test(keeps_the_sd_between_readers_of_one_reader),
        cmocka_unit_test(names_readers_who_lie_apart),
        cmocka_unit_test(takes_placements_from_readers_who_placed_the_plane),
        cmocka_unit_test(keeps_the_radius_of_the_plan_for_alternatives),
        cmocka_unit_test(keeps_stated_placements_and_the_fewest_readers),
        cmocka_unit_test(passes_over_what_a_profile_says_of_another_design),
        cmocka_unit_test(takes_the_form_of_the_base_plane_from_its_first_place),
        cmocka_unit_test(takes_a_cross_check_of_the_profile_by_modality),
        cmocka_unit_test(takes_a_look_beside_a_distribution),
        cmocka_unit_test(lists_every_assumption_of_the_smallest_case),
        cmocka_unit_test(accepts_the_ends_of_every_range),
        cmocka_unit_test(scales_the_range_of_half_an_sd),
        cmocka_unit_test(lists_stated_keys_too),
        cmocka_unit_test(overrides_anything),
        cmocka_unit_test(overrides_one_sd_and_leaves_its_companions),
        cmocka_unit_test(refuses_bad_overrides),
        cmocka_unit_test(lets_defaults_follow_a_patch),
        cmocka_unit_test(warns_of_an_alternative_without_effect),
        cmocka_unit_test(owns_its_copy_of_the_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
