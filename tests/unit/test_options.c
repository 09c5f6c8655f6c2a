/* test_options.c - whole numbers, the table of options, files and threads of the command line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <unistd.h>

#include "outside/files.h"
#include "command/paths.h"
#include "command/options.h"
#include "outside/staging.h"
#include "outside/threads.h"

static void expect_whole(const char *s, uint64_t wanted)
{
    uint64_t n = 0;
    if (!sm_options_whole(s, 0, UINT64_MAX, &n) || n != wanted)
        fprintf(stderr, "%s\n", s);
    assert_true(sm_options_whole(s, 0, UINT64_MAX, &n));
    assert_true(n == wanted);
}

static void test_whole_numbers(void **state)
{
    (void)state;
    expect_whole("0", 0);
    expect_whole("1000000", 1000000);
    expect_whole("1,000,000", 1000000);
    expect_whole("12,345", 12345);
    expect_whole("1e6", 1000000);
    expect_whole("1E+6", 1000000);
    expect_whole("2.5e6", 2500000);
    expect_whole("10.0", 10);
    expect_whole("18446744073709551615", UINT64_MAX);
    expect_whole("1844674407370955161.5e1", UINT64_MAX);
}

static void test_what_is_not_whole(void **state)
{
    (void)state;
    static const char *const bad[] = {"",
                                      "-1",
                                      "1.5",
                                      "1e-6",
                                      "2.55e1",
                                      "1,00",
                                      "1,0000",
                                      ",100",
                                      "1,,000",
                                      "1234,567",
                                      "0x10",
                                      "1e",
                                      "e6",
                                      "1e100",
                                      "1 000",
                                      "ten",
                                      "1,",
                                      "1e6x",
                                      "18446744073709551616",
                                      "1844674407370955161.9e1",
                                      "1.",
                                      "1.5,000",
                                      "99999999999999999999e5"};
    uint64_t n;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        if (sm_options_whole(bad[i], 0, UINT64_MAX, &n))
            fprintf(stderr, "taken for a number: %s\n", bad[i]);
        assert_false(sm_options_whole(bad[i], 0, UINT64_MAX, &n));
    }
    assert_false(sm_options_whole("0", 1, 10, &n));
    assert_false(sm_options_whole("11", 1, 10, &n));
}

/* Reads words as the command line of "assess". */
static sm_status read_line(char *const *words, int n, sm_options *o, sm_text *complaints)
{
    const unsigned uses =
        SM_OPTIONS_RUN | SM_OPTION_POINTS | SM_OPTION_JSON | SM_OPTION_QUIET | SM_OPTION_UNTIL_RESOLVED | SM_OPTION_CAP;
    return sm_options_read("assess", uses, n, words, 0, o, complaints);
}

#define READ(o, complaints, ...)                                                                                       \
    read_line((char *[]){__VA_ARGS__}, (int)(sizeof((char *[]){__VA_ARGS__}) / sizeof(char *)), o, complaints)

static void test_a_command_line(void **state)
{
    (void)state;
    sm_options o;
    sm_text t = {0};
    assert_int_equal(READ(&o, &t, "case.json", "--trials", "2e6", "--seed=0", "--json", "-", "--quiet", "--", "--odd"),
                     SM_OK);
    assert_int_equal(o.n_arguments, 2);
    assert_string_equal(o.argument[1], "--odd");
    assert_true(o.trials == 2000000 && o.seed == 0 && o.quiet && !o.plain && o.threads == 0);
    assert_string_equal(o.json, "-");
    assert_true((o.given & (SM_OPTION_SEED | SM_OPTION_JSON)) == (SM_OPTION_SEED | SM_OPTION_JSON));
    assert_null(t.s);
}

static void test_all_complaints_at_once(void **state)
{
    (void)state;
    sm_options o;
    sm_text t = {0};
    assert_int_equal(READ(&o, &t, "--trails=3", "--seed", "x", "--csv", "f", "--quiet=1", "--threads"), SM_USAGE);
    assert_contains(t.s, "--trails: no option has this name; did you mean --trials?\n");
    assert_contains(t.s, "--seed x: expected a whole number from 0 to 18446744073709551615\n");
    assert_contains(t.s, "--csv: assess makes no use of this option\n");
    assert_contains(t.s, "--quiet: takes no value\n");
    assert_contains(t.s, "--threads: T is missing after it\n");
    assert_int_equal(o.n_arguments, 0);
    sm_text_destroy(&t);
}

static void test_trials_and_cap(void **state)
{
    (void)state;
    sm_options o;
    sm_text t = {0};
    assert_int_equal(READ(&o, &t, "--until-resolved", "--cap", "5000"), SM_OK);
    assert_true(o.trials == 5000 && o.cap == 5000);
    assert_int_equal(READ(&o, &t, "--until-resolved", "--trials", "1e9"), SM_OK);
    assert_true(o.cap == 1000000000);
    assert_int_equal(READ(&o, &t, "--until-resolved", "--trials", "1e4", "--cap", "1e3"), SM_USAGE);
    assert_contains(t.s, "--cap: must not be below --trials");
    sm_text_destroy(&t);
    assert_int_equal(READ(&o, &t, "--points", "sharp"), SM_OK);
    assert_int_equal(READ(&o, &t, "--points=pretty"), SM_USAGE);
    assert_contains(t.s, "--points pretty: expected plain or sharp");
    sm_text_destroy(&t);
}

static void test_help_lists_what_is_used(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_options_help(SM_OPTION_JSON, &t);
    assert_contains(t.s, "--json FILE");
    assert_contains(t.s, "--help");
    assert_null(strstr(t.s, "--csv"));
    sm_text_destroy(&t);
}

static sm_status send(const char *path, const char *bytes, size_t n)
{
    sm_text t = {0};
    sm_text_putn(&t, bytes, n);
    return sm_staging_send(path, &t);
}

static void test_files(void **state)
{
    (void)state;
    char folder[] = "/tmp/slimmargin-test-XXXXXX", path[64];
    sm_diag d = {0};
    sm_text t = {0};
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/a.json", folder);
    assert_int_equal(send(path, "one\0two", 7), SM_OK);
    assert_int_equal(send(path, "three", 5), SM_OK);
    assert_int_equal(sm_file_read(path, &t, &d), SM_OK);
    assert_string_equal(t.s, "three");
    assert_int_equal(d.n, 0);
    assert_int_equal(sm_file_read(folder, &t, &d), SM_REFUSED);
    assert_contains(d.item[0].words, "is a folder");
    unlink(path);
    assert_int_equal(sm_file_read(path, &t, &d), SM_REFUSED);
    assert_contains(d.item[1].words, "there is no such file");
    assert_int_equal(rmdir(folder), 0); /* nothing temporary is left */
    assert_int_equal(send(path, "x", 1), SM_NOT_WRITTEN);
    sm_text_destroy(&t);
    sm_diag_destroy(&d);
}

static void expect_beside(const char *beside, const char *path, const char *wanted)
{
    char *s = sm_path_beside(beside, path);
    assert_string_equal(s, wanted);
    free(s);
}

static void test_beside(void **state)
{
    (void)state;
    expect_beside("cases/a.json", "site.json", "cases/site.json");
    expect_beside("a.json", "../site.json", "../site.json");
    expect_beside("cases/a.json", "/etc/site.json", "/etc/site.json");
    expect_beside("-", "site.json", "site.json");
}

static void count(void *arg, int i)
{
    ((int *)arg)[i]++;
}

static void test_every_task_runs_once(void **state)
{
    (void)state;
    for (int width = 1; width <= 5; width++) {
        int done[100] = {0};
        sm_threads *pool = sm_threads_create(width);
        assert_non_null(pool);
        const sm_executor e = sm_threads_executor(pool);
        assert_int_equal(e.width, width);
        for (int batch = 0; batch < 50; batch++)
            e.run(e.self, batch == 7 ? 0 : 100, count, done);
        for (int i = 0; i < 100; i++)
            assert_int_equal(done[i], 49);
        sm_threads_destroy(pool);
    }
    sm_threads_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_whole_numbers),
                                       cmocka_unit_test(test_what_is_not_whole),
                                       cmocka_unit_test(test_a_command_line),
                                       cmocka_unit_test(test_all_complaints_at_once),
                                       cmocka_unit_test(test_trials_and_cap),
                                       cmocka_unit_test(test_help_lists_what_is_used),
                                       cmocka_unit_test(test_files),
                                       cmocka_unit_test(test_beside),
                                       cmocka_unit_test(test_every_task_runs_once)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
