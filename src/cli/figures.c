/* figures.c - every picture as a file of its own, with its data beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/figures.h"

#include "cli/session.h"

static sm_status write_file(const char *folder, const char *name, const char *ending, const sm_text *text)
{
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s%s", folder, name, ending);
    sm_status s = path.failed ? SM_NO_MEMORY : sm_session_write(path.s, text);
    sm_text_destroy(&path);
    return s;
}

static sm_status write_picture(const char *folder, const sm_figure *g, const sm_findings *f, int i)
{
    sm_text name = {0}, picture = {0}, data = {0};
    sm_svg svg;
    sm_figure_name(g, f, i, &name);
    sm_svg_begin(&svg, name.s ? name.s : "figure", g->half ? SM_HALF_WIDTH : SM_PAGE_WIDTH);
    g->draw(f, i, &svg);
    sm_svg_write(&svg, true, &picture);
    g->data(f, i, &data);
    sm_status s = name.failed ? SM_NO_MEMORY : write_file(folder, name.s, ".svg", &picture);
    if (s == SM_OK)
        s = write_file(folder, name.s, ".csv", &data);
    sm_svg_destroy(&svg);
    sm_text_destroy(&name);
    sm_text_destroy(&picture);
    sm_text_destroy(&data);
    return s;
}

static sm_status write_all(const char *folder, const sm_figure *const *figure, size_t n, const sm_findings *f)
{
    sm_status s = SM_OK;
    for (size_t g = 0; s == SM_OK && g < n; g++)
        for (int i = 0; s == SM_OK && i < figure[g]->count(f); i++)
            s = write_picture(folder, figure[g], f, i);
    return s;
}

sm_status sm_cli_figures_write(const char *folder, const sm_findings *f)
{
    return write_all(folder, sm_figures, sm_figures_count, f);
}

sm_status sm_cli_sweep_figures_write(const char *folder, const sm_findings *f)
{
    return write_all(folder, sm_sweep_figures, sm_sweep_figures_count, f);
}
