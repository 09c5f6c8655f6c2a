/* test_parts.c - what roots share never lies: every key, knob and request, shared and alone, to the bit.
 *
 * Contents: 1. cases  2. evaluating, shared and alone  3. every key  4. every knob  5. every request  6. what is shared
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include "casefile/keys.h"
#include "engine/plan.h"
#include "whatif/knob.h"

/* 1. Cases */

enum { SIDES = 2, SEED = 11, MOST = 200, GROUPS = SM_BLOCK / SM_LANES };

/* Whatever a case can hold that draws: second looks, one of which reads far off; a waisted frame; read
 * inner diameter and thickness with blooming and resolution; SDs that contain the plane, that have degrees of freedom,
 * that come from the readings. %s: the base plane. */
static const char rich[] =
    "{\"format\": \"slimmargin-case-1\", \"case\": \"rich\", \"note\": \"all of it\", \"action_line\": 0.2,\n"
    " \"scan\": {\"detector\": \"energy_integrating\", \"kernel\": \"soft\",\n"
    "   \"blooming_mm\": {\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}},\n"
    "   \"base_plane\": {%s}, \"centreline_sd_mm\": 0.43},\n"
    " \"surgical_valve\": {\"leaflet_mount\": \"external\", \"ring_height_mm\": 2.7, \"post_block_deg\": 31,\n"
    "   \"inner_diameter_mm\": {\"readings_mm\": {\"A\": [22.1], \"B\": [22.6]}, \"between_reader_sd_mm\": 0.31,\n"
    "     \"repeat_sd_mm\": 0.23, \"bloom_edges\": 2, \"resolution_mm\": 0.41,\n"
    "     \"cross_check\": {\"modality\": \"bench\", \"readings_mm\": {\"A\": [21.2]}, \"reader_sd_mm\": 0.3}},\n"
    "   \"leaflet_thickness_mm\": {\"readings_mm\": {\"A\": [0.93]}, \"between_reader_sd_mm\": 0.12,\n"
    "     \"repeat_sd_mm\": 0.09, \"bloom_edges\": 1, \"resolution_mm\": 0.37},\n"
    "   \"ring_give_mm\": {\"uniform\": {\"min\": 0.1, \"max\": 0.7}},\n"
    "   \"eccentricity\": {\"beta\": {\"a\": 2, \"b\": 5, \"min\": 0, \"max\": 0.2}},\n"
    "   \"mount_offset_mm\": {\"triangular\": {\"min\": 0.5, \"mode\": 1.1, \"max\": 1.9}},\n"
    "   \"mid_fraction\": {\"uniform\": {\"min\": 0.2, \"max\": 0.8}},\n"
    "   \"leaflet_overhang_mm\": {\"half_normal\": {\"sd\": 1.3}},\n"
    "   \"post_azimuth_deg\": {\"normal\": {\"mean\": 61, \"sd\": 9}}},\n"
    " \"implant\": {\"expansion\": \"balloon\", \"nominal_diameter_mm\": 24.3, \"frame_height_mm\": 19.1,\n"
    "   \"skirt_height_mm\": 9.2, \"implant_depth_mm\": {\"student_t\": {\"location\": 4, \"scale\": 0.9, \"dof\": "
    "7}},\n"
    "   \"overexpansion\": {\"uniform\": {\"min\": -0.03, \"max\": 0.05}}, \"canting_sd_deg\": 2.1, \"offset_sd_mm\": "
    "0.6,\n"
    "   \"flare\": {\"truncated_normal\": {\"mean\": 0.5, \"sd\": 0.2, \"min\": 0.1, \"max\": 1}},\n"
    "   \"shape\": [[0, 1.05], [0.4, 0.9], [1, 1.2]]},\n"
    " \"limits\": {\"ostium_clearance_mm\": 3.9, \"stj_clearance_mm\": 2.1, \"reference_thickness_mm\": 0.45,\n"
    "   \"reference_blooming_mm\": 0.2, \"basis\": \"tube\"},\n"
    " \"coronaries\": {\n"
    "  \"left\": {\"azimuth_deg\": 35, \"circle_mm\": 22.4,\n"
    "   \"ostium_height\": {\"readings_mm\": {\"A\": [9.1, 9.4], \"B\": [9.9]}, \"between_reader_sd_mm\": 0.8, "
    "\"repeat_sd_mm\": 0.5},\n"
    "   \"ostium_gap\": {\"readings_mm\": {\"A\": [5.7]}, \"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3,\n"
    "     \"bloom_edges\": -1, \"resolution_mm\": 0.4,\n"
    "     \"cross_check\": {\"modality\": \"fluoroscopy\", \"readings_mm\": {\"A\": [6.1]}, \"reader_sd_mm\": 0.9,\n"
    "       \"magnification_sd\": 0.05, \"view_error_sd_deg\": 8}},\n"
    "   \"stj_height\": {\"readings_mm\": {\"A\": [14.9]}, \"between_reader_sd_mm\": 0.9, \"repeat_sd_mm\": 0.6},\n"
    "   \"stj_gap\": {\"readings_mm\": {\"A\": [2.7]}, \"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3, "
    "\"bloom_edges\": -1,\n"
    "     \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6.9]}, \"reader_sd_mm\": 0.7,\n"
    "       \"magnification_sd\": 0.02, \"view_error_sd_deg\": 5}},\n"
    "   \"leaflet_height\": {\"readings_mm\": {\"A\": [14.8]}, \"between_reader_sd_mm\": 0.8, \"repeat_sd_mm\": "
    "0.5}},\n"
    "  \"right\": {\"azimuth_deg\": 160, \"circle_mm\": 22.1,\n"
    "   \"ostium_height\": {\"readings_mm\": {\"A\": [12.2]}, \"between_reader_sd_mm\": 1.1, \"repeat_sd_mm\": 0.7,\n"
    "     \"sd_includes_plane\": true},\n"
    "   \"ostium_gap\": {\"normal\": {\"mean\": 6.2, \"sd\": 0.9}},\n"
    "   \"stj_height\": {\"readings_mm\": {\"A\": [15.6, 15.9, 14.8, 15.1, 15.4]}, \"sd_from_readings\": true},\n"
    "   \"stj_gap\": {\"readings_mm\": {\"A\": [3.2]}, \"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3, \"dof\": "
    "9},\n"
    "   \"leaflet_height\": {\"uniform\": {\"min\": 13.9, \"max\": 15.6}}}},\n"
    " \"alternatives\": [{\"name\": \"smaller\", \"implant\": {\"nominal_diameter_mm\": 22.5}, \"burden\": 0.02}]}\n";
static const char points[] = "\"radius_mm\": 11.3, \"azimuths_deg\": [10, 131, 245], \"point_sd_mm\": 0.5, "
                             "\"cuff_wave_mm\": 0.6, \"placements\": 2";
static const char tilt[] = "\"tilt_sd_deg\": 2.3, \"level_sd_mm\": 0.4";

typedef enum { POINTS, TILT, FORMS } form;

static outcome read_rich(form f, const sm_override *override, size_t n)
{
    char text[8192];
    assert_true(snprintf(text, sizeof text, rich, f == TILT ? tilt : points) < (int)sizeof text);
    outcome o = read_with(text, NULL, override, n);
    if (!o.file)
        fail_msg("%s = %s: %s", n ? override->pointer : "", n ? override->json : "", o.messages.s);
    return o;
}

/* 2. Evaluating, shared and alone */

/* All that a root gives for one block of trials. */
typedef struct {
    double y[SIDES][SM_OUTPUTS][SM_BLOCK];
    double crowded[SIDES][SM_BLOCK], sealed[SIDES][SM_BLOCK], saved[SIDES][SM_BLOCK];
    double weight[SM_BLOCK];
} given;

static void take_side(const sm_side_out *out, const double *saved, int k, int at, given *to)
{
    for (int o = 0; o < SM_OUTPUTS; o++)
        memcpy(&to->y[k][o][at], out->y[o], sizeof out->y[o]);
    memcpy(&to->crowded[k][at], out->crowded, sizeof out->crowded);
    memcpy(&to->sealed[k][at], out->sealed, sizeof out->sealed);
    memcpy(&to->saved[k][at], saved, SM_LANES * sizeof *saved);
}

/* As a run takes them: root[0]'s where they are the same. */
static void take_weights(const sm_plan *p, int index, const sm_worker *w, int at, given *to)
{
    if (index > 0 && sm_parts_weigh_as_first(p->root, p->parts, index))
        memcpy(&to[index].weight[at], &to[0].weight[at], SM_LANES * sizeof *to->weight);
    else
        sm_evaluate_weights(p, index, &w->at, &to[index].weight[at]);
}

/* Every root of the plan as a run evaluates it, each beside those before it. */
static void evaluate(const sm_plan *p, given *to)
{
    sm_worker w;
    double saved[SM_LANES];
    assert_int_equal(sm_worker_create(p, &w), SM_OK);
    sm_worker_draw(p, &w, SM_FOR_RUN, 3);
    for (int g = 0; g < GROUPS; g++) {
        sm_worker_point(&w, g);
        for (int i = 0; i < p->n_roots; i++) {
            sm_evaluate_shared(p, i, w.column, &w.at);
            for (int k = 0; k < SIDES; k++) {
                const sm_side_out *out = sm_evaluate_side(p, i, k, w.column, &w.at);
                sm_chance_draw(&p->root[i].side[k].rescue, w.column, saved);
                take_side(out, saved, k, g * SM_LANES, &to[i]);
            }
            take_weights(p, i, &w, g * SM_LANES, to);
        }
    }
    sm_worker_destroy(&w);
}

static sm_plan empty_plan(void)
{
    return (sm_plan){.seed = SEED, .tables = sm_tables_create()};
}

/* to: room for two. Another valve is one beside that of the case, at which the second looks are: it stands with the
 * case alone. */
static const given *evaluate_alone(const sm_root_request *request, given *to)
{
    sm_plan p = empty_plan();
    if (request->valve)
        assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = request->c}, NULL), SM_OK);
    assert_int_equal(sm_plan_add(&p, request, NULL), SM_OK);
    evaluate(&p, to);
    sm_plan_destroy(&p);
    return request->valve ? &to[1] : &to[0];
}

static int owns(const sm_plan *p, int index)
{
    const sm_parts *s = &p->parts[index];
    int n = (s->steering.owner == index) + (s->scan.owner == index) + (s->frame.owner == index);
    n += (s->tube.owner == index) + (s->shape.owner == index);
    for (int k = 0; k < SIDES; k++)
        n += (s->side[k].readings.owner == index) + (s->side[k].landmarks.owner == index) +
             (s->side[k].outputs.owner == index);
    return n;
}

/* Versions of a case, of which the first is the case itself. */
typedef struct {
    int n;
    sm_root_request request[MOST];
    char name[MOST][80];
    bool still[MOST]; /* nothing may change */
} versions;

static void add(versions *v, const char *name, const sm_root_request *request, bool still)
{
    assert_true(v->n < MOST);
    snprintf(v->name[v->n], sizeof v->name[v->n], "%s", name);
    v->still[v->n] = still;
    v->request[v->n++] = *request;
}

/* All in one plan: each must give what it gives alone, and differ from the first unless nothing may change. Added once
 * more, it must own no part: equal constants are equal as bytes. */
static void check_versions(const versions *v)
{
    given *shared = calloc((size_t)v->n, sizeof *shared), *room = calloc(2, sizeof *room);
    sm_plan p = empty_plan();
    assert_true(shared && room);
    for (int i = 0; i < v->n; i++)
        assert_int_equal(sm_plan_add(&p, &v->request[i], NULL), SM_OK);
    evaluate(&p, shared);
    for (int i = 0; i < v->n; i++) {
        int again;
        const given *alone = evaluate_alone(&v->request[i], room);
        if (memcmp(alone, &shared[i], sizeof *alone) != 0)
            fail_msg("%s: not the same alone and beside other roots", v->name[i]);
        if (i > 0 && (memcmp(&shared[0], &shared[i], sizeof *alone) == 0) != v->still[i])
            fail_msg("%s: %s", v->name[i], v->still[i] ? "changes the draws" : "changes nothing");
        assert_int_equal(sm_plan_add(&p, &v->request[i], &again), SM_OK);
        if (owns(&p, again) != 0)
            fail_msg("%s: the same once more shares %d parts less than all", v->name[i], owns(&p, again));
    }
    sm_plan_destroy(&p);
    free(shared);
    free(room);
}

/* 3. Every key */

/* A value put at a pointer, for a key of a table; a key without a pointer cannot be put: `why` says what it is. With a
 * pointer, `why` says why the value changes no draw of this case. */
typedef struct {
    const sm_keys *keys;
    const char *key, *pointer, *json, *why;
    form form;
} change;

#define LEFT  "/coronaries/left/"
#define RIGHT "/coronaries/right/"
#define PUT(table, key, pointer, json)                                                                                 \
    {                                                                                                                  \
        &sm_keys_##table, key, pointer, json, NULL, POINTS                                                             \
    }
#define STILL(table, key, pointer, json, why)                                                                          \
    {                                                                                                                  \
        &sm_keys_##table, key, pointer, json, why, POINTS                                                              \
    }
#define NOT_PUT(table, key, why)                                                                                       \
    {                                                                                                                  \
        &sm_keys_##table, key, NULL, NULL, why, POINTS                                                                 \
    }
#define SCAN(key, json)    PUT(scan, key, "/scan/" key, json)
#define PLANE(key, json)   PUT(base_plane, key, "/scan/base_plane/" key, json)
#define VALVE(key, json)   PUT(valve, key, "/surgical_valve/" key, json)
#define IMPLANT(key, json) PUT(implant, key, "/implant/" key, json)
#define LIMIT(key, json)   PUT(limits, key, "/limits/" key, json)
#define RING_LOOK          "/surgical_valve/inner_diameter_mm/cross_check/"
#define DEFAULTS           "only chooses defaults, and the case states them all"

/* Keys that speak of posts would be refused beside it. A new value is made from the kind of base draw, normal or
 * uniform, that the old one has: a column keeps the kind that its first root asked for. */
static const char stentless[] =
    "{\"leaflet_mount\": \"stentless\", \"ring_height_mm\": 2.7, \"inner_diameter_mm\": 22.3,\n"
    " \"leaflet_thickness_mm\": 0.9, \"ring_give_mm\": {\"uniform\": {\"min\": 0.1, \"max\": 0.7}},\n"
    " \"eccentricity\": {\"beta\": {\"a\": 2, \"b\": 5, \"min\": 0, \"max\": 0.2}}, \"leaflet_overhang_mm\": 0.5}";

/* clang-format off */
static const change changes[] = {
    NOT_PUT(case, "format", "a text"), STILL(case, "case", "/case", "\"other\"", "a text"),
    STILL(case, "note", "/note", "\"other\"", "a text"), NOT_PUT(case, "profile", "values of its keys, as a case has them"),
    NOT_PUT(case, "scan", "keys below"), NOT_PUT(case, "surgical_valve", "keys below"), NOT_PUT(case, "implant", "keys below"),
    NOT_PUT(case, "coronaries", "keys below"), NOT_PUT(case, "limits", "keys below"), NOT_PUT(case, "population", "keys below"),
    STILL(case, "action_line", "/action_line", "0.31", "what is made of the events"),
    NOT_PUT(case, "alternatives", "requests: section 5"),
    STILL(case, "confirmed", "/confirmed", "[\"inner_diameter_mm\"]", "what is told of the numbers"),
    STILL(case, "looks", "/looks", "[{\"name\": \"scan\", \"rescan\": {}}]", "looks not yet made have draws of their own"),
    STILL(case, "patient_axes", "/patient_axes",
          "{\"edge_on_deg\": [[30, 0], [-40, 20]], \"profile\": {\"side\": \"left\", \"view_deg\": [0, 30]}}", "where the C-arm stands"),
    STILL(case, "gantry", "/gantry", "{\"lao_deg\": 60}", "where the C-arm stands"),
    STILL(action, "action_line", "/action_line", "0.33", "what is made of the events"),
    STILL(scan, "detector", "/scan/detector", "\"photon_counting\"", DEFAULTS),
    STILL(scan, "kernel", "/scan/kernel", "\"sharp\"", DEFAULTS),
    SCAN("blooming_mm", "0.37"), SCAN("blooming_mm", "{\"triangular\": {\"min\": 0.2, \"mode\": 0.6, \"max\": 0.8}}"),
    NOT_PUT(scan, "base_plane", "keys below"), SCAN("centreline_sd_mm", "0.51"),
    PLANE("radius_mm", "11.9"), PLANE("azimuths_deg", "[12, 131, 245]"), PLANE("point_sd_mm", "0.6"),
    PLANE("cuff_wave_mm", "0.7"), PLANE("cuff_wave_mm", "0"), PLANE("placements", "1"), PLANE("placements", "5"),
    {&sm_keys_base_plane, "tilt_sd_deg", "/scan/base_plane/tilt_sd_deg", "2.5", NULL, TILT},
    {&sm_keys_base_plane, "level_sd_mm", "/scan/base_plane/level_sd_mm", "0.5", NULL, TILT},
    PUT(valve, "leaflet_mount", "/surgical_valve", stentless), VALVE("inner_diameter_mm", "21.7"),
    VALVE("inner_diameter_mm", "{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}"),
    VALVE("ring_height_mm", "3.1"), VALVE("ring_give_mm", "{\"uniform\": {\"min\": 0.1, \"max\": 0.8}}"),
    VALVE("eccentricity", "{\"beta\": {\"a\": 2, \"b\": 6, \"min\": 0, \"max\": 0.2}}"), VALVE("leaflet_thickness_mm", "0.8"),
    VALVE("mount_offset_mm", "{\"triangular\": {\"min\": 0.5, \"mode\": 1.2, \"max\": 1.9}}"),
    VALVE("mid_fraction", "{\"uniform\": {\"min\": 0.2, \"max\": 0.9}}"), VALVE("leaflet_overhang_mm", "{\"half_normal\": {\"sd\": 1.7}}"),
    VALVE("post_azimuth_deg", "{\"normal\": {\"mean\": 64, \"sd\": 9}}"), VALVE("post_azimuth_deg", "\"unknown\""),
    VALVE("post_azimuth_deg", "61"), VALVE("post_block_deg", "24"),
    STILL(implant, "expansion", "/implant/expansion", "\"self\"", DEFAULTS),
    IMPLANT("nominal_diameter_mm", "24.9"), IMPLANT("frame_height_mm", "20.3"), IMPLANT("skirt_height_mm", "9.9"),
    IMPLANT("implant_depth_mm", "{\"student_t\": {\"location\": 4, \"scale\": 0.9, \"dof\": 9}}"),
    IMPLANT("overexpansion", "{\"uniform\": {\"min\": -0.03, \"max\": 0.06}}"),
    IMPLANT("flare", "{\"truncated_normal\": {\"mean\": 0.5, \"sd\": 0.2, \"min\": 0.1, \"max\": 0.9}}"),
    IMPLANT("canting_sd_deg", "2.6"), IMPLANT("offset_sd_mm", "0.8"),
    IMPLANT("shape", "[[0, 1.05], [0.4, 0.9], [1, 1.25]]"), IMPLANT("shape", "[[0, 1.05], [0.5, 0.9], [1, 1.2]]"),
    IMPLANT("shape", "[[0, 1.05], [1, 1.2]]"),
    STILL(population, "ostium_gap_mm", "/population/ostium_gap_mm", "{\"normal\": {\"mean\": 5, \"sd\": 2}}", "what is made of the events"),
    STILL(limits, "published_set", "/limits/published_set", "\"after_implant\"", DEFAULTS),
    LIMIT("ostium_clearance_mm", "4.4"), LIMIT("stj_clearance_mm", "2.4"), LIMIT("reference_thickness_mm", "0.4"),
    LIMIT("reach_margin_mm", "0.5"), LIMIT("reference_blooming_mm", "0.25"), LIMIT("basis", "\"drawn_circle\""),
    PUT(coronary, "azimuth_deg", LEFT "azimuth_deg", "37"), PUT(coronary, "circle_mm", RIGHT "circle_mm", "22.7"),
    NOT_PUT(coronary, "leaflet_length_mm", "a leaflet_height"),
    STILL(coronary, "ostium", RIGHT "ostium", "true", "said already: a side has one unless it says otherwise"),
    STILL(coronary, "sinus_width_mm", RIGHT "sinus_width_mm", "35", "a guard of the gap"),
    PUT(coronary, "circle_mm", LEFT "circle_mm", "22.7"),
    PUT(coronary, "ostium_height", RIGHT "ostium_height", "11.8"), PUT(coronary, "ostium_gap", RIGHT "ostium_gap", "5.8"),
    PUT(coronary, "ostium_gap", RIGHT "ostium_gap", "{\"normal\": {\"mean\": 6.2, \"sd\": 0.8}}"),
    PUT(coronary, "ostium_gap", RIGHT "ostium_gap", "{\"lognormal\": {\"median\": 6.2, \"gsd\": 1.2}}"),
    PUT(coronary, "stj_height", LEFT "stj_height", "15.2"), PUT(coronary, "stj_gap", RIGHT "stj_gap", "3.5"),
    PUT(coronary, "leaflet_height", RIGHT "leaflet_height", "{\"uniform\": {\"min\": 13.9, \"max\": 15.7}}"),
    PUT(reading, "readings_mm", LEFT "ostium_gap/readings_mm", "{\"A\": [5.9]}"),
    PUT(reading, "readings_mm", RIGHT "ostium_height/readings_mm", "{\"A\": [12.2], \"B\": [12.4]}"),
    PUT(reading, "between_reader_sd_mm", LEFT "ostium_gap/between_reader_sd_mm", "0.6"),
    PUT(reading, "between_reader_sd_mm", "/surgical_valve/inner_diameter_mm/between_reader_sd_mm", "0.4"),
    PUT(reading, "repeat_sd_mm", LEFT "leaflet_height/repeat_sd_mm", "0.6"),
    PUT(reading, "repeat_sd_mm", "/surgical_valve/leaflet_thickness_mm/repeat_sd_mm", "0.1"),
    PUT(reading, "dof", RIGHT "stj_gap/dof", "12"), PUT(reading, "dof", LEFT "stj_height/dof", "6"),
    PUT(reading, "sd_includes_plane", RIGHT "ostium_height/sd_includes_plane", "false"),
    PUT(reading, "sd_includes_plane", LEFT "leaflet_height/sd_includes_plane", "true"),
    PUT(reading, "bloom_edges", LEFT "stj_gap/bloom_edges", "-2"), PUT(reading, "bloom_edges", LEFT "stj_gap/bloom_edges", "0"),
    PUT(reading, "bloom_edges", "/surgical_valve/inner_diameter_mm/bloom_edges", "1"),
    PUT(reading, "bloom_edges", "/surgical_valve/leaflet_thickness_mm/bloom_edges", "2"),
    PUT(reading, "resolution_mm", LEFT "ostium_gap/resolution_mm", "0.5"), PUT(reading, "resolution_mm", LEFT "ostium_gap/resolution_mm", "0"),
    PUT(reading, "resolution_mm", "/surgical_valve/inner_diameter_mm/resolution_mm", "0.5"),
    PUT(reading, "resolution_mm", "/surgical_valve/leaflet_thickness_mm/resolution_mm", "0.5"),
    PUT(reading, "sd_from_readings", RIGHT "stj_height/sd_from_readings", "false"),
    NOT_PUT(reading, "cross_check", "keys below"),
    STILL(cross_check, "modality", LEFT "ostium_gap/cross_check/modality", "\"echo\"", DEFAULTS),
    PUT(cross_check, "reader_sd_mm", LEFT "ostium_gap/cross_check/reader_sd_mm", "1.0"),
    PUT(cross_check, "reader_sd_mm", LEFT "stj_gap/cross_check/reader_sd_mm", "0.8"),
    PUT(cross_check, "magnification_sd", LEFT "ostium_gap/cross_check/magnification_sd", "0.06"),
    PUT(cross_check, "view_error_sd_deg", LEFT "ostium_gap/cross_check/view_error_sd_deg", "9"),
    PUT(cross_check, "readings_mm", LEFT "ostium_gap/cross_check/readings_mm", "{\"A\": [6.3]}"),
    PUT(cross_check, "readings_mm", LEFT "stj_gap/cross_check/readings_mm", "{\"A\": [3.1]}"),
    PUT(cross_check, "spoiled", LEFT "ostium_gap/cross_check/spoiled", "0.1"),
    STILL(direct_look, "modality", RING_LOOK "modality", "\"echo\"", "said, not computed with"),
    PUT(direct_look, "reader_sd_mm", RING_LOOK "reader_sd_mm", "0.4"),
    PUT(direct_look, "spoiled", RING_LOOK "spoiled", "0.1"),
    PUT(direct_look, "readings_mm", RING_LOOK "readings_mm", "{\"A\": [21.4]}"),
    NOT_PUT(alternative, "name", "a text"), NOT_PUT(alternative, "implant", "requests: section 5"),
    NOT_PUT(alternative, "surgical_valve", "requests: section 5"), NOT_PUT(alternative, "lacerate", "requests: section 5"),
    NOT_PUT(alternative, "rescue", "requests: section 5"),
    STILL(alternative, "burden", "/alternatives/0/burden", "0.04", "what is made of the events"),
};
/* clang-format on */

enum { CHANGES = sizeof changes / sizeof *changes };

/* A case's; a profile states values of the same keys. */
static const sm_keys *const tables[] = {&sm_keys_case,        &sm_keys_action,      &sm_keys_scan,
                                        &sm_keys_base_plane,  &sm_keys_valve,       &sm_keys_implant,
                                        &sm_keys_limits,      &sm_keys_coronary,    &sm_keys_reading,
                                        &sm_keys_cross_check, &sm_keys_direct_look, &sm_keys_alternative};

static void every_key_has_its_change(void **state)
{
    (void)state;
    for (size_t t = 0; t < sizeof tables / sizeof *tables; t++)
        for (size_t i = 0; i < tables[t]->n; i++) {
            int found = 0;
            for (int j = 0; j < CHANGES; j++)
                found += changes[j].keys == tables[t] && strcmp(changes[j].key, tables[t]->key[i].name) == 0;
            if (!found)
                fail_msg("%s: %s has no line in `changes`", tables[t]->what, tables[t]->key[i].name);
        }
    for (int j = 0; j < CHANGES; j++)
        assert_true(sm_keys_find(changes[j].keys, changes[j].key) && (changes[j].pointer || changes[j].why));
}

static const double lacerated[SIDES] = {0.83, 0.71}, rescued[SIDES] = {0.77, SM_NOT_DONE};

/* With both leaflets lacerated, so that the posts matter. */
static sm_root_request request_of(const outcome *o)
{
    return (sm_root_request){.c = o->c, .lacerate = lacerated, .rescue = rescued};
}

static void check_keys(form f)
{
    versions *v = calloc(1, sizeof *v);
    outcome *o = calloc(CHANGES + 1, sizeof *o);
    assert_true(v && o);
    o[0] = read_rich(f, NULL, 0);
    sm_root_request request = request_of(&o[0]);
    add(v, "the case", &request, true);
    for (int j = 0; j < CHANGES; j++) {
        const change *c = &changes[j];
        if (!c->pointer || c->form != f)
            continue;
        o[v->n] = read_rich(f, &(sm_override){c->pointer, c->json}, 1);
        request = request_of(&o[v->n]);
        add(v, c->pointer, &request, c->why != NULL);
    }
    check_versions(v);
    for (int i = 0; i < v->n; i++)
        outcome_destroy(&o[i]);
    free(o);
    free(v);
}

static void every_key_is_the_same_shared_and_alone(void **state)
{
    (void)state;
    check_keys(POINTS);
}

static void every_key_of_the_tilt_form_too(void **state)
{
    (void)state;
    check_keys(TILT);
}

/* 4. Every knob */

static double other_value(const sm_knob *k)
{
    const double middle = (k->from + k->to) / 2;
    if (k->has_own && k->own != 0)
        return k->own * 1.03;
    assert_true(k->has_range);
    return middle;
}

static void check_knobs(form f)
{
    versions *v = calloc(1, sizeof *v);
    sm_casefile *file[MOST] = {NULL};
    outcome o = read_rich(f, NULL, 0);
    const char *own[] = {"left.ostium_height", "left.ostium_gap",  "left.stj_gap",
                         "right.stj_height",   "right.ostium_gap", "right.leaflet_height"};
    const int named = (int)(sizeof own / sizeof *own);
    sm_root_request request = request_of(&o);
    assert_non_null(v);
    add(v, "the case", &request, true);
    for (int i = 0; i < named || sm_knob_name((size_t)(i - named)); i++) {
        const char *name = i < named ? own[i] : sm_knob_name((size_t)(i - named));
        sm_diag d = {0};
        sm_knob k;
        const sm_knob *knob = &k;
        if (sm_knob_find(o.file, name, &d, &k) == SM_OK) {
            const double value = other_value(&k);
            if (sm_knob_case(o.file, &knob, &value, 1, &d, &file[v->n]) != SM_OK)
                fail_msg("%s = %g: %s", name, value, d.item[0].words);
            request.c = sm_casefile_case(file[v->n]);
            add(v, name, &request, false);
        } else if (!(f == TILT && strcmp(name, "cuff_wave") == 0)) /* the tilt form has no wave */
            fail_msg("%s: %s", name, d.item[0].words);
        sm_knob_destroy(&k);
        sm_diag_destroy(&d);
    }
    check_versions(v);
    for (int i = 0; i < MOST; i++)
        sm_casefile_destroy(file[i]);
    outcome_destroy(&o);
    free(v);
}

static void every_knob_is_the_same_shared_and_alone(void **state)
{
    (void)state;
    check_knobs(POINTS);
    check_knobs(TILT);
}

/* 5. Every request */

static void every_request_is_the_same_shared_and_alone(void **state)
{
    static const double left[SIDES] = {0.9, SM_NOT_DONE}, right[SIDES] = {SM_NOT_DONE, 0.9}, both[SIDES] = {0.9, 0.9},
                        less[SIDES] = {0.8, SM_NOT_DONE};
    outcome o = read_rich(POINTS, NULL, 0),
            other = read_rich(POINTS, &(sm_override){"/limits/basis", "\"drawn_circle\""}, 1);
    sm_implant smaller = o.c->implant;
    sm_surgical_valve inside = o.c->valve, cracked = o.c->valve;
    versions *v = calloc(1, sizeof *v);
    (void)state;
    assert_non_null(v);
    smaller.nominal_diameter_mm = 22.5;
    inside.leaflet_mount = SM_STENTLESS;
    cracked.inner_diameter = (sm_quantity){.value = sm_dist_normal(23.6, 0.5)};
    const sm_root_request request[] = {{.lacerate = left},
                                       {.lacerate = right},
                                       {.lacerate = both},
                                       {.lacerate = less},
                                       {.rescue = left},
                                       {.rescue = right},
                                       {.rescue = less},
                                       {.implant = &smaller},
                                       {.implant = &smaller, .lacerate = left},
                                       {.valve = &inside, .lacerate = left},
                                       {.without_bloom_correction = true},
                                       {.more_mm = 0.7, .more_gap = SM_GAP_OSTIUM},
                                       {.more_mm = 0.7, .more_gap = SM_GAP_STJ},
                                       {.more_mm = -0.9, .more_gap = SM_GAP_STJ, .more_side = 1},
                                       {.valve = &cracked},
                                       {.valve = &cracked, .implant = &smaller},
                                       {.c = other.c, .implant = &smaller}};
    add(v, "the case", &(sm_root_request){.c = o.c}, true);
    for (size_t i = 0; i < sizeof request / sizeof *request; i++) {
        sm_root_request r = request[i];
        char name[32];
        r.c = r.c ? r.c : o.c;
        snprintf(name, sizeof name, "request %zu", i);
        add(v, name, &r, false);
    }
    check_versions(v);
    outcome_destroy(&o);
    outcome_destroy(&other);
    free(v);
}

/* 6. What is shared */

/* The owners of the second root's parts: 0 if it shares them with the first. */
typedef struct {
    int steering, scan, frame, tube, shape, readings[SIDES], landmarks[SIDES], outputs[SIDES];
} owners;

static void check_owners(const sm_plan *p, int index, const owners *want)
{
    const sm_parts *s = &p->parts[index];
    const owners got = {s->steering.owner,
                        s->scan.owner,
                        s->frame.owner,
                        s->tube.owner,
                        s->shape.owner,
                        {s->side[0].readings.owner, s->side[1].readings.owner},
                        {s->side[0].landmarks.owner, s->side[1].landmarks.owner},
                        {s->side[0].outputs.owner, s->side[1].outputs.owner}};
    assert_memory_equal(&got, want, sizeof got);
}

/* The demo's alternatives: each computes what it changes and nothing else. */
static void an_alternative_computes_what_it_changes(void **state)
{
    outcome o = read_demo();
    sm_plan p;
    (void)state;
    assert_int_equal(sm_plan_create(o.c, SEED, &p), SM_OK);
    for (size_t i = 0; i < o.c->n_alternatives; i++) {
        const sm_alternative *a = &o.c->alternative[i];
        const sm_root_request request = {.implant = a->patches_implant ? &a->implant : NULL,
                                         .valve = a->patches_valve ? &a->valve : NULL,
                                         .lacerate = a->lacerate,
                                         .rescue = a->rescue};
        assert_int_equal(sm_plan_add(&p, &request, NULL), SM_OK);
    }
    assert_int_equal(p.n_roots, 4);
    check_owners(&p, 1, &(owners){.tube = 1, .outputs = {1, 1}}); /* smaller device */
    check_owners(&p, 2, &(owners){.tube = 0});                    /* rescue */
    check_owners(&p, 3, &(owners){.outputs = {3, 0}});            /* laceration on the left */
    const sm_part_counts none = {0};
    assert_memory_equal(&p.kept, &none, sizeof none);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &o.c->alternative[0].implant}, NULL), SM_OK);
    assert_true(p.kept.tube == 1 && p.kept.outputs == 2 && p.kept.landmarks == 0 && p.kept.scan == 0);
    sm_plan_destroy(&p);
    outcome_destroy(&o);
}

/* A key beside root[0], the rich case: does what the looks say of the trials change? */
typedef struct {
    const char *pointer, *json;
    bool steers, weighs; /* anew */
} beside;

/* What a look is at, what its quantity is read from, and what moves all readings steer anew; other readings do not, and
 * then the trials weigh as they did unless a landmark that is looked at has moved. */
static void what_looks_hang_on_steers_anew(void **state)
{
    static const beside lines[] = {
        {LEFT "ostium_gap/cross_check/readings_mm", "{\"A\": [6.3]}", true, true},
        {LEFT "ostium_gap/readings_mm", "{\"A\": [5.9]}", true, true},
        {LEFT "ostium_height/readings_mm", "{\"A\": [9.9]}", true, true},
        {RING_LOOK "reader_sd_mm", "0.4", true, true},
        {"/scan/blooming_mm", "{\"triangular\": {\"min\": 0.2, \"mode\": 0.6, \"max\": 0.8}}", true, true},
        {"/scan/centreline_sd_mm", "0.51", true, true},
        {LEFT "leaflet_height/readings_mm", "{\"A\": [15.1]}", false, true}, /* a part of the same landmarks */
        {RIGHT "ostium_gap", "{\"normal\": {\"mean\": 6.2, \"sd\": 0.8}}", false, false},
        {"/implant/nominal_diameter_mm", "24.9", false, false},
        {"/limits/ostium_clearance_mm", "4.4", false, false}};
    outcome o = read_rich(POINTS, NULL, 0);
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        sm_plan p;
        outcome other = read_rich(POINTS, &(sm_override){lines[i].pointer, lines[i].json}, 1);
        assert_int_equal(sm_plan_create(o.c, SEED, &p), SM_OK);
        assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = other.c}, NULL), SM_OK);
        if ((p.parts[1].steering.owner == 1) != lines[i].steers)
            fail_msg("%s: steered %s", lines[i].pointer, lines[i].steers ? "as before" : "anew");
        if (sm_parts_weigh_as_first(p.root, p.parts, 1) == lines[i].weighs)
            fail_msg("%s: weighs %s", lines[i].pointer, lines[i].weighs ? "as before" : "anew");
        sm_plan_destroy(&p);
        outcome_destroy(&other);
    }
    outcome_destroy(&o);
}

/* Whatever an alternative does, the looks bear on what is there now: its trials weigh as the case's. */
static void an_alternative_leaves_the_looks_alone(void **state)
{
    outcome o = read_rich(POINTS, NULL, 0);
    sm_implant smaller = o.c->implant;
    sm_surgical_valve cracked = o.c->valve;
    sm_plan p;
    (void)state;
    smaller.nominal_diameter_mm = 22.5;
    cracked.inner_diameter = (sm_quantity){.value = sm_dist_normal(23.6, 0.5)};
    assert_int_equal(sm_plan_create(o.c, SEED, &p), SM_OK);
    const sm_root_request request[] = {
        {.implant = &smaller}, {.lacerate = lacerated}, {.rescue = rescued}, {.valve = &cracked}};
    for (int i = 0; i < 4; i++) {
        assert_int_equal(sm_plan_add(&p, &request[i], NULL), SM_OK);
        assert_true(sm_parts_weigh_as_first(p.root, p.parts, i + 1));
    }
    check_owners(&p, 1, &(owners){.tube = 1, .outputs = {1, 1}});
    check_owners(&p, 2, &(owners){.outputs = {2, 2}});
    check_owners(&p, 3, &(owners){.tube = 0});
    check_owners(&p, 4, &(owners){.tube = 4, .outputs = {4, 4}});
    assert_true(p.root[1].tube.look_inner_diameter >= 0 && p.root[4].tube.look_inner_diameter < 0);
    sm_plan_destroy(&p);
    outcome_destroy(&o);
}

/* The case as read, but for its second looks: these move columns of all parts. side: room. */
static sm_case without_looks(const sm_case *c, sm_coronary side[SIDES])
{
    sm_case plain = *c;
    memcpy(side, c->coronary, SIDES * sizeof *side);
    for (int k = 0; k < SIDES; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            side[k].quantity[q].cross_check.present = false;
    plain.coronary = side;
    plain.valve.inner_diameter.cross_check.present = false;
    plain.valve.leaflet_thickness.cross_check.present = false;
    return plain;
}

/* Only column j has another draw: evaluated anew in part and whole, to the bit. */
static void check_moved(const sm_plan *p, int j, const sm_worker *kept, const sm_worker *other, sm_worker *part,
                        sm_places *whole)
{
    const unsigned feeds = p->sources.column[j].feeds;
    for (int i = 0; i < p->sources.n_columns; i++)
        part->column[i] = i == j ? other->column[i] : kept->column[i];
    sm_evaluate_moved(p, feeds, part->column, &kept->at, &part->at);
    sm_evaluate_first(p, part->column, whole);
    assert_true(feeds != 0 && feeds != SM_FEEDS_ALL);
    for (int k = 0; k < SIDES; k++) {
        const sm_side_out *a = &part->at.side[k], *b = &whole->side[k];
        if (memcmp(a->y, b->y, sizeof a->y) != 0 || memcmp(a->crossed, b->crossed, sizeof a->crossed) != 0 ||
            memcmp(a->event, b->event, sizeof a->event) != 0)
            fail_msg("%s %s: not what it is evaluated whole", p->sources.source[p->sources.column[j].source].name,
                     p->sources.column[j].part);
    }
}

static void check_all_moved(form f)
{
    const sm_override limit = {"/limits/stj_clearance_mm", "{\"normal\": {\"mean\": 2.1, \"sd\": 0.3}}"};
    outcome o = read_rich(f, &limit, 1);
    sm_coronary side[SIDES];
    const sm_case c = without_looks(o.c, side);
    sm_plan p;
    sm_worker w[3];
    sm_places whole;
    assert_int_equal(sm_plan_create(&c, SEED, &p), SM_OK);
    assert_int_equal(p.root[0].steering.n, 0);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(sm_worker_create(&p, &w[i]), SM_OK);
        sm_worker_draw(&p, &w[i], i == 0 ? SM_FOR_RUN : SM_FOR_REDRAW, 3);
        sm_worker_point(&w[i], 1);
    }
    assert_int_equal(sm_places_create(&p, &whole), SM_OK);
    sm_evaluate_first(&p, w[0].column, &w[0].at);
    for (int j = 0; j < p.sources.n_columns; j++)
        check_moved(&p, j, &w[0], &w[1], &w[2], &whole);
    sm_places_destroy(&whole);
    for (int i = 0; i < 3; i++)
        sm_worker_destroy(&w[i]);
    sm_plan_destroy(&p);
    outcome_destroy(&o);
}

static void what_a_column_does_not_feed_is_kept(void **state)
{
    (void)state;
    for (form f = POINTS; f < FORMS; f++)
        check_all_moved(f);
}

/* The pilot of what the plane adds serves both sides and every case that it fits. */
static void a_pilot_of_the_plane_serves_again(void **state)
{
    static const char *const pointer[] = {"/implant/flare", LEFT "ostium_gap/bloom_edges",
                                          LEFT "ostium_gap/readings_mm", "/scan/base_plane/radius_mm"};
    static const char *const json[] = {"0.4", "0", "{\"A\": [5.9]}", "11.8"};
    const int owner[][SIDES] = {{0, 0}, {0, 0}, {3, 0}, {4, 4}};
    outcome o[5] = {read_rich(POINTS, NULL, 0)};
    sm_plan p;
    (void)state;
    assert_int_equal(sm_plan_create(o[0].c, SEED, &p), SM_OK);
    for (int i = 0; i < 4; i++) {
        o[i + 1] = read_rich(POINTS, &(sm_override){pointer[i], json[i]}, 1);
        assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = o[i + 1].c}, NULL), SM_OK);
        for (int k = 0; k < SIDES; k++)
            assert_int_equal(p.still->parts[i + 1].side[k].landmarks.owner, owner[i][k]);
    }
    for (int i = 0; i < 5; i++)
        outcome_destroy(&o[i]);
    sm_plan_destroy(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key_has_its_change),
        cmocka_unit_test(every_key_is_the_same_shared_and_alone),
        cmocka_unit_test(every_key_of_the_tilt_form_too),
        cmocka_unit_test(every_knob_is_the_same_shared_and_alone),
        cmocka_unit_test(every_request_is_the_same_shared_and_alone),
        cmocka_unit_test(what_looks_hang_on_steers_anew),
        cmocka_unit_test(an_alternative_leaves_the_looks_alone),
        cmocka_unit_test(an_alternative_computes_what_it_changes),
        cmocka_unit_test(what_a_column_does_not_feed_is_kept),
        cmocka_unit_test(a_pilot_of_the_plane_serves_again),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
