/* test_settings.c - what a call hangs on: levers against cases that state their values, settings against settings drawn
 * otherwise, and the form of the call at its boundaries.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_rng.h>

#include "whatif/settings.h"

static const sm_run_context context = {.trials = 65536, .seed = 7, .points = SM_POINTS_PLAIN},
                            sharp = {.trials = 65536, .seed = 7, .points = SM_POINTS_SHARP};

/* The case of call.md: external leaflets, a bright wall, little room; all else as by default. */
static const char text[] =
    "{\"format\": \"slimmargin-case-1\", \"case\": \"made\",\n"
    " \"surgical_valve\": {\"leaflet_mount\": \"external\",\n"
    "   \"inner_diameter_mm\": {\"normal\": {\"mean\": 21.0, \"sd\": 0.3}}},\n"
    " \"implant\": {\"expansion\": \"balloon\", \"nominal_diameter_mm\": 23, \"frame_height_mm\": 19,\n"
    "   \"skirt_height_mm\": 9.5, \"implant_depth_mm\": 4},\n"
    " \"coronaries\": {\n"
    "  \"left\": {\"azimuth_deg\": 36, \"circle_mm\": 21.2, \"ostium_height\": 9.8, \"stj_height\": 18.5,\n"
    "   \"ostium_gap\": {\"readings_mm\": {\"A\": [6.2]}, \"bloom_edges\": -1}, \"stj_gap\": 4.4, \"leaflet_height\": "
    "13.6},\n"
    "  \"right\": {\"azimuth_deg\": 161, \"circle_mm\": 21.2, \"ostium_height\": 12.6, \"stj_height\": 19.0,\n"
    "   \"ostium_gap\": 8.0, \"stj_gap\": 5.0, \"leaflet_height\": 13.6}},\n"
    " \"action_line\": 0.2}\n";

typedef struct {
    outcome o;
    sm_assessment a;
    sm_settings s;
} ran;

static ran run_with(const char *case_text, const sm_override *put, size_t n, sm_run_context how)
{
    ran r = {.o = read_with(case_text, NULL, put, n)};
    if (!r.o.c)
        fail_msg("refused: %s", r.o.messages.s);
    assert_int_equal(sm_assess(r.o.c, how, &r.a), SM_OK);
    assert_int_equal(sm_settings_run(r.o.file, &r.a, how, &r.s), SM_OK);
    return r;
}

static ran run(const char *case_text, const sm_override *put, size_t n)
{
    return run_with(case_text, put, n, context);
}

static void ran_destroy(ran *r)
{
    sm_settings_destroy(&r->s);
    sm_assessment_destroy(&r->a);
    outcome_destroy(&r->o);
}

static const sm_swing *swing_at(const ran *r, const char *path)
{
    const sm_assumption *a;
    sm_casefile_assumptions(r->o.file, &a);
    for (int i = 0; i < r->s.n_swings; i++)
        if (strcmp(a[r->s.swing[i].lever.assumption].path, path) == 0)
            return &r->s.swing[i];
    return NULL;
}

/* 1. Each end is the case that states it */

/* The events in the trials of a swing of the case with these values put in. */
static int64_t events_with(const sm_override *put, size_t n)
{
    outcome o = read_with(text, NULL, put, n);
    sm_assessment a;
    if (!o.c)
        fail_msg("refused: %s", o.messages.s);
    assert_int_equal(
        sm_assess(o.c, (sm_run_context){.trials = SM_SWING_TRIALS, .seed = 7, .points = SM_POINTS_PLAIN}, &a), SM_OK);
    const int64_t k = a.patient.event.k;
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
    return k;
}

typedef struct {
    const char *path; /* of the lever */
    int end;
    size_t n;
    sm_override put[4]; /* what moving it there means, written out */
} end_as_case;

/* The ranges are those of docs/facts.md and of defaults; the distributions scaled by hand. */
static const end_as_case ends[] = {
    {"/surgical_valve/leaflet_thickness_mm",
     1,
     1,
     {{"/surgical_valve/leaflet_thickness_mm", "{\"lognormal\": {\"median\": 1.2, \"gsd\": 1.35}}"}}},
    {"/surgical_valve/mount_offset_mm",
     0,
     1, /* times 0.5/0.8 */
     {{"/surgical_valve/mount_offset_mm", "{\"triangular\": {\"min\": 0.1875, \"mode\": 0.5, \"max\": 0.9375}}"}}},
    {"/surgical_valve/mid_fraction",
     1,
     1, /* times 0.7/0.5, no share above 1 */
     {{"/surgical_valve/mid_fraction", "{\"uniform\": {\"min\": 0.28, \"max\": 1}}"}}},
    {"/surgical_valve/leaflet_overhang_mm",
     1,
     1,
     {{"/surgical_valve/leaflet_overhang_mm", "{\"uniform\": {\"min\": 0, \"max\": 4}}"}}},
    {"/implant/flare", 1, 1, {{"/implant/flare", "{\"triangular\": {\"min\": 0, \"mode\": 0.75, \"max\": 1}}"}}},
    {"/implant/overexpansion", 1, 1, {{"/implant/overexpansion", "{\"normal\": {\"mean\": 0.05, \"sd\": 0.028}}"}}},
    {"/implant/shape", 0, 1, {{"/implant/shape", "[[0, 1.02], [0.5, 0.99], [0.75, 1.008], [1, 1]]"}}},
    {"/implant/canting_sd_deg", 1, 1, {{"/implant/canting_sd_deg", "5"}}},
    {"/coronaries/left/leaflet_height/bloom_edges",
     0,
     2, /* both sides at once */
     {{"/coronaries/left/leaflet_height/bloom_edges", "-1"}, {"/coronaries/right/leaflet_height/bloom_edges", "-1"}}},
    {"/coronaries/left/ostium_gap/bloom_edges", 1, 1, {{"/coronaries/left/ostium_gap/bloom_edges", "0"}}},
    {"/coronaries/right/ostium_gap/bloom_edges", 0, 1, {{"/coronaries/right/ostium_gap/bloom_edges", "-1"}}},
#define BOTH_SDS "0.84852813742385702" /* 1.2/sqrt(2): half of the variance each */
    {"/coronaries/left/ostium_height/between_reader_sd_mm",
     1,
     4,
     {{"/coronaries/left/ostium_height/between_reader_sd_mm", BOTH_SDS},
      {"/coronaries/left/ostium_height/repeat_sd_mm", BOTH_SDS},
      {"/coronaries/right/ostium_height/between_reader_sd_mm", BOTH_SDS},
      {"/coronaries/right/ostium_height/repeat_sd_mm", BOTH_SDS}}},
    {"/limits/ostium_clearance_mm", 0, 1, {{"/limits/ostium_clearance_mm", "3"}}},
    {"/limits/reach_margin_mm", 1, 1, {{"/limits/reach_margin_mm", "2"}}},
};

static void each_end_is_the_case_that_states_it(void **state)
{
    (void)state;
    ran r = run(text, NULL, 0);
    const int64_t own = events_with(NULL, 0);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        const sm_swing *w = swing_at(&r, ends[i].path);
        if (!w)
            fail_msg("%s is in no doubt", ends[i].path);
        const sm_swing_end *e = &w->end[ends[i].end];
        const int64_t k = events_with(ends[i].put, ends[i].n);
        assert_true(e->applies);
        if (k - own != llround(e->difference.value * SM_SWING_TRIALS))
            fail_msg("%s: %d events more, %g", ends[i].path, (int)(k - own), e->difference.value * SM_SWING_TRIALS);
        assert_near(e->probability, r.a.patient.event.probability + e->difference.value, 0, 1e-15);
    }
    ran_destroy(&r);
}

/* Where it turns, the case that states that value lies on the line. */
static void it_turns_where_it_says(void **state)
{
    (void)state;
    ran r = run(text, NULL, 0);
    const sm_swing_end *e = &swing_at(&r, "/surgical_valve/leaflet_thickness_mm")->end[1];
    char json[80];
    assert_true(e->turns && !e->stays && e->at > 0.7 && e->at < 1.2);
    snprintf(json, sizeof json, "{\"lognormal\": {\"median\": %.9g, \"gsd\": 1.35}}", e->at);
    const sm_override there = {"/surgical_valve/leaflet_thickness_mm", json};
    const double moved = (double)(events_with(&there, 1) - events_with(NULL, 0)) / SM_SWING_TRIALS;
    assert_near(r.a.patient.event.probability + moved, 0.2, 0, 0.01); /* straight between eighths of the way */
    ran_destroy(&r);
}

/* 2. Typing a default, and saying that it was measured */

static void same_settings(const sm_settings *a, const sm_settings *b)
{
    assert_int_equal(a->n_swings, b->n_swings);
    assert_int_equal(a->n_judged, b->n_judged);
    assert_near(a->low90.value, b->low90.value, 0, 0);
    assert_near(a->high90.value, b->high90.value, 0, 0);
    assert_near(a->same.value, b->same.value, 0, 0);
    assert_near(a->least, b->least, 0, 0);
    assert_near(a->most, b->most, 0, 0);
}

static void typing_a_default_changes_nothing(void **state)
{
    (void)state;
    ran plain = run(text, NULL, 0);
    const sm_assumption *a;
    const size_t n = sm_casefile_assumptions(plain.o.file, &a);
    sm_override put[80];
    size_t m = 0;
    for (size_t i = 0; i < n && m < 80; i++)
        if (a[i].origin == SM_FROM_DEFAULT && a[i].doubt.kind != SM_DOUBT_NONE)
            put[m++] = (sm_override){a[i].path, a[i].value.json};
    assert_true(m > 25);
    ran typed = run(text, put, m);
    same_settings(&plain.s, &typed.s);
    assert_int_equal(plain.a.patient.event.k, typed.a.patient.event.k);
    ran_destroy(&typed);
    ran_destroy(&plain);
}

/* As it is printed, nearly the same, or by a site profile: the default still. */
static void nearly_a_default_is_the_default(void **state)
{
    (void)state;
    static const char profile[] =
        "{\"format\": \"slimmargin-profile-1\", \"site\": \"north\", \"source\": \"typed off\",\n"
        " \"surgical_valve\": {\"leaflet_thickness_mm\": {\"value\": {\"lognormal\": {\"median\": 0.7, \"gsd\": "
        "1.35}}}},\n"
        " \"implant\": {\"canting_sd_deg\": {\"value\": 2, \"measured\": true}}}";
    const sm_override near[] = {
        {"/coronaries/left/ostium_gap/between_reader_sd_mm", "0.42"},
        {"/surgical_valve/leaflet_thickness_mm", "{\"lognormal\": {\"median\": 0.7001, \"gsd\": 1.35}}"},
        {"/limits/ostium_clearance_mm", "3.5"}};
    ran r = run(text, near, 3);
    assert_non_null(swing_at(&r, "/coronaries/left/ostium_gap/between_reader_sd_mm"));
    assert_non_null(swing_at(&r, "/surgical_valve/leaflet_thickness_mm"));
    assert_non_null(swing_at(&r, "/limits/ostium_clearance_mm")); /* a choice, whatever was chosen */
    ran_destroy(&r);
    outcome o = read_with(text, profile, NULL, 0);
    const sm_assumption *thickness = assumption_at(&o, "/surgical_valve/leaflet_thickness_mm");
    assert_int_equal(thickness->origin, SM_FROM_PROFILE);
    assert_int_equal(thickness->doubt.kind, SM_DOUBT_JUDGED);
    assert_int_equal(assumption_at(&o, "/implant/canting_sd_deg")->doubt.kind, SM_DOUBT_NONE);
    outcome_destroy(&o);
}

static void an_open_call_turns_nowhere(void **state)
{
    (void)state;
    ran below = run(text, NULL, 0);
    char line[32];
    snprintf(line, sizeof line, "%.6f", below.a.patient.event.probability);
    const sm_override there = {"/action_line", line};
    ran r = run(text, &there, 1);
    assert_int_equal(sm_hold_of(&r.a, &r.s).form, SM_FORM_OPEN);
    assert_int_equal(sm_hold_of(&r.a, &r.s).n_turns, 0);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        assert_true(r.s.least <= r.a.by_limits[i].probability && r.a.by_limits[i].probability <= r.s.most);
    ran_destroy(&r);
    ran_destroy(&below);
}

static void what_was_measured_leaves_the_settings(void **state)
{
    (void)state;
    const sm_override measured[] = {
        {"/surgical_valve/leaflet_thickness_mm",
         "{\"value\": {\"lognormal\": {\"median\": 0.7, \"gsd\": 1.35}}, \"measured\": true}"},
        {"/implant/canting_sd_deg", "{\"value\": 2, \"measured\": true}"}};
    ran plain = run(text, NULL, 0), less = run(text, measured, 2);
    assert_int_equal(less.s.n_judged, plain.s.n_judged - 2);
    assert_null(swing_at(&less, "/surgical_valve/leaflet_thickness_mm"));
    assert_null(swing_at(&less, "/implant/canting_sd_deg"));
    assert_int_equal(less.a.patient.event.k, plain.a.patient.event.k);
    assert_true(less.s.high90.value < plain.s.high90.value); /* the thickness moved most */
    ran_destroy(&less);
    ran_destroy(&plain);
}

static void a_wall_stays_in_doubt_until_it_is_measured(void **state)
{
    (void)state;
    const sm_override said = {"/coronaries/left/ostium_gap/bloom_edges", "{\"value\": -1, \"measured\": true}"};
    ran r = run(text, &said, 1);
    assert_null(swing_at(&r, "/coronaries/left/ostium_gap/bloom_edges"));
    assert_non_null(swing_at(&r, "/coronaries/right/ostium_gap/bloom_edges"));
    ran_destroy(&r);
}

static void refuses_a_measured_value_that_is_none(void **state)
{
    (void)state;
    static const struct {
        sm_override put;
        const char *said;
    } wrong[] = {
        {{"/implant/canting_sd_deg", "{\"value\": 2, \"measured\": false}"}, "expected true: leave it out"},
        {{"/implant/canting_sd_deg", "{\"measured\": true}"}, "\"value\" is missing"},
        {{"/implant/canting_sd_deg", "{\"value\": 2, \"measured\": true, \"by\": 1}"},
         "\"by\", expected a key of a measured"},
        {{"/implant/canting_sd_deg", "{\"value\": 99, \"measured\": true}"},
         "found 99, expected a number from 0 to 20"},
        {{"/coronaries/left/circle_mm", "{\"value\": 21, \"measured\": true}"}, "found an object, expected a number"},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        outcome o = read_with(text, NULL, &wrong[i].put, 1);
        assert_null(o.c);
        assert_contains(o.messages.s, wrong[i].said);
        outcome_destroy(&o);
    }
}

/* 3. All at once, against settings drawn by another rule and run apart */

enum { DRAWN = 300, EACH = 16384 };

/* One setting: every judged value drawn by an ordinary generator, on trials of its own. */
static double drawn(const sm_casefile *f, const sm_levers *l, gsl_rng *g, uint64_t seed)
{
    sm_overrides o = {0};
    sm_diag d = {0};
    sm_casefile *file;
    sm_assessment a;
    for (int j = 0; j < l->n_judged; j++)
        sm_lever_put(f, l, j, sm_lever_value(&l->at[j], gsl_rng_uniform_pos(g)), &o);
    assert_int_equal(sm_overrides_vary(f, &o, &d, &file), SM_OK);
    assert_int_equal(sm_assess(sm_casefile_case(file), (sm_run_context){.trials = EACH, .seed = seed}, &a), SM_OK);
    const double p = a.patient.event.probability;
    sm_assessment_destroy(&a);
    sm_casefile_destroy(file);
    sm_overrides_destroy(&o);
    sm_diag_destroy(&d);
    return p;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void settings_against_brute_force(void **state)
{
    (void)state;
    ran r = run(text, NULL, 0);
    sm_levers levers;
    double p[DRAWN];
    int same = 0;
    gsl_rng *g = gsl_rng_alloc(gsl_rng_mt19937);
    assert_int_equal(sm_levers_find(r.o.file, &levers), SM_OK);
    for (int i = 0; i < DRAWN; i++) {
        p[i] = drawn(r.o.file, &levers, g, (uint64_t)i + 100);
        same += p[i] < 0.2;
    }
    qsort(p, DRAWN, sizeof *p, by_value);
    const double share = (double)same / DRAWN, error = sqrt(share * (1 - share) / DRAWN);
    assert_near(r.s.same.value, share, 0, 3 * hypot(error, r.s.same.standard_error));
    /* Ranks of a binomial: 15 +- 3.8 of 300 lie below the 5 % quantile. */
    assert_near(r.s.low90.value, p[15], 0, 3 * hypot((p[19] - p[11]) / 2, r.s.low90.standard_error));
    assert_near(r.s.high90.value, p[284], 0, 3 * hypot((p[288] - p[280]) / 2, r.s.high90.standard_error));
    assert_true(r.s.least <= r.s.low90.value && r.s.most >= r.s.high90.value);
    gsl_rng_free(g);
    sm_levers_destroy(&levers);
    ran_destroy(&r);
}

/* 4. A lever's values */

static void a_lever_has_its_own_value_as_median(void **state)
{
    (void)state;
    const sm_lever l = {.low = 0.5, .high = 1.2, .own = 0.7};
    assert_near(sm_lever_value(&l, 0.5), 0.7, 0, 1e-12);
    assert_near(sm_lever_value(&l, 0.25), 0.6, 0, 1e-12);
    assert_near(sm_lever_value(&l, 0.75), 0.95, 0, 1e-12);
    const sm_lever at_end = {.low = 0, .high = 0.6, .own = 0};
    assert_near(sm_lever_value(&at_end, 0.3), 0, 0, 0); /* half of the settings stay there */
}

/* 5. The form of the call */

static sm_swing end_that(bool turns, bool stays, bool judged, double low)
{
    return (sm_swing){.lever = {.judged = judged, .low = low, .high = 1, .own = 0.5},
                      .end[1] = {.applies = true, .turns = turns, .stays = stays, .value = 1, .at = 0.8}};
}

static sm_hold held(double p, double other_limit, double same, const sm_swing *w, bool known)
{
    const int64_t n = 1000000;
    sm_assessment a = {.patient.event = sm_probability_of((int64_t)(p * (double)n), n), .decision.action_line = 0.2};
    a.decision.call = sm_call_of(a.patient.event.low, a.patient.event.high, 0.2);
    a.by_limits[0] = a.patient.event;
    a.by_limits[1] = sm_probability_of((int64_t)(other_limit * (double)n), n);
    sm_swing swing = *w;
    const int k = (int)(same * SM_SETTINGS + 0.5);
    const double about = (k + 0.5) / (SM_SETTINGS + 1);
    const sm_settings s = {.n_swings = 1,
                           .n_judged = w->lever.judged,
                           .swing = &swing,
                           .n = SM_SETTINGS,
                           .same = {(double)k / SM_SETTINGS, sqrt(about * (1 - about) / SM_SETTINGS)}};
    return sm_hold_of(&a, known ? &s : NULL);
}

static void the_five_forms(void **state)
{
    (void)state;
    const sm_swing calm = end_that(false, true, true, 0);
    assert_int_equal(held(0.1, 0.05, 1, &calm, true).form, SM_FORM_BELOW);
    assert_int_equal(held(0.3, 0.25, 1, &calm, true).form, SM_FORM_ABOVE);
    assert_int_equal(held(0.3, 0.1, 1, &calm, true).form, SM_FORM_ABOVE_HANGS_ON); /* by the other limits */
    assert_true(held(0.3, 0.1, 1, &calm, true).on_limits);
    assert_int_equal(held(0.1, 0.05, 0.9, &calm, true).form, SM_FORM_BELOW_HANGS_ON);
    assert_true(held(0.1, 0.05, 0.9, &calm, true).on_settings);
    assert_int_equal(held(0.2, 0.2, 1, &calm, true).form, SM_FORM_OPEN);
    assert_int_equal(held(0.1, 0.05, 1, &calm, false).form, SM_FORM_UNKNOWN);
}

/* What cannot be told within two standard errors is told with more care. */
static void the_more_careful_form_at_a_boundary(void **state)
{
    (void)state;
    const sm_swing calm = end_that(false, true, true, 0);
    assert_int_equal(held(0.1, 0.05, 0.98, &calm, true).form, SM_FORM_BELOW);
    assert_int_equal(held(0.1, 0.05, 0.96, &calm, true).form, SM_FORM_BELOW_HANGS_ON); /* 0.96 +- 0.012 */
    assert_int_equal(held(0.3, 0.2005, 1, &calm, true).form, SM_FORM_ABOVE_HANGS_ON);  /* 0.2005 +- 0.0004 */
    assert_int_equal(held(0.3, 0.2015, 1, &calm, true).form, SM_FORM_ABOVE);
    const sm_swing wall = end_that(false, false, false, -1), limit = end_that(false, false, false, 0);
    assert_true(held(0.1, 0.05, 1, &wall, true).on_walls);
    assert_true(held(0.1, 0.05, 1, &limit, true).on_limits);
}

static void what_turns_is_told(void **state)
{
    (void)state;
    const sm_swing judged = end_that(true, false, true, 0);
    const sm_hold h = held(0.1, 0.05, 0.9, &judged, true);
    assert_int_equal(h.n_turns, 1);
    assert_int_equal(h.n_told, 1);
    assert_int_equal(h.told[0].swing, 0);
    assert_int_equal(h.told[0].end, 1);
}

static void without_a_line_there_are_ranges_and_no_form(void **state)
{
    (void)state;
    static char no_line[sizeof text];
    memcpy(no_line, text, sizeof text);
    char *line = strstr(no_line, ",\n \"action_line\": 0.2");
    memset(line, ' ', strlen(",\n \"action_line\": 0.2"));
    ran r = run(no_line, NULL, 0), with = run(text, NULL, 0);
    assert_int_equal(sm_hold_of(&r.a, &r.s).form, SM_FORM_NONE);
    assert_int_equal(sm_hold_of(&r.a, &r.s).n_turns, 0);
    assert_near(r.s.low90.value, with.s.low90.value, 0, 0);
    assert_near(r.s.most, with.s.most, 0, 0);
    ran_destroy(&r);
    ran_destroy(&with);
}

/* The same on another seed, within the errors that are told. */
static void seeds_agree_within_the_errors(void **state)
{
    (void)state;
    ran r = run(text, NULL, 0);
    const sm_run_context other = {.trials = 65536, .seed = 8, .points = SM_POINTS_PLAIN};
    sm_assessment a;
    sm_settings s;
    assert_int_equal(sm_assess(r.o.c, other, &a), SM_OK);
    assert_int_equal(sm_settings_run(r.o.file, &a, other, &s), SM_OK);
    assert_near(s.same.value, r.s.same.value, 0, 3 * hypot(s.same.standard_error, r.s.same.standard_error));
    assert_near(s.low90.value, r.s.low90.value, 0, 3 * hypot(s.low90.standard_error, r.s.low90.standard_error));
    assert_near(s.high90.value, r.s.high90.value, 0, 3 * hypot(s.high90.standard_error, r.s.high90.standard_error));
    sm_settings_destroy(&s);
    sm_assessment_destroy(&a);
    ran_destroy(&r);
}

/* 6. From sharp points */

enum { MANY = 1 << 18 };

/* The patient event of the case with these values put in, counted in many trials on the same draws for all. */
static sm_probability counted_with(const sm_override *put, size_t n)
{
    outcome o = read_with(text, NULL, put, n);
    sm_assessment a;
    assert_non_null(o.c);
    assert_int_equal(sm_assess(o.c, (sm_run_context){.trials = MANY, .seed = 11, .points = SM_POINTS_PLAIN}, &a),
                     SM_OK);
    const sm_probability p = a.patient.event;
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
    return p;
}

/* At most |difference| of the trials change sides, or so: that is the counted difference's variance. With 4 degrees of
 * freedom 8 errors are missed once in 1,300 ends. */
static void swings_from_points_are_those_of_many_trials(void **state)
{
    (void)state;
    ran points = run_with(text, NULL, 0, sharp), trials = run(text, NULL, 0);
    const double own = counted_with(NULL, 0).probability;
    double squares = 0, squares_counted = 0;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        const sm_swing_end *e = &swing_at(&points, ends[i].path)->end[ends[i].end];
        const double moved = counted_with(ends[i].put, ends[i].n).probability - own;
        const double error = hypot(e->difference.standard_error, sqrt((fabs(moved) + 0.002) / MANY));
        assert_true(e->applies && e->difference.standard_error > 0);
        assert_near(e->difference.value, moved, 0, 8 * error);
        squares += pow(e->difference.standard_error, 2);
        squares_counted += pow(swing_at(&trials, ends[i].path)->end[ends[i].end].difference.standard_error, 2);
    }
    assert_true(squares < squares_counted / 6);
    ran_destroy(&trials);
    ran_destroy(&points);
}

enum { SEEDS = 6 };

/* What the settings make of one assessment on several seeds, and its standard error. */
typedef struct {
    sm_estimate low90, high90, same;
} over_seeds;

static sm_estimate mean_of(const double *x)
{
    double sum = 0, squares = 0;
    for (int i = 0; i < SEEDS; i++)
        sum += x[i] / SEEDS;
    for (int i = 0; i < SEEDS; i++)
        squares += (x[i] - sum) * (x[i] - sum);
    return (sm_estimate){sum, sqrt(squares / (SEEDS - 1) / SEEDS)};
}

static over_seeds settle_over_seeds(const ran *r, sm_points_kind kind)
{
    double low[SEEDS], high[SEEDS], same[SEEDS];
    for (int i = 0; i < SEEDS; i++) {
        sm_settings s;
        const sm_run_context each = {.trials = 1, .seed = 20 + (uint64_t)i, .points = kind};
        assert_int_equal(sm_settings_run(r->o.file, &r->a, each, &s), SM_OK);
        low[i] = s.low90.value;
        high[i] = s.high90.value;
        same[i] = s.same.value;
        sm_settings_destroy(&s);
    }
    return (over_seeds){mean_of(low), mean_of(high), mean_of(same)};
}

/* Means of 6: 6 of their errors, with 5 degrees of freedom, are missed once in 500. Points scatter less. */
static void settings_from_points_are_those_of_trials(void **state)
{
    (void)state;
    ran r = run(text, NULL, 0);
    const over_seeds points = settle_over_seeds(&r, SM_POINTS_SHARP), trials = settle_over_seeds(&r, SM_POINTS_PLAIN);
    const sm_estimate *a[] = {&points.low90, &points.high90, &points.same},
                      *b[] = {&trials.low90, &trials.high90, &trials.same};
    for (int i = 0; i < 3; i++)
        assert_near(a[i]->value, b[i]->value, 0, 6 * hypot(a[i]->standard_error, b[i]->standard_error));
    assert_true(points.high90.standard_error < 0.6 * trials.high90.standard_error);
    ran_destroy(&r);
}

static void same_swings(const ran *a, const ran *b)
{
    same_settings(&a->s, &b->s);
    for (int i = 0; i < 2 * a->s.n_swings; i++) {
        const sm_swing_end *x = &a->s.swing[i / 2].end[i % 2], *y = &b->s.swing[i / 2].end[i % 2];
        assert_near(x->difference.value, y->difference.value, 0, 0);
        assert_near(x->difference.standard_error, y->difference.standard_error, 0, 0);
        assert_near(x->at, y->at, 0, 0);
    }
}

static void run_backwards(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = n - 1; i >= 0; i--)
        task(arg, i);
}

static void any_number_of_threads_finds_the_same(void **state)
{
    (void)state;
    ran one = run_with(text, NULL, 0, sharp);
    for (int width = 2; width <= 5; width += 3) {
        sm_run_context wide = sharp;
        wide.executor = (sm_executor){.width = width, .run = run_backwards};
        ran many = run_with(text, NULL, 0, wide);
        same_swings(&one, &many);
        ran_destroy(&many);
    }
    ran_destroy(&one);
}

/* Alternatives are no part of the case as planned. */
static void alternatives_beside_change_nothing(void **state)
{
    (void)state;
    const sm_override beside = {"/alternatives",
                                "[{\"name\": \"cut\", \"lacerate\": {\"left\": 0.9}}, {\"name\": \"parked\", "
                                "\"rescue\": {\"left\": 0.8}}]"};
    ran alone = run_with(text, NULL, 0, sharp), with = run_with(text, &beside, 1, sharp);
    assert_int_equal(sm_casefile_case(with.o.file)->n_alternatives, 2);
    same_swings(&alone, &with);
    ran_destroy(&with);
    ran_destroy(&alone);
}

/* With a second look they are counted, as without points: to the bit. */
static void with_a_look_they_are_counted(void **state)
{
    (void)state;
    const sm_override look = {"/coronaries/right/stj_gap/cross_check",
                              "{\"modality\": \"fluoroscopy\", \"readings_mm\": {\"A\": [4.5]}}"};
    ran points = run_with(text, &look, 1, sharp), trials = run(text, &look, 1);
    sm_settings s;
    assert_int_equal(sm_settings_run(trials.o.file, &trials.a, sharp, &s), SM_OK);
    same_settings(&s, &trials.s);
    sm_settings_destroy(&s);
    ran_destroy(&trials);
    ran_destroy(&points);
}

/* An end that is 2.4 of its errors from the line is sure by trials, and not within Student's reach (2.78) of 5 tasks.
 */
static void a_side_is_sure_beyond_the_reach_of_the_tasks(void **state)
{
    (void)state;
    ran r = run_with(text, NULL, 0, sharp);
    const sm_swing_end *e = &swing_at(&r, "/implant/canting_sd_deg")->end[1];
    assert_true(e->difference.value > 0);
    for (int reach = 0; reach < 2; reach++) {
        char line[40];
        snprintf(line, sizeof line, "%.17g", e->probability + (reach ? 2.9 : 2.4) * e->difference.standard_error);
        const sm_override there = {"/action_line", line};
        ran at = run_with(text, &there, 1, sharp);
        assert_int_equal(at.a.decision.call, SM_CALL_BELOW);
        assert_int_equal(swing_at(&at, "/implant/canting_sd_deg")->end[1].stays, reach);
        ran_destroy(&at);
    }
    ran_destroy(&r);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_end_is_the_case_that_states_it),
                                       cmocka_unit_test(it_turns_where_it_says),
                                       cmocka_unit_test(typing_a_default_changes_nothing),
                                       cmocka_unit_test(nearly_a_default_is_the_default),
                                       cmocka_unit_test(an_open_call_turns_nowhere),
                                       cmocka_unit_test(what_was_measured_leaves_the_settings),
                                       cmocka_unit_test(a_wall_stays_in_doubt_until_it_is_measured),
                                       cmocka_unit_test(refuses_a_measured_value_that_is_none),
                                       cmocka_unit_test(settings_against_brute_force),
                                       cmocka_unit_test(a_lever_has_its_own_value_as_median),
                                       cmocka_unit_test(the_five_forms),
                                       cmocka_unit_test(the_more_careful_form_at_a_boundary),
                                       cmocka_unit_test(what_turns_is_told),
                                       cmocka_unit_test(without_a_line_there_are_ranges_and_no_form),
                                       cmocka_unit_test(seeds_agree_within_the_errors),
                                       cmocka_unit_test(swings_from_points_are_those_of_many_trials),
                                       cmocka_unit_test(settings_from_points_are_those_of_trials),
                                       cmocka_unit_test(any_number_of_threads_finds_the_same),
                                       cmocka_unit_test(alternatives_beside_change_nothing),
                                       cmocka_unit_test(with_a_look_they_are_counted),
                                       cmocka_unit_test(a_side_is_sure_beyond_the_reach_of_the_tasks)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
