/* test_tables.c - the tables of gaps, sources and outputs are whole: what a case has stands in them, and the reverse.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/keys.h"
#include "casefile_help.h"
#include "decision/coordinates.h"
#include "engine/assess.h"
#include "geometry/gap.h"

/* A case in which every source varies, and a plan of it with a laceration and a rescue. */
typedef struct {
    outcome o;
    sm_plan p;
    double success[1];
} everything;

#define DIRECT(mm) "\"readings_mm\": {\"A\": [" #mm "]}, \"reader_sd_mm\": 0.3}"

static void everything_create(everything *e)
{
    const sm_override all[] = {
        {"/surgical_valve/inner_diameter_mm", "{\"normal\": {\"mean\": 22, \"sd\": 0.3}}"},
        {"/surgical_valve/leaflet_thickness_mm", "{\"uniform\": {\"min\": 0.4, \"max\": 0.9}}"},
        {"/surgical_valve/mount_offset_mm", "{\"uniform\": {\"min\": 0.5, \"max\": 1.5}}"},
        {"/surgical_valve/mid_fraction", "{\"uniform\": {\"min\": 0.2, \"max\": 0.4}}"},
        {"/surgical_valve/eccentricity", "{\"uniform\": {\"min\": 0.05, \"max\": 0.15}}"},
        {"/surgical_valve/post_azimuth_deg", "\"unknown\""},
        {"/limits/stj_clearance_mm", "{\"uniform\": {\"min\": 1, \"max\": 3}}"},
        {"/coronaries/left/ostium_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [5.7]}}"},
        {"/coronaries/left/stj_gap/cross_check", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [2.7]}}"},
        {"/coronaries/left/leaflet_height/cross_check", "{\"modality\": \"ct\"," DIRECT(14.1)},
        {"/surgical_valve/inner_diameter_mm/cross_check", "{\"modality\": \"bench\"," DIRECT(21.8)},
        {"/surgical_valve/leaflet_thickness_mm/cross_check", "{\"modality\": \"echo\"," DIRECT(0.8)}};
    *e = (everything){.success = {0.7}};
    e->o = read_with(smallest, NULL, all, sizeof all / sizeof *all);
    if (!e->o.c)
        fail_msg("refused: %s", e->o.messages.s);
    assert_int_equal(sm_plan_create(e->o.c, 1, &e->p), SM_OK);
    const sm_root_request done = {.lacerate = e->success, .rescue = e->success};
    assert_int_equal(sm_plan_add(&e->p, &done, NULL), SM_OK);
}

static void everything_destroy(everything *e)
{
    sm_plan_destroy(&e->p);
    outcome_destroy(&e->o);
}

/* Every source of a case is in the table, under its own name, and every line of the table is a source of some case. */
static void sources_of_a_case_and_of_the_table(void **state)
{
    (void)state;
    everything e;
    everything_create(&e);
    const sm_sources *s = &e.p.sources;
    assert_int_equal(s->n_sources, SM_SOURCES - 1);
    for (int i = 0; i < s->n_sources; i++) {
        const sm_source *one = &s->source[i];
        char name[SM_SOURCE_NAME_SIZE];
        assert_true(one->id > SM_SOURCE_NONE && one->id < SM_SOURCES);
        sm_source_name(one->id, one->side == SM_SHARED ? NULL : "left", name);
        assert_string_equal(one->name, name);
        assert_true(one->reducible == sm_source_is_reducible(one->id));
        assert_true((one->side != SM_SHARED) == sm_source_of_side(one->id));
    }
    for (int id = SM_SOURCE_NONE + 1; id < SM_SOURCES; id++)
        if (sm_sources_of(s, (sm_source_id)id, sm_source_of_side((sm_source_id)id) ? 0 : SM_SHARED) < 0)
            fail_msg("no case has the source \"%s\"", sm_source_table[id].name);
    everything_destroy(&e);
}

/* Of a second look: what both readings are at shows, and the look itself nothing of its own. */
static bool is_look(sm_source_kind kind)
{
    return kind == SM_SOURCE_LOOK || kind == SM_SOURCE_DIRECT_LOOK;
}

/* Each has a draw of its own, and each that can be measured again shows something then. */
static void sources_draw_and_show(void **state)
{
    (void)state;
    everything e;
    everything_create(&e);
    const sm_sources *s = &e.p.sources;
    for (int i = 0; i < s->n_sources; i++) {
        const sm_source_kind kind = sm_source_table[s->source[i].id].kind;
        int columns = 0;
        for (int j = 0; j < s->n_columns; j++)
            columns += s->column[j].source == i;
        if (kind != SM_SOURCE_DEPLOYMENT && columns == 0)
            fail_msg("%s: nothing is drawn", s->source[i].name);
        const bool shows = sm_coordinates_of(&e.p, 0, i).shows != SM_SHOWS_NOTHING;
        if ((s->source[i].reducible && !is_look(kind)) != shows)
            fail_msg("%s: a re-check shows %s", s->source[i].name, shows ? "something" : "nothing");
    }
    everything_destroy(&e);
}

/* What a name leads to, and the words: a side's own names the side, others have no place for it. */
static void source_names_and_words(void **state)
{
    (void)state;
    for (int i = SM_SOURCE_NONE + 1; i < SM_SOURCES; i++) {
        const sm_source_id id = (sm_source_id)i;
        const sm_source_line *line = &sm_source_table[id];
        const bool of_side = sm_source_of_side(id);
        char name[SM_SOURCE_NAME_SIZE];
        size_t side = 99;
        sm_source_name(id, "vein_graft", name);
        assert_int_equal(sm_source_named(name, &side), id);
        assert_int_equal(side, of_side ? strlen("vein_graft") : 0);
        assert_true(line->words && (strchr(line->words, '*') != NULL) == of_side);
        assert_true(!line->again || (strchr(line->again, '*') != NULL) == of_side);
        assert_true((line->again == NULL) == (line->kind >= SM_SOURCE_DEPLOYMENT));
    }
    assert_int_equal(sm_source_named("left.blooming", NULL), SM_SOURCE_NONE);
    assert_int_equal(sm_source_named("left.inner_diameter.cross_check", NULL), SM_SOURCE_NONE);
    assert_int_equal(sm_source_named("left.cross_check", NULL), SM_SOURCE_NONE);
    assert_int_equal(sm_source_named("stj_gap.cross_check", NULL), SM_SOURCE_NONE);
    assert_int_equal(sm_source_named("ostium_gap", NULL), SM_SOURCE_NONE);
    assert_int_equal(sm_source_named("", NULL), SM_SOURCE_NONE);
    for (int q = 0; q < SM_QUANTITIES; q++)
        assert_string_equal(sm_source_table[sm_source_of_quantity((sm_quantity_id)q)].name,
                            sm_quantity_name((sm_quantity_id)q));
}

/* Streams are named after these: whoever renames a source changes every result of every case. */
static void source_names_stay(void **state)
{
    (void)state;
    static const char *const names[] = {"",
                                        "base_plane",
                                        "centreline",
                                        "blooming",
                                        "inner_diameter",
                                        "leaflet_thickness",
                                        "mount_offset",
                                        "post_azimuth",
                                        "eccentricity",
                                        "ostium_height",
                                        "ostium_gap",
                                        "stj_height",
                                        "stj_gap",
                                        "leaflet_height",
                                        "ostium_gap.cross_check",
                                        "stj_gap.cross_check",
                                        "leaflet_height.cross_check",
                                        "inner_diameter.cross_check",
                                        "leaflet_thickness.cross_check",
                                        "cross_check_calibration",
                                        "overexpansion",
                                        "ring_give",
                                        "flare",
                                        "implant_depth",
                                        "canting",
                                        "offset",
                                        "mid",
                                        "leaflet_overhang",
                                        "limits",
                                        "laceration",
                                        "rescue"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        bool found = false;
        for (int id = 0; id < SM_SOURCES; id++)
            found = found || strcmp(sm_source_table[id].name, names[i]) == 0;
        if (!found)
            fail_msg("the source \"%s\" is gone", names[i]);
    }
}

/* Each is fed by a key of a case, or is a reading or something done. */
static void sources_are_fed(void **state)
{
    (void)state;
    static const sm_keys *const tables[] = {&sm_keys_scan,    &sm_keys_base_plane,  &sm_keys_valve,
                                            &sm_keys_implant, &sm_keys_cross_check, &sm_keys_limits};
    bool fed[SM_SOURCES] = {false};
    const sm_quantity_kind *kind;
    const size_t n = sm_keys_quantities(&kind);
    for (size_t t = 0; t < sizeof tables / sizeof *tables; t++)
        for (size_t i = 0; i < tables[t]->n; i++)
            fed[tables[t]->key[i].draws] = true;
    for (size_t i = 0; i < n; i++)
        fed[kind[i].source] = fed[kind[i].look] = true;
    for (int id = SM_SOURCE_NONE + 1; id < SM_SOURCES; id++)
        if (!fed[id] && sm_source_table[id].kind != SM_SOURCE_SUCCESS)
            fail_msg("no key feeds the source \"%s\"", sm_source_table[id].name);
}

/* Each line of what may be looked at twice: its names are those of its sources, and it finds its own quantity. */
static void looks_lead_to_their_own(void **state)
{
    (void)state;
    everything e;
    everything_create(&e);
    assert_int_equal(e.p.root[0].steering.n, SM_LOOKED);
    for (int at = 0; at < SM_LOOKED; at++) {
        const sm_looked_line *line = &sm_looked_table[at];
        const int side = at < SM_LOOKED_OF_SIDE ? 0 : SM_SHARED;
        const sm_steered_look *l = &e.p.root[0].steering.look[at];
        char look[SM_SOURCE_NAME_SIZE];
        snprintf(look, sizeof look, "%s.cross_check", sm_source_table[line->first].name);
        assert_string_equal(sm_source_table[line->source].name, look);
        assert_true(strncmp(line->name, sm_source_table[line->first].name, strlen(sm_source_table[line->first].name)) ==
                    0);
        assert_true(sm_looked_quantity(e.o.c, 0, (sm_looked)at)->cross_check.present);
        assert_true((int)l->at == at && l->side == side && (l->view >= 0) == line->projection);
        const sm_coordinates shows = sm_coordinates_of(&e.p, 0, sm_sources_of(&e.p.sources, line->first, side));
        assert_true(shows.shows == SM_SHOWS_TRUTH && shows.look == at);
    }
    everything_destroy(&e);
}

/* Limits and flags lead to the fields of their names; outputs and looks belong to the gap that names them. */
static void gaps_lead_to_their_own(void **state)
{
    (void)state;
    static sm_side_out out;
    const sm_limits limits = {.ostium_clearance_mm = {SM_CONSTANT, {4.3}}, .stj_clearance_mm = {SM_CONSTANT, {2.1}}};
    const sm_crossing crossing = {.crowded = {.k = 17}, .sealed = {.k = 5}};
    const sm_counts counts = {.crowded = {.we = 17}, .sealed = {.we = 5}};
    out.crowded[3] = 1;
    assert_near(sm_gap_limit(&limits, SM_GAP_OSTIUM), 4.3, 0, 0);
    assert_near(sm_gap_limit(&limits, SM_GAP_STJ), 2.1, 0, 0);
    assert_true(out.crossed[SM_GAP_OSTIUM][3] == 1 && out.crossed[SM_GAP_STJ][3] == 0);
    assert_true(crossing.crossed[SM_GAP_OSTIUM].k == 17 && crossing.crossed[SM_GAP_STJ].k == 5);
    assert_true(counts.crossed[SM_GAP_OSTIUM].we == 17 && counts.crossed[SM_GAP_STJ].we == 5);
    assert_string_equal(sm_gaps[SM_GAP_OSTIUM].crossed, "crowded");
    assert_string_equal(sm_gaps[SM_GAP_STJ].crossed, "sealed");
    for (int g = 0; g < SM_GAPS; g++) {
        const sm_gap *gap = &sm_gaps[g];
        char look[SM_SOURCE_NAME_SIZE];
        snprintf(look, sizeof look, "%s.cross_check", sm_quantity_name(gap->quantity));
        assert_string_equal(sm_source_table[gap->look].name, look);
        assert_true(gap->where && gap->where_short && gap->where_stj && gap->reached && gap->place && gap->suffix);
        assert_true(sm_outputs[gap->clearance].kind == SM_OUTPUT_ROOM && (int)sm_outputs[gap->clearance].gap == g);
        assert_true(sm_outputs[gap->conventional].kind == SM_OUTPUT_DRAWN &&
                    (int)sm_outputs[gap->conventional].gap == g);
    }
}

/* Every output has its name and words, no other's, and one place in the order for people. */
static void outputs_are_whole(void **state)
{
    (void)state;
    sm_output_id order[SM_OUTPUTS];
    int seen[SM_OUTPUTS] = {0};
    sm_outputs_by_gap(order);
    for (int o = 0; o < SM_OUTPUTS; o++) {
        const sm_output *one = &sm_outputs[o];
        seen[order[o]]++;
        assert_true(one->name && one->title && one->column);
        assert_true(o == 0 || sm_outputs[order[o - 1]].gap <= sm_outputs[order[o]].gap);
        for (int p = 0; p < o; p++) {
            assert_string_not_equal(sm_outputs[p].name, one->name);
            assert_string_not_equal(sm_outputs[p].title, one->title);
        }
    }
    for (int o = 0; o < SM_OUTPUTS; o++)
        assert_int_equal(seen[o], 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sources_of_a_case_and_of_the_table),
        cmocka_unit_test(sources_draw_and_show),
        cmocka_unit_test(source_names_and_words),
        cmocka_unit_test(source_names_stay),
        cmocka_unit_test(sources_are_fed),
        cmocka_unit_test(looks_lead_to_their_own),
        cmocka_unit_test(gaps_lead_to_their_own),
        cmocka_unit_test(outputs_are_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
