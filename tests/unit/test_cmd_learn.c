/* test_cmd_learn.c - the command learn from end to end: options, files, exit status.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

#include "command/command.h"
#include "outside/files.h"
#include "outside/staging.h"

#define STUDY "scenarios/readers/study.csv"

static char folder[] = "/tmp/learn-test-XXXXXX";

static const char *in_folder(const char *name)
{
    static char path[8][64];
    static int turn;
    turn = (turn + 1) % 8;
    snprintf(path[turn], sizeof path[turn], "%s/%s", folder, name);
    return path[turn];
}

/* Runs learn with the words given, NULL ends; options as the program reads them. */
static sm_status run(const char *const *words)
{
    enum {
        USES = SM_OPTION_PROFILE | SM_OPTION_PLANE | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET |
               SM_OPTION_REPLACE | SM_OPTION_ACCEPT
    };
    char *argv[12] = {0};
    int argc = 0;
    sm_options o;
    sm_text complaints = {0};
    for (; words[argc]; argc++)
        argv[argc] = sm_string_copy(words[argc]);
    sm_status status = sm_options_read("learn", USES, argc, argv, 0, &o, &complaints);
    status = status == SM_OK ? sm_cmd_learn(&o) : status;
    for (int i = 0; i < argc; i++)
        free(argv[i]);
    sm_text_destroy(&complaints);
    return status;
}
#define RUN(...) run((const char *const[]){__VA_ARGS__, NULL})

static void read_back(const char *path, sm_text *out)
{
    sm_diag d = {0};
    sm_text_destroy(out);
    assert_int_equal(sm_file_read(path, out, &d), SM_OK);
    sm_diag_destroy(&d);
}

static void write_file(const char *path, const char *text)
{
    sm_text copy = {0};
    sm_text_puts(&copy, text);
    assert_int_equal(sm_staging_send(path, &copy), SM_OK);
}

static void test_usage(void **state)
{
    (void)state;
    assert_int_equal(RUN(STUDY, "--plane", "moved"), SM_USAGE);
    assert_int_equal(RUN(STUDY, "--plane"), SM_USAGE);
    assert_int_equal(RUN(STUDY, "--frobnicate"), SM_USAGE);
    assert_int_equal(RUN(STUDY, "--profile", in_folder("asked.json")), SM_USAGE); /* the plane is asked for */
    assert_int_equal(access(in_folder("asked.json"), F_OK), -1);
}

static void test_outputs(void **state)
{
    (void)state;
    sm_text text = {0};
    assert_int_equal(RUN(STUDY, "--quiet", "--json", in_folder("out.json"), "--profile", in_folder("north.json"),
                         "--plane", "replaced"),
                     SM_OK);
    read_back(in_folder("out.json"), &text);
    assert_contains(text.s, "\"format\": \"slimmargin-readers-1\"");
    assert_contains(text.s, "\"study\": \"study.csv\"");
    read_back(in_folder("north.json"), &text);
    assert_contains(text.s, "\"site\": \"north\"");
    assert_contains(text.s, "\"sd_includes_plane\": true");
    assert_contains(text.s, "\"source\": \"reader study study.csv: 12 cases, 3 readers, 72 readings\"");
    sm_text_destroy(&text);
}

/* Other entries stay; a second run writes the same bytes; nothing is left beside the profile. */
static void test_update(void **state)
{
    (void)state;
    sm_text first = {0}, second = {0};
    write_file(in_folder("kept.json"), "{\"format\": \"slimmargin-profile-1\", \"site\": \"kept\", \"action_line\": "
                                       "{\"value\": 0.15, \"source\": \"team\"}}");
    assert_int_equal(chmod(in_folder("kept.json"), 0640), 0);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(RUN(STUDY, "--quiet", "--profile", in_folder("kept.json"), "--plane", "fixed"), SM_OK);
        read_back(in_folder("kept.json"), i == 0 ? &first : &second);
    }
    assert_string_equal(first.s, second.s);
    assert_contains(first.s, "\"value\": 0.15");
    struct stat s;
    assert_int_equal(stat(in_folder("kept.json"), &s), 0);
    assert_int_equal(s.st_mode & 0777, 0640);
    sm_text_destroy(&first);
    sm_text_destroy(&second);
}

static void test_refused(void **state)
{
    (void)state;
    sm_text text = {0};
    assert_int_equal(RUN("nowhere.csv"), SM_REFUSED);
    write_file(in_folder("bad.csv"), "case,quantity,reader,repeat,value_mm\n1,x,A,one,2\n");
    assert_int_equal(RUN(in_folder("bad.csv")), SM_REFUSED);
    write_file(in_folder("wrong.json"), "{\"format\": \"other\"}");
    assert_int_equal(RUN(STUDY, "--quiet", "--json", in_folder("none.json"), "--profile", in_folder("wrong.json"),
                         "--plane", "fixed"),
                     SM_REFUSED);
    read_back(in_folder("wrong.json"), &text);
    assert_string_equal(text.s, "{\"format\": \"other\"}"); /* as it was */
    assert_int_equal(access(in_folder("none.json"), F_OK), -1);
    sm_text_destroy(&text);
}

/* A study of three readers and eight cases, read twice: what is written at one place can be changed. */
static void write_study(const char *path, int cases, const char *typed, double wrong)
{
    static const double noise[] = {0.31, -0.52, 0.11, 0.74,  -0.23, -0.88, 0.45, 0.02, -0.37, 0.61,  0.19, -0.14,
                                   0.93, -0.66, 0.27, -0.05, 0.50,  -0.41, 0.08, 0.36, -0.71, -0.19, 0.57};
    sm_text t = {0};
    sm_text_puts(&t, "case,quantity,reader,repeat,value_mm\n");
    for (int i = 1; i <= cases; i++)
        for (int j = 0; j < 3; j++)
            for (int r = 1; r <= 2; r++) {
                const char name[] = {(char)('0' + i), (char)('A' + j), (char)('0' + r), '\0'};
                sm_text_addf(&t, "%d,ostium_gap,%c,%d,%.2f\n", i, 'A' + j, r,
                             5.0 + i + 0.2 * j + 0.5 * noise[(6 * i + 2 * j + r) % 23] +
                                 (strcmp(name, typed) == 0 ? wrong : 0.0));
            }
    assert_int_equal(sm_staging_send(path, &t), SM_OK);
}

#define PROFILE_TO(name) "--quiet", "--profile", in_folder(name), "--plane", "fixed"

/* The smaller study leaves the profile as it is until it is asked for; so does a reading typed wrong. */
static void test_asks_first(void **state)
{
    (void)state;
    sm_text first = {0}, second = {0};
    write_study(in_folder("large.csv"), 8, "", 0.0);
    write_study(in_folder("small.csv"), 6, "", 0.0);
    write_study(in_folder("typed.csv"), 8, "4B2", 3.0);
    assert_int_equal(RUN(in_folder("large.csv"), PROFILE_TO("asks.json")), SM_OK);
    read_back(in_folder("asks.json"), &first);
    assert_contains(first.s, "8 cases, 3 readers, 48 readings");
    assert_int_equal(RUN(in_folder("small.csv"), PROFILE_TO("asks.json"), "--json", in_folder("none.json")),
                     SM_REFUSED);
    assert_int_equal(RUN(in_folder("typed.csv"), PROFILE_TO("asks.json")), SM_REFUSED);
    read_back(in_folder("asks.json"), &second);
    assert_string_equal(first.s, second.s);
    assert_int_equal(access(in_folder("none.json"), F_OK), -1);
    assert_int_equal(RUN(in_folder("typed.csv"), PROFILE_TO("asks.json"), "--accept"), SM_OK);
    read_back(in_folder("asks.json"), &second);
    assert_contains(second.s, "reader study typed.csv: 8 cases, 3 readers, 48 readings; 1 outlying reading accepted");
    assert_int_equal(RUN(in_folder("small.csv"), PROFILE_TO("asks.json"), "--accept"), SM_REFUSED);
    assert_int_equal(RUN(in_folder("small.csv"), PROFILE_TO("asks.json"), "--replace"), SM_OK);
    read_back(in_folder("asks.json"), &second);
    assert_contains(second.s, "6 cases, 3 readers, 36 readings");
    assert_int_equal(RUN(in_folder("typed.csv"), "--quiet"), SM_OK); /* told, and no reason to refuse */
    assert_int_equal(RUN(in_folder("typed.csv"), "--accept"), SM_USAGE);
    assert_int_equal(RUN(in_folder("typed.csv"), "--replace"), SM_USAGE);
    sm_text_destroy(&first);
    sm_text_destroy(&second);
}

/* Two files are one study; one file twice, or as an output too, is refused. */
static void test_two_files(void **state)
{
    (void)state;
    sm_text text = {0};
    write_file(in_folder("a.csv"), "case,quantity,reader,repeat,value_mm\n1,x,A,1,5\n2,x,A,1,7\n3,x,A,1,4\n");
    write_file(in_folder("b.csv"), "case;quantity;reader B\n1;x;5,5\n2;x;7,2\n3;x;4,6\n");
    assert_int_equal(RUN(in_folder("a.csv"), in_folder("b.csv"), "--quiet", "--json", in_folder("two.json")), SM_OK);
    read_back(in_folder("two.json"), &text);
    assert_contains(text.s, "\"study\": \"a.csv, b.csv\"");
    assert_contains(text.s, "\"readers\": 2,");
    assert_int_equal(RUN(in_folder("a.csv"), in_folder("a.csv"), "--quiet"), SM_REFUSED);
    assert_int_equal(RUN(in_folder("a.csv"), in_folder("b.csv"), "--quiet", "--json", in_folder("b.csv")), SM_USAGE);
    sm_text_destroy(&text);
}

static void test_not_written(void **state)
{
    (void)state;
    assert_int_equal(RUN(STUDY, "--quiet", "--json", "/nowhere/out.json"), SM_NOT_WRITTEN);
    assert_int_equal(RUN(STUDY, "--quiet", "--plane", "fixed", "--profile", "/nowhere/site.json"), SM_NOT_WRITTEN);
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    static const char *const name[] = {"out.json",  "north.json", "kept.json", "bad.csv", "wrong.json", "large.csv",
                                       "small.csv", "typed.csv",  "asks.json", "a.csv",   "b.csv",      "two.json"};
    for (size_t i = 0; i < sizeof name / sizeof name[0]; i++)
        unlink(in_folder(name[i]));
    return rmdir(folder); /* fails if a temporary file was left behind */
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_usage),       cmocka_unit_test(test_outputs),
                                       cmocka_unit_test(test_update),      cmocka_unit_test(test_refused),
                                       cmocka_unit_test(test_not_written), cmocka_unit_test(test_asks_first),
                                       cmocka_unit_test(test_two_files)};
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
