/* defaults_list.c - every built-in default in words, with how far it may be off.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/defaults_list.h"

#include <string.h>

#include "casefile/doubts.h"
#include "format/json_doc.h"

static void line_value_write(const sm_default *line, sm_text *out)
{
    sm_text_addf(out, "%s.%s", line->group, line->key);
    sm_defaults_when_write(line->when, out);
    sm_text_puts(out, ": ");
    if (line->value.plain)
        sm_text_puts(out, line->value.plain);
    else
        sm_text_puts(out, line->range.words ? "no default" : line->source);
    if (line->value.plain && line->unit[0])
        sm_text_addf(out, " %s", line->unit);
    if (strcmp(line->key, "reader_sd_mm") == 0 && strcmp(line->group, "cross_check") != 0)
        sm_text_puts(out, " in all, half of the variance between readers, half between repeats");
}

/* Adds words to out, broken at spaces to fit width, each line indented. */
static void wrapped_write(const char *words, size_t indent, size_t width, sm_text *out)
{
    size_t column = 0;
    while (*words) {
        size_t len = strcspn(words, " ");
        if (column > indent && column + 1 + len > width) {
            sm_text_puts(out, "\n");
            column = 0;
        }
        if (column == 0) {
            sm_text_fill(out, ' ', indent);
            column = indent;
        } else {
            sm_text_puts(out, " ");
            column++;
        }
        sm_text_putn(out, words, len);
        column += len;
        words += len;
        words += strspn(words, " ");
    }
    sm_text_puts(out, "\n");
}

/* What is taken as uncertain of the value itself (doubts.h); the range that the line states is not said again. */
static void doubt_write(const sm_default *line, sm_text *out)
{
    const sm_doubt d = sm_doubt_of(line);
    char low[SM_NUMBER_SIZE], high[SM_NUMBER_SIZE];
    if (d.kind == SM_DOUBT_NONE)
        return;
    sm_text_puts(out, d.kind == SM_DOUBT_JUDGED ? " In the settings: " : " Asked about by itself: ");
    if (d.reason == line->source) {
        sm_text_puts(out, "over its range.");
        return;
    }
    sm_text_addf(out, "%s%s%s to %s, %s.", sm_doubt_point_words(d.point), d.point == SM_POINT_VALUE ? "" : " ",
                 sm_number_write(d.low, low), sm_number_write(d.high, high), d.reason);
}

static void line_write(const sm_default *line, size_t width, sm_text *out)
{
    sm_text words = {0};
    line_value_write(line, &words);
    wrapped_write(sm_text_string(&words), 2, width, out);
    sm_text_done(&words, out);
    sm_text_addf(&words, "%s Grade: %s.", line->reason, sm_grade_name(line->grade));
    if (line->range.words)
        sm_text_addf(&words, " Range: %s.", line->range.words);
    sm_text_addf(&words, " Source: %s.", line->source);
    doubt_write(line, &words);
    wrapped_write(sm_text_string(&words), 6, width, out);
    sm_text_done(&words, out);
}

void sm_defaults_write(sm_text *out, size_t width)
{
    static const struct {
        const char *group, *title;
    } titles[] = {{"scan", "The scan"},
                  {"base_plane", "The base plane (scan.base_plane)"},
                  {"surgical_valve", "The failed surgical valve"},
                  {"implant", "The new valve"},
                  {"ostium_height", "Readings: reader SDs and response to blooming"},
                  {"cross_check", "Second looks (cross_check)"},
                  {"limits", "The limits"},
                  {"population", "A population, for comparison only"},
                  {"gantry", "How far the C-arm reaches (only for the view of a gap)"}};
    size_t title = 0;
    for (size_t i = 0; i < sm_defaults_count(); i++) {
        const sm_default *line = sm_defaults_line(i);
        if (title < sizeof titles / sizeof *titles && strcmp(titles[title].group, line->group) == 0)
            sm_text_addf(out, "%s%s\n", i ? "\n" : "", titles[title++].title);
        line_write(line, width, out);
    }
    sm_text_puts(out, "\n");
    wrapped_write(
        "Grades: published, derived (arithmetic on or analogy with something published), judgement, unconfirmed "
        "(from memory). In the settings: what of a judged value is moved, over which range and why; all of them "
        "together say "
        "what a call hangs on, unless a value is said to be measured. action_line has no default: without one nothing "
        "is "
        "called.",
        0, width, out);
}
