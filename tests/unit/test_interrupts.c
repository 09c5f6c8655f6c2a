/* test_interrupts.c - every part of a run that takes time heeds an interrupt; what is known is kept, and said not to be
 * complete.
 *
 * Contents: 1. an interrupt at the n-th asking  2. each part alone  3. whole commands, interrupted ever later
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <limits.h>

#include "casefile_help.h"

#include "decision/cells.h"
#include "decision/nested.h"
#include "decision/recheck.h"
#include "decision/weigh.h"
#include "whatif/compare.h"
#include "report/json/compare_json.h"
#include "report/json/recheck_json.h"
#include "whatif/sweep.h"
#include "whatif/settings.h"
#include "report/text/compare_text.h"
#include "report/blocks/write.h"
#include "report/text/recheck_text.h"
#include "report/text/sweep_text.h"

/* 1. An interrupt at the n-th asking */

/* Interrupts once it has been asked more than `patience` times. */
typedef struct {
    int asked, patience;
} limit;

static bool run_out(void *self)
{
    limit *l = self;
    return ++l->asked > l->patience;
}

enum { TRIALS = 100000 }; /* 391 groups: about as many askings in each part that draws them */

static sm_run_context context_of(limit *l, uint64_t seed)
{
    return (sm_run_context){.trials = TRIALS, .seed = seed, .watch = {.self = l, .interrupted = run_out}};
}

/* 2. Each part alone */

static bool known_none(const void *self, const sm_sources *s, int column)
{
    (void)self;
    (void)s;
    (void)column;
    return false;
}

static void parts_of_a_recheck(void **state)
{
    (void)state;
    outcome o = read_demo();
    limit none = {0};
    const sm_run_context context = context_of(&none, 1);
    const sm_nested_request request = {.known = known_none, .q = 0.2, .inner = 2};
    sm_plan p;
    sm_cells cells;
    sm_worths worths;
    sm_sensitivity sensitivity;
    sm_estimate cost;
    sm_guard guard[2][SM_GAPS];
    sm_assessment assessment;
    sm_settings settings;
    assert_int_equal(sm_plan_create(o.c, 1, &p), SM_OK);
    assert_int_equal(o.c->n_coronaries, 2);
    assert_int_equal(sm_cells_create(&p, &sm_worth_sorts, &cells), SM_OK);
    assert_int_equal(sm_cells_run(&cells, context), SM_INTERRUPTED);
    sm_cells_destroy(&cells);
    assert_int_equal(sm_worth_run(&p, 0.2, 1024, context, &worths), SM_INTERRUPTED);
    assert_null(worths.source);
    assert_int_equal(sm_nested_run(&p, &request, sm_run_context_auxiliary(context, NULL, 4096), &cost), SM_INTERRUPTED);
    assert_int_equal(sm_sensitivity_run(&p, context, &sensitivity), SM_INTERRUPTED);
    assert_null(sensitivity.share);
    assert_int_equal(sm_guarded_run(o.c, 0.2, context, guard), SM_INTERRUPTED);
    assert_int_equal(sm_assess(o.c, (sm_run_context){.trials = 4096, .seed = 1}, &assessment), SM_OK);
    assert_int_equal(sm_settings_run(o.file, &assessment, context, &settings), SM_INTERRUPTED);
    assert_null(settings.swing);
    sm_assessment_destroy(&assessment);
    sm_plan_destroy(&p);
    outcome_destroy(&o);
}

/* The worth of each source, once its cells are filled: no trial is drawn there, but fitting takes as long. */
static void the_fit_of_each_source(void **state)
{
    (void)state;
    outcome o = read_demo();
    limit all = {.patience = INT_MAX};
    sm_plan p;
    sm_cells cells;
    sm_worths worths;
    assert_int_equal(sm_plan_create(o.c, 1, &p), SM_OK);
    assert_int_equal(sm_cells_create(&p, &sm_worth_sorts, &cells), SM_OK);
    assert_int_equal(sm_cells_run(&cells, context_of(&all, 1)), SM_OK);
    sm_cells_destroy(&cells);
    limit cells_only = {.patience = all.asked};
    const sm_run_context context = context_of(&cells_only, 1);
    assert_int_equal(sm_worth_run(&p, 0.2, 1024, context, &worths), SM_INTERRUPTED);
    assert_int_equal(cells_only.asked, cells_only.patience + 1);
    assert_null(worths.source);
    sm_plan_destroy(&p);
    outcome_destroy(&o);
}

/* 3. Whole commands, interrupted ever later */

/* The texts of a recheck, whole or not. */
static void tell_recheck(const outcome *o, const sm_recheck *k, sm_text *words, sm_text *json)
{
    const sm_style style = {.width = 80};
    const sm_result r = sm_result_of(o->file, &o->diag, &k->assessment);
    const sm_recheck_part p = {.c = r.c, .recheck = k};
    const sm_result_part part = sm_recheck_json_part(&p);
    sm_blocks b = {0};
    sm_recheck_tell(&b, &r, k);
    sm_write_text(words, &style, &b);
    sm_result_json_write(&r, &part, 1, json);
    assert_false(words->failed || json->failed);
}

static sm_status interrupted_recheck(const outcome *o, limit *l)
{
    const sm_recheck_options few = {.redraws = 20480, .nested = 2048};
    sm_recheck k;
    sm_text words = {0}, json = {0};
    sm_status s = sm_recheck_run(o->c, &few, context_of(l, 1), &k);
    tell_recheck(o, &k, &words, &json);
    assert_int_equal(k.assessment.complete, s == SM_OK);
    if (s != SM_OK) {
        assert_int_equal(s, SM_INTERRUPTED);
        assert_int_equal(k.n_sources, 0);
        assert_null(k.guard);
        assert_contains(words.s, "Stopped early: what to measure again is not known.");
        assert_contains(json.s, "\"complete\": false");
    }
    sm_text_destroy(&words);
    sm_text_destroy(&json);
    sm_recheck_destroy(&k);
    return s;
}

static void a_recheck_interrupted_ever_later(void **state)
{
    (void)state;
    outcome o = read_demo();
    int times = 0;
    for (limit l = {0}; interrupted_recheck(&o, &l) != SM_OK; l = (limit){.patience = 2 * l.patience + 1})
        times++;
    assert_true(times >= 11); /* 0, 1, 3 ... 1023: the assessment, the fits, what no imaging settles, the redraws */
    outcome_destroy(&o);
}

static void a_recheck_without_its_settings(void **state)
{
    (void)state;
    outcome o = read_demo();
    const sm_recheck_options few = {.redraws = 20480, .nested = 1024};
    sm_recheck k;
    sm_text words = {0}, json = {0};
    assert_int_equal(sm_recheck_run(o.c, &few, (sm_run_context){.trials = TRIALS, .seed = 1}, &k), SM_OK);
    k.assessment.complete = false;
    tell_recheck(&o, &k, &words, &json);
    assert_contains(words.s, "What to measure again");
    assert_contains(words.s, "Not known: the run was interrupted.");
    assert_contains(json.s, "\"recheck\"");
    assert_contains(json.s, "\"complete\": false");
    sm_text_destroy(&words);
    sm_text_destroy(&json);
    sm_recheck_destroy(&k);
    outcome_destroy(&o);
}

static sm_status interrupted_sweep(const outcome *o, limit *l)
{
    const sm_style style = {.width = 80};
    sm_sweep_ask ask;
    sm_sweep sweep;
    sm_diag d = {0};
    sm_text words = {0};
    assert_int_equal(sm_sweep_ask_read("left.ostium_gap=4:8:3", &d, &ask), SM_OK);
    sm_status s = sm_sweep_run(o->file, &ask, 1, context_of(l, 7), &d, &sweep);
    sm_blocks b = {0};
    const sm_result r = sm_result_of(o->file, &o->diag, &sweep.assessment);
    sm_sweep_tell_quiet(&b, &r, &(sm_sweep_part){o->c, &sweep, NULL});
    sm_write_text(&words, &style, &b);
    assert_int_equal(sweep.assessment.complete, s == SM_OK);
    assert_int_equal(strstr(words.s, "Stopped before the end") != NULL, s == SM_INTERRUPTED);
    sm_text_destroy(&words);
    sm_diag_destroy(&d);
    sm_sweep_destroy(&sweep);
    sm_sweep_ask_destroy(&ask);
    return s;
}

static void a_sweep_interrupted_ever_later(void **state)
{
    (void)state;
    outcome o = read_demo();
    int times = 0;
    for (limit l = {0}; interrupted_sweep(&o, &l) != SM_OK; l = (limit){.patience = 2 * l.patience + 1})
        times++;
    assert_true(times > 9); /* up to 255 in the curve, later while the place is sought where it meets the line */
    outcome_destroy(&o);
}

static void every_knob_interrupted(void **state)
{
    (void)state;
    outcome o = read_demo();
    static const int after[] = {0, 105, 600}; /* before any is looked at, in the curves, and where they meet the line */
    for (int i = 0; i < 3; i++) {
        limit l = {.patience = after[i]};
        sm_sweep_all all;
        sm_blocks b = {0};
        assert_int_equal(sm_sweep_all_run(o.file, context_of(&l, 7), &all), SM_INTERRUPTED);
        assert_false(all.assessment.complete);
        assert_int_equal(all.n > 0, i > 0);
        for (int k = 0; k < all.n; k++)
            assert_true(all.row[k].point[0].p.n > 0);
        const sm_result r = sm_result_of(o.file, &o.diag, &all.assessment);
        sm_sweep_tell_quiet(&b, &r, &(sm_sweep_part){o.c, NULL, &all});
        assert_int_equal(strstr(b.text.s, "No assumption was looked at.") != NULL, i == 0);
        sm_blocks_destroy(&b);
        sm_sweep_all_destroy(&all);
    }
    outcome_destroy(&o);
}

static void a_comparison_interrupted_in_either_case(void **state)
{
    (void)state;
    outcome o = read_demo();
    const sm_style style = {.width = 80};
    for (int patience = 0; patience < 451; patience += 450) { /* in the old case, and in the new one */
        limit l = {.patience = patience};
        sm_compare c;
        sm_diag d = {0};
        sm_text words = {0}, json = {0};
        assert_int_equal(sm_compare_run(o.file, o.file, context_of(&l, 1), &d, &c), SM_INTERRUPTED);
        assert_true(c.old.trials > 0 && (patience < 391) == (c.old.trials < TRIALS));
        assert_false(c.old.complete);
        assert_null(c.alone);
        const sm_result old = sm_result_of(o.file, &o.diag, &c.old), now = sm_result_of(o.file, &o.diag, &c.now);
        const sm_compare_part p = {&c, &now};
        const sm_result_part part = sm_compare_json_part(&p);
        sm_compare_text(&words, &style, &old, &p);
        sm_result_json_write(&old, &part, 1, &json);
        assert_contains(words.s, "Stopped early: what moved the answer is not known.");
        assert_contains(json.s, "\"complete\": false");
        assert_null(strstr(json.s, "\"compare\""));
        sm_text_destroy(&words);
        sm_text_destroy(&json);
        sm_diag_destroy(&d);
        sm_compare_destroy(&c);
    }
    outcome_destroy(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(parts_of_a_recheck),
                                       cmocka_unit_test(the_fit_of_each_source),
                                       cmocka_unit_test(a_recheck_interrupted_ever_later),
                                       cmocka_unit_test(a_recheck_without_its_settings),
                                       cmocka_unit_test(a_sweep_interrupted_ever_later),
                                       cmocka_unit_test(every_knob_interrupted),
                                       cmocka_unit_test(a_comparison_interrupted_in_either_case)};
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
