/* test_sinus.c - a side from which no coronary leaves: sealed or not, it is no event, and nothing else moves by it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <string.h>

#include "decision/guarded.h"
#include "decision/published.h"
#include "engine/assess.h"

static demo_case demo;
static sm_coronary side[3];

/* The demo with a third side that is the right one but for its name and azimuth; with or without an ostium. */
static void add_third(bool has_ostium)
{
    memcpy(side, demo.side, sizeof demo.side);
    side[2] = demo.side[DEMO_RIGHT];
    snprintf(side[2].name, sizeof side[2].name, "third");
    side[2].azimuth_deg = 280;
    side[2].has_ostium = has_ostium;
    if (!has_ostium)
        side[2].quantity[SM_OSTIUM_HEIGHT] = side[2].quantity[SM_OSTIUM_GAP] = (sm_quantity){.is_read = false};
    demo.c.coronary = side;
    demo.c.n_coronaries = 3;
}

/* Section 5: a sinus from which no coronary leaves can be sealed, and nothing of the patient's is moved by it. A third
 * side that is the right one but for that is sealed as often as it would be. */
static void a_sinus_without_a_coronary_is_no_event(void **state)
{
    (void)state;
    sm_assessment two, with, without;
    const sm_run_context context = {.trials = 20000, .seed = 5};
    demo_fill(&demo);
    demo.c.population.ostium_gap_mm = (sm_dist){SM_NORMAL, {6.3, 2.16}};
    demo.side[DEMO_RIGHT].quantity[SM_STJ_HEIGHT].readings.row[0].mm[0] = 15; /* else hardly ever sealed */
    assert_int_equal(sm_assess(&demo.c, context, &two), SM_OK);
    add_third(true);
    assert_int_equal(sm_assess(&demo.c, context, &with), SM_OK);
    add_third(false);
    assert_int_equal(sm_assess(&demo.c, context, &without), SM_OK);
    assert_true(with.patient.event.k > two.patient.event.k && with.patient.sealed.k > two.patient.sealed.k);
    assert_true(without.patient.event.k == two.patient.event.k);
    assert_true(without.patient.crowded.k == two.patient.crowded.k);
    assert_true(without.patient.sealed.k == two.patient.sealed.k);
    assert_true(without.event_in_population.probability == two.event_in_population.probability);
    assert_true(without.obstruction.probability == two.obstruction.probability);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        assert_true(without.by_limits[i].k == two.by_limits[i].k);
    assert_true(without.side[2].crossing.sealed.k == with.side[2].crossing.sealed.k);
    assert_true(without.side[2].crossing.sealed.k > 0);
    assert_true(without.side[2].crossing.event.k == 0 && without.side[2].crossing.crowded.k == 0);
    for (int k = 0; k < 2; k++)
        assert_true(without.side[k].crossing.event.k == two.side[k].crossing.event.k);
    for (size_t i = 0; i < without.warnings.n; i++)
        assert_null(strstr(without.warnings.item[i].words, "third: beside the ostium"));
    sm_assessment_destroy(&two);
    sm_assessment_destroy(&with);
    sm_assessment_destroy(&without);
}

/* Its gaps guard nothing, those of the others guard what they did; what was published is held against ostia alone. */
static void its_gaps_guard_nothing(void **state)
{
    (void)state;
    sm_guard two[2][SM_GAPS], three[3][SM_GAPS];
    sm_published of_two, of_three;
    const sm_run_context context = {.trials = 65536, .seed = 5};
    demo_fill(&demo);
    assert_int_equal(sm_guarded_run(&demo.c, 0.2, context, two), SM_OK);
    sm_published_of(&demo.c, &of_two);
    add_third(false);
    assert_int_equal(sm_guarded_run(&demo.c, 0.2, context, three), SM_OK);
    sm_published_of(&demo.c, &of_three);
    for (int g = 0; g < SM_GAPS; g++) {
        assert_int_equal(three[2][g].kind, SM_GUARD_NO_OSTIUM);
        for (int k = 0; k < 2; k++) {
            assert_int_equal(three[k][g].kind, two[k][g].kind);
            assert_true(three[k][g].at.value == two[k][g].at.value);
        }
    }
    assert_int_equal(of_three.side, of_two.side);
    assert_true(of_three.reading == of_two.reading);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_sinus_without_a_coronary_is_no_event),
                                       cmocka_unit_test(its_gaps_guard_nothing)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
