/* study_json.c - what a reader study taught, as JSON ("slimmargin-readers-1").
 *
 * Contents: 1. spread  2. agreement  3. odd cells  4. document
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/study_json.h"

#include <math.h>

#include "format/json_write.h"

/* 1. Spread */

/* "NAME_mm" and "NAME_ci95_mm". */
static void put_sd(sm_json *j, const char *name, sm_ci95 sd)
{
    sm_text key = {0};
    sm_text_addf(&key, "%s_mm", name);
    sm_json_computed(j, key.s ? key.s : name, sd.value);
    key.len = 0;
    sm_text_addf(&key, "%s_ci95_mm", name);
    if (isfinite(sd.value))
        sm_json_pair(j, key.s ? key.s : name, sd.low, sd.high);
    else
        sm_json_null(j, key.s ? key.s : name);
    sm_text_done(&key, j->out);
}

static void put_spread(sm_json *j, const sm_learned *l)
{
    put_sd(j, "between_reader_sd", l->between_sd);
    put_sd(j, "repeat_sd", l->repeat_sd);
    put_sd(j, "one_reading_sd", l->total_sd);
    put_sd(j, "case_sd", l->component_sd[SM_VC_CASE]);
    put_sd(j, "reader_sd", l->component_sd[SM_VC_READER]);
    put_sd(j, "reader_case_sd", l->component_sd[SM_VC_READER_CASE]);
    sm_json_computed(j, "dof", l->dof);
    sm_json_computed(j, "dof_found", l->dof_found);
    sm_json_truth(j, "too_small", l->too_small);
    sm_json_truth(j, "between_reader_holds_repeat", l->reml.repeat_holds_reader_case);
    sm_json_string(j, "method", "reml");
    sm_json_truth(j, "converged", l->reml.converged);
    sm_json_computed(j, "mean_mm", l->reml.mean);
    sm_json_computed(j, "reml_criterion", l->reml.deviance);
}

static void put_anova(sm_json *j, const sm_anova *a)
{
    if (!a->balanced) {
        sm_json_null(j, "anova");
        return;
    }
    sm_json_open(j, "anova", SM_JSON_LINES);
    for (int c = 0; c < SM_VCS; c++) {
        sm_json_open(j, sm_vc_name((sm_vc)c), SM_JSON_LINES);
        sm_json_natural(j, "dof", a->dof[c]);
        sm_json_computed(j, "mean_square", a->ms[c]);
        sm_json_computed(j, "variance_mm2", a->variance[c] < 0.0 ? 0.0 : a->variance[c]);
        sm_json_truth(j, "was_negative", a->variance[c] < 0.0);
        sm_json_close(j);
    }
    sm_json_close(j);
}

static void put_iso(sm_json *j, const sm_iso5725 *i)
{
    sm_json_open(j, "iso5725", SM_JSON_LINES);
    sm_json_natural(j, "levels", i->levels);
    sm_json_computed(j, "repeatability_sd_mm", i->s_r);
    sm_json_computed(j, "between_reader_sd_mm", i->s_l);
    sm_json_computed(j, "reproducibility_sd_mm", i->s_big_r);
    sm_json_computed(j, "repeatability_limit_mm", i->r_limit);
    sm_json_computed(j, "reproducibility_limit_mm", i->big_r_limit);
    sm_json_close(j);
}

/* 2. Agreement */

static void put_icc(sm_json *j, const sm_learned *l)
{
    static const char *const form[SM_ICCS] = {"1,1", "2,1", "3,1", "1,k", "2,k", "3,k"};
    if (!l->has_icc) {
        sm_json_null(j, "icc");
        return;
    }
    sm_json_open(j, "icc", SM_JSON_LINES);
    sm_json_natural(j, "cases", l->icc.cases);
    sm_json_natural(j, "readers", l->icc.readers);
    for (int f = 0; f < SM_ICCS; f++) {
        sm_json_open(j, form[f], SM_JSON_LINES);
        sm_json_computed(j, "value", l->icc.form[f].value);
        sm_json_pair(j, "ci95", l->icc.form[f].low, l->icc.form[f].high);
        sm_json_close(j);
    }
    sm_json_close(j);
}

static void put_with_ci(sm_json *j, const char *name, sm_ci95 c)
{
    sm_json_open(j, name, SM_JSON_LINES);
    sm_json_computed(j, "value", c.value);
    sm_json_pair(j, "ci95", c.low, c.high);
    sm_json_close(j);
}

static void put_pair(sm_json *j, const sm_reader_study *s, const sm_learned_pair *p)
{
    const sm_agreement *a = &p->agreement;
    sm_json_open(j, NULL, SM_JSON_LINES);
    sm_json_string(j, "first", s->reader_name[p->first]);
    sm_json_string(j, "second", s->reader_name[p->second]);
    sm_json_natural(j, "cases", a->n);
    put_with_ci(j, "bias_mm", a->bias);
    put_with_ci(j, "lower_limit_mm", a->lower);
    put_with_ci(j, "upper_limit_mm", a->upper);
    sm_json_computed(j, "difference_sd_mm", a->sd_single);
    sm_json_computed(j, "bias_slope", a->bias_slope);
    sm_json_computed(j, "bias_slope_p", a->bias_slope_p);
    sm_json_computed(j, "spread_slope", a->spread_slope);
    sm_json_computed(j, "spread_slope_p", a->spread_slope_p);
    sm_json_close(j);
}

static void put_agreement(sm_json *j, const sm_reader_study *s, const sm_learned *l)
{
    put_icc(j, l);
    sm_json_open_list(j, "pairs", SM_JSON_LINES);
    for (size_t i = 0; i < l->n_pairs; i++)
        put_pair(j, s, &l->pair[i]);
    sm_json_close(j);
    sm_json_open(j, "offsets_mm", SM_JSON_LINES);
    for (size_t i = 0; l->offset && i < l->readers; i++)
        put_with_ci(j, s->reader_name[l->reader_id[i]], l->offset[i]);
    sm_json_close(j);
}

/* 3. Odd cells */

static void put_odd(sm_json *j, const sm_reader_study *s, const sm_learned *l)
{
    sm_json_open_list(j, "odd_cells", SM_JSON_LINES);
    for (size_t i = 0; i < l->n_odd; i++) {
        sm_json_open(j, NULL, SM_JSON_LINES);
        sm_json_string(j, "case", s->case_name[l->odd[i].case_id]);
        sm_json_string(j, "reader", s->reader_name[l->odd[i].reader_id]);
        sm_json_string(j, "test", l->odd[i].cell.kind == SM_ODD_SPREAD ? "cochran" : "grubbs");
        sm_json_computed(j, "statistic", l->odd[i].cell.statistic);
        sm_json_computed(j, "p", l->odd[i].cell.p);
        sm_json_close(j);
    }
    sm_json_close(j);
}

/* The values of the case that stand beside the suspect: those of the same reader, or those of the others. */
static void put_beside(sm_json *j, const char *name, const sm_study_quantity *q, const sm_learned_odd *o, bool others)
{
    sm_json_open_list(j, name, SM_JSON_LINES);
    for (size_t i = 0; i < q->n; i++)
        if (q->reading[i].case_id == o->case_id && i != o->suspect &&
            (q->reading[i].reader_id != o->reader_id) == others)
            sm_json_number(j, NULL, q->reading[i].mm);
    sm_json_close(j);
}

static void put_outlying(sm_json *j, const sm_reader_study *s, const sm_study_quantity *q, const sm_learned *l)
{
    sm_json_open_list(j, "outlying", SM_JSON_LINES);
    for (size_t i = 0; i < l->n_outlying; i++) {
        const sm_learned_odd *o = &l->outlying[i];
        const sm_study_reading *r = &q->reading[o->suspect];
        sm_json_open(j, NULL, SM_JSON_LINES);
        if (r->file < s->n_files)
            sm_json_string(j, "file", s->file_name[r->file]);
        else
            sm_json_null(j, "file");
        sm_json_natural(j, "line", r->line);
        sm_json_string(j, "case", s->case_name[o->case_id]);
        sm_json_string(j, "reader", s->reader_name[o->reader_id]);
        sm_json_number(j, "value_mm", r->mm);
        put_beside(j, "same_reader_mm", q, o, false);
        put_beside(j, "other_readers_mm", q, o, true);
        sm_json_string(j, "test", o->cell.kind == SM_ODD_SPREAD ? "cochran" : "grubbs");
        sm_json_number(j, "p", o->cell.p);
        sm_json_close(j);
    }
    sm_json_close(j);
    sm_json_number(j, "one_reading_sd_without_outlying_mm", l->sd_without);
}

/* 4. Document */

static void put_quantity(sm_json *j, const sm_reader_study *s, size_t q, const sm_learned *l)
{
    sm_json_open(j, s->quantity[q].name, SM_JSON_LINES);
    sm_json_natural(j, "cases", l->cases);
    sm_json_natural(j, "readers", l->readers);
    sm_json_natural(j, "readings", l->readings);
    put_spread(j, l);
    put_anova(j, &l->anova);
    put_iso(j, &l->iso);
    put_agreement(j, s, l);
    put_odd(j, s, l);
    put_outlying(j, s, &s->quantity[q], l);
    sm_json_close(j);
}

void sm_study_json_write(const sm_reader_study *study, const sm_learned *learned, const char *study_name, sm_text *out)
{
    sm_json j = {.out = out};
    sm_json_open(&j, NULL, SM_JSON_LINES);
    sm_json_string(&j, "format", "slimmargin-readers-1");
    sm_json_string(&j, "version", SM_VERSION);
    sm_json_string(&j, "study", study_name);
    sm_json_open(&j, "quantities", SM_JSON_LINES);
    for (size_t q = 0; q < study->n_quantities; q++)
        put_quantity(&j, study, q, &learned[q]);
    sm_json_close(&j);
    sm_json_close(&j);
}
