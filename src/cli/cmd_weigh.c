/* cmd_weigh.c - slimmargin weigh CASE: the alternatives side by side, with the harm of doing them.
 *
 * Contents: 1. help  2. writing  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/weigh_json.h"
#include "cli/command.h"
#include "cli/session.h"
#include "report/weigh_text.h"

/* 1. Help */

const char sm_cmd_weigh_help[] =
    "Reads one case (- for standard input) and compares going as planned with each of\n"
    "its \"alternatives\", on the same draws: how often a limit is crossed and nothing\n"
    "rescues it, what that and the burden that you stated cost together, which is\n"
    "the cheapest, how firm that is, and which re-check could change it. What was\n"
    "published of readings like this stands beside it, for comparison only.\n";

/* 2. Writing */

static sm_status write_json(const char *path, const sm_result *r, const sm_weigh_part *p)
{
    const sm_result_part part = sm_weigh_json_part(p);
    return sm_session_write_json(path, r, &part, 1);
}

static sm_status write_text(const sm_options *o, const sm_result *r, const sm_weigh_part *p)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    if (o->quiet)
        sm_weigh_text_quiet(&text, &style, p->weigh);
    else
        sm_weigh_text(&text, &style, r, p->weigh, p->context);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_outputs(const sm_options *o, const sm_session_case *c, const sm_weigh *k)
{
    const sm_result r = sm_result_of(c->file, &c->diag, &k->assessment);
    sm_context context;
    sm_status s = o->no_context ? SM_OK : sm_context_of(r.c, o->seed, &context);
    const sm_weigh_part p = {.c = r.c, .weigh = k, .context = o->no_context ? NULL : &context};
    if (s == SM_OK && o->json)
        s = write_json(o->json, &r, &p);
    if (s == SM_OK && !(o->json && strcmp(o->json, "-") == 0))
        s = write_text(o, &r, &p);
    return s;
}

/* 3. The command */

static sm_status refuse(const char *path)
{
    sm_text words = {0};
    sm_text_addf(&words,
                 "%s: nothing to weigh: the case has no alternatives\n"
                 "  Add what might be done instead, each with a name, what it does and its burden:\n"
                 "  \"alternatives\": [{\"name\": \"smaller device\",\n"
                 "                    \"implant\": {\"nominal_diameter_mm\": 22.5}, \"burden\": 0.02}]\n"
                 "  It may change implant or surgical_valve, lacerate the leaflet facing a side, or\n"
                 "  rescue a side's event, the last two with a probability that you state.\n",
                 strcmp(path, "-") == 0 ? "standard input" : path);
    sm_terminal_complain(words.s ? words.s : "");
    sm_text_destroy(&words);
    return SM_REFUSED;
}

static sm_status weigh(const sm_options *o, const sm_session_case *c)
{
    const sm_case *planned = sm_casefile_case(c->file);
    const sm_weigh_options options = {.trials = o->trials, .recheck_trials = o->trials, .seed = o->seed};
    sm_session_run run;
    sm_weigh k = {.row = NULL};
    if (planned->n_alternatives == 0)
        return refuse(o->argument[0]);
    sm_status s = sm_session_run_begin(&run, o, planned->action_line);
    if (s != SM_OK)
        return s;
    s = sm_weigh_run(planned, &options, &run.executor, &run.watch, &k);
    sm_session_run_end(&run);
    if (s == SM_OK || s == SM_INTERRUPTED) {
        sm_status written = write_outputs(o, c, &k);
        s = written == SM_OK ? s : written;
    }
    sm_weigh_destroy(&k);
    return s;
}

sm_status sm_cmd_weigh(const sm_options *o)
{
    sm_session_case c;
    sm_status s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK)
        s = weigh(o, &c);
    sm_session_case_destroy(&c);
    return s;
}
