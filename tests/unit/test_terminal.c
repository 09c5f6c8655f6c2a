/* test_terminal.c - what is said on standard error: fit to be shown whatever was given, or not at all.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* mkstemp */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "outside/terminal.h"

/* What stands on standard error meanwhile goes into a file. */
static sm_status tell(sm_text *text, sm_status s, char *said, size_t size)
{
    char name[] = "/tmp/test_terminal-XXXXXX";
    const int file = mkstemp(name), screen = dup(STDERR_FILENO);
    assert_true(file >= 0 && screen >= 0 && dup2(file, STDERR_FILENO) >= 0);
    const sm_status told = sm_terminal_tell(text, s);
    assert_true(dup2(screen, STDERR_FILENO) >= 0);
    const ssize_t n = pread(file, said, size - 1, 0);
    assert_true(n >= 0);
    said[n] = '\0';
    close(file);
    close(screen);
    unlink(name);
    return told;
}

static void hostile_text_is_shown_as_escapes(void **state)
{
    (void)state;
    char said[100];
    sm_text t = {0};
    sm_text_puts(&t, "a\x1b[2J\xe2\x80\xae\nb\xff\r\n");
    assert_int_equal(tell(&t, SM_USAGE, said, sizeof said), SM_USAGE);
    assert_string_equal(said, "a\\u001b[2J\\u202e\nb\\xff\\u000d\n");
    assert_null(t.s);
}

static void half_a_text_is_not_told(void **state)
{
    (void)state;
    char said[100];
    sm_text t = {0};
    sm_text_puts(&t, "half of ");
    t.failed = true;
    assert_int_equal(tell(&t, SM_OK, said, sizeof said), SM_NO_MEMORY);
    assert_string_equal(said, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(hostile_text_is_shown_as_escapes),
                                       cmocka_unit_test(half_a_text_is_not_told)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
