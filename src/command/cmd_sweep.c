/* cmd_sweep.c - slimmargin sweep CASE --vary WHAT=FROM:TO: how wrong an assumption would have to be to change the call.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/sweep_json.h"
#include "command/command.h"
#include "command/figures.h"
#include "command/session.h"
#include "report/blocks/write.h"
#include "report/page/sweep_html.h"
#include "report/text/sweep_text.h"
#include "report/text/unusual_text.h"

/* 1. Help */

const char sm_cmd_sweep_help[] = "Reads one case (- for standard input) and turns one thing of it, or two at once,\n"
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

/* 2. Running */

typedef struct {
    sm_sweep one; /* of one knob or two; empty with --all */
    sm_sweep_all all;
    sm_sweep_ends ends;
} findings;

static sm_status check_usage(const sm_options *o)
{
    if (o->all && o->n_vary > 0)
        return sm_terminal_complain("--all: varies everything by itself; take it or --vary, not both\n", SM_USAGE);
    if (!o->all && o->n_vary == 0)
        return sm_terminal_complain("sweep: expected --vary WHAT=FROM:TO, or --all\nTry: slimmargin sweep --help\n",
                                    SM_USAGE);
    return SM_OK;
}

static sm_status run_asked(const sm_session *s, sm_sweep *out)
{
    sm_sweep_ask ask[SM_MAX_VARY] = {{0}};
    sm_diag d = {0};
    sm_status status = SM_OK;
    for (int i = 0; status == SM_OK && i < s->o->n_vary; i++)
        status = sm_sweep_ask_read(s->o->vary[i], &d, &ask[i]);
    if (status == SM_OK)
        status = sm_sweep_run(s->at[0].file, ask, s->o->n_vary, s->context, &d, out);
    if (status == SM_USAGE || status == SM_REFUSED)
        status = sm_terminal_tell_diag(&d, status);
    for (int i = 0; i < SM_MAX_VARY; i++)
        sm_sweep_ask_destroy(&ask[i]);
    sm_diag_destroy(&d);
    return status;
}

static sm_status run(const sm_session *s, void *found)
{
    findings *f = found;
    const sm_options *o = s->o;
    if (o->all)
        return sm_sweep_all_run(s->at[0].file, s->context, &f->all);
    sm_status status = run_asked(s, &f->one);
    if (status == SM_OK && (o->figures || o->html)) {
        status = sm_sweep_ends_run(s->at[0].file, &f->one, s->context, &f->ends);
        f->one.assessment.complete = status == SM_OK;
    }
    return status;
}

static sm_assessment *assessment(void *found, int i)
{
    findings *f = found;
    (void)i;
    return f->all.row ? &f->all.assessment : &f->one.assessment;
}

static sm_status settled(const sm_session *s, void *found)
{
    findings *f = found;
    return s->o->all ? sm_sweep_all_settle(s->at[0].file, &s->settings[0], &f->all) : SM_OK;
}

/* 3. Writing */

static sm_sweep_part part_of(const sm_session *s, const findings *f)
{
    return (sm_sweep_part){s->planned, s->o->all ? NULL : &f->one, s->o->all ? &f->all : NULL};
}

static sm_result result_of(const sm_session *s, const findings *f)
{
    return sm_session_result(s, 0, s->o->all ? &f->all.assessment : &f->one.assessment);
}

static sm_findings drawn_of(const sm_session *s, const findings *f)
{
    const sm_sweep_part p = part_of(s, f);
    return (sm_findings){.result = result_of(s, f), .sweep = p.sweep, .sweep_ends = &f->ends, .sweep_all = p.all};
}

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const sm_result r = result_of(s, found);
    const sm_sweep_part p = part_of(s, found);
    const sm_result_part part = sm_sweep_json_part(&p);
    sm_result_json_write(&r, &part, 1, out);
}

static void csv(const sm_session *s, const void *found, sm_text *out)
{
    const sm_sweep_part p = part_of(s, found);
    sm_sweep_csv(&p, out);
}

static void page(const sm_session *s, const void *found, sm_text *out)
{
    const sm_findings f = drawn_of(s, found);
    sm_sweep_html(out, &f);
}

static sm_status figures(const sm_session *s, const void *found, const char *folder)
{
    const sm_findings f = drawn_of(s, found);
    return sm_sweep_figures_stage(s->staging, folder, &f);
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    const sm_result r = result_of(s, found);
    const sm_sweep_part p = part_of(s, found);
    sm_blocks b = {0};
    if (s->o->quiet) {
        sm_unusual_tell(&b, &r);
        sm_sweep_tell_quiet(&b, &r, &p);
    } else
        sm_sweep_tell(&b, &r, &p);
    sm_write_text(out, style, &b);
}

/* 4. The command */

sm_status sm_cmd_sweep(const sm_options *o)
{
    static const sm_session_steps steps = {.run = run,
                                           .assessment = assessment,
                                           .settled = settled,
                                           .json = json,
                                           .csv = csv,
                                           .page = page,
                                           .figures = figures,
                                           .text = text};
    findings found = {.one = {.n_axes = 0}};
    sm_status s = check_usage(o);
    if (s == SM_OK)
        s = sm_session_do(o, &steps, &found);
    sm_sweep_destroy(&found.one);
    sm_sweep_all_destroy(&found.all);
    sm_sweep_ends_destroy(&found.ends);
    return s;
}
