/* key_guide.c - every key of a case with its facts and its explanation.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/guide/key_guide.h"

#include "report/guide/explain.h"
#include "report/guide/key_facts.h"

const char sm_key_guide_title[] = "Every key of a slimmargin case";

static void key_write(sm_text *out, const sm_style *style, const sm_key_place *p, const sm_key *key)
{
    const sm_term *term = sm_explain_find(key->name);
    sm_text words = {0};
    sm_key_facts_write(&words, p, key);
    sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
    sm_text_puts(&words, term ? term->sentences : "");
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 4, &words);
    sm_key_facts_defaults(out, style, p, key->name, 4);
    sm_text_done(&words, out);
}

static void introduction(sm_text *out, const sm_style *style)
{
    static const char *const paragraphs[] = {
        "A form has the word null in every place that must be filled in, and is refused until none is left: put your "
        "own value in its place. What may be left out has a default, told below; to state it, write its key and value "
        "into the object named before the dot.",
        "No key identifies a patient, and neither may the name of the case or a note: no name, no birth date, no "
        "record number.",
        "Lengths in mm, angles in degrees. Wherever a distribution may stand: {\"normal\": {\"mean\": 22.3, \"sd\": "
        "0.3}}, {\"uniform\": {\"min\": 0, \"max\": 3}}, {\"triangular\": {\"min\": 0.3, \"mode\": 0.8, \"max\": "
        "1.5}} and others (docs/case-format.md). A reading in full, with readers by name: {\"readings_mm\": {\"A\": "
        "[8.0, 8.3], \"B\": [8.5]}}.",
    };
    sm_text_addf(out, "%s\n", sm_key_guide_title);
    for (size_t i = 0; i < sizeof paragraphs / sizeof *paragraphs; i++)
        sm_layout_wrap(out, style, 0, 0, paragraphs[i]);
}

void sm_key_guide(sm_text *out, const sm_style *style)
{
    const sm_key_place *places;
    const size_t n = sm_key_places(&places);
    introduction(out, style);
    for (size_t i = 0; i < n; i++) {
        sm_layout_title(out, style, places[i].title);
        for (size_t k = 0; k < places[i].keys->n; k++)
            key_write(out, style, &places[i], &places[i].keys->key[k]);
    }
}
