/* slips.c - which numbers of a case the program asks about, for many cases in one process.
 *
 * Standard input: a case a line. Standard output, a line for each: "refused", or the names that are asked about, each
 * with its slip ("left.ostium_height=in centimetres?;"), nothing if the case passes. tests/slips/slips.py makes the
 * cases.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/casefile.h"

static void tell(const sm_casefile *f)
{
    const sm_unusual *u;
    const size_t n = sm_casefile_unusual(f, &u);
    for (size_t i = 0; i < n; i++)
        if (!u[i].confirmed)
            printf("%s=%s;", u[i].name, u[i].slip);
    puts("");
}

int main(void)
{
    char *line = NULL;
    size_t room = 0;
    ssize_t n;
    while ((n = getline(&line, &room, stdin)) > 0) {
        sm_diag d = {0};
        sm_casefile *f;
        const sm_file_text text = {"case", line, (size_t)n}, none = {0};
        const sm_status s = sm_casefile_read(text, none, NULL, 0, &d, &f);
        if (s == SM_OK)
            tell(f);
        else
            puts("refused");
        sm_casefile_destroy(f);
        sm_diag_destroy(&d);
        if (s == SM_NO_MEMORY)
            return 70;
    }
    free(line);
    return 0;
}
