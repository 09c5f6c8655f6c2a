/* test_look_memory.c - memory runs out at many an allocation of the worth of looks: SM_NO_MEMORY, nothing left behind.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo_case.h"
#include "check.h"

#include <gsl/gsl_errno.h>

#include "decision/look_worth.h"
#include "measurement/planned_look.h"
#include "failing_malloc.h"

#ifdef CAN_COUNT

typedef struct {
    demo_case demo;
    sm_status status;
    double first; /* the net worth of the look that comes first */
} run;

static void run_once(void *self)
{
    run *r = self;
    sm_look_worths w;
    r->status = sm_look_worths_run(&r->demo.c, (sm_run_context){.trials = 1000, .seed = 1}, &w);
    r->first = r->status == SM_OK ? w.look[w.order[0]].net : 0;
    sm_look_worths_destroy(&w);
}

static double undisturbed;

static void judge(void *self, bool failed)
{
    const run *r = self;
    assert_int_equal(alive, 0);
    if (failed && r->status == SM_NO_MEMORY)
        return;
    assert_int_equal(r->status, SM_OK);
    assert_near(r->first, undisturbed, 0, 0);
}

static void survives_failing_allocations(void **state)
{
    (void)state;
    static run r;
    static sm_look_target gap[1] = {{DEMO_LEFT, SM_OSTIUM_GAP}},
                          two[2] = {{DEMO_LEFT, SM_OSTIUM_GAP}, {DEMO_RIGHT, SM_OSTIUM_GAP}};
    static sm_planned_look list[2];
    static char names[2][4] = {"a", "b"};
    demo_fill(&r.demo);
    list[0] =
        (sm_planned_look){.name = names[0], .kind = SM_PLANNED_AGAIN, .readers = 1, .n_targets = 1, .target = gap};
    list[1] = (sm_planned_look){.name = names[1],
                                .kind = SM_PLANNED_RESCAN,
                                .readers = 2,
                                .n_targets = 2,
                                .target = two,
                                .own_plane = true,
                                .scan = r.demo.c.scan};
    r.demo.c.planned = list;
    r.demo.c.n_planned = 2;
    r.demo.c.axes = (sm_patient_axes){true, {0, 0, 1}, {0, -1, 0}};
    r.demo.c.gantry = (sm_gantry){90, 90, 40, 40};
    r.demo.c.picture[SM_GAP_OSTIUM] = (sm_picture_errors){1.3, 0.04, 9.5};
    run_once(&r);
    assert_int_equal(r.status, SM_OK);
    undisturbed = r.first;
    assert_true(undisturbed > 0.005);
    assert_true(fail_allocations(run_once, judge, &r, 41) > 100);
}
#endif

int main(void)
{
    gsl_set_error_handler_off();
#ifdef CAN_COUNT
    const struct CMUnitTest tests[] = {cmocka_unit_test(survives_failing_allocations)};
    return cmocka_run_group_tests(tests, NULL, NULL);
#else
    puts("left out: allocations cannot be counted here");
    return 0;
#endif
}
