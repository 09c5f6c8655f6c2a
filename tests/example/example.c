/* example.c - a complete program that uses slimmargin: reads a case from a file, runs it, prints the answer.
 *
 *   cc example.c -lslimmargin $(pkg-config --libs gsl libcjson nettle) -lm -o example && ./example case.json
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>
#include <slimmargin.h>

/* The first 1 MB of a file; NULL if it cannot be read. */
static char *read_file(const char *path, size_t *length)
{
    enum { MOST = 1 << 20 };
    FILE *f = fopen(path, "rb");
    char *text = malloc(MOST);
    *length = f && text ? fread(text, 1, MOST, f) : 0;
    if (f && fclose(f) == 0 && text)
        return text;
    free(text);
    return NULL;
}

/* Says how far the run is; goes on to the end. */
static bool show(void *self, const slimmargin_progress *p)
{
    (void)self;
    fprintf(stderr, "%lld of %lld: %.3f\n", (long long)p->done, (long long)p->planned, p->probability);
    return true;
}

static int assess(const slimmargin_case *c)
{
    slimmargin_options options = slimmargin_options_default();
    slimmargin_watch watch = {NULL, show};
    slimmargin_result *result;
    options.trials = 100000;
    slimmargin_status s = slimmargin_assess(c, &options, NULL, &watch, &result);
    if (!result) {
        fprintf(stderr, "%s\n", slimmargin_status_words(s));
        return EXIT_FAILURE;
    }
    char *json = slimmargin_result_json(result);
    int written = json ? puts(json) : EOF;
    free(json);
    slimmargin_result_free(result);
    return written == EOF ? EXIT_FAILURE : EXIT_SUCCESS;
}

int main(int argc, char **argv)
{
    size_t length = 0;
    char *text = argc == 2 ? read_file(argv[1], &length) : NULL;
    slimmargin_case *c;
    if (!text) {
        fprintf(stderr, "usage: example CASE\n");
        return EXIT_FAILURE;
    }
    gsl_set_error_handler_off();
    slimmargin_status s = slimmargin_case_read(text, length, NULL, 0, &c);
    free(text);
    if (c)
        fputs(slimmargin_case_messages(c), stderr);
    int code = s == SLIMMARGIN_OK ? assess(c) : EXIT_FAILURE;
    slimmargin_case_free(c);
    return code;
}
