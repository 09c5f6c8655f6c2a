/* page_command.c - a command line of the program, done on files in memory: what it says and writes.
 *
 * Contents: 1. the files that it reads  2. the words  3. what came of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "command/program.h"
#include "web/page_call.h"
#include "web/world.h"

enum { MOST_WORDS = 64 };

/* 1. The files that it reads */

static sm_status put_files(const cJSON *request)
{
    const cJSON *files = cJSON_GetObjectItemCaseSensitive(request, "files");
    sm_status s = SM_OK;
    sm_world_clear();
    for (const cJSON *f = files ? files->child : NULL; s == SM_OK && f; f = f->next)
        if (cJSON_IsString(f))
            s = sm_world_put(f->string, f->valuestring, strlen(f->valuestring), false);
    return s;
}

/* 2. The words */

/* The command line in argv, ended by NULL; returns how many words it has. */
static int gather_words(const cJSON *request, char *argv[MOST_WORDS + 1])
{
    static char program[] = "slimmargin";
    const cJSON *words = cJSON_GetObjectItemCaseSensitive(request, "words");
    int n = 0;
    argv[n++] = program;
    for (const cJSON *word = words ? words->child : NULL; word && n < MOST_WORDS; word = word->next)
        if (cJSON_IsString(word))
            argv[n++] = word->valuestring;
    argv[n] = NULL;
    return n;
}

/* 3. What came of it */

static void write_files(sm_json *w)
{
    const sm_world *world = sm_world_here();
    sm_json_open(w, "files", SM_JSON_LINES);
    for (size_t i = 0; i < world->n; i++)
        if (world->file[i].written)
            sm_json_string(w, world->file[i].name, sm_text_string(&world->file[i].text));
    sm_json_close(w);
}

void sm_page_command(const cJSON *request, sm_json *w)
{
    char *argv[MOST_WORDS + 1];
    sm_world *world = sm_world_here();
    sm_status s = put_files(request);
    if (s == SM_OK)
        s = sm_program_run(gather_words(request, argv), argv);
    if (world->out.failed || world->err.failed)
        s = SM_NO_MEMORY;
    sm_page_status(w, s);
    sm_json_string(w, "out", sm_text_string(&world->out));
    sm_json_string(w, "err", sm_text_string(&world->err));
    write_files(w);
    sm_world_clear();
}
