/* cmd_weigh.c - slimmargin weigh CASE: the alternatives side by side, with the harm of doing them.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/shown.h"
#include "report/json/weigh_json.h"
#include "command/command.h"
#include "command/session.h"
#include "report/blocks/write.h"
#include "report/text/weigh_text.h"
#include "report/text/unusual_text.h"

/* 1. Help */

const char sm_cmd_weigh_help[] = "Reads one case (- for standard input) and compares going as planned with each of\n"
                                 "its \"alternatives\", on the same draws: how often a limit is crossed and nothing\n"
                                 "rescues it, the harm of that and of the burden that you stated together, which\n"
                                 "harms least, how firm that is, and which re-check could change it. What was\n"
                                 "published of readings like this stands beside it, for comparison only.\n";

/* 2. Running */

typedef struct {
    sm_weigh weigh;
    sm_published context; /* unless --no-context */
} findings;

static sm_status refuse(const char *path)
{
    sm_text words = {0};
    sm_text_shown(&words, sm_session_spoken_name(path));
    sm_text_puts(&words, ": nothing to weigh: the case has no alternatives\n"
                         "  Add what might be done instead, each with a name, what it does and its burden:\n"
                         "  \"alternatives\": [{\"name\": \"smaller device\",\n"
                         "                    \"implant\": {\"nominal_diameter_mm\": 22.5}, \"burden\": 0.02}]\n"
                         "  It may change implant or surgical_valve, lacerate the leaflet facing a side,\n"
                         "  or rescue a side's event, the last two with a probability that you state.\n");
    return sm_terminal_tell(&words, SM_REFUSED);
}

static sm_status run(const sm_session *s, void *found)
{
    findings *f = found;
    const sm_options *o = s->o;
    if (s->planned->n_alternatives == 0)
        return refuse(o->argument[0]);
    const sm_status status = sm_weigh_run(s->planned, s->context.trials, s->context, &f->weigh);
    if (o->no_context || (status != SM_OK && status != SM_INTERRUPTED))
        return status;
    sm_published_of(s->planned, &f->context);
    return status;
}

static sm_assessment *assessment(void *found, int i)
{
    (void)i;
    return &((findings *)found)->weigh.assessment;
}

/* 3. Writing */

static const sm_published *context_of(const sm_session *s, const findings *f)
{
    return s->o->no_context ? NULL : &f->context;
}

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const findings *f = found;
    const sm_result r = sm_session_result(s, 0, &f->weigh.assessment);
    const sm_weigh_part p = {.c = r.c, .weigh = &f->weigh, .context = context_of(s, f)};
    const sm_result_part part = sm_weigh_json_part(&p);
    sm_result_json_write(&r, &part, 1, out);
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    const findings *f = found;
    const sm_result r = sm_session_result(s, 0, &f->weigh.assessment);
    sm_blocks b = {0};
    if (s->o->quiet) {
        sm_unusual_tell(&b, &r);
        sm_weigh_tell_quiet(&b, &r, &f->weigh);
    } else
        sm_weigh_tell(&b, &r, &f->weigh, context_of(s, f));
    sm_write_text(out, style, &b);
}

/* 4. The command */

sm_status sm_cmd_weigh(const sm_options *o)
{
    static const sm_session_steps steps = {.run = run, .assessment = assessment, .json = json, .text = text};
    findings found = {.weigh = {.row = NULL}};
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_weigh_destroy(&found.weigh);
    return s;
}
