/* call.c - the page's call without a browser: one request a line from standard input, one answer a line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "web/page_call.h"

/* The writer's line ends are the only ones: within strings they are escaped. */
static void print_line(const sm_text *answer)
{
    for (size_t i = 0; i < answer->len; i++)
        putchar(answer->s[i] == '\n' ? ' ' : answer->s[i]);
    putchar('\n');
}

int main(void)
{
    char *line = NULL;
    size_t room = 0;
    ssize_t n;
    gsl_set_error_handler_off();
    while ((n = getline(&line, &room, stdin)) > 0) {
        sm_text answer = {0};
        sm_page_call(line, (size_t)n, &answer);
        if (answer.failed)
            return EXIT_FAILURE;
        print_line(&answer);
        fflush(stdout);
        sm_text_destroy(&answer);
    }
    free(line);
    return EXIT_SUCCESS;
}
