/* test_case_defaults.c - every default of docs/case-format.md reaches the case, and the table is written for a
 * clinician.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/defaults.h"
#include "casefile/defaults_list.h"
#include "format/json_doc.h"
#include "casefile_help.h"

/* 1. Each default of the table in docs/case-format.md, by the state of the case that it depends on */

typedef struct {
    const char *pointer, *json; /* the change that brings the state about; NULL: the smallest case itself */
    const char *path, *value;
} expectation;

#define EXT NULL, NULL
static const expectation expected[] = {
    {EXT, "/scan/detector", "\"energy_integrating\""},
    {EXT, "/scan/kernel", "\"soft\""},
    {EXT, "/scan/blooming_mm", "{\"triangular\": {\"min\": 0.3, \"mode\": 0.6, \"max\": 0.8}}"},
    {"/scan/kernel", "\"sharp\"", "/scan/blooming_mm", "{\"triangular\": {\"min\": 0.2, \"mode\": 0.4, \"max\": 0.7}}"},
    {"/scan/detector", "\"photon_counting\"", "/scan/blooming_mm",
     "{\"triangular\": {\"min\": 0.05, \"mode\": 0.2, \"max\": 0.5}}"},
    {"/scan/detector", "\"photon_counting_high_resolution\"", "/scan/blooming_mm",
     "{\"triangular\": {\"min\": 0, \"mode\": 0.05, \"max\": 0.2}}"},
    {EXT, "/scan/base_plane/radius_mm", "11"},
    {EXT, "/scan/base_plane/azimuths_deg", "[0, 120, 240]"},
    {EXT, "/scan/base_plane/point_sd_mm", "0.7"},
    {EXT, "/scan/base_plane/cuff_wave_mm", "0.5"},
    {EXT, "/scan/base_plane/placements", "1"},
    {EXT, "/scan/centreline_sd_mm", "0.4"},
    {EXT, "/surgical_valve/ring_height_mm", "2"},
    {EXT, "/surgical_valve/ring_give_mm", "{\"uniform\": {\"min\": 0, \"max\": 0.3}}"},
    {"/surgical_valve/leaflet_mount", "\"stentless\"", "/surgical_valve/ring_give_mm",
     "{\"uniform\": {\"min\": 0, \"max\": 1.5}}"},
    {EXT, "/surgical_valve/eccentricity", "{\"lognormal\": {\"median\": 0.0566, \"gsd\": 1.85}}"},
    {EXT, "/surgical_valve/leaflet_thickness_mm", "{\"lognormal\": {\"median\": 0.7, \"gsd\": 1.35}}"},
    {EXT, "/surgical_valve/leaflet_overhang_mm", "{\"uniform\": {\"min\": 0, \"max\": 3}}"},
    {EXT, "/surgical_valve/post_block_deg", "15"},
    {EXT, "/surgical_valve/post_azimuth_deg", "\"unknown\""},
    {EXT, "/surgical_valve/mount_offset_mm", "{\"triangular\": {\"min\": 0.3, \"mode\": 0.8, \"max\": 1.5}}"},
    {"/surgical_valve/leaflet_mount", "\"internal\"", "/surgical_valve/mount_offset_mm", "0"},
    {EXT, "/surgical_valve/mid_fraction", "{\"uniform\": {\"min\": 0.2, \"max\": 0.8}}"},
    {EXT, "/implant/overexpansion", "{\"normal\": {\"mean\": 0.004, \"sd\": 0.028}}"},
    {"/implant/expansion", "\"self\"", "/implant/overexpansion", "0"},
    {EXT, "/implant/flare", "{\"triangular\": {\"min\": 0, \"mode\": 0.5, \"max\": 1}}"},
    {"/implant/expansion", "\"self\"", "/implant/flare", "{\"triangular\": {\"min\": 0, \"mode\": 0.2, \"max\": 0.5}}"},
    {EXT, "/implant/canting_sd_deg", "2"},
    {EXT, "/implant/offset_sd_mm", "0.3"},
    {EXT, "/implant/shape", "[[0, 1.02], [0.5, 0.99], [0.75, 1.008], [1, 1.048]]"},
    {"/implant/expansion", "\"self\"", "/implant/shape", "[[0, 1], [1, 1]]"},
    {EXT, "/limits/published_set", "\"planning\""},
    {"/limits/published_set", "\"after_implant\"", "/limits/ostium_clearance_mm", "3"},
    {"/limits/published_set", "\"after_implant\"", "/limits/stj_clearance_mm", "1"},
    {EXT, "/limits/ostium_clearance_mm", "4"},
    {EXT, "/limits/stj_clearance_mm", "2"},
    {EXT, "/limits/reference_thickness_mm", "0.5"},
    {EXT, "/limits/reference_blooming_mm", "0"},
    {EXT, "/limits/basis", "\"tube\""},
    {EXT, "/population/ostium_gap_mm", "{\"normal\": {\"mean\": 6.3, \"sd\": 2.16}}"},
    {EXT, "/coronaries/left/ostium_height/bloom_edges", "0"},
    {EXT, "/coronaries/left/ostium_gap/bloom_edges", "0"},
    {EXT, "/coronaries/left/stj_height/bloom_edges", "0"},
    {EXT, "/coronaries/left/stj_gap/bloom_edges", "0"},
    {EXT, "/coronaries/left/leaflet_height/bloom_edges", "0"},
    {"/surgical_valve/inner_diameter_mm", "{\"readings_mm\": {\"A\": [22]}}",
     "/surgical_valve/inner_diameter_mm/bloom_edges", "-2"},
    {"/surgical_valve/leaflet_thickness_mm", "{\"readings_mm\": {\"A\": [1]}}",
     "/surgical_valve/leaflet_thickness_mm/bloom_edges", "2"},
};

static void gives_each_documented_default(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof expected / sizeof *expected; i++) {
        const expectation *e = &expected[i];
        outcome o = e->pointer ? read_put(e->pointer, e->json) : read_text(smallest);
        const sm_assumption *a = assumption_at(&o, e->path);
        assert_string_equal(a->value.json, e->value);
        assert_int_equal(a->origin, SM_FROM_DEFAULT);
        outcome_destroy(&o);
    }
}

/* Totals of reader SDs, split evenly in variance. */
static void splits_each_reader_sd_evenly(void **state)
{
    (void)state;
    static const double total[SM_QUANTITIES] = {0.8, 0.6, 1.0, 0.6, 1.0};
    sm_override read[] = {{"/surgical_valve/inner_diameter_mm", "{\"readings_mm\": {\"A\": [22]}}"},
                          {"/surgical_valve/leaflet_thickness_mm", "{\"readings_mm\": {\"A\": [1]}}"}};
    outcome o = read_with(smallest, NULL, read, 2);
    for (size_t i = 0; i < SM_QUANTITIES; i++) {
        const sm_quantity *q = &o.c->coronary[0].quantity[i];
        assert_near(hypot(q->between_reader_sd_mm, q->repeat_sd_mm), total[i], 1e-15, 0);
        assert_near(q->between_reader_sd_mm, q->repeat_sd_mm, 0, 0);
        assert_near(q->dof, 0, 0, 0);
        assert_near(q->resolution_mm, 0, 0, 0);
        assert_false(q->sd_from_readings || q->sd_includes_plane);
    }
    assert_near(hypot(o.c->valve.inner_diameter.between_reader_sd_mm, o.c->valve.inner_diameter.repeat_sd_mm), 0.5,
                1e-15, 0);
    assert_near(hypot(o.c->valve.leaflet_thickness.between_reader_sd_mm, o.c->valve.leaflet_thickness.repeat_sd_mm),
                0.3, 1e-15, 0);
    outcome_destroy(&o);
}

static void gives_each_default_of_a_cross_check(void **state)
{
    (void)state;
    static const char *const modality[] = {"fluoroscopy", "echo"};
    static const double want[2][3] = {{1.3, 0.04, 9.5}, {1.6, 0.02, 9.5}};
    for (size_t i = 0; i < 2; i++) {
        sm_text json = {0};
        sm_text_addf(&json, "{\"modality\": \"%s\", \"readings_mm\": {\"A\": [6]}}", modality[i]);
        outcome o = read_put("/coronaries/left/stj_gap/cross_check", json.s);
        const sm_cross_check *c = &o.c->coronary[0].quantity[SM_STJ_GAP].cross_check;
        assert_near(c->reader_sd_mm, want[i][0], 0, 0);
        assert_near(c->magnification_sd, want[i][1], 0, 0);
        assert_near(c->view_error_sd_deg, want[i][2], 0, 0);
        assert_near(c->spoiled, 0.05, 0, 0);
        outcome_destroy(&o);
        sm_text_destroy(&json);
    }
}

/* A direct look has one default: how probable it is that a reading is about something else. Its list holds no errors of
 * a picture, also where a projection was read before it. */
static void gives_the_default_of_a_direct_look(void **state)
{
    (void)state;
    static const char *const at[] = {"/coronaries/left/leaflet_height/cross_check",
                                     "/surgical_valve/inner_diameter_mm/cross_check",
                                     "/surgical_valve/leaflet_thickness_mm/cross_check"};
    const sm_override put[] = {
        {"/surgical_valve/inner_diameter_mm", "{\"normal\": {\"mean\": 22, \"sd\": 0.3}}"},
        {"/surgical_valve/leaflet_thickness_mm", "{\"readings_mm\": {\"A\": [1]}}"},
        {"/coronaries/left/ostium_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}}"},
        {at[0], "{\"modality\": \"ct\", \"readings_mm\": {\"A\": [14]}, \"reader_sd_mm\": 0.8}"},
        {at[1], "{\"modality\": \"bench\", \"readings_mm\": {\"A\": [21.2]}, \"reader_sd_mm\": 0.3}"},
        {at[2], "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [0.9]}, \"reader_sd_mm\": 0.2, \"spoiled\": 0.1}"}};
    outcome o = read_with(smallest, NULL, put, sizeof put / sizeof *put);
    if (!o.c)
        fail_msg("refused: %s", o.messages.s);
    const sm_cross_check *look[] = {&o.c->coronary[0].quantity[SM_LEAFLET_HEIGHT].cross_check,
                                    &o.c->valve.inner_diameter.cross_check, &o.c->valve.leaflet_thickness.cross_check};
    static const struct {
        sm_modality modality;
        double mm, sd, spoiled;
        const char *draws, *words;
    } want[] = {{SM_CT, 14, 0.8, 0.05, "left.leaflet_height.cross_check", "left leaflet height: cross-check: "},
                {SM_BENCH, 21.2, 0.3, 0.05, "inner_diameter.cross_check", "inner diameter: cross-check: "},
                {SM_ECHO, 0.9, 0.2, 0.1, "leaflet_thickness.cross_check", "leaflet thickness: cross-check: "}};
    for (size_t i = 0; i < 3; i++) {
        sm_text path = {0}, sd = {0};
        assert_true(look[i]->present);
        assert_int_equal(look[i]->modality, want[i].modality);
        assert_near(look[i]->readings.row[0].mm[0], want[i].mm, 0, 0);
        assert_near(look[i]->reader_sd_mm, want[i].sd, 0, 0);
        assert_near(look[i]->spoiled, want[i].spoiled, 0, 0);
        assert_near(look[i]->magnification_sd, 0, 0, 0);
        assert_near(look[i]->view_error_sd_deg, 0, 0, 0);
        sm_text_addf(&path, "%s/spoiled", at[i]);
        sm_text_addf(&sd, "%s/reader_sd_mm", at[i]);
        const sm_assumption *a = assumption_at(&o, path.s);
        assert_int_equal(a->origin, i == 2 ? SM_FROM_CASE : SM_FROM_DEFAULT);
        assert_int_equal(a->grade, i == 2 ? SM_STATED : SM_JUDGEMENT);
        assert_int_equal(a->doubt.kind, i == 2 ? SM_DOUBT_NONE : SM_DOUBT_JUDGED);
        assert_near(a->doubt.low, i == 2 ? 0 : 0.01, 0, 0);
        assert_near(a->doubt.high, i == 2 ? 0 : 0.2, 0, 0);
        assert_string_equal(a->draws, want[i].draws);
        assert_true(strncmp(a->words, want[i].words, strlen(want[i].words)) == 0);
        const sm_assumption *all;
        const size_t n = sm_casefile_assumptions(o.file, &all);
        for (size_t k = 0; k < n; k++) /* told by the case itself */
            assert_string_not_equal(all[k].path, sd.s);
        sm_text_destroy(&path);
        sm_text_destroy(&sd);
    }
    outcome_destroy(&o);
}

/* A missing key never changes what a later one means: the same values stated or left out give the same case. */
static void means_the_same_stated_or_left_out(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    const sm_assumption *a;
    size_t n = sm_casefile_assumptions(o.file, &a);
    for (size_t i = 0; i < n; i++) {
        outcome stated = read_put(a[i].path, a[i].value.json);
        assert_string_equal(stated.messages.s, "");
        const sm_assumption *b;
        assert_int_equal(sm_casefile_assumptions(stated.file, &b), n);
        for (size_t k = 0; k < n; k++)
            assert_string_equal(assumption_at(&stated, a[k].path)->value.json, a[k].value.json);
        assert_memory_equal(&stated.c->limits, &o.c->limits, sizeof o.c->limits);
        outcome_destroy(&stated);
    }
    outcome_destroy(&o);
}

/* 2. The table */

/* What the text of a line states is what the line holds. */
/* What a case should state has a default where one can be judged: it holds with a warning and as an assumption. */
static void stands_in_with_a_warning(void **state)
{
    (void)state;
    static const struct {
        const char *expansion, *from, *to, *path, *value, *warning;
    } left_out[] = {
        {"\"balloon\"", "\"frame_height_mm\": 19,", "", "/implant/frame_height_mm", "18",
         "frame_height_mm is not stated"},
        {"\"self\"", "\"frame_height_mm\": 19,", "", "/implant/frame_height_mm", "45", "45 mm is taken, a judgement"},
        {"\"balloon\"", "\"skirt_height_mm\": 9, ", "", "/implant/skirt_height_mm", "9",
         "skirt_height_mm is not stated"},
        {"\"self\"", "\"skirt_height_mm\": 9, ", "", "/implant/skirt_height_mm", "13", "13 mm is taken"},
        {"\"balloon\"", "\"azimuth_deg\": 35, ", "", "/coronaries/left/azimuth_deg", "35", "35 degrees is taken"},
        {"\"balloon\"", "{\"left\": {\"azimuth_deg\": 35, ", "{\"right\": {", "/coronaries/right/azimuth_deg", "160",
         "160 degrees is taken"},
    };
    for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++) {
        char *text = replaced(smallest, left_out[i].from, left_out[i].to);
        const sm_override expansion = {"/implant/expansion", left_out[i].expansion};
        outcome o = read_with(text, NULL, &expansion, 1);
        assert_non_null(o.c);
        const sm_assumption *a = assumption_at(&o, left_out[i].path);
        assert_string_equal(a->value.json, left_out[i].value);
        assert_int_equal(a->origin, SM_FROM_DEFAULT);
        assert_int_equal(a->grade, SM_JUDGEMENT);
        assert_contains(o.messages.s, left_out[i].warning);
        assert_true(o.c->implant.frame_height_mm > 0 && o.c->implant.skirt_height_mm > 0 &&
                    o.c->coronary[0].azimuth_deg > 0);
        outcome_destroy(&o);
        free(text);
    }
    outcome o = read_text(smallest); /* stated: no warning, no assumption */
    assert_int_equal(o.diag.n, 0);
    assert_false(has_assumption(&o, "/implant/frame_height_mm"));
    outcome_destroy(&o);
    char *text = replaced(smallest, "{\"left\": {\"azimuth_deg\": 35, ", "{\"third\": {");
    o = read_text(text);
    assert_contains(o.messages.s,
                    "the key \"azimuth_deg\" is missing (direction of the ostium), expected in a coronary");
    outcome_destroy(&o);
    free(text);
}

/* 2 mm of ring by default, and 12.8 mm of leaflet: as 14.8 read. A sweep's height takes its place. */
static void takes_the_top_from_the_length(void **state)
{
    (void)state;
    char *text = replaced(smallest, "\"leaflet_height\": 14.8", "\"leaflet_length_mm\": 12.8");
    outcome height = read_text(smallest), length = read_text(text);
    assert_non_null(length.c);
    const sm_quantity *a = &height.c->coronary[0].quantity[SM_LEAFLET_HEIGHT],
                      *b = &length.c->coronary[0].quantity[SM_LEAFLET_HEIGHT];
    assert_true(b->is_read);
    assert_near(sm_quantity_estimate(b), sm_quantity_estimate(a), 0, 1e-12);
    assert_near(b->repeat_sd_mm, a->repeat_sd_mm, 0, 0);
    assert_contains(length.messages.s, "14.8 mm is taken, the ring at 2 mm and this length");
    outcome_destroy(&length);
    length = read_with(text, NULL, &(sm_override){"/coronaries/left/leaflet_height", "13"}, 1);
    assert_near(sm_quantity_estimate(&length.c->coronary[0].quantity[SM_LEAFLET_HEIGHT]), 13, 0, 0);
    outcome_destroy(&length);
    length = read_with(text, NULL, &(sm_override){"/coronaries/left/leaflet_height/readings_mm", "{\"A\": [12]}"}, 1);
    assert_near(sm_quantity_estimate(&length.c->coronary[0].quantity[SM_LEAFLET_HEIGHT]), 12, 0, 0);
    outcome_destroy(&length);
    length = read_with(text, NULL, &(sm_override){"/surgical_valve/ring_height_mm", "3"}, 1);
    assert_near(sm_quantity_estimate(&length.c->coronary[0].quantity[SM_LEAFLET_HEIGHT]), 15.8, 0, 1e-12);
    outcome_destroy(&length);
    outcome_destroy(&height);
    free(text);
}

static void check_same_value(const sm_datum *a, const sm_datum *b)
{
    assert_int_equal(a->kind, b->kind);
    if (a->kind == SM_DATUM_NUMBER)
        assert_near(a->number, b->number, 0, 0);
    else if (a->kind == SM_DATUM_TRUTH)
        assert_int_equal(a->truth, b->truth);
    else if (a->kind == SM_DATUM_WORD)
        assert_string_equal(a->plain, b->plain);
    else if (a->kind == SM_DATUM_DIST) {
        assert_int_equal(a->dist.family, b->dist.family);
        assert_memory_equal(a->dist.p, b->dist.p, sizeof a->dist.p);
    } else if (a->kind != SM_DATUM_NONE) {
        assert_true(a->kind == SM_DATUM_LIST || a->kind == SM_DATUM_POINTS);
        assert_int_equal(a->list.n, b->list.n);
        assert_memory_equal(a->list.x, b->list.x, a->list.n * (a->kind == SM_DATUM_LIST ? 1 : 2) * sizeof *a->list.x);
    }
}

static void keeps_its_table_sound(void **state)
{
    (void)state;
    for (size_t i = 0; i < sm_defaults_count(); i++) {
        const sm_default *line = sm_defaults_line(i);
        sm_datum read = {0};
        assert_int_equal(line->value.json != NULL, line->value.kind != SM_DATUM_NONE);
        if (line->value.json)
            assert_true(sm_datum_read(line->value.json, &read));
        check_same_value(&read, &line->value);
        assert_true(line->source[0] && line->reason[0]);
        assert_int_not_equal(line->grade, SM_STATED);
        if (line->range.words && line->value.kind == SM_DATUM_NUMBER)
            assert_true(line->range.low <= line->value.number && line->value.number <= line->range.high);
        sm_datum_destroy(&read);
    }
    assert_null(sm_defaults_line(sm_defaults_count()));
    assert_null(sm_defaults_find("scan", "nothing", 0));
    assert_null(sm_defaults_find("implant", "flare", 0)); /* depends on a fact that is not known */
}

static void writes_the_table_within_80_columns(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_defaults_write(&t, 80);
    for (const char *line = t.s, *end; *line; line = end + 1) {
        end = strchr(line, '\n');
        assert_non_null(end);
        assert_true(end - line <= 80);
    }
    for (size_t i = 0; i < sm_defaults_count(); i++)
        assert_contains(t.s, sm_defaults_line(i)->key);
    assert_contains(t.s, "  scan.blooming_mm (energy-integrating detector, soft kernel): triangular: min\n");
    assert_contains(t.s,
                    "How well a reader hits the valve's centre, per axis. Grade: judgement.\n      Range: 0.2 to 0.8. "
                    "Source: none found. In the settings: over its range.\n");
    assert_contains(t.s, "median\n      0.5 to 1.2, from ordinary to heavily thickened leaflets.");
    assert_contains(t.s, "Asked about by\n      itself: -1 to 0, a bright wall, or a soft one.");
    assert_contains(t.s, "The limits\n");
    sm_text_destroy(&t);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gives_each_documented_default),       cmocka_unit_test(splits_each_reader_sd_evenly),
        cmocka_unit_test(gives_each_default_of_a_cross_check), cmocka_unit_test(gives_the_default_of_a_direct_look),
        cmocka_unit_test(means_the_same_stated_or_left_out),   cmocka_unit_test(stands_in_with_a_warning),
        cmocka_unit_test(takes_the_top_from_the_length),       cmocka_unit_test(keeps_its_table_sound),
        cmocka_unit_test(writes_the_table_within_80_columns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
