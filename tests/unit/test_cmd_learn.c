/* test_cmd_learn.c - the command learn from end to end: options, files, exit status.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/files.h"
#include "cli/staging.h"

#define STUDY "scenarios/readers/study.csv"

static char folder[] = "/tmp/learn-test-XXXXXX";

static const char *in_folder(const char *name)
{
    static char path[4][64];
    static int turn;
    turn = (turn + 1) % 4;
    snprintf(path[turn], sizeof path[turn], "%s/%s", folder, name);
    return path[turn];
}

/* Runs learn with the words given, NULL ends; options as the program reads them. */
static sm_status run(const char *const *words)
{
    enum { USES = SM_OPTION_PROFILE | SM_OPTION_PLANE | SM_OPTION_JSON | SM_OPTION_PLAIN | SM_OPTION_QUIET };
    char *argv[10] = {0};
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
    static const char *const name[] = {"out.json", "north.json", "kept.json", "bad.csv", "wrong.json"};
    for (size_t i = 0; i < sizeof name / sizeof name[0]; i++)
        unlink(in_folder(name[i]));
    return rmdir(folder); /* fails if a temporary file was left behind */
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_usage), cmocka_unit_test(test_outputs),
                                       cmocka_unit_test(test_update), cmocka_unit_test(test_refused),
                                       cmocka_unit_test(test_not_written)};
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
