/* staging.c - outside/staging.h in memory: what a command writes is there once all of it is made.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/staging.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "web/world.h"

struct sm_staged {
    char *path;
    sm_text text;
};

sm_status sm_staging_add(sm_staging *s, const char *path, sm_text *text)
{
    sm_staged *grown = text->failed ? NULL : sm_grow(s->item, s->n, &s->cap, 8, sizeof *grown);
    char *copy = grown ? sm_string_copy(path) : NULL;
    s->item = grown ? grown : s->item;
    if (!copy) {
        sm_text_destroy(text);
        return SM_NO_MEMORY;
    }
    s->item[s->n++] = (sm_staged){.path = copy, .text = *text};
    *text = (sm_text){0};
    return SM_OK;
}

/* A folder is there as soon as something lies in it. */
sm_status sm_staging_make_folder(sm_staging *s, const char *path, bool above)
{
    (void)s, (void)path, (void)above;
    return SM_OK;
}

static sm_status put(const sm_staged *item)
{
    const char *text = sm_text_string(&item->text);
    if (strcmp(item->path, "-") != 0)
        return sm_world_put(item->path, text, item->text.len, true);
    sm_text_putn(&sm_world_here()->out, text, item->text.len);
    return sm_world_here()->out.failed ? SM_NO_MEMORY : SM_OK;
}

sm_status sm_staging_commit(sm_staging *s)
{
    sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < s->n; i++)
        status = put(&s->item[i]);
    return status;
}

void sm_staging_destroy(sm_staging *s)
{
    for (size_t i = 0; i < s->n; i++) {
        free(s->item[i].path);
        sm_text_destroy(&s->item[i].text);
    }
    free(s->item);
    *s = (sm_staging){0};
}
