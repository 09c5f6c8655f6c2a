/* world.c - the outside as a page has it.
 *
 * Contents: 1. the one world  2. names  3. files
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web/world.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"

/* 1. The one world */

static sm_world world;
static sm_world_watch watched;

sm_world *sm_world_here(void)
{
    return &world;
}

void sm_world_clear(void)
{
    for (size_t i = 0; i < world.n; i++) {
        free(world.file[i].name);
        sm_text_destroy(&world.file[i].text);
    }
    free(world.file);
    sm_text_destroy(&world.out);
    sm_text_destroy(&world.err);
    world = (sm_world){0};
}

void sm_world_watch_by(sm_world_watch watch)
{
    watched = watch;
}

sm_world_watch sm_world_watched(void)
{
    return watched;
}

/* 2. Names */

static bool is_part(const char *part, size_t n, const char *word)
{
    return n == strlen(word) && strncmp(part, word, n) == 0;
}

/* Takes the last part of a name away. */
static void go_up(sm_text *name)
{
    while (name->len > 0 && name->s[name->len - 1] != '/')
        name->len--;
    if (name->len > 0)
        name->len--;
    if (name->s)
        name->s[name->len] = '\0';
}

char *sm_world_name(const char *path)
{
    sm_text name = {0};
    sm_text_puts(&name, "");
    for (const char *s = path; *s;) {
        const size_t n = strcspn(s, "/");
        if (is_part(s, n, ".."))
            go_up(&name);
        else if (n > 0 && !is_part(s, n, ".")) {
            sm_text_puts(&name, name.len > 0 ? "/" : "");
            sm_text_putn(&name, s, n);
        }
        s += n + (s[n] == '/');
    }
    return sm_text_take(&name);
}

/* 3. Files */

static sm_world_file *find(const char *name)
{
    for (size_t i = 0; i < world.n; i++)
        if (strcmp(world.file[i].name, name) == 0)
            return &world.file[i];
    return NULL;
}

sm_world_file *sm_world_find(const char *path)
{
    char *name = sm_world_name(path);
    sm_world_file *f = name ? find(name) : NULL;
    free(name);
    return f;
}

bool sm_world_is_folder(const char *path)
{
    char *name = sm_world_name(path);
    const size_t n = name ? strlen(name) : 0;
    bool is = false;
    for (size_t i = 0; name && i < world.n; i++)
        is |= n == 0 || (strncmp(world.file[i].name, name, n) == 0 && world.file[i].name[n] == '/');
    free(name);
    return is;
}

static sm_world_file *add(char *name)
{
    sm_world_file *grown = sm_grow(world.file, world.n, &world.cap, 8, sizeof *grown);
    if (!grown)
        return NULL;
    world.file = grown;
    world.file[world.n] = (sm_world_file){.name = name};
    return &world.file[world.n++];
}

sm_status sm_world_put(const char *path, const char *text, size_t length, bool written)
{
    char *name = sm_world_name(path);
    sm_world_file *f = name ? find(name) : NULL;
    if (f)
        free(name);
    else
        f = name ? add(name) : NULL;
    if (!f) {
        free(name);
        return SM_NO_MEMORY;
    }
    sm_text_destroy(&f->text);
    sm_text_putn(&f->text, text, length);
    f->written = written;
    return f->text.failed ? SM_NO_MEMORY : SM_OK;
}
