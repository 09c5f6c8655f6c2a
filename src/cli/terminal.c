/* terminal.c - how the reader sees text, and the progress line.
 *
 * Contents: 1. style  2. complaints  3. progress
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/terminal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#include "base/shown.h"
#include "report/blocks/words.h"

enum { WIDTH = 80, NARROWEST = 40 };

/* 1. Style */

static bool utf8_locale(void)
{
    static const char *const names[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *value = getenv(names[i]);
        if (!value || !value[0])
            continue;
        const char *dot = strchr(value, '.');
        return dot && (strncasecmp(dot + 1, "UTF-8", 5) == 0 || strncasecmp(dot + 1, "UTF8", 4) == 0);
    }
    return false;
}

static size_t columns_of(int fd)
{
    struct winsize size;
    return isatty(fd) && ioctl(fd, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : WIDTH;
}

static bool wants_colour(int fd)
{
    const char *no_colour = getenv("NO_COLOR"), *term = getenv("TERM");
    return isatty(fd) && !(no_colour && no_colour[0]) && term && strcmp(term, "dumb") != 0;
}

static sm_style style_of(int fd)
{
    const size_t columns = columns_of(fd);
    return (sm_style){.width = columns < NARROWEST ? NARROWEST
                               : columns < WIDTH   ? columns
                                                   : WIDTH,
                      .utf8 = utf8_locale(),
                      .colour = wants_colour(fd),
                      .plain = columns < WIDTH};
}

sm_style sm_terminal_style(bool plain)
{
    sm_style s = style_of(STDOUT_FILENO);
    if (plain) {
        s.plain = true;
        s.colour = false;
    }
    return s;
}

/* 2. Complaints */

sm_status sm_terminal_complain(const char *words, sm_status s)
{
    fputs(words, stderr);
    fflush(stderr);
    return s;
}

/* 3. Progress */

static double seconds(void)
{
    struct timespec t;
    return clock_gettime(CLOCK_MONOTONIC, &t) == 0 ? (double)t.tv_sec + 1e-9 * (double)t.tv_nsec : 0;
}

sm_progress sm_progress_create(double line)
{
    sm_progress p = {.on = isatty(STDERR_FILENO), .style = style_of(STDERR_FILENO), .line = line, .last = seconds()};
    return p;
}

/* A strip that holds the interval and the line, however close they are. */
static void draw_strip(sm_text *out, const sm_style *style, const sm_probability *p, double line)
{
    const double low = p->low < line ? p->low : line, high = p->high > line ? p->high : line;
    const double margin = 0.1 * (high - low) + 1e-9;
    const sm_axis axis = {low - margin, high + margin, 24};
    sm_layout_strip(
        out, style, &axis,
        &(sm_strip){.low = p->low, .middle = p->probability, .high = p->high, .limit = line, .crosses_above = true});
}

static void progress_line(sm_text *out, const sm_progress *p, const sm_probability *event, int64_t trials)
{
    sm_words_count(out, event->n);
    sm_text_puts(out, " of ");
    sm_words_count(out, trials);
    sm_text_puts(out, ": ");
    sm_words_of_100(out, event);
    sm_text_puts(out, " ");
    sm_words_own_error(out, event);
    sm_text_puts(out, " of 100");
    if (p->line > 0) {
        sm_text_puts(out, "  ");
        draw_strip(out, &p->style, event, p->line);
        sm_text_puts(out, " line ");
        sm_words_number(out, 100 * p->line);
    }
}

/* Not more often than five times a second. */
static bool is_due(sm_progress *p)
{
    const double now = p->on ? seconds() : 0;
    if (!p->on || now - p->last < 0.2)
        return false;
    p->last = now;
    return true;
}

static void show(sm_progress *p, sm_text *line)
{
    if (!line->failed && sm_layout_columns(line->s) < p->style.width)
        fprintf(stderr, "\r\033[K%s", line->s);
    fflush(stderr);
    sm_text_destroy(line);
    p->shown = true;
}

void sm_progress_show(sm_progress *p, const sm_gathered *so_far, int64_t trials)
{
    sm_text line = {0};
    if (!is_due(p))
        return;
    sm_probability event = sm_weighted_probability(&so_far->tally[0].patient.event);
    event.n = so_far->n;
    progress_line(&line, p, &event, trials);
    show(p, &line);
}

void sm_progress_auxiliary(sm_progress *p, const char *what, double share)
{
    sm_text line = {0};
    if (!is_due(p))
        return;
    sm_text_addf(&line, "%s: %.0f of 100", what, 100 * fmin(1, share));
    show(p, &line);
}

void sm_progress_end(sm_progress *p)
{
    if (p->shown)
        fputs("\r\033[K", stderr);
    p->shown = false;
}
