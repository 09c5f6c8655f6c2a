/* files.c - outside/files.h in memory.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/files.h"

#include <string.h>

#include "web/world.h"

static sm_status complain(sm_diag *d, const char *path, const char *words)
{
    sm_diag_add(d, SM_FAULT, (sm_place){.file = path}, "%s", words);
    return SM_REFUSED;
}

sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d)
{
    const sm_world_file *f = sm_world_find(path);
    if (!f)
        return complain(d, path, sm_world_is_folder(path) ? "is a folder, not a file" : "there is no such file");
    if (f->text.len > SM_FILE_LIMIT)
        return complain(d, path, "is larger than 16 MB; a case or a profile is a few kilobytes");
    sm_text_putn(out, sm_text_string(&f->text), f->text.len);
    return out->failed ? SM_NO_MEMORY : SM_OK;
}

sm_status sm_file_read_old(const char *path, sm_text *out, bool *there, sm_diag *d)
{
    *there = sm_world_find(path) != NULL;
    return *there ? sm_file_read(path, out, d) : SM_OK;
}

bool sm_file_is_there(const char *path)
{
    return sm_world_find(path) || sm_world_is_folder(path);
}

bool sm_file_is_folder(const char *path)
{
    return sm_world_is_folder(path);
}
