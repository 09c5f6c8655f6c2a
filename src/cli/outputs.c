/* outputs.c - what a command reads and what it will write, checked before it computes.
 *
 * Contents: 1. naming  2. folders  3. no output twice  4. each can be written  5. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/outputs.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/grow.h"
#include "cli/target.h"
#include "outside/terminal.h"

struct sm_outputs_name {
    const char *what; /* NULL: the text of the command */
    char *path;
    bool input;
    bool (*writes)(const char *name); /* of a folder */
    sm_target target;
};

/* 1. Naming */

static sm_outputs_name *add(sm_output_files *o, const char *what, const char *path, int standard)
{
    sm_outputs_name *grown = sm_grow(o->name, o->n, &o->cap, 8, sizeof *grown);
    char *copy = grown ? sm_string_copy(path) : NULL;
    o->name = grown ? grown : o->name;
    o->failed |= !copy;
    if (!copy)
        return NULL;
    sm_outputs_name *x = &o->name[o->n++];
    *x = (sm_outputs_name){.what = what, .path = copy, .target = sm_target_of(path, standard)};
    o->failed |= x->target.error == ENOMEM;
    return x;
}

void sm_outputs_reads(sm_output_files *o, const char *what, const char *path)
{
    sm_outputs_name *x = path ? add(o, what, path, STDIN_FILENO) : NULL;
    if (x)
        x->input = true;
}

void sm_outputs_writes(sm_output_files *o, const char *what, const char *path)
{
    if (path)
        add(o, what, path, STDOUT_FILENO);
}

bool sm_outputs_tells(sm_output_files *o)
{
    for (size_t i = 0; i < o->n; i++)
        if (!o->name[i].input && o->name[i].target.descriptor == STDOUT_FILENO)
            return false;
    add(o, NULL, "-", STDOUT_FILENO);
    return true;
}

/* 2. Folders */

/* What stands in the folder and may be written anew: each such file is an output of its own. */
static void add_files(sm_output_files *o, const char *what, const char *folder, bool (*writes)(const char *name))
{
    DIR *d = opendir(folder);
    o->failed |= !d && errno == ENOMEM;
    for (const struct dirent *e = d ? readdir(d) : NULL; e; e = readdir(d)) {
        sm_text path = {0};
        if (!writes(e->d_name))
            continue;
        sm_text_addf(&path, "%s/%s", folder, e->d_name);
        o->failed |= path.failed;
        if (!path.failed)
            sm_outputs_writes(o, what, path.s);
        sm_text_destroy(&path);
    }
    if (d)
        closedir(d);
}

void sm_outputs_fills(sm_output_files *o, const char *what, const char *path, bool (*writes)(const char *name))
{
    sm_outputs_name *x = path ? add(o, what, path, STDOUT_FILENO) : NULL;
    if (!x)
        return;
    x->writes = writes;
    if (x->target.there)
        add_files(o, what, path, writes);
}

/* Whether x will stand in the folder under a name that is written there. If it is there now, add_files has it. */
static bool falls_into(const sm_target *x, const sm_outputs_name *folder)
{
    return folder->writes && folder->target.there && !x->there && x->path &&
           folder->target.is.st_dev == x->folder.st_dev && folder->target.is.st_ino == x->folder.st_ino &&
           folder->writes(x->name);
}

/* 3. No output twice */

/* "--json out.json", "the case on standard input", "the text on standard output" */
static void name_words(const sm_outputs_name *x, sm_text *out)
{
    sm_text_puts(out, x->what ? x->what : "the text");
    if (strcmp(x->path, "-") != 0)
        sm_text_addf(out, " %s", x->path);
    else if (x->input || !x->what)
        sm_text_addf(out, " on standard %s", x->input ? "input" : "output");
    else
        sm_text_puts(out, " -");
}

/* What is wrong with the output x beside y; NULL if nothing. met: y is an input, or an output that was named before. */
static const char *conflict(const sm_outputs_name *x, const sm_outputs_name *y, bool met)
{
    const int descriptor = x->target.descriptor;
    if (falls_into(&x->target, y))
        return "has a name that is written into the folder of ";
    if (!met || !sm_target_same(&x->target, &y->target))
        return NULL;
    if (y->input)
        return "would be written over what is read: it is the same file as ";
    if (descriptor == STDOUT_FILENO && y->target.descriptor == descriptor)
        return "standard output takes one document, and this one goes there too: ";
    return "is the same file as ";
}

static void complain_of(const sm_outputs_name *x, const sm_outputs_name *y, const char *words, sm_diag *d)
{
    sm_text name = {0}, other = {0};
    name_words(x, &name);
    name_words(y, &other);
    sm_diag_add(d, SM_FAULT, (sm_place){.file = sm_text_string(&name)}, "%s%s; give each a place of its own", words,
                sm_text_string(&other));
    d->failed |= name.failed || other.failed;
    sm_text_destroy(&name);
    sm_text_destroy(&other);
}

/* The first conflict of an output stands for the others: what is the same file as one is the same as all of them. */
static void find_conflicts(const sm_output_files *o, sm_diag *d)
{
    for (size_t i = 0; i < o->n; i++) {
        const sm_outputs_name *x = &o->name[i];
        const char *words = NULL;
        for (size_t j = 0; !x->input && !words && j < o->n; j++) {
            words = conflict(x, &o->name[j], o->name[j].input || j < i);
            if (words)
                complain_of(x, &o->name[j], words, d);
        }
    }
}

/* 4. Each can be written */

static void find_refusals(const sm_output_files *o, sm_diag *d)
{
    for (size_t i = 0; i < o->n; i++) {
        const sm_outputs_name *x = &o->name[i];
        int error = 0;
        const char *words = x->input    ? NULL
                            : x->writes ? sm_target_refuses_folder(x->path, &error)
                                        : sm_target_refuses(&x->target, &error);
        if (error == ENOMEM)
            d->failed = true;
        else if (words)
            sm_diag_add(d, SM_FAULT, (sm_place){.file = x->path}, "%s%s%s", words, error ? ": " : "",
                        error ? strerror(error) : "");
    }
}

/* 5. All of it */

sm_status sm_outputs_check(const sm_output_files *o)
{
    sm_diag d = {0};
    find_conflicts(o, &d);
    const size_t conflicts = d.n;
    find_refusals(o, &d);
    const sm_status told = sm_terminal_tell_diag(&d, conflicts ? SM_USAGE : d.n ? SM_NOT_WRITTEN : SM_OK);
    sm_diag_destroy(&d);
    return o->failed ? SM_NO_MEMORY : told;
}

void sm_outputs_destroy(sm_output_files *o)
{
    for (size_t i = 0; i < o->n; i++) {
        free(o->name[i].path);
        sm_target_destroy(&o->name[i].target);
    }
    free(o->name);
    *o = (sm_output_files){0};
}
