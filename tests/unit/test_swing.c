/* test_swing.c - what the ends of the ranges make of the example case, against cases that state those ends.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <gsl/gsl_errno.h>

#include "whatif/swing.h"

static const sm_run_context context = {.trials = 65536, .seed = 7};

/* Where in the path, and its key: all that moves as one. A line of which the example case has no default is passed
 * over. */
static const char *const moving[][2] = {
    {"/scan/", "/centreline_sd_mm"},  {"/scan/base_plane/", "/point_sd_mm"}, {"/surgical_valve/", "/post_block_deg"},
    {"/implant/", "/canting_sd_deg"}, {"/implant/", "/offset_sd_mm"},        {"/ostium_height/", "_sd_mm"},
    {"/stj_height/", "_sd_mm"},       {"/leaflet_height/", "_sd_mm"},        {"/leaflet_height/", "/bloom_edges"}};
enum { MOVING = sizeof moving / sizeof *moving, MOST = 64 };

static bool has_swing(const sm_assumption *a)
{
    return a->origin == SM_FROM_DEFAULT && a->has_range && a->value.kind == SM_DATUM_NUMBER;
}

static bool is_moved(const sm_assumption *a, int part)
{
    return has_swing(a) && strstr(a->path, moving[part][0]) && strstr(a->path, moving[part][1]);
}

/* Whether the high end raises the probability, by the separate runs below. */
static bool high_raises[MOVING];

/* The events of the case that states the high (or low) end of everything of one kind, or of all kinds (part -1), each
 * then at the end that raises the probability (or lowers it). */
static int64_t events_at(const outcome *o, int part, bool high)
{
    char *case_text = load("scenarios/demo.json"), *profile = load("scenarios/site.json");
    static char json[MOST][32];
    sm_override put[MOST];
    const sm_assumption *a;
    const size_t n = sm_casefile_assumptions(o->file, &a);
    size_t m = 0;
    for (size_t i = 0; i < n; i++)
        for (int j = 0; j < MOVING; j++)
            if ((part < 0 || j == part) && is_moved(&a[i], j)) {
                const bool at_high = part < 0 ? high == high_raises[j] : high;
                assert_true(m < MOST);
                snprintf(json[m], sizeof json[m], "%.17g", at_high ? a[i].high : a[i].low);
                put[m] = (sm_override){a[i].path, json[m]};
                m++;
            }
    assert_true(m > 0);
    outcome at = read_with(case_text, profile, put, m);
    sm_assessment found;
    assert_non_null(at.c);
    assert_int_equal(sm_assess(at.c, context, &found), SM_OK);
    const int64_t k = found.patient.event.k;
    sm_assessment_destroy(&found);
    outcome_destroy(&at);
    free(case_text);
    free(profile);
    return k;
}

/* The first of what moves as one; only that has a swing. */
static int leader_of(const outcome *o, const sm_swings *s, int part)
{
    const sm_assumption *a;
    const int n = (int)sm_casefile_assumptions(o->file, &a);
    int leader = -1;
    for (int i = 0; i < n; i++)
        if (is_moved(&a[i], part)) {
            assert_int_equal(s->swing[i].applies, leader < 0);
            leader = leader < 0 ? i : leader;
        }
    return leader;
}

/* Each part has a line in `moving`, or the tests below would leave it out. */
static void every_swing_is_known(void **state)
{
    (void)state;
    outcome o = read_demo();
    const sm_assumption *a;
    const size_t n = sm_casefile_assumptions(o.file, &a);
    for (size_t i = 0; i < n; i++) {
        int parts = 0;
        for (int j = 0; j < MOVING; j++)
            parts += is_moved(&a[i], j);
        if (parts != has_swing(&a[i]))
            fail_msg("%s stands in %d lines of `moving`", a[i].path, parts);
    }
    outcome_destroy(&o);
}

/* The same draws give the same counts: sides and the two SDs of a reading move together. */
static void each_end_is_the_case_that_states_it(void **state)
{
    (void)state;
    outcome o = read_demo();
    sm_swings s;
    int64_t widest = 0, named = -1;
    int found = 0;
    assert_int_equal(sm_swings_run(o.file, context, &s), SM_OK);
    for (int part = 0; part < MOVING; part++) {
        const int leader = leader_of(&o, &s, part);
        if (leader < 0)
            continue;
        found++;
        const sm_swing *w = &s.swing[leader];
        const int64_t low = events_at(&o, part, false), high = events_at(&o, part, true);
        assert_int_equal(w->low.event.k, low);
        assert_int_equal(w->high.event.k, high);
        assert_near(w->high.difference.value, w->high.event.probability - s.base.probability, 0, 1e-12);
        high_raises[part] = high >= low;
        if (llabs(high - low) > widest) {
            widest = llabs(high - low);
            named = leader;
        }
    }
    assert_int_equal(s.largest, named);
    assert_true(found >= MOVING - 1);
    sm_swings_destroy(&s);
    outcome_destroy(&o);
}

/* All judgements at the ends that raise the probability, and at those that lower it; the high end does not always raise
 * it. Run after the test above. */
static void together_each_takes_the_end_that_raises(void **state)
{
    (void)state;
    outcome o = read_demo();
    sm_swings s;
    int raising = 0;
    for (int part = 0; part < MOVING; part++)
        raising += high_raises[part];
    assert_true(raising > 0 && raising < MOVING);
    assert_int_equal(sm_swings_run(o.file, context, &s), SM_OK);
    assert_true(s.any_judgement);
    assert_int_equal(s.highest.event.k, events_at(&o, -1, true));
    assert_int_equal(s.lowest.event.k, events_at(&o, -1, false));
    sm_swings_destroy(&s);
    outcome_destroy(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_swing_is_known),
        cmocka_unit_test(each_end_is_the_case_that_states_it),
        cmocka_unit_test(together_each_takes_the_end_that_raises),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
