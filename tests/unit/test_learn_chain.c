/* test_learn_chain.c - reader study -> site profile -> the example of docs/case-format.md: which way and by how much
 * the answer moves.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "engine/assess.h"
#include "readers/reader_study.h"
#include "casefile/casefile.h"
#include "study/profile_update.h"
#include "study/study_csv.h"
#include "report/text/learn_text.h"

enum { QUANTITIES = 5, TRIALS = 400000 };

static void read_file(const char *path, sm_text *t)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    int ch;
    while ((ch = getc(f)) != EOF)
        sm_text_putn(t, &(char){(char)ch}, 1);
    fclose(f);
}

/* The text of the site's profile, as learn --plane fixed writes it. */
static void make_profile(sm_text *profile)
{
    sm_text csv = {0}, source[QUANTITIES] = {{0}};
    sm_reader_study study;
    sm_diag d = {0};
    sm_profile_reader entry[QUANTITIES];
    read_file("scenarios/readers/study.csv", &csv);
    assert_int_equal(sm_study_csv_read(&(sm_file_text){"study.csv", csv.s, csv.len}, 1, &d, &study), SM_OK);
    assert_int_equal(study.n_quantities, QUANTITIES);
    for (size_t q = 0; q < QUANTITIES; q++) {
        sm_learned l;
        assert_int_equal(sm_learn_quantity(&study, q, &l), SM_OK);
        sm_learn_source_write(&l, "study.csv", &source[q]);
        entry[q] = (sm_profile_reader){study.quantity[q].name,
                                       l.between_sd.value,
                                       l.repeat_sd.value,
                                       l.dof,
                                       false,
                                       source[q].s,
                                       l.cases,
                                       l.readers,
                                       l.readings};
        sm_learned_destroy(&l);
    }
    assert_int_equal(sm_profile_update((sm_file_text){0}, "north", entry, QUANTITIES, false, &d, profile), SM_OK);
    for (size_t q = 0; q < QUANTITIES; q++)
        sm_text_destroy(&source[q]);
    sm_reader_study_destroy(&study);
    sm_text_destroy(&csv);
    sm_diag_destroy(&d);
}

/* The example case stands between the fences under "## A case". */
static sm_file_text example(const sm_text *page)
{
    const char *start = strstr(page->s, "{\n  \"format\": \"slimmargin-case-1\"");
    assert_non_null(start);
    const char *end = strstr(start, "\n```");
    assert_non_null(end);
    return (sm_file_text){"example.json", start, (size_t)(end - start)};
}

static sm_probability assess(sm_file_text text, sm_file_text profile, size_t *from_profile)
{
    sm_diag d = {0};
    sm_casefile *file;
    sm_assessment a;
    const sm_assumption *assumption;
    if (sm_casefile_read(text, profile, NULL, 0, &d, &file) != SM_OK) {
        sm_text messages = {0};
        sm_diag_write(&d, &messages);
        fail_msg("%s", messages.s);
    }
    *from_profile = 0;
    for (size_t i = sm_casefile_assumptions(file, &assumption); i-- > 0;)
        *from_profile += assumption[i].origin == SM_FROM_PROFILE && strstr(assumption[i].path, "_sd_mm") != NULL;
    assert_int_equal(sm_assess(sm_casefile_case(file), (sm_run_context){.trials = TRIALS, .seed = 1}, &a), SM_OK);
    sm_probability event = a.patient.event;
    sm_assessment_destroy(&a);
    sm_casefile_destroy(file);
    sm_diag_destroy(&d);
    return event;
}

/* With the built-in reader errors about 28 of 100 such patients have the event, with the site's smaller ones about 27.
 * Expected: the independent program tests/reference/reference.py on the same two cases, 1,000,000 trials, standard
 * errors 0.0004; ours 0.0007. Both answers share their draws, so that the move is known better than either. */
static void test_chain(void **state)
{
    (void)state;
    sm_text page = {0}, profile = {0};
    size_t none, used;
    read_file("docs/case-format.md", &page);
    make_profile(&profile);
    sm_probability without = assess(example(&page), (sm_file_text){0}, &none);
    sm_probability with = assess(example(&page), (sm_file_text){"site.json", profile.s, profile.len}, &used);
    printf("patient event: %.4f without the profile, %.4f with it (%zu SDs from the profile)\n", without.probability,
           with.probability, used);
    assert_near(without.probability, 0.2848, 0.0, 0.004);
    assert_near(with.probability, 0.2703, 0.0, 0.004);
    assert_near(with.probability - without.probability, -0.0145, 0.0, 0.004);
    assert_true(with.probability < without.probability);
    assert_int_equal(none, 0);
    assert_int_equal(used, 20); /* two SDs of five quantities on two sides */
    sm_text_destroy(&page);
    sm_text_destroy(&profile);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_chain)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
