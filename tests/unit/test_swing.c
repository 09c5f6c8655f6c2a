/* test_swing.c - what the ends of the ranges make of the example case, against cases that state those ends.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <gsl/gsl_errno.h>

#include "whatif/swing.h"

static const sm_run_context context = {.trials = 65536, .seed = 7};

/* Part of a path: what moves as one; whether its high end raises the probability. The example case states the other
 * SDs; further readers at a landmark that is far enough away lower it. */
static const struct {
    const char *part;
    bool high_raises;
} moving[] = {{"/centreline_sd_mm", true}, {"/point_sd_mm", true},     {"/post_block_deg", true},
              {"/canting_sd_deg", true},   {"/offset_sd_mm", true},    {"/ostium_height/", false},
              {"/stj_height/", true},      {"/leaflet_height/", false}};
enum { MOVING = sizeof moving / sizeof *moving, MOST = 64 };

static bool is_moved(const sm_assumption *a, int part)
{
    return a->origin == SM_FROM_DEFAULT && a->has_range && a->value.kind == SM_DATUM_NUMBER &&
           strstr(a->path, moving[part].part);
}

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
                const bool at_high = part < 0 ? high == moving[j].high_raises : high;
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

/* The same draws give the same counts: sides and the two SDs of a reading move together. */
static void each_end_is_the_case_that_states_it(void **state)
{
    (void)state;
    outcome o = read_demo();
    sm_swings s;
    assert_int_equal(sm_swings_run(o.file, context, &s), SM_OK);
    for (int part = 0; part < MOVING; part++) {
        const sm_swing *w = &s.swing[leader_of(&o, &s, part)];
        assert_int_equal(w->low.event.k, events_at(&o, part, false));
        assert_int_equal(w->high.event.k, events_at(&o, part, true));
        assert_true((w->high.difference.value >= w->low.difference.value) == moving[part].high_raises);
        assert_near(w->high.difference.value, w->high.event.probability - s.base.probability, 0, 1e-12);
    }
    sm_swings_destroy(&s);
    outcome_destroy(&o);
}

/* All judgements at the ends that raise the probability, and at those that lower it. */
static void together_each_takes_the_end_that_raises(void **state)
{
    (void)state;
    outcome o = read_demo();
    sm_swings s;
    assert_int_equal(sm_swings_run(o.file, context, &s), SM_OK);
    assert_true(s.any_judgement);
    assert_int_equal(s.highest.event.k, events_at(&o, -1, true));
    assert_int_equal(s.lowest.event.k, events_at(&o, -1, false));
    const sm_assumption *a;
    sm_casefile_assumptions(o.file, &a);
    assert_string_equal(a[s.largest].path, "/scan/base_plane/point_sd_mm"); /* the widest of the swings */
    sm_swings_destroy(&s);
    outcome_destroy(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_end_is_the_case_that_states_it),
        cmocka_unit_test(together_each_takes_the_end_that_raises),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
