/* new_dialogue.c - a case by questions on a terminal, that can be left and gone on with.
 *
 * Every answer is checked at once by the reader that check uses, and kept in a file beside before the next question is
 * put: Ctrl-C, Ctrl-D or a lost connection cost nothing that was answered.
 *
 * Contents: 1. speaking and listening  2. taking up a draft  3. putting a question  4. taking an answer
 *           5. looking it over  6. the dialogue
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/new_dialogue.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/shown.h"
#include "newcase/draft.h"
#include "outside/files.h"
#include "command/paths.h"
#include "command/session.h"
#include "cli/signals.h"
#include "report/blocks/words.h"
#include "report/blocks/write.h"
#include "report/guide/explain.h"
#include "report/text/new_text.h"

typedef struct {
    const char *path;
    char *kept; /* path.unfinished */
    bool resumed;
    sm_draft draft;
    sm_question *question;
    size_t n, at;
    bool looked_over; /* then a changed answer leads back to the list */
    sm_text group;    /* the title that stands above the last question */
    sm_style style;
    sm_status said; /* SM_OK until something could not be said or found: looked at after every question */
} dialogue;

/* What a typed line asks for beside an answer. */
typedef enum { GO_ON, GO_BACK, LEAVE, WRITE } step;

/* 1. Speaking and listening */

static void note(dialogue *x, sm_status s)
{
    x->said = x->said == SM_OK ? s : x->said;
}

/* Sends a text, and empties it. */
static void send(dialogue *x, sm_text *text)
{
    note(x, sm_session_send("-", text));
}

static void say_from(dialogue *x, size_t first, size_t rest, const char *words)
{
    sm_text text = {0};
    sm_layout_wrap(&text, &x->style, first, rest, words);
    send(x, &text);
}

static void say(dialogue *x, size_t indent, const char *words)
{
    say_from(x, indent, indent, words);
}

/* The same of words that may hold what came from outside, and empties them. */
static void say_shown(dialogue *x, size_t first, size_t rest, sm_text *words)
{
    sm_text shown = {0};
    sm_text_shown(&shown, sm_text_string(words));
    sm_text_done(words, &shown);
    say_from(x, first, rest, sm_text_string(&shown));
    note(x, shown.failed ? SM_NO_MEMORY : SM_OK);
    sm_text_destroy(&shown);
}

static void say_raw(dialogue *x, const char *s)
{
    sm_text text = {0};
    sm_text_puts(&text, s);
    send(x, &text);
}

/* One line without its end. False at the end of input or after Ctrl-C. */
static bool listen(dialogue *x, sm_text *line)
{
    enum { LONGEST_LINE = 4000 };
    char c;
    line->len = 0;
    sm_text_puts(line, "");
    for (;;) {
        if (!sm_signals_wait_input(STDIN_FILENO))
            return false;
        const ssize_t n = read(STDIN_FILENO, &c, 1);
        if ((n < 0 && errno != EINTR) || (n == 0 && line->len == 0))
            return false;
        if (n < 0)
            continue;
        if (n == 0 || c == '\n') {
            note(x, line->failed ? SM_NO_MEMORY : SM_OK);
            return !line->failed;
        }
        if (line->len < LONGEST_LINE)
            sm_text_putn(line, &c, 1);
    }
}

static char *trimmed(const sm_text *line)
{
    const char *s = line->s + strspn(line->s, " \t\r");
    size_t n = strlen(s);
    while (n > 0 && strchr(" \t\r", s[n - 1]))
        n--;
    return sm_string_copyn(s, n);
}

/* 2. Taking up a draft */

static sm_status read_draft(const char *path, sm_draft *out, sm_diag *d)
{
    sm_text text = {0};
    sm_status s = sm_file_read(path, &text, d);
    if (s == SM_OK)
        s = sm_draft_read((sm_file_text){path, sm_text_string(&text), text.len}, d, out);
    sm_text_destroy(&text);
    return s;
}

/* What stands at a question. */
static sm_answer_state state_of(dialogue *x, const sm_question *q, sm_text *json)
{
    const sm_answer_state state = sm_draft_state(&x->draft, q, json);
    note(x, state == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY : SM_OK);
    return state;
}

static size_t first_blank(dialogue *x)
{
    size_t i = 0;
    while (i < x->n && state_of(x, &x->question[i], NULL) != SM_ANSWER_BLANK)
        i++;
    return i;
}

static sm_status refresh(dialogue *x)
{
    free(x->question);
    return sm_draft_questions(&x->draft, &x->question, &x->n);
}

/* A finished case at path is never touched; one with blanks is a form to go on with. */
static sm_status take_up_form(dialogue *x, sm_diag *d)
{
    sm_draft form = {0};
    sm_status s = read_draft(x->path, &form, d);
    if (s == SM_OK) {
        sm_draft_destroy(&x->draft);
        x->draft = form;
        s = refresh(x);
    }
    if (s == SM_OK && first_blank(x) == x->n && x->said == SM_OK) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = x->path},
                    "stands there already, with no blank to fill in; nothing was changed: give another name");
        s = SM_NOT_WRITTEN;
    }
    x->resumed = s == SM_OK;
    return s;
}

static sm_status take_up(dialogue *x, sm_diag *d)
{
    sm_status s = sm_draft_create(NULL, true, &x->draft);
    if (s == SM_OK)
        s = refresh(x);
    if (s == SM_OK && access(x->path, F_OK) == 0)
        s = take_up_form(x, d);
    if (s == SM_OK && access(x->kept, F_OK) == 0) {
        sm_draft_destroy(&x->draft);
        s = read_draft(x->kept, &x->draft, d);
        x->resumed = true;
    }
    if (s == SM_OK)
        s = refresh(x);
    x->at = s == SM_OK ? first_blank(x) : 0;
    return s == SM_OK ? x->said : s;
}

/* The draft stays. */
static sm_text copy_of(const sm_draft *draft)
{
    sm_text copy = {0};
    sm_text_puts(&copy, sm_text_string(&draft->text));
    copy.failed |= draft->text.failed;
    return copy;
}

static sm_status keep(dialogue *x)
{
    sm_text copy = copy_of(&x->draft);
    return sm_session_send(x->kept, &copy);
}

/* 3. Putting a question */

static void introduce(dialogue *x)
{
    say(x, 0,
        "A new case, by questions. Answer with numbers in mm and degrees; press Enter to take what is shown. Type ? "
        "for an explanation, back for the question before, leave to go on another time: what you answered is kept.");
    say(x, 0,
        "Nothing here may identify the patient: no name, no birth date, no record number, neither as the name of the "
        "case nor anywhere else.");
    if (x->resumed)
        say(x, 0, "Going on where you left.");
}

/* An answer in words: "22.3, SD 0.3 mm", "5.7 by A", "yes". */
static void answer_words(const sm_question *q, const char *json, sm_text *out)
{
    if (q->kind == SM_QUESTION_EDGE)
        sm_text_puts(out, strcmp(json, "0") == 0 ? "no" : strcmp(json, "-1") == 0 ? "yes" : json);
    else if (!sm_draft_words(q, json, out)) {
        sm_datum value;
        if (sm_datum_read(json, &value))
            sm_words_value(out, &value, q->key->unit);
        else
            out->failed = true;
        sm_datum_destroy(&value);
    }
}

static void add_present(dialogue *x, const sm_question *q, sm_text *out)
{
    sm_text json = {0}, words = {0};
    if (state_of(x, q, &json) == SM_ANSWER_GIVEN) {
        answer_words(q, sm_text_string(&json), &words);
        sm_text_addf(out, "Enter keeps %s", sm_text_string(&words));
    } else {
        sm_question_default(q, &words);
        if (words.len)
            sm_text_addf(out, "Enter takes the default: %s", words.s);
        else if (q->kind == SM_QUESTION_SIDES)
            sm_text_puts(out, "Enter takes left right");
    }
    if (q->kind == SM_QUESTION_ALTERNATIVES && words.len)
        sm_text_puts(out, "; each answer adds one, none removes all");
    sm_text_done(&json, out);
    sm_text_done(&words, out);
}

/* "Type same for 22.4 mm, as on the other side", where sides are often alike. */
static void add_same(dialogue *x, const sm_question *q, sm_text *out)
{
    sm_text json = {0}, words = {0};
    sm_status s = SM_OK;
    if (sm_question_is_of_both_sides(q) && sm_draft_other_side(&x->draft, q, &json, &s)) {
        answer_words(q, sm_text_string(&json), &words);
        sm_text_addf(out, "%sype same for %s, as on the other side", out->len ? "; t" : "T", sm_text_string(&words));
    }
    note(x, s);
    sm_text_done(&json, out);
    sm_text_done(&words, out);
}

/* The title of the group, where one begins. */
static void put_group(dialogue *x, const sm_question *q, sm_text *out)
{
    sm_text group = {0}, shown = {0};
    sm_question_group(q, &group);
    if (strcmp(sm_text_string(&group), sm_text_string(&x->group)) != 0) {
        sm_layout_safe(&shown, &x->style, sm_text_string(&group));
        sm_layout_title(out, &x->style, sm_text_string(&shown));
    }
    sm_text_done(&shown, out);
    sm_text_done(&x->group, out);
    x->group = group;
}

static void put_question(dialogue *x)
{
    const sm_question *q = &x->question[x->at];
    sm_text words = {0}, out = {0};
    put_group(x, q, &out);
    sm_text_addf(&words, "%zu of %zu. ", x->at + 1, x->n);
    sm_question_words(q, &words); /* a side has its name from the file that is kept */
    sm_layout_make_safe(&words, &x->style);
    sm_text_puts(&out, "\n");
    sm_layout_paragraph(&out, &x->style, SM_PAINT_STRONG, 0, &words);
    sm_question_expects(q, &words);
    sm_layout_paragraph(&out, &x->style, SM_PAINT_MUTED, 2, &words);
    add_present(x, q, &words);
    add_same(x, q, &words);
    if (words.len) {
        sm_layout_make_safe(&words, &x->style);
        sm_layout_paragraph(&out, &x->style, SM_PAINT_NONE, 2, &words);
    }
    sm_text_puts(&out, "> ");
    sm_text_done(&words, &out);
    send(x, &out);
}

static void explain(dialogue *x)
{
    const sm_question *q = &x->question[x->at];
    const sm_term *t = sm_explain_find(q->kind == SM_QUESTION_EDGE   ? "bloom_edges"
                                       : q->kind == SM_QUESTION_LOOK ? "cross_check"
                                                                     : q->key->name);
    if (t)
        say(x, 2, t->sentences);
}

/* 4. Taking an answer */

static void tell_new(dialogue *x, const sm_diag *d, const char *own)
{
    for (size_t i = 0; i < d->n; i++) {
        const sm_diag_item *item = &d->item[i];
        sm_text words = {0};
        const bool elsewhere = item->pointer && strncmp(item->pointer, own, strlen(own)) != 0;
        sm_text_addf(&words, "%s%s%s%s",
                     item->kind == SM_FAULT ? "Not taken: " : "Careful: ", elsewhere ? item->pointer : "",
                     elsewhere ? ": " : "", item->words);
        say_shown(x, 2, 2, &words);
    }
}

/* Puts the JSON of an answer. taken: whether the case took it. */
static sm_status take(dialogue *x, const char *json, bool *taken)
{
    const sm_question q = x->question[x->at];
    sm_diag d = {0};
    sm_status s = sm_draft_answer(&x->draft, &q, json, &d);
    tell_new(x, &d, q.pointer);
    if (s == SM_REFUSED && d.faults == 0)
        say(x, 2, "Not taken: the file has something else in the place of an object; mend it there, or begin anew.");
    *taken = s == SM_OK;
    if (s == SM_OK)
        s = keep(x);
    if (s == SM_OK)
        s = refresh(x);
    *taken &= s == SM_OK; /* else there is no question to go on with */
    sm_diag_destroy(&d);
    return s == SM_REFUSED ? SM_OK : s;
}

static void confirm(dialogue *x, const char *json)
{
    sm_text words = {0};
    sm_text_puts(&words, "Noted: ");
    answer_words(&x->question[x->at], json, &words);
    say_shown(x, 2, 2, &words);
}

/* An alternative more: what is there stays before it, and the question is put again until Enter goes on. */
static sm_status take_more(dialogue *x, const char *more)
{
    sm_text json = {0};
    bool taken = false;
    sm_status s = sm_draft_longer_list(&x->draft, &x->question[x->at], more, &json);
    if (s == SM_OK)
        s = take(x, json.s, &taken);
    if (taken)
        confirm(x, json.s);
    sm_text_destroy(&json);
    return s;
}

/* What the other side has. */
static sm_status take_same(dialogue *x, bool *taken)
{
    sm_text json = {0};
    sm_status s;
    const bool found = sm_draft_other_side(&x->draft, &x->question[x->at], &json, &s);
    if (json.failed)
        s = SM_NO_MEMORY;
    if (s == SM_OK && !found)
        say(x, 2, "Not taken: the other side has no answer yet.");
    else if (s == SM_OK)
        s = take(x, json.s, taken);
    if (*taken)
        confirm(x, json.s);
    sm_text_destroy(&json);
    return s;
}

/* A word that stands for something else than a value. */
static bool take_word(dialogue *x, const char *typed, bool *taken, sm_status *s)
{
    const sm_question *q = &x->question[x->at];
    const bool same = strcmp(typed, "same") == 0 && sm_question_is_of_both_sides(q);
    const bool none =
        strcmp(typed, "none") == 0 && (q->kind == SM_QUESTION_ALTERNATIVES || q->kind == SM_QUESTION_LOOK);
    if (same)
        *s = take_same(x, taken);
    else if (none)
        *s = take(x, NULL, taken);
    return same || none;
}

static sm_status take_typed(dialogue *x, const char *typed, bool *taken)
{
    sm_text json = {0}, wrong = {0};
    sm_status s = SM_OK;
    *taken = false;
    if (take_word(x, typed, taken, &s))
        return s;
    if (sm_answer_read(&x->question[x->at], typed, SM_DECIMAL_POINT, &json, &wrong)) {
        const sm_question_kind kind = x->question[x->at].kind;
        s = kind == SM_QUESTION_ALTERNATIVES ? take_more(x, json.s) : take(x, json.s, taken);
        if (*taken && (kind == SM_QUESTION_KEY || kind == SM_QUESTION_LOOK))
            confirm(x, json.s);
    } else if (!json.failed && !wrong.failed) {
        sm_text words = {0};
        sm_text_addf(&words, "Not taken: %s", sm_text_string(&wrong));
        say_shown(x, 2, 2, &words);
    } else
        s = SM_NO_MEMORY;
    sm_text_destroy(&json);
    sm_text_destroy(&wrong);
    return s;
}

/* Enter: what is there stays; else the default, which is to leave the key out; else an answer is needed. */
static sm_status take_enter(dialogue *x, bool *taken)
{
    const sm_question *q = &x->question[x->at];
    *taken = state_of(x, q, NULL) == SM_ANSWER_GIVEN;
    if (*taken)
        return SM_OK;
    if (q->kind == SM_QUESTION_SIDES)
        return take_typed(x, "left right", taken);
    if (q->optional)
        return take(x, NULL, taken);
    say(x, 2, "This must be answered: it has no default.");
    return SM_OK;
}

/* 5. Looking it over */

static void list_answers(dialogue *x)
{
    say_raw(x, "\nAll answers:\n");
    for (size_t i = 0; i < x->n; i++) {
        sm_text line = {0}, json = {0};
        sm_text_addf(&line, "%zu. ", i + 1);
        sm_question_words(&x->question[i], &line);
        sm_text_puts(&line, ": ");
        if (state_of(x, &x->question[i], &json) == SM_ANSWER_GIVEN)
            answer_words(&x->question[i], sm_text_string(&json), &line);
        else
            sm_text_puts(&line, x->question[i].kind == SM_QUESTION_LOOK ? "none" : "default");
        sm_text_done(&json, &line);
        say_shown(x, 0, 5, &line);
    }
}

/* The case read back in words and to scale: numbers that were exchanged look wrong here first. A case that is refused
 * is told of when it is to be written. */
static sm_status read_back(dialogue *x)
{
    sm_diag d = {0};
    sm_casefile *f;
    sm_blocks b = {0};
    sm_text out = {0};
    const sm_status s = sm_draft_case(&x->draft, &d, &f);
    if (s == SM_OK) {
        sm_new_last_look(&b, sm_casefile_case(f));
        sm_write_text(&out, &x->style, &b);
        send(x, &out);
    }
    sm_blocks_destroy(&b);
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
    return s == SM_REFUSED ? SM_OK : s;
}

/* The question that a message speaks of: the longest pointer that leads to it. n if none does. */
static size_t question_of(dialogue *x, const char *pointer)
{
    size_t best = x->n, longest = 0;
    for (size_t i = 0; pointer && i < x->n; i++) {
        const size_t n = strlen(x->question[i].pointer);
        if (n > longest && strncmp(pointer, x->question[i].pointer, n) == 0) {
            longest = n;
            best = i;
        }
    }
    return best;
}

/* The whole check; if it finds a fault, the dialogue goes to the question that it concerns. */
static sm_status check_whole(dialogue *x)
{
    sm_diag d = {0};
    sm_status s = sm_draft_check(&x->draft, &d);
    if (s == SM_REFUSED) {
        tell_new(x, &d, "\n");
        const size_t at = question_of(x, d.item[0].pointer);
        if (at < x->n) {
            x->at = at;
            s = SM_OK;
        } else
            say(x, 0, "No question asks for this: mend it in the file that is kept.");
    }
    sm_diag_destroy(&d);
    return s;
}

/* The case and the words about it: both or none. */
static sm_status finish(dialogue *x)
{
    sm_staging staging = {0};
    sm_text words = {0}, wrapped = {0}, copy = copy_of(&x->draft);
    sm_text_shown(&words, x->path);
    sm_text_puts(&words, " is written. Everything that was not asked stands at its default (slimmargin defaults). "
                         "Now: slimmargin assess ");
    sm_text_shown(&words, x->path);
    sm_layout_words(&wrapped, &x->style, 0, 0, &words);
    sm_status s = sm_staging_add(&staging, x->path, &copy);
    if (s == SM_OK)
        s = sm_staging_add(&staging, "-", &wrapped);
    if (s == SM_OK)
        s = sm_staging_commit(&staging);
    sm_staging_destroy(&staging);
    sm_text_destroy(&wrapped);
    if (s == SM_OK)
        unlink(x->kept);
    return s;
}

/* 6. The dialogue */

static step step_of(const char *typed)
{
    return strcmp(typed, "back") == 0 || strcmp(typed, "<") == 0 ? GO_BACK
           : strcmp(typed, "leave") == 0                         ? LEAVE
                                                                 : GO_ON;
}

/* One question until it is answered or left. */
static sm_status ask(dialogue *x, sm_text *line, step *next)
{
    *next = LEAVE;
    put_question(x);
    if (!listen(x, line))
        return SM_OK;
    char *typed = trimmed(line);
    if (!typed)
        return SM_NO_MEMORY;
    sm_status s = SM_OK;
    bool taken = false;
    *next = step_of(typed);
    if (*next == GO_BACK)
        x->at -= x->at > 0;
    else if (strcmp(typed, "?") == 0)
        explain(x);
    else if (*next == GO_ON)
        s = typed[0] ? take_typed(x, typed, &taken) : take_enter(x, &taken);
    if (taken)
        x->at = x->looked_over ? first_blank(x) : x->at + 1;
    free(typed);
    return s;
}

/* After the last question: Enter writes, a number goes to that question. */
static sm_status look_over(dialogue *x, sm_text *line, step *next)
{
    *next = LEAVE;
    x->looked_over = true;
    list_answers(x);
    const sm_status s = read_back(x);
    if (s != SM_OK)
        return s;
    say_raw(x, "\nEnter writes the case; a number changes that answer; leave keeps it for later.\n> ");
    if (!listen(x, line))
        return SM_OK;
    char *typed = trimmed(line), *end = NULL;
    if (!typed)
        return SM_NO_MEMORY;
    const unsigned long number = strtoul(typed, &end, 10);
    *next = step_of(typed);
    if (!typed[0])
        *next = WRITE;
    else if (*next == GO_BACK)
        x->at = x->n - 1;
    else if (!*end && number >= 1 && number <= x->n)
        x->at = (size_t)number - 1;
    free(typed);
    return SM_OK;
}

static sm_status left(dialogue *x)
{
    sm_text words = {0};
    if (access(x->kept, F_OK) == 0)
        sm_text_addf(&words, "Left. What you answered is kept in %s; go on with: slimmargin new %s", x->kept, x->path);
    else
        sm_text_puts(&words, "Left. Nothing was answered and nothing is kept.");
    say_raw(x, "\n");
    say_shown(x, 0, 0, &words);
    return x->said == SM_OK ? SM_INTERRUPTED : x->said;
}

static sm_status converse(dialogue *x)
{
    sm_text line = {0};
    sm_status s = SM_OK;
    step next = GO_ON;
    introduce(x);
    while (s == SM_OK && x->said == SM_OK && next != LEAVE) {
        s = x->at < x->n ? ask(x, &line, &next) : look_over(x, &line, &next);
        if (s == SM_OK && x->said == SM_OK && next == WRITE) {
            s = check_whole(x);
            if (s == SM_OK && x->said == SM_OK && x->at == x->n) {
                s = finish(x);
                break;
            }
        }
    }
    sm_text_destroy(&line);
    return s == SM_OK && x->said == SM_OK && next == LEAVE ? left(x) : s == SM_OK ? x->said : s;
}

static sm_status check_outputs(dialogue *x)
{
    sm_output_files all = {0};
    sm_outputs_writes(&all, "the case", x->path);
    sm_outputs_writes(&all, "what is kept of it", x->kept);
    const sm_status s = sm_outputs_check(&all);
    sm_outputs_destroy(&all);
    return s;
}

static sm_status talk(const char *path)
{
    dialogue x = {.path = path, .style = sm_terminal_style(false)};
    sm_diag d = {0};
    x.kept = sm_path_ending(path, "", ".unfinished");
    sm_status s = x.kept ? check_outputs(&x) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = take_up(&x, &d);
    s = sm_terminal_tell_diag(&d, s);
    sm_diag_destroy(&d);
    sm_interrupts_listen();
    if (s == SM_OK)
        s = converse(&x);
    sm_draft_destroy(&x.draft);
    free(x.question);
    free(x.kept);
    sm_text_destroy(&x.group);
    return s;
}

sm_status sm_new_dialogue(const char *path)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return sm_terminal_complain("new: there is no terminal to ask on. Write a form with --template, or cases with "
                                    "--from-csv or --from-points\n",
                                    SM_USAGE);
    return talk(path);
}
