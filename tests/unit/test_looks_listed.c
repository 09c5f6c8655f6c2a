/* test_looks_listed.c - the looks that a case or a profile lists, the standard set, how the valve lies in the patient:
 * what is read, and what is refused, all of it in one run.
 *
 * Contents: 1. what is read  2. what is refused  3. of a profile  4. the standard set  5. how the valve lies
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_math.h>

#include "casefile_help.h"
#include "measurement/planned_look.h"

static outcome read_looks(const char *json)
{
    return read_put("/looks", json);
}

/* 1. What is read */

static void every_kind(void **state)
{
    (void)state;
    outcome o = read_looks(
        "[{\"name\": \"a\", \"again\": [\"left.ostium_gap\", \"left.stj_height\"], \"readers\": 3, \"burden\": 0.01,"
        "  \"minutes\": 20},"
        " {\"name\": \"b\", \"again\": \"all\", \"plane\": true},"
        " {\"name\": \"c\", \"rescan\": {\"detector\": \"photon_counting\", \"base_plane\": {\"point_sd_mm\": 0.4}},"
        "  \"readers\": 2, \"minutes\": 45},"
        " {\"name\": \"d\", \"project\": \"left.stj_gap\", \"reader_sd_mm\": 0.9},"
        " {\"name\": \"e\", \"direct\": \"leaflet_thickness_mm\", \"sd_mm\": 0.25},"
        " {\"name\": \"f\", \"bundle\": [\"a\", \"d\"]},"
        " {\"name\": \"g\", \"bundle\": [\"a\", \"c\"], \"burden\": 0.03}]");
    assert_int_equal(o.status, SM_OK);
    assert_int_equal(o.c->n_planned, 7);
    assert_false(o.c->planned_standard);
    const sm_planned_look *l = o.c->planned;
    assert_true(l[0].kind == SM_PLANNED_AGAIN && l[0].readers == 3 && l[0].n_targets == 2 && !l[0].own_plane);
    assert_true(l[0].target[0].what == SM_OSTIUM_GAP && l[0].target[1].what == SM_STJ_HEIGHT);
    assert_near(l[0].burden, 0.01, 0, 0);
    assert_near(l[0].minutes, 20, 0, 0);
    assert_true(l[1].all && l[1].own_plane && l[1].n_targets == SM_QUANTITIES && l[1].readers == 1);
    assert_true(l[2].kind == SM_PLANNED_RESCAN && l[2].n_targets == SM_QUANTITIES && l[2].own_plane);
    /* the default of that detector, docs/case-format.md; the plane as the case has it but for what is stated */
    assert_true(l[2].scan.blooming_mm.family == SM_TRIANGULAR);
    assert_near(l[2].scan.blooming_mm.p[1], 0.2, 0, 0);
    assert_near(l[2].scan.base_plane.point_sd_mm, 0.4, 0, 0);
    assert_near(l[2].scan.base_plane.radius_mm, o.c->scan.base_plane.radius_mm, 0, 0);
    assert_near(l[2].scan.base_plane.cuff_wave_mm, o.c->scan.base_plane.cuff_wave_mm, 0, 0);
    assert_true(l[3].kind == SM_PLANNED_PROJECT && l[3].target[0].what == SM_STJ_GAP);
    assert_near(l[3].reader_sd_mm, 0.9, 0, 0);
    assert_near(l[3].magnification_sd, 0.04, 0, 0);
    assert_near(l[3].view_error_sd_deg, 9.5, 0, 0);
    assert_true(l[4].kind == SM_PLANNED_DIRECT && l[4].target[0].what == SM_TARGET_THICKNESS);
    assert_true(l[5].kind == SM_PLANNED_BUNDLE && l[5].n_parts == 2 && l[5].part[1] == 3);
    assert_near(l[5].burden, 0.01, 0, 0); /* of its parts */
    assert_near(l[5].minutes, 20, 0, 0);
    assert_near(l[6].burden, 0.03, 0, 0);
    assert_near(l[6].minutes, 65, 0, 0);
    outcome_destroy(&o);
}

/* A scan by the same detector blooms as the case says, one by another as such scans do. */
static void another_scan_blooms(void **state)
{
    (void)state;
    const sm_override put[] = {{"/scan", "{\"blooming_mm\": 0.9, \"base_plane\": {\"placements\": 3}}"},
                               {"/looks",
                                "[{\"name\": \"a\", \"rescan\": {}}, {\"name\": \"b\", \"rescan\": {\"kernel\": "
                                "\"sharp\"}}, {\"name\": \"c\", \"rescan\": {\"kernel\": \"sharp\", "
                                "\"blooming_mm\": 0.1}}, {\"name\": \"d\", \"rescan\": {\"base_plane\": "
                                "{\"tilt_sd_deg\": 2, \"level_sd_mm\": 0.3, \"x\": 1}}}]"}};
    outcome o = read_with(smallest, NULL, put, 2);
    assert_int_equal(o.status, SM_REFUSED);
    assert_int_equal(o.diag.faults, 1);
    assert_contains(o.messages.s, "unknown key \"x\"");
    outcome_destroy(&o);
    const sm_override sound[] = {put[0],
                                 {"/looks",
                                  "[{\"name\": \"a\", \"rescan\": {}}, {\"name\": \"b\", \"rescan\": {\"kernel\": "
                                  "\"sharp\"}}, {\"name\": \"c\", \"rescan\": {\"kernel\": \"sharp\", "
                                  "\"blooming_mm\": 0.1}}, {\"name\": \"d\", \"rescan\": {\"base_plane\": "
                                  "{\"tilt_sd_deg\": 2, \"level_sd_mm\": 0.3}}}]"}};
    o = read_with(smallest, NULL, sound, 2);
    assert_int_equal(o.status, SM_OK);
    const sm_planned_look *l = o.c->planned;
    assert_near(sm_dist_mean(&l[0].scan.blooming_mm), 0.9, 0, 0);
    assert_near(l[1].scan.blooming_mm.p[1], 0.4, 0, 0);
    assert_near(sm_dist_mean(&l[2].scan.blooming_mm), 0.1, 0, 0);
    assert_int_equal(l[0].scan.base_plane.placements, 1); /* each new reader places one */
    assert_true(l[3].scan.base_plane.tilt_form && !l[0].scan.base_plane.tilt_form);
    assert_int_equal(o.c->scan.base_plane.placements, 3);
    assert_near(sm_dist_mean(&o.c->scan.blooming_mm), 0.9, 0, 0); /* the case is as it was */
    outcome_destroy(&o);
}

/* 2. What is refused */

static void faults(void **state)
{
    (void)state;
    static const char *const refused[][2] = {
        {"{}", "expected a list of at most 24 looks"},
        {"[3]", "expected an object { }"},
        {"[{\"again\": \"all\"}]", "the key \"name\" is missing"},
        {"[{\"name\": \"a\", \"again\": \"all\"}, {\"name\": \"a\", \"again\": \"all\"}]",
         "the name of an earlier look"},
        {"[{\"name\": \"a\"}]", "expected one of again, rescan, project, direct, bundle"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"rescan\": {}}]", "\"rescan\" beside \"again\""},
        {"[{\"name\": \"a\", \"again\": [\"left.ostium_gpa\"]}]", "did you mean \"left.ostium_gap\"?"},
        {"[{\"name\": \"a\", \"again\": [\"inner_diameter_mm\"]}]", "which nobody read in this case"},
        {"[{\"name\": \"a\", \"again\": [\"left.ostium_gap\", \"left.ostium_gap\"]}]", "twice in this look"},
        {"[{\"name\": \"a\", \"again\": []}]", "expected \"all\" or a list of readings"},
        {"[{\"name\": \"a\", \"again\": \"left.ostium_gap\"}]", "expected \"all\" or a list of readings"},
        {"[{\"name\": \"a\", \"again\": [7]}]", "found 7, expected a reading of this case"},
        {"[{\"name\": \"a\", \"project\": \"left.leaflet_height\"}]", "which no such look is at"},
        {"[{\"name\": \"a\", \"project\": \"right.ostium_gap\"}]", "which this case does not have"},
        {"[{\"name\": \"a\", \"direct\": \"inner_diameter_mm\", \"sd_mm\": 0.1}]", "which is exact in this case"},
        {"[{\"name\": \"a\", \"direct\": \"leaflet_thickness_mm\"}]", "the key \"sd_mm\" is missing"},
        {"[{\"name\": \"a\", \"direct\": \"leaflet_thickness_mm\", \"sd_mm\": 0}]", "from 0.01 to 10"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"sd_mm\": 0.3}]", "expected it only beside \"direct\""},
        {"[{\"name\": \"a\", \"rescan\": {}, \"plane\": true}]", "expected it only beside \"again\""},
        {"[{\"name\": \"a\", \"again\": \"all\", \"readers\": 0}]", "from 1 to 20"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"readers\": 1.5}]", "whole number"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"burden\": -1}]", "0 or more"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"minutes\": 0}]", "above 0"},
        {"[{\"name\": \"a\", \"again\": \"all\", \"burdne\": 1}]", "did you mean \"burden\"?"},
        {"[{\"name\": \"a\", \"rescan\": 4}]", "what differs from the scan of the case"},
        {"[{\"name\": \"a\", \"rescan\": {\"detector\": \"other\"}}]", "energy_integrating"},
        {"[{\"name\": \"a\", \"rescan\": {\"base_plane\": {\"radius_mm\": 11, \"tilt_sd_deg\": 2}}}]", "tilt_sd_deg"},
        {"[{\"name\": \"a\", \"bundle\": [\"b\"]}]", "expected a list of two to 24 names"},
        {"[{\"name\": \"a\", \"again\": \"all\"}, {\"name\": \"b\", \"bundle\": [\"a\", \"c\"]}]",
         "the name of a look that stands before this one"},
        {"[{\"name\": \"a\", \"again\": \"all\"}, {\"name\": \"b\", \"bundle\": [\"a\", \"a\"]}]",
         "twice in this bundle"},
        {"[{\"name\": \"a\", \"again\": \"all\"}, {\"name\": \"b\", \"rescan\": {}}, {\"name\": \"c\", \"bundle\": "
         "[\"a\", "
         "\"b\"]}, {\"name\": \"d\", \"bundle\": [\"a\", \"c\"]}]",
         "a bundle in a bundle"},
        {"[{\"name\": \"a\", \"again\": \"all\"}, {\"name\": \"b\", \"rescan\": {}}, {\"name\": \"c\", \"bundle\": "
         "[\"a\", "
         "\"b\"], \"readers\": 2}]",
         "readers beside \"bundle\""},
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        outcome o = read_looks(refused[i][0]);
        if (o.status != SM_REFUSED)
            fail_msg("%s was taken", refused[i][0]);
        assert_contains(o.messages.s, refused[i][1]);
        assert_contains(o.messages.s, "/looks");
        outcome_destroy(&o);
    }
}

static void all_in_one_run(void **state)
{
    (void)state;
    const sm_override put[] = {{"/looks", "[{\"name\": \"a\", \"again\": [\"left.gap\"], \"readers\": 40},"
                                          " {\"name\": \"b\", \"direct\": \"left.leaflet_height\"}, {\"x\": 1}]"},
                               {"/action_line", "2"},
                               {"/gantry", "{\"lao_deg\": 200}"}};
    outcome o = read_with(smallest, NULL, put, 3);
    assert_int_equal(o.status, SM_REFUSED);
    static const char *const said[] = {"left.gap", "40", "sd_mm", "unknown key \"x\"", "/action_line", "lao_deg"};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        assert_contains(o.messages.s, said[i]);
    outcome_destroy(&o);
}

/* 3. Of a profile */

static void of_a_site(void **state)
{
    (void)state;
    static const char profile[] =
        "{\"format\": \"slimmargin-profile-1\", \"site\": \"north\", \"source\": \"practice\",\n"
        " \"readers\": {\"stj_gap\": {\"between_reader_sd_mm\": 0.4, \"repeat_sd_mm\": 0.3, \"cross_check\":\n"
        "   {\"modality\": \"fluoroscopy\", \"reader_sd_mm\": 0.7, \"view_error_sd_deg\": 6}}},\n"
        " \"gantry\": {\"cranial_deg\": {\"value\": 30}},\n"
        " \"looks\": {\"value\": [{\"name\": \"a\", \"project\": \"left.stj_gap\"},\n"
        "   {\"name\": \"b\", \"project\": \"right.stj_gap\"}, {\"name\": \"c\", \"again\": \"all\"},\n"
        "   {\"name\": \"d\", \"bundle\": [\"a\", \"b\"]}]}}";
    outcome o = read_with(smallest, profile, NULL, 0);
    assert_int_equal(o.status, SM_OK);
    assert_int_equal(o.c->n_planned, 2); /* this case has no right side */
    assert_contains(o.messages.s, "this look is left out here");
    assert_contains(o.messages.s, "this bundle is left out here");
    assert_near(o.c->planned[0].reader_sd_mm, 0.7, 0, 0);
    assert_near(o.c->planned[0].magnification_sd, 0.04, 0, 0);
    assert_near(o.c->planned[0].view_error_sd_deg, 6, 0, 0);
    assert_near(o.c->picture[SM_GAP_OSTIUM].reader_sd_mm, 1.3, 0, 0);
    assert_near(o.c->gantry.cranial_deg, 30, 0, 0);
    assert_near(o.c->gantry.lao_deg, 90, 0, 0);
    outcome_destroy(&o);
    const sm_override own = {"/looks", "[{\"name\": \"mine\", \"again\": \"all\"}]"};
    o = read_with(smallest, profile, &own, 1);
    assert_int_equal(o.c->n_planned, 1);
    assert_string_equal(o.c->planned[0].name, "mine");
    outcome_destroy(&o);
    o = read_with(smallest,
                  "{\"format\": \"slimmargin-profile-1\", \"site\": \"n\", \"source\": \"s\", \"looks\": {\"value\": "
                  "[{\"name\": \"a\", \"agian\": \"all\"}]}}",
                  NULL, 0);
    assert_int_equal(o.status, SM_REFUSED);
    assert_contains(o.messages.s, "did you mean \"again\"?");
    assert_contains(o.messages.s, "site.json");
    outcome_destroy(&o);
}

/* 4. The standard set */

static const sm_planned_look *named(const sm_case *c, const char *name)
{
    for (size_t i = 0; i < c->n_planned; i++)
        if (strcmp(c->planned[i].name, name) == 0)
            return &c->planned[i];
    return NULL;
}

static void the_standard_set(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    assert_true(o.c->planned_standard);
    assert_non_null(named(o.c, "left gap by another reader"));
    assert_non_null(named(o.c, "angiogram, left ostium"));
    assert_non_null(named(o.c, "angiogram, left junction"));
    assert_non_null(named(o.c, "echo, leaflet thickness"));
    assert_null(named(o.c, "bench value, inner diameter")); /* exact here */
    const sm_planned_look *scan = named(o.c, "another scan, read by two"),
                          *all = named(o.c, "everything by another reader, own plane");
    assert_true(scan->readers == 2 && scan->n_targets == SM_QUANTITIES && scan->own_plane);
    assert_true(all->readers == 1 && all->n_targets == SM_QUANTITIES && all->own_plane);
    assert_int_equal(named(o.c, "all gaps by another reader")->n_targets, 2);
    for (size_t i = 0; i < o.c->n_planned; i++)
        assert_true(o.c->planned[i].burden == 0 && o.c->planned[i].minutes == 0);
    outcome_destroy(&o);
    static const char *const known[][2] = {{"ostium_height", "9.5"},
                                           {"ostium_gap", "5.7"},
                                           {"stj_height", "18"},
                                           {"stj_gap", "2.7"},
                                           {"leaflet_height", "14.8"}};
    sm_override put[5];
    char path[5][48], value[5][48];
    for (int i = 0; i < 5; i++) {
        snprintf(path[i], sizeof path[i], "/coronaries/left/%s", known[i][0]);
        snprintf(value[i], sizeof value[i], "{\"normal\": {\"mean\": %s, \"sd\": 0.5}}", known[i][1]);
        put[i] = (sm_override){path[i], value[i]};
    }
    o = read_with(smallest, NULL, put, 5); /* nobody read anything */
    assert_int_equal(o.status, SM_OK);
    assert_null(named(o.c, "another scan, read by two"));
    assert_null(named(o.c, "left gap by another reader"));
    assert_non_null(named(o.c, "angiogram, left ostium"));
    outcome_destroy(&o);
}

/* 5. How the valve lies */

static void axes_are_read(void **state)
{
    (void)state;
    /* upright: seen from anywhere level the ring is a line; the left ostium, azimuth 35, in profile from LAO 0 at the
     * right of the picture lies at the patient's left, so that azimuth 0 is 35 degrees clockwise of it */
    outcome o = read_put("/patient_axes", "{\"edge_on_deg\": [[0, 0], [80, 0]],"
                                          " \"profile\": {\"side\": \"left\", \"view_deg\": [0, 0]}}");
    assert_int_equal(o.status, SM_OK);
    assert_true(o.c->axes.present);
    assert_near(o.c->axes.n[2], 1, 1e-12, 0);
    assert_near(o.c->axes.e0[0], cos(-35 * M_PI / 180), 1e-12, 0);
    assert_near(o.c->axes.e0[1], sin(-35 * M_PI / 180), 1e-12, 0);
    outcome_destroy(&o);
    o = read_put("/patient_axes", "{\"base_points_mm\": [[11, 0, 5], [-5.5, 9.5, 5], [-5.5, -9.5, 5]],"
                                  " \"ostia_mm\": {\"left\": [16, 0, 17]}}");
    assert_int_equal(o.status, SM_OK);
    assert_near(o.c->axes.n[2], 1, 1e-12, 0);
    assert_near(o.c->axes.e0[0], cos(-35 * M_PI / 180), 1e-3, 0);
    outcome_destroy(&o);
    o = read_text(smallest);
    assert_false(o.c->axes.present);
    assert_near(o.c->gantry.caudal_deg, 40, 0, 0);
    outcome_destroy(&o);
}

static void axes_are_refused(void **state)
{
    (void)state;
#define PROFILE ", \"profile\": {\"side\": \"left\", \"view_deg\": [0, 0]}"
    static const char *const refused[][2] = {
        {"3", "expected an object"},
        {"{}", "found nothing of how the valve lies"},
        {"{\"edge_on_deg\": [[10, 0], [20, 2]]" PROFILE "}", "two lines of sight only"},
        {"{\"edge_on_deg\": [[10, 5], [-170, -5]]" PROFILE "}", "two lines of sight only"},
        {"{\"edge_on_deg\": [[0, 80], [0, -10]]" PROFILE "}", "which way is up cannot be told"},
        {"{\"edge_on_deg\": [[10, 0]]" PROFILE "}", "expected two views"},
        {"{\"edge_on_deg\": [[10, 0], [200, 0]]" PROFILE "}", "LAO positive"},
        {"{\"edge_on_deg\": [[10, 0], [70]]" PROFILE "}", "expected a view"},
        {"{\"edge_on_deg\": [[10, 0], [70, 0]]}", "the key \"profile\" is missing"},
        {"{\"profile\": {\"side\": \"left\", \"view_deg\": [0, 0]}}", "the key \"edge_on_deg\" is missing"},
        {"{\"edge_on_deg\": [[10, 0], [70, 0]], \"profile\": {\"side\": \"lfet\", \"view_deg\": [0, 0]}}",
         "did you mean \"left\"?"},
        {"{\"edge_on_deg\": [[10, 0], [70, 0]], \"profile\": {\"side\": \"left\", \"view_deg\": [90, 0]}}",
         "the key \"on_screen\" is missing"},
        {"{\"edge_on_deg\": [[10, 0], [70, 0]], \"profile\": {\"side\": \"left\", \"view_deg\": [0, 0], \"on_screen\": "
         "\"up\"}}",
         "expected \"left\" or \"right\""},
        {"{\"edge_on_deg\": [[10, 0], [70, 0]], \"ostia_mm\": {}}", "found ostia_mm beside views"},
        {"{\"base_points_mm\": [[0, 0, 0], [1, 1, 0], [2, 2, 0]], \"ostia_mm\": {\"left\": [1, 1, 12]}}",
         "base points on one line"},
        {"{\"base_points_mm\": [[11, 0, 5], [-5.5, 9.5, 5], [-5.5, -9.5, 5]]}", "\"ostia_mm\" is missing"},
        {"{\"base_points_mm\": [[11, 0, 5], [-5.5, 9.5, 5]], \"ostia_mm\": {\"left\": [1, 1, 12]}}",
         "expected three base points"},
        {"{\"base_points_mm\": [[11, 0, 5], [-5.5, 9.5, 5], [-5.5, -9.5, 5]], \"ostia_mm\": {\"rigth\": [1, 1, 12]}}",
         "found the side \"rigth\""},
        {"{\"base_points_mm\": [[11, 0, 5], [-5.5, 9.5, 5], [-5.5, -9.5, 5]], \"ostia_mm\": {\"left\": [1, 1]}}",
         "expected a point"},
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        outcome o = read_put("/patient_axes", refused[i][0]);
        if (o.status != SM_REFUSED)
            fail_msg("%s was taken", refused[i][0]);
        assert_contains(o.messages.s, refused[i][1]);
        outcome_destroy(&o);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind),     cmocka_unit_test(another_scan_blooms), cmocka_unit_test(faults),
        cmocka_unit_test(all_in_one_run), cmocka_unit_test(of_a_site),           cmocka_unit_test(the_standard_set),
        cmocka_unit_test(axes_are_read),  cmocka_unit_test(axes_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
