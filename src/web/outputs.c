/* outputs.c - outside/outputs.h in memory, where every name can be written: no output may be an input or another
 * output.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/outputs.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "outside/terminal.h"
#include "web/world.h"

struct sm_outputs_name {
    const char *what;
    char *name; /* "" stands for standard output */
    bool input;
};

static void add(sm_output_files *o, const char *what, const char *path, bool input)
{
    sm_outputs_name *grown = path ? sm_grow(o->name, o->n, &o->cap, 8, sizeof *grown) : NULL;
    char *name = grown ? sm_world_name(strcmp(path, "-") == 0 ? "" : path) : NULL;
    o->name = grown ? grown : o->name;
    o->failed |= path && !name;
    if (name)
        o->name[o->n++] = (sm_outputs_name){what, name, input};
}

void sm_outputs_reads(sm_output_files *o, const char *what, const char *path)
{
    add(o, what, path, true);
}

void sm_outputs_writes(sm_output_files *o, const char *what, const char *path)
{
    add(o, what, path, false);
}

void sm_outputs_fills(sm_output_files *o, const char *what, const char *path, bool (*writes)(const char *name))
{
    (void)writes;
    add(o, what, path, false);
}

bool sm_outputs_tells(sm_output_files *o)
{
    for (size_t i = 0; i < o->n; i++)
        if (!o->name[i].input && !o->name[i].name[0])
            return false;
    return true;
}

static bool are_one(const sm_outputs_name *x, const sm_outputs_name *y)
{
    return !x->input && strcmp(x->name, y->name) == 0;
}

sm_status sm_outputs_check(const sm_output_files *o)
{
    sm_diag d = {0};
    for (size_t i = 0; i < o->n; i++)
        for (size_t j = 0; j < o->n; j++)
            if (are_one(&o->name[i], &o->name[j]) && (o->name[j].input || j < i))
                sm_diag_add(&d, SM_FAULT, (sm_place){.file = o->name[i].what},
                            "has the same name as %s; give each its own", o->name[j].what);
    const sm_status told = sm_terminal_tell_diag(&d, d.n ? SM_USAGE : SM_OK);
    sm_diag_destroy(&d);
    return o->failed ? SM_NO_MEMORY : told;
}

void sm_outputs_destroy(sm_output_files *o)
{
    for (size_t i = 0; i < o->n; i++)
        free(o->name[i].name);
    free(o->name);
    *o = (sm_output_files){0};
}
