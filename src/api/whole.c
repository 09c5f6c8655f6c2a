/* whole.c - the order of a report.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "api/whole.h"

#include "report/json/recheck_json.h"
#include "report/json/weigh_json.h"

sm_status sm_whole_run(const sm_case *c, sm_run_context context, sm_whole *out)
{
    /* What a re-check could change about the choice is left to weigh: the page has no room for it. */
    sm_weigh *weigh = c->n_alternatives > 0 ? &out->weigh : NULL;
    sm_recheck_options options = sm_recheck_defaults;
    options.weigh = weigh;
    const sm_status status = sm_recheck_run(c, &options, context, &out->recheck);
    out->complete = status == SM_OK;
    if (status != SM_OK && status != SM_INTERRUPTED)
        return status;
    const sm_series series = sm_series_published(c->valve.leaflet_mount);
    sm_status drawn = sm_portrait_run(c, context.seed, &out->portrait);
    if (drawn == SM_OK)
        drawn = sm_series_draw(&series, context.seed, &out->series);
    if (drawn == SM_OK && weigh)
        sm_published_of(c, &out->context);
    return drawn == SM_OK ? status : drawn;
}

void sm_whole_destroy(sm_whole *w)
{
    sm_recheck_destroy(&w->recheck);
    sm_portrait_destroy(&w->portrait);
    sm_weigh_destroy(&w->weigh);
}

sm_findings sm_whole_findings(const sm_whole *w, const sm_result *r)
{
    const bool weighed = w->complete && w->weigh.n_rows > 0;
    return (sm_findings){.result = *r,
                         .recheck = w->complete ? &w->recheck : NULL,
                         .portrait = &w->portrait,
                         .series = &w->series,
                         .weigh = weighed ? &w->weigh : NULL,
                         .context = weighed ? &w->context : NULL};
}

void sm_whole_json(const sm_findings *f, sm_text *out)
{
    const sm_recheck_part p = {.c = f->result.c, .recheck = f->recheck};
    const sm_weigh_part w = {.c = f->result.c, .weigh = f->weigh, .context = f->context};
    sm_result_part part[2];
    size_t n = 0;
    if (f->recheck)
        part[n++] = sm_recheck_json_part(&p);
    if (f->weigh)
        part[n++] = sm_weigh_json_part(&w);
    sm_result_json_write(&f->result, part, n, out);
}
