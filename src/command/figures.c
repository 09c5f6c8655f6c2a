/* figures.c - every picture as a file of its own, with its data beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/figures.h"

#include <string.h>

static const char picture_ending[] = ".svg", data_ending[] = ".csv";

/* Empties the text. */
static sm_status stage(sm_staging *staging, const char *folder, const char *name, const char *ending, sm_text *text)
{
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s%s", folder, name, ending);
    if (path.failed)
        sm_text_destroy(text);
    const sm_status s = path.failed ? SM_NO_MEMORY : sm_staging_add(staging, path.s, text);
    sm_text_destroy(&path);
    return s;
}

static sm_status stage_picture(sm_staging *staging, const char *folder, const sm_figure *g, const sm_findings *f, int i)
{
    sm_text name = {0}, picture = {0}, data = {0};
    sm_figure_name(g, f, i, &name);
    sm_figure_write(g, f, i, sm_text_string(&name), sm_figure_width(g), true, &picture);
    g->data(f, i, &data);
    sm_status s = name.failed ? SM_NO_MEMORY : stage(staging, folder, name.s, picture_ending, &picture);
    if (s == SM_OK)
        s = stage(staging, folder, name.s, data_ending, &data);
    sm_text_destroy(&name);
    sm_text_destroy(&picture);
    sm_text_destroy(&data);
    return s;
}

static sm_status stage_all(sm_staging *staging, const char *folder, const sm_figure *const *figure, size_t n,
                           const sm_findings *f)
{
    sm_status s = SM_OK;
    for (size_t g = 0; s == SM_OK && g < n; g++)
        for (int i = 0; s == SM_OK && i < figure[g]->count(f); i++)
            s = stage_picture(staging, folder, figure[g], f, i);
    return s;
}

sm_status sm_figures_stage(sm_staging *staging, const char *folder, const sm_findings *f)
{
    return stage_all(staging, folder, sm_figures, sm_figures_count, f);
}

sm_status sm_sweep_figures_stage(sm_staging *staging, const char *folder, const sm_findings *f)
{
    return stage_all(staging, folder, sm_sweep_figures, sm_sweep_figures_count, f);
}

static bool is_of(const char *name, size_t n, const sm_figure *const *figure, size_t figures)
{
    for (size_t g = 0; g < figures; g++) {
        const size_t own = strlen(figure[g]->name);
        if (n >= own && strncmp(name, figure[g]->name, own) == 0 && (n == own || name[own] == '-'))
            return true;
    }
    return false;
}

bool sm_figures_may_write(const char *name)
{
    const char *dot = strrchr(name, '.');
    const size_t n = dot ? (size_t)(dot - name) : 0;
    return dot && (strcmp(dot, picture_ending) == 0 || strcmp(dot, data_ending) == 0) &&
           (is_of(name, n, sm_figures, sm_figures_count) || is_of(name, n, sm_sweep_figures, sm_sweep_figures_count));
}
