/* context_text.c - what published series say of a reading like this one, in plain words, with its cautions.
 *
 * Contents: 1. paragraphs  2. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/text/obstruction_text.h"
#include "report/text/weigh_text.h"
#include "report/blocks/words.h"

/* 1. Paragraphs */

/* "4 of 100", "0.8 of 100". */
static void of_100(sm_text *out, double p)
{
    sm_text_addf(out, "%.*f of 100", p < 0.0995 ? 1 : 0, 100 * p);
}

static const char *mount_words(sm_leaflet_mount mount)
{
    static const char *const words[] = {[SM_MOUNT_INTERNAL] = "with leaflets mounted inside the posts",
                                        [SM_MOUNT_EXTERNAL] = "with leaflets mounted outside the posts",
                                        [SM_STENTLESS] = "without posts"};
    return words[mount];
}

static void published(sm_text *words, const sm_case *c, const sm_published *x)
{
    sm_text_addf(words, "Old valves %s: ", mount_words(c->valve.leaflet_mount));
    of_100(words, x->rate.per_100 / 100);
    sm_text_addf(words,
                 " were obstructed (of all designs 37 of 1,612). The conventional distance from valve to ostium was "
                 "%.2f mm, SD %.2f, in %d obstructed "
                 "patients and %.2f mm, SD %.2f, in %d others (Ribeiro, Eur Heart J 2018;39:687).",
                 sm_published_obstructed.mean, sm_published_obstructed.sd, sm_published_obstructed.n,
                 sm_published_unobstructed.mean, sm_published_unobstructed.sd, sm_published_unobstructed.n);
}

static void implied(sm_text *words, const sm_case *c, const sm_published *x, const sm_obstruction *o)
{
    sm_text_puts(words, "The smallest ostium gap of this case reads ");
    sm_words_mm(words, x->reading);
    sm_text_puts(words, " mm (");
    sm_words_side(words, c->coronary[x->side].name);
    sm_text_puts(words, "). ");
    if (o->covered) {
        sm_text_puts(words, "Two normal distributions with those means and one SD, and that rate, taken over the true "
                            "gaps of this run wherever the tube reaches an ostium, would make ");
        sm_obstruction_words(words, o);
        sm_text_puts(words, " obstructed as planned. How many valves were of each design is derived from the published "
                            "percentages; it sets the width of that range only.");
    } else
        sm_text_puts(words, "They do not cover a sealed sinus, which is more than a tenth of the crossings here.");
    if (x->beyond)
        sm_text_puts(words, " This reading lies beyond nearly all that were published: the curve is a guess there.");
}

static void caution(sm_text *words)
{
    sm_text_puts(words, "The distances come from chosen patients, compared with others, at centres of that time; the "
                        "rate stands for a whole design class. "
                        "This is obstruction; the numbers above are of limits crossed: the two need not agree.");
}

static void cut(sm_text *words)
{
    sm_text_addf(words,
                 "A cut at 4 mm would by the same numbers find %.0f of 100 obstructed patients and clear %.0f of 100 "
                 "others (area under the curve %.2f). "
                 "The published SDs contain the readers' errors, 0.9 mm by judgement, which are taken off.",
                 100 * sm_published_sensitivity(4), 100 * sm_published_specificity(4), sm_published_auc());
}

static bool any_done(const sm_case *c, bool rescue)
{
    for (size_t i = 0; i < c->n_alternatives; i++)
        for (size_t k = 0; k < c->n_coronaries; k++)
            if ((rescue ? c->alternative[i].rescue : c->alternative[i].lacerate)[k] != SM_NOT_DONE)
                return true;
    return false;
}

/* Beside the user's own success and rescue probabilities (docs/facts.md, outcomes of strategies); nothing if none is
 * stated. */
static void strategies(sm_text *words, const sm_case *c)
{
    if (any_done(c, false))
        sm_text_puts(words,
                     "Leaflet laceration, a registry of 214: lacerated in 94.4 of 100, any obstruction in 4.7, "
                     "death by 30 days in 2.8, stroke in "
                     "2.8 (PMC8142224). In another the laceration succeeded in 97.7 and the target stayed free of "
                     "obstruction in 90.6: a leaflet that is split can still obstruct (Abdel-Wahab, "
                     "EuroIntervention, doi 10.4244/EIJ-D-22-00960). ");
    if (any_done(c, true))
        sm_text_puts(words, "A wire with or without a stent, 236 patients: delayed occlusion in 4.3 of 100 with a wire "
                            "only, thrombosis of the stent in 0.9 "
                            "(Palmerini, JACC Cardiovasc Interv 2020;13:739). ");
    if (any_done(c, false) || any_done(c, true))
        sm_text_puts(
            words,
            "Observed, not compared at random: to set beside the probabilities that you stated, not in their place.");
}

/* 2. The whole */

/* Two sheets of paper have no room for the last two. */
void sm_context_tell(sm_blocks *b, const sm_case *c, const sm_published *x, const sm_obstruction *o)
{
    sm_block_say(b, SM_TITLE, "For comparison only");
    sm_text *words = sm_block_words(b, SM_NOTE);
    sm_text_puts(words, "None of this enters the numbers above. ");
    published(words, c, x);
    implied(sm_block_words(b, SM_NOTE), c, x, o);
    caution(sm_block_words(b, SM_NOTE));
    cut(sm_block_words(b, SM_SCREEN_NOTE));
    strategies(sm_block_words(b, SM_SCREEN_NOTE), c);
}
