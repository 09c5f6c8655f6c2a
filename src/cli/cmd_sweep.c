/* cmd_sweep.c - slimmargin sweep CASE --vary WHAT=FROM:TO: how wrong an assumption would have to be to change the call.
 *
 * Contents: 1. help  2. what was asked  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/sweep_json.h"
#include "cli/command.h"
#include "cli/figures.h"
#include "cli/session.h"
#include "report/sweep_html.h"
#include "report/sweep_text.h"

/* 1. Help */

const char sm_cmd_sweep_help[] =
    "Reads one case (- for standard input) and turns one thing of it, or two at once,\n"
    "on the same draws: the probability at every step, each side apart, and where the\n"
    "call would change. --all turns every assumption alone over its range and ranks\n"
    "them. Such as: --vary blooming=0.2:0.8:21 or --vary left.ostium_gap=4:8\n"
    "\n"
    "WHAT is one of\n"
    "  blooming, leaflet_thickness, stand_off, stand_off_mid, overhang, flare,\n"
    "  overexpansion, ring_give, eccentricity: as if known exactly;\n"
    "  tilt, centreline, cuff_wave, canting, offset: an SD or a height;\n"
    "  nominal_diameter, ring_height: the number itself;\n"
    "  implant_depth, inner_diameter: moved, its spread kept;\n"
    "  blooming_times, reader_error: times what the case has;\n"
    "  SIDE.ostium_gap, .ostium_height, .stj_gap, .stj_height, .leaflet_height: the\n"
    "  reading, moved;\n"
    "  or a JSON pointer into the case, such as /limits/reference_thickness_mm.\n"
    "STEPS is 21, or 11 for each of two. -o writes a page, --figures the pictures.\n";

/* 2. What was asked */

static sm_status refuse(sm_diag *d, sm_status s)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    sm_terminal_complain(text.s ? text.s : "");
    sm_text_destroy(&text);
    return s;
}

static sm_status check_usage(const sm_options *o)
{
    if (o->all && o->n_vary > 0) {
        sm_terminal_complain("--all: varies everything by itself; take it or --vary, not both\n");
        return SM_USAGE;
    }
    if (!o->all && o->n_vary == 0) {
        sm_terminal_complain("sweep: expected --vary WHAT=FROM:TO, or --all\nTry: slimmargin sweep --help\n");
        return SM_USAGE;
    }
    return SM_OK;
}

/* 3. Writing */

static sm_status write_json(const char *path, const sm_result *r, const sm_sweep_part *p)
{
    const sm_result_part part = sm_sweep_json_part(p);
    return sm_session_write_json(path, r, &part, 1);
}

static sm_status write_csv(const char *path, const sm_sweep_part *p)
{
    sm_text text = {0};
    sm_sweep_csv(p, &text);
    sm_status s = sm_session_write(path, &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_text(const sm_options *o, const sm_result *r, const sm_sweep_part *p)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    if (o->quiet)
        sm_sweep_text_quiet(&text, &style, p);
    else
        sm_sweep_text(&text, &style, r, p);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_page(const char *path, const sm_findings *f)
{
    sm_text text = {0};
    sm_sweep_html(&text, f);
    sm_status s = sm_session_write(path, &text);
    sm_text_destroy(&text);
    return s;
}

static bool is_stdout(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

/* With - the output stands alone on standard output. */
static sm_status write_outputs(const sm_options *o, const sm_session_case *c, const sm_sweep_part *p, const sm_sweep_ends *ends)
{
    const sm_result r = sm_result_of(c->file, &c->diag, p->all ? &p->all->assessment : &p->sweep->assessment);
    const sm_findings f = {.result = r, .sweep = p->sweep, .sweep_ends = ends, .sweep_all = p->all};
    sm_status s = o->json ? write_json(o->json, &r, p) : SM_OK;
    if (s == SM_OK && o->csv)
        s = write_csv(o->csv, p);
    if (s == SM_OK && o->html)
        s = write_page(o->html, &f);
    if (s == SM_OK && o->figures)
        s = sm_cli_sweep_figures_write(o->figures, &f);
    if (s == SM_OK && !is_stdout(o->json) && !is_stdout(o->csv) && !is_stdout(o->html))
        s = write_text(o, &r, p);
    return s;
}

/* 4. The command */

static sm_status run_one(const sm_options *o, const sm_session_case *c, const sm_sweep_run_options *options, sm_sweep *out)
{
    sm_sweep_ask ask[SM_MAX_VARY] = {{0}};
    sm_diag d = {0};
    sm_status s = SM_OK;
    for (int i = 0; s == SM_OK && i < o->n_vary; i++)
        s = sm_sweep_ask_read(o->vary[i], &d, &ask[i]);
    if (s == SM_OK)
        s = sm_sweep_run(c->file, ask, o->n_vary, options, &d, out);
    if (s == SM_USAGE || s == SM_REFUSED)
        refuse(&d, s);
    for (int i = 0; i < SM_MAX_VARY; i++)
        sm_sweep_ask_destroy(&ask[i]);
    sm_diag_destroy(&d);
    return s;
}

static sm_status sweep(const sm_options *o, const sm_session_case *c)
{
    const sm_case *planned = sm_casefile_case(c->file);
    sm_session_run run;
    sm_sweep one = {0};
    sm_sweep_all all = {0};
    sm_sweep_ends ends = {0};
    sm_status s = sm_session_run_begin(&run, o, planned->action_line);
    if (s != SM_OK)
        return s;
    const sm_sweep_run_options options = {o->trials, o->seed, &run.executor, &run.watch};
    s = o->all ? sm_sweep_all_run(c->file, &options, &all) : run_one(o, c, &options, &one);
    if (s == SM_OK && !o->all && (o->figures || o->html))
        s = sm_sweep_ends_run(c->file, &one, &options, &ends);
    if (s == SM_INTERRUPTED)
        (o->all ? &all.assessment : &one.assessment)->complete = false;
    sm_session_run_end(&run);
    if (s == SM_OK || s == SM_INTERRUPTED) {
        const sm_sweep_part p = {planned, o->all ? NULL : &one, o->all ? &all : NULL};
        sm_status written = write_outputs(o, c, &p, &ends);
        s = written == SM_OK ? s : written;
    }
    sm_sweep_destroy(&one);
    sm_sweep_all_destroy(&all);
    sm_sweep_ends_destroy(&ends);
    return s;
}

sm_status sm_cmd_sweep(const sm_options *o)
{
    sm_session_case c;
    sm_status s = check_usage(o);
    if (s == SM_OK)
        s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK)
        s = sweep(o, &c);
    sm_session_case_destroy(&c);
    return s;
}
