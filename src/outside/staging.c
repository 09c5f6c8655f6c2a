/* staging.c - whole ways over what each outside stages by itself.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/staging.h"

sm_status sm_staging_commit_with(sm_staging *s, const char *path, sm_text *text)
{
    const sm_status status = sm_staging_add(s, path, text);
    return status == SM_OK ? sm_staging_commit(s) : status;
}

sm_status sm_staging_send(const char *path, sm_text *text)
{
    sm_staging s = {0};
    const sm_status status = sm_staging_commit_with(&s, path, text);
    sm_staging_destroy(&s);
    return status;
}
